// tally.c - counts and percentiles; see tally.h.
#include "simulate/tally.h"

#include <math.h>

void histogram_add(Histogram *histogram, double value_mm)
{
    double bin = floor(value_mm / TALLY_BIN_MM);
    histogram->bins[bin < 0.0 ? 0 : bin >= TALLY_BINS ? TALLY_BINS - 1 : (int)bin]++;
    histogram->count++;
}

double histogram_percentile(const Histogram *histogram, double share)
{
    double wanted = share * (double)histogram->count;
    uint64_t seen = 0;
    if (histogram->count == 0) return 0.0;
    for (int i = 0; i < TALLY_BINS; i++) {
        seen += histogram->bins[i];
        if ((double)seen >= wanted) return (i + 1) * TALLY_BIN_MM;
    }
    return TALLY_BINS * TALLY_BIN_MM;
}

void tally_place(Tally *tally, bool failed, double shown_mm)
{
    tally->places++;
    tally->in_unit = tally->in_try = true;
    if (!failed) return;
    tally->failed_places++;
    tally->unit_failed = true;
    tally->worst_mm = fmax(tally->worst_mm, shown_mm);
}

void tally_need(Tally *tally, double needed_mm)
{
    histogram_add(&tally->needed_by_place, needed_mm);
    tally->unit_need_mm = tally->unit_has_need ? fmax(tally->unit_need_mm, needed_mm) : needed_mm;
    tally->unit_has_need = true;
}

void tally_end_unit(Tally *tally)
{
    if (!tally->in_unit) return;
    tally->units++;
    tally->failed_units += tally->unit_failed;
    tally->try_failed = tally->try_failed || tally->unit_failed;
    if (tally->unit_has_need) histogram_add(&tally->needed_by_unit, tally->unit_need_mm);
    tally->in_unit = tally->unit_failed = tally->unit_has_need = false;
}

void tally_end_try(Tally *tally)
{
    if (!tally->in_try) return;
    tally->tries++;
    tally->failed_tries += tally->try_failed;
    tally->in_try = tally->try_failed = false;
}

double tally_share(uint64_t part, uint64_t whole)
{
    return whole > 0 ? (double)part / (double)whole : 0.0;
}

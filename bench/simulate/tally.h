// tally.h - counts of what failed in many tries, and how much would have been needed.
// Words:   a place is a sampled point; a unit is what a maker would call one thing: a stroke, a seam, a run of an edge.
// Memory:  a Tally holds all that it needs; nothing to free.
// Rule:    a percentile is the upper end of its bin of TALLY_BIN_MM: never less than the true one, at most a bin more.
#ifndef PM_BENCH_SIMULATE_TALLY_H
#define PM_BENCH_SIMULATE_TALLY_H

#include <stdbool.h>
#include <stdint.h>

#define TALLY_BIN_MM 0.01
#define TALLY_BINS 1000 // up to 10 mm; the last bin takes the rest

typedef struct Histogram {
    uint32_t bins[TALLY_BINS]; // the first takes all below its end, negative too
    uint64_t count;
} Histogram;

void histogram_add(Histogram *histogram, double value_mm);
double histogram_percentile(const Histogram *histogram, double share); // 0 when empty; share 0.99 = 99 %

typedef struct Tally {
    uint64_t places, failed_places, units, failed_units, tries, failed_tries;
    double worst_mm;            // how much of the worst place was in sight, or how wide it was
    Histogram needed_by_unit;   // of each unit in each try: what its worst place needed
    Histogram needed_by_place;
    // the unit and the try that are being counted
    bool in_unit, unit_failed, unit_has_need, in_try, try_failed;
    double unit_need_mm;
} Tally;

// For each try: its units, for each unit its places, then tally_end_unit; at last tally_end_try.
void tally_place(Tally *tally, bool failed, double shown_mm);
void tally_need(Tally *tally, double needed_mm); // of a place whose need can be told
void tally_end_unit(Tally *tally);
void tally_end_try(Tally *tally);
double tally_share(uint64_t part, uint64_t whole); // 0 of nothing

#endif

// check_numbers.c - every number of kit.json that follows from the rest is computed again; the formulas are in
// docs/kit-format.md.
#include "proof/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define WRITTEN_MM 0.051  // half of the last decimal written, and a hair
#define LENGTH_SHARE 1e-5 // two ways to measure along curves agree far better; flat edges would not
#define AREA_SHARE 1e-5
#define FINISHED_MM 0.0016 // 0.001 is promised, and half of the last decimal written

static void compare(Check *check, const char *key, double written, double found, double allowed)
{
    char where[64];
    snprintf(where, sizeof where, "totals.%s", key);
    if (!(fabs(written - found) <= allowed))
        fault_add(check->faults, "number-wrong", where, 0, 0, "%s is %.2f; computed again: %.2f", where, written,
                  found);
}

static void add_length(ReadTotals *t, ReadLine line, const ReadPath *path, bool is_note)
{
    double length = measure_length(path);
    switch (line) {
    case READ_CUT:
        t->cut_mm += is_note ? 0.0 : length;
        break;
    case READ_SCORE:
        t->score_mm += length;
        break;
    case READ_PEN:
        t->pen_mm += length;
        break;
    case READ_LINES:
        break;
    }
}

// Sums over pieces and sheets; returns rings and strokes: each costs a lift of the blade.
static double sum_up(const ReadKit *kit, ReadTotals *t, double *piece_area, double *sheet_area)
{
    double strokes = 0.0;
    *piece_area = *sheet_area = 0.0;
    for (int i = 0; i < kit->piece_count; i++) {
        const ReadPiece *piece = &kit->pieces[i];
        if (piece->sheet < 0) continue;
        t->cut_mm += measure_length(&piece->outline);
        *piece_area += measure_area(&piece->outline);
        strokes += piece->outline.part_count;
        for (int k = 0; k < piece->mark_count; k++) {
            add_length(t, piece->marks[k].line, &piece->marks[k].path, false);
            strokes += piece->marks[k].path.part_count;
        }
    }
    for (int i = 0; i < kit->sheet_count; i++) {
        const ReadSheet *sheet = &kit->sheets[i];
        *sheet_area += kit->papers[sheet->paper].usable[2] * kit->papers[sheet->paper].usable[3];
        for (int k = 0; k < sheet->note_count; k++) {
            add_length(t, sheet->notes[k].line, &sheet->notes[k].path, true);
            strokes += sheet->notes[k].path.part_count;
        }
    }
    for (int i = 0; i < kit->seam_count; i++) {
        t->seam_mm += kit->seams[i].length_mm;
        t->visible_seam_mm += kit->seams[i].visible_mm;
    }
    return strokes;
}

// What must be paid for all papers; none when one of them has no price. Earlier writers told the price of the sheets used.
static double cost_of(const ReadKit *kit)
{
    double cost = 0.0;
    for (int i = 0; kit->tells_properties && i < kit->paper_count; i++) {
        if (kit->papers[i].to_buy.cost < 0.0) return -1.0;
        cost += kit->papers[i].to_buy.cost;
    }
    for (int i = 0; !kit->tells_properties && i < kit->sheet_count; i++) {
        double price = kit->papers[kit->sheets[i].paper].price;
        if (price < 0.0) return -1.0;
        cost += price;
    }
    return kit->sheet_count > 0 ? cost : -1.0;
}

// Seams with a piece that is cut this time.
static double joins_of(const ReadKit *kit)
{
    double joins = 0.0;
    for (int i = 0; i < kit->seam_count; i++)
        joins += kit->pieces[kit->seams[i].pieces[0]].sheet >= 0 || kit->pieces[kit->seams[i].pieces[1]].sheet >= 0;
    return joins;
}

static void check_totals(Check *check)
{
    const ReadKit *kit = check->kit;
    const ReadTotals *written = &kit->totals;
    const ReadRates *rates = &kit->rates;
    ReadTotals t = {.sheets = kit->sheet_count};
    for (int i = 0; i < kit->piece_count; i++) { // earlier writers counted everything as pieces
        t.foam_squares += kit->pieces[i].foam_count;
        if (kit->pieces[i].sheet < 0) continue;
        bool apart = kit->pieces[i].is_strip && written->strips >= 0.0;
        t.strips += apart;
        t.pieces += !apart;
    }
    double piece_area, sheet_area, strokes = sum_up(kit, &t, &piece_area, &sheet_area);
    double run_mm = t.score_mm + t.pen_mm;
    t.cutting_minutes = t.sheets * rates->sheet_min +
                        (t.cut_mm / rates->cut_mm_s + run_mm / rates->score_mm_s + strokes * rates->lift_s) / 60.0;
    t.assembly_minutes = joins_of(kit) * rates->seam_min + t.pieces * rates->piece_min;
    t.waste_percent = sheet_area > 0.0 ? 100.0 * (1.0 - piece_area / sheet_area) : 0.0;
    t.cost = cost_of(kit);
    double summed = WRITTEN_MM + 0.006 * kit->seam_count; // seams are written with two decimals
    compare(check, "sheets", written->sheets, t.sheets, 0.0);
    compare(check, "pieces", written->pieces, t.pieces, 0.0);
    if (written->strips >= 0.0) compare(check, "strips", written->strips, t.strips, 0.0);
    if (written->foam_squares >= 0.0 || t.foam_squares > 0.0) compare(check, "foam_squares", written->foam_squares, t.foam_squares, 0.0);
    compare(check, "seam_mm", written->seam_mm, t.seam_mm, summed);
    compare(check, "visible_seam_mm", written->visible_seam_mm, t.visible_seam_mm, summed);
    compare(check, "cut_mm", written->cut_mm, t.cut_mm, WRITTEN_MM + LENGTH_SHARE * t.cut_mm);
    compare(check, "score_mm", written->score_mm, t.score_mm, WRITTEN_MM + LENGTH_SHARE * t.score_mm);
    compare(check, "pen_mm", written->pen_mm, t.pen_mm, WRITTEN_MM + LENGTH_SHARE * t.pen_mm);
    compare(check, "cutting_minutes", written->cutting_minutes, t.cutting_minutes,
            WRITTEN_MM + LENGTH_SHARE * t.cutting_minutes);
    compare(check, "assembly_minutes", written->assembly_minutes, t.assembly_minutes, WRITTEN_MM);
    compare(check, "waste_percent", written->waste_percent, t.waste_percent, WRITTEN_MM);
    if ((written->cost < 0.0) != (t.cost < 0.0))
        fault_add(check->faults, "number-wrong", "totals.cost", 0, 0, "totals.cost should be %s: %s",
                  t.cost < 0.0 ? "null" : "a number", t.cost < 0.0 ? "a paper has no price" : "all papers have prices");
    else if (t.cost >= 0.0)
        compare(check, "cost", written->cost, t.cost, 0.011);
    check->measured.totals = t;
}

static void check_areas(Check *check)
{
    for (int i = 0; i < check->kit->layer_count; i++) {
        const ReadLayer *layer = &check->kit->layers[i];
        double area = measure_area(&layer->outline);
        double allowed = WRITTEN_MM + AREA_SHARE * fabs(area);
        if (!(fabs(area - layer->area_mm2) <= allowed))
            fault_add(check->faults, "area-wrong", layer->id, 0, 0, "area_mm2 is %.1f; measured: %.1f", layer->area_mm2,
                      area);
    }
}

static void check_finished(Check *check)
{
    const ReadKit *kit = check->kit;
    SpotBox box = measure_box(&kit->layers[check->by_order[0]].outline);
    double off = fmax(fmax(fabs(box.min.x), fabs(box.min.y)),
                      fmax(fabs(box.max.x - kit->width_mm), fabs(box.max.y - kit->height_mm)));
    if (!(off <= FINISHED_MM))
        fault_add(check->faults, "finished-size-wrong", "finished_mm", box.min.x, box.min.y,
                  "the base runs from (%.3f, %.3f) to (%.3f, %.3f); it should run from (0, 0) to (%.3f, %.3f)",
                  box.min.x, box.min.y, box.max.x, box.max.y, kit->width_mm, kit->height_mm);
}

bool check_numbers(Check *check, Error *err)
{
    if (!work_goes_on(check->work, err)) return false;
    check_finished(check);
    check_areas(check);
    check_totals(check);
    return true;
}

// check_drawing.c - what a sheet's SVG draws against what kit.json says; see check_sheet.h.
// Rings are compared whatever their order, start and direction: first curve by curve, then (a curve may have been
// divided or dropped in rounding) as flat outlines both ways.
#include "proof/check_sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define BOX_NEAR_MM (2.0 * PROOF_TOLERANCE_MM)
#define MAX_RUNS 30000u         // rings and strokes of one kind on a sheet; a real one has hundreds
#define SAME_PATH_REACH_MM 50.0 // a drawn path this near to a missing one is taken for it in the message

typedef enum WantedKind { WANTED_CORNER, WANTED_OUTLINE, WANTED_MARK, WANTED_NOTE } WantedKind;

typedef struct Run { // one ring or stroke
    const ReadCurve *curves;
    int count;
    bool closed, used;
    SpotBox box;
    WantedKind kind;
    int piece;  // of an outline or mark
    int object; // of a drawn one
} Run;

typedef struct Runs {
    Run *items;
    size_t count, capacity;
} Runs;

static bool add_run(Runs *runs, const ReadCurve *curves, ReadPart part, WantedKind kind, int piece, Arena *arena,
                    Error *err)
{
    if (runs->count >= MAX_RUNS) return error_set(err, ERROR_INPUT, "a sheet has more than %u paths", MAX_RUNS);
    runs->items = arena_grow(arena, runs->items, runs->count, &runs->capacity, sizeof *runs->items);
    if (!runs->items) return error_memory(err);
    ReadPath only = {.curves = (ReadCurve *)(curves + part.first), .curve_count = part.count};
    runs->items[runs->count++] = (Run){.curves = curves + part.first,
                                       .count = part.count,
                                       .closed = part.closed,
                                       .box = measure_box(&only),
                                       .kind = kind,
                                       .piece = piece,
                                       .object = part.object};
    return true;
}

static bool add_path(Runs *runs, const ReadPath *path, const double *to_sheet, WantedKind kind, int piece, Arena *arena,
                     Error *err)
{
    const ReadCurve *from = path->curves;
    if (to_sheet) {
        ReadCurve *moved = arena_new(arena, ReadCurve, path->curve_count);
        if (!moved) return error_memory(err);
        for (int i = 0; i < path->curve_count; i++) {
            moved[i].is_line = from[i].is_line;
            for (int k = 0; k < 4; k++) moved[i].p[k] = measure_moved(from[i].p[k], to_sheet);
        }
        from = moved;
    }
    for (int i = 0; i < path->part_count; i++)
        if (!add_run(runs, from, path->parts[i], kind, piece, arena, err)) return false;
    return true;
}

// The drawn parts that lie on the sheet, in its own millimetres.
static bool drawn_runs(const SheetView *view, const FileView *file, int index, ReadLine line, Runs *out, Error *err)
{
    Arena *scratch = &view->check->work->scratch;
    const double shift[6] = {1, 0, 0, 1, -view->sheet->offset[0], -view->sheet->offset[1]};
    ReadPath path = file->drawing.paths[line];
    const ReadPart *all = path.parts;
    int count = path.part_count;
    path.parts = arena_new(scratch, ReadPart, count);
    ReadCurve *curves = path.curves = arena_new(scratch, ReadCurve, path.curve_count);
    if (!path.parts || !curves) return error_memory(err);
    path.part_count = path.curve_count = 0;
    for (int i = 0; i < count; i++) {
        if (file->sheet_count > 1 && file->owners[line][i] != index) continue;
        path.parts[path.part_count] = all[i];
        path.parts[path.part_count++].first = path.curve_count;
        memcpy(curves + path.curve_count, file->drawing.paths[line].curves + all[i].first, (size_t)all[i].count * sizeof *curves);
        path.curve_count += all[i].count;
    }
    bool moves = shift[4] != 0.0 || shift[5] != 0.0;
    return add_path(out, &path, moves ? shift : NULL, WANTED_NOTE, -1, scratch, err);
}

static bool add_corners(Runs *runs, const double box[4], Arena *arena, Error *err)
{
    for (int k = 0; k < 2; k++) {
        double leg = k == 0 ? CHECK_CORNER_MM : -CHECK_CORNER_MM;
        Spot at = k == 0 ? (Spot){box[0], box[1]} : (Spot){box[0] + box[2], box[1] + box[3]};
        Spot p[3] = {at, {at.x + (box[2] < 0 ? -leg : leg), at.y}, {at.x, at.y + leg}};
        ReadCurve *curves = arena_new(arena, ReadCurve, 3);
        if (!curves) return error_memory(err);
        for (int i = 0; i < 3; i++) {
            Spot a = p[i], b = p[(i + 1) % 3];
            curves[i] = (ReadCurve){{a, a, b, b}, true};
        }
        if (!add_run(runs, curves, (ReadPart){.count = 3, .closed = true}, WANTED_CORNER, -1, arena, err)) return false;
    }
    return true;
}

// What the sheet should hold of one line kind. Files of one line kind have corner marks in any case.
static bool wanted_runs(const SheetView *view, ReadLine line, bool drawn, Arena *arena, Runs *out, Error *err)
{
    bool corners = line == READ_CUT || (drawn && view->check->kit->sheets_for == READ_FOR_LINE);
    double box[4];
    check_corners_box(view, box);
    if (corners && !add_corners(out, box, arena, err)) return false;
    for (int i = 0; i < view->piece_count; i++) {
        int index = view->pieces[i];
        const ReadPiece *piece = &view->check->kit->pieces[index];
        double place[6];
        check_drawn_place(view, piece, place);
        if (line == READ_CUT && !add_path(out, &piece->outline, place, WANTED_OUTLINE, index, arena, err))
            return false;
        for (int k = 0; k < piece->mark_count; k++)
            if (piece->marks[k].line == line &&
                !add_path(out, &piece->marks[k].path, place, WANTED_MARK, index, arena, err))
                return false;
    }
    for (int k = 0; k < view->sheet->note_count; k++)
        if (view->sheet->notes[k].line == line &&
            !add_path(out, &view->sheet->notes[k].path, NULL, WANTED_NOTE, -1, arena, err))
            return false;
    return true;
}

static bool near(Spot a, Spot b)
{
    return measure_gap(a, b) <= PROOF_TOLERANCE_MM;
}

static bool near_curve(const ReadCurve *a, const ReadCurve *b)
{
    return near(a->p[0], b->p[0]) && near(a->p[1], b->p[1]) && near(a->p[2], b->p[2]) && near(a->p[3], b->p[3]);
}

// Curve by curve from `start` on, forward or backward.
static bool follows(const Run *a, const Run *b, int start, bool forward)
{
    for (int i = 0; i < a->count; i++) {
        int k = forward ? (start + i) % b->count : (start - 1 - i + 2 * b->count) % b->count;
        ReadCurve curve = forward ? b->curves[k] : measure_reversed(b->curves[k]);
        if (!near_curve(&a->curves[i], &curve)) return false;
    }
    return true;
}

static bool same_curves(const Run *a, const Run *b)
{
    if (a->count != b->count) return false;
    if (!a->closed) return follows(a, b, 0, true) || follows(a, b, b->count, false);
    for (int start = 0; start < b->count; start++)
        if (near(a->curves[0].p[0], b->curves[start].p[0]) &&
            (follows(a, b, start, true) || follows(a, b, start, false)))
            return true;
    return false;
}

static bool ends_lie_near(const Edges *edges, const Field *field, double *farthest)
{
    for (size_t i = 0; i < edges->count; i++) {
        double d = fmax(measure_distance(field, edges->items[i].a, 1.0, -2, NULL),
                        measure_distance(field, edges->items[i].b, 1.0, -2, NULL));
        *farthest = fmax(*farthest, d);
        if (d > PROOF_TOLERANCE_MM) return false;
    }
    return true;
}

static double run_area(const Run *run)
{
    ReadPart part = {.count = run->count, .closed = true};
    ReadPath path = {.curves = (ReadCurve *)run->curves, .curve_count = run->count, .parts = &part, .part_count = 1};
    return fabs(measure_area(&path));
}

static bool same_outline(const Run *a, const Run *b, Arena *scratch, bool *same, Error *err)
{
    ArenaMark mark = arena_mark(scratch);
    Edges p = {0}, q = {0};
    Field f, g;
    double farthest = 0.0;
    bool done = measure_flatten(a->curves, a->count, NULL, CHECK_SPLIT_MM, 0, scratch, &p, err) &&
                measure_flatten(b->curves, b->count, NULL, CHECK_SPLIT_MM, 0, scratch, &q, err) &&
                measure_field(p.items, p.count, scratch, &f, err) && measure_field(q.items, q.count, scratch, &g, err);
    *same = done && ends_lie_near(&p, &g, &farthest) && ends_lie_near(&q, &f, &farthest);
    if (*same && a->closed)
        *same = fabs(run_area(a) - run_area(b)) <= PROOF_TOLERANCE_MM * (double)(p.count + 1) * CHECK_SPLIT_MM;
    arena_rewind(scratch, mark);
    return done;
}

static double box_difference(const SpotBox *a, const SpotBox *b)
{
    return fmax(fmax(fabs(a->min.x - b->min.x), fabs(a->min.y - b->min.y)),
                fmax(fabs(a->max.x - b->max.x), fabs(a->max.y - b->max.y)));
}

static int by_left(const void *a, const void *b)
{
    const Run *p = a, *q = b;
    if (p->box.min.x != q->box.min.x) return p->box.min.x < q->box.min.x ? -1 : 1;
    if (p->box.min.y != q->box.min.y) return p->box.min.y < q->box.min.y ? -1 : 1;
    return (p->curves > q->curves) - (p->curves < q->curves); // one array: the order in the file
}

static size_t first_from(const Runs *runs, double x)
{
    size_t low = 0, high = runs->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (runs->items[middle].box.min.x < x)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

// Looks for an unused run of the sorted list that is the same; NULL when there is none.
static bool find_same(const Run *wanted, Runs *drawn, bool by_curves, bool also_used, Arena *scratch, Run **out,
                      Error *err)
{
    *out = NULL;
    for (size_t i = first_from(drawn, wanted->box.min.x - BOX_NEAR_MM); i < drawn->count && !*out; i++) {
        Run *run = &drawn->items[i];
        if (run->box.min.x > wanted->box.min.x + BOX_NEAR_MM) break;
        if ((run->used && !also_used) || run->closed != wanted->closed ||
            box_difference(&run->box, &wanted->box) > BOX_NEAR_MM)
            continue;
        bool same = by_curves && same_curves(wanted, run);
        if (!by_curves && !same_outline(wanted, run, scratch, &same, err)) return false;
        if (same) *out = run;
    }
    return true;
}

// Takes the drawn run that comes nearest, so that one moved path is one fault and not two.
static Run *take_nearest(const Run *wanted, Runs *drawn, double *difference)
{
    Run *best = NULL;
    *difference = SAME_PATH_REACH_MM;
    for (size_t i = 0; i < drawn->count; i++) {
        Run *run = &drawn->items[i];
        double d = box_difference(&run->box, &wanted->box);
        if (run->used || run->closed != wanted->closed || d >= *difference) continue;
        *difference = d;
        best = run;
    }
    if (best) best->used = true;
    return best;
}

static void report_missing(const SheetView *view, ReadLine line, const Run *wanted, Runs *drawn)
{
    Faults *faults = view->check->faults;
    double off;
    if (faults->kept_count == PROOF_MAX_FAULTS) { // nobody reads on; and a hostile kit should cost no square
        faults->count++;
        return;
    }
    bool near_one = take_nearest(wanted, drawn, &off) != NULL;
    const char *piece = wanted->piece >= 0 ? view->check->kit->pieces[wanted->piece].id : "";
    const char *kind = "note-differs", *where = view->sheet->id, *what = "a note";
    switch (wanted->kind) {
    case WANTED_CORNER:
        kind = "corner-mark-wrong";
        what = "a corner mark";
        break;
    case WANTED_OUTLINE:
        kind = "cut-differs";
        where = piece;
        what = "an outline of the piece";
        break;
    case WANTED_MARK:
        kind = "mark-differs";
        where = piece;
        what = "a mark of the piece";
        break;
    case WANTED_NOTE:
        break;
    }
    char found[80];
    if (near_one)
        snprintf(found, sizeof found, "the nearest path's box differs by %.3f mm", off);
    else
        snprintf(found, sizeof found, "no path comes near it");
    fault_add(faults, kind, where, wanted->box.min.x, wanted->box.min.y,
              "sheet %s, %s: %s is not drawn where kit.json says; %s", view->sheet->id, read_line_name(line), what,
              found);
}

static bool report_extra(const SheetView *view, ReadLine line, const Run *extra, Runs *wanted, Error *err)
{
    Run *twin = NULL;
    if (view->check->faults->kept_count < PROOF_MAX_FAULTS &&
        !find_same(extra, wanted, true, true, &view->check->work->scratch, &twin, err))
        return false;
    bool is_piece = twin && twin->piece >= 0;
    fault_add(view->check->faults, is_piece ? "drawn-twice" : "sheet-extra-path",
              is_piece ? view->check->kit->pieces[twin->piece].id : view->sheet->id, extra->box.min.x, extra->box.min.y,
              "sheet %s, %s: %s", view->sheet->id, read_line_name(line),
              is_piece ? "a path of the piece is drawn more than once" : "a path is drawn that kit.json does not have");
    return true;
}

// Where each piece has a group, its paths are in that group and nothing else is.
static void check_group(const SheetView *view, const FileView *file, ReadLine line, const Run *wanted, const Run *drawn)
{
    static const char *const after[READ_LINES] = {"", "-score", "-pen"};
    char expected[160] = "corners";
    if (view->check->kit->sheets_for != READ_FOR_PIECE || !file) return;
    const char *piece = wanted->piece >= 0 ? view->check->kit->pieces[wanted->piece].id : view->sheet->id;
    if (wanted->piece >= 0) snprintf(expected, sizeof expected, "%.120s%s", piece, after[line]);
    if (wanted->kind == WANTED_NOTE) snprintf(expected, sizeof expected, "notes-%s", read_line_name(line));
    const char *found = file->drawing.objects[drawn->object].group;
    if (strcmp(found, expected) != 0)
        fault_add(view->check->faults, "groups-wrong", piece, drawn->box.min.x, drawn->box.min.y,
                  "sheet %s, %s: a path is in the group \"%s\"; it should be in \"%s\"", view->sheet->id, read_line_name(line),
                  found, expected);
}

// The drawing's runs and those wanted are the same; `file` is where they are drawn, or NULL.
static bool match_line(const SheetView *view, const FileView *file, ReadLine line, Runs *wanted, Runs *drawn, Error *err)
{
    Arena *scratch = &view->check->work->scratch;
    if (drawn->count > 1) qsort(drawn->items, drawn->count, sizeof *drawn->items, by_left);
    for (int pass = 0; pass < 2; pass++) // exact ones first, so that a rough match takes no exact one's place
        for (size_t i = 0; i < wanted->count; i++) {
            Run *found;
            if (wanted->items[i].used) continue;
            if (i % 64 == 0 && !work_goes_on(view->check->work, err)) return false;
            if (!find_same(&wanted->items[i], drawn, pass == 0, false, scratch, &found, err)) return false;
            if (!found) continue;
            found->used = wanted->items[i].used = true;
            check_group(view, file, line, &wanted->items[i], found);
        }
    for (size_t i = 0; i < wanted->count; i++)
        if (!wanted->items[i].used) report_missing(view, line, &wanted->items[i], drawn);
    if (wanted->count > 1) qsort(wanted->items, wanted->count, sizeof *wanted->items, by_left);
    for (size_t i = 0; i < drawn->count; i++)
        if (!drawn->items[i].used && !report_extra(view, line, &drawn->items[i], wanted, err)) return false;
    return true;
}

static void grow_box(SpotBox *all, const Runs *drawn)
{
    for (size_t i = 0; i < drawn->count; i++) {
        all->min.x = fmin(all->min.x, drawn->items[i].box.min.x);
        all->min.y = fmin(all->min.y, drawn->items[i].box.min.y);
        all->max.x = fmax(all->max.x, drawn->items[i].box.max.x);
        all->max.y = fmax(all->max.y, drawn->items[i].box.max.y);
    }
}

static void check_drawn_box(const SheetView *view, const SpotBox *all)
{
    const double *box = view->sheet->box;
    SpotBox wanted = {{box[0], box[1]}, {box[0] + box[2], box[1] + box[3]}};
    for (int i = 0; i < 4; i++)
        if (!(fabs(box[i] - view->paper->usable[i]) <= PROOF_TOLERANCE_MM))
            fault_add(view->check->faults, "drawn-box-wrong", view->sheet->id, 0, 0,
                      "box_mm is not the usable area of paper %s", view->paper->id);
    if (!(box_difference(all, &wanted) <= PROOF_TOLERANCE_MM))
        fault_add(view->check->faults, "drawn-box-wrong", view->sheet->id, all->min.x, all->min.y,
                  "the drawing is %.3f x %.3f mm at (%.3f, %.3f); box_mm says %.3f x %.3f mm at (%.3f, %.3f)",
                  all->max.x - all->min.x, all->max.y - all->min.y, all->min.x, all->min.y, box[2], box[3], box[0], box[1]);
}

bool check_drawing(const SheetView *view, const FileView *file, int index, Error *err)
{
    Arena *scratch = &view->check->work->scratch;
    SpotBox all = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    for (int line = 0; line < READ_LINES; line++) {
        Runs wanted = {0}, drawn = {0};
        if (!file->holds[line]) continue;
        if (!wanted_runs(view, (ReadLine)line, true, scratch, &wanted, err) ||
            !drawn_runs(view, file, index, (ReadLine)line, &drawn, err) ||
            !match_line(view, file, (ReadLine)line, &wanted, &drawn, err))
            return false;
        grow_box(&all, &drawn);
    }
    check_drawn_box(view, &all);
    return true;
}

bool check_undrawn(const SheetView *view, ReadLine line, Error *err)
{
    Runs wanted = {0}, drawn = {0};
    return wanted_runs(view, line, false, &view->check->work->scratch, &wanted, err) &&
           match_line(view, NULL, line, &wanted, &drawn, err);
}

// check_places.c - where pieces and notes lie on a sheet; see check_sheet.h.
#include "proof/check_sheet.h"

#include <math.h>

#define GAP_LOOK_MM 2.0 // gaps are measured up to this much beyond the least one

static void check_turn(const SheetView *view, const ReadPiece *piece)
{
    const double *m = piece->to_sheet, tolerance = 1e-8; // nine decimals are written
    if (fabs(m[0] - m[3]) <= tolerance && fabs(m[1] + m[2]) <= tolerance &&
        fabs(m[0] * m[0] + m[1] * m[1] - 1.0) <= 2.0 * tolerance)
        return;
    fault_add(view->check->faults, "to-sheet-no-turn", piece->id, 0, 0,
              "to_sheet should be a turn and a shift; its first four numbers are %.9f %.9f %.9f %.9f", m[0], m[1], m[2],
              m[3]);
}

static void check_in_box(const SheetView *view, const ReadPiece *piece, Spot p)
{
    const double *box = view->paper->usable, tolerance = PROOF_TOLERANCE_MM;
    double left = p.x - box[0], top = p.y - box[1], right = box[2] - left, bottom = box[3] - top;
    if (fmin(fmin(left, top), fmin(right, bottom)) < -tolerance)
        fault_add(view->check->faults, "piece-off-sheet", piece->id, p.x, p.y,
                  "the piece reaches %.3f mm beyond the usable area of sheet %s",
                  -fmin(fmin(left, top), fmin(right, bottom)), view->sheet->id);
    else if (fmin(left + top, right + bottom) < CHECK_CORNER_MM - tolerance)
        fault_add(view->check->faults, "piece-on-corner", piece->id, p.x, p.y,
                  "the piece lies on a corner mark of sheet %s", view->sheet->id);
}

static bool check_gaps(const SheetView *view, const Edges *edges, const Field *field, Error *err)
{
    Check *check = view->check;
    double gap = view->paper->gap_mm, look = gap + GAP_LOOK_MM, least = look;
    for (size_t i = 0; i < edges->count; i++) {
        int other;
        if (i % 4096 == 0 && !work_goes_on(check->work, err)) return false;
        const Edge *e = &edges->items[i];
        double d = measure_distance(field, e->a, least, e->owner, &other);
        if (other < 0) continue;
        least = fmax(fmin(least, d), gap - PROOF_TOLERANCE_MM); // go on looking for other pairs that are too near
        check->measured.least_gap_mm = fmin(check->measured.least_gap_mm, d);
        if (d >= gap - PROOF_TOLERANCE_MM) continue;
        char pair[64];
        check_pair_name(check, e->owner, edges->items[other].owner, pair);
        fault_add(check->faults, "gap-too-small", pair, e->a.x, e->a.y,
                  "the pieces are %.3f mm apart on sheet %s; %.2f mm are promised", d, view->sheet->id, gap);
    }
    return true;
}

typedef struct Overlap {
    const SheetView *view;
    const Field *field;
} Overlap;

static bool overlap_row(void *data, double y, const ScanHit *hits, int count, Error *err)
{
    (void)err;
    const Overlap *overlap = data;
    const SheetView *view = overlap->view;
    int covered = 0;
    for (int i = 0; i < count; i++) {
        covered += (view->inside[hits[i].owner] ^= 1) ? 1 : -1;
        if (i + 1 == count || covered < 2) continue;
        double wide = hits[i + 1].x - hits[i].x;
        Spot p = {hits[i].x + 0.5 * wide, y};
        if (wide <= 2.0 * PROOF_TOLERANCE_MM ||
            measure_distance(overlap->field, p, 2.0 * PROOF_TOLERANCE_MM, -2, NULL) <= PROOF_TOLERANCE_MM)
            continue;
        int found[2] = {0, 0}, n = 0;
        for (int k = 0; k < view->piece_count && n < 2; k++)
            if (view->inside[view->pieces[k]]) found[n++] = view->pieces[k];
        char pair[64];
        check_pair_name(view->check, found[0], found[1], pair);
        fault_add(view->check->faults, "pieces-overlap", pair, p.x, p.y, "the pieces lie over one another on sheet %s",
                  view->sheet->id);
    }
    return true;
}

static bool check_notes(const SheetView *view, const Field *field, Error *err)
{
    const double *box = view->paper->usable;
    Edges edges = {0};
    for (int k = 0; k < view->sheet->note_count; k++) {
        const ReadPath *path = &view->sheet->notes[k].path;
        if (!measure_flatten(path->curves, path->curve_count, NULL, INFINITY, k, &view->check->work->scratch, &edges,
                             err))
            return false;
    }
    for (size_t i = 0; i < edges.count; i++) {
        if (i % 256 == 0 && !work_goes_on(view->check->work, err)) return false;
        Spot end[2] = {edges.items[i].a, edges.items[i].b}, at;
        for (int k = 0; k < 2; k++)
            if (end[k].x < box[0] || end[k].y < box[1] || end[k].x > box[0] + box[2] || end[k].y > box[1] + box[3])
                fault_add(view->check->faults, "note-off-sheet", view->sheet->id, end[k].x, end[k].y,
                          "a note leaves the usable area");
        if (measure_strays(&field, 1, end[0], end[1], false, PROOF_TOLERANCE_MM, &at))
            fault_add(view->check->faults, "note-on-piece", view->sheet->id, at.x, at.y, "a note lies on a piece");
    }
    return true;
}

// ---- what is left of the sheet ----

typedef struct Rest {
    double x0, y0, x1, y1;
} Rest;

// Part of the line lies inside: its ends are cut off at each side in turn.
static bool line_enters(const Rest *rest, Spot a, Spot b)
{
    const double from[4] = {a.x - rest->x0, rest->x1 - a.x, a.y - rest->y0, rest->y1 - a.y};
    const double to[4] = {b.x - rest->x0, rest->x1 - b.x, b.y - rest->y0, rest->y1 - b.y};
    double first = 0.0, last = 1.0;
    for (int k = 0; k < 4; k++) {
        if (from[k] <= 0.0 && to[k] <= 0.0) return false;
        if (from[k] > 0.0 && to[k] > 0.0) continue;
        double t = from[k] / (from[k] - to[k]);
        if (from[k] <= 0.0) first = fmax(first, t);
        else last = fmin(last, t);
    }
    return first < last;
}

static double from_spot(const Rest *rest, Spot p)
{
    double dx = fmax(fmax(rest->x0 - p.x, p.x - rest->x1), 0.0), dy = fmax(fmax(rest->y0 - p.y, p.y - rest->y1), 0.0);
    return sqrt(dx * dx + dy * dy);
}

static double from_line(Spot corner, Spot a, Spot b)
{
    double dx = b.x - a.x, dy = b.y - a.y, length2 = dx * dx + dy * dy;
    double t = length2 > 0.0 ? fmin(1.0, fmax(0.0, ((corner.x - a.x) * dx + (corner.y - a.y) * dy) / length2)) : 0.0;
    return measure_gap(corner, (Spot){a.x + t * dx, a.y + t * dy});
}

// Between a line and the rest: 0 where it enters, else an end of the line or a corner of the rest is nearest.
static double rest_distance(const Rest *rest, Spot a, Spot b)
{
    if (line_enters(rest, a, b)) return 0.0;
    double best = fmin(from_spot(rest, a), from_spot(rest, b));
    const Spot corners[4] = {{rest->x0, rest->y0}, {rest->x1, rest->y0}, {rest->x0, rest->y1}, {rest->x1, rest->y1}};
    for (int k = 0; k < 4; k++) best = fmin(best, from_line(corners[k], a, b));
    return best;
}

static bool lies_in_piece(const Edges *edges, Spot p)
{
    bool inside = false;
    for (size_t i = 0; i < edges->count; i++) {
        Spot a = edges->items[i].a, b = edges->items[i].b;
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) inside = !inside;
    }
    return inside;
}

static void rest_fault(const SheetView *view, Spot at, const char *what)
{
    fault_add(view->check->faults, "rest-not-clear", view->sheet->id, at.x, at.y, "what is said to be left of sheet %s %s", view->sheet->id, what);
}

static bool marks_meet(const SheetView *view, const Rest *rest)
{
    const double *box = view->sheet->box, leg = CHECK_CORNER_MM;
    double x1 = box[0] + box[2], y1 = box[1] + box[3];
    bool first = rest->x0 < box[0] + leg && rest->x1 > box[0] && rest->y0 < box[1] + leg && rest->y1 > box[1];
    return first || (rest->x0 < x1 && rest->x1 > x1 - leg && rest->y0 < y1 && rest->y1 > y1 - leg);
}

// It is on the sheet, clear of all pieces by the gap, and of corner marks.
static void check_rest(const SheetView *view, const Edges *edges)
{
    const double *rest = view->sheet->rest, hair = 1e-6;
    Rest bare = {rest[0], rest[1], rest[0] + rest[2], rest[1] + rest[3]};
    if (rest[2] <= 0.0 || rest[3] <= 0.0 || bare.x1 > view->paper->size[0] + hair || bare.y1 > view->paper->size[1] + hair)
        rest_fault(view, (Spot){bare.x0, bare.y0}, "does not lie on it");
    else if (marks_meet(view, &bare) || lies_in_piece(edges, (Spot){0.5 * (bare.x0 + bare.x1), 0.5 * (bare.y0 + bare.y1)}))
        rest_fault(view, (Spot){bare.x0, bare.y0}, "is cut into");
    for (size_t i = 0; i < edges->count; i++) {
        if (rest_distance(&bare, edges->items[i].a, edges->items[i].b) >= view->paper->gap_mm - PROOF_TOLERANCE_MM) continue;
        rest_fault(view, edges->items[i].a, "has a piece nearer than the gap");
        return;
    }
}

bool check_places(const SheetView *view, Error *err)
{
    Check *check = view->check;
    Arena *scratch = &check->work->scratch;
    Edges edges = {0};
    Field field;
    for (int i = 0; i < view->piece_count; i++) {
        const ReadPiece *piece = &check->kit->pieces[view->pieces[i]];
        check_turn(view, piece);
        if (!measure_flatten(piece->outline.curves, piece->outline.curve_count, piece->to_sheet, INFINITY,
                             view->pieces[i], scratch, &edges, err))
            return false;
    }
    for (size_t i = 0; i < edges.count; i++)
        check_in_box(view, &check->kit->pieces[edges.items[i].owner], edges.items[i].a);
    if (view->sheet->has_rest) check_rest(view, &edges);
    Overlap overlap = {view, &field};
    check->measured.looked_gap_mm = fmin(check->measured.looked_gap_mm, view->paper->gap_mm + GAP_LOOK_MM);
    return measure_field(edges.items, edges.count, scratch, &field, err) && check_gaps(view, &edges, &field, err) &&
           measure_scan(edges.items, edges.count, check->work, overlap_row, &overlap, err) &&
           check_notes(view, &field, err);
}

// lap.c - see lap.h. Long seams choose first; a lap that is laid is an obstacle for those that follow. A seam that finds no room
// then may make some: a lap of one of its pieces goes over to that lap's other piece, as in a matching along alternating paths.
#include "seam/lap.h"

#include "base/text.h"
#include "seam/lap_frozen.h"
#include "seam/lap_layer.h"
#include "seam/lap_order.h"
#include "seam/lap_outline.h"

#include <math.h>
#include <stdlib.h>

#define LEAST_USABLE_MM 25.4 // of a space: a lap is not taken off where less would be left
#define WIDE_LEAST_MM 10.0   // of a seam must have a lap of LAP_LEAST_MM, besides LAP_WIDE_SHARE
#define MOVES_DEEP 4         // laps that go over, one for another, to make room for one
#define NAMED_MOST 8         // seams in one finding; more are counted

Space lap_space(const SeamOptions *options)
{
    Space space = paper_fit_space(&options->paper);
    if (options->form != SEAM_LAP) return space;
    if (space.width_mm - options->lap_mm < LEAST_USABLE_MM || space.height_mm - options->lap_mm < LEAST_USABLE_MM) return space;
    space.width_mm -= options->lap_mm;
    space.height_mm -= options->lap_mm;
    return space;
}

// ---- what is in the way ----

static bool is_stroke_of(const LappedSeam *seam, Point a, Point b)
{
    for (int i = 0; i + 1 < seam->count; i++)
        if ((point_equal(a, seam->points[i]) && point_equal(b, seam->points[i + 1])) ||
            (point_equal(b, seam->points[i]) && point_equal(a, seam->points[i + 1])))
            return true;
    return false;
}

static Box box_round(const LappedSeam *seam, double by_mm)
{
    Box box = box_empty();
    int32_t by = (int32_t)(by_mm * UM_PER_MM);
    for (int i = 0; i < seam->count; i++) box_add(&box, seam->points[i]);
    return (Box){{box.min.x - by, box.min.y - by}, {box.max.x + by, box.max.y + by}};
}

static bool is_near(Box box, Point a, Point b)
{
    Box edge = box_empty();
    box_add(&edge, a);
    box_add(&edge, b);
    return box_overlap(box, edge);
}

static LapRefusal refusal_of(const Lapping *l, int seam)
{
    return l->out->seams[seam].form == SEAM_LAP ? REFUSED_NOT : l->seams[seam].refusal;
}

static bool has_lap_of(const Lapping *l, int seam, int piece)
{
    return l->out->seams[seam].form == SEAM_LAP && l->out->seams[seam].lap_of == piece && !l->pieces[piece].frozen;
}

// The edges of laps that lie under a piece's face, near the box.
static bool add_laps_under(Lapping *l, int piece, Box box, CoverEdge **edges, size_t *count, size_t *room, Error *err)
{
    const LappedPiece *under = &l->pieces[piece];
    for (size_t i = 0; i < under->under_count; i++)
        if (is_near(box, under->under[i].a, under->under[i].b) &&
            !lap_edge_add(edges, count, room, under->under[i], &l->work->scratch, err))
            return false;
    for (int k = 0; k < under->seam_count; k++) {
        const LapShape *shape = &l->seams[under->seams[k]].shape;
        if (!has_lap_of(l, under->seams[k], lap_other_piece(l, under->seams[k], piece))) continue;
        for (int i = 0; i + 1 < shape->count; i++)
            if (is_near(box, shape->points[i], shape->points[i + 1]) &&
                !lap_edge_add(edges, count, room, (CoverEdge){shape->points[i], shape->points[i + 1]}, &l->work->scratch, err))
                return false;
    }
    return true;
}

// The edges of the neighbour's face, but for the seam, and of the laps that lie under it.
static bool find_obstacles(Lapping *l, int seam, int neighbour, Cover *out, Error *err)
{
    const LappedSeam *state = &l->seams[seam];
    const Rings *rings = &l->out->pieces[neighbour].rings;
    Box box = box_round(state, 2.0 * (l->options->lap_mm + LAP_CLEAR_MM));
    CoverEdge *edges = NULL;
    size_t count = 0, room = 0;
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++) {
            Point a = rings->items[r].points[i], b = rings->items[r].points[(i + 1) % rings->items[r].count];
            if (!is_near(box, a, b) || is_stroke_of(state, a, b)) continue;
            if (!lap_edge_add(&edges, &count, &room, (CoverEdge){a, b}, &l->work->scratch, err)) return false;
        }
    if (!add_laps_under(l, neighbour, box, &edges, &count, &room, err)) return false;
    return cover_index(edges, (int)count, &l->work->scratch, out, err);
}

// ---- one side of one seam ----

static bool find_hull(Lapping *l, int piece, Error *err)
{
    LappedPiece *state = &l->pieces[piece];
    const Rings *rings = &l->out->pieces[piece].rings;
    int outer = 0;
    if (state->hull) return true;
    while (rings->items[outer].count == 0 || ring_area2_um2(&rings->items[outer]) < 0) outer++;
    state->hull = hull_make(rings->items[outer].points, rings->items[outer].count, &l->store, &state->hull_count);
    return state->hull ? true : error_memory(err);
}

// The piece with its laps and one more: does it fit?
static bool fits_with(Lapping *l, int piece, const LapShape *more, Fit *fit, bool *fits, Error *err)
{
    if (!find_hull(l, piece, err)) return false;
    const LappedPiece *state = &l->pieces[piece];
    int room = state->hull_count + more->count, count = 0, hull_count;
    for (int k = 0; k < state->seam_count; k++) room += l->seams[state->seams[k]].shape.count;
    Point *all = arena_new(&l->work->scratch, Point, room);
    if (!all) return error_memory(err);
    for (int i = 0; i < state->hull_count; i++) all[count++] = state->hull[i];
    for (int i = 0; i < more->count; i++) all[count++] = more->points[i];
    for (int k = 0; k < state->seam_count; k++) {
        const LapShape *shape = &l->seams[state->seams[k]].shape;
        for (int i = 0; i < shape->count && has_lap_of(l, state->seams[k], piece); i++) all[count++] = shape->points[i];
    }
    Point *hull = hull_make(all, count, &l->work->scratch, &hull_count);
    if (!hull) return error_memory(err);
    *fits = hull_fits_at(hull, hull_count, l->space, *fit) || hull_fits(hull, hull_count, l->space, fit);
    return true;
}

// ---- laps that are laid, and taken back ----

static bool note_step(Lapping *l, int seam, int piece, Error *err)
{
    LapStep *steps = arena_grow(&l->store, l->steps, l->step_count, &l->step_room, sizeof *steps);
    if (!steps) return error_memory(err);
    l->steps = steps;
    steps[l->step_count++] = (LapStep){seam, l->out->seams[seam].lap_of, piece, l->seams[seam].shape, l->out->pieces[piece].fit};
    return true;
}

static void set_lap(Lapping *l, int seam, int lap_of, LapShape shape)
{
    l->out->seams[seam].form = lap_of >= 0 ? SEAM_LAP : SEAM_BUTT;
    l->out->seams[seam].lap_of = lap_of;
    l->seams[seam].shape = shape;
}

static void take_back(Lapping *l, size_t to)
{
    while (l->step_count > to) {
        const LapStep *step = &l->steps[--l->step_count];
        set_lap(l, step->seam, step->lap_of, step->shape);
        l->out->pieces[step->piece].fit = step->fit;
    }
}

static bool try_side(Lapping *l, int seam, int piece, bool *laid, Error *err)
{
    LappedSeam *state = &l->seams[seam];
    int neighbour = lap_other_piece(l, seam, piece);
    LapShape shape;
    Cover obstacles;
    Fit fit = l->out->pieces[piece].fit;
    *laid = false;
    if (l->pieces[piece].frozen) return true;
    if (!find_obstacles(l, seam, neighbour, &obstacles, err)) return false;
    if (!lap_shape(state->points, state->count, !lap_runs_along(l, seam, piece), &obstacles, l->options->lap_mm, &l->store,
                   l->work, &shape, err))
        return false;
    if (shape.wide_mm < fmax(WIDE_LEAST_MM, LAP_WIDE_SHARE * l->out->seams[seam].length_mm)) return true;
    state->refusal = REFUSED_ROOM;
    if (!fits_with(l, piece, &shape, &fit, laid, err)) return false;
    if (!*laid) return true;
    if (!note_step(l, seam, piece, err)) return false;
    set_lap(l, seam, piece, shape);
    l->out->pieces[piece].fit = fit;
    return true;
}

// As try_side; a lap of the piece may go over to its other piece for it, and others for that one.
static bool make_room(Lapping *l, int seam, int piece, int deep, bool *laid, Error *err)
{
    const LappedPiece *state = &l->pieces[piece];
    size_t before = l->step_count;
    if (!work_goes_on(l->work, err) || !try_side(l, seam, piece, laid, err)) return false;
    for (int k = 0; k < state->seam_count && !*laid && deep > 0; k++) {
        int other = state->seams[k];
        if (!has_lap_of(l, other, piece) || l->seams[other].moved_in == l->attempt) continue;
        l->seams[other].moved_in = l->attempt;
        if (!note_step(l, other, piece, err)) return false;
        set_lap(l, other, -1, (LapShape){0});
        if (!make_room(l, other, lap_other_piece(l, other, piece), deep - 1, laid, err)) return false;
        if (*laid && !try_side(l, seam, piece, laid, err)) return false;
        if (!*laid) take_back(l, before);
    }
    return true;
}

static bool lap_seam(Lapping *l, int seam, int deep, Error *err)
{
    const int *pair = l->out->seams[seam].pieces;
    int first = l->ranks[pair[0]] < l->ranks[pair[1]] ? pair[0] : pair[1];
    bool laid = false;
    ArenaMark mark = arena_mark(&l->work->scratch);
    l->attempt++;
    l->step_count = 0;
    l->seams[seam].refusal = REFUSED_SHORT;
    bool fine = make_room(l, seam, first, deep, &laid, err) &&
                (laid || make_room(l, seam, lap_other_piece(l, seam, first), deep, &laid, err));
    arena_rewind(&l->work->scratch, mark);
    return fine;
}

// ---- the whole layer ----

typedef struct Turn {
    double length_mm;
    int seam;
} Turn;

static int longest_first(const void *pa, const void *pb)
{
    const Turn *a = pa, *b = pb;
    if (a->length_mm != b->length_mm) return a->length_mm > b->length_mm ? -1 : 1;
    return a->seam - b->seam;
}

static bool lap_all(Lapping *l, Error *err)
{
    int count = l->out->seam_count;
    Turn *turns = arena_new(&l->store, Turn, count);
    if (!turns) return error_memory(err);
    for (int s = 0; s < count; s++) turns[s] = (Turn){l->out->seams[s].length_mm, s};
    if (count) qsort(turns, (size_t)count, sizeof *turns, longest_first);
    for (int i = 0; i < count; i++) {
        if (l->out->seams[turns[i].seam].form == SEAM_LAP) continue; // of a frozen piece
        if (l->out->seams[turns[i].seam].on_section) continue;       // what is glued there cannot be taken apart
        if (!lap_seam(l, turns[i].seam, 0, err)) return false;
    }
    for (int i = 0; i < count; i++)
        if (refusal_of(l, turns[i].seam) == REFUSED_ROOM && !lap_seam(l, turns[i].seam, MOVES_DEEP, err)) return false;
    return true;
}

static bool make_outlines(Lapping *l, Error *err)
{
    PieceLap *laps = arena_new(&l->store, PieceLap, l->out->seam_count);
    if (!laps) return error_memory(err);
    for (int p = 0; p < l->out->piece_count; p++) {
        int count = 0;
        for (int s = 0; s < l->out->seam_count && !l->pieces[p].frozen; s++)
            if (l->out->seams[s].form == SEAM_LAP && l->out->seams[s].lap_of == p)
                laps[count++] = (PieceLap){&l->out->seams[s], &l->seams[s].shape};
        if (!work_goes_on(l->work, err)) return false;
        if (count && !lap_outline(l->out, p, laps, count, l->keep, l->work, err)) return false;
    }
    return true;
}

// ---- what was left out ----

static void add_refused(const Lapping *l, Text *text, LapRefusal why, const char *reason)
{
    int count = 0, named = 0;
    for (int s = 0; s < l->out->seam_count; s++) count += refusal_of(l, s) == why;
    if (count == 0) return;
    text_printf(text, "%s%s: ", text->size_bytes ? "; " : "", reason);
    for (int s = 0; s < l->out->seam_count && named < NAMED_MOST; s++) {
        if (refusal_of(l, s) != why) continue;
        text_printf(text, "%s%s", named ? (named + 1 == count ? " and " : ", ") : "", l->out->seams[s].id);
        named++;
    }
    if (count > named) text_printf(text, " and %d more", count - named);
}

static bool tell_refused(Lapping *l, Error *err)
{
    int first = -1, count = 0;
    for (int s = l->out->seam_count - 1; s >= 0; s--) {
        if (refusal_of(l, s) == REFUSED_NOT) continue;
        first = s;
        count++;
    }
    if (count == 0) return true;
    Text text = text_make(&l->store), whole = text_make(&l->store);
    char letter[8];
    layer_letter(l->out->layer, letter);
    add_refused(l, &text, REFUSED_SHORT, "no place for a lap");
    add_refused(l, &text, REFUSED_ROOM, "neither piece would fit its sheet with one");
    if (!text_is_whole(&text, err)) return false;
    text_printf(&whole, "layer %s: %d of %d seams stay%s butt seam%s, to be taped: %s", letter, count, l->out->seam_count,
                count == 1 ? "s a" : "", count == 1 ? "" : "s", text.bytes);
    if (!text_is_whole(&whole, err)) return false;
    const LappedSeam *at = &l->seams[first];
    Point a = at->points[(at->count - 1) / 2], b = at->points[(at->count - 1) / 2 + 1];
    return findings_add(&l->out->findings, l->keep, "lap-left-out", whole.bytes, ((double)a.x + b.x) / 2.0 / UM_PER_MM,
                        ((double)a.y + b.y) / 2.0 / UM_PER_MM) || error_memory(err);
}

static bool any_written(const SeamWishes *wishes)
{
    for (int i = 0; i < wishes->frozen_count; i++)
        if (wishes->frozen[i].face) return true;
    return false;
}

static bool run(Lapping *l, Error *err)
{
    if (!lap_layer_make(l, err) || !lap_take_frozen(l, err)) return false;
    if (l->options->form != SEAM_LAP) return true;
    return lap_order(l->out, &l->store, l->work, &l->ranks, err) && lap_all(l, err) && make_outlines(l, err) && tell_refused(l, err);
}

bool lap_seams(const SeamOptions *options, Arena *keep, Work *work, LayerPieces *out, Error *err)
{
    if (options->form != SEAM_LAP && !any_written(&options->wishes)) return true;
    Lapping l = {.options = options,
                 .space = paper_fit_space(&options->paper),
                 .out = out,
                 .store = arena_make(work->scratch.budget_bytes),
                 .keep = keep,
                 .work = work};
    bool fine = run(&l, err);
    arena_free(&l.store);
    return fine;
}

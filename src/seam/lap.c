// lap.c - see lap.h. Long seams choose first; a lap that is laid is an obstacle for those that follow. A seam that finds no room
// then may make some: a lap of one of its pieces goes over to that lap's other piece, as in a matching along alternating paths.
#include "seam/lap.h"

#include "base/text.h"
#include "seam/lap_order.h"
#include "seam/lap_outline.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define LEAST_USABLE_MM 25.4 // of a space: a lap is not taken off where less would be left
#define WIDE_SHARE 0.5       // of a seam must have a lap of LAP_LEAST_MM, else it is not worth it ...
#define WIDE_LEAST_MM 10.0   // ... and at least so much
#define LOOK_OFF_MM 2.0      // from a seam: a frozen piece that is cut there has its lap there
#define LOOK_STEP_MM 2.0
#define UNDER_MM 0.05        // a place as near to the face's edge lies on it
#define MOVES_DEEP 4         // laps that go over, one for another, to make room for one
#define NAMED_MOST 8         // seams in one finding; more are counted

typedef enum Refusal { REFUSED_NOT, REFUSED_SHORT, REFUSED_ROOM } Refusal;

typedef struct PieceState {
    Point *hull; // of what is cut; NULL until it is asked for
    int hull_count;
    bool frozen;
    CoverEdge *under;     // edges of laps of frozen pieces that lie under its face; of the others, seams tell
    size_t under_count, under_room;
    int *seams; // its seams
    int seam_count;
} PieceState;

typedef struct SeamState {
    Point *points;
    int count;
    LapShape shape;
    Refusal refusal; // of the last attempt, while it has none
    int moved_in; // the attempt in which its lap was asked to go over
} SeamState;

typedef struct Step { // what an attempt changed: a seam's lap, and the turn of a piece
    int seam, lap_of, piece;
    LapShape shape;
    Fit fit;
} Step;

typedef struct Lapping {
    const SeamOptions *options;
    Space space;
    LayerPieces *out;
    PieceState *pieces;
    SeamState *seams;
    int *ranks;  // by piece: when it is joined; 0 = first
    Step *steps;
    size_t step_count, step_room;
    int attempt;
    Arena store; // what outlives a seam
    Arena *keep;
    Work *work;
} Lapping;

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

static bool add_edge(CoverEdge **edges, size_t *count, size_t *room, CoverEdge edge, Arena *arena, Error *err)
{
    CoverEdge *items = arena_grow(arena, *edges, *count, room, sizeof *items);
    if (!items) return error_memory(err);
    *edges = items;
    items[(*count)++] = edge;
    return true;
}

static bool is_stroke_of(const SeamState *seam, Point a, Point b)
{
    for (int i = 0; i + 1 < seam->count; i++)
        if ((point_equal(a, seam->points[i]) && point_equal(b, seam->points[i + 1])) ||
            (point_equal(b, seam->points[i]) && point_equal(a, seam->points[i + 1])))
            return true;
    return false;
}

static Box box_round(const SeamState *seam, double by_mm)
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

static int other_piece(const Lapping *l, int seam, int piece)
{
    const int *pair = l->out->seams[seam].pieces;
    return pair[0] + pair[1] - piece;
}

static Refusal refusal_of(const Lapping *l, int seam)
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
    const PieceState *under = &l->pieces[piece];
    for (size_t i = 0; i < under->under_count; i++)
        if (is_near(box, under->under[i].a, under->under[i].b) &&
            !add_edge(edges, count, room, under->under[i], &l->work->scratch, err))
            return false;
    for (int k = 0; k < under->seam_count; k++) {
        const LapShape *shape = &l->seams[under->seams[k]].shape;
        if (!has_lap_of(l, under->seams[k], other_piece(l, under->seams[k], piece))) continue;
        for (int i = 0; i + 1 < shape->count; i++)
            if (is_near(box, shape->points[i], shape->points[i + 1]) &&
                !add_edge(edges, count, room, (CoverEdge){shape->points[i], shape->points[i + 1]}, &l->work->scratch, err))
                return false;
    }
    return true;
}

// The edges of the neighbour's face, but for the seam, and of the laps that lie under it.
static bool find_obstacles(Lapping *l, int seam, int neighbour, Cover *out, Error *err)
{
    const SeamState *state = &l->seams[seam];
    const Rings *rings = &l->out->pieces[neighbour].rings;
    Box box = box_round(state, 2.0 * (l->options->lap_mm + LAP_CLEAR_MM));
    CoverEdge *edges = NULL;
    size_t count = 0, room = 0;
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++) {
            Point a = rings->items[r].points[i], b = rings->items[r].points[(i + 1) % rings->items[r].count];
            if (!is_near(box, a, b) || is_stroke_of(state, a, b)) continue;
            if (!add_edge(&edges, &count, &room, (CoverEdge){a, b}, &l->work->scratch, err)) return false;
        }
    if (!add_laps_under(l, neighbour, box, &edges, &count, &room, err)) return false;
    return cover_index(edges, (int)count, &l->work->scratch, out, err);
}

// ---- one side of one seam ----

// Whether a piece's face runs along the seam in the seam's direction, with its inside on the right.
static bool runs_along(const Lapping *l, int seam, int piece)
{
    const Area *face = &l->out->pieces[piece].face;
    const Link *of = &l->out->seams[seam].links[0];
    for (int i = 0; i < face->link_count; i++) {
        const Link *link = &face->links[i];
        int low = link->first < link->last ? link->first : link->last, high = link->first + link->last - low;
        if (link->chain == of->chain && low < of->last && high > of->first) return link->first < link->last;
    }
    assert(!"a seam of a piece that it does not bound");
    return false;
}

static bool find_hull(Lapping *l, int piece, Error *err)
{
    PieceState *state = &l->pieces[piece];
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
    const PieceState *state = &l->pieces[piece];
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
    Step *steps = arena_grow(&l->store, l->steps, l->step_count, &l->step_room, sizeof *steps);
    if (!steps) return error_memory(err);
    l->steps = steps;
    steps[l->step_count++] = (Step){seam, l->out->seams[seam].lap_of, piece, l->seams[seam].shape, l->out->pieces[piece].fit};
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
        const Step *step = &l->steps[--l->step_count];
        set_lap(l, step->seam, step->lap_of, step->shape);
        l->out->pieces[step->piece].fit = step->fit;
    }
}

static bool try_side(Lapping *l, int seam, int piece, bool *laid, Error *err)
{
    SeamState *state = &l->seams[seam];
    int neighbour = other_piece(l, seam, piece);
    LapShape shape;
    Cover obstacles;
    Fit fit = l->out->pieces[piece].fit;
    *laid = false;
    if (l->pieces[piece].frozen) return true;
    if (!find_obstacles(l, seam, neighbour, &obstacles, err)) return false;
    if (!lap_shape(state->points, state->count, !runs_along(l, seam, piece), &obstacles, l->options->lap_mm, &l->store,
                   l->work, &shape, err))
        return false;
    if (shape.wide_mm < fmax(WIDE_LEAST_MM, WIDE_SHARE * l->out->seams[seam].length_mm)) return true;
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
    const PieceState *state = &l->pieces[piece];
    size_t before = l->step_count;
    if (!work_goes_on(l->work, err) || !try_side(l, seam, piece, laid, err)) return false;
    for (int k = 0; k < state->seam_count && !*laid && deep > 0; k++) {
        int other = state->seams[k];
        if (!has_lap_of(l, other, piece) || l->seams[other].moved_in == l->attempt) continue;
        l->seams[other].moved_in = l->attempt;
        if (!note_step(l, other, piece, err)) return false;
        set_lap(l, other, -1, (LapShape){0});
        if (!make_room(l, other, other_piece(l, other, piece), deep - 1, laid, err)) return false;
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
                (laid || make_room(l, seam, other_piece(l, seam, first), deep, &laid, err));
    arena_rewind(&l->work->scratch, mark);
    return fine;
}

// ---- pieces that are cut already ----

static const FrozenPiece *frozen_of(const Lapping *l, int piece)
{
    const SeamWishes *wishes = &l->options->wishes;
    for (int i = 0; i < wishes->frozen_count; i++)
        if (strcmp(wishes->frozen[i].id, l->out->pieces[piece].id) == 0) return &wishes->frozen[i];
    return NULL;
}

// The share of the seam beside which the piece is cut beyond its face.
static double share_cut_beyond(const SeamState *seam, const Cover *cut, bool right)
{
    int looks = 0, found = 0;
    for (int i = 0; i + 1 < seam->count; i++) {
        Point a = seam->points[i], b = seam->points[i + 1];
        double dx = ((double)b.x - a.x) / UM_PER_MM, dy = ((double)b.y - a.y) / UM_PER_MM, length = sqrt(dx * dx + dy * dy);
        double nx = (right ? -dy : dy) / length, ny = (right ? dx : -dx) / length;
        int steps = (int)ceil(length / LOOK_STEP_MM);
        for (int k = 0; k < steps; k++, looks++) {
            double t = (k + 0.5) / steps;
            found += cover_contains(cut, point_from_mm(a.x / UM_PER_MM + t * dx + LOOK_OFF_MM * nx,
                                                       a.y / UM_PER_MM + t * dy + LOOK_OFF_MM * ny));
        }
    }
    return looks ? (double)found / looks : 0.0;
}

// Whether a place of what is cut of a frozen piece lies in its face, or under a piece that a lap seam of its own joins it to.
static bool is_covered(const Lapping *l, int piece, const Cover *faces, Point at)
{
    if (cover_distance_mm(&faces[piece], at, UNDER_MM) < UNDER_MM || cover_contains(&faces[piece], at)) return true;
    for (int k = 0; k < l->pieces[piece].seam_count; k++) {
        int seam = l->pieces[piece].seams[k];
        if (l->out->seams[seam].form != SEAM_LAP || l->out->seams[seam].lap_of != piece) continue;
        if (cover_contains(&faces[other_piece(l, seam, piece)], at)) return true;
    }
    return false;
}

// What lay beside a frozen piece may have been divided anew, across its lap: then the lap would lie under two pieces.
static bool check_written_laps(Lapping *l, int piece, Error *err)
{
    const Rings *rings = &l->out->pieces[piece].cut;
    Cover *faces = arena_new(&l->store, Cover, l->out->piece_count);
    if (!faces || !cover_make(&l->out->pieces[piece].rings, &l->store, &faces[piece], err)) return faces ? false : error_memory(err);
    for (int k = 0; k < l->pieces[piece].seam_count; k++) {
        int other = other_piece(l, l->pieces[piece].seams[k], piece);
        if (!cover_make(&l->out->pieces[other].rings, &l->store, &faces[other], err)) return false;
    }
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++) {
            Point a = rings->items[r].points[i], b = rings->items[r].points[(i + 1) % rings->items[r].count];
            int steps = (int)ceil(point_distance_mm(a, b) / LOOK_STEP_MM);
            for (int s = 0; s < steps; s++) {
                Point at = {a.x + (int32_t)(((double)b.x - a.x) * s / steps), a.y + (int32_t)(((double)b.y - a.y) * s / steps)};
                if (!is_covered(l, piece, faces, at))
                    return error_set(err, ERROR_JOB,
                                     "piece %s is cut already, and its lap would lie under other pieces than the one it was cut "
                                     "for; let it go, or keep the one beside it as well",
                                     l->out->pieces[piece].id);
            }
        }
    return true;
}

static bool take_written_laps(Lapping *l, int piece, Error *err)
{
    const Rings *rings = &l->out->pieces[piece].cut;
    Cover cut;
    if (!cover_make(rings, &l->store, &cut, err)) return false;
    for (int s = 0; s < l->out->seam_count; s++) {
        const int *pair = l->out->seams[s].pieces;
        if (pair[0] != piece && pair[1] != piece) continue;
        PieceState *under = &l->pieces[pair[0] + pair[1] - piece];
        if (share_cut_beyond(&l->seams[s], &cut, !runs_along(l, s, piece)) < WIDE_SHARE) continue; // as the proof asks
        l->out->seams[s].form = SEAM_LAP;
        l->out->seams[s].lap_of = piece;
        for (int r = 0; r < rings->count; r++)
            for (int i = 0; i < rings->items[r].count; i++) {
                CoverEdge edge = {rings->items[r].points[i], rings->items[r].points[(i + 1) % rings->items[r].count]};
                if (!add_edge(&under->under, &under->under_count, &under->under_room, edge, &l->store, err)) return false;
            }
    }
    return check_written_laps(l, piece, err);
}

// The angle at which the face fits need not do for what is cut.
static bool turn_to_fit(Lapping *l, int piece, Error *err)
{
    Piece *of = &l->out->pieces[piece];
    Point *points = arena_new(&l->store, Point, rings_point_count(&of->cut));
    int count = 0, hull_count;
    if (!points) return error_memory(err);
    for (int r = 0; r < of->cut.count; r++)
        for (int i = 0; i < of->cut.items[r].count; i++) points[count++] = of->cut.items[r].points[i];
    Point *hull = hull_make(points, count, &l->store, &hull_count);
    if (!hull) return error_memory(err);
    const Paper *paper = piece_paper(l->options, of->id);
    if (!hull_fits(hull, hull_count, paper_fit_space(paper), &of->fit))
        return error_set(err, ERROR_JOB, "piece %s is cut already, and does not fit %s; this change would alter it", of->id, paper->id);
    return true;
}

static bool take_frozen(Lapping *l, Error *err)
{
    for (int p = 0; p < l->out->piece_count && l->options->wishes.frozen_count > 0; p++) {
        const FrozenPiece *frozen = frozen_of(l, p);
        if (!frozen) continue;
        l->pieces[p].frozen = true;
        if (!frozen->face) continue;
        if (!lap_outline_as_written(l->out, p, frozen->outline, l->keep, l->work, err) || !turn_to_fit(l, p, err) ||
            !take_written_laps(l, p, err))
            return false;
    }
    return true;
}

// ---- the whole layer ----

static bool take_points(Lapping *l, Error *err)
{
    for (int s = 0; s < l->out->seam_count; s++) {
        const Link *link = &l->out->seams[s].links[0];
        SeamState *state = &l->seams[s];
        state->points = arena_new(&l->store, Point, link_point_count(link));
        if (!state->points) return error_memory(err);
        for (int i = 0; i < link_point_count(link); i++) state->points[state->count++] = link_point(&l->out->chains, link, i);
    }
    return true;
}

static bool list_seams(Lapping *l, Error *err)
{
    for (int s = 0; s < l->out->seam_count; s++)
        for (int k = 0; k < 2; k++) l->pieces[l->out->seams[s].pieces[k]].seam_count++;
    for (int p = 0; p < l->out->piece_count; p++) {
        l->pieces[p].seams = arena_new(&l->store, int, l->pieces[p].seam_count);
        if (!l->pieces[p].seams) return error_memory(err);
        l->pieces[p].seam_count = 0;
    }
    for (int s = 0; s < l->out->seam_count; s++)
        for (int k = 0; k < 2; k++) {
            PieceState *piece = &l->pieces[l->out->seams[s].pieces[k]];
            piece->seams[piece->seam_count++] = s;
        }
    return true;
}

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

static void add_refused(const Lapping *l, Text *text, Refusal why, const char *reason)
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
    const SeamState *at = &l->seams[first];
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
    l->pieces = arena_new(&l->store, PieceState, l->out->piece_count);
    l->seams = arena_new(&l->store, SeamState, l->out->seam_count);
    if (!l->pieces || !l->seams) return error_memory(err);
    if (!take_points(l, err) || !list_seams(l, err) || !take_frozen(l, err)) return false;
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

// replay_seams.c - what the edits say of seams, a layer at a time; see replay.h.
#include "job/replay.h"

#include "job/freeze.h"
#include "shape/overlay.h"

#include <math.h>

#define ALONG_MM 5.0            // a line that stays this near to another runs along it, as in SeamWishes
#define CLEAR_COARSE_MM 0.1     // of an area to keep clear: finer only costs time where seams are judged
#define FARTHEST_MM 99000.0     // coordinates end at 100 m

typedef struct Line {
    SeamLine run;
    const Edit *edit;
    bool dropped;   // another edit took its place
} Line;

typedef struct Lines {
    Line *items;
    size_t count, capacity;
} Lines;

typedef struct FrozenList {
    FrozenPiece *items;
    size_t count, capacity;
} FrozenList;

typedef struct LayerLines {
    Lines fixed, forbidden;
    FrozenList frozen;
} LayerLines;

typedef struct Gather {
    const Stack *stack;
    Replay *replay;
    Arena *keep;
    Work *work;
    LayerLines *layers;
    Rings *areas;       // to keep clear, one ring each
    int area_count;
} Gather;

static Point to_point(const FigureFrame *frame, FigurePoint p)
{
    double x = frame->left_mm + p.x * frame->height_mm, y = frame->top_mm + p.y * frame->height_mm;
    return point_from_mm(fmin(fmax(x, -FARTHEST_MM), FARTHEST_MM), fmin(fmax(y, -FARTHEST_MM), FARTHEST_MM));
}

// Points without equal neighbours.
static bool to_points(const Gather *g, const FigurePoint *from, int from_count, Point **out, int *out_count, Error *err)
{
    Point *points = arena_new(g->keep, Point, from_count);
    if (!points) return error_memory(err);
    int count = 0;
    for (int i = 0; i < from_count; i++) {
        Point p = to_point(&g->replay->frame, from[i]);
        if (count == 0 || !point_equal(points[count - 1], p)) points[count++] = p;
    }
    *out = points;
    *out_count = count;
    return true;
}

static bool to_line(const Gather *g, const FigurePoint *from, int from_count, SeamLine *out, Error *err)
{
    Point *points;
    if (!to_points(g, from, from_count, &points, &out->count, err)) return false;
    out->points = points;
    return true;
}

// ---- lines that meet ----

static double distance_mm(Point p, const SeamLine *line)
{
    double least = INFINITY;
    for (int i = 1; i < line->count; i++)
        least = fmin(least, point_segment_distance_mm(p, line->points[i - 1], line->points[i]));
    return least;
}

static bool stays_near(const SeamLine *line, const SeamLine *other, double limit_mm)
{
    for (int i = 0; i < line->count; i++)
        if (distance_mm(line->points[i], other) > limit_mm) return false;
    return true;
}

static bool runs_along(const SeamLine *a, const SeamLine *b)
{
    return stays_near(a, b, ALONG_MM) || stays_near(b, a, ALONG_MM);
}

static bool runs_along_any(const Lines *lines, const SeamLine *line)
{
    for (size_t i = 0; i < lines->count; i++)
        if (!lines->items[i].dropped && runs_along(&lines->items[i].run, line)) return true;
    return false;
}

// Drops what runs along a later line; with a reason it is told.
static bool drop_along(Gather *g, Lines *lines, const SeamLine *later, const char *reason, Error *err)
{
    for (size_t i = 0; i < lines->count; i++) {
        Line *line = &lines->items[i];
        if (line->dropped || !runs_along(&line->run, later)) continue;
        line->dropped = true;
        if (reason && !replay_tell(g->replay, line->edit, "edit-not-kept", reason, g->keep, err)) return false;
    }
    return true;
}

static bool add_line(Gather *g, Lines *lines, const SeamLine *run, const Edit *edit, Error *err)
{
    Line *items = arena_grow(g->keep, lines->items, lines->count, &lines->capacity, sizeof *items);
    if (!items) return error_memory(err);
    lines->items = items;
    lines->items[lines->count++] = (Line){*run, edit, false};
    return true;
}

// ---- kinds ----

static bool is_near_paper(const Rings *rings, Point p)
{
    if (rings_contain(rings, p)) return true;
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        for (int i = 0; i < ring->count; i++)
            if (point_segment_distance_mm(p, ring->points[i], ring->points[i + 1 < ring->count ? i + 1 : 0]) <= ALONG_MM) return true;
    }
    return false;
}

// A seam ends on the edge of its paper or on another seam: a line of which no end and no middle lies near paper was none.
static bool can_have_been_seam(const Rings *rings, const SeamLine *line)
{
    for (int i = 0; i < line->count; i++) {
        Point p = line->points[i], q = line->points[i + 1 < line->count ? i + 1 : i];
        Point middle = {(int32_t)(((int64_t)p.x + q.x) / 2), (int32_t)(((int64_t)p.y + q.y) / 2)};
        if (is_near_paper(rings, p) || is_near_paper(rings, middle)) return true;
    }
    return false;
}

static bool fix_seam(Gather *g, LayerLines *layer, const Edit *edit, const SeamLine *run, Error *err)
{
    if (edit->kind == EDIT_SEAM_MOVED) {
        SeamLine from;
        if (!to_line(g, edit->from, edit->from_count, &from, err)) return false;
        const Rings *paper = &g->stack->layers[layer - g->layers].rings;
        if (!runs_along_any(&layer->fixed, &from) && !can_have_been_seam(paper, &from) &&
            !replay_tell(g->replay, edit, "edit-without-target", "where it is moved from, this colour has no paper", g->keep, err))
            return false;
        if (!drop_along(g, &layer->fixed, &from, NULL, err)) return false; // it is this seam that has moved
        bool is_clear = from.count > 1 && !stays_near(&from, run, 2.0 * ALONG_MM);
        if (is_clear && !add_line(g, &layer->forbidden, &from, edit, err)) return false;
    }
    return drop_along(g, &layer->forbidden, run, "a later edit wants a seam there", err) &&
           drop_along(g, &layer->fixed, run, NULL, err) && // the same seam, said once more
           add_line(g, &layer->fixed, run, edit, err);
}

static bool forbid_seam(Gather *g, LayerLines *layer, const Edit *edit, const SeamLine *run, Error *err)
{
    return drop_along(g, &layer->fixed, run, "a later edit forbids a seam there", err) &&
           add_line(g, &layer->forbidden, run, edit, err);
}

static bool freeze(Gather *g, LayerLines *layer, const Edit *edit, Error *err)
{
    Path *outline = arena_new(g->keep, Path, 1);
    FrozenPiece *items = arena_grow(g->keep, layer->frozen.items, layer->frozen.count, &layer->frozen.capacity, sizeof *items);
    Path *face = edit->face ? arena_new(g->keep, Path, 1) : NULL;
    bool is_path, is_face = true;
    if (!outline || !items || (edit->face && !face)) return error_memory(err);
    layer->frozen.items = items;
    if (!freeze_path(edit->path, g->keep, outline, &is_path, err)) return false;
    if (face && !freeze_path(edit->face, g->keep, face, &is_face, err)) return false;
    if (!is_path || !is_face) return replay_tell(g->replay, edit, "edit-not-kept", "its outline cannot be read", g->keep, err);
    items[layer->frozen.count++] = (FrozenPiece){edit->text, outline, face};
    return true;
}

static bool take_layer_edit(Gather *g, const Edit *edit, Error *err)
{
    int layer = replay_find_layer(g->replay, g->stack, edit);
    if (layer < 0)
        return replay_tell(g->replay, edit, "edit-without-target", "the picture has no such colour", g->keep, err);
    if (edit->kind == EDIT_FROZEN) return freeze(g, &g->layers[layer], edit, err);
    SeamLine run;
    if (!to_line(g, edit->points, edit->point_count, &run, err)) return false;
    if (run.count < 2) return replay_tell(g->replay, edit, "edit-without-target", "the line has no length", g->keep, err);
    return edit->kind == EDIT_SEAM_FORBIDDEN ? forbid_seam(g, &g->layers[layer], edit, &run, err)
                                             : fix_seam(g, &g->layers[layer], edit, &run, err);
}

static bool take_area(Gather *g, const Edit *edit, Error *err)
{
    Ring *ring = arena_new(g->keep, Ring, 1);
    if (!ring) return error_memory(err);
    if (!to_points(g, edit->points, edit->point_count, &ring->points, &ring->count, err)) return false;
    while (ring->count > 1 && point_equal(ring->points[0], ring->points[ring->count - 1])) ring->count--;
    if (ring->count < 3 || ring_area2_um2(ring) == 0 || !ring_is_simple(ring))
        return replay_tell(g->replay, edit, "edit-not-kept", "it is no area with one border that meets itself nowhere", g->keep, err);
    if (ring_area2_um2(ring) < 0)
        for (int i = 0, k = ring->count - 1; i < k; i++, k--) {
            Point p = ring->points[i];
            ring->points[i] = ring->points[k];
            ring->points[k] = p;
        }
    g->areas[g->area_count++] = (Rings){ring, 1};
    return true;
}

// The topmost layer at a place, or -1.
static int layer_at(const Stack *stack, Point p)
{
    for (int layer = stack->layer_count - 1; layer >= 0; layer--)
        if (rings_contain(&stack->layers[layer].rings, p)) return layer;
    return -1;
}

// What shows of it, flat; of the base the stack has no share of its own.
static bool shown_of(Gather *g, int layer, Arena *own, Rings *out, Error *err)
{
    const Layer *l = &g->stack->layers[layer];
    if (layer > 0) return area_rings(&g->stack->chains, &l->seen, own, out, err);
    if (l->cover.count > 0) return overlay_rings(&l->rings, &l->cover, OVERLAY_DIFFERENCE, own, g->work, out, err);
    *out = l->rings;
    return true;
}

// The smallest outer ring round a point, or -1.
static int outer_round(const Rings *rings, Point p)
{
    int best = -1;
    double least = INFINITY;
    for (int i = 0; i < rings->count; i++) {
        Rings only = {&rings->items[i], 1};
        double area = ring_area_mm2(&rings->items[i]);
        if (area <= 0.0 || area >= least || !rings_contain(&only, p)) continue;
        best = i, least = area;
    }
    return best;
}

// The connected part round a place, with its holes.
static bool part_at(Gather *g, const Rings *all, Point p, Rings *out, Error *err)
{
    int outer = outer_round(all, p);
    *out = (Rings){arena_new(g->keep, Ring, all->count), 0};
    if (!out->items) return error_memory(err);
    if (outer < 0) return true;
    out->items[out->count++] = all->items[outer];
    for (int i = 0; i < all->count; i++)
        if (ring_area_mm2(&all->items[i]) < 0.0 && outer_round(all, all->items[i].points[0]) == outer) out->items[out->count++] = all->items[i];
    return true;
}

static bool find_part(Gather *g, Point p, Arena *own, Rings *out, Error *err)
{
    Rings shown, part;
    int layer = layer_at(g->stack, p);
    *out = (Rings){0};
    if (layer < 0) return true;
    return shown_of(g, layer, own, &shown, err) && part_at(g, &shown, p, &part, err) &&
           (part.count == 0 || overlay_simplify(&part, CLEAR_COARSE_MM, g->keep, g->work, out, err));
}

// The area of one colour at a place.
static bool take_part(Gather *g, const Edit *edit, Error *err)
{
    Rings part;
    Arena own = arena_make(g->keep->budget_bytes);
    bool done = find_part(g, to_point(&g->replay->frame, edit->at), &own, &part, err);
    arena_free(&own);
    if (!done) return false;
    if (part.count == 0) return replay_tell(g->replay, edit, "edit-without-target", "there is no paper", g->keep, err);
    g->areas[g->area_count++] = part;
    return true;
}

static bool take_edits(Gather *g, Error *err)
{
    for (size_t i = 0; i < g->replay->edits->count; i++) {
        const Edit *edit = &g->replay->edits->items[i];
        bool is_layers = edit->kind == EDIT_SEAM || edit->kind == EDIT_SEAM_MOVED ||
                         edit->kind == EDIT_SEAM_FORBIDDEN || edit->kind == EDIT_FROZEN;
        if (!work_goes_on(g->work, err)) return false;
        if (is_layers && !take_layer_edit(g, edit, err)) return false;
        if (edit->kind == EDIT_KEEP_CLEAR && !(edit->point_count > 0 ? take_area : take_part)(g, edit, err)) return false;
    }
    return true;
}

// ---- the result ----

static bool pick(const Lines *lines, Arena *keep, const SeamLine **out, int *out_count, Error *err)
{
    SeamLine *runs = arena_new(keep, SeamLine, lines->count);
    if (!runs) return error_memory(err);
    *out = runs;
    for (size_t i = 0; i < lines->count; i++)
        if (!lines->items[i].dropped) runs[(*out_count)++] = lines->items[i].run;
    return true;
}

static bool unite_areas(Gather *g, const Rings **out, Error *err)
{
    Rings *clear = arena_new(g->keep, Rings, 1);
    if (!clear) return error_memory(err);
    *out = g->area_count > 0 ? clear : NULL;
    return g->area_count == 0 || overlay_rings_union(g->areas, g->area_count, g->keep, g->work, clear, err);
}

bool replay_seams(const Stack *stack, Arena *keep, Work *work, Replay *replay, SeamWishes **out, Error *err)
{
    Gather g = {.stack = stack, .replay = replay, .keep = keep, .work = work};
    *out = arena_new(keep, SeamWishes, stack->layer_count);
    g.layers = arena_new(keep, LayerLines, stack->layer_count);
    g.areas = arena_new(keep, Rings, replay->edits->count);
    if (!*out || !g.layers || !g.areas) return error_memory(err);
    const Rings *clear = NULL;
    if (!take_edits(&g, err) || !unite_areas(&g, &clear, err)) return false;
    for (int layer = 0; layer < stack->layer_count; layer++) {
        SeamWishes *wishes = &(*out)[layer];
        const LayerLines *lines = &g.layers[layer];
        *wishes = (SeamWishes){.keep_clear = clear, .frozen = lines->frozen.items, .frozen_count = (int)lines->frozen.count};
        if (!pick(&lines->fixed, keep, &wishes->fixed, &wishes->fixed_count, err) ||
            !pick(&lines->forbidden, keep, &wishes->forbidden, &wishes->forbidden_count, err))
            return false;
    }
    return true;
}

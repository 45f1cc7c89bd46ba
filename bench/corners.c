// corners.c - see corners.h.
#include "corners.h"

#include "outline/arcs.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define STEP_PX 0.125       // between two points of a line that is looked at
#define STRONG_COS 0.866025 // 30 degrees
#define WEAK_COS 0.939693   // 20 degrees
#define AHEAD_PX 1.0        // from the place to the middle of the stretch that tells the direction
#define STRETCH_PX 1.5
#define APART_PX 2.0        // two corners nearer than this are counted once
#define PEAK_PX 1.0         // a place that turns most over so much is one to be met
#define NEAR_PX 1.5
#define JUNCTION_PX 3.0
#define LEAST_AREA_PX 20
#define LONG_SIDE_PX 4.5
#define SIDE_FROM_PX 0.25   // off the corner
#define STRAIGHT_PX 0.15

typedef struct Place { double x, y; } Place;
typedef struct Line { Place *at; int count; bool is_loop; } Line;
typedef struct Turn { Place at; bool is_strong, is_counted, is_long; } Turn;
typedef struct Turns { Turn *items; int count, capacity; } Turns;
typedef struct Places { Place *items; int count, capacity; } Places;

static double apart(Place a, Place b)
{
    return hypot(a.x - b.x, a.y - b.y);
}

static void add_place(Places *list, Place at)
{
    if (list->count == list->capacity)
        list->items = realloc(list->items, (size_t)(list->capacity = 2 * list->capacity + 64) * sizeof at);
    list->items[list->count++] = at;
}

static void add_turn(Turns *list, Turn turn)
{
    if (list->count == list->capacity)
        list->items = realloc(list->items, (size_t)(list->capacity = 2 * list->capacity + 64) * sizeof turn);
    list->items[list->count++] = turn;
}

// Points at even steps along a line.
static Line even_steps(const Place *from, int count, bool is_loop)
{
    Places out = {0};
    double left = 0;
    for (int i = 0; i + (is_loop ? 0 : 1) < count; i++) {
        Place a = from[i], b = from[(i + 1) % count];
        double l = apart(a, b), at = left;
        for (; at < l; at += STEP_PX) add_place(&out, (Place){a.x + (b.x - a.x) * at / l, a.y + (b.y - a.y) * at / l});
        left = at - l;
    }
    return (Line){out.items, out.count, is_loop};
}

// Unit direction of points first .. first + n, by least squares.
static bool direction_over(const Line *line, int first, int n, Place *out)
{
    double mx = 0, my = 0, xx = 0, xy = 0, yy = 0;
    if (!line->is_loop && (first < 0 || first + n > line->count)) return false;
    if (line->count < 3 * n) return false;
#define AT(i) line->at[(((i) % line->count) + line->count) % line->count]
    for (int i = first; i < first + n; i++) mx += AT(i).x, my += AT(i).y;
    mx /= n, my /= n;
    for (int i = first; i < first + n; i++) {
        double dx = AT(i).x - mx, dy = AT(i).y - my;
        xx += dx * dx, xy += dx * dy, yy += dy * dy;
    }
    double half = (xx - yy) / 2, root = hypot(half, xy);
    Place d = half >= 0 ? (Place){half + root, xy} : (Place){xy, root - half};
    double l = hypot(d.x, d.y);
    if (l <= 0) return false;
    Place run = {AT(first + n - 1).x - AT(first).x, AT(first + n - 1).y - AT(first).y};
    if (run.x * d.x + run.y * d.y < 0) l = -l;
#undef AT
    *out = (Place){d.x / l, d.y / l};
    return true;
}

// Whether the line is straight for LONG_SIDE_PX on one side of point i.
static bool is_long_side(const Line *line, int i, int step)
{
    int n = (int)(LONG_SIDE_PX / STEP_PX), first = i + step * (int)(SIDE_FROM_PX / STEP_PX) - (step < 0 ? n : 0);
    Place d, middle = {0, 0};
    if (!direction_over(line, first, n, &d)) return false;
#define AT(i) line->at[(((i) % line->count) + line->count) % line->count]
    for (int k = first; k < first + n; k++) middle.x += AT(k).x / n, middle.y += AT(k).y / n;
    for (int k = first; k < first + n; k++)
        if (fabs((AT(k).x - middle.x) * d.y - (AT(k).y - middle.y) * d.x) > STRAIGHT_PX) return false;
#undef AT
    return true;
}

// How far along the line (at most `reach` points) nothing turns more than point i.
static int reach_of(const Line *line, const double *cosine, int i, int reach)
{
    for (int off = 1; off <= reach; off++)
        for (int k = -off; k <= off; k += 2 * off) {
            int j = i + k;
            if (line->is_loop) j = (j % line->count + line->count) % line->count;
            if (j < 0 || j >= line->count) continue;
            if (cosine[j] < cosine[i] || (cosine[j] == cosine[i] && k < 0)) return off - 1;
        }
    return reach;
}

static void find_turns(const Line *line, Turns *out)
{
    int n = (int)(STRETCH_PX / STEP_PX), ahead = (int)(AHEAD_PX / STEP_PX), most = (int)(APART_PX / STEP_PX);
    double *cosine = malloc((size_t)(line->count + 1) * sizeof *cosine);
    for (int i = 0; i < line->count; i++) {
        Place before, after;
        cosine[i] = direction_over(line, i - ahead - n / 2, n, &before) && direction_over(line, i + ahead - n / 2, n, &after)
                        ? before.x * after.x + before.y * after.y : 1;
    }
    for (int i = 0; i < line->count; i++) {
        if (cosine[i] > WEAK_COS) continue;
        int reach = reach_of(line, cosine, i, most);
        if (reach < (int)(PEAK_PX / STEP_PX)) continue;
        bool is_long = is_long_side(line, i, -1) && is_long_side(line, i, 1);
        add_turn(out, (Turn){line->at[i], cosine[i] < STRONG_COS, reach == most, is_long});
    }
    free(cosine);
}

// ---- places in a grid, to look them up ----

typedef struct Grid { int width, height, *first, *next; const void *items; size_t size; int count; } Grid;

#define CELL_PX 4.0

static Grid grid_make(const void *items, size_t size, int count, double width_px, double height_px)
{
    Grid g = {(int)(width_px / CELL_PX) + 3, (int)(height_px / CELL_PX) + 3, NULL, NULL, items, size, count};
    size_t cells = (size_t)g.width * (size_t)g.height;
    g.first = malloc(cells * sizeof(int));
    g.next = malloc((size_t)(count + 1) * sizeof(int));
    for (size_t i = 0; i < cells; i++) g.first[i] = -1;
    for (int i = 0; i < count; i++) {
        const Place *p = (const Place *)(const void *)((const char *)items + (size_t)i * size); // an item starts with its place
        int x = (int)(p->x / CELL_PX) + 1, y = (int)(p->y / CELL_PX) + 1;
        x = x < 0 ? 0 : x >= g.width ? g.width - 1 : x, y = y < 0 ? 0 : y >= g.height ? g.height - 1 : y;
        g.next[i] = g.first[y * g.width + x];
        g.first[y * g.width + x] = i;
    }
    return g;
}

static bool grid_has_near(const Grid *g, Place at, double within)
{
    int cx = (int)(at.x / CELL_PX) + 1, cy = (int)(at.y / CELL_PX) + 1;
    for (int y = cy - 1; y <= cy + 1; y++)
        for (int x = cx - 1; x <= cx + 1; x++) {
            if (x < 0 || y < 0 || x >= g->width || y >= g->height) continue;
            for (int i = g->first[y * g->width + x]; i >= 0; i = g->next[i])
                if (apart(at, *(const Place *)(const void *)((const char *)g->items + (size_t)i * g->size)) <= within) return true;
        }
    return false;
}

static void grid_free(Grid *g)
{
    free(g->first);
    free(g->next);
}

// ---- the two sides ----

static bool truth_turns(const Truth *t, Turns *turns, Places *left_out)
{
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    CrackMap map;
    Error err = {0};
    bool good = arcs_find(t->at, t->width, t->height, &keep, &work, &map, &err);
    double s = 1.0 / t->samples;
    int64_t least = (int64_t)LEAST_AREA_PX * t->samples * t->samples;
    for (int i = 0; good && i < map.arc_count; i++) {
        const CrackArc *arc = &map.arcs[i];
        bool is_small = (arc->left && map.regions[arc->left].area_px < least) || (arc->right && map.regions[arc->right].area_px < least);
        Place *middles = malloc((size_t)arc->count * sizeof *middles);
        for (int k = 0; k < arc->count; k++) {
            const Cell *c = map.corners + arc->first + k, *d = arc->is_loop && k + 1 == arc->count ? map.corners + arc->first : c + 1;
            middles[k] = (Place){(c->x + d->x) * s / 2, (c->y + d->y) * s / 2};
        }
        if (is_small) {
            for (int k = 0; k < arc->count; k += t->samples) add_place(left_out, middles[k]);
        } else {
            Line line = even_steps(middles, arc->count, arc->is_loop);
            find_turns(&line, turns);
            free(line.at);
        }
        for (int end = 0; end < 2 && !arc->is_loop; end++) {
            Cell c = map.nodes[end ? arc->to : arc->from];
            add_place(left_out, (Place){c.x * s, c.y * s});
        }
        free(middles);
    }
    if (!good) fprintf(stderr, "corners: %s\n", err.text);
    arena_free(&keep);
    arena_free(&work.scratch);
    return good;
}

static Place in_px(const Outlines *o, Point p)
{
    return (Place){(p.x / 1000.0 - o->offset_mm) / o->mm_per_px + o->origin_px[0],
                   (p.y / 1000.0 - o->offset_mm) / o->mm_per_px + o->origin_px[1]};
}

static void our_turns(const Outlines *o, Turns *turns, Places *left_out)
{
    for (int i = 0; i < o->arc_count; i++) {
        const Chain *chain = &o->chains.items[i];
        bool is_loop = o->arcs[i].from == o->arcs[i].to;
        int count = chain->point_count - (is_loop ? 1 : 0);
        Place *at = malloc((size_t)chain->point_count * sizeof *at);
        for (int k = 0; k < chain->point_count; k++) at[k] = in_px(o, chain->points[k]);
        Line line = even_steps(at, count, is_loop);
        find_turns(&line, turns);
        if (!is_loop) add_place(left_out, at[0]), add_place(left_out, at[chain->point_count - 1]);
        free(line.at);
        free(at);
    }
}

static Grid turn_grid(const Turns *turns, double width_px, double height_px)
{
    return grid_make(turns->items, sizeof(Turn), turns->count, width_px, height_px);
}

// Those that are counted, and only those: what two corners hide from each other tells one line's own noise from the other's.
static Turns counted_alone(const Turns *turns)
{
    Turns out = {0};
    for (int i = 0; i < turns->count; i++)
        if (turns->items[i].is_counted) add_turn(&out, turns->items[i]);
    return out;
}

// Takes over ours; junctions of ours are in left_out already.
static bool compare(const Truth *t, Turns ours, Places left_out, void *list_file, CornerScore *out)
{
    Turns theirs = {0};
    *out = (CornerScore){0};
    if (!truth_turns(t, &theirs, &left_out)) return false;
    double w = (double)t->width / t->samples, h = (double)t->height / t->samples;
    Grid out_grid = grid_make(left_out.items, sizeof(Place), left_out.count, w, h);
    Turns alone[2] = {counted_alone(&ours), counted_alone(&theirs)};
    Grid met_by[2] = {turn_grid(&ours, w, h), turn_grid(&theirs, w, h)};
    Grid met_by_counted[2] = {turn_grid(&alone[0], w, h), turn_grid(&alone[1], w, h)};
    for (int side = 0; side < 2; side++) {
        const Turns *list = &alone[!side];
        for (int i = 0; i < list->count; i++) {
            Place p = list->items[i].at;
            bool at_frame = p.x < JUNCTION_PX || p.y < JUNCTION_PX || p.x > w - JUNCTION_PX || p.y > h - JUNCTION_PX;
            if (!list->items[i].is_strong || at_frame || grid_has_near(&out_grid, p, JUNCTION_PX)) continue;
            bool met = grid_has_near(&met_by[side], p, NEAR_PX), met_counted = grid_has_near(&met_by_counted[side], p, NEAR_PX);
            if (side) out->ours++, out->false_ones += !met, out->false_counted += !met_counted;
            else out->true_corners++, out->found += met, out->found_counted += met_counted;
            if (!side && list->items[i].is_long) out->long_corners++, out->long_found += met;
            if (!met && list_file) fprintf(list_file, "    %s corner at %.1f, %.1f\n", side ? "false" : "missed", p.x, p.y);
        }
    }
    grid_free(&out_grid);
    for (int side = 0; side < 2; side++) grid_free(&met_by[side]), grid_free(&met_by_counted[side]), free(alone[side].items);
    free(theirs.items), free(ours.items), free(left_out.items);
    return true;
}

bool corners_measure(const Outlines *o, const Truth *t, void *list_file, CornerScore *out)
{
    Turns ours = {0};
    Places left_out = {0};
    our_turns(o, &ours, &left_out);
    return compare(t, ours, left_out, list_file, out);
}

bool corners_measure_truth(const Truth *again, const Truth *t, CornerScore *out)
{
    Turns turns = {0};
    Places left_out = {0};
    return truth_turns(again, &turns, &left_out) && compare(t, turns, left_out, NULL, out);
}

static void end_ring(Places *ring, Turns *turns)
{
    if (ring->count >= 3) {
        Line line = even_steps(ring->items, ring->count, true);
        find_turns(&line, turns);
        free(line.at);
    }
    ring->count = 0;
}

bool corners_measure_polygons(const char *path, const Truth *t, CornerScore *out)
{
    FILE *f = fopen(path, "r");
    if (!f) return false;
    Turns turns = {0};
    Places ring = {0}, none = {0};
    char line[128];
    while (fgets(line, sizeof line, f)) {
        Place p;
        if (sscanf(line, "%lf %lf", &p.x, &p.y) == 2) add_place(&ring, p);
        else end_ring(&ring, &turns);
    }
    end_ring(&ring, &turns);
    fclose(f);
    free(ring.items);
    return compare(t, turns, none, NULL, out);
}

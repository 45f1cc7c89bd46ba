// hiding.c - see hiding.h.
#include "seam/hiding.h"

#include <math.h>

// Puts what is left of lo..hi beside the blocked stretches (sorted by lo) at the end of `out`. *from: the first blocked
// stretch that can still matter, as lo only rises.
static bool add_free(const Stretch *blocked, size_t blocked_count, size_t *from, double lo, double hi, Stretches *out,
                     Arena *arena)
{
    double at = lo;
    while (*from < blocked_count && blocked[*from].hi <= lo) (*from)++;
    for (size_t i = *from; i < blocked_count && blocked[i].lo < hi && at < hi; i++) {
        if (blocked[i].lo > at && !stretches_add(out, (Stretch){at, blocked[i].lo}, arena)) return false;
        if (blocked[i].hi > at) at = blocked[i].hi;
    }
    return at >= hi || stretches_add(out, (Stretch){at, hi}, arena);
}

bool hiding_make(const Rings *cover, double margin_mm, Arena *keep, Hiding *out, Error *err)
{
    *out = (Hiding){.margin_mm = margin_mm};
    if (cover->count > 0 && !cover_make(cover, keep, &out->index, err)) return false;
    return boundary_of_rings(cover, keep, &out->points, &out->next, &out->count, err);
}

// Where a point lies beside the box: a bit for each side that it is beyond.
static unsigned beyond(Box box, Point p)
{
    return (p.x < box.min.x) | (unsigned)(p.x > box.max.x) << 1 | (unsigned)(p.y < box.min.y) << 2 |
           (unsigned)(p.y > box.max.y) << 3;
}

// Copies a ring with straight short cuts for all of it that is beyond one side of the box.
static void copy_near(const Hiding *hiding, int first, int end, Box box, Hiding *out)
{
    int start = out->count;
    unsigned side = 0; // beyond which all is since `start` or the last copied point but one
    for (int i = first; i < end; i++) {
        unsigned here = beyond(box, hiding->points[i]);
        bool runs_on = out->count > start + 1 && (side & here) != 0;
        if (runs_on) out->count--; // the point before was neither the first nor the last out there
        side = runs_on ? side & here : out->count > start ? here & beyond(box, out->points[out->count - 1]) : 0;
        out->points[out->count++] = hiding->points[i];
    }
    if (out->count - start < 3) out->count = start;
    for (int i = start; i < out->count; i++) out->next[i] = i + 1 < out->count ? i + 1 : start;
}

// A line meets a ring that lies wholly elsewhere an even number of times before it comes to the box, and what is moved
// beyond one side of the box crosses no line inside it.
bool hiding_near(const Hiding *hiding, Box box, Arena *keep, Hiding *out, Error *err)
{
    int margin_um = (int)(hiding->margin_mm * UM_PER_MM) + 1;
    Box wide = {{box.min.x - margin_um, box.min.y - margin_um}, {box.max.x + margin_um, box.max.y + margin_um}};
    *out = *hiding;
    out->points = arena_new(keep, Point, hiding->count);
    out->next = arena_new(keep, int, hiding->count);
    out->count = 0;
    if (!out->points || !out->next) return error_memory(err);
    for (int first = 0, end; first < hiding->count; first = end) {
        Box ring = box_empty();
        for (end = first; end == first || hiding->next[end - 1] == end; end++) box_add(&ring, hiding->points[end]);
        if (box_overlap(ring, wide)) copy_near(hiding, first, end, wide, out);
    }
    return true;
}

// The first line at `value` or above, sought from a line near it.
static int line_from(const double *positions, int count, double value, int near)
{
    while (near < count && positions[near] < value) near++;
    while (near > 0 && positions[near - 1] >= value) near--;
    return near;
}

typedef struct Block { // what an edge hides nothing of, for it is too near
    Stretch stretch;
    int before; // of the same line, or -1
} Block;

typedef struct Blocks {
    Block *items;
    size_t count, capacity;
    int *last; // by line
} Blocks;

// Neighbouring edges block overlapping stretches: most add nothing to the last one, or lengthen it.
static bool join_last(Blocks *blocks, int line, Stretch s)
{
    if (blocks->last[line] < 0) return false;
    Stretch *held = &blocks->items[blocks->last[line]].stretch;
    if (s.lo > held->hi || s.hi < held->lo) return false;
    if (s.lo < held->lo) held->lo = s.lo;
    if (s.hi > held->hi) held->hi = s.hi;
    return true;
}

static bool add_block(Blocks *blocks, int line, Stretch s, Arena *arena)
{
    if (s.lo >= s.hi || join_last(blocks, line, s)) return true;
    Block *items = arena_grow(arena, blocks->items, blocks->count, &blocks->capacity, sizeof *items);
    if (!items) return false;
    blocks->items = items;
    items[blocks->count] = (Block){s, blocks->last[line]};
    blocks->last[line] = (int)blocks->count++;
    return true;
}

static bool find_blocks(const Hiding *hiding, const Turned *turned, LineWay way, const double *positions, int count,
                        Arena *arena, Blocks *out)
{
    const double *across = way == LINES_ALONG_U ? turned->v : turned->u;
    const double *along = way == LINES_ALONG_U ? turned->u : turned->v;
    double margin = hiding->margin_mm;
    int first = 0;
    *out = (Blocks){.last = arena_new(arena, int, count)};
    if (!out->last) return false;
    for (int line = 0; line < count; line++) out->last[line] = -1;
    for (int i = 0; i < turned->count; i++) {
        int k = turned->next[i];
        bool rises = across[i] < across[k];
        double lo = (rises ? across[i] : across[k]) - margin, hi = (rises ? across[k] : across[i]) + margin;
        first = line_from(positions, count, lo, first);
        for (int line = first; line < count && positions[line] <= hi; line++) {
            Stretch s = capsule_stretch(along[i], across[i] - positions[line], along[k], across[k] - positions[line], margin);
            if (!add_block(out, line, s, arena)) return false;
        }
    }
    return true;
}

bool hiding_scan(const Hiding *hiding, const Turned *turned, LineWay way, const double *positions, int count,
                 Arena *keep, Scan *out, Error *err)
{
    Scan inner;
    Blocks blocks;
    Stretches free_ones = {0};
    if (!scan_lines(turned, way, positions, count, keep, &inner, err)) return false;
    if (!find_blocks(hiding, turned, way, positions, count, keep, &blocks)) return error_memory(err);
    Stretch *blocked = arena_new(keep, Stretch, blocks.count);
    *out = (Scan){.first = arena_new(keep, int, count + 1), .line_count = count};
    if (!blocked || !out->first) return error_memory(err);
    for (int line = 0; line < count; line++) {
        size_t n = 0, from = 0;
        for (int at = blocks.last[line]; at >= 0; at = blocks.items[at].before) blocked[n++] = blocks.items[at].stretch;
        n = stretches_tidy(blocked, n);
        out->first[line] = 2 * (int)free_ones.count;
        for (int i = inner.first[line]; i + 1 < inner.first[line + 1]; i += 2)
            if (!add_free(blocked, n, &from, inner.items[i].at, inner.items[i + 1].at, &free_ones, keep))
                return error_memory(err);
    }
    out->first[count] = 2 * (int)free_ones.count;
    out->items = arena_new(keep, Crossing, 2 * free_ones.count);
    if (!out->items) return error_memory(err);
    for (size_t i = 0; i < free_ones.count; i++) {
        out->items[2 * i].at = free_ones.items[i].lo;
        out->items[2 * i + 1].at = free_ones.items[i].hi;
    }
    return true;
}

// ---- single segments ----

typedef struct Ray { // a segment as an axis of its own, in millimetres
    double x, y, dx, dy, length;
} Ray;

static bool block_cell(const Hiding *hiding, int cell, const Ray *ray, Stretches *blocked, Arena *scratch)
{
    const Cover *index = &hiding->index;
    for (int h = index->first[cell]; h < index->first[cell + 1]; h++) {
        const CoverEdge *edge = &index->edges[index->held[h]];
        double ax = edge->a.x / UM_PER_MM - ray->x, ay = edge->a.y / UM_PER_MM - ray->y;
        double bx = edge->b.x / UM_PER_MM - ray->x, by = edge->b.y / UM_PER_MM - ray->y;
        Stretch s = capsule_stretch(ax * ray->dx + ay * ray->dy, ay * ray->dx - ax * ray->dy,
                                    bx * ray->dx + by * ray->dy, by * ray->dx - bx * ray->dy, hiding->margin_mm);
        if (s.lo < s.hi && s.hi > 0.0 && s.lo < ray->length && !stretches_add(blocked, s, scratch)) return false;
    }
    return true;
}

static int clamped_cell(double um, double cell_um, int count)
{
    double cell = floor(um / cell_um);
    return cell < 0.0 ? 0 : cell >= count ? count - 1 : (int)cell;
}

// Looks at the grid's cells that come within the margin of the segment.
static bool block_near(const Hiding *hiding, Point a, Point b, const Ray *ray, Stretches *blocked, Arena *scratch)
{
    const Cover *index = &hiding->index;
    double margin_um = hiding->margin_mm * UM_PER_MM, size_mm = index->cell_um / UM_PER_MM;
    int x0 = clamped_cell(fmin(a.x, b.x) - margin_um - index->box.min.x, index->cell_um, index->columns);
    int x1 = clamped_cell(fmax(a.x, b.x) + margin_um - index->box.min.x, index->cell_um, index->columns);
    int y0 = clamped_cell(fmin(a.y, b.y) - margin_um - index->box.min.y, index->cell_um, index->rows);
    int y1 = clamped_cell(fmax(a.y, b.y) + margin_um - index->box.min.y, index->cell_um, index->rows);
    for (int y = y0; y <= y1; y++) {
        for (int x = x0; x <= x1; x++) {
            double cx = index->box.min.x / UM_PER_MM + (x + 0.5) * size_mm - ray->x;
            double cy = index->box.min.y / UM_PER_MM + (y + 0.5) * size_mm - ray->y;
            double away = fabs(cy * ray->dx - cx * ray->dy);
            if (away > hiding->margin_mm + 0.7072 * size_mm) continue;
            if (!block_cell(hiding, y * index->columns + x, ray, blocked, scratch)) return false;
        }
    }
    return true;
}

bool hiding_stretches(const Hiding *hiding, Point a, Point b, Arena *arena, Stretches *out)
{
    *out = (Stretches){0};
    if (hiding->index.edge_count == 0 || point_equal(a, b)) return true;
    int span_count;
    size_t from = 0;
    Stretches blocked = {0};
    Ray ray = {a.x / UM_PER_MM, a.y / UM_PER_MM, 0.0, 0.0, point_distance_mm(a, b)};
    ray.dx = (b.x / UM_PER_MM - ray.x) / ray.length;
    ray.dy = (b.y / UM_PER_MM - ray.y) / ray.length;
    Span *spans = cover_spans(&hiding->index, a, b, arena, &span_count);
    if (!spans) return false;
    bool fine = span_count == 0 || block_near(hiding, a, b, &ray, &blocked, arena);
    blocked.count = stretches_tidy(blocked.items, blocked.count);
    for (int i = 0; i < span_count && fine; i++)
        fine = add_free(blocked.items, blocked.count, &from, spans[i].t0 * ray.length, spans[i].t1 * ray.length, out,
                        arena);
    return fine;
}

double hiding_length_mm(const Hiding *hiding, Point a, Point b, Arena *scratch)
{
    Stretches hidden;
    ArenaMark mark = arena_mark(scratch);
    bool fine = hiding_stretches(hiding, a, b, scratch, &hidden);
    double sum = fine ? 0.0 : -1.0;
    for (size_t i = 0; i < hidden.count && fine; i++) sum += hidden.items[i].hi - hidden.items[i].lo;
    arena_rewind(scratch, mark);
    return sum;
}

// outline_laws.c - see outline_laws.h. Everything here is slow and plain on purpose.
#include "outline_laws.h"

#include "base/rng.h"

#include <math.h>
#include <string.h>

#define UM2_PER_MM2 1e6

Separation outline_flat_separation(const uint8_t *label, int width_px, int height_px, int colour_count, Arena *keep)
{
    Separation s = {.width_px = width_px, .height_px = height_px, .colour_count = colour_count};
    s.label = arena_copy(keep, label, (size_t)width_px * (size_t)height_px, 1);
    s.colours = arena_new(keep, SeparationColour, colour_count + 1);
    for (int i = 0; i < colour_count; i++) {
        unsigned char v = (unsigned char)(i + 1);
        s.colours[i].colour = (Srgb8){(uint8_t)(v * 83), (uint8_t)(255 - v * 47), (uint8_t)(v * 151)};
    }
    return s;
}

Picture outline_flat_picture(const Separation *s, Arena *keep)
{
    size_t count = (size_t)s->width_px * (size_t)s->height_px;
    Picture p = {.width_px = s->width_px, .height_px = s->height_px, .rgba = arena_new(keep, uint8_t, 4 * count)};
    for (size_t i = 0; i < count; i++) {
        if (s->label[i] == 0) continue;
        Srgb8 c = s->colours[s->label[i] - 1].colour;
        memcpy(p.rgba + 4 * i, (uint8_t[4]){c.r, c.g, c.b, 255}, 4);
    }
    return p;
}

typedef struct Pad { int width, height; uint8_t *label; int *region; int *stack; } Pad;

static void flood(Pad *pad, int start, int region)
{
    int depth = 0, steps[4] = {1, -1, pad->width, -pad->width};
    pad->stack[depth++] = start;
    pad->region[start] = region;
    while (depth > 0) {
        int at = pad->stack[--depth], x = at % pad->width;
        for (int k = 0; k < 4; k++) {
            int to = at + steps[k];
            if (to < 0 || to >= pad->width * pad->height) continue;
            if ((k == 0 && x + 1 == pad->width) || (k == 1 && x == 0)) continue;
            if (pad->region[to] >= 0 || pad->label[to] != pad->label[at]) continue;
            pad->region[to] = region;
            pad->stack[depth++] = to;
        }
    }
}

// Regions by flood fill, in the order of their first pixels, the outside first.
static const char *check_regions(const Separation *s, const Outlines *o, Arena *keep)
{
    Pad pad = {s->width_px + 2, s->height_px + 2, NULL, NULL, NULL};
    int count = pad.width * pad.height, regions = 0;
    pad.label = arena_new(keep, uint8_t, count);
    pad.region = arena_new(keep, int, count);
    pad.stack = arena_new(keep, int, count);
    for (int y = 0; y < s->height_px; y++)
        memcpy(pad.label + (y + 1) * pad.width + 1, s->label + y * s->width_px, (size_t)s->width_px);
    for (int i = 0; i < count; i++) pad.region[i] = -1;
    int64_t *area = arena_new(keep, int64_t, count);
    for (int i = 0; i < count; i++)
        if (pad.region[i] < 0) flood(&pad, i, regions++);
    if (regions != o->region_count) return "there are as many regions as components";
    for (int y = 1; y + 1 < pad.height; y++)
        for (int x = 1; x + 1 < pad.width; x++) {
            int r = pad.region[y * pad.width + x];
            area[r]++;
            if (o->regions[r].label != pad.label[y * pad.width + x]) return "regions are numbered by their first pixel";
        }
    for (int r = 0; r < regions; r++)
        if (area[r] != o->regions[r].area_px) return "a region has the area of its pixels";
    return NULL;
}

static const char *check_arcs(const Outlines *o)
{
    if ((size_t)o->arc_count != o->chains.count) return "arc i is chain i";
    for (int i = 0; i < o->arc_count; i++) {
        const Arc *arc = &o->arcs[i];
        const Chain *chain = &o->chains.items[i];
        if (arc->left == arc->right) return "an arc has two regions at its sides";
        if (o->regions[arc->left].label == o->regions[arc->right].label) return "the sides of an arc differ in label";
        if (!point_equal(chain->points[0], o->nodes[arc->from])) return "an arc starts at its node";
        if (!point_equal(chain->points[chain->point_count - 1], o->nodes[arc->to])) return "an arc ends at its node";
        for (int k = 0; k + 1 < chain->point_count; k++)
            if (point_equal(chain->points[k], chain->points[k + 1])) return "no two equal points follow each other";
    }
    return NULL;
}

// Each edge of each arc bounds its right region once forwards and its left one once backwards.
static const char *check_links(const Outlines *o, Arena *keep)
{
    int *ahead = arena_new(keep, int, o->arc_count), *back = arena_new(keep, int, o->arc_count);
    for (int r = 1; r < o->region_count; r++) {
        const Area *area = &o->regions[r].area;
        for (int i = 0; i < area->link_count; i++) {
            Link link = area->links[i];
            if (link.chain < 0 || link.chain >= o->arc_count) return "regions are bounded by arcs only";
            const Arc *arc = &o->arcs[link.chain];
            if ((link.first < link.last ? arc->right : arc->left) != r) return "a region lies on the right of its links";
            if (link.first < link.last) ahead[link.chain] += link.last - link.first;
            else back[link.chain] += link.first - link.last;
        }
    }
    for (int i = 0; i < o->arc_count; i++) {
        int edges = o->chains.items[i].point_count - 1;
        if (ahead[i] != (o->arcs[i].right ? edges : 0)) return "an arc is used once forwards";
        if (back[i] != (o->arcs[i].left ? edges : 0)) return "an arc is used once backwards";
    }
    return NULL;
}

static double arc_sum_mm2(const Chain *chain)
{
    int64_t sum = 0;
    for (int k = 0; k + 1 < chain->point_count; k++) {
        Point a = chain->points[k], b = chain->points[k + 1];
        sum += (int64_t)a.x * b.y - (int64_t)b.x * a.y;
    }
    return (double)sum / 2.0 / UM2_PER_MM2;
}

static const char *check_areas(const Outlines *o, Arena *keep)
{
    double all = 0, outside = 0;
    for (int r = 1; r < o->region_count; r++) {
        const Area *area = &o->regions[r].area;
        if (!(o->regions[r].area_mm2 > 0)) return "a region has a positive area";
        all += o->regions[r].area_mm2;
        Rings rings;
        Error err;
        if (!area_rings(&o->chains, area, keep, &rings, &err)) return "out of memory";
        int outer = 0;
        for (int i = 0; i < rings.count; i++) {
            bool is_outer = area->rings[i].outer == i;
            outer += is_outer;
            if ((ring_area_mm2(&rings.items[i]) > 0) != is_outer) return "outer rings are positive, holes negative";
            if (rings.items[i].count <= 400 && !ring_is_simple(&rings.items[i])) return "a ring does not cross itself";
        }
        if (outer < 1) return "a region has an outer ring";
    }
    for (int i = 0; i < o->arc_count; i++) {
        if (o->arcs[i].right == 0) outside += arc_sum_mm2(&o->chains.items[i]);
        if (o->arcs[i].left == 0) outside -= arc_sum_mm2(&o->chains.items[i]);
    }
    if (fabs(all + outside) > 1e-9 * (1 + all)) return "all regions together are what the outside leaves";
    return NULL;
}

static bool shares_node(const Outlines *o, int a, int ia, int b, int ib)
{
    const Chain *ca = &o->chains.items[a], *cb = &o->chains.items[b];
    if (a == b && ia == ib) return true;
    int na = ia == 0 ? o->arcs[a].from : ia == ca->point_count - 1 ? o->arcs[a].to : -1;
    int nb = ib == 0 ? o->arcs[b].from : ib == cb->point_count - 1 ? o->arcs[b].to : -2;
    return na == nb;
}

// No two flat edges share a point but a joint of one arc or a node of both.
static bool edges_meet(const Outlines *o, int a, int i, int b, int k)
{
    const Point *p = &o->chains.items[a].points[i], *q = &o->chains.items[b].points[k];
    if (!segments_touch(p[0], p[1], q[0], q[1])) return false;
    for (int e = 0; e < 2; e++)
        for (int f = 0; f < 2; f++)
            if (point_equal(p[e], q[f]) && shares_node(o, a, i + e, b, k + f))
                return point_on_segment(p[1 - e], q[0], q[1]) || point_on_segment(q[1 - f], p[0], p[1]);
    return true;
}

static const char *check_meetings(const Outlines *o)
{
    for (int a = 0; a < o->arc_count; a++)
        for (int b = a; b < o->arc_count; b++)
            for (int i = 0; i + 1 < o->chains.items[a].point_count; i++)
                for (int k = a == b ? i + 1 : 0; k + 1 < o->chains.items[b].point_count; k++)
                    if (edges_meet(o, a, i, b, k)) return "arcs meet at nodes only";
    return NULL;
}

static const char *check_box(const Outlines *o)
{
    Box box = box_empty();
    for (int i = 0; i < o->arc_count; i++)
        for (int k = 0; k < o->chains.items[i].point_count; k++) box_add(&box, o->chains.items[i].points[k]);
    double from = o->offset_mm * UM_PER_MM, right = from + o->width_mm * UM_PER_MM, bottom = from + o->height_mm * UM_PER_MM;
    if (fabs(box.min.x - from) > 1 || fabs(box.min.y - from) > 1) return "the figure starts at the offset";
    if (fabs(box.max.x - right) > 1 || fabs(box.max.y - bottom) > 1) return "the figure has the size that was asked";
    return NULL;
}

static const char *check_union(const Outlines *o, uint64_t seed, Arena *keep, Work *work)
{
    Rng rng = rng_make(seed);
    bool *in_set = arena_new(keep, bool, o->region_count);
    for (int round = 0; round < 3; round++) {
        double sum = 0;
        for (int r = 1; r < o->region_count; r++) {
            in_set[r] = rng_below(&rng, 2);
            if (in_set[r]) sum += o->regions[r].area_mm2;
        }
        Area area;
        Error err;
        if (!outline_union(o, in_set, keep, work, &area, &err)) return "a union can be made";
        if (fabs(area_mm2(&o->chains, &area) - sum) > 1e-9 * (1 + sum)) return "a union has the area of its regions";
    }
    return NULL;
}

const char *outline_broken_law(const Separation *separation, const Outlines *o, uint64_t seed, Arena *keep, Work *work)
{
    const char *broken = check_regions(separation, o, keep);
    if (!broken) broken = check_arcs(o);
    if (!broken) broken = check_links(o, keep);
    if (!broken) broken = check_meetings(o);
    if (!broken) broken = check_areas(o, keep);
    if (!broken) broken = check_box(o);
    if (!broken) broken = check_union(o, seed, keep, work);
    return broken;
}

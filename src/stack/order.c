// order.c - the base colour and the order of the others; see order.h.
// "Enclosed" is asked of the map, not of outlines: a region is enclosed by a colour when no way leads from it to the
// outside, region by region across shared arcs, without crossing that colour.
#include "stack/order.h"

#include <string.h>

static uint32_t colour_value(const Outlines *outlines, int colour)
{
    Srgb8 c = outlines->colours[colour].colour;
    return (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
}

static void colour_areas(const Outlines *outlines, double *area_mm2)
{
    for (int i = 1; i < outlines->region_count; i++) {
        const Region *region = &outlines->regions[i];
        if (region->label > 0) area_mm2[region->label - 1] += region->area_mm2;
    }
}

// Larger area first, then the smaller colour value, then the index: never equal for two colours.
static bool goes_first(const Outlines *outlines, const double *area_mm2, int a, int b)
{
    if (area_mm2[a] != area_mm2[b]) return area_mm2[a] > area_mm2[b];
    uint32_t value_a = colour_value(outlines, a), value_b = colour_value(outlines, b);
    return value_a != value_b ? value_a < value_b : a < b;
}

static double arc_length_mm(const Outlines *outlines, int arc)
{
    const Chain *chain = &outlines->chains.items[arc];
    double length = 0.0;
    for (int i = 1; i < chain->point_count; i++) length += point_distance_mm(chain->points[i - 1], chain->points[i]);
    return length;
}

bool order_base_colour(const Outlines *outlines, Work *work, int *out_colour, bool *out_is_line_colour, Error *err)
{
    *out_colour = -1;
    *out_is_line_colour = false;
    ArenaMark mark = arena_mark(&work->scratch);
    double *border_mm = arena_new(&work->scratch, double, outlines->colour_count);
    double *area_mm2 = arena_new(&work->scratch, double, outlines->colour_count);
    if (!border_mm || !area_mm2) return error_memory(err);
    colour_areas(outlines, area_mm2);
    double outline_mm = 0.0;
    for (int i = 0; i < outlines->arc_count; i++) {
        int left = outlines->regions[outlines->arcs[i].left].label,
            right = outlines->regions[outlines->arcs[i].right].label;
        if ((left == 0) == (right == 0)) continue;
        double length = arc_length_mm(outlines, i);
        border_mm[(left ? left : right) - 1] += length;
        outline_mm += length;
    }
    for (int i = 0; i < outlines->colour_count; i++) {
        if (area_mm2[i] <= 0.0) continue;
        if (border_mm[i] >= ORDER_LINE_COLOUR_SHARE * outline_mm) {
            *out_colour = i; // no second colour can reach this share
            *out_is_line_colour = true;
            break;
        }
        if (*out_colour < 0 || goes_first(outlines, area_mm2, i, *out_colour)) *out_colour = i;
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

bool order_largest_colour(const Outlines *outlines, int but, Work *work, int *out_colour, Error *err)
{
    *out_colour = -1;
    ArenaMark mark = arena_mark(&work->scratch);
    double *area_mm2 = arena_new(&work->scratch, double, outlines->colour_count);
    if (!area_mm2) return error_memory(err);
    colour_areas(outlines, area_mm2);
    for (int i = 0; i < outlines->colour_count; i++)
        if (i != but && area_mm2[i] > 0.0 && (*out_colour < 0 || goes_first(outlines, area_mm2, i, *out_colour)))
            *out_colour = i;
    arena_rewind(&work->scratch, mark);
    return true;
}

// The map as a graph: the regions next to each region, as offsets into one list.
typedef struct Neighbours {
    int *first; // region_count + 1
    int *regions;
} Neighbours;

static bool neighbours_make(const Outlines *outlines, Arena *arena, Neighbours *out)
{
    int count = outlines->region_count;
    int *first = arena_new(arena, int, count + 2);
    int *regions = arena_new(arena, int, 2 * (size_t)outlines->arc_count);
    if (!first || !regions) return false;
    for (int i = 0; i < outlines->arc_count; i++) {
        first[outlines->arcs[i].left + 2]++;
        first[outlines->arcs[i].right + 2]++;
    }
    for (int i = 2; i <= count + 1; i++) first[i] += first[i - 1];
    for (int i = 0; i < outlines->arc_count; i++) {
        Arc arc = outlines->arcs[i];
        regions[first[arc.left + 1]++] = arc.right;
        regions[first[arc.right + 1]++] = arc.left;
    }
    *out = (Neighbours){first, regions};
    return true;
}

// Marks what can be reached from the outside without crossing the colour. `queue` has room for all regions.
static void flood_without(const Outlines *outlines, const Neighbours *neighbours, int colour, bool *reached, int *queue)
{
    memset(reached, 0, (size_t)outlines->region_count * sizeof *reached);
    int head = 0, tail = 0;
    reached[0] = true;
    queue[tail++] = 0;
    while (head < tail) {
        int region = queue[head++];
        for (int i = neighbours->first[region]; i < neighbours->first[region + 1]; i++) {
            int next = neighbours->regions[i];
            if (reached[next] || outlines->regions[next].label == colour + 1) continue;
            reached[next] = true;
            queue[tail++] = next;
        }
    }
}

// enclosed[a * colours + b]: area of colour b that colour a encloses.
static bool enclosed_areas(const Outlines *outlines, Work *work, double *enclosed, Error *err)
{
    int colours = outlines->colour_count;
    Neighbours neighbours;
    bool *reached = arena_new(&work->scratch, bool, outlines->region_count);
    int *queue = arena_new(&work->scratch, int, outlines->region_count);
    if (!reached || !queue || !neighbours_make(outlines, &work->scratch, &neighbours)) return error_memory(err);
    for (int a = 0; a < colours; a++) {
        if (!work_goes_on(work, err)) return false;
        flood_without(outlines, &neighbours, a, reached, queue);
        for (int i = 1; i < outlines->region_count; i++) {
            int label = outlines->regions[i].label;
            if (!reached[i] && label > 0 && label != a + 1)
                enclosed[a * colours + label - 1] += outlines->regions[i].area_mm2;
        }
    }
    return true;
}

// How much of this colour the remaining ones enclose, beyond what it encloses of them.
static double enclosed_by_rest(const double *enclosed, const bool *remains, int colours, int colour)
{
    double sum = 0.0;
    for (int i = 0; i < colours; i++) {
        double excess = enclosed[i * colours + colour] - enclosed[colour * colours + i];
        if (remains[i] && excess > 0.0) sum += excess;
    }
    return sum;
}

bool order_colours(const Outlines *outlines, int base_colour, Work *work, int *out_colours, int *out_count, Error *err)
{
    *out_count = 0;
    int colours = outlines->colour_count, left = 0;
    ArenaMark mark = arena_mark(&work->scratch);
    double *area_mm2 = arena_new(&work->scratch, double, colours);
    double *enclosed = arena_new(&work->scratch, double, (size_t)colours *(size_t)colours);
    bool *remains = arena_new(&work->scratch, bool, colours);
    if (!area_mm2 || !enclosed || !remains) return error_memory(err);
    colour_areas(outlines, area_mm2);
    if (!enclosed_areas(outlines, work, enclosed, err)) return false;
    for (int i = 0; i < colours; i++) {
        remains[i] = i != base_colour && area_mm2[i] > 0.0;
        left += remains[i];
    }
    for (; left > 0; left--) {
        int best = -1;
        double best_sum = 0.0;
        for (int i = 0; i < colours; i++) {
            if (!remains[i]) continue;
            double sum = enclosed_by_rest(enclosed, remains, colours, i);
            if (best >= 0 && (sum > best_sum || (sum == best_sum && !goes_first(outlines, area_mm2, i, best))))
                continue;
            best = i;
            best_sum = sum;
        }
        remains[best] = false;
        out_colours[(*out_count)++] = best;
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

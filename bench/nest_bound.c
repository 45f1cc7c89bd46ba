// nest_bound.c - see nest_bound.h.
// Method:  two pieces cannot share when both, with half a gap round them, are larger than the sheet with as much round it, or when
//          their largest discs do not lie side by side on it. Pieces are taken by size as long as none can share with another taken.
// Source:  no clique of a graph is larger than the chromatic number of it; taking them by size is common practice, no source.
#include "nest_bound.h"

#include "nest/solid.h"

#include <math.h>
#include <stdlib.h>

#define COVER_SHARE 0.97    // a cover is at most so much larger than the piece with half a gap round it, and mostly less
#define COVER_MM 0.15       // and its outline so much farther out

typedef struct Size {
    double area_mm2, radius_mm; // of the piece with half a gap round it
} Size;

static int by_area_down(const void *a, const void *b)
{
    const Size *x = a, *y = b;
    return (x->area_mm2 < y->area_mm2) - (x->area_mm2 > y->area_mm2);
}

// Two discs in a box: the farthest that their middles can be apart is the diagonal of what they leave.
static bool cannot_share(const Size *a, const Size *b, double width_mm, double height_mm)
{
    if (a->area_mm2 + b->area_mm2 > width_mm * height_mm) return true;
    double reach = a->radius_mm + b->radius_mm, w = width_mm - reach, h = height_mm - reach;
    return w < 0 || h < 0 || w * w + h * h < reach * reach;
}

static int clique(const Size *sizes, int count, double width_mm, double height_mm, int *taken)
{
    int taken_count = 0;
    for (int i = 0; i < count; i++) {
        bool with_none = true;
        for (int k = 0; k < taken_count && with_none; k++) with_none = cannot_share(&sizes[i], &sizes[taken[k]], width_mm, height_mm);
        if (with_none) taken[taken_count++] = i;
    }
    return taken_count;
}

bool nest_bound(const NestItem *items, int count, const NestOptions *options, Work *work, int *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Size *sizes = arena_new(&work->scratch, Size, count);
    int *taken = arena_new(&work->scratch, int, count);
    if (!sizes || !taken) return error_memory(err);
    const Space *space = &options->space;
    double area = 0;
    for (int i = 0; i < count; i++) {
        Arena own = arena_make(0);
        Solid solid;
        bool made = solid_make(items[i].rings, options->gap_mm, &own, work, &solid, err);
        double piece = rings_area_mm2(items[i].rings);
        area += piece;
        if (made) sizes[i] = (Size){fmax(piece, solid.area_mm2 * COVER_SHARE), (double)solid.discs.r[0] - COVER_MM};
        arena_free(&own);
        if (!made) return false;
    }
    qsort(sizes, (size_t)count, sizeof *sizes, by_area_down);
    double width = space->width_mm + options->gap_mm, height = space->height_mm + options->gap_mm;
    int by_area = (int)ceil(area / (space->width_mm * space->height_mm) - 1e-9), by_pair = clique(sizes, count, width, height, taken);
    *out = by_area > by_pair ? by_area : by_pair;
    arena_rewind(&work->scratch, mark);
    return true;
}

// lying.c - see lying.h.
// What lies is laid again as a piece that is turned already: its outline is moved to the sheet first, so that one angle of it
// has to be drawn and not all.
#include "nest/lying.h"

#include <math.h>

#define CELLS_A_SIDE 240        // finer than in nest.c, since one piece alone is looked for: more is slower, fewer misses narrow places
#define LEAST_CELL_MM 0.4
#define WRITTEN_MM 0.013        // added to the gap as in nest.c, and a micrometre for outlines rounded at their turn
#define OVER_EDGE_MM 1.0        // of the space in which what lies is drawn: rounded to whole micrometres it may reach over by one

bool lying_open(const NestItem *items, int count, const NestOptions *options, const NestPlace *places, Arena *keep, Lying *out,
                Error *err)
{
    double cell = sqrt(options->space.width_mm * options->space.height_mm) / CELLS_A_SIDE;
    *out = (Lying){.items = items, .count = count, .options = options, .places = places, .wider = *options,
                   .cell_mm = cell < LEAST_CELL_MM ? LEAST_CELL_MM : cell};
    out->wider.gap_mm = options->gap_mm + 2 * SIMPLE_MM + WRITTEN_MM;
    return sheet_open(options->space, out->cell_mm, out->wider.gap_mm, keep, &out->blank, err);
}

// The item's rings on its sheet, from the space's corner.
static bool move_rings(const Lying *lying, int item, Arena *keep, Rings *out, Error *err)
{
    const Rings *from = lying->items[item].rings;
    const double *m = lying->places[item].to_sheet, *origin = lying->options->origin_mm;
    *out = (Rings){arena_new(keep, Ring, from->count), from->count};
    if (!out->items) return error_memory(err);
    for (int r = 0; r < from->count; r++) {
        const Ring *ring = &from->items[r];
        out->items[r] = (Ring){arena_new(keep, Point, ring->count), ring->count};
        if (!out->items[r].points) return error_memory(err);
        for (int i = 0; i < ring->count; i++) {
            double x = ring->points[i].x / UM_PER_MM, y = ring->points[i].y / UM_PER_MM;
            out->items[r].points[i] = point_from_mm(m[0] * x + m[2] * y + m[4] - origin[0], m[1] * x + m[3] * y + m[5] - origin[1]);
        }
    }
    return true;
}

static bool lay_as_it_lies(const Lying *lying, int item, Arena *keep, Work *work, OpenSheet *sheet, Error *err)
{
    Rings *rings = arena_new(keep, Rings, 1);
    Shape shape;
    NestOptions drawn = lying->wider;
    drawn.turn = NEST_TURN_NONE;
    drawn.space = (Space){.width_mm = drawn.space.width_mm + OVER_EDGE_MM, .height_mm = drawn.space.height_mm + OVER_EDGE_MM};
    if (!rings) return error_memory(err);
    if (!move_rings(lying, item, keep, rings, err)) return false;
    NestItem moved = {.rings = rings, .fit = {1, 0}};
    if (!shape_make(&moved, &drawn, lying->cell_mm, keep, work, &shape, err)) return false;
    const Turned *turned = &shape.turned[0];
    return sheet_lay(sheet, item, turned, shape.area_mm2, (Spot){-turned->shift_x_mm, -turned->shift_y_mm}, keep, err);
}

bool lying_sheet(const Lying *lying, int sheet, const bool *lifted, Arena *keep, Work *work, OpenSheet *out, Error *err)
{
    if (!sheet_open_like(&lying->blank, keep, out, err)) return false;
    for (int i = 0; i < lying->count; i++) {
        if (lying->places[i].sheet != sheet || (lifted && lifted[i])) continue;
        if (!work_goes_on(work, err) || !lay_as_it_lies(lying, i, keep, work, out, err)) return false;
    }
    return true;
}

bool lying_shape(const Lying *lying, int item, Arena *keep, Work *work, Shape *out, Error *err)
{
    return shape_make(&lying->items[item], &lying->wider, lying->cell_mm, keep, work, out, err);
}

static double low_edge(const LyingSpot *at)
{
    return at->spot.y_mm + at->turned->height_mm + (at->spot.x_mm + at->turned->width_mm) * 1e-3;
}

bool lying_find(const OpenSheet *sheet, const Shape *shape, Work *work, LyingSpot *out, bool *found, Error *err)
{
    *found = false;
    double least = INFINITY;
    for (int t = 0; t < shape->turned_count; t++) {
        if (!work_goes_on(work, err)) return false;
        LyingSpot at = {&shape->turned[t], {0, 0}};
        if (!sheet_find_spot(sheet, at.turned, least - at.turned->height_mm, &at.spot) || low_edge(&at) >= least) continue;
        least = low_edge(&at);
        *out = at;
        *found = true;
    }
    if (*found) sheet_slide(sheet, out->turned, &out->spot);
    return true;
}

LyingSpot lying_first(const Lying *lying, const Shape *shape)
{
    LyingSpot best = {&shape->turned[0], sheet_first_spot(lying->options->space, &shape->turned[0])};
    for (int t = 1; t < shape->turned_count; t++) {
        LyingSpot at = {&shape->turned[t], sheet_first_spot(lying->options->space, &shape->turned[t])};
        if (low_edge(&at) < low_edge(&best)) best = at;
    }
    return best;
}

NestPlace lying_place(const Lying *lying, int sheet, const LyingSpot *at)
{
    NestPlace place = {.sheet = sheet};
    sheet_matrix(at->turned, at->spot, lying->options->origin_mm, place.to_sheet);
    return place;
}

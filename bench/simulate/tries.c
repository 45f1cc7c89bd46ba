// tries.c - kits put together with errors; see tries.h.
#include "simulate/tries.h"

#include <math.h>

#define SHOWN_REACH_MM 5.0 // a place that lies farther outside its cover is counted with this

bool placed_make(const Bodies *bodies, Arena *keep, Placed *out, Error *err)
{
    *out = (Placed){arena_new(keep, Motion, bodies->count), arena_new(keep, double, bodies->count),
                    arena_new(keep, Spot, bodies->kit->sheet_count)};
    if (!out->bodies || !out->moved_mm || !out->tools) return error_memory(err);
    for (int i = 0; i < bodies->count; i++) out->bodies[i] = motion_none();
    return true;
}

// A rigid motion moves no point of a box farther than one of its corners.
void placed_measure(const Bodies *bodies, Placed *placed)
{
    for (int i = 0; i < bodies->count; i++) {
        const SpotBox *box = &bodies->items[i].field.box;
        placed->moved_mm[i] = 0.0;
        for (int k = 0; k < 4; k++) {
            Spot corner = {k % 2 ? box->max.x + WATCH_REACH_MM : box->min.x - WATCH_REACH_MM,
                           k / 2 ? box->max.y + WATCH_REACH_MM : box->min.y - WATCH_REACH_MM};
            placed->moved_mm[i] =
                fmax(placed->moved_mm[i], measure_gap(corner, motion_apply(placed->bodies[i], corner)));
        }
    }
}

void placed_draw(const Bodies *bodies, const MakerErrors *errors, Rng *rng, Placed *placed)
{
    bodies_place(bodies, errors, rng, placed->bodies);
    for (int i = 0; i < bodies->kit->sheet_count; i++)
        placed->tools[i] = maker_shift(errors->law, errors->tool_mm, rng);
    placed_measure(bodies, placed);
}

// The tool's error in the directions of the finished piece: to_sheet turned back.
Spot placed_tool(const ReadKit *kit, const Placed *placed, int piece)
{
    if (piece < 0) return (Spot){0.0, 0.0};
    const double *m = kit->pieces[piece].to_sheet;
    Spot s = placed->tools[kit->pieces[piece].sheet];
    return (Spot){m[0] * s.x + m[1] * s.y, m[2] * s.x + m[3] * s.y};
}

static bool is_hidden(const Bodies *bodies, const Watch *watch, const WatchPoint *point, const Placed *placed, Spot now,
                      double moved_mm, double kerf_mm, double *shown)
{
    *shown = SHOWN_REACH_MM;
    for (int i = 0; i < point->near_count; i++) { // first what is sure without looking
        const WatchNear *near = &watch->near[point->near_first + i];
        if (near->depth_mm - moved_mm - placed->moved_mm[near->body] > 0.5 * kerf_mm) return true;
    }
    for (int i = 0; i < point->near_count; i++) {
        const WatchNear *near = &watch->near[point->near_first + i];
        if (near->depth_mm + moved_mm + placed->moved_mm[near->body] < -SHOWN_REACH_MM) continue;
        const Body *body = &bodies->items[near->body];
        double depth = body_depth(body, motion_undo(placed->bodies[near->body], now), SHOWN_REACH_MM);
        if (depth >= 0.5 * kerf_mm) return true;
        *shown = fmin(*shown, 0.5 * kerf_mm - depth);
    }
    return false;
}

bool place_fails(const Bodies *bodies, const Watch *watch, WatchClass class, const WatchPoint *point,
                 const Placed *placed, double kerf_mm, double *shown, double *needed)
{
    *shown = *needed = 0.0;
    Spot tool = placed_tool(bodies->kit, placed, point->tool_piece);
    Spot own = {point->at.x + tool.x + 0.5 * kerf_mm * point->inward.x,
                point->at.y + tool.y + 0.5 * kerf_mm * point->inward.y};
    Spot now = motion_apply(placed->bodies[point->body], own);
    if (class == WATCH_SEAM_OPEN || class == WATCH_EDGE_TO_EDGE) {
        Spot other = motion_apply(placed->bodies[point->cover], point->at);
        *shown = *needed = (other.x - now.x) * point->away.x + (other.y - now.y) * point->away.y + kerf_mm;
        return *shown > TRIES_GAP_MM;
    }
    if (point->is_told) {
        Spot seen = motion_undo(placed->bodies[point->cover], now); // where it lies to its cover's eyes
        *needed = (seen.x - point->at.x) * point->away.x + (seen.y - point->at.y) * point->away.y + 0.5 * kerf_mm;
    }
    double moved = placed->moved_mm[point->body] + measure_gap(own, point->at);
    return !is_hidden(bodies, watch, point, placed, now, moved, kerf_mm, shown);
}

static void count_try(const Bodies *bodies, const Watch *watch, const Placed *placed, double kerf_mm, Tally *tallies)
{
    for (size_t u = 0; u < watch->unit_count; u++) {
        const WatchUnit *unit = &watch->units[u];
        Tally *tally = &tallies[unit->class];
        for (int i = unit->first; i < unit->first + unit->count; i++) {
            double shown, needed;
            bool fails =
                place_fails(bodies, watch, unit->class, &watch->points[i], placed, kerf_mm, &shown, &needed);
            tally_place(tally, fails, shown);
            if (watch->points[i].is_told) tally_need(tally, needed);
        }
        tally_end_unit(tally);
    }
    for (int i = 0; i < WATCH_CLASSES; i++) tally_end_try(&tallies[i]);
}

bool tries_run(const Bodies *bodies, const Watch *watch, const MakerErrors *errors, int count, uint64_t seed, Work *work,
               Tally out[WATCH_CLASSES], Error *err)
{
    Placed placed;
    Rng rng = rng_make(seed);
    ArenaMark mark = arena_mark(&work->scratch);
    for (int i = 0; i < WATCH_CLASSES; i++) out[i] = (Tally){0};
    bool done = placed_make(bodies, &work->scratch, &placed, err);
    for (int i = 0; done && i < count; i++) {
        placed_draw(bodies, errors, &rng, &placed);
        count_try(bodies, watch, &placed, errors->kerf_mm, out);
        done = work_goes_on(work, err);
    }
    arena_rewind(&work->scratch, mark);
    return done;
}

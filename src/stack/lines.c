// lines.c - see lines.h.
#include "stack/lines.h"

#include "shape/overlay.h"
#include "stack/coarse.h"
#include "stack/order.h"

#include <stdio.h>

#define COARSE_MM 0.2    // nobody sees whether a lip is 3.0 or 3.2 mm
#define CORNER_MM 0.3    // of the facets of round corners under a line
#define GAP_MM 0.6       // half of what stays open between two lips: no hair of paper, and no doubt where snapping moved it
#define SIMPLIFY_MM 0.2  // of edges that no one sees, and less than what GAP_MM leaves
#define LEAST_MM2 1.0    // smaller leftovers are dropped

// ---- where they lie ----

const char *stack_lines_say(StackLines lines)
{
    switch (lines) {
    case LINES_BASE: return "the lines as the base";
    case LINES_TOP: return "the lines on top";
    case LINES_BOTH: return "the lines as the base and on top";
    }
    return "";
}

static bool tell(const StackOptions *options, const char *reason, Arena *keep, Stack *out, Error *err)
{
    char text[200];
    snprintf(text, sizeof text, "%s: %s", stack_lines_say(options->lines), reason);
    return findings_add(&out->findings, keep, "edit-not-kept", text, 0.0, 0.0) || error_memory(err);
}

bool lines_settle(const Outlines *outlines, const StackOptions *options, int line_colour, Arena *keep, Work *work,
                  Stack *out, Error *err)
{
    int wanted = options->base_colour, largest;
    bool on_top = options->lines != LINES_BASE;
    out->lines = LINES_BASE;
    out->base_is_line_colour = line_colour >= 0;
    if (!order_largest_colour(outlines, line_colour, work, &largest, err)) return false;
    out->line_colour = line_colour;
    if (wanted >= 0) {
        out->base_colour = wanted;
        out->base_is_line_colour = wanted == line_colour;
    }
    if (!on_top) return true;
    if (line_colour < 0) return tell(options, "no colour goes round the whole figure as lines do", keep, out, err);
    if (largest < 0) return tell(options, "there is no other colour to lie below them", keep, out, err);
    if (wanted < 0 && options->lines == LINES_TOP) {
        out->base_colour = largest;
        out->base_is_line_colour = false;
    }
    out->lines = out->base_is_line_colour ? LINES_BOTH : LINES_TOP;
    bool kept = options->lines == LINES_TOP || out->base_is_line_colour;
    return kept || tell(options, "another colour is wanted as the base, so they lie on top alone", keep, out, err);
}

// ---- what reaches under them ----

typedef struct Apart {
    Rings *areas; // of the colour, each with its holes
    Box *boxes;
    int count;
    Rings seen;   // all of them
    Arena *own;
    Work *work;
} Apart;

static bool split_areas(Apart *a, Error *err)
{
    const Rings *seen = &a->seen;
    int *outer = arena_new(a->own, int, seen->count), *first = arena_new(a->own, int, seen->count + 1);
    a->areas = arena_new(a->own, Rings, seen->count);
    a->boxes = arena_new(a->own, Box, seen->count);
    Ring *rings = arena_new(a->own, Ring, seen->count);
    if (!outer || !first || !a->areas || !a->boxes || !rings || !rings_find_outers(seen, a->own, outer))
        return error_memory(err);
    for (int i = 0; i < seen->count; i++) first[outer[i] + 1]++;
    for (int i = 0; i < seen->count; i++) first[i + 1] += first[i];
    for (int i = 0; i < seen->count; i++) {
        if (outer[i] != i) continue;
        a->boxes[a->count] = ring_box(&seen->items[i]);
        a->areas[a->count++] = (Rings){rings + first[i], 0};
        for (int k = 0; k < seen->count; k++)
            if (outer[k] == i) a->areas[a->count - 1].items[a->areas[a->count - 1].count++] = seen->items[k];
    }
    return true;
}

static bool are_near(const Apart *a, int i, int k, double distance_mm)
{
    double um = distance_mm * UM_PER_MM;
    Box p = a->boxes[i], q = a->boxes[k];
    return p.min.x - um < q.max.x && q.min.x - um < p.max.x && p.min.y - um < q.max.y && q.min.y - um < p.max.y;
}

// Everything that is this near to two areas at once.
static bool near_to_two(const Apart *a, double distance_mm, Rings *out, Error *err)
{
    Rings *grown = arena_new(a->own, Rings, a->count), *common = NULL;
    size_t count = 0, room = 0;
    if (!grown) return error_memory(err);
    for (int i = 0; i < a->count; i++)
        for (int k = 0; k < i; k++) {
            if (!are_near(a, i, k, 2.0 * distance_mm)) continue;
            if (!work_goes_on(a->work, err)) return false;
            for (int side = 0; side < 2; side++) {
                int area = side ? k : i;
                if (grown[area].count == 0 &&
                    !overlay_offset(&a->areas[area], distance_mm, CORNER_MM, a->own, a->work, &grown[area], err))
                    return false;
            }
            common = arena_grow(a->own, common, count, &room, sizeof *common);
            if (!common) return error_memory(err);
            if (!overlay_rings(&grown[i], &grown[k], OVERLAY_INTERSECTION, a->own, a->work, &common[count], err)) return false;
            count += common[count].count > 0;
        }
    *out = (Rings){0};
    return count == 0 || overlay_rings_union(common, (int)count, a->own, a->work, out, err);
}

// What is at most `distance_mm` away from one area, and clearly farther from every other.
static bool near_to_one(const Apart *a, double distance_mm, Rings *out, Error *err)
{
    Rings near, two;
    return overlay_offset(&a->seen, distance_mm, CORNER_MM, a->own, a->work, &near, err) &&
           near_to_two(a, distance_mm + GAP_MM, &two, err) &&
           overlay_rings(&near, &two, OVERLAY_DIFFERENCE, a->own, a->work, out, err);
}

// Where lines leave nothing of the reach: beyond the lip, and between two lips that would meet.
static bool find_taken(Apart *a, const Rings *lines, Rings *out, Error *err)
{
    Rings near, beyond, between, lips[2], rest, sets[2];
    if (!split_areas(a, err) || !overlay_offset(&a->seen, LINES_LIP_MM, CORNER_MM, a->own, a->work, &near, err) ||
        !overlay_rings(lines, &near, OVERLAY_DIFFERENCE, a->own, a->work, &beyond, err) ||
        !near_to_two(a, LINES_LIP_MM + GAP_MM, &between, err))
        return false;
    *out = beyond;
    if (between.count == 0) return true;
    sets[0] = beyond;
    return near_to_one(a, LINES_LIP_MM / 2.0, &lips[0], err) && near_to_one(a, LINES_LIP_MM / 4.0, &lips[1], err) &&
           overlay_rings(&between, &lips[0], OVERLAY_DIFFERENCE, a->own, a->work, &rest, err) &&
           overlay_rings(&rest, &lips[1], OVERLAY_DIFFERENCE, a->own, a->work, &sets[1], err) &&
           overlay_rings_union(sets, 2, a->own, a->work, out, err);
}

static bool keep_apart(Apart *a, const Rings *lines, Arena *keep, Rings *reach, Error *err)
{
    Rings taken, rest, simple;
    if (!find_taken(a, lines, &taken, err) ||
        !overlay_rings(reach, &taken, OVERLAY_DIFFERENCE, a->own, a->work, &rest, err) ||
        !overlay_simplify(&rest, SIMPLIFY_MM, keep, a->work, &simple, err))
        return false;
    *reach = (Rings){simple.items, 0};
    for (int i = 0; i < simple.count; i++) {
        double mm2 = ring_area_mm2(&simple.items[i]);
        if (mm2 >= LEAST_MM2 || mm2 <= -LEAST_MM2) reach->items[reach->count++] = simple.items[i];
    }
    return true;
}

bool lines_keep_apart(const Rings *seen, const Rings *lines, Arena *keep, Work *work, Rings *reach, Error *err)
{
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    Apart apart = {.own = &own, .work = work};
    bool done = coarse_rings(seen, COARSE_MM, &own, work, &apart.seen, err) && keep_apart(&apart, lines, keep, reach, err);
    arena_free(&own);
    return done;
}

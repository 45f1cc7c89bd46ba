// stack.c - from the map to layers; see stack.h.
#include "stack/stack.h"

#include "stack/border.h"
#include "stack/inlay.h"
#include "stack/lines.h"
#include "stack/needle.h"
#include "stack/order.h"
#include "stack/pen.h"
#include "stack/raise.h"
#include "stack/thin.h"
#include "stack/underlap.h"
#include "stack/wishes.h"

#define UNDERLAP_MM 6.0       // what fingers place by a drawn line, and a little
#define UNDERLAP_TALL_MM 10.0 // large pieces shift more
#define TALL_MM 1219.2        // 4 ft
#define THIN_MM 3.0           // narrower paper tears when it is lifted off the mat: common practice, no source

StackOptions stack_defaults(void)
{
    return (StackOptions){.way = STACK_UNDERLAP, .underlap_mm = -1.0, .border_mm = 0.0, .base_colour = -1, .thin_mm = THIN_MM};
}

static double underlap_used_mm(const StackOptions *options, double height_mm)
{
    if (options->way == STACK_INLAY) return 0.0;
    if (options->underlap_mm >= 0.0) return options->underlap_mm;
    return height_mm > TALL_MM ? UNDERLAP_TALL_MM : UNDERLAP_MM;
}

static bool choose_base(const Outlines *outlines, const StackOptions *options, Arena *keep, Work *work, Stack *out,
                        Error *err)
{
    bool is_line_colour;
    if (options->base_colour >= outlines->colour_count)
        return error_set(err, ERROR_JOB, "the base colour is number %d, but the picture has %d colours",
                         options->base_colour + 1, outlines->colour_count);
    if (!order_base_colour(outlines, work, &out->base_colour, &is_line_colour, err)) return false;
    if (out->base_colour < 0)
        return error_set(err, ERROR_JOB, "there is nothing to cut: the picture has no colour but the ground");
    return lines_settle(outlines, options, is_line_colour ? out->base_colour : -1, keep, work, out, err);
}

// The regions whose colour is marked, as one area without needles.
static bool colours_area(const Outlines *outlines, const bool *colour_in_set, Arena *keep, Work *work, Area *out,
                         Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    bool *in_set = arena_new(&work->scratch, bool, outlines->region_count);
    if (!in_set) return error_memory(err);
    for (int i = 1; i < outlines->region_count; i++) {
        int label = outlines->regions[i].label;
        in_set[i] = label > 0 && colour_in_set[label - 1];
    }
    bool done = outline_union(outlines, in_set, keep, work, out, err) && needles_drop(&outlines->chains, out, keep, work, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

// What the base is: every colour of the picture, holes that show the wall left open, grown by the border.
static bool make_base(const Outlines *outlines, Arena *keep, Work *work, Stack *out, Error *err)
{
    Layer *base = &out->layers[0];
    base->colour = out->base_colour;
    bool *all = arena_new(&work->scratch, bool, outlines->colour_count);
    if (!all) return error_memory(err);
    for (int i = 0; i < outlines->colour_count; i++) all[i] = true;
    Area full;
    if (!colours_area(outlines, all, keep, work, &full, err)) return false;
    base->area = full;
    if (out->border_mm > 0.0 &&
        !border_make(&full, out->border_mm, out->width_mm, out->height_mm, &out->chains, keep, work, &base->area, err))
        return false;
    base->hidden = arena_new(keep, bool, base->area.link_count);
    return base->hidden || error_memory(err);
}

struct StackMaking {
    const Outlines *outlines;
    const StackOptions *options;
    Stack *stack;
    int *order;     // colours of the layers above the base
    Rings *reach;   // of each layer: what lies within reach of its underlap
    bool *asked, *raised; // by layer: on foam squares
};

// Marks the colours of all layers from this one up; `above` has a flag a colour.
static void mark_from(const StackMaking *making, int layer, bool *above)
{
    for (int i = 0; i < making->outlines->colour_count; i++) above[i] = false;
    for (int i = layer > 1 ? layer : 1; i < making->stack->layer_count; i++) above[making->order[i - 1]] = true;
}

static bool layer_seen(const StackMaking *making, int layer, Arena *keep, Work *work, Area *out, Error *err)
{
    bool *alone = arena_new(&work->scratch, bool, making->outlines->colour_count);
    if (!alone) return error_memory(err);
    alone[making->order[layer - 1]] = true;
    return colours_area(making->outlines, alone, keep, work, out, err);
}

// What shows when all layers from this one up lie there, flat. Their underlaps lie below one another: this is all their paper.
static bool shown_from(const StackMaking *making, int layer, Arena *own, Arena *keep, Work *work, Rings *out, Error *err)
{
    Area area;
    bool *above = arena_new(own, bool, making->outlines->colour_count);
    if (!above) return error_memory(err);
    mark_from(making, layer, above);
    return colours_area(making->outlines, above, own, work, &area, err) &&
           area_rings(&making->outlines->chains, &area, keep, out, err);
}

static bool has_underlap(const StackMaking *making, int layer)
{
    return making->stack->underlap_mm > 0.0 && layer > 0 && layer + 1 < making->stack->layer_count;
}

static bool lies_below_lines(const StackMaking *making, int layer)
{
    if (making->stack->lines == LINES_BASE) return false;
    for (int i = layer + 1; i < making->stack->layer_count; i++)
        if (making->order[i - 1] == making->stack->line_colour) return true;
    return false;
}

static bool end_below_lines(StackMaking *making, int layer, const Rings *seen, Arena *own, Work *work, Error *err)
{
    Area area;
    Rings lines;
    int top = making->stack->layer_count - 1;
    while (making->order[top - 1] != making->stack->line_colour) top--;
    return layer_seen(making, top, own, work, &area, err) &&
           area_rings(&making->outlines->chains, &area, own, &lines, err) &&
           lines_keep_apart(seen, &lines, own, work, &making->reach[layer], err);
}

// It stops at the edges of those that it shall lie edge to edge with.
static bool end_at_inlays(StackMaking *making, int layer, Arena *own, Work *work, Error *err)
{
    Area area;
    Rings others;
    bool *with = arena_new(own, bool, making->outlines->colour_count);
    if (!with) return error_memory(err);
    if (!inlay_neighbours(making->options, making->order[layer - 1], with, making->outlines->colour_count)) return true;
    return colours_area(making->outlines, with, own, work, &area, err) &&
           area_rings(&making->outlines->chains, &area, own, &others, err) &&
           inlay_keep_out(&others, own, work, &making->reach[layer], err);
}

// A layer that lies flat below raised ones reaches farther under them.
static bool is_below_raised(const StackMaking *making, int layer)
{
    bool any = false;
    for (int i = layer + 1; i < making->stack->layer_count; i++) any = any || making->raised[i];
    return any && !making->raised[layer] && making->stack->underlap_mm < STACK_FOAM_REACH_MM;
}

static bool reach_below_raised(StackMaking *making, int layer, const Rings *seen, const Rings *both, Arena *own, Work *work, Error *err)
{
    Area area;
    Rings raised, wide, reach = making->reach[layer];
    bool *set = arena_new(own, bool, making->outlines->colour_count);
    if (!set) return error_memory(err);
    for (int i = layer + 1; i < making->stack->layer_count; i++) set[making->order[i - 1]] = set[making->order[i - 1]] || making->raised[i];
    return colours_area(making->outlines, set, own, work, &area, err) &&
           area_rings(&making->outlines->chains, &area, own, &raised, err) &&
           underlap_reach(seen, both, STACK_FOAM_REACH_MM, own, work, &wide, err) &&
           raise_reach(&reach, &wide, &raised, own, work, &making->reach[layer], err);
}

static bool find_reach(StackMaking *making, int layer, Arena *own, Work *work, Error *err)
{
    Area seen;
    Rings seen_flat, both;
    return layer_seen(making, layer, own, work, &seen, err) &&
           area_rings(&making->outlines->chains, &seen, own, &seen_flat, err) &&
           shown_from(making, layer, own, own, work, &both, err) &&
           underlap_reach(&seen_flat, &both, making->stack->underlap_mm, own, work, &making->reach[layer], err) &&
           (!is_below_raised(making, layer) || reach_below_raised(making, layer, &seen_flat, &both, own, work, err)) &&
           (!lies_below_lines(making, layer) || end_below_lines(making, layer, &seen_flat, own, work, err)) &&
           end_at_inlays(making, layer, own, work, err);
}

static bool make_layer(StackMaking *making, int index, Arena *keep, Work *work, Error *err)
{
    Stack *out = making->stack;
    Layer *layer = &out->layers[index];
    layer->colour = making->order[index - 1];
    layer->asked_raised = making->asked[index];
    layer->raised = making->raised[index];
    if (!layer_seen(making, index, keep, work, &layer->seen, err)) return false;
    if (has_underlap(making, index) && layer->cover.count > 0)
        return underlap_make(&layer->seen, &making->reach[index], &out->chains, keep, work, &layer->area, &layer->hidden, err);
    layer->area = layer->seen;
    layer->hidden = arena_new(keep, bool, layer->area.link_count);
    return layer->hidden || error_memory(err);
}

// From the top down: hidden edges are numbered in this order.
static bool make_layers(StackMaking *making, Arena *own, Arena *keep, Work *work, Error *err)
{
    Stack *out = making->stack;
    for (int i = out->layer_count - 1; i >= 0; i--) {
        if (!work_goes_on(work, err)) return false;
        ArenaMark mark = arena_mark(own);
        Layer *layer = &out->layers[i];
        if (!shown_from(making, i + 1, own, keep, work, &layer->cover, err)) return false;
        bool made = i == 0 ? make_base(making->outlines, keep, work, out, err) : make_layer(making, i, keep, work, err);
        if (!made || !area_rings(&out->chains, &layer->area, keep, &layer->rings, err)) return false;
        arena_rewind(own, mark);
    }
    return true;
}

static bool copy_findings(const Outlines *outlines, Arena *keep, Stack *out, Error *err)
{
    for (size_t i = 0; i < outlines->findings.count; i++) {
        const Finding *f = &outlines->findings.items[i];
        if (!findings_add(&out->findings, keep, f->kind, f->text, f->x_mm, f->y_mm)) return error_memory(err);
    }
    return true;
}

// What lies above the base, lowest first.
static bool find_order(StackMaking *making, Arena *keep, Work *work, int *count, Error *err)
{
    Stack *out = making->stack;
    int *order = making->order;
    if (!order_colours(making->outlines, out->base_colour, work, order, count, err)) return false;
    for (int i = 0; out->lines == LINES_TOP && i + 1 < *count; i++) { // they go up, the rest as it is
        if (order[i] != out->line_colour) continue;
        order[i] = order[i + 1];
        order[i + 1] = out->line_colour;
    }
    if (!wishes_apply(making->outlines, making->options, out->base_colour, order, *count, keep, work, &out->findings, err))
        return false;
    if (!wishes_tell_inlays(making->outlines, making->options, out->base_colour, order, *count, keep, work, &out->findings, err))
        return false;
    if (out->lines == LINES_BOTH) order[(*count)++] = out->line_colour;
    return true;
}

static bool begin(StackMaking *making, Arena *own, Arena *keep, Work *work, Error *err)
{
    const Outlines *outlines = making->outlines;
    const StackOptions *options = making->options;
    Stack *out = making->stack;
    out->border_mm = options->border_mm;
    out->width_mm = outlines->width_mm + 2.0 * options->border_mm;
    out->height_mm = outlines->height_mm + 2.0 * options->border_mm;
    out->underlap_mm = underlap_used_mm(options, out->height_mm);
    out->arc_count = outlines->arc_count;
    out->colour_count = outlines->colour_count;
    out->colours = arena_copy(keep, outlines->colours, (size_t)outlines->colour_count, sizeof *out->colours);
    making->order = arena_new(own, int, outlines->colour_count);
    if (!out->colours || !making->order) return error_memory(err);
    int count = 0;
    if (!chains_copy(&outlines->chains, keep, &out->chains, err) || !choose_base(outlines, options, keep, work, out, err) ||
        !copy_findings(outlines, keep, out, err) || !find_order(making, keep, work, &count, err))
        return false;
    out->layers = arena_new(keep, Layer, count + 1);
    making->reach = arena_new(own, Rings, count + 1);
    making->asked = arena_new(own, bool, count + 1);
    making->raised = arena_new(own, bool, count + 1);
    if (!out->layers || !making->reach || !making->asked || !making->raised) return error_memory(err);
    out->layer_count = count + 1;
    return raise_find(outlines, options, making->order, count + 1, keep, work, making->asked, making->raised, out, err);
}

bool stack_begin(const Outlines *outlines, const StackOptions *options, Arena *own, Arena *keep, Work *work,
                 StackMaking **making, Stack *out, Error *err)
{
    *out = (Stack){0};
    *making = arena_new(own, StackMaking, 1);
    if (!*making) return error_memory(err);
    **making = (StackMaking){.outlines = outlines, .options = options, .stack = out};
    if (begin(*making, own, keep, work, err)) return true;
    *out = (Stack){0};
    return false;
}

int stack_unit_count(const StackMaking *making)
{
    return making->stack->layer_count - 1;
}

bool stack_unit(StackMaking *making, int unit, Arena *own, Work *work, Error *err)
{
    int layer = unit + 1; // lower ones have more above them, and are larger by and large
    ArenaMark mark = arena_mark(&work->scratch);
    bool done = !has_underlap(making, layer) || find_reach(making, layer, own, work, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

bool stack_end(StackMaking *making, Arena *own, Arena *keep, Work *work, Error *err)
{
    Stack *out = making->stack;
    if (make_layers(making, own, keep, work, err) && pen_strokes_make(making->outlines, keep, work, out, err) &&
        thin_find(out, making->options->thin_mm, keep, work, &out->findings, err))
        return true;
    *out = (Stack){0};
    return false;
}

static bool run_units(StackMaking *making, Arena *own, Work *work, Error *err)
{
    bool done = true;
    for (int i = 0; done && i < stack_unit_count(making); i++) done = stack_unit(making, i, own, work, err);
    if (!done) *making->stack = (Stack){0};
    return done;
}

bool stack_make(const Outlines *outlines, const StackOptions *options, Arena *keep, Work *work, Stack *out, Error *err)
{
    StackMaking *making;
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    bool done = stack_begin(outlines, options, &own, keep, work, &making, out, err) && run_units(making, &own, work, err) &&
                stack_end(making, &own, keep, work, err);
    arena_free(&own);
    return done;
}

bool stack_find_thin(const Stack *stack, double thin_mm, Arena *keep, Work *work, Findings *findings, Error *err)
{
    *findings = (Findings){0};
    return thin_find(stack, thin_mm, keep, work, findings, err);
}

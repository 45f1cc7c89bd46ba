// stack.c - from the map to layers; see stack.h.
#include "stack/stack.h"

#include "stack/border.h"
#include "stack/order.h"
#include "stack/pen.h"
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

static bool choose_base(const Outlines *outlines, const StackOptions *options, Work *work, Stack *out, Error *err)
{
    if (options->base_colour >= outlines->colour_count)
        return error_set(err, ERROR_JOB, "the base colour is number %d, but the picture has %d colours",
                         options->base_colour + 1, outlines->colour_count);
    if (!order_base_colour(outlines, work, &out->base_colour, &out->base_is_line_colour, err)) return false;
    if (out->base_colour < 0)
        return error_set(err, ERROR_JOB, "there is nothing to cut: the picture has no colour but the ground");
    if (options->base_colour < 0 || options->base_colour == out->base_colour) return true;
    out->base_colour = options->base_colour;
    out->base_is_line_colour = false;
    return true;
}

// The regions whose colour is marked, as one area.
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
    bool done = outline_union(outlines, in_set, keep, work, out, err);
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

// `above` marks the colours of all higher layers.
static bool make_layer(const Outlines *outlines, int colour, bool *above, Arena *own, Arena *keep, Work *work,
                       Stack *out, Layer *layer, Error *err)
{
    layer->colour = colour;
    bool *alone = arena_new(own, bool, outlines->colour_count);
    if (!alone) return error_memory(err);
    alone[colour] = true;
    if (!colours_area(outlines, alone, keep, work, &layer->seen, err)) return false;
    if (out->underlap_mm <= 0.0 || layer->cover.count == 0) {
        layer->area = layer->seen;
        layer->hidden = arena_new(keep, bool, layer->area.link_count);
        return layer->hidden || error_memory(err);
    }
    Area both;
    Rings both_flat;
    above[colour] = true;
    if (!colours_area(outlines, above, own, work, &both, err) ||
        !area_rings(&outlines->chains, &both, own, &both_flat, err))
        return false;
    above[colour] = false;
    return underlap_make(&layer->seen, &both_flat, out->underlap_mm, &out->chains, keep, work, &layer->area,
                         &layer->hidden, err);
}

// Flat rings of the colours above a layer. Their underlaps lie below one another, so this is all their paper.
static bool make_cover(const Outlines *outlines, const bool *above, Arena *own, Arena *keep, Work *work, Rings *out,
                       Error *err)
{
    Area cover;
    return colours_area(outlines, above, own, work, &cover, err) &&
           area_rings(&outlines->chains, &cover, keep, out, err);
}

// From the top down, so that what lies above is known.
static bool make_layers(const Outlines *outlines, const int *order, Arena *own, Arena *keep, Work *work, Stack *out,
                        Error *err)
{
    bool *above = arena_new(own, bool, outlines->colour_count);
    if (!above) return error_memory(err);
    for (int i = out->layer_count - 1; i >= 0; i--) {
        if (!work_goes_on(work, err)) return false;
        ArenaMark mark = arena_mark(own);
        Layer *layer = &out->layers[i];
        if (!make_cover(outlines, above, own, keep, work, &layer->cover, err)) return false;
        bool made = i == 0 ? make_base(outlines, keep, work, out, err)
                           : make_layer(outlines, order[i - 1], above, own, keep, work, out, layer, err);
        if (!made || !area_rings(&out->chains, &layer->area, keep, &layer->rings, err)) return false;
        if (i > 0) above[order[i - 1]] = true;
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

static bool make(const Outlines *outlines, const StackOptions *options, Arena *own, Arena *keep, Work *work, Stack *out,
                 Error *err)
{
    out->border_mm = options->border_mm;
    out->width_mm = outlines->width_mm + 2.0 * options->border_mm;
    out->height_mm = outlines->height_mm + 2.0 * options->border_mm;
    out->underlap_mm = underlap_used_mm(options, out->height_mm);
    out->arc_count = outlines->arc_count;
    out->colour_count = outlines->colour_count;
    out->colours = arena_copy(keep, outlines->colours, (size_t)outlines->colour_count, sizeof *out->colours);
    int *order = arena_new(own, int, outlines->colour_count);
    if (!out->colours || !order) return error_memory(err);
    int count = 0;
    if (!chains_copy(&outlines->chains, keep, &out->chains, err) || !choose_base(outlines, options, work, out, err) ||
        !order_colours(outlines, out->base_colour, work, order, &count, err) ||
        !copy_findings(outlines, keep, out, err) ||
        !wishes_apply(outlines, options, out->base_colour, order, count, keep, work, &out->findings, err))
        return false;
    out->layers = arena_new(keep, Layer, count + 1);
    if (!out->layers) return error_memory(err);
    out->layer_count = count + 1;
    return make_layers(outlines, order, own, keep, work, out, err) &&
           pen_strokes_make(outlines, keep, work, out, err) &&
           thin_find(out, options->thin_mm, keep, work, &out->findings, err);
}

bool stack_make(const Outlines *outlines, const StackOptions *options, Arena *keep, Work *work, Stack *out, Error *err)
{
    *out = (Stack){0};
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    bool done = make(outlines, options, &own, keep, work, out, err);
    arena_free(&own);
    if (!done) *out = (Stack){0};
    return done;
}

bool stack_find_thin(const Stack *stack, double thin_mm, Arena *keep, Work *work, Findings *findings, Error *err)
{
    *findings = (Findings){0};
    return thin_find(stack, thin_mm, keep, work, findings, err);
}

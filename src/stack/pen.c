// pen.c - the middles of pixel edges, fitted by curves; see pen.h.
#include "stack/pen.h"

#include "shape/cover.h"
#include "shape/fit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define FIT_PX 0.6   // the middles of a slanted edge's stairs lie within half a pixel of it
#define LINE_PX 0.35 // straighter ones are lines
#define EDGE_MM 0.55 // a mark stays half a millimetre clear of the cuts

// Pixel corners to the middles of unit steps between them, the first one repeated at the end.
static Vec *middles(const PenDetail *detail, Arena *arena, int *out_count)
{
    size_t most = 1;
    int count = detail->point_count;
    const double *xy = detail->xy_px;
    for (int i = 0; i < count; i++) {
        int next = (i + 1) % count;
        most += 1 + (size_t)(fabs(xy[2 * next] - xy[2 * i]) + fabs(xy[2 * next + 1] - xy[2 * i + 1]));
    }
    Vec *points = arena_new(arena, Vec, most);
    *out_count = 0;
    for (int i = 0; points && i < count; i++) {
        int next = (i + 1) % count;
        double dx = xy[2 * next] - xy[2 * i], dy = xy[2 * next + 1] - xy[2 * i + 1];
        int steps = (int)fmax(1.0, floor(sqrt(dx * dx + dy * dy) + 0.5));
        if (dx == 0.0 && dy == 0.0) continue;
        for (int k = 0; k < steps; k++) {
            double t = (k + 0.5) / steps;
            points[(*out_count)++] = (Vec){xy[2 * i] + t * dx, xy[2 * i + 1] + t * dy};
        }
    }
    if (points && *out_count > 0) points[(*out_count)++] = points[0];
    return points;
}

static Point on_piece(const Outlines *outlines, Vec v)
{
    return point_from_mm(outlines->offset_mm + (v.x - outlines->origin_px[0]) * outlines->mm_per_px,
                         outlines->offset_mm + (v.y - outlines->origin_px[1]) * outlines->mm_per_px);
}

static bool chain_of(const Outlines *outlines, const FitCurve *fits, int count, Arena *arena, Chain *out, Error *err)
{
    Curve *curves = arena_new(arena, Curve, count);
    if (!curves) return error_memory(err);
    int made = 0;
    Point start = on_piece(outlines, fits[0].p0), at = start;
    for (int i = 0; i < count; i++) {
        Point end = i + 1 == count ? start : on_piece(outlines, fits[i].p3);
        if (point_equal(at, end)) continue;
        Curve curve = curve_line(at, end);
        if (!fits[i].is_line)
            curve = (Curve){at, on_piece(outlines, fits[i].p1), on_piece(outlines, fits[i].p2), end, false};
        curves[made++] = curve;
        at = end;
    }
    *out = (Chain){0};
    return made < 2 || chain_make(curves, made, true, arena, out, err);
}

// A detail too small for curves stays the polygon of its middles.
static bool stroke_points(const Outlines *outlines, const PenDetail *detail, Arena *own, Arena *keep, PenStroke *out,
                          Error *err)
{
    FitOptions options = {.tolerance = FIT_PX, .line_tolerance = LINE_PX, .closed = true};
    FitCurve *fits;
    Chain chain;
    int count, fit_count;
    Vec *points = middles(detail, own, &count);
    if (!points) return error_memory(err);
    if (count < 4) return true;
    if (!fit_curves(points, count, &options, own, &fits, &fit_count, err) ||
        !chain_of(outlines, fits, fit_count, own, &chain, err))
        return false;
    bool curved = chain.point_count > 3;
    int last = curved ? chain.point_count - 1 : count - 1;
    out->points = arena_new(keep, Point, last);
    if (!out->points) return error_memory(err);
    for (int i = 0; i < last; i++) {
        Point p = curved ? chain.points[i] : on_piece(outlines, points[i]);
        if (out->point_count == 0 || !point_equal(out->points[out->point_count - 1], p))
            out->points[out->point_count++] = p;
    }
    return true;
}

static int topmost_at(const Stack *stack, const Cover *papers, Point p)
{
    for (int i = stack->layer_count - 1; i >= 0; i--)
        if (cover_contains(&papers[i], p)) return i;
    return -1;
}

// Adds the stroke once for each layer that is the topmost along a part of it and has room there for a line, lowest
// first. The points are shared.
static bool add_for_layers(const PenStroke *stroke, const Cover *papers, Arena *keep, Arena *own, Stack *stack,
                           size_t *capacity, bool *out_any)
{
    bool *is_on = arena_new(own, bool, stack->layer_count);
    if (!is_on) return false;
    for (int i = 0; i < stroke->point_count; i++) {
        int layer = topmost_at(stack, papers, stroke->points[i]);
        if (layer < 0 || is_on[layer]) continue;
        is_on[layer] = cover_distance_mm(&papers[layer], stroke->points[i], EDGE_MM) >= EDGE_MM;
    }
    *out_any = false;
    for (int i = 0; i < stack->layer_count; i++) {
        if (!is_on[i]) continue;
        PenStroke *room =
            arena_grow(keep, stack->pen_strokes, (size_t)stack->pen_stroke_count, capacity, sizeof *room);
        if (!room) return false;
        stack->pen_strokes = room;
        stack->pen_strokes[stack->pen_stroke_count] = *stroke;
        stack->pen_strokes[stack->pen_stroke_count++].layer = i;
        *out_any = true;
    }
    return true;
}

static const char *colour_word(const Outlines *outlines, Srgb8 colour, char hex[8])
{
    for (int i = 0; i < outlines->colour_count; i++)
        if (memcmp(&outlines->colours[i].colour, &colour, sizeof colour) == 0) return outlines->colours[i].name;
    snprintf(hex, 8, "#%02x%02x%02x", colour.r, colour.g, colour.b);
    return hex;
}

static bool tell_of_no_paper(const Outlines *outlines, const PenDetail *detail, Arena *keep, Stack *stack, Error *err)
{
    char text[128], hex[8];
    Vec place = detail->point_count > 0 ? (Vec){detail->xy_px[0], detail->xy_px[1]} : (Vec){0.0, 0.0};
    Point at = on_piece(outlines, place);
    snprintf(text, sizeof text, "a tiny part of %s drawn by pen: there is no paper to draw it on but along an edge",
             colour_word(outlines, detail->colour, hex));
    return findings_add(&stack->findings, keep, "edit-not-kept", text, at.x / UM_PER_MM, at.y / UM_PER_MM) ||
           error_memory(err);
}

static bool make_strokes(const Outlines *outlines, Arena *own, Arena *keep, Work *work, Stack *stack, Error *err)
{
    size_t capacity = 0;
    Cover *papers = arena_new(own, Cover, stack->layer_count);
    if (!papers) return error_memory(err);
    for (int i = 0; i < stack->layer_count; i++)
        if (!work_goes_on(work, err) || !cover_make(&stack->layers[i].rings, own, &papers[i], err)) return false;
    for (int i = 0; i < outlines->pen_detail_count; i++) {
        const PenDetail *detail = &outlines->pen_details[i];
        PenStroke stroke = {.colour = detail->colour};
        bool any = false;
        ArenaMark mark = arena_mark(own);
        if (!work_goes_on(work, err) || !stroke_points(outlines, detail, own, keep, &stroke, err)) return false;
        if (stroke.point_count >= 3 && !add_for_layers(&stroke, papers, keep, own, stack, &capacity, &any))
            return error_memory(err);
        if (!any && !tell_of_no_paper(outlines, detail, keep, stack, err)) return false;
        arena_rewind(own, mark);
    }
    return true;
}

bool pen_strokes_make(const Outlines *outlines, Arena *keep, Work *work, Stack *stack, Error *err)
{
    if (outlines->pen_detail_count == 0) return true;
    Arena own = arena_make(work->scratch.budget_bytes);
    bool done = make_strokes(outlines, &own, keep, work, stack, err);
    arena_free(&own);
    return done;
}

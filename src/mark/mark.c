// mark.c - the marks of one layer; see mark.h.
#include "mark/mark.h"

#include "mark/drawn.h"
#include "mark/label.h"
#include "mark/placement.h"
#include "shape/overlay.h"

#include <math.h>
#include <stdio.h>

#define CORNER_MM 0.02 // facets cut round corners by as much: added to the distance that is to be kept
#define DASH_MM 1.0    // of a row of cuts: longer ones let the paper tear
#define DASH_GAP_MM 6.0

MarkOptions mark_defaults(MarkLine line)
{
    MarkOptions options = {.line = line, .inset_mm = 1.5, .hide_mm = 0.5, .letter_mm = 10.0, .least_letter_mm = 6.0};
    if (line == MARK_PEN) {
        options.inset_mm = 2.0; // ink shows more than a dent when a layer slips
        options.letter_mm = 8.0;
    }
    return options;
}

static Point point_between(Point a, Point b, double t)
{
    return (Point){(int32_t)llround(a.x + t * ((double)b.x - a.x)), (int32_t)llround(a.y + t * ((double)b.y - a.y))};
}

// The strokes of one piece, moved together: `out` has room for all.
static int strokes_of(const Strokes *all, int piece, Stroke *out)
{
    int count = 0;
    for (size_t i = 0; i < all->count; i++)
        if (all->items[i].piece == piece) out[count++] = all->items[i];
    return count;
}

static bool strokes_path(const Stroke *strokes, int count, Arena *keep, Path *out, Error *err)
{
    size_t edges = 0;
    for (int i = 0; i < count; i++) edges += (size_t)strokes[i].count - 1;
    *out = (Path){.open = true, .part_count = count};
    out->curves = arena_new(keep, Curve, edges);
    out->first = arena_new(keep, int, count + 1);
    if (!out->curves || !out->first) return error_memory(err);
    for (int i = 0; i < count; i++) {
        for (int k = 1; k < strokes[i].count; k++)
            out->curves[out->curve_count++] = curve_line(strokes[i].points[k - 1], strokes[i].points[k]);
        out->first[i + 1] = out->curve_count;
    }
    return true;
}

// The part of a stroke between two distances along it; `points` has room for all its points and two more.
static int stroke_part(const Stroke *stroke, double from_mm, double to_mm, Point *points)
{
    int count = 0;
    double along = 0.0;
    for (int i = 1; i < stroke->count; i++) {
        Point a = stroke->points[i - 1], b = stroke->points[i];
        double length = point_distance_mm(a, b), t0 = (from_mm - along) / length, t1 = (to_mm - along) / length;
        along += length;
        if (t0 >= 1.0 || t1 <= 0.0) continue;
        Point ends[2] = {point_between(a, b, fmax(t0, 0.0)), point_between(a, b, fmin(t1, 1.0))};
        for (int k = 0; k < 2; k++)
            if (count == 0 || !point_equal(points[count - 1], ends[k])) points[count++] = ends[k];
    }
    return count;
}

// Short cuts in a row, where no other tool than the blade is there: they show the line and hold the paper together.
static bool strokes_dashed(const Stroke *strokes, int count, Arena *own, Strokes *out, Error *err)
{
    *out = (Strokes){0};
    for (int i = 0; i < count; i++) {
        double length = 0.0;
        Point *part = arena_new(own, Point, strokes[i].count + 2);
        if (!part) return error_memory(err);
        for (int k = 1; k < strokes[i].count; k++)
            length += point_distance_mm(strokes[i].points[k - 1], strokes[i].points[k]);
        for (double from = DASH_GAP_MM / 2.0; from + DASH_MM < length; from += DASH_MM + DASH_GAP_MM) {
            int part_count = stroke_part(&strokes[i], from, from + DASH_MM, part);
            if (part_count < 2) continue;
            Stroke *room = arena_grow(own, out->items, out->count, &out->capacity, sizeof *room);
            Point *points = arena_copy(own, part, (size_t)part_count, sizeof *points);
            if (!room || !points) return error_memory(err);
            out->items = room;
            out->items[out->count++] = (Stroke){strokes[i].piece, points, part_count};
        }
    }
    return true;
}

static bool mark_strokes(int piece, MarkKind kind, MarkLine line, const Stroke *strokes, int count, Arena *keep,
                         LayerMarks *out, Error *err)
{
    Path path;
    if (count == 0) return true;
    if (!strokes_path(strokes, count, keep, &path, err)) return false;
    out->marks[out->mark_count++] = (Mark){piece, kind, line, path, NULL};
    return true;
}

static bool mark_piece(const Piece *piece, int index, const Stroke *strokes, int stroke_count, const Rings *safe,
                       const MarkOptions *options, Arena *keep, Work *work, LayerMarks *out, Error *err)
{
    Path path;
    if (!mark_strokes(index, MARK_PLACEMENT, options->line, strokes, stroke_count, keep, out, err)) return false;
    bool found = false; // letters would be cut out
    if (options->line != MARK_CUT && !options->no_marks &&
        !label_find(piece->id, &piece->rings, safe, strokes, stroke_count, options, keep, work, &path, &found, err))
        return false;
    if (!found) {
        out->unlabelled_count++;
        return true;
    }
    const char *text = arena_text(keep, piece->id);
    if (!text) return error_memory(err);
    out->marks[out->mark_count++] = (Mark){index, MARK_LABEL, options->line, path, text};
    return true;
}

// A kit needs one tool besides the blade unless details are drawn by pen as well; where they cannot be drawn they are lost.
static bool tell_of_second_tool(const Stack *stack, int layer, const MarkOptions *options, Arena *keep, LayerMarks *out,
                                Error *err)
{
    const PenStroke *first = NULL;
    int count = 0;
    for (int i = 0; i < stack->pen_stroke_count; i++) {
        if (stack->pen_strokes[i].layer != layer) continue;
        if (!first) first = &stack->pen_strokes[i];
        count++;
    }
    if ((options->line == MARK_PEN && !options->no_pen) || !first) return true;
    char text[200], letter[8];
    layer_letter(layer, letter);
    if (options->no_pen)
        snprintf(text, sizeof text, "%d small detail%s of layer %s %s left out: the paper takes no pen, and %s too small to cut", count,
                 count == 1 ? "" : "s", letter, count == 1 ? "is" : "are", count == 1 ? "it is" : "they are");
    else
        snprintf(text, sizeof text,
                 "%d small detail%s drawn by pen on layer %s, and the other lines are %s: cutting it takes a pen as well%s", count,
                 count == 1 ? " is" : "s are", letter, options->line == MARK_SCORE ? "scored" : "cut",
                 options->pen_missing ? ", which the cutter does not have; draw by hand what the files show" : "");
    Point at = first->points[0];
    return findings_add(&out->findings, keep, options->no_pen ? "not-drawn" : "two-tools", text, at.x / UM_PER_MM, at.y / UM_PER_MM) ||
           error_memory(err);
}

static bool mark_pieces(const Stack *stack, const LayerPieces *pieces, int layer, const MarkOptions *options,
                        Arena *own, Arena *keep, Work *work, LayerMarks *out, Error *err)
{
    Rings safe = {0};
    Strokes strokes = {0}, drawn = {0};
    const Rings *cover = &stack->layers[layer].cover;
    if (cover->count > 0 && !options->no_marks && (!overlay_offset(cover, -options->hide_mm - CORNER_MM, CORNER_MM, own, work, &safe, err) ||
                             !placement_find(stack, pieces, layer, options, &safe, own, work, &strokes, err)))
        return false;
    if (!options->no_pen && !drawn_find(stack, pieces, layer, own, work, &drawn, err)) return false;
    out->marks = arena_new(keep, Mark, 3 * (size_t)pieces->piece_count);
    if (options->line == MARK_CUT) {
        Strokes whole = strokes;
        if (!strokes_dashed(whole.items, (int)whole.count, own, &strokes, err)) return false;
    }
    Stroke *room = arena_new(own, Stroke, strokes.count + drawn.count);
    if (!out->marks || !room) return error_memory(err);
    for (int i = 0; i < pieces->piece_count; i++) {
        int count = strokes_of(&strokes, i, room);
        if (!mark_piece(&pieces->pieces[i], i, room, count, &safe, options, keep, work, out, err)) return false;
        count = strokes_of(&drawn, i, room);
        if (!mark_strokes(i, MARK_DRAWN, MARK_PEN, room, count, keep, out, err)) return false;
    }
    return (drawn.count == 0 && !options->no_pen) || tell_of_second_tool(stack, layer, options, keep, out, err);
}

bool mark_layer(const Stack *stack, const LayerPieces *all, int layer, const MarkOptions *options, Arena *keep,
                Work *work, LayerMarks *out, Error *err)
{
    *out = (LayerMarks){.layer = layer};
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    bool done = mark_pieces(stack, &all[layer], layer, options, &own, keep, work, out, err);
    arena_free(&own);
    if (!done) *out = (LayerMarks){0};
    return done;
}

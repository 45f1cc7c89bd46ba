// mark.c - the marks of one layer; see mark.h.
#include "mark/mark.h"

#include "mark/bounds.h"
#include "mark/drawn.h"
#include "mark/label.h"
#include "mark/match.h"
#include "mark/match_name.h"
#include "mark/placement.h"

#include <math.h>
#include <stdio.h>

#define DASH_MM 1.0    // of a row of cuts: longer ones let the paper tear
#define DASH_GAP_MM 6.0
#define SHORTEST_MM 3.0 // what is left of a line beside letters tells nothing when it is shorter

const char *mark_line_word(MarkLine line)
{
    switch (line) {
    case MARK_SCORE: return "score";
    case MARK_PEN: return "pen";
    case MARK_CUT: return "cut";
    }
    return "";
}

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

typedef struct Found { // for all pieces of the layer
    Strokes lines, drawn;
    LineIndex index; // of the lines
    Label *labels;   // one a piece
    Taken *taken;    // one a piece: the strokes of labels and match marks
    MatchMarks matches;
    Gaps gaps;       // where lines give way to labels
} Found;

static bool find_label(const Piece *piece, int index, const Bounds *bounds, const MarkOptions *options, Arena *own,
                       Work *work, Found *found, Error *err)
{
    Label *label = &found->labels[index];
    Stroke *lines = arena_new(own, Stroke, found->lines.count);
    if (!lines) return error_memory(err);
    LabelPlace place = {&piece->rings, &bounds->hidden, lines, strokes_of(&found->lines, index, lines), {0}};
    place.room = (Room){.face = &bounds->faces[index], .safe = &bounds->safe, .scratch = &work->scratch};
    if (!line_index_of(&found->index, index, &place.room.lines, err) ||
        !label_find(piece->id, &place, options, own, work, label, err))
        return false;
    for (int i = 0; label->across && i < label->letter_count; i++) {
        label->letters[i].piece = index;
        if (!gaps_add(&found->gaps, &label->letters[i], own)) return error_memory(err);
    }
    return taken_add(&found->taken[index], label->path.curves, label->path.curve_count, own) || error_memory(err);
}

static bool name_seams(const LayerPieces *pieces, Arena *keep, LayerMarks *out, Error *err)
{
    out->seam_letters = arena_new(keep, const char *, pieces->seam_count);
    if (!out->seam_letters) return error_memory(err);
    for (int i = 0; i < pieces->seam_count; i++) {
        char name[MATCH_NAME_MAX];
        match_name(i, name);
        out->seam_letters[i] = arena_text(keep, name);
        if (!out->seam_letters[i]) return error_memory(err);
    }
    out->seam_count = pieces->seam_count;
    return true;
}

// Names come before match marks: a piece has one, and these have the whole seam.
static bool find_written(const LayerPieces *pieces, const Bounds *bounds, const MarkOptions *options, Arena *own,
                         Arena *keep, Work *work, const LayerMarks *out, Found *found, Error *err)
{
    for (int i = 0; i < pieces->piece_count; i++)
        if (!find_label(&pieces->pieces[i], i, bounds, options, own, work, found, err)) return false;
    return match_find(pieces, out->seam_letters, bounds, &found->index, found->taken, options, keep, work, &found->matches,
                      err);
}

static bool find_all(const Stack *stack, const LayerPieces *pieces, const Bounds *bounds, const MarkOptions *options,
                     Arena *own, Arena *keep, Work *work, const LayerMarks *out, Found *found, Error *err)
{
    *found = (Found){.labels = arena_new(own, Label, pieces->piece_count),
                     .taken = arena_new(own, Taken, pieces->piece_count)};
    if (!found->labels || !found->taken) return error_memory(err);
    found->matches.unmarked_count = pieces->seam_count;
    return (options->no_marks || placement_find(stack, bounds, options, own, work, &found->lines, err)) &&
           (options->no_pen || drawn_find(stack, pieces, bounds->layer, own, work, &found->drawn, err)) &&
           line_index_make(&found->lines, pieces->piece_count, own, &found->index, err) &&
           (options->no_marks || options->line == MARK_CUT || // ticks and letters would be cut out
            find_written(pieces, bounds, options, own, keep, work, out, found, err));
}

// ---- the layer's list ----

static bool add_strokes(int piece, MarkKind kind, MarkLine line, const Stroke *strokes, int count, Arena *keep,
                        LayerMarks *out, Error *err)
{
    Path path;
    if (count == 0) return true;
    if (!strokes_path(strokes, count, keep, &path, err)) return false;
    out->marks[out->mark_count++] = (Mark){.piece = piece, .kind = kind, .line = line, .path = path};
    return true;
}

static bool add_lines(int index, const Found *found, MarkLine line, Arena *own, Arena *keep, Work *work, LayerMarks *out,
                      Error *err)
{
    Strokes lines = {0}, off_labels;
    Stroke *room = arena_new(own, Stroke, found->lines.count);
    if (!room) return error_memory(err);
    int count = strokes_of(&found->lines, index, room);
    if (!clip_gaps(room, count, &found->gaps, SHORTEST_MM, own, &work->scratch, &off_labels) ||
        !clip_gaps(off_labels.items, (int)off_labels.count, &found->matches.gaps, SHORTEST_MM, own, &work->scratch, &lines))
        return error_memory(err);
    if (line == MARK_CUT) {
        Strokes whole = lines;
        if (!strokes_dashed(whole.items, (int)whole.count, own, &lines, err)) return false;
    }
    return add_strokes(index, MARK_PLACEMENT, line, lines.items, (int)lines.count, keep, out, err);
}

static bool add_label(const Piece *piece, int index, const Label *label, MarkLine line, Arena *keep, LayerMarks *out,
                      Error *err)
{
    if (!label->found) {
        out->unlabelled_count++;
        return true;
    }
    Path path = label->path;
    path.curves = arena_copy(keep, path.curves, (size_t)path.curve_count, sizeof *path.curves);
    path.first = arena_copy(keep, path.first, (size_t)path.part_count + 1, sizeof *path.first);
    const char *text = arena_text(keep, piece->id);
    if (!text || !path.curves || !path.first) return error_memory(err);
    out->marks[out->mark_count++] = (Mark){.piece = index, .kind = MARK_LABEL, .line = line, .path = path, .text = text};
    return true;
}

static void add_matches(const LayerPieces *pieces, int index, const Found *found, MarkLine line, LayerMarks *out)
{
    for (size_t i = 0; i < found->matches.count; i++) {
        const MatchMark *match = &found->matches.items[i];
        for (int side = 0; side < 2; side++)
            if (pieces->seams[match->seam].pieces[side] == index)
                out->marks[out->mark_count++] = (Mark){index, MARK_MATCH, line, match->sides[side],
                                                       out->seam_letters[match->seam], match->seam};
    }
}

static bool add_piece(const LayerPieces *pieces, int index, const Found *found, MarkLine line, Arena *own, Arena *keep,
                      Work *work, LayerMarks *out, Error *err)
{
    Stroke *drawn = arena_new(own, Stroke, found->drawn.count);
    if (!drawn) return error_memory(err);
    if (!add_lines(index, found, line, own, keep, work, out, err) ||
        !add_label(&pieces->pieces[index], index, &found->labels[index], line, keep, out, err))
        return false;
    add_matches(pieces, index, found, line, out);
    return add_strokes(index, MARK_DRAWN, MARK_PEN, drawn, strokes_of(&found->drawn, index, drawn), keep, out, err);
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
    Bounds bounds;
    Found found;
    if (!name_seams(pieces, keep, out, err) ||
        !bounds_make(stack, pieces, layer, options->hide_mm, own, work, &bounds, err) ||
        !find_all(stack, pieces, &bounds, options, own, keep, work, out, &found, err))
        return false;
    out->unmarked_count = found.matches.unmarked_count;
    out->marks = arena_new(keep, Mark, 3 * (size_t)pieces->piece_count + 2 * found.matches.count);
    if (!out->marks) return error_memory(err);
    for (int i = 0; i < pieces->piece_count; i++)
        if (!add_piece(pieces, i, &found, options->line, own, keep, work, out, err)) return false;
    return (found.drawn.count == 0 && !options->no_pen) || tell_of_second_tool(stack, layer, options, keep, out, err);
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

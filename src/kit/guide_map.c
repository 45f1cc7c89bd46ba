// guide_map.c - see guide_map.h.
// Method:  the key plan's placing of names and seams is asked with a draft that holds one layer or one sheet alone.
#include "kit/guide_map.h"

#include "kit/guide_paths.h"
#include "kit/guide_sheet.h"
#include "kit/plan_labels.h"
#include "kit/plan_seams.h"

#include <cairo.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define SEEN_MM 0.6
#define TICK_MM 0.35
#define HIDDEN_MM 0.3
#define LETTERS_WIDE 0.95 // DejaVu's bold letters are a little wider than the key plan reckons with
#define MOST_OUTSIDE 24   // names beside a drawing; with more, lines run through one another
#define MOST_GRID 4

// --- the picture ---

// Details drawn by pen, in their own colours.
static void draw_pen_details(Canvas *canvas, const Stack *stack, const double matrix[6])
{
    for (int i = 0; i < stack->pen_stroke_count; i++) {
        const PenStroke *stroke = &stack->pen_strokes[i];
        if (i > 0 && stroke[-1].points == stroke->points) continue; // there again for another layer
        for (int k = 0; k < stroke->point_count; k++) paths_go(canvas, stroke->points[k], matrix, k > 0);
        cairo_close_path(canvas->cr);
        cairo_set_line_width(canvas->cr, PATHS_EDGE_MM);
        canvas_ink(canvas, ink_of(stroke->colour), 1);
        cairo_stroke(canvas->cr);
    }
}

void map_picture(Canvas *canvas, const Draft *draft, const double matrix[6])
{
    const Stack *stack = draft->input->stack;
    for (int l = 0; l < stack->layer_count; l++)
        paths_fill(canvas, &draft->layers[l].outline, matrix, paths_ink(draft, l), INK_GREY);
    draw_pen_details(canvas, stack, matrix);
}

// --- seams ---

// Path data as plan_seams writes it: M and L with two numbers each, blanks between.
static void trace_lines(cairo_t *cr, const char *data)
{
    while (*data) {
        char command = *data++, number[NUMBER_MAX];
        double xy[2] = {0, 0};
        for (int k = 0; k < 2; k++) {
            size_t size = strcspn(data, " ");
            snprintf(number, sizeof number, "%.*s", (int)size, data);
            if (!number_parse(number, &xy[k])) return;
            data += size + (data[size] == ' ');
        }
        if (command == 'M')
            cairo_move_to(cr, xy[0], xy[1]);
        else
            cairo_line_to(cr, xy[0], xy[1]);
    }
}

static void stroke_lines(Canvas *canvas, const char *data, double width_mm, Ink ink, double alpha, bool dashed)
{
    static const double DASHES[] = {1.4, 1.0};
    trace_lines(canvas->cr, data);
    cairo_set_line_width(canvas->cr, width_mm);
    canvas_ink(canvas, ink, alpha);
    if (dashed) cairo_set_dash(canvas->cr, DASHES, 2, 0);
    cairo_stroke(canvas->cr);
    cairo_set_dash(canvas->cr, NULL, 0, 0);
}

static void draw_seams(Canvas *canvas, const PlanSeams *seams)
{
    stroke_lines(canvas, seams->hidden, HIDDEN_MM * 3, INK_WHITE, 0.8, false);
    stroke_lines(canvas, seams->hidden, HIDDEN_MM, INK_BLACK, 1, true);
    stroke_lines(canvas, seams->seen, SEEN_MM * 2, INK_WHITE, 0.8, false);
    stroke_lines(canvas, seams->ticks, TICK_MM * 2.4, INK_WHITE, 0.8, false);
    stroke_lines(canvas, seams->seen, SEEN_MM, INK_BLACK, 1, false);
    stroke_lines(canvas, seams->ticks, TICK_MM, INK_BLACK, 1, false);
}

void map_seam_key(Canvas *canvas)
{
    double x = CANVAS_LEFT_MM, y = canvas->y_mm + 2;
    Letters letters = {9, false, INK_BLACK, CANVAS_FROM_LEFT};
    canvas_line(canvas, x, y, x + 14, y, SEEN_MM, INK_BLACK);
    for (int i = 0; i < 3; i++)
        canvas_line(canvas, x + 3 + 4 * i, y - 0.95, x + 3 + 4 * i, y + 0.95, TICK_MM, INK_BLACK);
    canvas_words(canvas, x + 16, y - 2, 0, letters, "seam that stays in sight");
    static const double DASHES[] = {1.4, 1.0};
    cairo_set_dash(canvas->cr, DASHES, 2, 0);
    canvas_line(canvas, x + 75, y, x + 89, y, HIDDEN_MM, INK_BLACK);
    cairo_set_dash(canvas->cr, NULL, 0, 0);
    canvas_words(canvas, x + 91, y - 2, 0, letters, "seam that a higher layer will cover");
    canvas->y_mm += 6;
}

// --- names ---

static void draw_leader(Canvas *canvas, const double from[2], const double to[2], double side)
{
    double start = from[0] + side * 3.8;
    for (int pass = 0; pass < 2; pass++) {
        cairo_move_to(canvas->cr, start, from[1]);
        cairo_line_to(canvas->cr, from[0] + side * PLAN_KNEE_MM, from[1]);
        cairo_line_to(canvas->cr, to[0], to[1]);
        cairo_set_line_width(canvas->cr, pass ? 0.2 : 0.7);
        canvas_ink(canvas, pass ? INK_BLACK : INK_WHITE, 1);
        cairo_stroke(canvas->cr);
    }
    cairo_arc(canvas->cr, to[0], to[1], 0.7, 0, 2 * 3.14159265358979);
    canvas_ink(canvas, INK_BLACK, 1);
    cairo_fill_preserve(canvas->cr);
    cairo_set_line_width(canvas->cr, 0.25);
    canvas_ink(canvas, INK_WHITE, 1);
    cairo_stroke(canvas->cr);
}

void map_names(Canvas *canvas, const Draft *draft, const PlanLabel *labels, double x, double y, double mirror_mm, Ink ink)
{
    for (int pass = 0; pass < 2; pass++)
        for (int p = 0; p < draft->piece_count; p++) {
            const PlanLabel *label = &labels[p];
            double at[2] = {x + (mirror_mm > 0 ? mirror_mm - label->x_mm : label->x_mm), y + label->y_mm};
            double to[2] = {x + (mirror_mm > 0 ? mirror_mm - label->at_x_mm : label->at_x_mm), y + label->at_y_mm};
            bool inside = label->kind == PLAN_LABEL_INSIDE;
            if (pass == 0 && !inside) draw_leader(canvas, at, to, at[0] < to[0] ? 1 : -1);
            if (pass == 1)
                canvas_name(canvas, at[0], at[1], label->size_mm * LETTERS_WIDE, inside ? ink : INK_BLACK,
                            draft->pieces[p].source->id);
        }
}

// --- a layer ---

// What the placing of names and seams may see: one layer's pieces, all of them or those that seams join.
typedef struct OneLayer {
    Stack stack;
    KitInput input;
    Draft draft;
    Box box; // the part of the finished piece that is drawn; names are placed from its corner
} OneLayer;

static void one_layer(const Draft *draft, int layer, OneLayer *out)
{
    out->stack = *draft->input->stack;
    out->stack.layers = &draft->input->stack->layers[layer];
    out->stack.layer_count = 1;
    out->input = *draft->input;
    out->input.stack = &out->stack;
    out->input.layer_pieces = &draft->input->layer_pieces[layer];
    out->draft = *draft;
    out->draft.input = &out->input;
    out->draft.layers = &draft->layers[layer];
    out->draft.pieces = &draft->pieces[draft->layers[layer].first_piece];
    out->draft.piece_count = draft->layers[layer].piece_count;
    int first = 0, count = 0;
    while (first < draft->seam_count && draft->seams[first].layer != layer) first++;
    while (first + count < draft->seam_count && draft->seams[first + count].layer == layer) count++;
    out->draft.seams = draft->seams + first;
    out->draft.seam_count = count;
    out->box = (Box){{0, 0}, point_from_mm(out->stack.width_mm, out->stack.height_mm)};
}

static bool is_joined(const Draft *one, int piece)
{
    for (int s = 0; s < one->seam_count; s++)
        if (one->seams[s].source->pieces[0] == piece || one->seams[s].source->pieces[1] == piece) return true;
    return false;
}

static Point moved(Point p, Point origin)
{
    return (Point){p.x - origin.x, p.y - origin.y};
}

static bool move_piece(const DraftPiece *from, Point origin, Arena *keep, DraftPiece *out, Error *err)
{
    Piece *source = arena_copy(keep, from->source, 1, sizeof *source);
    if (!source) return error_memory(err);
    const Rings *rings = &from->source->rings;
    source->rings = (Rings){arena_new(keep, Ring, rings->count), rings->count};
    if (!source->rings.items) return error_memory(err);
    for (int r = 0; r < rings->count; r++) {
        Ring *ring = &source->rings.items[r];
        *ring = (Ring){arena_new(keep, Point, rings->items[r].count), rings->items[r].count};
        if (!ring->points) return error_memory(err);
        for (int i = 0; i < ring->count; i++) ring->points[i] = moved(rings->items[r].points[i], origin);
    }
    *out = *from;
    out->source = source;
    return true;
}

static bool move_seam(const DraftSeam *from, Point origin, Arena *keep, DraftSeam *out, Error *err)
{
    *out = *from;
    out->path.curves = arena_new(keep, Curve, from->path.curve_count);
    if (!out->path.curves) return error_memory(err);
    for (int i = 0; i < from->path.curve_count; i++) {
        const Curve *c = &from->path.curves[i];
        out->path.curves[i] =
            (Curve){moved(c->p0, origin), moved(c->p1, origin), moved(c->p2, origin), moved(c->p3, origin), c->is_line};
    }
    return true;
}

static bool is_in_cell(const MapPart *part, const Box *layer_box, const DraftPiece *piece)
{
    if (part->grid <= 1) return true;
    Box box = rings_box(&piece->source->rings);
    int column = (int)(((double)box.min.x + box.max.x - 2.0 * layer_box->min.x) / 2 /
                       (layer_box->max.x - layer_box->min.x + 1.0) * part->grid);
    int row = (int)(((double)box.min.y + box.max.y - 2.0 * layer_box->min.y) / 2 /
                    (layer_box->max.y - layer_box->min.y + 1.0) * part->grid);
    return row * part->grid + column == part->cell;
}

// Leaves only the pieces that the part asks for, seen from the corner of their box.
static bool keep_part(OneLayer *one, const MapPart *part, Arena *keep, Error *err)
{
    const Draft all = one->draft;
    Box layer_box = rings_box(&one->stack.layers[0].rings);
    one->draft.pieces = arena_new(keep, DraftPiece, all.piece_count);
    one->draft.seams = arena_new(keep, DraftSeam, all.seam_count);
    bool *kept = arena_new(keep, bool, all.piece_count);
    if (!one->draft.pieces || !one->draft.seams || !kept) return error_memory(err);
    one->box = box_empty();
    for (int p = 0; p < all.piece_count; p++) {
        kept[p] = (!part->from_behind || part->loose_too || is_joined(&all, p)) && is_in_cell(part, &layer_box, &all.pieces[p]);
        if (!kept[p]) continue;
        Box box = rings_box(&all.pieces[p].source->rings);
        box_add(&one->box, box.min);
        box_add(&one->box, box.max);
    }
    one->draft.piece_count = 0;
    for (int p = 0; p < all.piece_count; p++)
        if (kept[p] &&
            !move_piece(&all.pieces[p], one->box.min, keep, &one->draft.pieces[one->draft.piece_count++], err))
            return false;
    one->draft.seam_count = 0;
    for (int s = 0; s < all.seam_count; s++) {
        const int *pair = all.seams[s].source->pieces;
        if ((kept[pair[0]] || kept[pair[1]]) &&
            !move_seam(&all.seams[s], one->box.min, keep, &one->draft.seams[one->draft.seam_count++], err))
            return false;
    }
    one->stack.width_mm = box_width_mm(one->box);
    one->stack.height_mm = box_height_mm(one->box);
    return true;
}

static MapView view_of(const OneLayer *one, bool from_behind, Frame frame)
{
    double w = one->stack.width_mm, h = one->stack.height_mm;
    double scale = fmin(1, fmin((frame.w - 2 * MAP_MARGIN_MM) / w, frame.h / h)); // never larger than it is
    double left = frame.x + (frame.w - w * scale) / 2, x = one->box.min.x / UM_PER_MM, y = one->box.min.y / UM_PER_MM;
    double side = from_behind ? -scale : scale, start = from_behind ? left + w * scale : left;
    return (MapView){.frame = {left, frame.y, w * scale, h * scale}, .scale = scale,
                     .matrix = {side, 0, 0, scale, start - side * x, frame.y - scale * y}};
}

static void draw_below(Canvas *canvas, const Draft *draft, int layer, const double matrix[6])
{
    static const Ink EDGE = {0.75, 0.73, 0.70};
    for (int l = 0; l < layer; l++) paths_fill(canvas, &draft->layers[l].outline, matrix, INK_PALE, EDGE);
}

static void clip_to(Canvas *canvas, Frame frame, double air_mm)
{
    cairo_rectangle(canvas->cr, frame.x - air_mm, frame.y - air_mm, frame.w + 2 * air_mm, frame.h + 2 * air_mm);
    cairo_clip(canvas->cr);
}

// The letter that both edges of a seam bear, in a small disc on its middle.
static void draw_letters(Canvas *canvas, const Draft *draft, const Draft *one, const double m[6])
{
    for (int i = 0; i < one->seam_count; i++) {
        int seam = 0;
        while (seam < draft->seam_count && draft->seams[seam].source != one->seams[i].source) seam++;
        const char *letter = seam < draft->seam_count ? draft_seam_letter_on_paper(draft, seam) : NULL;
        const Path *path = &draft->seams[seam < draft->seam_count ? seam : 0].path;
        if (!letter) continue;
        Point p = curve_point(&path->curves[path->curve_count / 2], path->curve_count % 2 ? 0.5 : 0);
        double x = m[0] * p.x / UM_PER_MM + m[4], y = m[3] * p.y / UM_PER_MM + m[5];
        cairo_arc(canvas->cr, x, y, 1.6, 0, 6.2831853);
        canvas_ink(canvas, INK_WHITE, 1);
        cairo_fill(canvas->cr);
        canvas_name(canvas, x, y, 2.5, INK_BLACK, letter);
    }
}

bool map_part_is_empty(const Draft *draft, const MapPart *part)
{
    OneLayer one;
    one_layer(draft, part->layer, &one);
    Box layer_box = rings_box(&one.stack.layers[0].rings);
    for (int p = 0; p < one.draft.piece_count; p++)
        if ((!part->from_behind || part->loose_too || is_joined(&one.draft, p)) && is_in_cell(part, &layer_box, &one.draft.pieces[p]))
            return false;
    return true;
}

static bool prepare(const Draft *draft, const MapPart *part, Frame frame, Arena *keep, OneLayer *one, MapView *view,
                    Error *err)
{
    one_layer(draft, part->layer, one);
    if ((part->from_behind || part->grid > 1) && !keep_part(one, part, keep, err)) return false;
    *view = one->draft.piece_count > 0 ? view_of(one, part->from_behind, frame)
                                       : (MapView){.frame = {frame.x, frame.y, 0, 0}};
    return true;
}

bool map_layer(Canvas *canvas, const Draft *draft, const MapPart *part, Frame frame, Arena *keep, Work *work,
               MapView *out, Error *err)
{
    static const Ink BACK = {0.985, 0.98, 0.97};
    OneLayer one;
    PlanLabel *labels = NULL;
    PlanSeams seams;
    if (!prepare(draft, part, frame, keep, &one, out, err)) return false;
    if (one.draft.piece_count == 0) return true;
    if (!plan_seams(&one.draft, out->matrix, keep, work, &seams, err)) return false;
    if (!part->without_names && !plan_labels(&one.draft, out->scale, MAP_MARGIN_MM, false, keep, work, &labels, err))
        return false;
    cairo_save(canvas->cr);
    clip_to(canvas, out->frame,
            part->grid > 1 ? 1.5 : MAP_MARGIN_MM); // a part of a layer shows the start of what is next to it
    if (!part->from_behind) draw_below(canvas, draft, part->layer, out->matrix);
    Ink paper = part->from_behind ? BACK : paths_ink(draft, part->layer);
    for (int p = 0; p < one.draft.piece_count; p++)
        paths_fill(canvas, &one.draft.pieces[p].face, out->matrix, paper, INK_BLACK);
    draw_seams(canvas, &seams);
    if (part->from_behind && !part->without_names) draw_letters(canvas, draft, &one.draft, out->matrix);
    cairo_restore(canvas->cr);
    if (labels) {
        map_names(canvas, &one.draft, labels, out->frame.x, out->frame.y, part->from_behind ? out->frame.w : 0,
                   ink_is_light(paper) ? INK_BLACK : INK_WHITE);
        for (int p = 0; p < one.draft.piece_count; p++) {
            labels[p].x_mm = out->frame.x + (part->from_behind ? out->frame.w - labels[p].x_mm : labels[p].x_mm);
            labels[p].y_mm += out->frame.y;
        }
        out->labels = labels;
        out->label_count = one.draft.piece_count;
    }
    return true;
}

static bool names_outside(const Draft *draft, const MapPart *part, Frame frame, Arena *keep, Work *work, int *most,
                          Error *err)
{
    OneLayer one;
    MapView view;
    PlanLabel *labels;
    int count = 0;
    if (!prepare(draft, part, frame, keep, &one, &view, err)) return false;
    if (one.draft.piece_count == 0) return true;
    if (!plan_labels(&one.draft, view.scale, MAP_MARGIN_MM, false, keep, work, &labels, err)) return false;
    for (int p = 0; p < one.draft.piece_count; p++) count += labels[p].kind != PLAN_LABEL_INSIDE;
    if (count > *most) *most = count;
    return true;
}

bool map_layer_grid(const Draft *draft, int layer, bool from_behind, Frame frame, Arena *keep, Work *work, int *out,
                    Error *err)
{
    for (*out = 1; *out < MOST_GRID; (*out)++) {
        int most = 0;
        for (int cell = 0; cell < *out * *out; cell++) {
            MapPart part = {.layer = layer, .from_behind = from_behind, .grid = *out, .cell = cell};
            if (!work_goes_on(work, err) || !names_outside(draft, &part, frame, keep, work, &most, err)) return false;
        }
        if (most <= MOST_OUTSIDE) return true;
    }
    return true;
}

// --- a sheet ---

double map_sheet_scale(const Paper *paper, double w_mm, double h_mm)
{
    return fmin((w_mm - 2 * MAP_MARGIN_MM) / paper->width_mm, h_mm / paper->height_mm);
}

static void draw_corners(Canvas *canvas, const double box[4], const double m[6])
{
    double leg = PAPER_CORNER_MARK_MM;
    for (int k = 0; k < 2; k++) {
        double x = m[0] * (k ? box[0] + box[2] : box[0]) + m[4], y = m[3] * (k ? box[1] + box[3] : box[1]) + m[5];
        double step = m[0] * (k ? -leg : leg), step_x = box[2] < 0 ? -step : step;
        cairo_move_to(canvas->cr, x, y);
        cairo_line_to(canvas->cr, x + step_x, y);
        cairo_line_to(canvas->cr, x, y + step);
        cairo_close_path(canvas->cr);
        canvas_ink(canvas, INK_GREY, 1);
        cairo_fill(canvas->cr);
    }
}

bool map_sheet(Canvas *canvas, const Draft *draft, int sheet, Frame frame, Arena *keep, Work *work, Error *err)
{
    SheetDraft view;
    if (!sheet_draft(draft, sheet, keep, &view, err)) return false;
    const KitPaper *paper = &draft->input->papers[draft->sheets[sheet].paper];
    double scale = map_sheet_scale(&paper->paper, frame.w, frame.h);
    double w = paper->paper.width_mm * scale, left = frame.x + (frame.w - w) / 2;
    const double m[6] = {scale, 0, 0, scale, left, frame.y};
    PlanLabel *labels;
    if (!plan_labels(&view.draft, scale, MAP_MARGIN_MM, false, keep, work, &labels, err)) return false;
    canvas_swatch(canvas, left, frame.y, w, paper->paper.height_mm * scale, INK_WHITE);
    double corners[4];
    draft_corners(draft, &draft->sheets[sheet], corners);
    draw_corners(canvas, corners, m);
    Ink fill = ink_of(paper->colour);
    for (int p = 0; p < view.draft.piece_count; p++) {
        const DraftPiece *piece = &draft->pieces[draft->sheets[sheet].pieces[p]];
        const double *s = view.draft.pieces[p].to_sheet;
        const double both[6] = {scale * s[0], scale * s[1],        scale * s[2],
                                scale * s[3], scale * s[4] + m[4], scale * s[5] + m[5]};
        paths_fill(canvas, &piece->outline, both, fill, INK_BLACK);
    }
    map_names(canvas, &view.draft, labels, left, frame.y, 0, ink_is_light(fill) ? INK_BLACK : INK_WHITE);
    return true;
}

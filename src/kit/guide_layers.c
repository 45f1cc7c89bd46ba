// guide_layers.c - each layer: a map from the front, one from behind where pieces are joined, and its steps in order.
#include "kit/guide_foam.h"
#include "kit/guide_laps.h"
#include "kit/guide_part.h"
#include "kit/guide_strips.h"

#include <cairo.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define DISC_MM 2.5         // round the number of a dot
#define SHARED_MAP_MM 130.0 // of a page that also has steps
#define SHARED_LETTERS 36   // on a map from behind of that height; of more some would cover others
#define LEAST_MAP_MM 84.0   // ... when with it all of them stand on the page

typedef struct LayerPart {
    Guide *guide;
    int layer;
    const GuideBelow *below;
    Sketches *sketches;
    GuideSteps steps;
    GuideChecks checks; // of the base
    const char *heading;
} LayerPart;

static bool has_seams(const Draft *draft, int layer)
{
    return draft->input->layer_pieces[layer].seam_count > 0;
}

static bool begin_layer(LayerPart *part, Error *err)
{
    Guide *guide = part->guide;
    const Draft *draft = guide->draft;
    Text heading = text_make(guide->keep), about = text_make(guide->keep);
    text_printf(&heading, "Layer %s: %s", draft->layers[part->layer].id, guide_colour_name(draft, part->layer));
    guide_count(&about, draft->layers[part->layer].piece_count, "piece");
    text_printf(&about, " in envelope %s, %s. Seen from the front.", draft->layers[part->layer].id,
                part->layer == 0 ? "the bottom of the stack" : "on top of what lies already, which is pale here");
    const char *words = guide_words(&about, err);
    part->heading = guide_words(&heading, err);
    if (!words || !part->heading) return false;
    canvas_page(&guide->canvas, part->heading, part->heading, 0);
    canvas_paragraph(&guide->canvas, words);
    return true;
}

// The height of a map that has the rest of the page to itself.
static double full_map_mm(const Canvas *canvas)
{
    return canvas->bottom_mm - canvas->y_mm - 12;
}

// Whether all names find room on a map of this height, with no close-ups.
static bool is_readable(LayerPart *part, bool from_behind, double height_mm, bool *out, Error *err)
{
    Guide *guide = part->guide;
    Frame frame = {CANVAS_LEFT_MM, guide->canvas.y_mm, guide->canvas.width_mm, height_mm};
    int grid;
    if (!map_layer_grid(guide->draft, part->layer, from_behind, frame, guide->keep, guide->work, &grid, err)) return false;
    *out = grid == 1;
    return true;
}

// Too many letters for a part of a page.
static bool is_crowded(const Draft *draft, int layer)
{
    int letters = 0;
    for (int s = 0; s < draft->seam_count; s++)
        letters += draft->seams[s].layer == layer && draft_seam_letter_on_paper(draft, s) != NULL;
    return letters > SHARED_LETTERS;
}

// The height of a map above the steps: as much as they leave on the page; where they go on anyway, so much that the first
// of them stand below it; the whole page, when not even the first would.
static bool map_height(LayerPart *part, bool from_behind, double *out, Error *err)
{
    Canvas *canvas = &part->guide->canvas;
    double full_mm = full_map_mm(canvas), page_mm = canvas->bottom_mm - canvas->y_mm - 10;
    double left_mm = page_mm - guide_steps_height(part->guide, part->sketches, part->layer, &part->steps);
    double first_mm = page_mm - guide_first_step_height(part->guide, part->sketches, part->layer, &part->steps);
    bool small = false;
    if (from_behind && is_crowded(part->guide->draft, part->layer)) return *out = full_mm, true;
    if (left_mm >= LEAST_MAP_MM && left_mm < SHARED_MAP_MM && !is_readable(part, from_behind, left_mm, &small, err)) return false;
    if (left_mm >= SHARED_MAP_MM || small) *out = fmin(left_mm, full_mm);
    else *out = first_mm < LEAST_MAP_MM ? full_mm : fmin(fmin(SHARED_MAP_MM, first_mm), full_mm);
    return true;
}

// Where the close-ups lie: thin lines over the whole layer, with their numbers.
static void draw_grid(Canvas *canvas, const Draft *draft, int layer, int grid, const MapView *view)
{
    Box box = rings_box(&draft->input->stack->layers[layer].rings);
    double x0 = view->matrix[0] * box.min.x / UM_PER_MM + view->matrix[4],
           y0 = view->matrix[3] * box.min.y / UM_PER_MM + view->matrix[5];
    double w = box_width_mm(box) * view->scale, h = box_height_mm(box) * view->scale;
    for (int i = 1; i < grid; i++) {
        canvas_line(canvas, x0 + w * i / grid, y0, x0 + w * i / grid, y0 + h, 0.8, INK_WHITE);
        canvas_line(canvas, x0 + w * i / grid, y0, x0 + w * i / grid, y0 + h, 0.3, INK_GREY);
        canvas_line(canvas, x0, y0 + h * i / grid, x0 + w, y0 + h * i / grid, 0.8, INK_WHITE);
        canvas_line(canvas, x0, y0 + h * i / grid, x0 + w, y0 + h * i / grid, 0.3, INK_GREY);
    }
}

// The layer in parts, row by row, each as large as a page takes it.
static bool draw_close_ups(LayerPart *part, int grid, bool from_behind, Error *err)
{
    Guide *guide = part->guide;
    Canvas *canvas = &guide->canvas;
    for (int cell = 0; cell < grid * grid; cell++) {
        Text about = text_make(guide->keep);
        text_printf(&about, "%s Part of the layer: row %d of %d from the top, column %d of %d from the left%s.",
                    from_behind ? "Mirrored: seen from behind." : "Seen from the front.", cell / grid + 1, grid,
                    cell % grid + 1, grid, from_behind ? " as seen from the front" : "");
        const char *words = guide_words(&about, err);
        if (!words) return false;
        MapPart close = {.layer = part->layer, .from_behind = from_behind, .grid = grid, .cell = cell};
        if (map_part_is_empty(guide->draft, &close)) continue;
        canvas_page(canvas, part->heading, NULL, 0);
        canvas_paragraph(canvas, words);
        MapView view;
        Frame frame = {CANVAS_LEFT_MM, canvas->y_mm + 4, canvas->width_mm, full_map_mm(canvas)};
        if (!map_layer(canvas, guide->draft, &close, frame, guide->keep, guide->work, &view, err)) return false;
        canvas->y_mm = view.frame.y + view.frame.h + 6;
    }
    return true;
}

static bool draw_front(LayerPart *part, Error *err)
{
    Guide *guide = part->guide;
    Canvas *canvas = &guide->canvas;
    bool alone = has_seams(guide->draft, part->layer);
    if (alone) map_seam_key(canvas);
    MapView view;
    double height_mm = full_map_mm(canvas);
    if (!alone && !map_height(part, false, &height_mm, err)) return false;
    Frame frame = {CANVAS_LEFT_MM, canvas->y_mm + 2, canvas->width_mm, height_mm};
    int grid;
    if (!map_layer_grid(guide->draft, part->layer, false, frame, guide->keep, guide->work, &grid, err)) return false;
    MapPart whole = {.layer = part->layer, .grid = 1, .without_names = grid > 1};
    if (!map_layer(canvas, guide->draft, &whole, frame, guide->keep, guide->work, &view, err)) return false;
    canvas->y_mm = view.frame.y + view.frame.h + 4;
    if (grid > 1) draw_grid(canvas, guide->draft, part->layer, grid, &view);
    return grid == 1 || draw_close_ups(part, grid, false, err);
}

// Whether a disc at (x, y) keeps off all names of the map and off the discs and dots before it.
static bool is_free(const MapView *view, const double (*taken)[2], int taken_count, double x, double y)
{
    for (int i = 0; i < view->label_count; i++) {
        double half_w = view->labels[i].size_mm * 1.5 + DISC_MM, half_h = view->labels[i].size_mm * 0.5 + DISC_MM;
        if (fabs(view->labels[i].x_mm - x) < half_w && fabs(view->labels[i].y_mm - y) < half_h) return false;
    }
    for (int i = 0; i < taken_count; i++) {
        double dx = taken[i][0] - x, dy = taken[i][1] - y;
        if (dx * dx + dy * dy < 4.2 * DISC_MM * DISC_MM) return false;
    }
    return true;
}

// Beside the dot: outwards if that is free, else where it is, nearest to outwards.
static void place_disc(const MapView *view, const double (*taken)[2], int taken_count, const double dot[2], double out[2])
{
    static const double TO[8][2] = {{1, 0}, {0.7071, 0.7071}, {0, 1}, {-0.7071, 0.7071}, {-1, 0}, {-0.7071, -0.7071}, {0, -1}, {0.7071, -0.7071}};
    double dx = dot[0] - view->frame.x - view->frame.w / 2, dy = dot[1] - view->frame.y - view->frame.h / 2;
    double away = fmax(1, sqrt(dx * dx + dy * dy)), best = -INFINITY;
    for (int far = 0; far < 2; far++)
        for (int k = 0; k < 8; k++) {
            double reach = far ? 8 : 4.2, x = dot[0] + reach * TO[k][0], y = dot[1] + reach * TO[k][1];
            double score = (TO[k][0] * dx + TO[k][1] * dy) / away - far - (is_free(view, taken, taken_count, x, y) ? 0 : 10);
            if (score <= best) continue;
            best = score;
            out[0] = x, out[1] = y;
        }
}

// The dots that a tape measure goes to, each with its number beside it.
static void draw_dots(Canvas *canvas, const GuideChecks *checks, const MapView *view)
{
    double taken[2 * 8][2];
    int count = checks->dot_count, used = count;
    for (int i = 0; i < count; i++) {
        taken[i][0] = view->matrix[0] * checks->dots[i].x / UM_PER_MM + view->matrix[4];
        taken[i][1] = view->matrix[3] * checks->dots[i].y / UM_PER_MM + view->matrix[5];
    }
    for (int i = 0; i < count; i++) {
        char number[16];
        place_disc(view, taken, used, taken[i], taken[used]);
        const double *dot = taken[i], *disc = taken[used++];
        snprintf(number, sizeof number, "%d", i + 1);
        canvas_line(canvas, dot[0], dot[1], disc[0], disc[1], 0.25, INK_BLACK);
        cairo_arc(canvas->cr, dot[0], dot[1], 0.9, 0, 6.2831853);
        canvas_ink(canvas, INK_BLACK, 1);
        cairo_fill(canvas->cr);
        cairo_arc(canvas->cr, disc[0], disc[1], DISC_MM, 0, 6.2831853);
        canvas_ink(canvas, INK_WHITE, 1);
        cairo_fill_preserve(canvas->cr);
        cairo_set_line_width(canvas->cr, 0.25);
        canvas_ink(canvas, INK_BLACK, 1);
        cairo_stroke(canvas->cr);
        canvas_name(canvas, disc[0], disc[1], 3.2, INK_BLACK, number);
    }
}

static const char *behind_words(const Draft *draft, int layer)
{
    if (guide_form_count(draft, layer, SEAM_LAP) == 0)
        return "Mirrored: this is how the pieces lie face down on the table. Tape every seam on this side along its whole length, then "
               "short strips across it.";
    if (guide_form_count(draft, layer, SEAM_BUTT) > 0)
        return "Mirrored: this is how the pieces lie face down on the table. Seams with laps are glued from the front: tape the others on "
               "this side along their whole length, then short strips across them.";
    return "Mirrored: this is how the pieces lie face down on the table. All their seams have laps and are glued from the front.";
}

static bool has_hinge(const Draft *draft)
{
    const Findings *findings = &draft->input->stack->findings;
    for (size_t i = 0; i < findings->count; i++)
        if (strcmp(findings->items[i].kind, "hinge") == 0) return true;
    return false;
}

static bool draw_behind(LayerPart *part, Error *err)
{
    Guide *guide = part->guide;
    Canvas *canvas = &guide->canvas;
    Text heading = text_make(guide->keep);
    text_printf(&heading, "%s, from behind", part->heading);
    const char *words = guide_words(&heading, err);
    if (!words) return false;
    canvas_page(canvas, words, guide->draft->sections ? "From behind" : "From behind, with steps", 1);
    canvas_paragraph(canvas, behind_words(guide->draft, part->layer));
    if (part->layer == 0 && guide->draft->all_strip_count > 0)
        canvas_paragraph(canvas, "When the whole base is joined, backing strips go over the tape: the page \u201c" GUIDE_STRIPS_PAGE "\u201d shows where.");
    else if (part->layer == 0 && has_hinge(guide->draft))
        canvas_paragraph(canvas, "Along some of these seams it can fold like a hinge: see the page \u201cFindings\u201d, and glue a backing strip behind "
                                 "each that is named there, over the tape, while the base still lies flat.");
    MapView view;
    double air = part->layer == 0 ? 9 : 4, height_mm; // for the numbers of dots
    if (!map_height(part, true, &height_mm, err)) return false;
    Frame frame = {CANVAS_LEFT_MM, canvas->y_mm + air, canvas->width_mm, height_mm - air};
    int grid;
    if (!map_layer_grid(guide->draft, part->layer, true, frame, guide->keep, guide->work, &grid, err)) return false;
    MapPart whole = {.layer = part->layer, .from_behind = true, .grid = 1, .without_names = grid > 1};
    if (!map_layer(canvas, guide->draft, &whole, frame, guide->keep, guide->work, &view, err)) return false;
    if (part->layer == 0 && !guide->draft->sections) draw_dots(canvas, &part->checks, &view);
    canvas->y_mm = view.frame.y + view.frame.h + 2 + air;
    if (grid > 1 && !draw_close_ups(part, grid, true, err)) return false;
    canvas->running = part->heading;
    return true;
}

// Steps stand with their layer, or with their section where it parts.
static bool write_steps(LayerPart *part, const GuideSteps *steps, double *since_stop, Error *err)
{
    Guide *guide = part->guide;
    if (guide->draft->sections) return true;
    guide->canvas.running = part->heading;
    return guide_write_steps(guide, part->layer, steps, part->layer == 0 ? &part->checks : NULL, part->sketches, since_stop, err);
}

bool guide_layers(Guide *guide, Error *err)
{
    GuideBelow *below;
    Sketches sketches;
    double since_stop = 0;
    if (!guide_below(guide->draft, guide->keep, guide->work, &below, err) ||
        !sketches_make(guide->draft, guide->keep, guide->work, &sketches, err))
        return false;
    GuideSteps *by_layer = arena_new(guide->keep, GuideSteps, guide->draft->input->stack->layer_count);
    if (!by_layer) return error_memory(err);
    if (!guide_section_map(guide, err)) return false;
    for (int l = 0; l < guide->draft->input->stack->layer_count; l++) {
        LayerPart part = {.guide = guide, .layer = l, .below = below, .sketches = &sketches};
        if (l == 0 && !guide_checks(guide->draft, guide->work, &part.checks, err)) return false;
        if (!guide_steps(guide->draft, l, below, guide->keep, guide->work, &by_layer[l], err)) return false;
        if (!guide->draft->sections) part.steps = by_layer[l];
        if (!work_goes_on(guide->work, err) || !begin_layer(&part, err) || !draw_front(&part, err)) return false;
        bool has_behind = l == 0 ? has_seams(guide->draft, l) : guide_form_count(guide->draft, l, SEAM_BUTT) > 0; // the base is measured there
        if (l == 0 && !guide_strips_page(guide, err)) return false;
        if (has_behind && !draw_behind(&part, err)) return false;
        if (!guide_foam_page(guide, l, err)) return false;
        guide->canvas.running = part.heading;
        if (!write_steps(&part, &by_layer[l], &since_stop, err)) return false;
    }
    return !guide->draft->sections ||
           (guide_section_steps(guide, by_layer, &sketches, err) && guide_section_moves(guide, below, err));
}

// plan.c - see plan.h.
// Units:   plan millimetres: the picture is drawn so that the plan prints on one page.
#include "kit/plan.h"

#include "base/length.h"
#include "base/text.h"
#include "kit/markup.h"
#include "kit/path_text.h"
#include "kit/plan_labels.h"
#include "kit/plan_seams.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MOST_WIDTH_MM 160.0     // of the picture: with its margins it fits a portrait page
#define MOST_HEIGHT_MM 205.0
#define BESIDE_STEP_MM 4.0      // from a number beside the picture to the next
#define BESIDE_SHARE 0.6        // of the margins' height that numbers may take: with more, their lines cross the picture everywhere
#define MARGIN_MM 14.0          // beside the picture, for numbers that find no place in it
#define LEADER_FROM_MM 3.4      // a line in the margin begins this far from the middle of its number, or just beside it
#define LEADER_AIR_MM 0.4
#define TOP_MM 16.0
#define LEGEND_ROW_MM 5.2
#define LEAST_PAGE_MM 150.0     // the legend's width
#define INK "#23201c"
#define SEEN_WIDTH 0.55
#define HIDDEN_WIDTH 0.22

typedef struct Plan {
    Text text;
    const Draft *draft;
    double scale;               // plan mm a finished mm
    double left_mm, top_mm;     // of the picture
    double picture_w_mm, picture_h_mm, page_w_mm, page_h_mm;
    double matrix[6];
    PlanLabel *labels;          // one a piece
    bool any_covered;           // a piece of which nothing is seen
    bool is_crowded;            // too many small pieces: lines to their names would hide the picture, so dots alone mark them
} Plan;

static void add_number(Plan *plan, const char *before, double value)
{
    text_add(&plan->text, before);
    text_number(&plan->text, value, 3);
}

static void add_words(Plan *plan, double x, double y, double size, const char *more, const char *words)
{
    add_number(plan, "<text x=\"", x);
    add_number(plan, "\" y=\"", y);
    add_number(plan, "\" font-size=\"", size);
    text_printf(&plan->text, "\"%s>", more);
    markup_add(&plan->text, words);
    text_add(&plan->text, "</text>\n");
}

static int legend_rows(const Plan *plan)
{
    int layers = plan->draft->input->stack->layer_count;
    return (layers + 1) / 2 + (plan->draft->seam_count > 0) + (plan->any_covered || plan->is_crowded);
}

static bool is_beside(const PlanLabel *label)
{
    return label->kind == PLAN_LABEL_LEFT || label->kind == PLAN_LABEL_RIGHT;
}

// Numbers beside the picture leave air between them.
static bool is_clear(const Plan *plan)
{
    int beside = 0;
    for (int p = 0; p < plan->draft->piece_count; p++) beside += is_beside(&plan->labels[p]);
    return beside * BESIDE_STEP_MM / 2 <= BESIDE_SHARE * plan->picture_h_mm;
}

// As large as one page takes it; where numbers then crowd, larger: it is to be read on a screen or printed on several pages.
static bool choose_size(Plan *plan, Arena *keep, Work *work, Error *err)
{
    static const double LARGER[] = {1, 1.35, 1.8, 2.4};
    const Stack *stack = plan->draft->input->stack;
    for (size_t i = 0; i < sizeof LARGER / sizeof LARGER[0]; i++) {
        plan->scale = LARGER[i] * fmin(MOST_WIDTH_MM / stack->width_mm, MOST_HEIGHT_MM / stack->height_mm);
        plan->picture_w_mm = stack->width_mm * plan->scale;
        plan->picture_h_mm = stack->height_mm * plan->scale;
        if (!plan_labels(plan->draft, plan->scale, MARGIN_MM, true, keep, work, &plan->labels, err)) return false;
        plan->is_crowded = !is_clear(plan);
        if (!plan->is_crowded) break;
    }
    return true;
}

static bool plan_make(const Draft *draft, Arena *keep, Work *work, Plan *out, Error *err)
{
    Plan plan = {.text = text_make(keep), .draft = draft, .top_mm = TOP_MM};
    if (!choose_size(&plan, keep, work, err)) return false;
    for (int p = 0; p < draft->piece_count; p++) plan.any_covered = plan.any_covered || !plan.labels[p].is_seen;
    plan.page_w_mm = fmax(plan.picture_w_mm + 2 * MARGIN_MM, LEAST_PAGE_MM);
    plan.page_h_mm = TOP_MM + plan.picture_h_mm + 8 + legend_rows(&plan) * LEGEND_ROW_MM + 2;
    plan.left_mm = (plan.page_w_mm - plan.picture_w_mm) / 2;
    const double matrix[6] = {plan.scale, 0, 0, plan.scale, plan.left_mm, plan.top_mm};
    memcpy(plan.matrix, matrix, sizeof matrix);
    *out = plan;
    return true;
}

static void add_head(Plan *plan)
{
    Text *text = &plan->text;
    const Draft *draft = plan->draft;
    add_number(plan, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"", plan->page_w_mm);
    add_number(plan, "mm\" height=\"", plan->page_h_mm);
    add_number(plan, "mm\" viewBox=\"0 0 ", plan->page_w_mm);
    add_number(plan, " ", plan->page_h_mm);
    text_add(text, "\" font-family=\"DejaVu Sans, Verdana, Arial, sans-serif\">\n<title>");
    markup_add(text, draft->input->name);
    add_number(plan, ", key plan</title>\n<rect width=\"", plan->page_w_mm);
    add_number(plan, "\" height=\"", plan->page_h_mm);
    text_add(text, "\" fill=\"#ffffff\"/>\n");
    char tall[32], wide[32], line[160], w[NUMBER_MAX], h[NUMBER_MAX];
    length_format_inches(draft->input->stack->height_mm, tall);
    length_format_inches(draft->input->stack->width_mm, wide);
    number_format(w, draft->input->stack->width_mm, 0);
    number_format(h, draft->input->stack->height_mm, 0);
    snprintf(line, sizeof line, "%s tall, %s wide (%.12s x %.12s mm): %d %s on %d %s", tall, wide, h, w,
             draft->piece_count, draft->piece_count == 1 ? "piece" : "pieces", draft->sheet_count,
             draft->sheet_count == 1 ? "sheet" : "sheets");
    add_words(plan, 6, 7.5, 4.4, " font-weight=\"bold\" fill=\"" INK "\"", draft->input->name);
    add_words(plan, 6, 12.2, 2.9, " fill=\"" INK "\"", line);
}

static void add_layers(Plan *plan)
{
    const Stack *stack = plan->draft->input->stack;
    text_printf(&plan->text, "<g fill-rule=\"evenodd\" stroke=\"" INK "\" stroke-opacity=\"0.5\" stroke-width=\"0.12\">\n");
    for (int l = 0; l < stack->layer_count; l++) {
        char fill[8];
        draft_fill(stack->colours[stack->layers[l].colour].colour, fill);
        text_printf(&plan->text, "<path fill=\"%s\" d=\"", fill);
        path_add(&plan->text, &plan->draft->layers[l].outline, plan->matrix);
        text_add(&plan->text, "\"/>\n");
    }
    text_add(&plan->text, "</g>\n");
}

// Details drawn by pen, in their own colours.
static void add_drawn(Plan *plan)
{
    const Stack *stack = plan->draft->input->stack;
    for (int i = 0; i < stack->pen_stroke_count; i++) {
        const PenStroke *stroke = &stack->pen_strokes[i];
        if (i > 0 && stroke[-1].points == stroke->points) continue; // there again for another layer
        text_printf(&plan->text, "<path fill=\"none\" stroke=\"#%02x%02x%02x\" stroke-width=\"0.2\" d=\"",
                    stroke->colour.r, stroke->colour.g, stroke->colour.b);
        for (int k = 0; k < stroke->point_count; k++) {
            add_number(plan, k ? " L " : "M ", plan->left_mm + stroke->points[k].x / UM_PER_MM * plan->scale);
            add_number(plan, " ", plan->top_mm + stroke->points[k].y / UM_PER_MM * plan->scale);
        }
        text_add(&plan->text, " Z\"/>\n");
    }
}

static void add_stroke(Plan *plan, const char *path, const char *colour, double width, const char *more)
{
    if (!path || !path[0]) return;
    text_printf(&plan->text, "<path fill=\"none\" stroke=\"%s\" stroke-width=\"", colour);
    text_number(&plan->text, width, 3);
    text_printf(&plan->text, "\"%s d=\"%s\"/>\n", more, path);
}

static bool add_seams(Plan *plan, Arena *keep, Work *work, Error *err)
{
    PlanSeams seams;
    if (!plan_seams(plan->draft, plan->matrix, keep, work, &seams, err)) return false;
    add_stroke(plan, seams.hidden, "#ffffff", HIDDEN_WIDTH * 2.6, " stroke-opacity=\"0.7\"");
    add_stroke(plan, seams.hidden, INK, HIDDEN_WIDTH, " stroke-dasharray=\"1.1 0.8\"");
    add_stroke(plan, seams.seen, "#ffffff", SEEN_WIDTH * 2, " stroke-opacity=\"0.8\"");
    add_stroke(plan, seams.ticks, "#ffffff", SEEN_WIDTH * 1.4, " stroke-opacity=\"0.8\"");
    add_stroke(plan, seams.seen, INK, SEEN_WIDTH, "");
    add_stroke(plan, seams.ticks, INK, SEEN_WIDTH * 0.6, "");
    return true;
}

static bool is_light(Srgb8 c)
{
    return 299 * c.r + 587 * c.g + 114 * c.b > 130000;
}

// A dot on a piece that is seen, a ring on one that others cover.
static void add_spot(Plan *plan, const PlanLabel *label)
{
    add_number(plan, "<circle cx=\"", plan->left_mm + label->at_x_mm);
    add_number(plan, "\" cy=\"", plan->top_mm + label->at_y_mm);
    text_printf(&plan->text, "\" r=\"0.7\" fill=\"%s\" stroke=\"%s\" stroke-width=\"0.25\"/>\n",
                label->is_seen ? INK : "#ffffff", label->is_seen ? "#ffffff" : INK);
}

static void add_leader(Plan *plan, const PlanLabel *label, const char *id)
{
    double x = plan->left_mm + label->at_x_mm, y = plan->top_mm + label->at_y_mm;
    double side = label->kind == PLAN_LABEL_LEFT ? 1 : -1;
    double off_mm = plan_number_mm(id, label->size_mm) / 2 + LEADER_AIR_MM;
    double number_x = plan->left_mm + label->x_mm, knee_x = number_x + side * PLAN_KNEE_MM;
    double from_x = number_x + side * fmin(fmax(off_mm, LEADER_FROM_MM), PLAN_KNEE_MM);
    double from_y = plan->top_mm + label->y_mm;
    for (int pass = 0; pass < 2; pass++) {
        text_printf(&plan->text, "<path fill=\"none\" stroke=\"%s\" stroke-width=\"%s\" d=\"M", pass ? INK : "#ffffff",
                    pass ? "0.2" : "0.6");
        add_number(plan, "", from_x);
        add_number(plan, " ", from_y);
        add_number(plan, " L", knee_x);
        add_number(plan, " ", from_y);
        add_number(plan, " L", x);
        add_number(plan, " ", y);
        text_add(&plan->text, "\"/>\n");
    }
    add_spot(plan, label);
}

// The paper's colour below a number: lines that pass under it stop short of it.
static void add_ground(Plan *plan, const PlanLabel *label, const char *id, const char *colour)
{
    double width = plan_number_mm(id, label->size_mm) + 0.6, height = 0.8 * label->size_mm + 0.6;
    add_number(plan, "<rect x=\"", plan->left_mm + label->x_mm - width / 2);
    add_number(plan, "\" y=\"", plan->top_mm + label->y_mm - height / 2);
    add_number(plan, "\" width=\"", width);
    add_number(plan, "\" height=\"", height);
    text_printf(&plan->text, "\" fill=\"%s\"/>\n", colour);
}

static void add_label(Plan *plan, const DraftPiece *piece, const PlanLabel *label)
{
    const Stack *stack = plan->draft->input->stack;
    Srgb8 colour = stack->colours[stack->layers[label->on_layer].colour].colour;
    bool is_dark = is_beside(label) || is_light(colour);
    char more[96], ground[8];
    draft_fill(colour, ground);
    if (!is_beside(label)) add_ground(plan, label, piece->source->id, ground);
    snprintf(more, sizeof more, "%s text-anchor=\"middle\" fill=\"%s\"", label->kind == PLAN_LABEL_BELOW ? "" : " font-weight=\"bold\"",
             is_dark ? INK : "#ffffff");
    // Digits and capitals stand 0.73 of the size over the baseline.
    add_words(plan, plan->left_mm + label->x_mm, plan->top_mm + label->y_mm + 0.365 * label->size_mm, label->size_mm, more,
              piece->source->id);
}

static void add_labels(Plan *plan)
{
    for (int p = 0; p < plan->draft->piece_count; p++) {
        const PlanLabel *label = &plan->labels[p];
        if (is_beside(label) && !plan->is_crowded)
            add_leader(plan, label, plan->draft->pieces[p].source->id);
        else if (label->kind != PLAN_LABEL_INSIDE)
            add_spot(plan, label);
    }
    for (int p = 0; p < plan->draft->piece_count; p++)
        if (!is_beside(&plan->labels[p]) || !plan->is_crowded) add_label(plan, &plan->draft->pieces[p], &plan->labels[p]);
}

// "letter" or "letter, 11x24in": the sizes that a layer is cut from.
static void layer_papers(const Draft *draft, int layer, char *out, size_t size)
{
    out[0] = 0;
    for (int p = 0; p < draft->input->paper_count; p++) {
        const KitPaper *paper = &draft->input->papers[p];
        for (int i = 0; i < paper->piece_count; i++) {
            if (paper->layers[i] != layer) continue;
            size_t used = strlen(out);
            snprintf(out + used, size - used, "%s%s", used ? ", " : "", paper->paper.id);
            break;
        }
    }
}

static void add_legend_layer(Plan *plan, int layer, double x, double y)
{
    const Stack *stack = plan->draft->input->stack;
    const SeparationColour *colour = &stack->colours[stack->layers[layer].colour];
    char fill[8], papers[96], words[192];
    draft_fill(colour->colour, fill);
    layer_papers(plan->draft, layer, papers, sizeof papers);
    int pieces = plan->draft->layers[layer].piece_count;
    snprintf(words, sizeof words, "%s  %s: %d %s, %s", plan->draft->layers[layer].id, colour->name, pieces,
             pieces == 1 ? "piece" : "pieces", papers);
    add_number(plan, "<rect x=\"", x);
    add_number(plan, "\" y=\"", y - 2.9);
    text_printf(&plan->text, "\" width=\"6\" height=\"3.6\" fill=\"%s\" stroke=\"" INK "\" stroke-width=\"0.15\"/>\n", fill);
    add_words(plan, x + 8, y, 2.9, " fill=\"" INK "\"", words);
}

static void add_sample(Plan *plan, double x, double y, const char *style, const char *words)
{
    add_number(plan, "<path fill=\"none\" stroke=\"" INK "\" d=\"M", x);
    add_number(plan, " ", y - 1);
    add_number(plan, " L", x + 6);
    add_number(plan, " ", y - 1);
    text_printf(&plan->text, "\"%s/>\n", style);
    add_words(plan, x + 8, y, 2.9, " fill=\"" INK "\"", words);
}

static void add_spot_sample(Plan *plan, double x, double y, const char *fill, const char *words)
{
    add_number(plan, "<circle cx=\"", x + 3);
    add_number(plan, "\" cy=\"", y - 1);
    text_printf(&plan->text, "\" r=\"0.7\" fill=\"%s\" stroke=\"" INK "\" stroke-width=\"0.25\"/>\n", fill);
    add_words(plan, x + 8, y, 2.9, " fill=\"" INK "\"", words);
}

static void add_legend(Plan *plan)
{
    int layers = plan->draft->input->stack->layer_count, rows = (layers + 1) / 2;
    double top = plan->top_mm + plan->picture_h_mm + 10, column = (plan->page_w_mm - 12) / 2;
    for (int l = 0; l < layers; l++)
        add_legend_layer(plan, l, 6 + (l / rows) * column, top + (l % rows) * LEGEND_ROW_MM);
    double y = top + rows * LEGEND_ROW_MM;
    if (plan->draft->seam_count > 0) {
        add_sample(plan, 6, y, " stroke-width=\"0.55\"", "seam in sight");
        for (int i = 0; i < 3; i++) {
            add_number(plan, "<path fill=\"none\" stroke=\"" INK "\" stroke-width=\"0.33\" d=\"M", 7 + 2 * i);
            add_number(plan, " ", y - 1.9);
            add_number(plan, " L", 7 + 2 * i);
            add_number(plan, " ", y - 0.1);
            text_add(&plan->text, "\"/>\n");
        }
        add_sample(plan, 6 + column, y, " stroke-width=\"0.22\" stroke-dasharray=\"1.1 0.8\"", "seam under a higher layer");
        y += LEGEND_ROW_MM;
    }
    if (plan->any_covered) add_spot_sample(plan, 6, y, "#ffffff", "a piece that higher layers cover");
    if (plan->is_crowded) add_spot_sample(plan, 6 + column, y, INK, "a small piece: named on its layer's page of the guide");
}

bool plan_svg(const Draft *draft, Arena *keep, Work *work, FileBytes *out, Error *err)
{
    Plan plan;
    if (!plan_make(draft, keep, work, &plan, err)) return false;
    add_head(&plan);
    add_layers(&plan);
    add_drawn(&plan);
    if (!add_seams(&plan, keep, work, err)) return false;
    add_labels(&plan);
    add_legend(&plan);
    text_add(&plan.text, "</svg>\n");
    if (!text_is_whole(&plan.text, err)) return false;
    *out = (FileBytes){"key-plan.svg", plan.text.bytes, plan.text.size_bytes};
    return true;
}

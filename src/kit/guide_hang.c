// guide_hang.c - the page on hanging, storing and carrying: weight, two points, the middle of weight.
// Source:  1 lb = 453.59237 g exactly: international yard and pound agreement, 1959.
#include "kit/guide_part.h"
#include "kit/guide_paths.h"
#include "kit/hang.h"
#include "kit/shopping.h"

#include <cairo.h>
#include <math.h>
#include <stdio.h>

#define GRAMS_A_POUND 453.59237
#define DRAWING_MM 88.0
#define NAMED_MOST 24 // loose parts that are named

#define PATCH_SEEN_MM 3.6 // round a numbered point, which is larger than its patch on what is tall
#define PATCH_SKETCH_MM 24.0

static const Ink BACK = {0.985, 0.98, 0.97};

// "620 g (1.4 lb)"
static void add_weight(Text *text, double grams)
{
    if (grams < 1000) text_number(text, fmax(10, 10 * round(grams / 10)), 0);
    else text_number(text, grams / 1000, 1);
    text_add(text, grams < 1000 ? " g (" : " kg (");
    text_number(text, fmax(0.1, grams / GRAMS_A_POUND), 1);
    text_add(text, " lb)");
}

static bool write_text(Guide *guide, const Text *text, Error *err)
{
    const char *words = guide_words(text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

static bool tell_weight(Guide *guide, const Hang *hang, Error *err)
{
    Text text = text_make(guide->keep);
    if (hang->body_count > 1) {
        text_add(&text, "The largest part weighs about ");
        add_weight(&text, hang->grams);
        text_add(&text, ", all parts together ");
    } else {
        text_add(&text, "It weighs about ");
    }
    add_weight(&text, hang->all_grams);
    text_add(&text, ", without tape and glue: the area of every piece by the weight of its paper");
    if (!hang->gsm_known) {
        text_add(&text, "; where that is not known, ");
        text_number(&text, SHOPPING_GSM, 0);
        text_add(&text, " g/m2 (65 lb cover)");
    }
    text_add(&text, ".");
    return write_text(guide, &text, err);
}

// --- the drawing ---

static void draw_cross(Canvas *canvas, double x, double y)
{
    canvas_line(canvas, x - 3, y, x + 3, y, 1.1, INK_WHITE);
    canvas_line(canvas, x, y - 3, x, y + 3, 1.1, INK_WHITE);
    canvas_line(canvas, x - 2.6, y, x + 2.6, y, 0.5, INK_BLACK);
    canvas_line(canvas, x, y - 2.6, x, y + 2.6, 0.5, INK_BLACK);
}

// How far above a patch's middle its thread goes through: what hangs pulls there, and the patch holds all round.
static double hang_hole_mm(const Hang *hang)
{
    return fmin(hang->patch_mm / 4, 20.0);
}

// The patch: a round piece of board behind the point.
static void draw_patch(Canvas *canvas, double x, double y, double radius)
{
    static const double DASHES[2] = {1.2, 0.8};
    if (radius <= 0) return;
    cairo_new_path(canvas->cr);
    cairo_arc(canvas->cr, x, y, radius, 0, 6.2831853);
    canvas_ink(canvas, INK_WHITE, 1);
    cairo_fill_preserve(canvas->cr);
    canvas_ink(canvas, INK_BLACK, 1);
    cairo_set_line_width(canvas->cr, 0.35);
    cairo_set_dash(canvas->cr, DASHES, 2, 0);
    cairo_stroke(canvas->cr);
    cairo_set_dash(canvas->cr, NULL, 0, 0);
}

// One patch by itself, beside the drawing: the hole for the thread lies above its middle.
static bool draw_patch_sketch(Guide *guide, const Hang *hang, double x, double y, Error *err)
{
    Canvas *canvas = &guide->canvas;
    Text text = text_make(guide->keep);
    Letters small = {8.5, false, INK_BLACK, CANVAS_CENTRED};
    if (hang->patch_mm <= 0) return true;
    double radius = PATCH_SKETCH_MM / 2, hole = hang_hole_mm(hang) / hang->patch_mm * PATCH_SKETCH_MM;
    text_add(&text, "a patch: ");
    guide_tape_length(&text, hang->patch_mm);
    const char *words = guide_words(&text, err);
    if (!words) return false;
    draw_patch(canvas, x, y, radius);
    canvas_line(canvas, x - 2, y, x + 2, y, 0.25, INK_GREY);
    canvas_line(canvas, x, y - 2, x, y + 2, 0.25, INK_GREY);
    canvas_line(canvas, x, y - hole, x, y - radius - 5, 0.25, INK_BLACK);
    cairo_arc(canvas->cr, x, y - hole, 0.8, 0, 6.2831853);
    canvas_ink(canvas, INK_BLACK, 1);
    cairo_fill(canvas->cr);
    canvas_words(canvas, x, y + radius + 1.5, 0, small, words);
    return true;
}

static void draw_point(Canvas *canvas, double x, double y, int number)
{
    char words[8];
    snprintf(words, sizeof words, "%d", number);
    canvas_line(canvas, x, y, x, y - 9, 0.25, INK_BLACK); // the thread
    cairo_arc(canvas->cr, x, y, 2.4, 0, 6.2831853);
    canvas_ink(canvas, INK_BLACK, 1);
    cairo_fill(canvas->cr);
    canvas_name(canvas, x, y, 3, INK_WHITE, words);
}

// From behind: mirrored.
static void draw_body(Canvas *canvas, const Draft *draft, const Hang *hang, Frame frame)
{
    double w = box_width_mm(hang->box), h = box_height_mm(hang->box), scale = fmin(frame.w / w, (frame.h - 8) / h);
    double right = frame.x + (frame.w + w * scale) / 2, top = frame.y + 8;
    const double m[6] = {-scale, 0, 0, scale, right + scale * hang->box.min.x / UM_PER_MM, top - scale * hang->box.min.y / UM_PER_MM};
    for (int i = 0; i < draft->layers[0].piece_count; i++) {
        int piece = draft->layers[0].first_piece + i;
        if (hang->body[piece] == hang->main) paths_fill(canvas, &draft->pieces[piece].face, m, BACK, INK_GREY);
    }
    draw_cross(canvas, m[0] * hang->centre_mm[0] + m[4], m[3] * hang->centre_mm[1] + m[5]);
    for (int k = 0; k < 2 && hang->has_points; k++)
        draw_patch(canvas, m[0] * hang->points_mm[k][0] + m[4], m[3] * hang->points_mm[k][1] + m[5], hang->patch_mm > 0 ? fmax(PATCH_SEEN_MM, scale * hang->patch_mm / 2) : 0);
    for (int k = 0; k < 2 && hang->has_points; k++) // point 1 is the left one from behind
        draw_point(canvas, m[0] * hang->points_mm[1 - k][0] + m[4], m[3] * hang->points_mm[1 - k][1] + m[5], k + 1);
}

// --- words ---

static bool tell_patches(Guide *guide, const Hang *hang, Error *err)
{
    Text text = text_make(guide->keep);
    text_add(&text, "By two points, drawn here from behind, one on each side of its middle of weight (the cross): then it hangs straight. ");
    if (hang->patch_mm > 0) {
        text_add(&text, "Cut two round patches of board (dashed), ");
        guide_tape_length(&text, hang->patch_mm);
        text_add(&text, " across; glue one behind each point, its middle on the point, and let it dry under books. Take the thread through "
                        "patch and paper ");
        guide_tape_length(&text, hang_hole_mm(hang));
        text_add(&text, " above the middle and knot it round a short stick behind; both threads run straight up.");
    } else {
        text_add(&text, "Glue a piece of board as large as a palm behind each and take the thread through it; both threads run straight up.");
    }
    return write_text(guide, &text, err);
}

static bool tell_points(Guide *guide, const Hang *hang, Error *err)
{
    double right = hang->box.max.x / UM_PER_MM, top = hang->box.min.y / UM_PER_MM;
    for (int k = 0; k < 2; k++) {
        const double *point = hang->points_mm[1 - k];
        char number[8];
        Text text = text_make(guide->keep);
        snprintf(number, sizeof number, "%d", k + 1);
        guide_tape_length(&text, right - point[0]);
        text_add(&text, " from the left edge as seen from behind, ");
        guide_tape_length(&text, point[1] - top);
        text_add(&text, " below the top.");
        const char *words = guide_words(&text, err);
        if (!words) return false;
        canvas_item(&guide->canvas, number, words);
    }
    if (hang->is_level) return true;
    Text text = text_make(guide->keep);
    text_add(&text, "They are not at one height: the thread of point ");
    text_add(&text, hang->points_mm[1][1] > hang->points_mm[0][1] ? "1" : "2");
    text_add(&text, " is longer by ");
    guide_tape_length(&text, fabs(hang->points_mm[1][1] - hang->points_mm[0][1]));
    text_add(&text, ".");
    return write_text(guide, &text, err);
}

// Names of the parts beside the main one, each by its first piece.
static bool tell_loose(Guide *guide, const Hang *hang, Error *err)
{
    const Draft *draft = guide->draft;
    Text text = text_make(guide->keep);
    int said = 0;
    if (hang->body_count < 2) return true;
    guide_count(&text, hang->body_count - 1, "part");
    text_printf(&text, " %s on %s own, since no seam and no piece joins %s to the rest: ", hang->body_count == 2 ? "is" : "are",
                hang->body_count == 2 ? "its" : "their", hang->body_count == 2 ? "it" : "them");
    for (int i = 0; i < draft->piece_count; i++) {
        if (hang->body[i] != i || i == hang->main) continue;
        if (said < NAMED_MOST) text_printf(&text, "%s%s", said ? ", " : "", draft->pieces[i].source->id);
        said++;
    }
    if (said > NAMED_MOST) text_add(&text, " ...");
    text_add(&text, " with what lies on them. Glue everything on one board; or each hangs by a thread of its own, or is put on the wall: its distances from the left and the top stand in the steps of layer A.");
    return write_text(guide, &text, err);
}

bool guide_hanging(Guide *guide, Error *err)
{
    Canvas *canvas = &guide->canvas;
    GuideBelow *below;
    Hang hang;
    if (!guide_below(guide->draft, guide->keep, guide->work, &below, err) ||
        !hang_find(guide->draft, below, guide->keep, guide->work, &hang, err))
        return false;
    canvas_page(canvas, "Hanging, carrying, storing", "Hanging, carrying, storing", 0);
    if (!tell_weight(guide, &hang, err)) return false;
    draw_body(canvas, guide->draft, &hang, (Frame){CANVAS_LEFT_MM, canvas->y_mm, canvas->width_mm, DRAWING_MM});
    if (!draw_patch_sketch(guide, &hang, CANVAS_LEFT_MM + PATCH_SKETCH_MM, canvas->y_mm + DRAWING_MM / 2, err)) return false;
    canvas->y_mm += DRAWING_MM + 2;
    canvas_head(canvas, "When it hangs");
    if (hang.has_points) {
        if (!tell_patches(guide, &hang, err)) return false;
        if (!tell_points(guide, &hang, err)) return false;
    } else {
        canvas_paragraph(canvas, "There are no two places on both sides of its middle of weight (the cross, drawn from behind) that are "
                                 "wide enough for a thread: glue it to a board, and hang the board.");
    }
    if (!tell_loose(guide, &hang, err)) return false;
    canvas_paragraph(canvas, GUIDE_SAY_HANGING);
    canvas_head(canvas, "When it is carried and stored");
    canvas_paragraph(canvas, "Carry it flat, between two boards that are larger than it is, with two people. Store it flat, "
                             "dry and dark, with smooth paper over it and nothing heavy on it: sun fades paper and damp bends it.");
    return guide_strut(guide, &hang, err);
}

// guide_start.c - the pages before anything is cut: the test sheet, how to read the drawings, how pieces are joined.
#include "kit/guide_laps.h"
#include "kit/guide_part.h"
#include "kit/test_sheet.h"

#include <cairo.h>
#include <math.h>
#include <stdio.h>

#define TEST_DRAWING_MM 37.0 // of the square, at most: smaller than true size

// --- the test sheet ---

static bool has_line(const Draft *draft)
{
    return test_sheet_sides(draft) != NULL;
}

// What is to come out: the square with its two windows, the line inside it, the disc.
static void draw_test(Canvas *canvas, const TestSheet *test, const char *sides, double x, double y, double side)
{
    double scale = side / test->side_mm, wide = (test->side_mm * 0.5 - TEST_SHEET_BRIDGE_MM) / 2 * scale, high = side * 0.3;
    canvas_box(canvas, x, y, side, side, 0.3, INK_BLACK);
    canvas_box(canvas, x + side / 4, y + side * 0.35, wide, high, 0.3, INK_BLACK);
    canvas_box(canvas, x + side * 0.75 - wide, y + side * 0.35, wide, high, 0.3, INK_BLACK);
    double inset = TEST_SHEET_INSET_MM * scale, far = side - inset;
    if (sides && sides[0] != 'b') {
        canvas_line(canvas, x + inset, y + inset, x + side - 4, y + inset, 0.25, INK_GREY);
        canvas_line(canvas, x + inset, y + inset, x + inset, y + side - 4, 0.25, INK_GREY);
    }
    if (sides && sides[0] != 't') {
        canvas_line(canvas, x + far, y + far, x + 4, y + far, 0.25, INK_GREY);
        canvas_line(canvas, x + far, y + far, x + far, y + 4, 0.25, INK_GREY);
    }
    cairo_arc(canvas->cr, x + side + 6 + TEST_SHEET_DISC_MM / 2 * scale, y + side / 2, TEST_SHEET_DISC_MM / 2 * scale, 0, 6.2831853);
    canvas_ink(canvas, INK_BLACK, 1);
    cairo_set_line_width(canvas->cr, 0.3);
    cairo_stroke(canvas->cr);
}

// Items in a column beside the drawing, each with a box; gives where they end.
static double ask(Canvas *canvas, double x, double y, double width, const char *words)
{
    canvas_box(canvas, x, y + 0.6, 3.2, 3.2, 0.25, INK_BLACK);
    return y + canvas_words(canvas, x + 6, y, width - 6, (Letters){10, false, INK_BLACK, CANVAS_FROM_LEFT}, words) + 1.4;
}

static bool tell_test(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    Canvas *canvas = &guide->canvas;
    TestSheet *tests;
    int count;
    if (!test_sheets_make(draft, guide->keep, &tests, &count, err)) return false;
    if (count == 0) return true;
    Text text = text_make(guide->keep), size = text_make(guide->keep), line = text_make(guide->keep);
    text_add(&text, "Cut the test sheet of each size of paper before anything else, on the paper itself:\n");
    for (int i = 0; i < count; i++) text_printf(&text, "%s\n", tests[i].file);
    text_add(&text, "Then look at what came out, and go on when every answer is yes:");
    text_add(&size, "Does the square measure ");
    guide_tape_length(&size, tests[0].side_mm);
    for (int i = 1; i < count; i++) {
        if (tests[i].side_mm == tests[0].side_mm) continue;
        text_printf(&size, ", on %s ", draft->input->papers[tests[i].paper].paper.id);
        guide_tape_length(&size, tests[i].side_mm);
    }
    text_add(&size, " each way? If not, the software changed the size: READ-ME-FIRST.txt says the height to type.");
    if (has_line(draft))
        text_printf(&line, "Is the line inside the square, 1.5 mm (1/16 in) from its %s edges, all along? If not, set the machine's tools right.",
                    test_sheet_sides(draft));
    const char *words = guide_words(&text, err), *asked = guide_words(&size, err), *line_asked = guide_words(&line, err);
    if (!words || !asked || !line_asked) return false;
    canvas_head(canvas, "First step: the test sheet");
    canvas_paragraph(canvas, words);
    double side = fmin(tests[0].side_mm, TEST_DRAWING_MM), top = canvas->y_mm + 1, x = CANVAS_LEFT_MM + side + 26;
    double width = CANVAS_LEFT_MM + canvas->width_mm - x, y = top;
    draw_test(canvas, &tests[0], test_sheet_sides(draft), CANVAS_LEFT_MM + 2, top, side);
    y = ask(canvas, x, y, width, asked);
    if (has_line(draft))
        y = ask(canvas, x, y, width, line_asked);
    y = ask(canvas, x, y, width, "Is the bridge between the two windows whole? If it is torn: a fresh blade, less pressure, slower.");
    y = ask(canvas, x, y, width, "Did the small disc come out clean?");
    canvas->y_mm = fmax(y, top + side + 3);
    return true;
}

// --- how to read ---

// Whether "face up" says which side of the sheet that is.
static bool tell_faces(Guide *guide, Error *err)
{
    const KitInput *input = guide->draft->input;
    Text text = text_make(guide->keep);
    int said = 0;
    for (int p = 0; p < input->paper_count; p++)
        if (input->papers[p].paper.one_faced) text_printf(&text, "%s%s", said++ ? ", " : "Coloured on one face alone: ", input->papers[p].colour_name);
    if (said == 0) return true;
    if (input->options.cut_from_back)
        text_add(&text, ". On the mat the colour is down; wherever this guide says face up, it is up, and from behind you look at the plain face.");
    else
        text_add(&text, ". On the mat and wherever this guide says face up, the colour is up; from behind you look at the plain face.");
    const char *words = guide_words(&text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

static bool tell_names(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    Text text = text_make(guide->keep);
    text_printf(&text, "Every piece has a name: a letter for its layer and a number. Layer A is the bottom, %s the top",
                draft->layers[draft->input->stack->layer_count - 1].id);
    text_add(&text, ".");
    if (draft_uses(draft, MARK_SCORE) || draft_uses(draft, MARK_PEN))
        text_add(&text, " On the pieces a name that could be read upside down has a line below its 6 or 9.");
    const char *words = guide_words(&text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

// What is hard to cut is worth knowing before it is cut.
static bool point_at_findings(Guide *guide, Error *err)
{
    int count = guide_finding_count(guide->draft);
    Text text = text_make(guide->keep);
    if (count == 0) return true;
    guide_count(&text, count, "place");
    text_printf(&text, " of this picture %s a look before you cut: see the page \u201cFindings\u201d, towards the end.", count == 1 ? "wants" : "want");
    const char *words = guide_words(&text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

static void list_items(Canvas *canvas, const char *const *items)
{
    for (int i = 0; items[i]; i++) {
        char number[16];
        snprintf(number, sizeof number, "%d", i + 1);
        canvas_item(canvas, number, items[i]);
    }
}

static void tell_laps(Canvas *canvas)
{
    canvas_head(canvas, "How pieces are glued to one another");
    list_items(canvas, GUIDE_SAY_LAPPING);
}

bool guide_to_read(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    Canvas *canvas = &guide->canvas;
    canvas_page(canvas, "Before you cut", "Before you cut", 0);
    if (!tell_test(guide, err)) return false;
    canvas_head(canvas, "Names");
    if (!tell_names(guide, err)) return false;
    canvas_head(canvas, "Drawings");
    canvas_paragraph(
        canvas,
        "From the front, a layer has the colour of its paper, and what lies below it is pale: that is where it goes. "
        "From behind, the drawing is mirrored and the paper white: it looks like the pieces face down on the table "
        "before you.");
    if (draft->seam_count > 0) map_seam_key(canvas);
    for (int s = 0; s < draft->seam_count; s++) {
        if (!draft_seam_letter_on_paper(draft, s)) continue;
        canvas_paragraph(canvas, "A small letter on a seam stands on both of its edges too, beside a short line across it: the same "
                                 "letters of a layer meet, and the lines run on. A seam without one here has none on the paper.");
        break;
    }
    if (!tell_faces(guide, err)) return false;
    if (has_line(draft))
        canvas_paragraph(canvas, "Lines on a piece show where the next layer goes. Its edge comes to lie about 2 mm "
                                 "(1/16 in) outside the line, less on narrow parts, and equally all round: when no line shows any "
                                 "more, it lies right.");
    if (draft_uses(draft, MARK_SCORE))
        canvas_paragraph(canvas, "On dark paper a scored line is hard to see: hold a lamp low at the side, or rub chalk over it.");
    if (draft->input->stack->pen_stroke_count > 0)
        canvas_paragraph(canvas, "Some details are too small to cut: they are drawn by pen and stay in sight.");
    if (guide_form_count(draft, GUIDE_ALL_LAYERS, SEAM_LAP) > 0) tell_laps(canvas);
    if (guide_form_count(draft, GUIDE_ALL_LAYERS, SEAM_BUTT) > 0) {
        bool laps = guide_form_count(draft, GUIDE_ALL_LAYERS, SEAM_LAP) > 0;
        canvas_head(canvas, laps ? "How pieces without laps are joined" : "How pieces are joined");
        list_items(canvas, GUIDE_SAY_TAPING);
    }
    canvas_head(canvas, "How pieces are glued");
    canvas_paragraph(canvas, GUIDE_SAY_GLUING);
    if (!point_at_findings(guide, err)) return false;
    canvas_head(canvas, "Care");
    canvas_paragraph(canvas, GUIDE_SAY_CARE);
    return true;
}

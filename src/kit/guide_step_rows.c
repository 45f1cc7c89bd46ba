// guide_step_rows.c - the steps of a layer on the page: words with boxes to tick on the left, before and after on the right.
#include "kit/guide_part.h"

#include <math.h>
#include <stdio.h>

#define SKETCH_W_MM 50.0
#define SKETCH_H_MM 44.0
#define SKETCH_GAP_MM 3.0
#define INDENT_MM 7.0
#define LINE_INDENT_MM 5.5
#define ROW_GAP_MM 3.5
#define BOX_MM 3.0
#define HEAD_MM 22.0   // of the heading and what stands below it
#define CHECKS_MM 42.0 // of the measures of the base
#define STOP_MM 7.0    // of a place to stop
#define END_MM 14.0    // of what is said after the last step

static const Letters TITLE = {10, true, {0.137, 0.125, 0.110}, CANVAS_FROM_LEFT};
static const Letters WORDS = {9.5, false, {0.137, 0.125, 0.110}, CANVAS_FROM_LEFT};

static double words_width(const Canvas *canvas)
{
    return canvas->width_mm - INDENT_MM - 2 * (SKETCH_W_MM + SKETCH_GAP_MM);
}

// Writes at x when `really`, else only measures.
static double column(Canvas *canvas, double width, Letters letters, double x, double y, const char *words, bool really)
{
    return really ? canvas_words(canvas, x, y, width, letters, words) : canvas_words_height(canvas, width, letters, words);
}

static double step_words(Canvas *canvas, const GuideStep *step, const char *title, double top, bool really)
{
    double x = CANVAS_LEFT_MM + INDENT_MM, width = words_width(canvas), y = top;
    if (really) canvas_box(canvas, CANVAS_LEFT_MM, y + 0.5, BOX_MM, BOX_MM, 0.25, INK_BLACK);
    y += column(canvas, width, TITLE, x, y, title, really) + 0.8;
    if (step->words[0]) y += column(canvas, width, WORDS, x, y, step->words, really) + 0.8;
    for (int i = 0; i < step->line_count; i++) {
        if (really) canvas_box(canvas, x, y + 0.7, BOX_MM * 0.8, BOX_MM * 0.8, 0.2, INK_BLACK);
        y += column(canvas, width - LINE_INDENT_MM, WORDS, x + LINE_INDENT_MM, y, step->lines[i], really) + 0.5;
    }
    return y - top;
}

static double row_height(Canvas *canvas, Sketches *sketches, int layer, const GuideStep *step, const char *title)
{
    double sketch_mm = sketch_height(sketches, layer, step, SKETCH_W_MM, SKETCH_H_MM);
    return fmax(step_words(canvas, step, title, 0, false), sketch_mm) + ROW_GAP_MM;
}

// `below_mm` is kept free for what belongs to the step: it never stands alone on a page.
bool guide_write_step(Guide *guide, int layer, const GuideSteps *steps, int index, int number, Sketches *sketches, double below_mm,
                      Error *err)
{
    Canvas *canvas = &guide->canvas;
    const GuideStep *step = &steps->items[index];
    Text title = text_make(guide->keep);
    text_printf(&title, "%d. %s", number, step->title);
    const char *words = guide_words(&title, err);
    if (!words) return false;
    double height = row_height(canvas, sketches, layer, step, words);
    canvas_need(canvas, height - (below_mm > 0 ? 0 : ROW_GAP_MM) + below_mm);
    double top = canvas->y_mm, right = CANVAS_LEFT_MM + canvas->width_mm;
    step_words(canvas, step, words, top, true);
    Frame after = {right - SKETCH_W_MM, top, SKETCH_W_MM, sketch_height(sketches, layer, step, SKETCH_W_MM, SKETCH_H_MM)};
    Frame before = after;
    before.x -= SKETCH_W_MM + SKETCH_GAP_MM;
    canvas->y_mm = top + height;
    return sketch_step(canvas, sketches, layer, steps, index, before, after, guide->work, err);
}

static bool write_checks(Guide *guide, const GuideChecks *checks, Error *err)
{
    canvas_need(&guide->canvas, CHECKS_MM);
    canvas_item(&guide->canvas, NULL, GUIDE_SAY_MEASURE);
    for (int i = 0; i < 4; i++) {
        const GuideCheck *check = &checks->items[i];
        Text text = text_make(guide->keep);
        guide_say_check(&text, check);
        const char *words = guide_words(&text, err);
        if (!words) return false;
        canvas_item(&guide->canvas, "\u2022", words);
    }
    canvas_item(&guide->canvas, "\u2022", GUIDE_SAY_MEASURED);
    canvas_space(&guide->canvas, ROW_GAP_MM);
    return true;
}

double guide_steps_height(Guide *guide, Sketches *sketches, int layer, const GuideSteps *steps)
{
    double height = HEAD_MM;
    for (int i = 0; i < steps->count; i++) height += row_height(&guide->canvas, sketches, layer, &steps->items[i], steps->items[i].title);
    bool last = layer + 1 == guide->draft->input->stack->layer_count;
    return height + (layer == 0 ? CHECKS_MM : 0) + (last ? END_MM : 0);
}

double guide_first_step_height(Guide *guide, Sketches *sketches, int layer, const GuideSteps *steps)
{
    return HEAD_MM + (steps->count > 0 ? row_height(&guide->canvas, sketches, layer, &steps->items[0], steps->items[0].title) : 0);
}

bool guide_tell_end(Guide *guide, Error *err)
{
    Text text = text_make(guide->keep);
    guide_say_end(&text, guide->draft);
    const char *words = guide_words(&text, err);
    if (words) canvas_item(&guide->canvas, NULL, words);
    return words != NULL;
}

bool guide_write_steps(Guide *guide, int layer, const GuideSteps *steps, const GuideChecks *checks, Sketches *sketches,
                       double *since_stop, Error *err)
{
    Canvas *canvas = &guide->canvas;
    bool last_layer = layer + 1 == guide->draft->input->stack->layer_count;
    canvas_head(canvas, "Steps");
    if (layer > 0) canvas_paragraph(canvas, guide_say_lines(guide->draft));
    for (int i = 0; i < steps->count; i++) {
        bool stop = guide_is_stop(steps, i, last_layer, since_stop), ends = last_layer && i + 1 == steps->count;
        double below_mm = ends ? END_MM : stop && !(checks && steps->items[i].joins_whole == checks->group) ? STOP_MM : 0;
        if (!work_goes_on(guide->work, err) || !guide_write_step(guide, layer, steps, i, i + 1, sketches, below_mm, err)) return false;
        if (checks && steps->items[i].joins_whole == checks->group && !write_checks(guide, checks, err)) return false;
        if (stop)
            canvas_item(canvas, "\u2014", GUIDE_SAY_STOP);
    }
    return !last_layer || guide_tell_end(guide, err);
}

// guide_strips.c - see guide_strips.h.
#include "kit/guide_strips.h"

#include "kit/guide_paths.h"

#include <cairo.h>
#include <math.h>

#define EDGE_MM 0.2
#define NAME_MM 2.6     // of letters on a strip; smaller where it is narrower on the page
#define LIST_MM 62.0    // kept free for the list below the drawing
#define WIDTH_ALIKE_MM 0.5

static const Ink CUT = {0.80, 0.88, 0.84}, BY_HAND = {0.98, 0.87, 0.72};

double guide_strips_mm(const Draft *draft, double *longest_mm)
{
    double sum = 0;
    *longest_mm = 0;
    for (int i = 0; i < draft->all_strip_count; i++) {
        sum += draft->strips[i].source->length_mm;
        *longest_mm = fmax(*longest_mm, draft->strips[i].source->length_mm);
    }
    return sum;
}

void guide_strips_say(Text *text, const Draft *draft)
{
    int by_hand = draft->all_strip_count - draft->strip_count;
    if (draft->strip_count > 0) text_printf(text, "%d on the sheets of layer A", draft->strip_count);
    if (draft->strip_count > 0 && by_hand > 0) text_add(text, ", ");
    if (by_hand > 0) text_printf(text, "%d by hand from scrap", by_hand);
}

// ---- the drawing ----

static void draw_strip(Canvas *canvas, const DraftStrip *strip, const MapView *view)
{
    const double *m = view->matrix;
    const Point *c = strip->source->corners;
    double x = ((double)c[0].x + c[2].x) / 2 / UM_PER_MM, y = ((double)c[0].y + c[2].y) / 2 / UM_PER_MM;
    double wide = strip->source->width_mm * view->scale;
    paths_rings(canvas, &strip->cut->rings, m);
    paths_paint(canvas, strip->piece >= 0 ? CUT : BY_HAND, INK_BLACK, EDGE_MM);
    canvas_name(canvas, m[0] * x + m[4], m[3] * y + m[5], fmin(NAME_MM, fmax(1.7, 0.8 * wide)), INK_BLACK, strip->cut->id);
}

static bool draw_map(Guide *guide, Error *err)
{
    Canvas *canvas = &guide->canvas;
    MapView view;
    MapPart whole = {.from_behind = true, .grid = 1, .without_names = true};
    Frame frame = {CANVAS_LEFT_MM, canvas->y_mm + 2, canvas->width_mm, canvas->bottom_mm - canvas->y_mm - LIST_MM};
    if (!map_layer(canvas, guide->draft, &whole, frame, guide->keep, guide->work, &view, err)) return false;
    for (int i = 0; i < guide->draft->all_strip_count; i++) draw_strip(canvas, &guide->draft->strips[i], &view);
    canvas->y_mm = view.frame.y + view.frame.h + 5;
    return true;
}

// ---- the list ----

static bool write_cut(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    Text text = text_make(guide->keep);
    if (draft->strip_count == 0) return true;
    text_add(&text, "Cut with the sheets (green):");
    for (int i = 0; i < draft->all_strip_count; i++)
        if (draft->strips[i].piece >= 0) text_printf(&text, "   \u2610\u00a0%s", draft->strips[i].cut->id);
    const char *words = guide_words(&text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

static bool write_by_hand(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    for (int from = 0; from < draft->all_strip_count; from++) {
        double width_mm = draft->strips[from].source->width_mm;
        bool is_first = draft->strips[from].piece < 0;
        for (int i = 0; i < from; i++)
            is_first = is_first && (draft->strips[i].piece >= 0 || fabs(draft->strips[i].source->width_mm - width_mm) > WIDTH_ALIKE_MM);
        if (!is_first) continue;
        Text text = text_make(guide->keep);
        text_add(&text, "Cut by hand from scrap of the same weight (orange), ");
        guide_tape_length(&text, width_mm);
        text_add(&text, " wide, this long:");
        for (int i = from; i < draft->all_strip_count; i++) {
            const DraftStrip *strip = &draft->strips[i];
            if (strip->piece >= 0 || fabs(strip->source->width_mm - width_mm) > WIDTH_ALIKE_MM) continue;
            text_printf(&text, "   \u2610\u00a0%s\u00a0", strip->cut->id);
            guide_tape_length(&text, strip->source->length_mm);
        }
        const char *words = guide_words(&text, err);
        if (!words) return false;
        canvas_paragraph(&guide->canvas, words);
    }
    return true;
}

bool guide_strips_page(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    if (draft->all_strip_count == 0) return true;
    canvas_page(&guide->canvas, GUIDE_STRIPS_PAGE, GUIDE_STRIPS_PAGE, 1);
    canvas_paragraph(&guide->canvas,
                     "Mirrored: the joined base, face down. Each strip is called by the letter of its seam: A-K goes behind seam K of layer A. Glue it "
                     "over the tape, its middle on the seam, when all of the base is joined and measured. None may look out at an edge or a hole, and none "
                     "lies on another: trim it where it would.");
    return draw_map(guide, err) && write_cut(guide, err) && write_by_hand(guide, err);
}

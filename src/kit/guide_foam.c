// guide_foam.c - see guide_foam.h.
#include "kit/guide_foam.h"

#include <cairo.h>
#include <math.h>

#define LIST_MM 40.0    // kept free for the list below the drawing
#define LEAST_MM 0.9    // side of a square on the page, so that it is seen
#define NAMED_MOST 10   // pieces in one sentence of a step

static const Ink FOAM = {0.83, 0.45, 0.16};

static int squares_of(const Draft *draft, int layer)
{
    int sum = 0;
    for (int i = 0; i < draft->layers[layer].piece_count; i++) {
        const FoamPiece *foam = draft->pieces[draft->layers[layer].first_piece + i].foam;
        sum += foam ? foam->count : 0;
    }
    return sum;
}

void guide_foam_buy(Text *text, const Draft *draft)
{
    const Foam *foam = draft->input->foam;
    if (!foam || foam->square_count == 0) return;
    text_printf(text, "Foam squares with glue on both faces, 1/2 in (12 mm) wide and 1/8 in (3 mm) high: ");
    guide_count(text, foam->square_count, "square");
    text_add(text, " under ");
    guide_count(text, foam->piece_count, "piece");
    text_add(text, ".");
}

void guide_foam_say(Text *text, const Draft *draft, int first, const int *pieces, int count)
{
    int said = 0, more = 0;
    for (int i = 0; i < count; i++) {
        const DraftPiece *piece = &draft->pieces[first + pieces[i]];
        if (!piece->foam) continue;
        if (said == NAMED_MOST) more++;
        else text_printf(text, "%s%d on %s", said++ ? ", " : "Foam squares on the back first, as the page with them shows: ", piece->foam->count, piece->source->id);
    }
    if (more > 0) text_printf(text, " and %d more", more);
    if (said > 0) text_add(text, ". ");
}

static void draw_squares(Canvas *canvas, const FoamPiece *foam, const MapView *view)
{
    const double *m = view->matrix;
    double side = fmax(LEAST_MM, FOAM_SQUARE_MM * view->scale);
    for (int i = 0; i < foam->count; i++) {
        double x = m[0] * foam->squares[i].x / UM_PER_MM + m[4], y = m[3] * foam->squares[i].y / UM_PER_MM + m[5];
        cairo_rectangle(canvas->cr, x - side / 2, y - side / 2, side, side);
    }
    canvas_ink(canvas, FOAM, 0.75);
    cairo_fill(canvas->cr);
}

static bool list_pieces(Guide *guide, int layer, Error *err)
{
    const Draft *draft = guide->draft;
    Text text = text_make(guide->keep);
    text_printf(&text, "%d squares:", squares_of(draft, layer));
    for (int i = 0; i < draft->layers[layer].piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[draft->layers[layer].first_piece + i];
        if (piece->foam) text_printf(&text, "   \u2610\u00a0%s\u00a0%d", piece->source->id, piece->foam->count);
    }
    const char *words = guide_words(&text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

bool guide_foam_page(Guide *guide, int layer, Error *err)
{
    const Draft *draft = guide->draft;
    Canvas *canvas = &guide->canvas;
    if (squares_of(draft, layer) == 0) return true;
    Text heading = text_make(guide->keep);
    text_printf(&heading, "Layer %s: %s, on foam squares", draft->layers[layer].id, guide_colour_name(draft, layer));
    const char *words = guide_words(&heading, err);
    if (!words) return false;
    canvas_page(canvas, words, "Foam squares", 1);
    canvas_paragraph(canvas, "Mirrored: the pieces face down, with their squares, in any turn, at least 1/8 in (4 mm) from every edge. What has none in a "
                             "place lies on raised paper there, and is glued flat on that. Stick the squares on; peel their second face when the piece "
                             "goes on, and set it down straight from above.");
    MapView view;
    MapPart whole = {.layer = layer, .from_behind = true, .loose_too = true, .grid = 1};
    Frame frame = {CANVAS_LEFT_MM, canvas->y_mm + 2, canvas->width_mm, canvas->bottom_mm - canvas->y_mm - LIST_MM};
    if (!map_layer(canvas, draft, &whole, frame, guide->keep, guide->work, &view, err)) return false;
    for (int i = 0; i < draft->layers[layer].piece_count; i++) {
        const FoamPiece *foam = draft->pieces[draft->layers[layer].first_piece + i].foam;
        if (foam) draw_squares(canvas, foam, &view);
    }
    canvas->y_mm = view.frame.y + view.frame.h + 5;
    return list_pieces(guide, layer, err);
}

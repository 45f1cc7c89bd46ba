// guide_envelopes.c - the last page of the guide: labels for envelopes.
#include "kit/guide_part.h"

#define LABEL_W_MM 90.0
#define LABEL_H_MM 54.0

static bool write_label(Guide *guide, int layer, double x, double y, Error *err)
{
    const Draft *draft = guide->draft;
    Canvas *canvas = &guide->canvas;
    Text head = text_make(guide->keep), list = text_make(guide->keep);
    text_printf(&head, "%s: layer %s of %d", draft->input->name, draft->layers[layer].id,
                draft->input->stack->layer_count);
    text_printf(&list, "%s, ", guide_colour_name(draft, layer));
    guide_count(&list, draft->layers[layer].piece_count, "piece");
    text_add(&list, ":\n");
    for (int i = 0; i < draft->layers[layer].piece_count; i++)
        text_printf(&list, "%s%s", i ? "  " : "", draft->pieces[draft->layers[layer].first_piece + i].source->id);
    const char *words = guide_words(&head, err), *names = guide_words(&list, err);
    if (!words || !names) return false;
    Letters letters = {9.5, false, INK_BLACK, CANVAS_FROM_LEFT};
    double inner = LABEL_W_MM - 30;
    while (letters.pt > 5 && canvas_words_height(canvas, inner, letters, names) > LABEL_H_MM - 22) letters.pt -= 0.5;
    canvas_box(canvas, x, y, LABEL_W_MM, LABEL_H_MM, 0.2, INK_GREY);
    const Stack *stack = draft->input->stack;
    Ink paper = ink_of(stack->colours[stack->layers[layer].colour].colour);
    canvas_swatch(canvas, x + 5, y + 5, 16, 16, paper);
    canvas_name(canvas, x + 13, y + 13, 9, ink_is_light(paper) ? INK_BLACK : INK_WHITE, draft->layers[layer].id);
    double head_h = canvas_words(canvas, x + 25, y + 5, inner, (Letters){11, true, INK_BLACK, CANVAS_FROM_LEFT}, words);
    canvas_words(canvas, x + 25, y + 7 + head_h, inner, letters, names);
    return true;
}

bool guide_envelopes(Guide *guide, Error *err)
{
    Canvas *canvas = &guide->canvas;
    int layers = guide->draft->input->stack->layer_count;
    for (int l = 0, cell = 0; l < layers; l++, cell++) {
        if (l == 0 || canvas->y_mm + (cell / 2 + 1) * (LABEL_H_MM + 3) > canvas->bottom_mm) {
            canvas_page(canvas, "Labels for envelopes", l == 0 ? "Labels for envelopes" : NULL, 0);
            canvas_paragraph(canvas, "Cut them out; one for each layer.");
            cell = 0;
        }
        double x = CANVAS_LEFT_MM + (cell % 2) * (canvas->width_mm - LABEL_W_MM),
               y = canvas->y_mm + (cell / 2) * (LABEL_H_MM + 3);
        if (!write_label(guide, l, x, y, err)) return false;
    }
    return true;
}

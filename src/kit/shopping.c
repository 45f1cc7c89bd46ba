// shopping.c - see shopping.h.
#include "kit/shopping.h"

#include <math.h>
#include <string.h>

#define DARK 0.51     // of the luma of ITU-R BT.601: lighter papers show no white edge

double shopping_gsm(const Paper *paper)
{
    return paper->gsm > 0 ? paper->gsm : SHOPPING_GSM;
}

bool shopping_trim(const Paper *paper, ShoppingTrim *out)
{
    double w = paper->board_mm[0], h = paper->board_mm[1];
    StockTrim trim = stock_trim(paper);
    *out = (ShoppingTrim){0};
    if (!(w > 0) || !(h > 0)) return true;
    *out = (ShoppingTrim){.board_mm = {w, h}, .columns = trim.across, .rows = trim.down};
    if (trim.turned) *out = (ShoppingTrim){.board_mm = {h, w}, .columns = trim.down, .rows = trim.across}; // it is turned instead
    out->band_mm = paper->height_mm;
    out->cell_mm = paper->width_mm;
    out->right_mm = fmax(0, out->board_mm[0] - out->columns * out->cell_mm);
    out->below_mm = fmax(0, out->board_mm[1] - out->rows * out->band_mm);
    return trim.sheets > 0;
}

static bool is_dark(Srgb8 colour)
{
    return 0.299 * colour.r + 0.587 * colour.g + 0.114 * colour.b <= DARK * 255;
}

static double seen_edge_mm(const Stack *stack, int layer)
{
    const Layer *of = &stack->layers[layer];
    double sum = 0;
    for (int i = 0; i < of->area.link_count; i++)
        if (!of->hidden || !of->hidden[i]) sum += link_length_mm(&stack->chains, &of->area.links[i]);
    return sum;
}

static bool has_layer(const KitPaper *paper, int layer)
{
    for (int i = 0; i < paper->piece_count; i++)
        if (paper->layers[i] == layer) return true;
    return false;
}

// A layer that lies on several sizes counts once, with the first of them.
static double ink_mm(const Draft *draft, int index)
{
    const KitPaper *paper = &draft->input->papers[index];
    const KitInput *input = draft->input;
    double sum = 0;
    if (!paper->paper.white_core || !is_dark(paper->colour)) return 0;
    for (int l = 0; l < input->stack->layer_count; l++) {
        bool is_first = has_layer(paper, l);
        for (int p = 0; p < index && is_first; p++) is_first = !has_layer(&input->papers[p], l);
        if (!is_first) continue;
        sum += seen_edge_mm(input->stack, l);
        for (int s = 0; s < input->layer_pieces[l].seam_count; s++) sum += 2 * input->layer_pieces[l].seams[s].visible_mm;
    }
    return sum;
}

Shopping shopping_of(const Draft *draft, int index)
{
    const KitPaper *paper = &draft->input->papers[index];
    StockOrder order = kit_order(paper);
    Shopping s = {.sheets = paper->nest.sheet_count, .spare = order.spares, .together = order.sheets, .boards = order.boards,
                  .packs = order.packs, .cost = order.has_cost ? order.cost : -1};
    (void)shopping_trim(&paper->paper, &s.trim);
    for (int i = 0; i < draft->piece_count; i++)
        if (draft->sheets[draft->pieces[i].sheet].paper == index)
            s.grams += draft->pieces[i].area_mm2 * shopping_gsm(&paper->paper) / 1e6;
    s.ink_mm = ink_mm(draft, index);
    return s;
}

// shopping.c - see shopping.h.
#include "kit/shopping.h"

#include <math.h>
#include <string.h>

#define SPARE_MM 0.01 // a sheet that is as wide as its board is one sheet, whatever the last digit of an inch says
#define DARK 0.51     // of the luma of ITU-R BT.601: lighter papers show no white edge

int shopping_spare(int sheets)
{
    int tenth = (sheets + 9) / 10;
    return tenth < 1 ? 1 : tenth;
}

double shopping_gsm(const Paper *paper)
{
    return paper->gsm > 0 ? paper->gsm : SHOPPING_GSM;
}

static ShoppingTrim trim_one_way(const Paper *paper, double board_w_mm, double board_h_mm)
{
    ShoppingTrim trim = {.board_mm = {board_w_mm, board_h_mm}, .band_mm = paper->height_mm, .cell_mm = paper->width_mm};
    trim.columns = (int)floor((board_w_mm + SPARE_MM) / trim.cell_mm);
    trim.rows = (int)floor((board_h_mm + SPARE_MM) / trim.band_mm);
    trim.right_mm = fmax(0, board_w_mm - trim.columns * trim.cell_mm);
    trim.below_mm = fmax(0, board_h_mm - trim.rows * trim.band_mm);
    return trim;
}

// A paper with a direction keeps it: its sheets lie upright on the board as it is named.
bool shopping_trim(const Paper *paper, ShoppingTrim *out)
{
    double w = paper->board_mm[0], h = paper->board_mm[1];
    *out = (ShoppingTrim){0};
    if (!(w > 0) || !(h > 0)) return true;
    *out = trim_one_way(paper, w, h);
    ShoppingTrim turned = trim_one_way(paper, h, w);
    if (paper->direction == PAPER_PLAIN && turned.columns * turned.rows > out->columns * out->rows) *out = turned;
    return out->columns * out->rows > 0;
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

static double ink_mm(const Draft *draft, const KitPaper *paper)
{
    const KitInput *input = draft->input;
    double sum = 0;
    if (!paper->paper.white_core || !is_dark(paper->colour)) return 0;
    for (int l = 0; l < input->stack->layer_count; l++) {
        bool has = false;
        for (int i = 0; i < paper->piece_count; i++) has = has || paper->layers[i] == l;
        if (!has) continue;
        sum += seen_edge_mm(input->stack, l);
        for (int s = 0; s < input->layer_pieces[l].seam_count; s++) sum += 2 * input->layer_pieces[l].seams[s].visible_mm;
    }
    return sum;
}

Shopping shopping_of(const Draft *draft, int index)
{
    const KitPaper *paper = &draft->input->papers[index];
    Shopping s = {.sheets = paper->nest.sheet_count, .spare = shopping_spare(paper->nest.sheet_count), .cost = -1};
    s.together = s.sheets + s.spare;
    if (shopping_trim(&paper->paper, &s.trim) && s.trim.columns > 0)
        s.boards = (s.together + s.trim.columns * s.trim.rows - 1) / (s.trim.columns * s.trim.rows);
    int bought = s.boards > 0 ? s.boards : s.together, pack = paper->paper.pack_count;
    s.packs = pack > 0 ? (bought + pack - 1) / pack : 0;
    if (paper->paper.pack_price > 0) s.cost = paper->paper.pack_price * (s.packs > 0 ? s.packs : bought);
    for (int i = 0; i < draft->piece_count; i++)
        if (draft->sheets[draft->pieces[i].sheet].paper == index)
            s.grams += draft->pieces[i].area_mm2 * shopping_gsm(&paper->paper) / 1e6;
    s.ink_mm = ink_mm(draft, paper);
    return s;
}

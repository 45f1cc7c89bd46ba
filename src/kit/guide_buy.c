// guide_buy.c - what to buy: papers with spares, packs and boards, how a board is cut down, tape, glue, tools, time.
#include "base/length.h"
#include "kit/guide_foam.h"
#include "kit/guide_laps.h"
#include "kit/guide_part.h"
#include "kit/guide_strips.h"
#include "kit/hang.h"
#include "kit/measure_path.h"
#include "kit/shopping.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define ROW_MM 6.4
#define COLUMN_COUNT 8
#define BOARD_DRAWING_MM 46.0
#define LAP_LINES 3    // of glue along a lap of 12 mm
#define TAPE_SHARE 1.5 // of the seams' length: once along, and short strips across

static const Letters ROW = {9.5, false, {0.137, 0.125, 0.110}, CANVAS_FROM_LEFT};
static const Letters SMALL = {8, false, {0.137, 0.125, 0.110}, CANVAS_CENTRED};
// From the left: colour, size, layers, sheets, spare, together, packs, cost.
static const double COLUMNS_MM[COLUMN_COUNT] = {10, 52, 80, 102, 117, 131, 152, 165};

static bool write_text(Guide *guide, const char *front, const Text *text, Error *err)
{
    const char *words = guide_words(text, err);
    if (!words) return false;
    if (front && front[0]) canvas_item(&guide->canvas, front, words);
    else if (front) canvas_item(&guide->canvas, NULL, words);
    else canvas_paragraph(&guide->canvas, words);
    return true;
}

// --- papers ---

static void write_row(Canvas *canvas, const char *const cells[COLUMN_COUNT], bool bold)
{
    Letters letters = ROW;
    letters.bold = bold;
    for (int i = 0; i < COLUMN_COUNT; i++)
        if (cells[i][0]) canvas_words(canvas, CANVAS_LEFT_MM + COLUMNS_MM[i], canvas->y_mm, 0, letters, cells[i]);
    canvas->y_mm += ROW_MM;
}

// "A, C": the layers that are cut from a paper.
static void layers_of(const Draft *draft, const KitPaper *paper, char *out, size_t size)
{
    size_t used = 0;
    out[0] = 0;
    for (int l = 0; l < draft->input->stack->layer_count && used < size; l++) {
        bool has = false;
        for (int i = 0; i < paper->piece_count; i++) has = has || paper->layers[i] == l;
        if (has) used += (size_t)snprintf(out + used, size - used, "%s%s", used ? ", " : "", draft->layers[l].id);
    }
}

typedef struct Bill {
    int sheets, spare, together, packs;
    double cost;
    bool has_packs, has_cost, cost_is_whole;
} Bill;

// "13.50": always with two decimals; "" when it is not known.
static void cost_words(double cost, char out[32])
{
    long long cents = llround(fmin(cost, 1e12) * 100);
    out[0] = 0;
    if (cost >= 0) snprintf(out, 32, "%lld.%02lld", cents / 100, cents % 100);
}

static void write_paper(Canvas *canvas, const Draft *draft, int index, Bill *bill)
{
    const KitPaper *paper = &draft->input->papers[index];
    Shopping s = shopping_of(draft, index);
    char number[4][16], layers[24], cost[32], size[40];
    canvas_need(canvas, ROW_MM);
    canvas_swatch(canvas, CANVAS_LEFT_MM, canvas->y_mm, 7, 4.5, ink_of(paper->colour));
    layers_of(draft, paper, layers, sizeof layers);
    const int values[4] = {s.sheets, s.spare, s.together, s.packs};
    for (int i = 0; i < 4; i++) snprintf(number[i], sizeof number[i], "%d", values[i]);
    if (s.packs == 0) number[3][0] = 0;
    cost_words(paper->paper.is_offcut ? -1 : s.cost, cost);
    if (paper->paper.is_offcut) number[1][0] = number[2][0] = 0;
    snprintf(size, sizeof size, "%s%s", paper->paper.id, paper->paper.is_offcut ? " *" : "");
    write_row(canvas, (const char *const[COLUMN_COUNT]){paper->colour_name, size, layers, number[0], number[1], number[2],
                                                        number[3], cost}, false);
    bill->sheets += s.sheets, bill->spare += s.spare, bill->together += s.together, bill->packs += s.packs;
    bill->has_packs = bill->has_packs || s.packs > 0;
    bill->has_cost = bill->has_cost || (s.cost >= 0 && !paper->paper.is_offcut);
    bill->cost_is_whole = bill->cost_is_whole && s.cost >= 0;
    if (s.cost >= 0) bill->cost += s.cost;
}

static bool knows(const Draft *draft, bool cost)
{
    for (int p = 0; p < draft->input->paper_count; p++)
        if (cost ? draft->input->papers[p].paper.pack_price > 0 : draft->input->papers[p].paper.pack_count > 0) return true;
    return false;
}

static bool has_offcuts(const Draft *draft)
{
    for (int p = 0; p < draft->input->paper_count; p++)
        if (draft->input->papers[p].paper.is_offcut) return true;
    return false;
}

static void write_papers(Canvas *canvas, const Draft *draft)
{
    const char *const heads[COLUMN_COUNT] = {"Colour", "Size", "Layers", "Sheets", "Spare", "Together",
                                             knows(draft, false) ? "Packs" : "", knows(draft, true) ? "Cost" : ""};
    Bill bill = {.cost_is_whole = true};
    char number[4][16], cost[32];
    write_row(canvas, heads, true);
    for (int p = 0; p < draft->input->paper_count; p++) write_paper(canvas, draft, p, &bill);
    canvas_line(canvas, CANVAS_LEFT_MM, canvas->y_mm - 1, CANVAS_LEFT_MM + canvas->width_mm, canvas->y_mm - 1, 0.2, INK_BLACK);
    const int values[4] = {bill.sheets, bill.spare, bill.together, bill.packs};
    for (int i = 0; i < 4; i++) snprintf(number[i], sizeof number[i], "%d", values[i]);
    if (!bill.has_packs) number[3][0] = 0;
    cost_words(bill.has_cost ? bill.cost : -1, cost);
    write_row(canvas, (const char *const[COLUMN_COUNT]){"All", "", "", number[0], number[1], number[2], number[3], cost}, true);
    for (int p = 0; p < draft->input->paper_count; p++)
        if (draft->input->papers[p].is_any)
            canvas_paragraph(canvas, "\u201cAny card\u201d is any card of the same size and weight as that of layer A, in any colour, leftovers too: "
                                     "its pieces are wholly covered in the end.");
    if (has_offcuts(draft)) canvas_paragraph(canvas, "* Offcuts that you have: nothing of them is bought.");
    if (bill.has_cost && !bill.cost_is_whole)
        canvas_paragraph(canvas, "The cost is that of the papers whose price is known.");
}

// --- boards ---

static void draw_cut(Canvas *canvas, double x0, double y0, double x1, double y1, int number)
{
    char words[16];
    snprintf(words, sizeof words, "%d", number);
    canvas_line(canvas, x0, y0, x1, y1, 0.5, INK_BLACK);
    canvas_words(canvas, x0 == x1 ? x0 : x1 + 2.5, x0 == x1 ? y0 - 4 : y0 - 1.6, 0, SMALL, words);
}

// Its bands and sheets, the cuts in their order, what is left over.
static void draw_board(Canvas *canvas, const ShoppingTrim *trim, double x, double y, double w, double h)
{
    double scale = fmin(w / trim->board_mm[0], h / trim->board_mm[1]);
    double board_w = trim->board_mm[0] * scale, board_h = trim->board_mm[1] * scale;
    int number = 1;
    canvas_swatch(canvas, x, y, board_w, board_h, INK_PALE);
    for (int row = 0; row < trim->rows; row++)
        for (int column = 0; column < trim->columns; column++)
            canvas_swatch(canvas, x + column * trim->cell_mm * scale, y + row * trim->band_mm * scale, trim->cell_mm * scale,
                          trim->band_mm * scale, INK_WHITE);
    for (int row = 1; row <= trim->rows; row++) {
        double at = row * trim->band_mm * scale;
        if (at < board_h - 0.05) draw_cut(canvas, x, y + at, x + board_w, y + at, number++);
    }
    for (int column = 1; column <= trim->columns; column++) {
        double at = column * trim->cell_mm * scale;
        if (at < board_w - 0.05) draw_cut(canvas, x + at, y, x + at, y + trim->rows * trim->band_mm * scale, number++);
    }
}

static void add_size(Text *text, double w_mm, double h_mm)
{
    char w[32], h[32];
    length_format_inches(w_mm, w);
    length_format_inches(h_mm, h);
    text_printf(text, "%s x %s", w, h);
}

static bool tell_board(Guide *guide, const Paper *paper, int boards, const ShoppingTrim *trim, Error *err)
{
    Canvas *canvas = &guide->canvas;
    Text text = text_make(guide->keep);
    text_printf(&text, "%s is cut down from boards of ", paper->id);
    add_size(&text, trim->board_mm[0], trim->board_mm[1]);
    text_printf(&text, ": %d sheets a board, ", trim->columns * trim->rows);
    guide_count(&text, boards, "board");
    text_add(&text, " in all. First the cuts across, in the order of their numbers, then all bands along.");
    if (trim->below_mm > 1 || trim->right_mm > 1) text_add(&text, " Left over of each board (grey): ");
    if (trim->below_mm > 1) add_size(&text, trim->board_mm[0], trim->below_mm);
    if (trim->below_mm > 1 && trim->right_mm > 1) text_add(&text, ", and ");
    if (trim->right_mm > 1) {
        guide_count(&text, trim->rows, "strip");
        text_add(&text, " of ");
        add_size(&text, trim->right_mm, trim->band_mm);
    }
    if (trim->below_mm > 1 || trim->right_mm > 1) text_add(&text, ": keep them for small pieces.");
    canvas_need(canvas, BOARD_DRAWING_MM + 24);
    if (!write_text(guide, NULL, &text, err)) return false;
    draw_board(canvas, trim, CANVAS_LEFT_MM + 4, canvas->y_mm + 5, canvas->width_mm - 20, BOARD_DRAWING_MM - 8);
    canvas->y_mm += BOARD_DRAWING_MM + 2;
    return true;
}

static bool same_board(const Paper *a, const Paper *b)
{
    return strcmp(a->id, b->id) == 0 && a->board_mm[0] == b->board_mm[0] && a->board_mm[1] == b->board_mm[1];
}

static bool tell_boards(Guide *guide, Error *err)
{
    const KitInput *input = guide->draft->input;
    for (int p = 0; p < input->paper_count; p++) {
        const Paper *paper = &input->papers[p].paper;
        ShoppingTrim trim;
        bool is_new = true;
        int boards = 0;
        for (int k = 0; k < p; k++) is_new = is_new && !same_board(&input->papers[k].paper, paper);
        if (!is_new || !(paper->board_mm[0] > 0)) continue;
        for (int k = p; k < input->paper_count; k++)
            if (same_board(&input->papers[k].paper, paper)) boards += shopping_of(guide->draft, k).boards;
        if (!shopping_trim(paper, &trim)) {
            Text text = text_make(guide->keep);
            text_printf(&text, "No sheet of %s comes out of a board of ", paper->id);
            add_size(&text, paper->board_mm[0], paper->board_mm[1]);
            text_add(&text, ".");
            if (!write_text(guide, NULL, &text, err)) return false;
        } else if (!tell_board(guide, paper, boards, &trim, err)) {
            return false;
        }
    }
    return true;
}

// --- tape, glue, ink ---

static bool buy_ink(Guide *guide, Error *err)
{
    Text text = text_make(guide->keep);
    int said = 0;
    for (int p = 0; p < guide->draft->input->paper_count; p++) {
        double mm = shopping_of(guide->draft, p).ink_mm;
        if (mm <= 0) continue;
        text_printf(&text, "%s%s, ", said++ ? "; " : "Felt pens for edges, since these papers are white inside: ",
                    guide->draft->input->papers[p].colour_name);
        guide_length_to_buy(&text, mm);
    }
    if (said == 0) return true;
    text_add(&text, ". Counted are both sides of every seam in sight, and every edge that no higher layer covers. Draw the pen along "
                    "the edge before joining.");
    return write_text(guide, "", &text, err);
}

static bool buy_strips(Guide *guide, Error *err)
{
    double longest_mm, mm = guide_strips_mm(guide->draft, &longest_mm);
    if (mm <= 0) return true;
    Text text = text_make(guide->keep);
    text_add(&text, "Backing strips for the seams of layer A, ");
    guide_strips_say(&text, guide->draft);
    text_add(&text, ": ");
    guide_length_to_buy(&text, mm);
    text_add(&text, " in all, the longest ");
    guide_tape_length(&text, longest_mm);
    text_printf(&text, ". The page \u201c%s\u201d lists them.", GUIDE_STRIPS_PAGE);
    return write_text(guide, "", &text, err);
}

// Where no paper joins all of it, something else has to.
static bool buy_board(Guide *guide, Error *err)
{
    GuideBelow *below;
    Hang hang;
    if (!guide_below(guide->draft, guide->keep, guide->work, &below, err) ||
        !hang_find_bodies(guide->draft, below, guide->keep, guide->work, &hang, err))
        return false;
    if (hang.body_count < 2) return true;
    Text text = text_make(guide->keep);
    text_add(&text, "A board behind everything, ");
    guide_tape_length(&text, guide->draft->input->stack->width_mm);
    text_add(&text, " by ");
    guide_tape_length(&text, guide->draft->input->stack->height_mm);
    text_add(&text, " or larger, unless it goes straight on a wall: ");
    guide_count(&text, hang.body_count - 1, "part");
    text_printf(&text, " of it %s joined to the rest by no paper.", hang.body_count == 2 ? "is" : "are");
    return write_text(guide, "", &text, err);
}

static bool buy_tape_and_glue(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    double edge_mm = 0;
    for (int i = 0; i < draft->piece_count; i++)
        if (draft->pieces[i].layer > 0) edge_mm += path_length_mm(&draft->pieces[i].face);
    double taped_mm = guide_form_mm(draft, GUIDE_ALL_LAYERS, SEAM_BUTT), lapped_mm = guide_form_mm(draft, GUIDE_ALL_LAYERS, SEAM_LAP);
    edge_mm += LAP_LINES * lapped_mm;
    if (taped_mm > 0) {
        Text tape = text_make(guide->keep);
        text_add(&tape, "Tape for the back of seams, that holds for good: ");
        guide_length_to_buy(&tape, taped_mm * TAPE_SHARE);
        text_printf(&tape, ". Along every seam%s once, and short strips across it: half as much again. Low-tack tape for the front, while "
                           "you join: ", lapped_mm > 0 ? " without a lap" : "");
        guide_length_to_buy(&tape, taped_mm / 2);
        text_add(&tape, ".");
        if (!write_text(guide, "", &tape, err) || !buy_strips(guide, err)) return false;
    }
    if (edge_mm > 0) {
        Text glue = text_make(guide->keep);
        text_add(&glue, "Glue for paper, that does not wet it through: enough for a thin line of ");
        guide_length_to_buy(&glue, edge_mm);
        text_add(&glue, ", along the edges of everything that lies on something else");
        text_printf(&glue, "%s.", lapped_mm > 0 ? ", three lines on every lap counted in" : "");
        if (!write_text(guide, "", &glue, err)) return false;
    }
    Text foam = text_make(guide->keep);
    guide_foam_buy(&foam, draft);
    if (foam.size_bytes > 0 && !write_text(guide, "", &foam, err)) return false;
    return buy_ink(guide, err) && buy_board(guide, err);
}

// --- tools, time ---

// Of a common ground either size may be bought.
static bool tell_common(Guide *guide, Error *err)
{
    const KitInput *input = guide->draft->input;
    for (int p = 0; p < input->paper_count; p++) {
        bool is_new = paper_is_common(&input->papers[p].paper);
        for (int k = 0; k < p; k++) is_new = is_new && strcmp(input->papers[k].paper.id, input->papers[p].paper.id) != 0;
        if (!is_new) continue;
        Text text = text_make(guide->keep);
        text_printf(&text, "%s: buy either size. The drawings use what both have in common; lay the sheet in the top left corner of the mat.",
                    input->papers[p].paper.id);
        if (!write_text(guide, "", &text, err)) return false;
    }
    return true;
}

static bool list_tools(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    Canvas *canvas = &guide->canvas;
    Text text = text_make(guide->keep);
    const Cutter *cutter = draft->input->cutter;
    text_add(&text, "A cutter ");
    if (cutter) text_printf(&text, "(%s) ", cutter->name);
    text_add(&text, "that takes ");
    for (int p = 0, said = 0; p < draft->input->paper_count; p++) {
        bool is_new = true;
        for (int k = 0; k < p; k++)
            is_new = is_new && strcmp(draft->input->papers[k].paper.id, draft->input->papers[p].paper.id) != 0;
        if (is_new) text_printf(&text, "%s%s", said++ ? " and " : "", draft->input->papers[p].paper.id);
    }
    text_printf(&text, " paper, a fresh blade%s%s.", draft_uses(draft, MARK_SCORE) ? ", a score tool" : "",
                draft_uses(draft, MARK_PEN) ? ", a pen" : "");
    if (!write_text(guide, "", &text, err)) return false;
    if (!tell_common(guide, err)) return false;
    canvas_item(canvas, NULL, "A pencil, a tape measure, a flat lifter for small parts, a few heavy books.");
    Text room = text_make(guide->keep);
    text_printf(&room,
                "An envelope or a large bag for each layer, %d in all; labels for them are at the end of this guide.",
                draft->input->stack->layer_count);
    if (!write_text(guide, "", &room, err)) return false;
    Text table = text_make(guide->keep);
    text_add(&table, "A clean flat place, a hand wider than ");
    guide_tape_length(&table, draft->input->stack->width_mm);
    text_add(&table, " by ");
    guide_tape_length(&table, draft->input->stack->height_mm);
    text_add(&table, ".");
    return write_text(guide, "", &table, err);
}

typedef struct Rate {
    const char *what, *unit;
    double value;
    int decimals;
} Rate;

static bool write_rate(Guide *guide, const Rate *rate, Error *err)
{
    Canvas *canvas = &guide->canvas;
    Text text = text_make(guide->keep);
    text_number(&text, rate->value, rate->decimals);
    text_printf(&text, " %s", rate->unit);
    const char *words = guide_words(&text, err);
    if (!words) return false;
    canvas_need(canvas, 5);
    canvas_words(canvas, CANVAS_LEFT_MM + 4, canvas->y_mm, 0, ROW, rate->what);
    canvas_words(canvas, CANVAS_LEFT_MM + 82, canvas->y_mm, 0, ROW, words);
    canvas_line(canvas, CANVAS_LEFT_MM + 122, canvas->y_mm + 4, CANVAS_LEFT_MM + 152, canvas->y_mm + 4, 0.2, INK_GREY);
    canvas->y_mm += 5.4;
    return true;
}

static bool tell_time(Guide *guide, Error *err)
{
    static const Rate RATES[] = {{"load and empty a sheet", "min", RATE_SHEET_MIN, 1}, {"the blade", "mm a second", RATE_CUT_MM_S, 0},
                                 {"score and pen", "mm a second", RATE_SCORE_MM_S, 0}, {"lift and set down a tool", "s", RATE_LIFT_S, 1},
                                 {"place a piece", "min", RATE_PIECE_MIN, 1}, {"tape a seam", "min", RATE_SEAM_MIN, 1}};
    const DraftTotals *t = &guide->draft->totals;
    Text text = text_make(guide->keep);
    text_add(&text, "Cutting takes about ");
    guide_time(&text, t->cutting_minutes);
    text_add(&text, ", putting together about ");
    guide_time(&text, t->assembly_minutes);
    text_add(&text, ". That is reckoned with these rates, which are common practice; write your own beside them after the first "
                    "sheets. Good places to stop are named about every two hours.");
    canvas_need(&guide->canvas, 52);
    if (!write_text(guide, NULL, &text, err)) return false;
    canvas_space(&guide->canvas, 1);
    bool has_lines = draft_uses(guide->draft, MARK_SCORE) || draft_uses(guide->draft, MARK_PEN);
    for (size_t i = 0; i < sizeof RATES / sizeof RATES[0]; i++)
        if ((RATES[i].value != RATE_SCORE_MM_S || has_lines) && !write_rate(guide, &RATES[i], err)) return false;
    return true;
}

bool guide_to_buy(Guide *guide, Error *err)
{
    Canvas *canvas = &guide->canvas;
    canvas_page(canvas, "What to buy", "What to buy", 0);
    canvas_head(canvas, "Paper");
    write_papers(canvas, guide->draft);
    canvas_paragraph(canvas, "One spare sheet of each colour, or one for every ten. Take the colours to the shop by "
                             "the key plan; a paper that is near will do, when all of one layer is cut from it.");
    if (!tell_boards(guide, err)) return false;
    canvas_head(canvas, guide->draft->seam_count > 0 ? "Tape and glue" : "Glue");
    if (!buy_tape_and_glue(guide, err)) return false;
    canvas_head(canvas, "Tools");
    if (!list_tools(guide, err)) return false;
    canvas_head(canvas, "Time");
    return tell_time(guide, err);
}

// read_me.c - see read_me.h. Lines are at most 80 letters long: any editor shows them whole.
#include "kit/read_me.h"

#include "base/length.h"
#include "base/text.h"
#include "kit/guide_laps.h"
#include "kit/print_sheet.h"
#include "paper/stock.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

// "10.5 in (266.7 mm)"
static void add_length(Text *text, double mm)
{
    text_number(text, mm / MM_PER_INCH, 3);
    text_add(text, " in (");
    text_number(text, mm, 1);
    text_add(text, " mm)");
}

static void add_count(Text *text, int count, const char *word)
{
    text_printf(text, "%d %s%s", count, word, count == 1 ? "" : "s");
}

// "A7, C2 and C3", broken before column 80; `column` letters stand in the line already.
static void add_piece_list(Text *text, const Draft *draft, size_t column)
{
    int left = draft->totals.pieces;
    for (int i = 0; i < draft->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[i];
        if (piece->sheet < 0) continue;
        const char *after = left > 2 ? "," : left == 2 ? " and" : "";
        size_t size = strlen(piece->source->id) + strlen(after);
        bool breaks = column + 1 + size > 79;
        text_printf(text, "%s%s%s", breaks ? "\n" : " ", piece->source->id, after);
        column = breaks ? size : column + 1 + size;
        left--;
    }
}

static void add_recut_head(Text *text, const Draft *draft)
{
    text_printf(text, "%s\n", draft->input->name);
    add_count(text, draft->totals.pieces, "piece");
    text_printf(text, " of %s once more, on ", draft->input->recut_of);
    add_count(text, draft->totals.sheets, "sheet");
    text_add(text, ":");
    add_piece_list(text, draft, 79);
    text_add(text, "\n\nTHE NEXT TEN MINUTES\n\n"
                   "1. Take out what these pieces replace, or keep it as a pattern until they fit.\n"
                   "2. Guide and key plan are those of the whole kit: names, seams and lines are the\n"
                   "   same, and each piece goes where it went.\n");
}

static void add_head(Text *text, const Draft *draft)
{
    char tall[32], wide[32];
    length_format_inches(draft->input->stack->height_mm, tall);
    length_format_inches(draft->input->stack->width_mm, wide);
    text_printf(text, "%s\n%s tall, %s wide: ", draft->input->name, tall, wide);
    add_count(text, draft->totals.pieces, "piece");
    text_add(text, " on ");
    add_count(text, draft->totals.sheets, "sheet");
    text_add(text, "\n\nTHE NEXT TEN MINUTES\n\n"
                   "1. If this came as one zip file, unzip it first and work in the folder that\n"
                   "   comes out.\n"
                   "2. Open key-plan.svg (any web browser shows it): the finished picture with the\n"
                   "   name of every piece and all seams. Print guide.pdf: it goes on from here,\n"
                   "   with what to buy, every sheet, every layer and every step. guide.html has\n"
                   "   the same steps for a tablet beside the table: it says what comes next and\n"
                   "   keeps ticks. Any web browser opens it; it needs no network.\n");
}

static void add_test(Text *text, const Draft *draft, const TestSheet *tests, int test_count)
{
    text_add(text, "3. Cut the test sheet before anything else, one for each size of paper, on\n"
                   "   a piece of the paper that you will use:\n");
    for (int i = 0; i < test_count; i++) text_printf(text, "     %s\n", tests[i].file);
    text_add(text, "   Then look at what came out:\n"
                   "   - Does the square measure ");
    bool same = true;
    for (int i = 1; i < test_count; i++) same = same && tests[i].side_mm == tests[0].side_mm;
    for (int i = 0; i < (same ? 1 : test_count); i++) {
        if (i > 0 && tests[i].paper == tests[i - 1].paper) continue; // of the same sheet, another line
        if (i > 0) text_add(text, ", ");
        add_length(text, tests[i].side_mm);
        if (!same) text_printf(text, " on %s", draft->input->papers[tests[i].paper].paper.id);
    }
    text_add(text, " each way? If not, the software\n"
                   "     changed the size: see THE HEIGHT TO TYPE.\n");
    if (test_sheet_sides(draft))
        text_printf(text, "   - Does the line run inside the square, 1.5 mm (1/16 in) from its\n"
                          "     %s edges, all along? If it crosses an edge, or lies farther\n"
                          "     off at one of them, set the machine's tools right first.\n",
                    test_sheet_sides(draft));
    text_add(text, "   - Is the bridge between the two windows (2 mm wide) whole? If it is torn:\n"
                   "     a fresh blade, less pressure, slower.\n"
                   "   - Did the small disc (8 mm) come out clean, without slipping?\n"
                   "   Go on when every answer is yes.\n");
}

static bool is_new_size(const KitInput *input, int paper)
{
    for (int i = 0; i < paper; i++)
        if (strcmp(input->papers[i].paper.id, input->papers[paper].paper.id) == 0) return false;
    return true;
}

// A common ground is drawn as one size, and cut from several.
static void add_common(Text *text, const KitInput *input)
{
    for (int p = 0; p < input->paper_count; p++) {
        const char *id = input->papers[p].paper.id;
        if (!paper_is_common(&input->papers[p].paper) || !is_new_size(input, p)) continue;
        text_printf(text, "Either paper works for %s:\n"
                          "the drawn box is what these sizes have in common. Lay the sheet in the top left\n"
                          "corner of the mat, whichever it is; what is over on the right and below stays\n"
                          "blank.\n\n", id);
    }
}

static void add_height(Text *text, const char *word, int width, const double box_mm[4])
{
    text_printf(text, "  %-*s height ", width, word);
    add_length(text, box_mm[3]);
    text_add(text, "; the width is then ");
    text_number(text, box_mm[2] / MM_PER_INCH, 3);
    text_add(text, " in\n");
}

static void add_heights(Text *text, const Draft *draft)
{
    bool by_paper = draft->input->options.sheets_for == KIT_FOR_LAYER;
    text_printf(text, "THE HEIGHT TO TYPE\n\n"
                      "Some software forgets the true size of a drawing. Then choose everything %s\n"
                      "%s at once, keep width and height in proportion, and type this height:\n\n",
                by_paper ? "in" : "on", by_paper ? "the file" : "the sheet");
    for (int f = 0; f < draft->file_count && by_paper; f++) {
        const KitPaper *paper = &draft->input->papers[draft->sheets[draft->files[f].first_sheet].paper];
        char word[80];
        snprintf(word, sizeof word, "%s, %s", paper->colour_name, paper->paper.id);
        add_height(text, word, 20, draft->files[f].box_mm);
    }
    for (int p = 0; p < draft->input->paper_count && !by_paper; p++) {
        if (!is_new_size(draft->input, p)) continue;
        double box[4];
        paper_usable(&draft->input->papers[p].paper, box);
        add_height(text, draft->input->papers[p].paper.id, 10, box);
    }
    text_printf(text, "\n%s in each file's name.\n"
                      "Two small triangles in opposite corners of every sheet make it so: leave them\n"
                      "where they are.\n\n",
                by_paper ? "It is also" : "It is the same for all sheets of one paper, and");
    add_common(text, draft->input);
}

// What is in a file, where it is not simply a sheet.
static void add_files(Text *text, const Draft *draft)
{
    switch (draft->input->options.sheets_for) {
    case KIT_FOR_SHEET: break;
    case KIT_FOR_PIECE:
        text_add(text, "THE FILES\n\n"
                       "One file a sheet. In it every piece is a group of its own with the name of the\n"
                       "piece (A7); lines on it are in groups of the same name with -score or -pen\n"
                       "behind it. The triangles are the group \"corners\", names in the waste the group\n"
                       "\"notes\". Whoever moves a piece takes the groups of its lines along.\n\n");
        break;
    case KIT_FOR_LAYER:
        text_add(text, "THE FILES\n\n"
                       "One file for each paper: all its sheets beside one another, 10 mm apart, in\n"
                       "the order of their numbers, each with two triangles of its own. Bring the whole\n"
                       "file to its height first; then take sheet by sheet, with its triangles.\n\n");
        break;
    case KIT_FOR_LINE:
        text_add(text, "THE FILES\n\n"
                       "Each sheet has a file for each kind of line: -pen and -score run first, -cut\n"
                       "last, without taking the sheet off the mat. All of one sheet have the same\n"
                       "size: give each the same height and the same place. The triangles in the pen\n"
                       "and score files hold the place. Let them run, or leave them out once the file\n"
                       "lies where it should: they are in the waste, where the cut file cuts them out.\n\n");
        break;
    }
}

static void add_from_back(Text *text, const Draft *draft)
{
    if (!draft->input->options.cut_from_back) return;
    text_add(text, "FACE DOWN\n\n"
                   "The files in sheets/ are mirrored: lay the paper on the mat with its good face\n"
                   "down. Nothing is scored or drawn on it; write the name on the back of each piece\n"
                   "as you lift it, by the sheet map in guide.pdf, which shows the backs too. Only the\n"
                   "sheets to print are seen from the front: scissors follow the printed side.\n\n");
}

// Copies in formats that nobody needs to hear of where there are none.
static void add_copies(Text *text, const Draft *draft)
{
    unsigned formats = draft->input->options.formats;
    if (!(formats & (KIT_DXF | KIT_HPGL))) return;
    text_add(text, "OTHER FORMATS\n\n"
                   "Each sheet is there once more, at true size and ready to cut:\n");
    if (formats & KIT_DXF) text_add(text, "  .dxf   millimetres; layers CUT, SCORE and PEN\n");
    if (formats & KIT_HPGL)
        text_add(text, "  .plt   HP-GL; pen 1 cuts, 2 scores, 3 draws: set force and tool for each pen\n"
                       "         at the machine, and try it on the thinnest paper first\n");
    text_add(text, "\n");
}

static void add_lines(Text *text, const Draft *draft)
{
    text_add(text, "THE LINES\n\n"
                   "  cut    what is filled with the colour of the paper\n");
    if (draft_uses(draft, MARK_SCORE))
        text_add(text, "  score  orange-brown lines, #b4581a: pressed in, not cut through\n");
    if (draft_uses(draft, MARK_PEN)) text_add(text, "  pen    green lines, #2f6f5e: drawn\n");
    if (draft_uses(draft, MARK_SCORE) || draft_uses(draft, MARK_PEN))
        text_add(text, "\nThe lines show where the next layer goes and what the piece is called. They\n"
                       "come before the cut, and end up covered. A machine without the tool can leave\n"
                       "them out: then the maps in guide.pdf say where each piece goes.\n");
    else if (draft_uses(draft, MARK_CUT))
        text_add(text, "\nRows of short cuts show where the next layer goes. They end up covered.\n");
    if (draft->input->stack->pen_stroke_count > 0)
        text_add(text, "Details that are too small to cut are drawn by pen and stay in sight.\n");
    text_add(text, "\n");
}

// "A, C": the layers that a paper is for.
static void add_layers(Text *text, const Draft *draft, const KitPaper *paper)
{
    const char *between = "";
    for (int l = 0; l < draft->input->stack->layer_count; l++) {
        bool has = false;
        for (int i = 0; i < paper->piece_count; i++) has = has || paper->layers[i] == l;
        if (!has) continue;
        text_printf(text, "%s%s", between, draft->layers[l].id);
        between = ", ";
    }
}

static void add_money(Text *text, double amount)
{
    double hundredths = floor(amount * 100.0 + 0.5), whole = floor(hundredths / 100.0);
    text_number(text, whole, 0);
    text_printf(text, ".%02d", (int)(hundredths - 100.0 * whole));
}

// "to buy: 3 boards of 22 x 28 in, 2 packs of 25, 17.98", when more than sheets is known.
static void add_purchase(Text *text, const Paper *paper, const StockOrder *order)
{
    if (paper->is_offcut) return;
    if (order->boards == 0 && order->packs == 0 && !order->has_cost) return;
    text_add(text, "    to buy: ");
    if (order->boards > 0) {
        add_count(text, order->boards, "board");
        text_add(text, " of ");
        text_number(text, paper->board_mm[0] / MM_PER_INCH, 3);
        text_add(text, " x ");
        text_number(text, paper->board_mm[1] / MM_PER_INCH, 3);
        text_add(text, " in");
    } else {
        add_count(text, order->sheets, "sheet");
    }
    if (order->packs > 0) {
        text_add(text, ", ");
        add_count(text, order->packs, "pack");
        text_printf(text, " of %d", paper->pack_count);
    }
    if (order->has_cost) {
        text_add(text, ", ");
        add_money(text, order->cost);
    }
    text_add(text, "\n");
}

// Paper that is too long for a printer has no file to print.
static void add_prints(Text *text, const Draft *draft)
{
    char name[240];
    bool any = false;
    for (int p = 0; p < draft->input->paper_count; p++) any = any || print_name(draft->input, p, name);
    if (any)
        text_add(text, "SCISSORS INSTEAD\n\n"
                       "For scissors and a craft knife there is a file for each paper in sheets/, with\n"
                       "-print- in its name: every sheet as a page, at true size. Print at 100 %, no\n"
                       "fitting to page, and measure the two squares before you cut. Where the paper\n"
                       "is too dark for black lines, print on plain paper and fix that on top.\n\n");
}

static void add_papers(Text *text, const Draft *draft)
{
    text_add(text, "THE PAPER\n\n");
    for (int p = 0; p < draft->input->paper_count; p++) {
        const KitPaper *paper = &draft->input->papers[p];
        StockOrder order = kit_order(paper);
        text_printf(text, "  %-14s %-10s ", paper->colour_name, paper->paper.id);
        add_count(text, paper->nest.sheet_count, "sheet");
        if (paper->at_hand) text_add(text, ", at hand already, for layer ");
        else if (paper->paper.is_offcut) text_add(text, ", offcuts that you have, for layer ");
        else text_printf(text, ", %d spare, for layer ", order.spares);
        add_layers(text, draft, paper);
        text_add(text, "\n");
        add_purchase(text, &paper->paper, &order);
    }
    text_add(text, "\nSpare sheets are one of each, or one for every ten.\n");
    if (draft->totals.has_cost) {
        text_add(text, "All paper together, whole packs and spares included: ");
        add_money(text, draft->totals.cost);
        text_add(text, "\n");
    }
    text_add(text, "\n");
}

static void add_order(Text *text, const Draft *draft)
{
    text_add(text, "THE ORDER\n\n"
                   "Cut the sheets of one colour after the other. Write its name on the back of\n"
                   "each piece as you peel it off, and keep an envelope for each layer. Look into\n"
                   "the holes of large pieces before anything is thrown away: small pieces lie\n"
                   "there. Then build from the bottom up, A first:\n\n");
    for (int l = 0; l < draft->input->stack->layer_count; l++) {
        const SeparationColour *colour = &draft->input->stack->colours[draft->input->stack->layers[l].colour];
        text_printf(text, "  %-3s %-14s ", draft->layers[l].id, colour->name);
        add_count(text, draft->layers[l].piece_count, "piece");
        text_add(text, "\n");
    }
    text_add(text, "\n");
    if (guide_form_count(draft, GUIDE_ALL_LAYERS, SEAM_LAP) > 0)
        text_add(text, "Pieces of one layer that meet are joined first. Some have a lap, a tongue of 1/2 in\n"
                       "(12 mm): glue its upper side, and lay the neighbour on it, edge to edge.\n");
    if (guide_form_count(draft, GUIDE_ALL_LAYERS, SEAM_BUTT) > 0)
        text_printf(text, "%s joined first: laid face up, edge to edge, held\n"
                          "by low-tack tape across the front, turned over, and taped behind.\n",
                    guide_form_count(draft, GUIDE_ALL_LAYERS, SEAM_LAP) > 0 ? "Those without laps are" : "Pieces of one layer that meet are");
    if (draft->seam_count > 0) text_add(text, "\n");
}

static void add_care(Text *text)
{
    text_add(text, "CARE\n\n"
                   "Blades cut and hot glue burns; spray adhesive wants fresh air: do as the\n"
                   "instructions of your tools and adhesives say. Small parts are not for small\n"
                   "children. Keep paper away from flames and hot lamps, and ask for the fire\n"
                   "rules of the place where the picture will hang. Stand a ladder on firm ground.\n\n"
                   "May this picture be used for what you plan? If it is not yours, ask its owner.\n");
}

bool read_me(const Draft *draft, const TestSheet *tests, int test_count, Arena *keep, FileBytes *out, Error *err)
{
    Text text = text_make(keep);
    if (draft->input->recut_of) add_recut_head(&text, draft);
    else add_head(&text, draft);
    if (test_count > 0) add_test(&text, draft, tests, test_count);
    text_add(&text, "\n");
    add_heights(&text, draft);
    add_files(&text, draft);
    add_copies(&text, draft);
    add_from_back(&text, draft);
    add_lines(&text, draft);
    add_prints(&text, draft);
    add_papers(&text, draft);
    if (!draft->input->recut_of) add_order(&text, draft);
    add_care(&text);
    if (!text_is_whole(&text, err)) return false;
    *out = (FileBytes){"READ-ME-FIRST.txt", text.bytes, text.size_bytes};
    return true;
}

// guide_start.c - the pages before anything is cut: what to buy, how to read the drawings, how pieces are joined.
#include "kit/guide_part.h"
#include "kit/measure_path.h"

#include <stdio.h>
#include <string.h>

#define ROW_MM 7.0

static const Letters ROW = {10, false, {0.137, 0.125, 0.110}, CANVAS_FROM_LEFT};
static const double COLUMNS_MM[] = {10,  62,  96,
                                    122, 146, 168}; // from the left: colour, size, layers, sheets, spare, together

static void write_row(Canvas *canvas, const char *const cells[6], bool bold)
{
    Letters letters = ROW;
    letters.bold = bold;
    for (int i = 0; i < 6; i++)
        canvas_words(canvas, CANVAS_LEFT_MM + COLUMNS_MM[i], canvas->y_mm, 0, letters, cells[i]);
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

static void write_papers(Canvas *canvas, const Draft *draft)
{
    static const char *const HEADS[6] = {"Colour", "Size", "Layers", "Sheets", "Spare", "Together"};
    int sheets = 0, spares = 0;
    char number[3][16], layers[32], name[48];
    write_row(canvas, HEADS, true);
    for (int p = 0; p < draft->input->paper_count; p++) {
        const KitPaper *paper = &draft->input->papers[p];
        int count = paper->nest.sheet_count, spare = (count + 9) / 10; // one, or one in ten: common practice
        canvas_need(canvas, ROW_MM);
        canvas_swatch(canvas, CANVAS_LEFT_MM, canvas->y_mm, 7, 4.5, ink_of(paper->colour));
        layers_of(draft, paper, layers, sizeof layers);
        snprintf(name, sizeof name, "%s", paper->colour_name);
        snprintf(number[0], sizeof number[0], "%d", count);
        snprintf(number[1], sizeof number[1], "%d", spare);
        snprintf(number[2], sizeof number[2], "%d", count + spare);
        write_row(canvas, (const char *const[6]){name, paper->paper.id, layers, number[0], number[1], number[2]},
                  false);
        sheets += count;
        spares += spare;
    }
    canvas_line(canvas, CANVAS_LEFT_MM, canvas->y_mm - 1.2, CANVAS_LEFT_MM + canvas->width_mm, canvas->y_mm - 1.2, 0.2,
                INK_BLACK);
    snprintf(number[0], sizeof number[0], "%d", sheets);
    snprintf(number[1], sizeof number[1], "%d", spares);
    snprintf(number[2], sizeof number[2], "%d", sheets + spares);
    write_row(canvas, (const char *const[6]){"All", "", "", number[0], number[1], number[2]}, true);
}

static bool buy_tape_and_glue(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    double edge_mm = 0;
    for (int i = 0; i < draft->piece_count; i++)
        if (draft->pieces[i].layer > 0) edge_mm += path_length_mm(&draft->pieces[i].outline);
    if (draft->seam_count > 0) {
        Text tape = text_make(guide->keep);
        text_add(&tape, "Tape for the back of seams, that holds for good: ");
        guide_length_to_buy(&tape, draft->totals.seam_mm * 1.5); // once along, and short strips across
        text_add(&tape, ". Along every seam once, and short strips across it. Low-tack tape for the front, while you "
                        "join: a small roll.");
        const char *words = guide_words(&tape, err);
        if (!words) return false;
        canvas_item(&guide->canvas, NULL, words);
    }
    if (edge_mm > 0) {
        Text glue = text_make(guide->keep);
        text_add(&glue, "Glue for paper, that does not wet it through: enough for a thin line of ");
        guide_length_to_buy(&glue, edge_mm);
        text_add(&glue, ", along the edges of everything that lies on something else.");
        const char *words = guide_words(&glue, err);
        if (!words) return false;
        canvas_item(&guide->canvas, NULL, words);
    }
    return true;
}

static bool list_tools(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    Canvas *canvas = &guide->canvas;
    Text text = text_make(guide->keep);
    text_add(&text, "A cutter with a mat for ");
    for (int p = 0, said = 0; p < draft->input->paper_count; p++) {
        bool is_new = true;
        for (int k = 0; k < p; k++)
            is_new = is_new && strcmp(draft->input->papers[k].paper.id, draft->input->papers[p].paper.id) != 0;
        if (is_new) text_printf(&text, "%s%s", said++ ? " and " : "", draft->input->papers[p].paper.id);
    }
    text_printf(&text, " paper, a fresh blade%s%s.", draft_uses(draft, MARK_SCORE) ? ", a score tool" : "",
                draft_uses(draft, MARK_PEN) ? ", a pen" : "");
    const char *words = guide_words(&text, err);
    if (!words) return false;
    canvas_item(canvas, NULL, words);
    canvas_item(canvas, NULL, "A pencil, a tape measure, a flat lifter for small parts, a few heavy books.");
    Text room = text_make(guide->keep);
    text_printf(&room,
                "An envelope or a large bag for each layer, %d in all; labels for them are at the end of this guide.",
                draft->input->stack->layer_count);
    words = guide_words(&room, err);
    if (!words) return false;
    canvas_item(canvas, NULL, words);
    Text table = text_make(guide->keep);
    text_add(&table, "A clean flat place, a hand wider than ");
    guide_tape_length(&table, draft->input->stack->width_mm);
    text_add(&table, " by ");
    guide_tape_length(&table, draft->input->stack->height_mm);
    text_add(&table, ".");
    words = guide_words(&table, err);
    if (words) canvas_item(canvas, NULL, words);
    return words != NULL;
}

static bool tell_time(Guide *guide, Error *err)
{
    const DraftTotals *t = &guide->draft->totals;
    Text text = text_make(guide->keep);
    text_add(&text, "Cutting takes about ");
    guide_time(&text, t->cutting_minutes);
    text_add(&text, ": ");
    text_number(&text, RATE_SHEET_MIN, 1);
    text_add(&text, " min to load and empty a sheet, then the blade at ");
    text_number(&text, RATE_CUT_MM_S, 0);
    text_add(&text, " mm a second, lines at ");
    text_number(&text, RATE_SCORE_MM_S, 0);
    text_add(&text, " mm a second. Putting together takes about ");
    guide_time(&text, t->assembly_minutes);
    text_add(&text, ": ");
    text_number(&text, RATE_PIECE_MIN, 1);
    text_add(&text, " min a piece and ");
    text_number(&text, RATE_SEAM_MIN, 1);
    text_add(&text, " min a seam. These rates are common practice: after the first sheets you know your own. Good "
                    "places to stop are named about every two hours.");
    const char *words = guide_words(&text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

bool guide_to_buy(Guide *guide, Error *err)
{
    Canvas *canvas = &guide->canvas;
    canvas_page(canvas, "What to buy", "What to buy", 0);
    canvas_head(canvas, "Paper");
    write_papers(canvas, guide->draft);
    canvas_paragraph(canvas, "One spare sheet of each colour, or one for every ten. Take the colours to the shop by "
                             "the key plan; a paper that is near will do, when all of one layer is cut from it.");
    canvas_head(canvas, guide->draft->seam_count > 0 ? "Tape and glue" : "Glue");
    if (!buy_tape_and_glue(guide, err)) return false;
    canvas_head(canvas, "Tools");
    if (!list_tools(guide, err)) return false;
    canvas_head(canvas, "Time");
    return tell_time(guide, err);
}

static bool tell_names(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    Text text = text_make(guide->keep);
    text_printf(&text, "Every piece has a name: a letter for its layer and a number. Layer A is the bottom, %s the top",
                draft->layers[draft->input->stack->layer_count - 1].id);
    text_add(&text, ". Letters that look like a one or a nought are left out. On paper a 6 or a 9 has a line below "
                    "it, so that it is not read upside down.");
    const char *words = guide_words(&text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

bool guide_to_read(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    Canvas *canvas = &guide->canvas;
    canvas_page(canvas, "How to read it, how to join", "How to read it, how to join", 0);
    canvas_head(canvas, "Names");
    if (!tell_names(guide, err)) return false;
    canvas_head(canvas, "Drawings");
    canvas_paragraph(
        canvas,
        "From the front, a layer has the colour of its paper, and what lies below it is pale: that is where it goes. "
        "From behind, the drawing is mirrored and the paper white: it looks like the pieces face down on the table "
        "before you.");
    if (draft->seam_count > 0) map_seam_key(canvas);
    if (draft_uses(draft, MARK_SCORE) || draft_uses(draft, MARK_PEN) || draft_uses(draft, MARK_CUT))
        canvas_paragraph(canvas, "Lines on a piece show where the next layer goes. Its edge comes to lie 1.5 to 2 mm "
                                 "outside the line, all round: when no line shows any more, it lies right.");
    if (draft->input->stack->pen_stroke_count > 0)
        canvas_paragraph(canvas, "Some details are too small to cut: they are drawn by pen and stay in sight.");
    if (draft->seam_count > 0) {
        canvas_head(canvas, "How pieces are joined");
        canvas_item(canvas, "1",
                    "Lay the two pieces face up, edge to edge, and hold them with a few short strips of low-tack tape "
                    "across the front.");
        canvas_item(canvas, "2", "Turn them over. The edges touch all along and do not overlap.");
        canvas_item(canvas, "3",
                    "Put tape along the whole seam, then short strips across it, a hand apart. Press it down.");
        canvas_item(canvas, "4", "Turn back and take the low-tack tape off, slowly and flat along the paper.");
    }
    canvas_head(canvas, "Care");
    canvas_paragraph(canvas, "Blades cut: lift parts with a tool, not with fingers, and keep the blade's cap on. Hot "
                             "glue burns, spray adhesive wants fresh air. The instructions of your tools and "
                             "adhesives come before this guide. Small parts are not for small children.");
    return true;
}

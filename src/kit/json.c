// json.c - see json.h. Keys come in the order of docs/kit-format.md.
#include "kit/json.h"

#include "base/write_json.h"
#include "kit/board.h"
#include "kit/path_text.h"
#include "kit/print_sheet.h"
#include "kit/section_parts.h"
#include "kit/sheet_files.h"
#include "paper/stock.h"

typedef struct Writer {
    JsonWriter json;
    const Draft *draft;
    Arena *keep;
    bool failed;
} Writer;

static void key_path(Writer *w, const char *key, const Path *path)
{
    Text text = text_make(w->keep);
    path_add(&text, path, NULL);
    w->failed = w->failed || text.failed;
    write_json_key_string(&w->json, key, text.failed || !text.bytes ? "" : text.bytes);
}

static void key_numbers(Writer *w, const char *key, const double *values, int count, int decimals)
{
    write_json_key(&w->json, key);
    write_json_list_inline(&w->json);
    for (int i = 0; i < count; i++) write_json_number(&w->json, values[i], decimals);
    write_json_end(&w->json);
}

static void key_list(Writer *w, const char *key)
{
    write_json_key(&w->json, key);
    write_json_list(&w->json);
}

static void key_colour(Writer *w, Srgb8 colour)
{
    char hex[8];
    colour_hex(colour, hex);
    write_json_key_string(&w->json, "colour", hex);
}

static void key_null(Writer *w, const char *key)
{
    write_json_key(&w->json, key);
    write_json_null(&w->json);
}

static const char *kind_word(MarkKind kind)
{
    switch (kind) {
    case MARK_PLACEMENT: return "placement";
    case MARK_LABEL: return "label";
    case MARK_MATCH: return "match";
    case MARK_DRAWN: return "drawn";
    }
    return "";
}

static void write_head(Writer *w)
{
    const Stack *stack = w->draft->input->stack;
    write_json_key_string(&w->json, "format", "papermason-kit");
    write_json_key_number(&w->json, "version", KIT_VERSION, 0);
    write_json_key_string(&w->json, "made_by", "papermason " PM_VERSION);
    write_json_key_string(&w->json, "name", w->draft->input->name);
    if (w->draft->input->recut_of) write_json_key_string(&w->json, "recut_of", w->draft->input->recut_of);
    write_json_key(&w->json, "finished_mm");
    write_json_object(&w->json);
    write_json_key_number(&w->json, "width", stack->width_mm, 3);
    write_json_key_number(&w->json, "height", stack->height_mm, 3);
    write_json_end(&w->json);
    write_json_key_number(&w->json, "border_mm", stack->border_mm, 3);
    if (w->draft->input->foam) {
        write_json_key(&w->json, "foam");
        write_json_object(&w->json);
        write_json_key_number(&w->json, "square_mm", FOAM_SQUARE_MM, 3);
        write_json_key_number(&w->json, "height_mm", STACK_FOAM_MM, 3);
        write_json_end(&w->json);
    }
    write_json_key_string(&w->json, "sheets_for", kit_for_word(w->draft->input->options.sheets_for));
    const KitOptions *options = &w->draft->input->options;
    if (options->cut_from_back) write_json_key_string(&w->json, "cut_from", "back");
    if (options->formats & KIT_HPGL) {
        write_json_key(&w->json, "knife_mm");
        write_json_object(&w->json);
        write_json_key_number(&w->json, "overcut", options->overcut_mm, 3);
        write_json_key_number(&w->json, "blade_offset", options->blade_offset_mm, 3);
        write_json_end(&w->json);
    }
}

static void key_bool(Writer *w, const char *key, bool value)
{
    write_json_key(&w->json, key);
    write_json_bool(&w->json, value);
}

static void key_number_or_null(Writer *w, const char *key, bool is_number, double value, int decimals)
{
    if (is_number) write_json_key_number(&w->json, key, value, decimals);
    else key_null(w, key);
}

static const char *direction_word(PaperDirection direction)
{
    switch (direction) {
    case PAPER_PLAIN: return "plain";
    case PAPER_GRAINED: return "grained";
    case PAPER_TEXTURED: return "textured";
    }
    return "";
}

static void key_lines(Writer *w, const char *key, bool score, bool pen)
{
    write_json_key(&w->json, key);
    write_json_list_inline(&w->json);
    if (score) write_json_string(&w->json, mark_line_word(MARK_SCORE));
    if (pen) write_json_string(&w->json, mark_line_word(MARK_PEN));
    write_json_end(&w->json);
}

static void write_cutter(Writer *w)
{
    const Cutter *cutter = w->draft->input->cutter;
    if (!cutter) {
        key_null(w, "cutter");
        return;
    }
    write_json_key(&w->json, "cutter");
    write_json_object(&w->json);
    write_json_key_string(&w->json, "name", cutter->name);
    write_json_key(&w->json, "mat_mm");
    write_json_list_inline(&w->json);
    write_json_number(&w->json, cutter->mat_mm[0], 3);
    if (cutter->is_roll) write_json_null(&w->json);
    else write_json_number(&w->json, cutter->mat_mm[1], 3);
    write_json_end(&w->json);
    key_numbers(w, "loss_mm", cutter->loss_mm, 4, 3);
    key_lines(w, "tools", cutter->score, cutter->pen);
    write_json_end(&w->json);
}

static void write_pack(Writer *w, const Paper *paper)
{
    if (paper->pack_count == 0) {
        key_null(w, "pack");
        return;
    }
    write_json_key(&w->json, "pack");
    write_json_object(&w->json);
    write_json_key_number(&w->json, "count", paper->pack_count, 0);
    key_number_or_null(w, "price", paper->pack_price > 0.0, paper->pack_price, 4);
    write_json_end(&w->json);
}

static void write_to_buy(Writer *w, const KitPaper *paper)
{
    StockOrder order = kit_order(paper);
    if (paper->at_hand) key_bool(w, "at_hand", true);
    write_json_key(&w->json, "to_buy");
    write_json_object(&w->json);
    write_json_key_number(&w->json, "spares", order.spares, 0);
    write_json_key_number(&w->json, "sheets", order.sheets, 0);
    key_number_or_null(w, "boards", order.boards > 0, order.boards, 0);
    key_number_or_null(w, "packs", order.packs > 0, order.packs, 0);
    key_number_or_null(w, "cost", order.has_cost, order.cost, 2);
    write_json_end(&w->json);
}

static void write_properties(Writer *w, const Paper *paper)
{
    double price;
    bool has_price = stock_sheet_price(paper, &price);
    write_json_key_string(&w->json, "direction", direction_word(paper->direction));
    key_bool(w, "white_core", paper->white_core);
    key_bool(w, "one_faced", paper->one_faced);
    key_lines(w, "takes", !paper->no_score, !paper->no_pen);
    key_number_or_null(w, "gsm", paper->gsm > 0.0, paper->gsm, 1);
    if (paper->board_mm[0] > 0.0) key_numbers(w, "board_mm", paper->board_mm, 2, 3);
    else key_null(w, "board_mm");
    write_pack(w, paper);
    key_number_or_null(w, "price", has_price, price, 4);
}

static void write_papers(Writer *w)
{
    key_list(w, "papers");
    for (int i = 0; i < w->draft->input->paper_count; i++) {
        const KitPaper *paper = &w->draft->input->papers[i];
        double size[2] = {paper->paper.width_mm, paper->paper.height_mm}, usable[4];
        paper_usable(&paper->paper, usable);
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", paper->id);
        write_json_key_string(&w->json, "size", paper->paper.id);
        write_json_key_string(&w->json, "name", paper->colour_name);
        key_numbers(w, "size_mm", size, 2, 3);
        key_numbers(w, "usable_mm", usable, 4, 3);
        key_colour(w, paper->colour);
        if (paper->is_any) key_bool(w, "any", true);
        write_properties(w, &paper->paper);
        write_json_key_number(&w->json, "gap_mm", paper->gap_mm, 3);
        write_to_buy(w, paper);
        if (paper->paper.is_offcut) key_bool(w, "offcut", true);
        char print[240];
        if (print_name(w->draft->input, i, print)) write_json_key_string(&w->json, "print", print);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static bool paper_has_layer(const KitPaper *paper, int layer)
{
    for (int i = 0; i < paper->piece_count; i++)
        if (paper->layers[i] == layer) return true;
    return false;
}

static void write_layers(Writer *w)
{
    const KitInput *input = w->draft->input;
    key_list(w, "layers");
    for (int l = 0; l < input->stack->layer_count; l++) {
        const DraftLayer *layer = &w->draft->layers[l];
        const SeparationColour *colour = &input->stack->colours[input->stack->layers[l].colour];
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", layer->id);
        write_json_key_string(&w->json, "name", colour->name);
        key_colour(w, colour->colour);
        write_json_key(&w->json, "base");
        write_json_bool(&w->json, l == 0);
        write_json_key_number(&w->json, "order", l, 0);
        if (input->stack->layers[l].raised) key_bool(w, "raised", true);
        write_json_key(&w->json, "papers");
        write_json_list_inline(&w->json);
        for (int p = 0; p < input->paper_count; p++)
            if (paper_has_layer(&input->papers[p], l)) write_json_string(&w->json, input->papers[p].id);
        write_json_end(&w->json);
        key_path(w, "outline", &layer->outline);
        write_json_key_number(&w->json, "area_mm2", layer->area_mm2, 1);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void write_marks(Writer *w, const DraftPiece *piece)
{
    const Seam *seams = w->draft->input->layer_pieces[piece->layer].seams;
    key_list(w, "marks");
    for (int m = 0; m < piece->mark_count; m++) {
        write_json_object(&w->json);
        write_json_key_string(&w->json, "kind", kind_word(piece->marks[m]->kind));
        if (piece->marks[m]->kind == MARK_MATCH) write_json_key_string(&w->json, "seam", seams[piece->marks[m]->seam].id);
        write_json_key_string(&w->json, "line", mark_line_word(piece->marks[m]->line));
        key_path(w, "path", &piece->marks[m]->path);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void write_foam(Writer *w, const FoamPiece *foam)
{
    write_json_key(&w->json, "foam_mm");
    write_json_list_inline(&w->json);
    for (int i = 0; i < foam->count; i++) {
        write_json_list_inline(&w->json);
        write_json_number(&w->json, foam->squares[i].x / UM_PER_MM, 3);
        write_json_number(&w->json, foam->squares[i].y / UM_PER_MM, 3);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void write_pieces(Writer *w)
{
    key_list(w, "pieces");
    for (int i = 0; i < w->draft->piece_count + w->draft->strip_count; i++) {
        const DraftPiece *piece = &w->draft->pieces[i];
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", piece->source->id);
        write_json_key_string(&w->json, "kind", piece->strip ? "strip" : "face");
        write_json_key_string(&w->json, "layer", w->draft->layers[piece->layer].id);
        if (piece->strip) write_json_key_string(&w->json, "seam", w->draft->seams[piece->strip->seam].source->id);
        if (piece->sheet >= 0) write_json_key_string(&w->json, "sheet", w->draft->sheets[piece->sheet].id);
        else key_null(w, "sheet");
        key_path(w, "outline", &piece->outline);
        if (piece->source->has_laps) key_path(w, "face", &piece->face);
        if (piece->sheet >= 0) key_numbers(w, "to_sheet", piece->to_sheet, 6, 9);
        if (piece->foam) write_foam(w, piece->foam);
        write_marks(w, piece);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void write_seams(Writer *w)
{
    key_list(w, "seams");
    for (int i = 0; i < w->draft->seam_count; i++) {
        const DraftSeam *seam = &w->draft->seams[i];
        const DraftPiece *pieces = &w->draft->pieces[w->draft->layers[seam->layer].first_piece];
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", seam->source->id);
        write_json_key_string(&w->json, "layer", w->draft->layers[seam->layer].id);
        write_json_key(&w->json, "pieces");
        write_json_list_inline(&w->json);
        for (int k = 0; k < 2; k++) write_json_string(&w->json, pieces[seam->source->pieces[k]].source->id);
        write_json_end(&w->json);
        const char *letter = draft_seam_letter(w->draft, i);
        if (letter) write_json_key_string(&w->json, "letter", letter);
        else key_null(w, "letter");
        write_json_key_string(&w->json, "form", seam_form_word(seam->source->form));
        if (seam->source->form == SEAM_LAP) write_json_key_string(&w->json, "lap_of", pieces[seam->source->lap_of].source->id);
        key_path(w, "path", &seam->path);
        write_json_key_number(&w->json, "length_mm", seam->source->length_mm, 2);
        write_json_key_number(&w->json, "visible_mm", seam->source->visible_mm, 2);
        if (seam->source->on_section) key_bool(w, "on_section", true);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void key_pieces(Writer *w, const char *key, const int *pieces, int count)
{
    write_json_key(&w->json, key);
    write_json_list_inline(&w->json);
    for (int i = 0; i < count; i++) write_json_string(&w->json, w->draft->pieces[pieces[i]].source->id);
    write_json_end(&w->json);
}

static void write_sections(Writer *w)
{
    static const char *const KEYS[2] = {"upright_mm", "level_mm"};
    const SectionParts *parts = w->draft->sections;
    const SectionPlan *plan = w->draft->input->sections;
    if (!parts) return;
    write_json_key(&w->json, "sections");
    write_json_object(&w->json);
    key_numbers(w, "asked_mm", plan->asked_mm, 2, 3);
    for (int axis = 0; axis < 2; axis++) {
        write_json_key(&w->json, KEYS[axis]);
        write_json_list_inline(&w->json);
        for (int i = 0; i < plan->count[axis]; i++) write_json_number(&w->json, plan->at[axis][i] / UM_PER_MM, 3);
        write_json_end(&w->json);
    }
    key_list(w, "parts");
    for (int i = 0; i < parts->count; i++) {
        const SectionItem *item = &parts->items[i];
        const double box[4] = {item->box.min.x / UM_PER_MM, item->box.min.y / UM_PER_MM, box_width_mm(item->box), box_height_mm(item->box)};
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", item->id);
        key_numbers(w, "box_mm", box, 4, 3);
        key_pieces(w, "pieces", item->pieces, item->piece_count);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
    key_pieces(w, "bridges", parts->bridges, parts->bridge_count);
    write_json_end(&w->json);
}

static void key_flat(Writer *w, const char *key, const Rings *rings)
{
    Text text = text_make(w->keep);
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i <= rings->items[r].count; i++) {
            Point p = rings->items[r].points[i < rings->items[r].count ? i : 0];
            text_add(&text, i > 0 ? " L" : r > 0 ? " M" : "M");
            text_number(&text, p.x / UM_PER_MM, 3);
            text_add(&text, " ");
            text_number(&text, p.y / UM_PER_MM, 3);
            if (i == rings->items[r].count) text_add(&text, " Z");
        }
    w->failed = w->failed || text.failed;
    write_json_key_string(&w->json, key, text.failed || !text.bytes ? "" : text.bytes);
}

static void write_board(Writer *w)
{
    const Board *board = w->draft->board;
    if (!board) return;
    write_json_key(&w->json, "board");
    write_json_object(&w->json);
    write_json_key_string(&w->json, "file", "backing-board.pdf");
    key_numbers(w, "size_mm", board->size_mm, 2, 3);
    write_json_key_number(&w->json, "inset_mm", BOARD_INSET_MM, 3);
    key_flat(w, "outline", &board->outline);
    key_list(w, "joints");
    for (int i = 0; i < board->joint_count; i++) {
        Point a = board->joints[i].from, b = board->joints[i].to;
        const double ends[4] = {a.x / UM_PER_MM, a.y / UM_PER_MM, b.x / UM_PER_MM, b.y / UM_PER_MM};
        write_json_list_inline(&w->json);
        for (int k = 0; k < 4; k++) write_json_number(&w->json, ends[k], 3);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
    key_list(w, "panels");
    for (int i = 0; i < board->panel_count; i++) {
        Box box = board->panels[i].box;
        const double sides[4] = {box.min.x / UM_PER_MM, box.min.y / UM_PER_MM, box_width_mm(box), box_height_mm(box)};
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", board->panels[i].id);
        key_numbers(w, "box_mm", sides, 4, 3);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
    write_json_key_number(&w->json, "along_seams_mm", board->along_mm, 2);
    write_json_end(&w->json);
}

static void write_notes(Writer *w, const DraftSheet *sheet)
{
    key_list(w, "notes");
    for (int n = 0; n < sheet->note_count; n++) {
        write_json_object(&w->json);
        write_json_key_string(&w->json, "text", sheet->notes[n].text);
        write_json_key_string(&w->json, "line", mark_line_word(sheet->notes[n].line));
        key_path(w, "path", &sheet->notes[n].path);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

// The files of a sheet that has one for each line kind.
static void write_line_files(Writer *w, int sheet)
{
    write_json_key(&w->json, "files");
    write_json_object(&w->json);
    for (int f = 0; f < w->draft->file_count; f++)
        if (w->draft->files[f].first_sheet == sheet)
            write_json_key_string(&w->json, mark_line_word(w->draft->files[f].line), w->draft->files[f].name);
    write_json_end(&w->json);
}

// The sheet in other formats.
static void write_copies(Writer *w, const DraftSheet *sheet)
{
    char name[240];
    unsigned formats = w->draft->input->options.formats;
    if (!(formats & (KIT_DXF | KIT_HPGL))) return;
    key_list(w, "copies");
    if (formats & KIT_DXF) write_json_string(&w->json, (sheet_copy_name(w->draft, sheet, "dxf", name), name));
    if (formats & KIT_HPGL) write_json_string(&w->json, (sheet_copy_name(w->draft, sheet, "plt", name), name));
    write_json_end(&w->json);
}

static void write_sheets(Writer *w)
{
    KitFor sheets_for = w->draft->input->options.sheets_for;
    key_list(w, "sheets");
    for (int s = 0; s < w->draft->sheet_count; s++) {
        const DraftSheet *sheet = &w->draft->sheets[s];
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", sheet->id);
        write_json_key_string(&w->json, "paper", w->draft->input->papers[sheet->paper].id);
        write_json_key_string(&w->json, "file", sheet->file);
        if (sheets_for == KIT_FOR_LINE) write_line_files(w, s);
        if (sheets_for == KIT_FOR_LAYER) key_numbers(w, "offset_mm", sheet->offset_mm, 2, 3);
        write_copies(w, sheet);
        key_numbers(w, "box_mm", sheet->box_mm, 4, 3);
        if (sheet->has_rest) key_numbers(w, "rest_mm", sheet->rest_mm, 4, 3);
        write_notes(w, sheet);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void add_findings(Writer *w, const Findings *findings)
{
    for (size_t i = 0; i < findings->count; i++) {
        const double at[2] = {findings->items[i].x_mm, findings->items[i].y_mm};
        write_json_object(&w->json);
        write_json_key_string(&w->json, "kind", findings->items[i].kind);
        write_json_key_string(&w->json, "text", findings->items[i].text);
        key_numbers(w, "at_mm", at, 2, 3);
        write_json_end(&w->json);
    }
}

static void write_findings(Writer *w)
{
    const KitInput *input = w->draft->input;
    key_list(w, "findings");
    add_findings(w, &input->stack->findings);
    for (int l = 0; l < input->stack->layer_count; l++) {
        add_findings(w, &input->layer_pieces[l].findings);
        add_findings(w, &input->layer_marks[l].findings);
    }
    write_json_end(&w->json);
}

static void write_rates(Writer *w)
{
    write_json_key(&w->json, "rates");
    write_json_object(&w->json);
    write_json_key_number(&w->json, "cut_mm_s", RATE_CUT_MM_S, 3);
    write_json_key_number(&w->json, "score_mm_s", RATE_SCORE_MM_S, 3);
    write_json_key_number(&w->json, "lift_s", RATE_LIFT_S, 3);
    write_json_key_number(&w->json, "sheet_min", RATE_SHEET_MIN, 3);
    write_json_key_number(&w->json, "seam_min", RATE_SEAM_MIN, 3);
    write_json_key_number(&w->json, "piece_min", RATE_PIECE_MIN, 3);
    write_json_key_string(&w->json, "source", "common practice, changeable");
    write_json_end(&w->json);
}

static void write_totals(Writer *w)
{
    const DraftTotals *t = &w->draft->totals;
    write_json_key(&w->json, "totals");
    write_json_object(&w->json);
    write_json_key_number(&w->json, "sheets", t->sheets, 0);
    write_json_key_number(&w->json, "pieces", t->pieces, 0);
    write_json_key_number(&w->json, "strips", t->strips, 0);
    if (w->draft->input->foam) write_json_key_number(&w->json, "foam_squares", t->foam_squares, 0);
    write_json_key_number(&w->json, "seam_mm", t->seam_mm, 1);
    write_json_key_number(&w->json, "visible_seam_mm", t->visible_seam_mm, 1);
    write_json_key_number(&w->json, "cut_mm", t->cut_mm, 1);
    write_json_key_number(&w->json, "score_mm", t->score_mm, 1);
    write_json_key_number(&w->json, "pen_mm", t->pen_mm, 1);
    write_json_key_number(&w->json, "waste_percent", t->waste_percent, 1);
    write_json_key_number(&w->json, "cutting_minutes", t->cutting_minutes, 1);
    write_json_key_number(&w->json, "assembly_minutes", t->assembly_minutes, 1);
    key_number_or_null(w, "cost", t->has_cost, t->cost, 2);
    write_json_end(&w->json);
}

bool json_kit(const Draft *draft, Arena *keep, FileBytes *out, Error *err)
{
    Text text = text_make(keep);
    Writer w = {write_json_make(&text), draft, keep, false};
    write_json_object(&w.json);
    write_head(&w);
    write_cutter(&w);
    write_papers(&w);
    write_layers(&w);
    write_pieces(&w);
    write_seams(&w);
    write_sections(&w);
    write_board(&w);
    write_sheets(&w);
    write_findings(&w);
    write_rates(&w);
    write_totals(&w);
    write_json_end(&w.json);
    text_add(&text, "\n");
    if (w.failed) return error_memory(err);
    if (!text_is_whole(&text, err)) return false;
    *out = (FileBytes){"kit.json", text.bytes, text.size_bytes};
    return true;
}

// readback.c - kit.json -> ReadKit; see readback.h.
#include "proof/readback.h"

#include "proof/read_extras.h"
#include "proof/read_json.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MAX_SHIFT_MM 1e6 // of a piece to its sheet: the finished size and some sheets fit in

static int by_name(const void *a, const void *b)
{
    const ReadName *p = a, *q = b;
    int order = strcmp(p->name, q->name);
    return order ? order : (p->index > q->index) - (p->index < q->index);
}

void read_names_sort(ReadNames *names)
{
    if (names->count > 1) qsort(names->items, (size_t)names->count, sizeof *names->items, by_name);
}

int read_names_find(const ReadNames *names, const char *name)
{
    int low = 0, high = names->count;
    while (low < high) {
        int middle = low + (high - low) / 2;
        if (strcmp(names->items[middle].name, name) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low < names->count && strcmp(names->items[low].name, name) == 0 ? names->items[low].index : -1;
}

static void read_pack(Reader *r, const json_t *item, ReadPaper *p)
{
    const json_t *pack = value_get(r, item, "pack");
    p->pack_price = -1.0;
    if (!pack || json_is_null(pack)) return;
    if (!json_is_object(pack)) {
        value_bad(r, "pack", "an object or null");
        return;
    }
    p->pack_count = value_count(r, pack, "count");
    if (p->pack_count < 1.0) value_bad(r, "pack.count", "at least 1");
    p->pack_price = value_price(r, pack, "price");
}

static void read_properties(Reader *r, const json_t *item, ReadPaper *p)
{
    static const char *const WORDS[] = {"plain", "grained", "textured"};
    const char *direction = value_text(r, item, "direction");
    int known = 0;
    while (known < 3 && strcmp(direction, WORDS[known]) != 0) known++;
    if (known == 3 && direction[0]) value_bad(r, "direction", "plain, grained or textured");
    p->direction = known < 3 ? (ReadDirection)known : READ_PLAIN;
    value_flag(r, item, "white_core");
    value_flag(r, item, "one_faced");
    value_tools(r, item, "takes", p->takes);
    const json_t *gsm = value_get(r, item, "gsm"), *board = value_get(r, item, "board_mm");
    if (gsm && !json_is_null(gsm)) value_number_in(r, gsm, "gsm", 1.0, 1e5);
    if (board && !json_is_null(board)) value_numbers(r, item, "board_mm", 2, 1e-3, READ_MAX_MM, p->board);
    read_pack(r, item, p);
    if (json_object_get(item, "at_hand")) p->at_hand = value_flag(r, item, "at_hand");
    if (json_object_get(item, "offcut")) p->is_offcut = value_flag(r, item, "offcut");
    const json_t *buy = value_object(r, item, "to_buy");
    if (!buy) return;
    p->to_buy.spares = value_count(r, buy, "spares");
    p->to_buy.sheets = value_count(r, buy, "sheets");
    p->to_buy.boards = value_price(r, buy, "boards");
    p->to_buy.packs = value_price(r, buy, "packs");
    p->to_buy.cost = value_price(r, buy, "cost");
}

// Kits of earlier writers tell nothing of cutters and of papers' properties; half of it is a fault.
static void read_cutter(Reader *r, const json_t *root)
{
    ReadCutter *cutter = &r->kit->cutter;
    const json_t *found = json_object_get(root, "cutter"), *papers = json_object_get(root, "papers");
    for (size_t i = 0; i < json_array_size(papers); i++)
        r->kit->tells_properties = r->kit->tells_properties || json_object_get(json_array_get(papers, i), "direction");
    r->kit->tells_properties = r->kit->tells_properties || found;
    if (!r->kit->tells_properties || !value_get(r, root, "cutter") || json_is_null(found)) return;
    if (!json_is_object(found)) {
        value_bad(r, "cutter", "an object or null");
        return;
    }
    snprintf(r->place, sizeof r->place, "cutter");
    cutter->is_known = true;
    value_text(r, found, "name");
    const json_t *mat = json_object_get(found, "mat_mm");
    cutter->is_roll = json_array_size(mat) == 2 && json_is_null(json_array_get(mat, 1));
    if (cutter->is_roll) cutter->mat[0] = value_number_in(r, json_array_get(mat, 0), "mat_mm", 1e-3, READ_MAX_MM);
    else value_numbers(r, found, "mat_mm", 2, 1e-3, READ_MAX_MM, cutter->mat);
    value_numbers(r, found, "loss_mm", 4, 0.0, READ_MAX_MM, cutter->loss);
    value_tools(r, found, "tools", cutter->tools);
    r->place[0] = '\0';
}

static void read_papers(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    if (!value_begin_list(r, root, "papers", READ_MAX_ITEMS, sizeof *kit->papers, &list, (void **)&kit->papers,
                    &kit->paper_count, &r->papers))
        return;
    for (int i = 0; i < kit->paper_count && !r->failed; i++) {
        const json_t *item = value_item(r, list, i, "papers");
        if (!item) continue;
        ReadPaper *p = &kit->papers[i];
        p->id = value_id(r, item, "id");
        value_numbers(r, item, "size_mm", 2, 1e-3, READ_MAX_MM, p->size);
        value_numbers(r, item, "usable_mm", 4, 0.0, READ_MAX_MM, p->usable);
        p->colour = value_colour(r, item, "colour");
        p->price = value_price(r, item, "price");
        p->is_any = json_object_get(item, "any") && value_flag(r, item, "any");
        p->gap_mm = value_number(r, item, "gap_mm", 0.0, 100.0);
        if (kit->tells_properties) read_properties(r, item, p);
        p->print = json_object_get(item, "print") ? value_text(r, item, "print") : NULL;
        value_add_name(&r->papers, p->id, i);
    }
    value_index_names(r, &r->papers, "paper");
}

static void read_layers(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    if (!value_begin_list(r, root, "layers", READ_MAX_LAYERS, sizeof *kit->layers, &list, (void **)&kit->layers,
                    &kit->layer_count, &r->layers))
        return;
    for (int i = 0; i < kit->layer_count && !r->failed; i++) {
        const json_t *item = value_item(r, list, i, "layers"), *base = NULL;
        if (!item) continue;
        ReadLayer *l = &kit->layers[i];
        l->id = value_id(r, item, "id");
        value_text(r, item, "name");
        l->colour = value_colour(r, item, "colour");
        base = value_get(r, item, "base");
        if (base && !json_is_boolean(base)) value_bad(r, "base", "true or false");
        l->base = json_is_true(base);
        l->raised = json_object_get(item, "raised") && value_flag(r, item, "raised");
        double order = value_number(r, item, "order", 0.0, READ_MAX_LAYERS);
        if (order != floor(order)) value_bad(r, "order", "a whole number");
        l->order = (int)order;
        l->outline = value_path(r, item, "outline", READ_ENDS_CLOSED);
        l->area_mm2 = value_number(r, item, "area_mm2", 0.0, 1e12);
        const json_t *papers = value_list(r, item, "papers", READ_MAX_ITEMS, &l->paper_count);
        l->papers = value_room(r, (size_t)l->paper_count, sizeof *l->papers);
        for (int k = 0; k < l->paper_count && !r->failed; k++) {
            const json_t *id = json_array_get(papers, (size_t)k);
            if (!json_is_string(id))
                value_bad(r, "papers", "a list of paper ids");
            else
                l->papers[k] = value_reference(r, &r->papers, l->id, "paper", json_string_value(id));
        }
        value_add_name(&r->layers, l->id, i);
    }
    value_index_names(r, &r->layers, "layer");
}

static void read_notes(Reader *r, const json_t *item, ReadSheet *sheet)
{
    char place[80];
    snprintf(place, sizeof place, "%.40s.notes", r->place);
    const json_t *list = value_list(r, item, "notes", READ_MAX_ITEMS, &sheet->note_count);
    sheet->notes = value_room(r, (size_t)sheet->note_count, sizeof *sheet->notes);
    for (int k = 0; k < sheet->note_count && !r->failed; k++) {
        const json_t *note = value_item(r, list, k, place);
        if (!note) continue;
        value_text(r, note, "text");
        sheet->notes[k].line = value_line(r, note);
        sheet->notes[k].path = value_path(r, note, "path", READ_ENDS_ANY);
    }
}

// "file" holds the cuts; the other lines too, unless the sheets have a file for each line kind.
static void read_files(Reader *r, const json_t *item, ReadSheet *s)
{
    const char *file = value_text(r, item, "file");
    for (int line = 0; line < READ_LINES; line++) s->files[line] = file;
    if (r->kit->sheets_for == READ_FOR_LAYER) value_numbers(r, item, "offset_mm", 2, 0.0, READ_MAX_MM, s->offset);
    if (r->kit->sheets_for != READ_FOR_LINE) return;
    const json_t *files = value_object(r, item, "files");
    for (int line = 0; line < READ_LINES && files; line++) {
        const char *key = read_line_name((ReadLine)line);
        s->files[line] = json_object_get(files, key) ? value_text(r, files, key) : NULL;
    }
    if (files && (!s->files[READ_CUT] || strcmp(s->files[READ_CUT], file) != 0)) value_bad(r, "file", "files.cut");
    s->files[READ_CUT] = file;
}

static void read_copies(Reader *r, const json_t *item, ReadSheet *s)
{
    if (!json_object_get(item, "copies")) return;
    const json_t *list = value_list(r, item, "copies", READ_MAX_COPIES, &s->copy_count);
    s->copies = value_room(r, (size_t)s->copy_count, sizeof *s->copies);
    for (int i = 0; i < s->copy_count && s->copies; i++) {
        const json_t *name = json_array_get(list, (size_t)i);
        if (!json_is_string(name)) value_bad(r, "copies", "a list of file names");
        s->copies[i] = json_is_string(name) ? json_string_value(name) : "";
    }
    if (!s->copies) s->copy_count = 0;
}

static void read_sheets(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    if (!value_begin_list(r, root, "sheets", READ_MAX_ITEMS, sizeof *kit->sheets, &list, (void **)&kit->sheets,
                    &kit->sheet_count, &r->sheets))
        return;
    for (int i = 0; i < kit->sheet_count && !r->failed; i++) {
        const json_t *item = value_item(r, list, i, "sheets");
        if (!item) continue;
        ReadSheet *s = &kit->sheets[i];
        s->id = value_id(r, item, "id");
        s->paper = value_reference(r, &r->papers, s->id, "paper", value_id(r, item, "paper"));
        value_numbers(r, item, "box_mm", 4, 0.0, READ_MAX_MM, s->box);
        s->has_rest = json_object_get(item, "rest_mm") != NULL;
        if (s->has_rest) value_numbers(r, item, "rest_mm", 4, 0.0, READ_MAX_MM, s->rest);
        read_files(r, item, s);
        read_copies(r, item, s);
        read_notes(r, item, s);
        value_add_name(&r->sheets, s->id, i);
    }
    value_index_names(r, &r->sheets, "sheet");
}

static void read_marks(Reader *r, const json_t *item, ReadPiece *piece)
{
    char place[80];
    snprintf(place, sizeof place, "%.40s.marks", r->place);
    const json_t *list = value_list(r, item, "marks", READ_MAX_ITEMS, &piece->mark_count);
    piece->marks = value_room(r, (size_t)piece->mark_count, sizeof *piece->marks);
    for (int k = 0; k < piece->mark_count && !r->failed; k++) {
        const json_t *mark = value_item(r, list, k, place);
        if (!mark) continue;
        ReadMark *m = &piece->marks[k];
        m->kind = value_text(r, mark, "kind");
        m->is_drawn = strcmp(m->kind, "drawn") == 0;
        m->is_match = strcmp(m->kind, "match") == 0;
        if (m->is_match) m->seam_id = value_id(r, mark, "seam");
        if (m->kind[0] && !m->is_drawn && !m->is_match && strcmp(m->kind, "placement") && strcmp(m->kind, "label"))
            value_bad(r, "kind", "placement, label, match or drawn");
        m->line = value_line(r, mark);
        if (m->is_drawn && m->line != READ_PEN) value_bad(r, "line", "pen, since the mark is drawn");
        m->path = value_path(r, mark, "path", READ_ENDS_ANY);
    }
}

// Where some pieces of a kit are cut once more, the others lie on no sheet.
static void read_place(Reader *r, const json_t *item, ReadPiece *p)
{
    p->sheet = -1;
    if (r->kit->recut_of && json_is_null(json_object_get(item, "sheet"))) return;
    p->sheet = value_reference(r, &r->sheets, p->id, "sheet", value_id(r, item, "sheet"));
    value_numbers(r, item, "to_sheet", 6, -MAX_SHIFT_MM, MAX_SHIFT_MM, p->to_sheet);
    for (int k = 0; k < 4; k++)
        if (fabs(p->to_sheet[k]) > 1.001) value_bad(r, "to_sheet", "a turn and a shift");
}

static void read_foam(Reader *r, const json_t *item, ReadPiece *p)
{
    const json_t *list = value_list(r, item, "foam_mm", READ_MAX_ITEMS, &p->foam_count);
    p->foam = value_room(r, (size_t)p->foam_count, sizeof *p->foam);
    if (!p->foam) p->foam_count = 0;
    for (int i = 0; i < p->foam_count; i++) {
        const json_t *place = json_array_get(list, (size_t)i);
        if (!json_is_array(place) || json_array_size(place) != 2) value_bad(r, "foam_mm", "a list of places, two numbers each");
        p->foam[i].x = value_number_in(r, json_array_get(place, 0), "foam_mm", -READ_MAX_MM, READ_MAX_MM);
        p->foam[i].y = value_number_in(r, json_array_get(place, 1), "foam_mm", -READ_MAX_MM, READ_MAX_MM);
    }
}

static void read_piece(Reader *r, const json_t *item, ReadPiece *p)
{
    p->id = value_id(r, item, "id");
    const char *kind = value_text(r, item, "kind");
    p->is_strip = strcmp(kind, "strip") == 0;
    if (!p->is_strip && strcmp(kind, "face") != 0) value_bad(r, "kind", "face or strip");
    p->layer = p->is_strip ? -1 : value_reference(r, &r->layers, p->id, "layer", value_id(r, item, "layer"));
    p->seam_id = p->is_strip && json_object_get(item, "seam") ? value_id(r, item, "seam") : NULL;
    p->seam = -1;
    read_place(r, item, p);
    p->outline = value_path(r, item, "outline", READ_ENDS_CLOSED);
    if (json_object_get(item, "foam_mm")) read_foam(r, item, p);
    p->has_own_face = !p->is_strip && json_object_get(item, "face");
    p->face = p->has_own_face ? value_path(r, item, "face", READ_ENDS_CLOSED) : p->outline;
    read_marks(r, item, p);
}

static void read_pieces(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    if (!value_begin_list(r, root, "pieces", READ_MAX_ITEMS, sizeof *kit->pieces, &list, (void **)&kit->pieces,
                    &kit->piece_count, &r->pieces))
        return;
    for (int i = 0; i < kit->piece_count && !r->failed; i++) {
        const json_t *item = value_item(r, list, i, "pieces");
        kit->pieces[i].id = "";
        if (!item) continue;
        read_piece(r, item, &kit->pieces[i]);
        value_add_name(&r->pieces, kit->pieces[i].id, i);
    }
    value_index_names(r, &r->pieces, "piece");
}

// Kits of before there were match marks have no letters.
static const char *letter_of(Reader *r, const json_t *item)
{
    const json_t *value = json_object_get(item, "letter");
    if (!value || json_is_null(value)) return NULL;
    return value_id(r, item, "letter");
}

// Marks and strips come before seams in kit.json, so their references are looked up afterwards.
static void find_seams_of_marks(Reader *r, const ReadNames *seams)
{
    for (int i = 0; i < r->kit->piece_count; i++) {
        ReadPiece *piece = &r->kit->pieces[i];
        if (piece->seam_id) piece->seam = value_reference(r, seams, piece->id, "seam", piece->seam_id);
        for (int k = 0; k < piece->mark_count; k++) {
            ReadMark *mark = &piece->marks[k];
            if (mark->is_match) mark->seam = value_reference(r, seams, piece->id, "seam", mark->seam_id);
        }
    }
}

static void read_seams(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    ReadNames names = {0};
    if (!value_begin_list(r, root, "seams", READ_MAX_ITEMS, sizeof *kit->seams, &list, (void **)&kit->seams, &kit->seam_count,
                    &names))
        return;
    for (int i = 0; i < kit->seam_count && !r->failed; i++) {
        const json_t *item = value_item(r, list, i, "seams");
        if (!item) continue;
        ReadSeam *s = &kit->seams[i];
        s->id = value_id(r, item, "id");
        s->layer = value_reference(r, &r->layers, s->id, "layer", value_id(r, item, "layer"));
        s->letter = letter_of(r, item);
        s->form = value_text(r, item, "form");
        s->lap_of = json_object_get(item, "lap_of") ? value_reference(r, &r->pieces, s->id, "piece", value_id(r, item, "lap_of")) : -1;
        s->path = value_path(r, item, "path", READ_ENDS_OPEN);
        s->length_mm = value_number(r, item, "length_mm", 0.0, 1e9);
        s->visible_mm = value_number(r, item, "visible_mm", 0.0, 1e9);
        s->on_section = json_object_get(item, "on_section") && value_flag(r, item, "on_section");
        const json_t *pieces = value_get(r, item, "pieces");
        if (pieces && (!json_is_array(pieces) || json_array_size(pieces) != 2))
            value_bad(r, "pieces", "a list of two piece ids");
        for (int k = 0; k < 2 && json_is_array(pieces); k++) {
            const json_t *id = json_array_get(pieces, (size_t)k);
            if (!json_is_string(id))
                value_bad(r, "pieces", "a list of two piece ids");
            else
                s->pieces[k] = value_reference(r, &r->pieces, s->id, "piece", json_string_value(id));
        }
        value_add_name(&names, s->id, i);
    }
    value_index_names(r, &names, "seam");
    find_seams_of_marks(r, &names);
}

static void read_findings(Reader *r, const json_t *root)
{
    int count;
    r->place[0] = '\0';
    const json_t *list = value_list(r, root, "findings", READ_MAX_ITEMS, &count);
    for (int i = 0; i < count; i++) {
        const json_t *item = value_item(r, list, i, "findings");
        double at[2];
        if (!item) continue;
        value_text(r, item, "kind");
        value_text(r, item, "text");
        value_numbers(r, item, "at_mm", 2, -READ_MAX_MM, READ_MAX_MM, at);
    }
}

static void read_rates_and_totals(Reader *r, const json_t *root)
{
    const double most = 1e12;
    ReadRates *rates = &r->kit->rates;
    ReadTotals *t = &r->kit->totals;
    r->place[0] = '\0';
    const json_t *from = value_object(r, root, "rates");
    snprintf(r->place, sizeof r->place, "rates");
    if (from) {
        rates->cut_mm_s = value_number(r, from, "cut_mm_s", 1e-3, most);
        rates->score_mm_s = value_number(r, from, "score_mm_s", 1e-3, most);
        rates->lift_s = value_number(r, from, "lift_s", 0.0, most);
        rates->sheet_min = value_number(r, from, "sheet_min", 0.0, most);
        rates->seam_min = value_number(r, from, "seam_min", 0.0, most);
        rates->piece_min = value_number(r, from, "piece_min", 0.0, most);
        value_text(r, from, "source");
    }
    r->place[0] = '\0';
    from = value_object(r, root, "totals");
    snprintf(r->place, sizeof r->place, "totals");
    if (!from) return;
    t->sheets = value_number(r, from, "sheets", 0.0, most);
    t->pieces = value_number(r, from, "pieces", 0.0, most);
    t->strips = json_object_get(from, "strips") ? value_number(r, from, "strips", 0.0, most) : -1.0;
    t->foam_squares = json_object_get(from, "foam_squares") ? value_number(r, from, "foam_squares", 0.0, most) : -1.0;
    t->seam_mm = value_number(r, from, "seam_mm", 0.0, most);
    t->visible_seam_mm = value_number(r, from, "visible_seam_mm", 0.0, most);
    t->cut_mm = value_number(r, from, "cut_mm", 0.0, most);
    t->score_mm = value_number(r, from, "score_mm", 0.0, most);
    t->pen_mm = value_number(r, from, "pen_mm", 0.0, most);
    t->waste_percent = value_number(r, from, "waste_percent", -1e6, 100.0);
    t->cutting_minutes = value_number(r, from, "cutting_minutes", 0.0, most);
    t->assembly_minutes = value_number(r, from, "assembly_minutes", 0.0, most);
    t->cost = value_price(r, from, "cost");
}

// Kits without the word have a file a sheet.
static ReadFor form_of(Reader *r, const json_t *root)
{
    static const char *const words[] = {"sheet", "piece", "layer", "line"};
    if (!json_object_get(root, "sheets_for")) return READ_FOR_SHEET;
    const char *word = value_text(r, root, "sheets_for");
    for (int i = 0; i < 4; i++)
        if (strcmp(word, words[i]) == 0) return (ReadFor)i;
    value_bad(r, "sheets_for", "sheet, piece, layer or line");
    return READ_FOR_SHEET;
}

// Kits without the word are cut from the front.
static bool is_from_back(Reader *r, const json_t *root)
{
    if (!json_object_get(root, "cut_from")) return false;
    const char *word = value_text(r, root, "cut_from");
    if (strcmp(word, "front") != 0 && strcmp(word, "back") != 0) value_bad(r, "cut_from", "front or back");
    return strcmp(word, "back") == 0;
}

static void read_head(Reader *r, const json_t *root)
{
    ReadKit *kit = r->kit;
    const char *format = value_text(r, root, "format");
    if (format[0] && strcmp(format, "papermason-kit") != 0) value_bad(r, "format", "papermason-kit");
    const json_t *version = value_get(r, root, "version");
    if (version && !(json_is_integer(version) && json_integer_value(version) == 1)) value_bad(r, "version", "1");
    value_text(r, root, "made_by");
    kit->name = value_text(r, root, "name");
    if (json_object_get(root, "recut_of")) kit->recut_of = value_text(r, root, "recut_of");
    value_number(r, root, "border_mm", 0.0, READ_MAX_MM);
    kit->sheets_for = form_of(r, root);
    kit->cut_from_back = is_from_back(r, root);
    const json_t *knife = json_object_get(root, "knife_mm") ? value_object(r, root, "knife_mm") : NULL;
    if (knife) {
        kit->overcut_mm = value_number(r, knife, "overcut", 0.0, READ_MAX_KNIFE_MM);
        kit->blade_offset_mm = value_number(r, knife, "blade_offset", 0.0, READ_MAX_KNIFE_MM);
    }
    const json_t *foam = json_object_get(root, "foam") ? value_object(r, root, "foam") : NULL;
    if (foam) {
        kit->foam_square_mm = value_number(r, foam, "square_mm", 1.0, 1000.0);
        kit->foam_height_mm = value_number(r, foam, "height_mm", 0.1, 1000.0);
    }
    const json_t *size = value_object(r, root, "finished_mm");
    snprintf(r->place, sizeof r->place, "finished_mm");
    if (size) {
        kit->width_mm = value_number(r, size, "width", 1e-3, READ_MAX_MM);
        kit->height_mm = value_number(r, size, "height", 1e-3, READ_MAX_MM);
    }
    r->place[0] = '\0';
}

bool read_kit(const FileBytes *file, Arena *arena, Faults *faults, ReadKit *out, Error *err)
{
    *out = (ReadKit){.name = ""};
    if (file->size_bytes > READ_MAX_FILE_BYTES) {
        fault_add(faults, "too-large", "kit.json", 0, 0, "kit.json has %zu bytes; at most %zu are read",
                  file->size_bytes, READ_MAX_FILE_BYTES);
        return true;
    }
    json_error_t problem;
    const json_t *root;
    if (!read_json(file->bytes, file->size_bytes, arena, &root, &problem, err)) return false;
    if (!root || !json_is_object(root)) {
        fault_add(faults, "bad-file", "kit.json", 0, 0, "kit.json, line %d: %s", root ? 1 : problem.line,
                  root ? "should be an object" : problem.text);
        return true;
    }
    Reader r = {.arena = arena, .faults = faults, .kit = out, .err = err};
    void (*const parts[])(Reader *, const json_t *) = {read_head,   read_cutter, read_papers,   read_layers,          read_sheets,
                                                       read_pieces, read_seams,  read_sections, read_board, read_findings, read_rates_and_totals};
    for (size_t i = 0; i < sizeof parts / sizeof *parts && !r.failed; i++) parts[i](&r, root);
    return !r.failed;
}

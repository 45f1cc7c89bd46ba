// readback.c - kit.json -> ReadKit; see readback.h.
#include "proof/readback.h"

#include "proof/read_json.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MAX_SHIFT_MM 1e6 // of a piece to its sheet: the finished size and some sheets fit in

typedef struct Reader {
    Arena *arena;
    Faults *faults;
    ReadKit *kit;
    ReadNames papers, layers, pieces, sheets;
    char place[160]; // "pieces[3].marks[0]": where the values being read stand
    Error *err;
    bool failed; // memory or a limit: err is set
} Reader;

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

// The one place where a wrong value becomes a fault: "bad-file" at "kit.json" with the value's path in the text.
static void bad(Reader *r, const char *key, const char *expected)
{
    char where[224];
    snprintf(where, sizeof where, "%s%s%s", r->place, r->place[0] && key[0] ? "." : "", key);
    fault_add(r->faults, "bad-file", where, 0, 0, "kit.json: %s should be %s", where, expected);
}

static const json_t *get(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    if (!value) bad(r, key, "there");
    return value;
}

static void *room(Reader *r, size_t count, size_t size_bytes)
{
    void *items = arena_take(r->arena, count, size_bytes);
    if (!items && !r->failed) r->failed = !error_memory(r->err);
    return items;
}

static const char *text_of(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = get(r, object, key);
    if (value && !json_is_string(value)) bad(r, key, "text");
    if (!json_is_string(value)) return "";
    const char *copy = arena_text(r->arena, json_string_value(value));
    if (!copy && !r->failed) r->failed = !error_memory(r->err);
    return copy ? copy : "";
}

static const char *id_of(Reader *r, const json_t *object, const char *key)
{
    const char *text = text_of(r, object, key);
    size_t n = strlen(text);
    if (json_is_string(json_object_get(object, key)) && (n == 0 || n > 120)) bad(r, key, "1 to 120 bytes long");
    return text;
}

static double number_in(Reader *r, const json_t *value, const char *key, double low, double high)
{
    double number = json_is_number(value) ? json_number_value(value) : NAN;
    if (isfinite(number) && number >= low && number <= high) return number;
    char expected[80];
    snprintf(expected, sizeof expected, "a number from %g to %g", low, high);
    bad(r, key, expected);
    return low;
}

static double number_of(Reader *r, const json_t *object, const char *key, double low, double high)
{
    const json_t *value = get(r, object, key);
    return value ? number_in(r, value, key, low, high) : low;
}

// A number or null (-1).
static double price_of(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = get(r, object, key);
    return !value || json_is_null(value) ? -1.0 : number_in(r, value, key, 0.0, 1e12);
}

static void numbers_of(Reader *r, const json_t *object, const char *key, int count, double low, double high,
                       double *out)
{
    const json_t *list = get(r, object, key);
    memset(out, 0, (size_t)count * sizeof *out);
    if (!list) return;
    if (!json_is_array(list) || json_array_size(list) != (size_t)count) {
        char expected[40];
        snprintf(expected, sizeof expected, "a list of %d numbers", count);
        bad(r, key, expected);
        return;
    }
    for (int i = 0; i < count; i++) out[i] = number_in(r, json_array_get(list, (size_t)i), key, low, high);
}

static const json_t *list_of(Reader *r, const json_t *object, const char *key, int most, int *count)
{
    const json_t *list = get(r, object, key);
    *count = 0;
    if (!list) return NULL;
    if (!json_is_array(list)) return bad(r, key, "a list"), NULL;
    if (json_array_size(list) > (size_t)most) return bad(r, key, "a shorter list"), NULL;
    *count = (int)json_array_size(list);
    return list;
}

static const json_t *object_of(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = get(r, object, key);
    if (value && !json_is_object(value)) bad(r, key, "an object");
    return json_is_object(value) ? value : NULL;
}

static const json_t *item_of(Reader *r, const json_t *list, int index, const char *name)
{
    const json_t *item = json_array_get(list, (size_t)index);
    snprintf(r->place, sizeof r->place, "%s[%d]", name, index);
    if (!json_is_object(item)) return bad(r, "", "an object"), NULL;
    return item;
}

static uint32_t colour_of(Reader *r, const json_t *object, const char *key)
{
    const char *text = text_of(r, object, key);
    bool good = strlen(text) == 7 && text[0] == '#' && strspn(text + 1, "0123456789abcdefABCDEF") == 6;
    if (!good && json_is_string(json_object_get(object, key))) bad(r, key, "a colour such as #1d2f5a");
    return good ? (uint32_t)strtoul(text + 1, NULL, 16) : 0;
}

static ReadPath path_of(Reader *r, const json_t *object, const char *key, ReadEnds ends)
{
    ReadPath path = {0};
    const json_t *value = get(r, object, key);
    if (!value || r->failed) return path;
    if (!json_is_string(value)) return bad(r, key, "path data"), path;
    const char *problem;
    if (!read_path(json_string_value(value), json_string_length(value), ends, r->arena, &path, &problem, r->err))
        r->failed = true;
    else if (problem) {
        char expected[120];
        snprintf(expected, sizeof expected, "path data; but %s", problem);
        bad(r, key, expected);
        path = (ReadPath){0};
    }
    return path;
}

static ReadLine line_of(Reader *r, const json_t *object)
{
    const char *text = text_of(r, object, "line");
    for (int line = 0; line < READ_LINES; line++)
        if (strcmp(text, read_line_name((ReadLine)line)) == 0) return (ReadLine)line;
    if (json_is_string(json_object_get(object, "line"))) bad(r, "line", "cut, score or pen");
    return READ_CUT;
}

static int reference(Reader *r, const ReadNames *names, const char *owner, const char *key, const char *id)
{
    int index = read_names_find(names, id);
    if (index < 0)
        fault_add(r->faults, "unknown-id", owner, 0, 0, "%s names %s \"%s\", which kit.json does not have", owner, key,
                  id);
    return index < 0 ? 0 : index;
}

static void index_names(Reader *r, ReadNames *names, const char *what)
{
    read_names_sort(names);
    for (int i = 1; i < names->count; i++)
        if (strcmp(names->items[i - 1].name, names->items[i].name) == 0)
            fault_add(r->faults, "id-twice", names->items[i].name, 0, 0, "the %s %s is in kit.json twice", what,
                      names->items[i].name);
}

static void add_name(ReadNames *names, const char *name, int index)
{
    names->items[names->count++] = (ReadName){name, index};
}

// Makes room for the entries of a list and their names; false when there is no list or no memory.
static bool begin_list(Reader *r, const json_t *root, const char *key, int most, size_t size_bytes, const json_t **list,
                       void **items, int *count, ReadNames *names)
{
    r->place[0] = '\0';
    *list = list_of(r, root, key, most, count);
    *items = room(r, (size_t)*count, size_bytes);
    if (names) names->items = room(r, (size_t)*count, sizeof *names->items);
    if (!r->failed) return true;
    *count = 0;
    return false;
}

static bool flag_of(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = get(r, object, key);
    if (value && !json_is_boolean(value)) bad(r, key, "true or false");
    return json_is_true(value);
}

// A list of tools: score, pen, both or none.
static void tools_of(Reader *r, const json_t *object, const char *key, bool out[READ_LINES])
{
    int count;
    const json_t *list = list_of(r, object, key, 2, &count);
    for (int i = 0; i < count; i++) {
        const json_t *item = json_array_get(list, (size_t)i);
        const char *word = json_is_string(item) ? json_string_value(item) : "";
        ReadLine line = strcmp(word, read_line_name(READ_PEN)) == 0 ? READ_PEN : READ_SCORE;
        if (strcmp(word, read_line_name(line)) != 0 || out[line]) bad(r, key, "a list of score and pen, each once at most");
        else out[line] = true;
    }
}

static double count_of(Reader *r, const json_t *object, const char *key)
{
    double count = number_of(r, object, key, 0.0, 1e9);
    if (count != floor(count)) bad(r, key, "a whole number");
    return count;
}

static void read_pack(Reader *r, const json_t *item, ReadPaper *p)
{
    const json_t *pack = get(r, item, "pack");
    p->pack_price = -1.0;
    if (!pack || json_is_null(pack)) return;
    if (!json_is_object(pack)) {
        bad(r, "pack", "an object or null");
        return;
    }
    p->pack_count = count_of(r, pack, "count");
    if (p->pack_count < 1.0) bad(r, "pack.count", "at least 1");
    p->pack_price = price_of(r, pack, "price");
}

static void read_properties(Reader *r, const json_t *item, ReadPaper *p)
{
    static const char *const WORDS[] = {"plain", "grained", "textured"};
    const char *direction = text_of(r, item, "direction");
    int known = 0;
    while (known < 3 && strcmp(direction, WORDS[known]) != 0) known++;
    if (known == 3 && direction[0]) bad(r, "direction", "plain, grained or textured");
    p->direction = known < 3 ? (ReadDirection)known : READ_PLAIN;
    flag_of(r, item, "white_core");
    flag_of(r, item, "one_faced");
    tools_of(r, item, "takes", p->takes);
    const json_t *gsm = get(r, item, "gsm"), *board = get(r, item, "board_mm");
    if (gsm && !json_is_null(gsm)) number_in(r, gsm, "gsm", 1.0, 1e5);
    if (board && !json_is_null(board)) numbers_of(r, item, "board_mm", 2, 1e-3, READ_MAX_MM, p->board);
    read_pack(r, item, p);
    if (json_object_get(item, "at_hand")) p->at_hand = flag_of(r, item, "at_hand");
    if (json_object_get(item, "offcut")) p->is_offcut = flag_of(r, item, "offcut");
    const json_t *buy = object_of(r, item, "to_buy");
    if (!buy) return;
    p->to_buy.spares = count_of(r, buy, "spares");
    p->to_buy.sheets = count_of(r, buy, "sheets");
    p->to_buy.boards = price_of(r, buy, "boards");
    p->to_buy.packs = price_of(r, buy, "packs");
    p->to_buy.cost = price_of(r, buy, "cost");
}

// Kits of earlier writers tell nothing of cutters and of papers' properties; half of it is a fault.
static void read_cutter(Reader *r, const json_t *root)
{
    ReadCutter *cutter = &r->kit->cutter;
    const json_t *found = json_object_get(root, "cutter"), *papers = json_object_get(root, "papers");
    for (size_t i = 0; i < json_array_size(papers); i++)
        r->kit->tells_properties = r->kit->tells_properties || json_object_get(json_array_get(papers, i), "direction");
    r->kit->tells_properties = r->kit->tells_properties || found;
    if (!r->kit->tells_properties || !get(r, root, "cutter") || json_is_null(found)) return;
    if (!json_is_object(found)) {
        bad(r, "cutter", "an object or null");
        return;
    }
    snprintf(r->place, sizeof r->place, "cutter");
    cutter->is_known = true;
    text_of(r, found, "name");
    const json_t *mat = json_object_get(found, "mat_mm");
    cutter->is_roll = json_array_size(mat) == 2 && json_is_null(json_array_get(mat, 1));
    if (cutter->is_roll) cutter->mat[0] = number_in(r, json_array_get(mat, 0), "mat_mm", 1e-3, READ_MAX_MM);
    else numbers_of(r, found, "mat_mm", 2, 1e-3, READ_MAX_MM, cutter->mat);
    numbers_of(r, found, "loss_mm", 4, 0.0, READ_MAX_MM, cutter->loss);
    tools_of(r, found, "tools", cutter->tools);
    r->place[0] = '\0';
}

static void read_papers(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    if (!begin_list(r, root, "papers", READ_MAX_ITEMS, sizeof *kit->papers, &list, (void **)&kit->papers,
                    &kit->paper_count, &r->papers))
        return;
    for (int i = 0; i < kit->paper_count && !r->failed; i++) {
        const json_t *item = item_of(r, list, i, "papers");
        if (!item) continue;
        ReadPaper *p = &kit->papers[i];
        p->id = id_of(r, item, "id");
        numbers_of(r, item, "size_mm", 2, 1e-3, READ_MAX_MM, p->size);
        numbers_of(r, item, "usable_mm", 4, 0.0, READ_MAX_MM, p->usable);
        p->colour = colour_of(r, item, "colour");
        p->price = price_of(r, item, "price");
        p->is_any = json_object_get(item, "any") && flag_of(r, item, "any");
        p->gap_mm = number_of(r, item, "gap_mm", 0.0, 100.0);
        if (kit->tells_properties) read_properties(r, item, p);
        p->print = json_object_get(item, "print") ? text_of(r, item, "print") : NULL;
        add_name(&r->papers, p->id, i);
    }
    index_names(r, &r->papers, "paper");
}

static void read_layers(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    if (!begin_list(r, root, "layers", READ_MAX_LAYERS, sizeof *kit->layers, &list, (void **)&kit->layers,
                    &kit->layer_count, &r->layers))
        return;
    for (int i = 0; i < kit->layer_count && !r->failed; i++) {
        const json_t *item = item_of(r, list, i, "layers"), *base = NULL;
        if (!item) continue;
        ReadLayer *l = &kit->layers[i];
        l->id = id_of(r, item, "id");
        text_of(r, item, "name");
        l->colour = colour_of(r, item, "colour");
        base = get(r, item, "base");
        if (base && !json_is_boolean(base)) bad(r, "base", "true or false");
        l->base = json_is_true(base);
        l->raised = json_object_get(item, "raised") && flag_of(r, item, "raised");
        double order = number_of(r, item, "order", 0.0, READ_MAX_LAYERS);
        if (order != floor(order)) bad(r, "order", "a whole number");
        l->order = (int)order;
        l->outline = path_of(r, item, "outline", READ_ENDS_CLOSED);
        l->area_mm2 = number_of(r, item, "area_mm2", 0.0, 1e12);
        const json_t *papers = list_of(r, item, "papers", READ_MAX_ITEMS, &l->paper_count);
        l->papers = room(r, (size_t)l->paper_count, sizeof *l->papers);
        for (int k = 0; k < l->paper_count && !r->failed; k++) {
            const json_t *id = json_array_get(papers, (size_t)k);
            if (!json_is_string(id))
                bad(r, "papers", "a list of paper ids");
            else
                l->papers[k] = reference(r, &r->papers, l->id, "paper", json_string_value(id));
        }
        add_name(&r->layers, l->id, i);
    }
    index_names(r, &r->layers, "layer");
}

static void read_notes(Reader *r, const json_t *item, ReadSheet *sheet)
{
    char place[80];
    snprintf(place, sizeof place, "%.40s.notes", r->place);
    const json_t *list = list_of(r, item, "notes", READ_MAX_ITEMS, &sheet->note_count);
    sheet->notes = room(r, (size_t)sheet->note_count, sizeof *sheet->notes);
    for (int k = 0; k < sheet->note_count && !r->failed; k++) {
        const json_t *note = item_of(r, list, k, place);
        if (!note) continue;
        text_of(r, note, "text");
        sheet->notes[k].line = line_of(r, note);
        sheet->notes[k].path = path_of(r, note, "path", READ_ENDS_ANY);
    }
}

// "file" holds the cuts; the other lines too, unless the sheets have a file for each line kind.
static void read_files(Reader *r, const json_t *item, ReadSheet *s)
{
    const char *file = text_of(r, item, "file");
    for (int line = 0; line < READ_LINES; line++) s->files[line] = file;
    if (r->kit->sheets_for == READ_FOR_LAYER) numbers_of(r, item, "offset_mm", 2, 0.0, READ_MAX_MM, s->offset);
    if (r->kit->sheets_for != READ_FOR_LINE) return;
    const json_t *files = object_of(r, item, "files");
    for (int line = 0; line < READ_LINES && files; line++) {
        const char *key = read_line_name((ReadLine)line);
        s->files[line] = json_object_get(files, key) ? text_of(r, files, key) : NULL;
    }
    if (files && (!s->files[READ_CUT] || strcmp(s->files[READ_CUT], file) != 0)) bad(r, "file", "files.cut");
    s->files[READ_CUT] = file;
}

static void read_copies(Reader *r, const json_t *item, ReadSheet *s)
{
    if (!json_object_get(item, "copies")) return;
    const json_t *list = list_of(r, item, "copies", READ_MAX_COPIES, &s->copy_count);
    s->copies = room(r, (size_t)s->copy_count, sizeof *s->copies);
    for (int i = 0; i < s->copy_count && s->copies; i++) {
        const json_t *name = json_array_get(list, (size_t)i);
        if (!json_is_string(name)) bad(r, "copies", "a list of file names");
        s->copies[i] = json_is_string(name) ? json_string_value(name) : "";
    }
    if (!s->copies) s->copy_count = 0;
}

static void read_sheets(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    if (!begin_list(r, root, "sheets", READ_MAX_ITEMS, sizeof *kit->sheets, &list, (void **)&kit->sheets,
                    &kit->sheet_count, &r->sheets))
        return;
    for (int i = 0; i < kit->sheet_count && !r->failed; i++) {
        const json_t *item = item_of(r, list, i, "sheets");
        if (!item) continue;
        ReadSheet *s = &kit->sheets[i];
        s->id = id_of(r, item, "id");
        s->paper = reference(r, &r->papers, s->id, "paper", id_of(r, item, "paper"));
        numbers_of(r, item, "box_mm", 4, 0.0, READ_MAX_MM, s->box);
        s->has_rest = json_object_get(item, "rest_mm") != NULL;
        if (s->has_rest) numbers_of(r, item, "rest_mm", 4, 0.0, READ_MAX_MM, s->rest);
        read_files(r, item, s);
        read_copies(r, item, s);
        read_notes(r, item, s);
        add_name(&r->sheets, s->id, i);
    }
    index_names(r, &r->sheets, "sheet");
}

static void read_marks(Reader *r, const json_t *item, ReadPiece *piece)
{
    char place[80];
    snprintf(place, sizeof place, "%.40s.marks", r->place);
    const json_t *list = list_of(r, item, "marks", READ_MAX_ITEMS, &piece->mark_count);
    piece->marks = room(r, (size_t)piece->mark_count, sizeof *piece->marks);
    for (int k = 0; k < piece->mark_count && !r->failed; k++) {
        const json_t *mark = item_of(r, list, k, place);
        if (!mark) continue;
        ReadMark *m = &piece->marks[k];
        m->kind = text_of(r, mark, "kind");
        m->is_drawn = strcmp(m->kind, "drawn") == 0;
        m->is_match = strcmp(m->kind, "match") == 0;
        if (m->is_match) m->seam_id = id_of(r, mark, "seam");
        if (m->kind[0] && !m->is_drawn && !m->is_match && strcmp(m->kind, "placement") && strcmp(m->kind, "label"))
            bad(r, "kind", "placement, label, match or drawn");
        m->line = line_of(r, mark);
        if (m->is_drawn && m->line != READ_PEN) bad(r, "line", "pen, since the mark is drawn");
        m->path = path_of(r, mark, "path", READ_ENDS_ANY);
    }
}

// Where some pieces of a kit are cut once more, the others lie on no sheet.
static void read_place(Reader *r, const json_t *item, ReadPiece *p)
{
    p->sheet = -1;
    if (r->kit->recut_of && json_is_null(json_object_get(item, "sheet"))) return;
    p->sheet = reference(r, &r->sheets, p->id, "sheet", id_of(r, item, "sheet"));
    numbers_of(r, item, "to_sheet", 6, -MAX_SHIFT_MM, MAX_SHIFT_MM, p->to_sheet);
    for (int k = 0; k < 4; k++)
        if (fabs(p->to_sheet[k]) > 1.001) bad(r, "to_sheet", "a turn and a shift");
}

static void read_foam(Reader *r, const json_t *item, ReadPiece *p)
{
    const json_t *list = list_of(r, item, "foam_mm", READ_MAX_ITEMS, &p->foam_count);
    p->foam = room(r, (size_t)p->foam_count, sizeof *p->foam);
    if (!p->foam) p->foam_count = 0;
    for (int i = 0; i < p->foam_count; i++) {
        const json_t *place = json_array_get(list, (size_t)i);
        if (!json_is_array(place) || json_array_size(place) != 2) bad(r, "foam_mm", "a list of places, two numbers each");
        p->foam[i].x = number_in(r, json_array_get(place, 0), "foam_mm", -READ_MAX_MM, READ_MAX_MM);
        p->foam[i].y = number_in(r, json_array_get(place, 1), "foam_mm", -READ_MAX_MM, READ_MAX_MM);
    }
}

static void read_piece(Reader *r, const json_t *item, ReadPiece *p)
{
    p->id = id_of(r, item, "id");
    const char *kind = text_of(r, item, "kind");
    p->is_strip = strcmp(kind, "strip") == 0;
    if (!p->is_strip && strcmp(kind, "face") != 0) bad(r, "kind", "face or strip");
    p->layer = p->is_strip ? -1 : reference(r, &r->layers, p->id, "layer", id_of(r, item, "layer"));
    p->seam_id = p->is_strip && json_object_get(item, "seam") ? id_of(r, item, "seam") : NULL;
    p->seam = -1;
    read_place(r, item, p);
    p->outline = path_of(r, item, "outline", READ_ENDS_CLOSED);
    if (json_object_get(item, "foam_mm")) read_foam(r, item, p);
    p->has_own_face = !p->is_strip && json_object_get(item, "face");
    p->face = p->has_own_face ? path_of(r, item, "face", READ_ENDS_CLOSED) : p->outline;
    read_marks(r, item, p);
}

static void read_pieces(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    if (!begin_list(r, root, "pieces", READ_MAX_ITEMS, sizeof *kit->pieces, &list, (void **)&kit->pieces,
                    &kit->piece_count, &r->pieces))
        return;
    for (int i = 0; i < kit->piece_count && !r->failed; i++) {
        const json_t *item = item_of(r, list, i, "pieces");
        kit->pieces[i].id = "";
        if (!item) continue;
        read_piece(r, item, &kit->pieces[i]);
        add_name(&r->pieces, kit->pieces[i].id, i);
    }
    index_names(r, &r->pieces, "piece");
}

// Kits of before there were match marks have no letters.
static const char *letter_of(Reader *r, const json_t *item)
{
    const json_t *value = json_object_get(item, "letter");
    if (!value || json_is_null(value)) return NULL;
    return id_of(r, item, "letter");
}

// Marks and strips come before seams in kit.json, so their references are looked up afterwards.
static void find_seams_of_marks(Reader *r, const ReadNames *seams)
{
    for (int i = 0; i < r->kit->piece_count; i++) {
        ReadPiece *piece = &r->kit->pieces[i];
        if (piece->seam_id) piece->seam = reference(r, seams, piece->id, "seam", piece->seam_id);
        for (int k = 0; k < piece->mark_count; k++) {
            ReadMark *mark = &piece->marks[k];
            if (mark->is_match) mark->seam = reference(r, seams, piece->id, "seam", mark->seam_id);
        }
    }
}

static void read_seams(Reader *r, const json_t *root)
{
    const json_t *list;
    ReadKit *kit = r->kit;
    ReadNames names = {0};
    if (!begin_list(r, root, "seams", READ_MAX_ITEMS, sizeof *kit->seams, &list, (void **)&kit->seams, &kit->seam_count,
                    &names))
        return;
    for (int i = 0; i < kit->seam_count && !r->failed; i++) {
        const json_t *item = item_of(r, list, i, "seams");
        if (!item) continue;
        ReadSeam *s = &kit->seams[i];
        s->id = id_of(r, item, "id");
        s->layer = reference(r, &r->layers, s->id, "layer", id_of(r, item, "layer"));
        s->letter = letter_of(r, item);
        s->form = text_of(r, item, "form");
        s->lap_of = json_object_get(item, "lap_of") ? reference(r, &r->pieces, s->id, "piece", id_of(r, item, "lap_of")) : -1;
        s->path = path_of(r, item, "path", READ_ENDS_OPEN);
        s->length_mm = number_of(r, item, "length_mm", 0.0, 1e9);
        s->visible_mm = number_of(r, item, "visible_mm", 0.0, 1e9);
        s->on_section = json_object_get(item, "on_section") && flag_of(r, item, "on_section");
        const json_t *pieces = get(r, item, "pieces");
        if (pieces && (!json_is_array(pieces) || json_array_size(pieces) != 2))
            bad(r, "pieces", "a list of two piece ids");
        for (int k = 0; k < 2 && json_is_array(pieces); k++) {
            const json_t *id = json_array_get(pieces, (size_t)k);
            if (!json_is_string(id))
                bad(r, "pieces", "a list of two piece ids");
            else
                s->pieces[k] = reference(r, &r->pieces, s->id, "piece", json_string_value(id));
        }
        add_name(&names, s->id, i);
    }
    index_names(r, &names, "seam");
    find_seams_of_marks(r, &names);
}

static void read_lines_of(Reader *r, const json_t *from, const char *key, double **out, int *count)
{
    const json_t *list = list_of(r, from, key, READ_MAX_ITEMS, count);
    *out = room(r, (size_t)*count, sizeof **out);
    for (int i = 0; i < *count && *out; i++) (*out)[i] = number_in(r, json_array_get(list, (size_t)i), key, 0.0, READ_MAX_MM);
    if (!*out) *count = 0;
}

static void read_pieces_of(Reader *r, const json_t *from, const char *key, const char *owner, int **out, int *count)
{
    const json_t *list = list_of(r, from, key, READ_MAX_ITEMS, count);
    *out = room(r, (size_t)*count, sizeof **out);
    for (int i = 0; i < *count && *out && !r->failed; i++) {
        const json_t *id = json_array_get(list, (size_t)i);
        if (!json_is_string(id)) bad(r, key, "a list of piece ids");
        else (*out)[i] = reference(r, &r->pieces, owner, "piece", json_string_value(id));
    }
    if (!*out) *count = 0;
}

// A finished piece that is put together as one has none.
static void read_sections(Reader *r, const json_t *root)
{
    ReadSections *sections = &r->kit->sections;
    r->place[0] = '\0';
    r->kit->parts = json_object_get(root, "sections") != NULL;
    const json_t *list, *from = r->kit->parts ? object_of(r, root, "sections") : NULL;
    if (!from) return;
    snprintf(r->place, sizeof r->place, "sections");
    numbers_of(r, from, "asked_mm", 2, 1e-3, READ_MAX_MM, sections->asked);
    read_lines_of(r, from, "upright_mm", &sections->line_mm[0], &sections->line_count[0]);
    read_lines_of(r, from, "level_mm", &sections->line_mm[1], &sections->line_count[1]);
    read_pieces_of(r, from, "bridges", "sections", &sections->bridges, &sections->bridge_count);
    list = list_of(r, from, "parts", READ_MAX_ITEMS, &sections->count);
    sections->items = room(r, (size_t)sections->count, sizeof *sections->items);
    if (!sections->items) sections->count = 0;
    for (int i = 0; i < sections->count && !r->failed; i++) {
        const json_t *item = item_of(r, list, i, "sections.parts");
        ReadSection *section = &sections->items[i];
        section->id = "";
        if (!item) continue;
        section->id = id_of(r, item, "id");
        numbers_of(r, item, "box_mm", 4, -READ_MAX_MM, READ_MAX_MM, section->box);
        read_pieces_of(r, item, "pieces", section->id, &section->pieces, &section->piece_count);
    }
}

static void read_joints(Reader *r, const json_t *from, ReadBoard *board)
{
    const json_t *list = list_of(r, from, "joints", READ_MAX_ITEMS, &board->joint_count);
    board->joints = room(r, (size_t)board->joint_count, sizeof *board->joints);
    if (!board->joints) board->joint_count = 0;
    for (int i = 0; i < board->joint_count; i++) {
        const json_t *ends = json_array_get(list, (size_t)i);
        if (!json_is_array(ends) || json_array_size(ends) != 4) bad(r, "joints", "lists of four numbers");
        for (int k = 0; k < 4 && json_is_array(ends); k++)
            board->joints[i][k] = number_in(r, json_array_get(ends, (size_t)k), "joints", -READ_MAX_MM, READ_MAX_MM);
    }
}

static void read_board(Reader *r, const json_t *root)
{
    ReadBoard *board = &r->kit->board;
    r->place[0] = '\0';
    r->kit->backed = json_object_get(root, "board") != NULL;
    const json_t *list, *from = r->kit->backed ? object_of(r, root, "board") : NULL;
    if (!from) return;
    snprintf(r->place, sizeof r->place, "board");
    board->file = text_of(r, from, "file");
    numbers_of(r, from, "size_mm", 2, 1e-3, READ_MAX_MM, board->size);
    board->inset_mm = number_of(r, from, "inset_mm", 0.0, READ_MAX_MM);
    board->outline = path_of(r, from, "outline", READ_ENDS_CLOSED);
    board->along_mm = number_of(r, from, "along_seams_mm", 0.0, 1e9);
    read_joints(r, from, board);
    list = list_of(r, from, "panels", READ_MAX_ITEMS, &board->panel_count);
    board->panels = room(r, (size_t)board->panel_count, sizeof *board->panels);
    if (!board->panels) board->panel_count = 0;
    for (int i = 0; i < board->panel_count && !r->failed; i++) {
        const json_t *item = item_of(r, list, i, "board.panels");
        if (!item) continue;
        id_of(r, item, "id");
        numbers_of(r, item, "box_mm", 4, -READ_MAX_MM, READ_MAX_MM, board->panels[i]);
    }
}

static void read_findings(Reader *r, const json_t *root)
{
    int count;
    r->place[0] = '\0';
    const json_t *list = list_of(r, root, "findings", READ_MAX_ITEMS, &count);
    for (int i = 0; i < count; i++) {
        const json_t *item = item_of(r, list, i, "findings");
        double at[2];
        if (!item) continue;
        text_of(r, item, "kind");
        text_of(r, item, "text");
        numbers_of(r, item, "at_mm", 2, -READ_MAX_MM, READ_MAX_MM, at);
    }
}

static void read_rates_and_totals(Reader *r, const json_t *root)
{
    const double most = 1e12;
    ReadRates *rates = &r->kit->rates;
    ReadTotals *t = &r->kit->totals;
    r->place[0] = '\0';
    const json_t *from = object_of(r, root, "rates");
    snprintf(r->place, sizeof r->place, "rates");
    if (from) {
        rates->cut_mm_s = number_of(r, from, "cut_mm_s", 1e-3, most);
        rates->score_mm_s = number_of(r, from, "score_mm_s", 1e-3, most);
        rates->lift_s = number_of(r, from, "lift_s", 0.0, most);
        rates->sheet_min = number_of(r, from, "sheet_min", 0.0, most);
        rates->seam_min = number_of(r, from, "seam_min", 0.0, most);
        rates->piece_min = number_of(r, from, "piece_min", 0.0, most);
        text_of(r, from, "source");
    }
    r->place[0] = '\0';
    from = object_of(r, root, "totals");
    snprintf(r->place, sizeof r->place, "totals");
    if (!from) return;
    t->sheets = number_of(r, from, "sheets", 0.0, most);
    t->pieces = number_of(r, from, "pieces", 0.0, most);
    t->strips = json_object_get(from, "strips") ? number_of(r, from, "strips", 0.0, most) : -1.0;
    t->foam_squares = json_object_get(from, "foam_squares") ? number_of(r, from, "foam_squares", 0.0, most) : -1.0;
    t->seam_mm = number_of(r, from, "seam_mm", 0.0, most);
    t->visible_seam_mm = number_of(r, from, "visible_seam_mm", 0.0, most);
    t->cut_mm = number_of(r, from, "cut_mm", 0.0, most);
    t->score_mm = number_of(r, from, "score_mm", 0.0, most);
    t->pen_mm = number_of(r, from, "pen_mm", 0.0, most);
    t->waste_percent = number_of(r, from, "waste_percent", -1e6, 100.0);
    t->cutting_minutes = number_of(r, from, "cutting_minutes", 0.0, most);
    t->assembly_minutes = number_of(r, from, "assembly_minutes", 0.0, most);
    t->cost = price_of(r, from, "cost");
}

// Kits without the word have a file a sheet.
static ReadFor form_of(Reader *r, const json_t *root)
{
    static const char *const words[] = {"sheet", "piece", "layer", "line"};
    if (!json_object_get(root, "sheets_for")) return READ_FOR_SHEET;
    const char *word = text_of(r, root, "sheets_for");
    for (int i = 0; i < 4; i++)
        if (strcmp(word, words[i]) == 0) return (ReadFor)i;
    bad(r, "sheets_for", "sheet, piece, layer or line");
    return READ_FOR_SHEET;
}

// Kits without the word are cut from the front.
static bool is_from_back(Reader *r, const json_t *root)
{
    if (!json_object_get(root, "cut_from")) return false;
    const char *word = text_of(r, root, "cut_from");
    if (strcmp(word, "front") != 0 && strcmp(word, "back") != 0) bad(r, "cut_from", "front or back");
    return strcmp(word, "back") == 0;
}

static void read_head(Reader *r, const json_t *root)
{
    ReadKit *kit = r->kit;
    const char *format = text_of(r, root, "format");
    if (format[0] && strcmp(format, "papermason-kit") != 0) bad(r, "format", "papermason-kit");
    const json_t *version = get(r, root, "version");
    if (version && !(json_is_integer(version) && json_integer_value(version) == 1)) bad(r, "version", "1");
    text_of(r, root, "made_by");
    kit->name = text_of(r, root, "name");
    if (json_object_get(root, "recut_of")) kit->recut_of = text_of(r, root, "recut_of");
    number_of(r, root, "border_mm", 0.0, READ_MAX_MM);
    kit->sheets_for = form_of(r, root);
    kit->cut_from_back = is_from_back(r, root);
    const json_t *knife = json_object_get(root, "knife_mm") ? object_of(r, root, "knife_mm") : NULL;
    if (knife) {
        kit->overcut_mm = number_of(r, knife, "overcut", 0.0, READ_MAX_KNIFE_MM);
        kit->blade_offset_mm = number_of(r, knife, "blade_offset", 0.0, READ_MAX_KNIFE_MM);
    }
    const json_t *foam = json_object_get(root, "foam") ? object_of(r, root, "foam") : NULL;
    if (foam) {
        kit->foam_square_mm = number_of(r, foam, "square_mm", 1.0, 1000.0);
        kit->foam_height_mm = number_of(r, foam, "height_mm", 0.1, 1000.0);
    }
    const json_t *size = object_of(r, root, "finished_mm");
    snprintf(r->place, sizeof r->place, "finished_mm");
    if (size) {
        kit->width_mm = number_of(r, size, "width", 1e-3, READ_MAX_MM);
        kit->height_mm = number_of(r, size, "height", 1e-3, READ_MAX_MM);
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

// kit_read.c - see kit_read.h.
#include "job/kit_read.h"

#include "base/text.h"
#include "job/edit.h"
#include "job/kit_json.h"
#include "job/path_read.h"
#include "paper/size.h"

#include <stdio.h>
#include <string.h>

typedef struct Reader {
    const json_t *root;
    Arena *keep;
    KitRead *out;
    Error *err;
} Reader;

static bool not_whole(Reader *r, const char *what)
{
    return error_set(r->err, ERROR_INPUT, "kit.json: %s cannot be read; build the kit again", what);
}

static double number_of(const json_t *object, const char *key)
{
    return json_number_value(json_object_get(object, key));
}

static void numbers_of(const json_t *object, const char *key, int count, double *out)
{
    for (int i = 0; i < count; i++) out[i] = json_number_value(json_array_get(json_object_get(object, key), (size_t)i));
}

static bool has_word(const json_t *object, const char *key, const char *word)
{
    size_t i;
    json_t *item;
    json_array_foreach(json_object_get(object, key), i, item)
        if (json_is_string(item) && strcmp(json_string_value(item), word) == 0) return true;
    return false;
}

static int list_size(const json_t *object, const char *key)
{
    return (int)json_array_size(json_object_get(object, key));
}

static const json_t *list_item(const json_t *object, const char *key, int index)
{
    return json_array_get(json_object_get(object, key), (size_t)index);
}

// ---- geometry ----

static bool read_path(Reader *r, const json_t *object, const char *key, bool open, Path *out)
{
    bool is_path;
    if (!path_read(kit_json_text(object, key), open, r->keep, out, &is_path, r->err)) return false;
    return is_path || not_whole(r, key);
}

// One chain a part, and for each a link from end to end.
static bool add_chains(Reader *r, const Path *path, Chains *chains, Link *links)
{
    for (int i = 0; i < path->part_count; i++) {
        Chain chain;
        if (!chain_make(&path->curves[path->first[i]], path->first[i + 1] - path->first[i], !path->open, r->keep, &chain, r->err) ||
            !chains_add(chains, &chain, r->keep, &links[i].chain, r->err))
            return false;
        links[i].first = 0;
        links[i].last = chain.point_count - 1;
    }
    return true;
}

static bool read_area(Reader *r, const json_t *object, const char *key, Chains *chains, Area *area, Rings *rings)
{
    Path path;
    if (!read_path(r, object, key, false, &path)) return false;
    int count = path.part_count;
    *area = (Area){arena_new(r->keep, Link, count), count, arena_new(r->keep, LinkRing, count), count};
    int *outers = arena_new(r->keep, int, count);
    if (!area->links || !area->rings || !outers) return error_memory(r->err);
    if (!add_chains(r, &path, chains, area->links)) return false;
    for (int i = 0; i < count; i++) area->rings[i] = (LinkRing){i, 1, i};
    if (!area_rings(chains, area, r->keep, rings, r->err)) return false;
    if (!rings_find_outers(rings, r->keep, outers)) return error_memory(r->err);
    for (int i = 0; i < count; i++) area->rings[i].outer = outers[i];
    return true;
}

// ---- layers ----

static int find_layer(const Reader *r, const char *id)
{
    for (int l = 0; l < list_size(r->root, "layers"); l++)
        if (strcmp(kit_json_text(list_item(r->root, "layers", l), "id"), id) == 0) return l;
    return -1;
}

static bool read_layer(Reader *r, int index)
{
    Stack *stack = &r->out->stack;
    const json_t *item = list_item(r->root, "layers", index);
    SeparationColour *colour = &stack->colours[index];
    if (!edit_parse_colour(kit_json_text(item, "colour"), &colour->colour)) return not_whole(r, "a layer's colour");
    snprintf(colour->name, sizeof colour->name, "%s", kit_json_text(item, "name"));
    stack->layers[index].colour = index;
    return read_area(r, item, "outline", &stack->chains, &stack->layers[index].area, &stack->layers[index].rings);
}

static bool read_layers(Reader *r)
{
    Stack *stack = &r->out->stack;
    int count = list_size(r->root, "layers");
    const json_t *finished = json_object_get(r->root, "finished_mm");
    *stack = (Stack){.layers = arena_new(r->keep, Layer, count), .layer_count = count,
                     .colours = arena_new(r->keep, SeparationColour, count), .colour_count = count, .line_colour = -1,
                     .width_mm = number_of(finished, "width"), .height_mm = number_of(finished, "height"),
                     .border_mm = number_of(r->root, "border_mm")};
    r->out->pieces = arena_new(r->keep, LayerPieces, count);
    r->out->marks = arena_new(r->keep, LayerMarks, count);
    if (!stack->layers || !stack->colours || !r->out->pieces || !r->out->marks) return error_memory(r->err);
    for (int l = 0; l < count; l++) {
        r->out->pieces[l].layer = r->out->marks[l].layer = l;
        if (!read_layer(r, l)) return false;
    }
    return true;
}

// ---- pieces ----

static bool read_piece(Reader *r, const json_t *item, LayerPieces *layer)
{
    Piece *piece = &layer->pieces[layer->piece_count++];
    Area *outline = &piece->face;
    snprintf(piece->id, sizeof piece->id, "%s", kit_json_text(item, "id"));
    piece->has_laps = json_object_get(item, "face") != NULL;
    if (piece->has_laps) {
        if (!read_area(r, item, "outline", &layer->chains, &piece->outline, &piece->cut)) return false;
        return read_area(r, item, "face", &layer->chains, &piece->face, &piece->rings);
    }
    return read_area(r, item, "outline", &layer->chains, outline, &piece->rings);
}

static bool read_pieces(Reader *r)
{
    int count = list_size(r->root, "pieces");
    for (int l = 0; l < r->out->stack.layer_count; l++)
        if (!(r->out->pieces[l].pieces = arena_new(r->keep, Piece, count))) return error_memory(r->err);
    for (int i = 0; i < count; i++) {
        const json_t *item = list_item(r->root, "pieces", i);
        int layer = find_layer(r, kit_json_text(item, "layer"));
        if (strcmp(kit_json_text(item, "kind"), "face") != 0) continue;
        if (layer < 0) return not_whole(r, "a piece's layer");
        if (!read_piece(r, item, &r->out->pieces[layer])) return false;
    }
    return true;
}

static int find_piece(const LayerPieces *layer, const char *id)
{
    for (int i = 0; i < layer->piece_count; i++)
        if (strcmp(layer->pieces[i].id, id) == 0) return i;
    return -1;
}

// ---- seams ----

static bool read_seam(Reader *r, const json_t *item, LayerPieces *layer, LayerMarks *marks)
{
    Path path;
    Seam *seam = &layer->seams[layer->seam_count];
    const json_t *pieces = json_object_get(item, "pieces"), *letter = json_object_get(item, "letter");
    snprintf(seam->id, sizeof seam->id, "%s", kit_json_text(item, "id"));
    for (int k = 0; k < 2; k++) {
        const char *id = json_string_value(json_array_get(pieces, (size_t)k));
        seam->pieces[k] = id ? find_piece(layer, id) : -1;
        if (seam->pieces[k] < 0) return not_whole(r, "a seam's pieces");
    }
    if (!seam_form_find(kit_json_text(item, "form"), &seam->form)) return not_whole(r, "a seam's form");
    seam->lap_of = seam->form == SEAM_LAP ? find_piece(layer, kit_json_text(item, "lap_of")) : -1;
    seam->length_mm = number_of(item, "length_mm");
    seam->visible_mm = number_of(item, "visible_mm");
    seam->on_section = json_is_true(json_object_get(item, "on_section"));
    if (!read_path(r, item, "path", true, &path)) return false;
    seam->link_count = path.part_count;
    seam->links = arena_new(r->keep, Link, path.part_count);
    if (!seam->links) return error_memory(r->err);
    if (json_is_string(letter)) {
        marks->seam_letters[layer->seam_count] = json_string_value(letter);
        marks->seam_count = layer->seam_count + 1;
    }
    layer->seam_count++;
    return add_chains(r, &path, &layer->chains, seam->links);
}

static bool read_seams(Reader *r)
{
    int count = list_size(r->root, "seams");
    for (int l = 0; l < r->out->stack.layer_count; l++) {
        r->out->pieces[l].seams = arena_new(r->keep, Seam, count);
        r->out->marks[l].seam_letters = arena_new(r->keep, const char *, count);
        if (!r->out->pieces[l].seams || !r->out->marks[l].seam_letters) return error_memory(r->err);
    }
    for (int i = 0; i < count; i++) {
        const json_t *item = list_item(r->root, "seams", i);
        int layer = find_layer(r, kit_json_text(item, "layer"));
        if (layer < 0) return not_whole(r, "a seam's layer");
        if (!read_seam(r, item, &r->out->pieces[layer], &r->out->marks[layer])) return false;
    }
    return true;
}

// ---- marks ----

static bool read_mark_words(const json_t *item, Mark *mark)
{
    static const char *const KINDS[] = {[MARK_PLACEMENT] = "placement", [MARK_LABEL] = "label", [MARK_MATCH] = "match", [MARK_DRAWN] = "drawn"};
    static const MarkLine LINES[] = {MARK_SCORE, MARK_PEN, MARK_CUT};
    bool has_kind = false, has_line = false;
    for (int k = 0; k < 4; k++)
        if (strcmp(kit_json_text(item, "kind"), KINDS[k]) == 0) has_kind = (mark->kind = (MarkKind)k, true);
    for (int k = 0; k < 3; k++)
        if (strcmp(kit_json_text(item, "line"), mark_line_word(LINES[k])) == 0) has_line = (mark->line = LINES[k], true);
    return has_kind && has_line;
}

static bool read_mark(Reader *r, const json_t *item, const LayerPieces *layer, int piece, Mark *mark)
{
    *mark = (Mark){.piece = piece};
    if (!read_mark_words(item, mark)) return not_whole(r, "a mark");
    for (int s = 0; mark->kind == MARK_MATCH && s < layer->seam_count; s++)
        if (strcmp(layer->seams[s].id, kit_json_text(item, "seam")) == 0) mark->seam = s;
    return read_path(r, item, "path", true, &mark->path);
}

static bool read_marks(Reader *r)
{
    int count = 0;
    for (int i = 0; i < list_size(r->root, "pieces"); i++) count += list_size(list_item(r->root, "pieces", i), "marks");
    for (int l = 0; l < r->out->stack.layer_count; l++)
        if (!(r->out->marks[l].marks = arena_new(r->keep, Mark, count))) return error_memory(r->err);
    for (int i = 0; i < list_size(r->root, "pieces"); i++) {
        const json_t *item = list_item(r->root, "pieces", i);
        int layer = find_layer(r, kit_json_text(item, "layer"));
        if (layer < 0 || strcmp(kit_json_text(item, "kind"), "face") != 0) continue;
        LayerMarks *marks = &r->out->marks[layer];
        int piece = find_piece(&r->out->pieces[layer], kit_json_text(item, "id"));
        for (int m = 0; m < list_size(item, "marks"); m++)
            if (!read_mark(r, list_item(item, "marks", m), &r->out->pieces[layer], piece, &marks->marks[marks->mark_count++])) return false;
    }
    return true;
}

// ---- papers and the cutter ----

static PaperDirection direction_of(const json_t *item)
{
    const char *word = kit_json_text(item, "direction");
    return strcmp(word, "grained") == 0 ? PAPER_GRAINED : strcmp(word, "textured") == 0 ? PAPER_TEXTURED : PAPER_PLAIN;
}

static void read_properties(const json_t *item, Paper *paper)
{
    double size[2], usable[4];
    numbers_of(item, "size_mm", 2, size);
    numbers_of(item, "usable_mm", 4, usable);
    const json_t *pack = json_object_get(item, "pack");
    *paper = (Paper){.width_mm = size[0], .height_mm = size[1], .direction = direction_of(item),
                     .white_core = json_is_true(json_object_get(item, "white_core")), .one_faced = json_is_true(json_object_get(item, "one_faced")),
                     .no_score = !has_word(item, "takes", "score"), .no_pen = !has_word(item, "takes", "pen"), .gsm = number_of(item, "gsm"),
                     .pack_price = number_of(pack, "price"), .pack_count = (int)number_of(pack, "count"), .has_loss = true,
                     .loss_mm = {usable[0], usable[1], size[0] - usable[0] - usable[2], size[1] - usable[1] - usable[3]}};
    numbers_of(item, "board_mm", 2, paper->board_mm);
    const char *id = kit_json_text(item, "size"); // kits of earlier writers have no such key
    if (id[0]) snprintf(paper->id, sizeof paper->id, "%s", id);
    else size_name(size[0], size[1], paper->id);
}

// The layer that is cut from the paper gives it its name, when it has none.
static void name_paper(Reader *r, const json_t *item, KitPaper *paper)
{
    const char *name = kit_json_text(item, "name");
    for (int l = 0; !name[0] && l < r->out->stack.layer_count; l++)
        if (has_word(list_item(r->root, "layers", l), "papers", paper->id)) name = r->out->stack.colours[l].name;
    snprintf(paper->colour_name, sizeof paper->colour_name, "%s", name);
}

// What marks on the pieces of a paper are made with: as one of them is, of the paper's own or of any other.
static void find_line(Reader *r, KitPaper *paper)
{
    paper->unmarked = true;
    for (int l = 0; l < r->out->stack.layer_count; l++)
        for (int m = 0; m < r->out->marks[l].mark_count; m++) {
            const Mark *mark = &r->out->marks[l].marks[m];
            bool taken = mark->line == MARK_PEN ? !paper->paper.no_pen : mark->line == MARK_SCORE ? !paper->paper.no_score : true;
            if (mark->kind == MARK_DRAWN || !taken || !paper->unmarked) continue;
            paper->line = mark->line;
            paper->unmarked = false;
        }
}

static bool read_its_pieces(Reader *r, KitPaper *paper)
{
    int count = list_size(r->root, "pieces");
    paper->layers = arena_new(r->keep, int, count);
    paper->pieces = arena_new(r->keep, int, count);
    if (!paper->layers || !paper->pieces) return error_memory(r->err);
    for (int i = 0; i < count; i++) {
        const json_t *item = list_item(r->root, "pieces", i);
        int layer = find_layer(r, kit_json_text(item, "layer"));
        if (layer < 0 || strcmp(kit_json_text(kit_json_find(r->root, "sheets", kit_json_text(item, "sheet")), "paper"), paper->id) != 0) continue;
        int piece = find_piece(&r->out->pieces[layer], kit_json_text(item, "id"));
        if (piece < 0) continue;
        paper->layers[paper->piece_count] = layer;
        paper->pieces[paper->piece_count++] = piece;
    }
    return true;
}

static bool read_papers(Reader *r)
{
    KitRead *out = r->out;
    int count = list_size(r->root, "papers");
    out->papers = arena_new(r->keep, KitPaper, count);
    if (!out->papers) return error_memory(r->err);
    for (int i = 0; i < count; i++) {
        const json_t *item = list_item(r->root, "papers", i);
        KitPaper *paper = &out->papers[out->paper_count++];
        snprintf(paper->id, sizeof paper->id, "%s", kit_json_text(item, "id"));
        if (!edit_parse_colour(kit_json_text(item, "colour"), &paper->colour)) return not_whole(r, "a paper's colour");
        read_properties(item, &paper->paper);
        paper->gap_mm = number_of(item, "gap_mm");
        name_paper(r, item, paper);
        find_line(r, paper);
        if (!read_its_pieces(r, paper)) return false;
    }
    return true;
}

static void read_cutter(Reader *r)
{
    Cutter *cutter = &r->out->cutter;
    const json_t *item = json_object_get(r->root, "cutter");
    if (!json_is_object(item)) return;
    r->out->has_cutter = true;
    snprintf(cutter->name, sizeof cutter->name, "%s", kit_json_text(item, "name"));
    numbers_of(item, "mat_mm", 2, cutter->mat_mm);
    numbers_of(item, "loss_mm", 4, cutter->loss_mm);
    cutter->is_roll = json_is_null(list_item(item, "mat_mm", 1));
    cutter->score = has_word(item, "tools", "score");
    cutter->pen = has_word(item, "tools", "pen");
}

// ---- the kit ----

static void read_options(Reader *r)
{
    KitOptions *options = &r->out->options;
    const json_t *knife = json_object_get(r->root, "knife_mm");
    if (!kit_for_find(kit_json_text(r->root, "sheets_for"), &options->sheets_for)) options->sheets_for = KIT_FOR_SHEET;
    options->cut_from_back = strcmp(kit_json_text(r->root, "cut_from"), "back") == 0;
    options->overcut_mm = number_of(knife, "overcut");
    options->blade_offset_mm = number_of(knife, "blade_offset");
    const json_t *copies = json_object_get(list_item(r->root, "sheets", 0), "copies");
    size_t i;
    json_t *name;
    json_array_foreach(copies, i, name) {
        const char *dot = json_is_string(name) ? strrchr(json_string_value(name), '.') : NULL;
        if (dot && strcmp(dot, ".dxf") == 0) options->formats |= KIT_DXF;
        if (dot && strcmp(dot, ".plt") == 0) options->formats |= KIT_HPGL;
    }
    if (!json_object_get(list_item(r->root, "papers", 0), "print")) options->formats |= KIT_WITHOUT_PDF;
}

bool kit_read(const FileSet *kit, Arena *keep, KitRead *out, Error *err)
{
    *out = (KitRead){0};
    const FileBytes *file = file_find(kit, "kit.json");
    out->json = file ? json_loadb(file->bytes, file->size_bytes, 0, NULL) : NULL;
    if (!out->json) return error_set(err, ERROR_INPUT, "kit.json cannot be read; build the kit again");
    Reader r = {out->json, keep, out, err};
    out->name = kit_json_text(r.root, "name");
    read_cutter(&r);
    read_options(&r);
    return read_layers(&r) && read_pieces(&r) && read_seams(&r) && read_marks(&r) && read_papers(&r);
}

void kit_read_free(KitRead *kit)
{
    json_decref(kit->json);
    kit->json = NULL;
}

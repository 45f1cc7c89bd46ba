// recut.c - see recut.h. The story: read the kit, choose the pieces, put them on papers, lay them, write, compare.
#include "job/recut.h"

#include "base/text.h"
#include "job/kit_json.h"
#include "job/kit_read.h"
#include "shape/overlay.h"

#include <stdio.h>
#include <string.h>

#define NAMED_MOST 6    // pieces in one sentence; more are counted

typedef struct Recutting {
    const FileSet *kit;
    const RecutWish *wish;
    KitRead from;
    Paper paper;            // the wished one
    bool **chosen;          // by layer and piece
    KitPaper *papers;       // with the chosen pieces
    int paper_count;
    Arena *keep;
    Work *work;
} Recutting;

// ---- which pieces ----

static int choose_layer(Recutting *r, int layer, bool value)
{
    const LayerPieces *pieces = &r->from.pieces[layer];
    for (int p = 0; p < pieces->piece_count; p++) r->chosen[layer][p] = value;
    return pieces->piece_count;
}

// All pieces that the name means by itself or by its sheet; how many there are.
static int choose_pieces(Recutting *r, const char *name, bool value)
{
    int count = 0;
    size_t i;
    json_t *item;
    json_array_foreach(json_object_get(r->from.json, "pieces"), i, item) {
        const char *id = json_string_value(json_object_get(item, "id"));
        if (!id || (strcmp(id, name) != 0 && strcmp(kit_json_text(item, "sheet"), name) != 0)) continue;
        for (int l = 0; l < r->from.stack.layer_count; l++)
            for (int p = 0; p < r->from.pieces[l].piece_count; p++)
                if (strcmp(r->from.pieces[l].pieces[p].id, id) == 0) {
                    r->chosen[l][p] = value;
                    count++;
                }
    }
    return count;
}

static bool choose(Recutting *r, const char *name, bool value, Error *err)
{
    char letter[8];
    int count = 0;
    for (int l = 0; l < r->from.stack.layer_count; l++) {
        layer_letter(l, letter);
        if (strcmp(letter, name) == 0) count += choose_layer(r, l, value);
    }
    if (count > 0 || choose_pieces(r, name, value) > 0) return true;
    return error_set(err, ERROR_USAGE, "%.60s has no piece, layer or sheet '%.40s'; its key plan shows their names: A7, A, %.40s", r->from.name, name,
                     json_string_value(json_object_get(json_array_get(json_object_get(r->from.json, "sheets"), 0), "id")));
}

static bool choose_all(Recutting *r, Error *err)
{
    int layers = r->from.stack.layer_count, count = 0;
    r->chosen = arena_new(r->keep, bool *, layers);
    if (!r->chosen) return error_memory(err);
    for (int l = 0; l < layers; l++)
        if (!(r->chosen[l] = arena_new(r->keep, bool, r->from.pieces[l].piece_count))) return error_memory(err);
    for (int i = 0; i < r->wish->name_count; i++)
        if (!choose(r, r->wish->names[i], true, err)) return false;
    for (int i = 0; i < r->wish->but_count; i++)
        if (!choose(r, r->wish->but[i], false, err)) return false;
    for (int l = 0; l < layers; l++)
        for (int p = 0; p < r->from.pieces[l].piece_count; p++) count += r->chosen[l][p];
    return count > 0 || error_set(err, ERROR_USAGE, "no piece is left to recut");
}

// ---- on which papers ----

static bool takes(const Paper *paper, MarkLine line)
{
    return line == MARK_PEN ? !paper->no_pen : line == MARK_SCORE ? !paper->no_score : !paper->no_pen || !paper->no_score;
}

static bool takes_its_lines(const Recutting *r, const KitPaper *paper, Error *err)
{
    for (int i = 0; i < paper->piece_count; i++) {
        const LayerMarks *marks = &r->from.marks[paper->layers[i]];
        for (int m = 0; m < marks->mark_count; m++) {
            if (marks->marks[m].piece != paper->pieces[i] || takes(&paper->paper, marks->marks[m].line)) continue;
            return error_set(err, ERROR_JOB, "%s has lines by %s, and the paper %s takes none; choose a paper that does",
                             r->from.pieces[paper->layers[i]].pieces[paper->pieces[i]].id, mark_line_word(marks->marks[m].line), paper->paper.id);
        }
    }
    return true;
}

// The wished paper as the kit's cutter takes it.
static bool take_paper(Recutting *r, Error *err)
{
    if (!r->wish->paper) return true;
    r->paper = *r->wish->paper;
    return !r->from.has_cutter || cutter_take_paper(&r->from.cutter, &r->paper, err);
}

// The paper that a piece had, changed as wished.
static KitPaper wished_paper(const Recutting *r, const KitPaper *had)
{
    KitPaper paper = *had;
    const RecutWish *wish = r->wish;
    if (wish->colour) {
        paper.colour = *wish->colour;
        snprintf(paper.colour_name, sizeof paper.colour_name, "%s", wish->colour_name ? wish->colour_name : colour_name(*wish->colour));
    }
    if (wish->paper) paper.paper = r->paper;
    snprintf(paper.id, sizeof paper.id, "%s-%s", paper.paper.id, paper.colour_name);
    return paper;
}

static KitPaper *find_paper(Recutting *r, const KitPaper *wanted)
{
    for (int i = 0; i < r->paper_count; i++)
        if (paper_equal(&r->papers[i].paper, &wanted->paper) && memcmp(&r->papers[i].colour, &wanted->colour, sizeof wanted->colour) == 0)
            return &r->papers[i];
    KitPaper *paper = &r->papers[r->paper_count];
    int same = 1;
    *paper = *wanted;
    paper->piece_count = 0;
    for (int i = 0; i < r->paper_count; i++)
        same += strcmp(r->papers[i].paper.id, paper->paper.id) == 0 && strcmp(r->papers[i].colour_name, paper->colour_name) == 0;
    if (same > 1) snprintf(paper->id, sizeof paper->id, "%.40s-%.28s-%d", wanted->paper.id, wanted->colour_name, same);
    r->paper_count++;
    return paper;
}

static bool open_paper(Recutting *r, KitPaper *paper, int piece_count, Error *err)
{
    if (paper->piece_count > 0) return true;
    paper->layers = arena_new(r->keep, int, piece_count);
    paper->pieces = arena_new(r->keep, int, piece_count);
    return (paper->layers && paper->pieces) || error_memory(err);
}

static bool gather_papers(Recutting *r, Error *err)
{
    int all = 0;
    for (int l = 0; l < r->from.stack.layer_count; l++) all += r->from.pieces[l].piece_count;
    r->papers = arena_new(r->keep, KitPaper, r->from.paper_count);
    if (!r->papers) return error_memory(err);
    for (int i = 0; i < r->from.paper_count; i++) {
        const KitPaper *had = &r->from.papers[i], wanted = wished_paper(r, had);
        for (int k = 0; k < had->piece_count; k++) {
            if (!r->chosen[had->layers[k]][had->pieces[k]]) continue;
            KitPaper *paper = find_paper(r, &wanted);
            if (!open_paper(r, paper, all, err)) return false;
            paper->layers[paper->piece_count] = had->layers[k];
            paper->pieces[paper->piece_count++] = had->pieces[k];
        }
    }
    for (int i = 0; i < r->paper_count; i++)
        if (!takes_its_lines(r, &r->papers[i], err)) return false;
    return true;
}

// ---- on which sheets ----

static bool too_large(const Recutting *r, const KitPaper *paper, const bool *fits, Error *err)
{
    char names[160] = "";
    int named = 0, count = 0;
    for (int i = 0; i < paper->piece_count; i++) {
        if (fits[i]) continue;
        size_t used = strlen(names);
        if (named < NAMED_MOST)
            snprintf(names + used, sizeof names - used, "%s%s", named++ ? ", " : "", r->from.pieces[paper->layers[i]].pieces[paper->pieces[i]].id);
        count++;
    }
    char more[32] = "";
    if (count > named) snprintf(more, sizeof more, " and %d more", count - named);
    return error_set(err, ERROR_JOB, "%s%s %s not fit %s; recut the others on it, and %s on a larger paper, or build the job again with what is cut "
                     "held fast: then the rest is divided anew", names, more, count == 1 ? "does" : "do", paper->paper.id, count == 1 ? "this" : "these");
}

static bool find_fit(Recutting *r, const Rings *rings, Space space, Fit *fit, bool *fits, Error *err)
{
    ArenaMark mark = arena_mark(&r->work->scratch);
    int count = rings_point_count(rings), hull_count, n = 0;
    Point *points = arena_new(&r->work->scratch, Point, count);
    if (!points) return error_memory(err);
    for (int i = 0; i < rings->count; i++)
        for (int k = 0; k < rings->items[i].count; k++) points[n++] = rings->items[i].points[k];
    Point *hull = hull_make(points, count, &r->work->scratch, &hull_count);
    if (!hull) return error_memory(err);
    *fits = hull_fits(hull, hull_count, space, fit);
    arena_rewind(&r->work->scratch, mark);
    return true;
}

static bool lay(Recutting *r, KitPaper *paper, Error *err)
{
    NestOptions options = nest_defaults(&paper->paper);
    NestItem *items = arena_new(r->keep, NestItem, paper->piece_count);
    bool *fits = arena_new(r->keep, bool, paper->piece_count), all = true;
    if (!items || !fits) return error_memory(err);
    paper->gap_mm = options.gap_mm;
    for (int i = 0; i < paper->piece_count; i++) {
        items[i].rings = piece_cut(&r->from.pieces[paper->layers[i]].pieces[paper->pieces[i]]);
        if (!find_fit(r, items[i].rings, options.space, &items[i].fit, &fits[i], err)) return false;
        all = all && fits[i];
    }
    if (!all) return too_large(r, paper, fits, err);
    return nest_pieces(items, paper->piece_count, &options, r->keep, r->work, &paper->nest, err);
}

// ---- the files ----

// What is cut once more is what was cut, to the byte.
static bool compare_pieces(const Recutting *r, const FileSet *files, Error *err)
{
    static const char *const KEYS[] = {"layer", "outline", "face", "marks"};
    const FileBytes *file = file_find(files, "kit.json");
    json_t *now = json_loadb(file->bytes, file->size_bytes, 0, NULL);
    if (!now) return error_memory(err);
    const char *changed = NULL;
    size_t i;
    json_t *item;
    json_array_foreach(json_object_get(now, "pieces"), i, item) {
        const char *id = json_string_value(json_object_get(item, "id"));
        const json_t *was = kit_json_find(r->from.json, "pieces", id);
        for (int k = 0; k < 4; k++)
            if (!was || (json_object_get(was, KEYS[k]) && !json_equal(json_object_get(was, KEYS[k]), json_object_get(item, KEYS[k])))) changed = id;
    }
    bool same = !changed || error_set(err, ERROR_SYSTEM, "piece %.16s would not be the same; please report this", changed);
    json_decref(now);
    return same;
}

static bool name_recut(Recutting *r, const char **out, Error *err)
{
    Text text = text_make(r->keep);
    text_printf(&text, "%s-recut", r->from.name);
    *out = text.bytes;
    return text_is_whole(&text, err);
}

static bool write_files(Recutting *r, Recut *out, Error *err)
{
    KitInput input = {
        .name = out->name,
        .recut_of = r->from.name,
        .stack = &r->from.stack,
        .layer_pieces = r->from.pieces,
        .layer_marks = r->from.marks,
        .papers = r->papers,
        .paper_count = r->paper_count,
        .cutter = r->from.has_cutter ? &r->from.cutter : NULL,
        .options = r->wish->options ? *r->wish->options : r->from.options,
    };
    return kit_make(&input, r->keep, r->work, &out->files, err) && compare_pieces(r, &out->files, err);
}

static bool is_whole_kit(const Recutting *r, Error *err)
{
    const char *of = json_string_value(json_object_get(r->from.json, "recut_of"));
    return !of || error_set(err, ERROR_USAGE, "this kit is a part of %.60s, cut once more; recut from %.60s itself", of, of);
}

static bool make(Recutting *r, Recut *out, Error *err)
{
    if (!kit_read(r->kit, r->keep, &r->from, err) || !is_whole_kit(r, err) || !take_paper(r, err) || !choose_all(r, err) || !gather_papers(r, err) || !name_recut(r, &out->name, err)) return false;
    for (int i = 0; i < r->paper_count; i++) {
        if (!work_goes_on(r->work, err) || !lay(r, &r->papers[i], err)) return false;
        out->piece_count += r->papers[i].piece_count;
        out->sheet_count += r->papers[i].nest.sheet_count;
    }
    return write_files(r, out, err);
}

bool recut_make(const FileSet *kit, const RecutWish *wish, const atomic_bool *cancel, Arena *keep, Recut *out, Error *err)
{
    *out = (Recut){0};
    Work work = {.scratch = arena_make(0), .cancel = cancel};
    Recutting r = {.kit = kit, .wish = wish, .keep = keep, .work = &work};
    bool done = overlay_create(cancel, &work.overlay, err) && make(&r, out, err);
    kit_read_free(&r.from);
    overlay_destroy(work.overlay);
    arena_free(&work.scratch);
    return done;
}

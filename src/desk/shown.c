// shown.c - see shown.h. Geometry as texts: views.c.
#include "desk/shown.h"

#include "kit/draft.h"
#include "paper/stock.h"
#include "proof/read_json.h"
#include "separation/verdict.h"

#include <stdio.h>
#include <string.h>

const char *shown_level_word(ShownLevel level)
{
    switch (level) {
    case SHOWN_NONE: return "none";
    case SHOWN_COLOURS: return "colours";
    case SHOWN_FIRST: return "first";
    case SHOWN_WHOLE: return "whole";
    }
    return "";
}

// ---- colours ----

static bool take_colours(const ShownFrom *from, Shown *out, Error *err)
{
    const Separation *separation = &from->job->separation;
    const Stack *stack = &from->job->stack;
    bool named = from->level != SHOWN_COLOURS; // with the maker's names
    int count = named ? stack->colour_count : separation->colour_count;
    const SeparationColour *colours = named ? stack->colours : separation->colours;
    double whole = 0.0;
    for (int i = 0; i < count; i++) whole += (double)colours[i].area_px;
    out->colours = arena_new(&out->arena, ShownColour, count);
    if (!out->colours) return error_memory(err);
    for (int i = 0; i < count; i++) {
        ShownColour *colour = &out->colours[out->colour_count++];
        *colour = (ShownColour){.colour = colours[i].colour, .regions = colours[i].region_count,
                                .share = whole > 0.0 ? (double)colours[i].area_px / whole : 0.0};
        memcpy(colour->name, colours[i].name, sizeof colour->name);
    }
    out->has_ground = separation->has_ground_colour || whole < (double)separation->width_px * separation->height_px;
    out->ground_is_clear = !separation->has_ground_colour;
    out->ground = separation->ground_colour;
    return true;
}

static bool take_verdict(const ShownFrom *from, Shown *out, Error *err)
{
    Text text = text_make(&out->arena);
    out->verdict = verdict_of(&from->job->separation);
    verdict_say(&from->job->separation, from->settings->height_mm, &text);
    out->verdict_text = text.bytes;
    return text_is_whole(&text, err);
}

// ---- papers, sheets ----

static bool take_papers(const Job *job, Shown *out, Error *err)
{
    out->papers = arena_new(&out->arena, ShownPaper, job->paper_count);
    if (!out->papers) return error_memory(err);
    for (int p = 0; p < job->paper_count; p++) {
        const KitPaper *paper = &job->papers[p];
        ShownPaper *entry = &out->papers[out->paper_count++];
        *entry = (ShownPaper){arena_text(&out->arena, paper->id), arena_text(&out->arena, paper->paper.id), paper->colour,
                              paper->nest.sheet_count, kit_order(paper).sheets,
                              paper->paper.width_mm, paper->paper.height_mm};
        out->sheets += paper->nest.sheet_count;
        if (!entry->id || !entry->paper) return error_memory(err);
    }
    return true;
}

// ---- pieces: where each lies ----

static ShownPiece *first_of_layer(Shown *out, int layer)
{
    for (int i = 0; i < out->piece_count; i++)
        if (out->pieces[i].layer == layer) return &out->pieces[i];
    return out->pieces;
}

static bool take_places(const Job *job, Shown *out, Error *err)
{
    KitInput input = {.papers = job->papers, .paper_count = job->paper_count};
    for (int p = 0; p < job->paper_count; p++) {
        const KitPaper *paper = &job->papers[p];
        char word[64], id[80];
        draft_paper_word(&input, p, word);
        for (int i = 0; i < paper->piece_count; i++) {
            ShownPiece *piece = first_of_layer(out, paper->layers[i]) + paper->pieces[i];
            snprintf(id, sizeof id, "%s-%d", word, paper->nest.places[i].sheet + 1);
            piece->sheet = arena_text(&out->arena, id);
            if (!piece->sheet) return error_memory(err);
        }
    }
    return true;
}

static bool take_pieces(const Job *job, Shown *out, Error *err)
{
    int count = 0;
    for (int l = 0; l < job->stack.layer_count; l++) count += job->pieces[l].piece_count;
    out->pieces = arena_new(&out->arena, ShownPiece, count);
    if (!out->pieces) return error_memory(err);
    for (int l = 0; l < job->stack.layer_count; l++)
        for (int p = 0; p < job->pieces[l].piece_count; p++) {
            ShownPiece *piece = &out->pieces[out->piece_count++];
            *piece = (ShownPiece){.layer = l, .sheet = ""};
            memcpy(piece->id, job->pieces[l].pieces[p].id, sizeof piece->id);
        }
    return take_places(job, out, err);
}

// ---- layers ----

static const KitPaper *paper_of_layer(const Job *job, int layer, int *out_sheets)
{
    *out_sheets = 0;
    const KitPaper *found = NULL;
    for (int p = 0; p < job->paper_count; p++) {
        const KitPaper *paper = &job->papers[p];
        int last = -1; // pieces are no rising order of sheets: count by looking at each sheet
        for (int s = 0; s < paper->nest.sheet_count; s++)
            for (int i = 0; i < paper->piece_count; i++)
                if (paper->layers[i] == layer && paper->nest.places[i].sheet == s && last != s) {
                    last = s;
                    found = paper;
                    (*out_sheets)++;
                }
    }
    return found;
}

static int layer_of_label(const Stack *stack, int label)
{
    for (int l = 0; label > 0 && l < stack->layer_count; l++)
        if (stack->layers[l].colour == label - 1) return l;
    return -1;
}

// Which lower layers a layer meets: their colours share an arc.
static bool take_meetings(const Job *job, Shown *out, Error *err)
{
    int count = job->stack.layer_count;
    bool *meets = arena_new(&out->arena, bool, (size_t)count * (size_t)count);
    if (!meets) return error_memory(err);
    for (int a = 0; a < job->outlines.arc_count; a++) {
        const Arc *arc = &job->outlines.arcs[a];
        int left = layer_of_label(&job->stack, job->outlines.regions[arc->left].label);
        int right = layer_of_label(&job->stack, job->outlines.regions[arc->right].label);
        if (left >= 0 && right >= 0 && left != right) meets[(left > right ? left : right) * count + (left < right ? left : right)] = true;
    }
    for (int l = 0; l < count; l++) {
        int *over = arena_new(&out->arena, int, count);
        if (!over) return error_memory(err);
        for (int below = 0; below < l; below++)
            if (meets[l * count + below]) over[out->layers[l].over_count++] = below;
        out->layers[l].over = over;
    }
    return true;
}

static bool take_layers(const Job *job, Shown *out, Error *err)
{
    out->layers = arena_new(&out->arena, ShownLayer, job->stack.layer_count);
    if (!out->layers) return error_memory(err);
    for (int l = 0; l < job->stack.layer_count; l++) {
        ShownLayer *layer = &out->layers[out->layer_count++];
        const KitPaper *paper = paper_of_layer(job, l, &layer->sheets);
        layer_letter(l, layer->id);
        layer->colour = job->stack.layers[l].colour;
        layer->paper = paper ? arena_text(&out->arena, paper->paper.id) : "";
        if (!layer->paper) return error_memory(err);
        layer->pieces = job->pieces[l].piece_count;
        for (int s = 0; s < job->pieces[l].seam_count; s++) {
            layer->seam_mm += job->pieces[l].seams[s].length_mm;
            layer->visible_mm += job->pieces[l].seams[s].visible_mm;
        }
        out->seam_mm += layer->seam_mm;
        out->visible_seam_mm += layer->visible_mm;
    }
    return take_meetings(job, out, err);
}

// ---- findings ----

static bool add_findings(const Findings *from, Shown *out, Error *err)
{
    for (size_t i = 0; i < from->count; i++) {
        const Finding *f = &from->items[i];
        const char *kind = arena_text(&out->arena, f->kind), *text = arena_text(&out->arena, f->text);
        if (!kind || !text || !findings_add(&out->findings, &out->arena, kind, text, f->x_mm, f->y_mm)) return error_memory(err);
    }
    return true;
}

static bool take_findings(const ShownFrom *from, Shown *out, Error *err)
{
    const Job *job = from->job;
    if (!add_findings(&job->stack.findings, out, err)) return false;
    for (int l = 0; l < job->stack.layer_count; l++)
        if (!add_findings(&job->pieces[l].findings, out, err) ||
            (from->level == SHOWN_WHOLE && !add_findings(&job->marks[l].findings, out, err)))
            return false;
    return true;
}

// What spoils the work most comes first; crumbs are no worry.
static void take_worry(Shown *out)
{
    static const struct { const char *kind, *one, *many; } WORRIES[] = {
        {"edit-not-kept", "one wish could not be kept", "%d wishes could not be kept"},
        {"edit-without-target", "one wish finds no place here", "%d wishes find no place here"},
        {"colour-gone", "one colour is too small to cut", "%d colours are too small to cut"},
        {"thin-part", "one part is too thin to cut well", "%d parts are too thin to cut well"},
        {"thin-colour", "one colour is thin lines alone", "%d colours are thin lines alone"},
        {"thin-gap", "one gap is too thin to cut well", "%d gaps are too thin to cut well"},
        {"narrow-piece", "one piece is narrower than is good", "%d pieces are narrower than is good"},
        {"photograph", "the picture has soft shadings", "the picture has soft shadings"},
        {"layer-unmarked", "one paper takes no lines", "%d papers take no lines"},
        {"not-drawn", "one detail cannot be drawn", "%d details cannot be drawn"},
    };
    for (size_t k = 0; k < sizeof WORRIES / sizeof WORRIES[0] && out->worry.count == 0; k++)
        for (size_t i = 0; i < out->findings.count; i++) {
            const Finding *f = &out->findings.items[i];
            if (strcmp(f->kind, WORRIES[k].kind) != 0) continue;
            if (out->worry.count++ == 0) {
                out->worry.at_mm[0] = f->x_mm;
                out->worry.at_mm[1] = f->y_mm;
            }
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
            snprintf(out->worry.text, sizeof out->worry.text, out->worry.count == 1 ? WORRIES[k].one : WORRIES[k].many, out->worry.count);
#pragma GCC diagnostic pop
        }
}

// ---- totals ----

static double number_of(const json_t *totals, const char *key)
{
    const json_t *value = json_object_get(totals, key);
    return json_is_number(value) ? json_number_value(value) : -1.0;
}

static bool take_totals(const FileBytes *file, Shown *out, Error *err)
{
    Arena own = arena_make(0);
    const json_t *kit;
    json_error_t where;
    bool done = read_json(file->bytes, file->size_bytes, &own, &kit, &where, err);
    const json_t *totals = done ? json_object_get(kit, "totals") : NULL;
    if (totals) {
        out->has_totals = true;
        out->cut_mm = number_of(totals, "cut_mm");
        out->score_mm = number_of(totals, "score_mm");
        out->pen_mm = number_of(totals, "pen_mm");
        out->waste_percent = number_of(totals, "waste_percent");
        out->cutting_minutes = number_of(totals, "cutting_minutes");
        out->assembly_minutes = number_of(totals, "assembly_minutes");
        out->cost = number_of(totals, "cost");
    }
    arena_free(&own);
    return done;
}

static bool take_kit(const Job *job, Shown *out, Error *err)
{
    const FileBytes *file = file_find(&job->kit, "kit.json");
    if (!file) return true;
    const char *bytes = arena_copy(&out->arena, file->bytes, file->size_bytes, 1);
    if (!bytes) return error_memory(err);
    out->kit_json = (FileBytes){"kit.json", bytes, file->size_bytes};
    return take_totals(file, out, err);
}

// ---- all ----

static bool take_geometry(const ShownFrom *from, Shown *out, Error *err)
{
    const Job *job = from->job;
    FigureFrame frame = figure_frame(&job->separation, &job->outlines);
    out->figure_mm[0] = frame.left_mm;
    out->figure_mm[1] = frame.top_mm;
    out->figure_mm[2] = frame.height_mm;
    out->width_mm = job->stack.width_mm;
    out->height_mm = job->stack.height_mm;
    out->border_mm = job->stack.border_mm;
    out->underlap_mm = job->stack.underlap_mm;
    out->base_colour = job->stack.base_colour;
    if (!take_papers(job, out, err) || !take_pieces(job, out, err) || !take_layers(job, out, err) || !take_findings(from, out, err))
        return false;
    take_worry(out);
    return views_make(from, out, err) && (from->level != SHOWN_WHOLE || take_kit(job, out, err));
}

bool shown_make(const ShownFrom *from, Shown **out, Error *err)
{
    Arena arena = arena_make(0);
    Shown *shown = arena_new(&arena, Shown, 1);
    *out = shown;
    if (!shown) return error_memory(err);
    *shown = (Shown){.arena = arena, .users = 1, .level = from->level, .revision = from->revision, .shape = from->shape,
                     .job = from->number, .width_px = from->job->picture.width_px, .height_px = from->job->picture.height_px,
                     .cost = -1.0};
    if (take_verdict(from, shown, err) && take_colours(from, shown, err) &&
        (from->level == SHOWN_COLOURS || take_geometry(from, shown, err)))
        return true;
    shown_release(shown);
    *out = NULL;
    return false;
}

void shown_release(Shown *shown)
{
    if (!shown || --shown->users > 0) return;
    Arena arena = shown->arena; // the struct lies in it
    arena_free(&arena);
}

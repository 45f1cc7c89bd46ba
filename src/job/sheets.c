// sheets.c - see sheets.h.
#include "job/sheets.h"

#include "job/hidden.h"
#include "job/offcuts.h"
#include "job/places.h"
#include "seam/hinge.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

static bool same_paper(const KitPaper *entry, const Paper *paper, Srgb8 colour)
{
    return !entry->is_any && paper_equal(&entry->paper, paper) && memcmp(&entry->colour, &colour, sizeof colour) == 0;
}

// Ids are the size and colour; of papers that differ in something else the later ones are numbered.
void sheets_name_paper(const KitPaper *papers, int count, KitPaper *entry)
{
    int same = 1;
    char id[sizeof entry->id];
    snprintf(id, sizeof id, "%s-%s", entry->paper.id, entry->colour_name);
    for (int i = 0; i < count; i++)
        same += strcmp(papers[i].paper.id, entry->paper.id) == 0 && strcmp(papers[i].colour_name, entry->colour_name) == 0;
    if (same == 1) snprintf(entry->id, sizeof entry->id, "%s", id);
    else snprintf(entry->id, sizeof entry->id, "%.64s-%d", id, same);
}

static KitPaper *find_paper(Job *out, const Paper *paper, const SeparationColour *colour)
{
    for (int i = 0; i < out->paper_count; i++)
        if (same_paper(&out->papers[i], paper, colour->colour)) return &out->papers[i];
    KitPaper *entry = &out->papers[out->paper_count++];
    *entry = (KitPaper){.paper = *paper, .colour = colour->colour};
    snprintf(entry->colour_name, sizeof entry->colour_name, "%s", colour->name);
    sheets_name_paper(out->papers, out->paper_count - 1, entry);
    return entry;
}

// What covered pieces of the base are cut from: of its size and weight, in any colour.
static KitPaper *find_any_paper(Job *out, const Paper *paper)
{
    for (int i = 0; i < out->paper_count; i++)
        if (out->papers[i].is_any) return &out->papers[i];
    KitPaper *entry = &out->papers[out->paper_count++];
    *entry = (KitPaper){.paper = *paper, .colour = {0xb9, 0xb2, 0xa4}, .is_any = true};
    snprintf(entry->colour_name, sizeof entry->colour_name, "%s", HIDDEN_COLOUR_NAME);
    sheets_name_paper(out->papers, out->paper_count - 1, entry);
    return entry;
}

// What a piece is cut from: the layer's paper, but for one that was cut from another before.
static const Paper *paper_of_piece(const Run *run, int layer, int piece)
{
    return piece_paper(&run->seams.options[layer], run->out->pieces[layer].pieces[piece].id);
}

static KitPaper *entry_of_piece(Run *run, int layer, int piece, bool any)
{
    const SeparationColour *colour = &run->out->stack.colours[run->out->stack.layers[layer].colour];
    return any ? find_any_paper(run->out, &run->layer_papers[layer]) : find_paper(run->out, paper_of_piece(run, layer, piece), colour);
}

static bool put_piece(KitPaper *entry, int layer, int piece, int all_pieces, Arena *keep, Error *err)
{
    if (!entry->pieces) {
        entry->layers = arena_new(keep, int, all_pieces);
        entry->pieces = arena_new(keep, int, all_pieces);
        if (!entry->layers || !entry->pieces) return error_memory(err);
    }
    entry->layers[entry->piece_count] = layer;
    entry->pieces[entry->piece_count++] = piece;
    return true;
}

// Papers whose pieces are all cut from them already are at hand: the others of those layers come from another paper now.
static void tell_at_hand(Run *run)
{
    for (int p = 0; p < run->out->paper_count; p++) {
        KitPaper *paper = &run->out->papers[p];
        paper->at_hand = paper->piece_count > 0 && !paper->is_any;
        for (int i = 0; i < paper->piece_count; i++)
            if (paper_of_piece(run, paper->layers[i], paper->pieces[i]) == &run->seams.options[paper->layers[i]].paper) paper->at_hand = false;
    }
}

static bool make_papers(Run *run, int *all_pieces, Error *err)
{
    int kinds = run->out->stack.layer_count + 1; // and any card for what is covered
    *all_pieces = 0;
    for (int layer = 0; layer < run->out->stack.layer_count; layer++) {
        *all_pieces += run->out->pieces[layer].piece_count;
        kinds += run->seams.wishes[layer].frozen_count;
    }
    run->out->papers = arena_new(&run->version->arena, KitPaper, kinds);
    return run->out->papers || error_memory(err);
}

// One KitPaper for each kind and colour of paper, in the order in which the layers first use them.
static bool gather_papers(Run *run, Error *err)
{
    Job *out = run->out;
    int all_pieces;
    bool *hidden;
    if (!make_papers(run, &all_pieces, err) || !hidden_find(run, &hidden, err)) return false;
    for (int layer = 0; layer < out->stack.layer_count; layer++)
        for (int piece = 0; piece < out->pieces[layer].piece_count; piece++) {
            KitPaper *entry = entry_of_piece(run, layer, piece, layer == 0 && hidden[piece]);
            if (!put_piece(entry, layer, piece, all_pieces, &run->version->arena, err)) return false;
        }
    tell_at_hand(run);
    return true;
}

// ---- marks, sheets and thin parts: none waits for another ----

static bool prepare_mark(Run *run, int layer, Error *err)
{
    MarkView *view = &run->marks.views[layer];
    bool is_new;
    if (!view_for_marks(&run->out->stack, run->out->pieces, layer, &run->own, view, err)) return false;
    run->marks.options[layer] = tools_mark_options(&run->replay.tools, run->options->settings, &run->layer_papers[layer]);
    Key key = view_marks_key(view, layer, &run->marks.options[layer]);
    if (!run_take(run, key, sizeof(LayerMarks), &run->kept.marks[layer], &is_new, err)) return false;
    double weight = 3.0 * run_point_count(&view->stack.layers[layer].cover);
    for (int i = layer; i < view->stack.layer_count; i++) weight += run_point_count(&view->stack.layers[i].rings);
    if (is_new) run_add_task(run, (Task){TASK_MARKS, layer, weight, run->kept.marks[layer]});
    return true;
}

// Where the base would fold: it hangs on the pieces of all layers.
static bool prepare_hinges(Run *run, Error *err)
{
    Hasher h = hasher_make("hinges");
    hash_double(&h, run->out->stack.height_mm);
    for (int layer = 0; layer < run->out->stack.layer_count; layer++) hash_key(&h, run->kept.pieces[layer]->key);
    bool is_new;
    if (!run_take(run, hasher_key(&h), sizeof(Findings), &run->kept.hinges, &is_new, err)) return false;
    if (is_new) run_add_task(run, (Task){TASK_HINGES, 0, 0.0, run->kept.hinges});
    return true;
}

static bool prepare_nest(Run *run, int paper, Error *err)
{
    KitPaper *entry = &run->out->papers[paper];
    PaperUnit *unit = &run->sheets.units[paper];
    double weight = 0.0;
    unit->options = nest_defaults(&entry->paper);
    entry->gap_mm = unit->options.gap_mm;
    entry->unmarked = !tools_line(&run->replay.tools, &entry->paper, &entry->line);
    unit->items = arena_new(&run->own, NestItem, entry->piece_count);
    if (!unit->items) return error_memory(err);
    for (int i = 0; i < entry->piece_count; i++) {
        const Piece *piece = &run->out->pieces[entry->layers[i]].pieces[entry->pieces[i]];
        unit->items[i] = (NestItem){.rings = piece_cut(piece), .fit = piece->fit};
        weight += run_point_count(piece_cut(piece));
    }
    if (offcuts_has(run, paper)) return offcuts_prepare(run, paper, weight, err);
    Key key = view_nest_key(unit->items, entry->piece_count, &unit->options);
    if (run->options->unrefined && unit->options.orders > 1 && !run_knows(run, key)) {
        unit->options.orders = 1;
        unit->options.moves = 0;
        key = view_nest_key(unit->items, entry->piece_count, &unit->options);
    }
    bool is_new;
    if (!run_take(run, key, sizeof(NestResult), &run->kept.nests[paper], &is_new, err)) return false;
    if (is_new) run_add_task(run, (Task){TASK_NEST, paper, weight * unit->options.orders, run->kept.nests[paper]});
    return true;
}

static bool nest_task(Run *run, const Task *task, Work *work, Error *err)
{
    const PaperUnit *paper = &run->sheets.units[task->index];
    if (offcuts_has(run, task->index)) return offcuts_task(run, task, work, err);
    return nest_pieces(paper->items, run->out->papers[task->index].piece_count, &paper->options, &task->kept->arena, work,
                       task->kept->value, err);
}

static bool mark_task(Run *run, const Task *task, Work *work, Error *err)
{
    const MarkView *view = &run->marks.views[task->index];
    return mark_layer(&view->stack, view->pieces, task->index, &run->marks.options[task->index], &task->kept->arena, work,
                      task->kept->value, err);
}

static bool run_task(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    const Task *task = &run->units.tasks[unit];
    switch (task->kind) {
    case TASK_NEST: return nest_task(run, task, work, err);
    case TASK_MARKS: return mark_task(run, task, work, err);
    case TASK_HINGES: return hinge_tell(&run->out->stack, run->out->pieces, &task->kept->arena, work, task->kept->value, err);
    case TASK_PIECES:
    case TASK_THIN: break; // of the stage before
    }
    assert(!"a task of another stage");
    return false;
}

static bool prepare_tasks(Run *run, Error *err)
{
    int layers = run->out->stack.layer_count, papers = run->out->paper_count;
    Arena *keep = &run->version->arena;
    run->marks.options = arena_new(&run->own, MarkOptions, layers);
    run->marks.views = arena_new(&run->own, MarkView, layers);
    run->sheets.units = arena_new(&run->own, PaperUnit, papers);
    run->kept.marks = arena_new(keep, Kept *, layers);
    run->kept.nests = arena_new(keep, Kept *, papers);
    run->out->marks = arena_new(keep, LayerMarks, layers);
    if (!run->marks.options || !run->marks.views || !run->sheets.units || !run->kept.marks || !run->kept.nests || !run->out->marks)
        return error_memory(err);
    if (!run_open_tasks(run, layers + papers + 1, err)) return false;
    run->kept.hinges = NULL;
    if (!run->options->unrefined && !run->options->only_numbers && !prepare_hinges(run, err)) return false;
    for (int layer = 0; layer < layers && !run->options->unrefined; layer++)
        if (!work_goes_on(&run->work, err) || !prepare_mark(run, layer, err)) return false;
    for (int paper = 0; paper < papers; paper++)
        if (!work_goes_on(&run->work, err) || !prepare_nest(run, paper, err)) return false;
    return true;
}

bool sheets_make(Run *run, Error *err)
{
    if (!run_begin(run, STAGE_SHEETS, err)) return false;
    if (!gather_papers(run, err) || !offcuts_find(run, err) || !prepare_tasks(run, err) || !run_tasks(run, run_task, err)) return false;
    for (int layer = 0; layer < run->out->stack.layer_count && !run->options->unrefined; layer++)
        run->out->marks[layer] = *(LayerMarks *)run->kept.marks[layer]->value;
    for (int paper = 0; paper < run->out->paper_count; paper++)
        if (!offcuts_has(run, paper)) run->out->papers[paper].nest = *(NestResult *)run->kept.nests[paper]->value;
    return offcuts_part(run, err) && places_grant(run, err);
}

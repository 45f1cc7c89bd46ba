// offcuts.c - see offcuts.h.
#include "job/offcuts.h"

#include "job/sheets.h"

#include <string.h>

// Of two papers of one colour the first has the offcuts: nobody knows which they were cut from.
static bool is_for(const Run *run, const Offcut *offcut, int paper)
{
    for (int p = 0; p <= paper; p++)
        if (run->out->stack.layers[run->out->papers[p].layers[0]].colour == offcut->colour) return p == paper;
    return false;
}

bool offcuts_find(Run *run, Error *err)
{
    return replay_offcuts(&run->out->stack, run->layer_papers, &run->own, &run->replay, &run->sheets.offcuts, &run->sheets.offcut_count, err);
}

bool offcuts_has(const Run *run, int paper)
{
    for (int i = 0; i < run->sheets.offcut_count; i++)
        if (is_for(run, &run->sheets.offcuts[i], paper)) return true;
    return false;
}

static NestOptions kind_options(const Run *run, const Paper *paper)
{
    NestOptions options = nest_defaults(paper);
    if (!run->options->unrefined) return options;
    options.orders = 1;
    options.moves = 0;
    return options;
}

bool offcuts_prepare(Run *run, int paper, double weight, Error *err)
{
    const KitPaper *entry = &run->out->papers[paper];
    PaperUnit *unit = &run->sheets.units[paper];
    unit->kinds = arena_new(&run->own, NestKind, NEST_MOST_KINDS);
    if (!unit->kinds) return error_memory(err);
    unit->kinds[unit->kind_count++] = (NestKind){kind_options(run, &entry->paper), -1, 1.0};
    for (int i = 0; i < run->sheets.offcut_count; i++)
        if (is_for(run, &run->sheets.offcuts[i], paper))
            unit->kinds[unit->kind_count++] = (NestKind){kind_options(run, &run->sheets.offcuts[i].paper), run->sheets.offcuts[i].count, 0.0};
    Key key = view_mixed_key(unit->items, entry->piece_count, unit->kinds, unit->kind_count);
    bool is_new;
    if (!run_take(run, key, sizeof(NestMixed), &run->kept.nests[paper], &is_new, err)) return false;
    if (is_new) run_add_task(run, (Task){TASK_NEST, paper, weight * unit->kinds[0].options.orders * 4.0, run->kept.nests[paper]});
    return true;
}

bool offcuts_task(Run *run, const Task *task, Work *work, Error *err)
{
    const PaperUnit *unit = &run->sheets.units[task->index];
    return nest_mixed(unit->items, run->out->papers[task->index].piece_count, unit->kinds, unit->kind_count, &task->kept->arena, work,
                      task->kept->value, err);
}

// The pieces of one kind, in their order.
static bool take_kind(const KitPaper *from, const NestMixed *mixed, int kind, Arena *keep, KitPaper *out, Error *err)
{
    out->layers = arena_new(keep, int, from->piece_count);
    out->pieces = arena_new(keep, int, from->piece_count);
    NestPlace *places = arena_new(keep, NestPlace, from->piece_count);
    if (!out->layers || !out->pieces || !places) return error_memory(err);
    out->piece_count = 0;
    for (int i = 0; i < from->piece_count; i++) {
        if (mixed->kinds[i] != kind) continue;
        out->layers[out->piece_count] = from->layers[i];
        out->pieces[out->piece_count] = from->pieces[i];
        places[out->piece_count++] = mixed->places[i];
    }
    out->nest = (NestResult){.places = places, .sheet_count = mixed->sheet_counts[kind]};
    return true;
}

typedef struct Parted {
    KitPaper *papers;
    Kept **kept;
    int count;
} Parted;

static bool part(Run *run, int paper, Parted *out, Error *err)
{
    const KitPaper *from = &run->out->papers[paper];
    const PaperUnit *unit = &run->sheets.units[paper];
    const NestMixed *mixed = run->kept.nests[paper]->value;
    for (int kind = 0; kind < unit->kind_count; kind++) {
        if (mixed->sheet_counts[kind] == 0) continue;
        KitPaper *entry = &out->papers[out->count];
        *entry = *from;
        entry->paper = unit->kinds[kind].options.paper;
        if (!take_kind(from, mixed, kind, &run->version->arena, entry, err)) return false;
        sheets_name_paper(out->papers, out->count, entry);
        out->kept[out->count++] = run->kept.nests[paper];
    }
    return true;
}

bool offcuts_part(Run *run, Error *err)
{
    if (run->sheets.offcut_count == 0) return true;
    Arena *keep = &run->version->arena;
    int most = run->out->paper_count + run->sheets.offcut_count;
    Parted parted = {arena_new(keep, KitPaper, most), arena_new(keep, Kept *, most), 0};
    if (!parted.papers || !parted.kept) return error_memory(err);
    for (int paper = 0; paper < run->out->paper_count; paper++) {
        if (offcuts_has(run, paper)) {
            if (!part(run, paper, &parted, err)) return false;
            continue;
        }
        parted.papers[parted.count] = run->out->papers[paper];
        sheets_name_paper(parted.papers, parted.count, &parted.papers[parted.count]);
        parted.kept[parted.count++] = run->kept.nests[paper];
    }
    run->out->papers = parted.papers;
    run->out->paper_count = parted.count;
    run->kept.nests = parted.kept;
    return true;
}

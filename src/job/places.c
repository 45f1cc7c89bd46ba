// places.c - see places.h.
#include "job/places.h"

#include "nest/places.h"

#include <string.h>

typedef struct Wishes {         // of one paper, in the edits' order
    NestWish *items;
    const Edit **edits;
    int count;
} Wishes;

typedef struct Granted {        // what is kept
    NestResult nest;
    NestFate *fates;            // one a wish
} Granted;

// ---- which piece is meant ----

static const Piece *piece_at(const Job *job, int paper, int index)
{
    const KitPaper *entry = &job->papers[paper];
    return &job->pieces[entry->layers[index]].pieces[entry->pieces[index]];
}

// False when no paper has a piece of this name and, unless it is -1, this colour.
static bool find_piece(const Job *job, const char *id, int colour, int *paper, int *index)
{
    for (int p = 0; p < job->paper_count; p++)
        for (int i = 0; i < job->papers[p].piece_count; i++) {
            if (strcmp(piece_at(job, p, i)->id, id) != 0) continue;
            if (colour >= 0 && job->stack.layers[job->papers[p].layers[i]].colour != colour) continue;
            *paper = p;
            *index = i;
            return true;
        }
    return false;
}

static bool make_items(const Job *job, int paper, Arena *keep, NestItem **out, Error *err)
{
    *out = arena_new(keep, NestItem, job->papers[paper].piece_count);
    if (!*out) return error_memory(err);
    for (int i = 0; i < job->papers[paper].piece_count; i++) {
        const Piece *piece = piece_at(job, paper, i);
        (*out)[i] = (NestItem){.rings = piece_cut(piece), .fit = piece->fit};
    }
    return true;
}

// ---- the edits ----

static bool take_edit(Run *run, const Edit *edit, Wishes *wishes, Error *err)
{
    Arena *keep = &run->version->arena;
    int colour = replay_find_colour(run->replay.colours, run->replay.colour_count, edit->colour), paper, index;
    if (colour < 0) return replay_tell(&run->replay, edit, "edit-without-target", "the picture has no such colour", keep, err);
    if (!edit->text || !find_piece(run->out, edit->text, colour, &paper, &index))
        return replay_tell(&run->replay, edit, "edit-without-target", "this colour has no such piece", keep, err);
    Wishes *of = &wishes[paper];
    size_t most = run->replay.edits->count;
    if (!of->items) of->items = arena_new(&run->own, NestWish, most);
    if (!of->edits) of->edits = arena_new(&run->own, const Edit *, most);
    if (!of->items || !of->edits) return error_memory(err);
    of->items[of->count] = (NestWish){index, {.sheet = edit->sheet - 1}};
    memcpy(of->items[of->count].place.to_sheet, edit->to_sheet, sizeof edit->to_sheet);
    of->edits[of->count++] = edit;
    return true;
}

static const char *reason_of(NestFate fate)
{
    switch (fate) {
    case NEST_FATE_NO_SHEET: return "its paper has no such sheet";
    case NEST_FATE_NO_TURN: return "it may not be turned like that on its paper";
    case NEST_FATE_NO_ROOM: return "it would not lie wholly on the sheet";
    case NEST_FATE_PUSHED: return "a later edit puts another piece there";
    case NEST_FATE_OVERTAKEN:
    case NEST_FATE_KEPT: break;
    }
    return NULL;
}

static Key key_of(const Run *run, int paper, const Wishes *wishes)
{
    Hasher h = hasher_make("places");
    hash_key(&h, run->kept.nests[paper]->key);
    hash_text(&h, run->out->papers[paper].id); // offcuts share the key of the paper that they are beside
    hash_int(&h, wishes->count);
    for (int w = 0; w < wishes->count; w++) {
        hash_int(&h, wishes->items[w].item);
        hash_int(&h, wishes->items[w].place.sheet);
        for (int i = 0; i < 6; i++) hash_double(&h, wishes->items[w].place.to_sheet[i]);
    }
    return hasher_key(&h);
}

static bool grant(Run *run, int paper, const Wishes *wishes, Error *err)
{
    KitPaper *entry = &run->out->papers[paper];
    Kept *kept;
    bool is_new;
    if (!run_take(run, key_of(run, paper, wishes), sizeof(Granted), &kept, &is_new, err)) return false;
    Granted *value = kept->value;
    if (is_new) {
        NestOptions options = nest_defaults(&entry->paper);
        NestItem *items;
        value->fates = arena_new(&kept->arena, NestFate, wishes->count);
        if (!value->fates) return error_memory(err);
        if (!make_items(run->out, paper, &run->own, &items, err) ||
            !nest_grant(items, entry->piece_count, &options, &entry->nest, wishes->items, wishes->count, &kept->arena, &run->work,
                        &value->nest, value->fates, err))
            return false;
    }
    for (int w = 0; w < wishes->count; w++) {
        const char *reason = reason_of(value->fates[w]);
        if (reason && !replay_tell(&run->replay, wishes->edits[w], "edit-not-kept", reason, &run->version->arena, err)) return false;
    }
    entry->nest = value->nest;
    run->kept.nests[paper] = kept;
    return true;
}

bool places_grant(Run *run, Error *err)
{
    const EditList *edits = run->replay.edits;
    Wishes *wishes = arena_new(&run->own, Wishes, run->out->paper_count);
    if (!wishes) return error_memory(err);
    for (size_t i = 0; i < edits->count; i++)
        if (edits->items[i].kind == EDIT_PLACE && !take_edit(run, &edits->items[i], wishes, err)) return false;
    for (int paper = 0; paper < run->out->paper_count; paper++)
        if (wishes[paper].count > 0 && !grant(run, paper, &wishes[paper], err)) return false;
    return true;
}

// ---- further places ----

bool job_places(const Job *job, const char *piece_id, const atomic_bool *cancel, Arena *keep, JobPlaces *out, Error *err)
{
    *out = (JobPlaces){0};
    if (!find_piece(job, piece_id, -1, &out->paper, &out->index))
        return error_set(err, ERROR_JOB, "there is no piece %.16s in this job", piece_id);
    const KitPaper *entry = &job->papers[out->paper];
    NestOptions options = nest_defaults(&entry->paper);
    Work work = {.scratch = arena_make(0), .cancel = cancel};
    NestItem *items;
    out->colour = entry->colour;
    bool done = make_items(job, out->paper, &work.scratch, &items, err) &&
                nest_places(items, entry->piece_count, &options, &entry->nest, out->index, NEST_PLACES_MOST, keep, &work, &out->items,
                            &out->count, err);
    arena_free(&work.scratch);
    return done;
}

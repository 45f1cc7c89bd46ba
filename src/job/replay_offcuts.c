// replay_offcuts.c - the edits "offcut"; see replay.h.
#include "job/replay.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SAME_WEIGHT_GSM 2.0     // pounds and grams of one paper differ by rounding

typedef struct Taking {
    const Stack *stack;
    const Paper *papers;        // of each layer
    Arena *keep;
    Replay *replay;
    Offcut *items;
    int count;
} Taking;

// The colour's paper in the offcut's size. NULL reason: it can be.
static const char *cut_down(const Taking *t, const Edit *edit, const Paper *paper, Paper *out, Error *why)
{
    Paper size;
    const Settings *settings = t->replay->settings;
    if (!edit->text || !paper_parse(edit->text, &size, why)) return why->text;
    if (size.gsm > 0.0 && paper->gsm > 0.0 && fabs(size.gsm - paper->gsm) > SAME_WEIGHT_GSM)
        return "its weight is not that of the colour's paper";
    *out = *paper;
    memcpy(out->id, size.id, sizeof out->id);
    out->width_mm = size.width_mm;
    out->height_mm = size.height_mm;
    out->board_mm[0] = out->board_mm[1] = out->pack_price = 0.0;
    out->pack_count = 0;
    out->is_offcut = true;
    if (settings->has_cutter && !cutter_take_paper(&settings->cutter, out, why)) return why->text;
    return NULL;
}

static int sizes_of(const Taking *t, int colour)
{
    int count = 0;
    for (int i = 0; i < t->count; i++) count += t->items[i].colour == colour && t->items[i].count > 0;
    return count;
}

static Offcut *find(const Taking *t, int colour, const char *id)
{
    for (int i = 0; i < t->count; i++)
        if (t->items[i].colour == colour && strcmp(t->items[i].paper.id, id) == 0) return &t->items[i];
    return NULL;
}

static bool take(Taking *t, const Edit *edit, Error *err)
{
    Error why = {0};
    Paper paper;
    int layer = replay_find_layer(t->replay, t->stack, edit);
    if (layer < 0) return replay_tell(t->replay, edit, "edit-without-target", "the picture has no such colour", t->keep, err);
    int colour = t->stack->layers[layer].colour;
    const char *reason = cut_down(t, edit, &t->papers[layer], &paper, &why);
    Offcut *known = reason ? NULL : find(t, colour, paper.id);
    bool is_one_more = !known || known->count == 0;
    if (!reason && edit->count > 0 && is_one_more && sizes_of(t, colour) == OFFCUT_SIZES_MOST) reason = "there are too many sizes";
    if (reason) return replay_tell(t->replay, edit, "edit-not-kept", reason, t->keep, err);
    if (!known) known = &t->items[t->count++];
    *known = (Offcut){colour, paper, edit->count};
    return true;
}

bool replay_offcuts(const Stack *stack, const Paper *papers, Arena *keep, Replay *replay, Offcut **out, int *out_count, Error *err)
{
    Taking t = {.stack = stack, .papers = papers, .keep = keep, .replay = replay};
    t.items = arena_new(keep, Offcut, replay->edits->count);
    *out = t.items;
    *out_count = 0;
    if (!t.items) return error_memory(err);
    for (size_t i = 0; i < replay->edits->count; i++)
        if (replay->edits->items[i].kind == EDIT_OFFCUT && !take(&t, &replay->edits->items[i], err)) return false;
    for (int i = 0; i < t.count; i++)
        if (t.items[i].count > 0) t.items[(*out_count)++] = t.items[i];
    return true;
}

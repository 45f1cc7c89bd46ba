// replay_forms.c - which layers have lap seams; see replay.h. A lap makes a ridge, so that a layer which nothing covers has none:
// this is judged a layer at a time, whatever of it the cover hides.
#include "job/replay.h"

#include "shape/overlay.h"

#include <stdio.h>
#include <string.h>

#define COVERED_FROM_MM2 1.0 // less is where two layers that only touch were rounded

static bool find_covered(const Layer *layer, Work *work, bool *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Rings both = {0};
    *out = false;
    if (layer->cover.count == 0 || !box_overlap(rings_box(&layer->rings), rings_box(&layer->cover))) return true;
    if (!overlay_rings(&layer->rings, &layer->cover, OVERLAY_INTERSECTION, &work->scratch, work, &both, err)) return false;
    *out = rings_area_mm2(&both) >= COVERED_FROM_MM2;
    arena_rewind(&work->scratch, mark);
    return true;
}

// Layers of --seams that are not there.
static bool check_letters(const Stack *stack, const Settings *settings, Error *err)
{
    char letter[8];
    for (int i = 0; i < settings->seam_count; i++) {
        bool found = !settings->seams[i].layer[0];
        for (int layer = 0; layer < stack->layer_count && !found; layer++) {
            layer_letter(layer, letter);
            found = strcmp(letter, settings->seams[i].layer) == 0;
        }
        layer_letter(stack->layer_count - 1, letter);
        if (!found)
            return error_set(err, ERROR_JOB, "--seams %s=... names a layer that is not there; this picture has the layers A to %s",
                             settings->seams[i].layer, letter);
    }
    return true;
}

// The last edit on this layer's seams, or NULL.
static const Edit *edit_of(const Replay *replay, const Stack *stack, int layer)
{
    const Edit *found = NULL;
    for (size_t i = 0; i < replay->edits->count; i++) {
        const Edit *edit = &replay->edits->items[i];
        if (edit->kind == EDIT_SEAM_FORM && replay_find_layer(replay, stack, edit) == layer) found = edit;
    }
    return found;
}

static bool refuse(const Stack *stack, int layer, Error *err)
{
    char letter[8];
    layer_letter(layer, letter);
    return error_set(err, ERROR_JOB,
                     "--seams %s=lap cannot be done: nothing covers layer %s (%s), and a lap would show as a ridge; leave it out, and "
                     "its seams are butt seams, taped behind",
                     letter, letter, stack->colours[stack->layers[layer].colour].name);
}

static bool choose_form(const Stack *stack, int layer, Arena *keep, Work *work, Replay *replay, LayerForm *out, Error *err)
{
    bool named, covered;
    const Edit *edit = edit_of(replay, stack, layer);
    *out = (LayerForm){settings_seams(replay->settings, layer, &named), false};
    if (edit) out->form = edit->form;
    if (out->form != SEAM_LAP) return true;
    if (!find_covered(&stack->layers[layer], work, &covered, err)) return false;
    if (covered) return true;
    *out = (LayerForm){SEAM_BUTT, !edit};
    if (edit)
        return replay_tell(replay, edit, "edit-not-kept", "nothing covers this layer, and a lap would show as a ridge", keep, err);
    return !named || refuse(stack, layer, err);
}

static bool tell_no_target(const Stack *stack, Arena *keep, Replay *replay, Error *err)
{
    for (size_t i = 0; i < replay->edits->count; i++) {
        const Edit *edit = &replay->edits->items[i];
        if (edit->kind == EDIT_SEAM_FORM && replay_find_layer(replay, stack, edit) < 0 &&
            !replay_tell(replay, edit, "edit-without-target", "the picture has no such colour", keep, err))
            return false;
    }
    return true;
}

bool replay_forms(const Stack *stack, Arena *keep, Work *work, Replay *replay, LayerForm **out, Error *err)
{
    *out = arena_new(keep, LayerForm, stack->layer_count);
    if (!*out) return error_memory(err);
    if (!check_letters(stack, replay->settings, err) || !tell_no_target(stack, keep, replay, err)) return false;
    for (int layer = 0; layer < stack->layer_count; layer++)
        if (!choose_form(stack, layer, keep, work, replay, &(*out)[layer], err)) return false;
    return true;
}

bool replay_tell_bare(const Stack *stack, int layer, const LayerPieces *pieces, Arena *keep, Replay *replay, Error *err)
{
    char letter[8], text[240];
    const Seam *seam = &pieces->seams[0];
    layer_letter(layer, letter);
    snprintf(text, sizeof text, "layer %s (%s): nothing covers it, and a lap would show as a ridge; its %d seam%s stay%s butt", letter,
             stack->colours[stack->layers[layer].colour].name, pieces->seam_count, pieces->seam_count == 1 ? "" : "s",
             pieces->seam_count == 1 ? "s" : "");
    Point a = link_start(&pieces->chains, &seam->links[0]), b = link_end(&pieces->chains, &seam->links[seam->link_count - 1]);
    return findings_add(&replay->findings, keep, "lap-left-out", text, ((double)a.x + b.x) / 2.0 / UM_PER_MM,
                        ((double)a.y + b.y) / 2.0 / UM_PER_MM) || error_memory(err);
}

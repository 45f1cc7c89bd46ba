// state.c - everything but geometry, as docs/desk.md lists it; see state_part.h.
#include "desk/state_part.h"

#include "desk/compare.h"
#include "separation/verdict.h"

#include <string.h>

// ---- small things ----

void key_string_or_null(JsonWriter *json, const char *key, const char *value)
{
    write_json_key(json, key);
    if (value) write_json_string(json, value);
    else write_json_null(json);
}

void key_number_or_null(JsonWriter *json, const char *key, bool known, double value, int decimals)
{
    write_json_key(json, key);
    if (known) write_json_number(json, value, decimals);
    else write_json_null(json);
}

void key_bool(JsonWriter *json, const char *key, bool value)
{
    write_json_key(json, key);
    write_json_bool(json, value);
}

void key_colour(JsonWriter *json, const char *key, Srgb8 colour)
{
    char hex[8];
    colour_hex(colour, hex);
    write_json_key_string(json, key, hex);
}

void key_place(JsonWriter *json, const char *key, const double place[2])
{
    write_json_key(json, key);
    write_json_list_inline(json);
    write_json_number(json, place[0], 2);
    write_json_number(json, place[1], 2);
    write_json_end(json);
}

void key_null(JsonWriter *json, const char *key)
{
    write_json_key(json, key);
    write_json_null(json);
}

static const char *kind_word(ErrorKind kind)
{
    switch (kind) {
    case ERROR_USAGE: return "usage";
    case ERROR_JOB: return "job";
    case ERROR_INPUT: return "input";
    case ERROR_PROOF: return "proof";
    case ERROR_CANCELLED: return "cancelled";
    case ERROR_SYSTEM:
    case ERROR_NONE: break;
    }
    return "system";
}

static void key_error(JsonWriter *json, const char *key, const Error *error)
{
    if (error->kind == ERROR_NONE) {
        key_null(json, key);
        return;
    }
    write_json_key(json, key);
    write_json_object(json);
    write_json_key_string(json, "kind", kind_word(error->kind));
    write_json_key_string(json, "text", error->text);
}

// ---- work, error ----

static void write_work(StateWriter *w)
{
    JsonWriter *json = &w->json;
    const Glance *glance = &w->glance;
    bool stale = w->shown && w->shown->revision != glance->revision;
    write_json_key(json, "work");
    write_json_object(json);
    key_bool(json, "busy", glance->busy);
    write_json_key_string(json, "stage", glance->stage);
    write_json_key_number(json, "share", glance->share, 2);
    write_json_end(json);
    write_json_key_string(json, "answer", w->shown && !stale ? shown_level_word(w->shown->level) : "none");
    write_json_key_string(json, "known", w->shown ? shown_level_word(w->shown->level) : "none");
    key_bool(json, "stale", stale);
    key_error(json, "error", &glance->error);
    if (glance->error.kind == ERROR_NONE) return;
    key_number_or_null(json, "line", glance->error_line > 0, (double)glance->error_line, 0);
    write_json_end(json);
}

// ---- colours ----

static void write_layers_of(StateWriter *w, int colour)
{
    write_json_key(&w->json, "layers");
    write_json_list_inline(&w->json);
    for (int l = 0; w->geometry && l < w->shown->layer_count; l++)
        if (w->shown->layers[l].colour == colour) write_json_string(&w->json, w->shown->layers[l].id);
    write_json_end(&w->json);
}

static void write_colour(StateWriter *w, int i)
{
    const ShownColour *colour = &w->shown->colours[i];
    write_json_object(&w->json);
    key_colour(&w->json, "colour", colour->colour);
    write_json_key_string(&w->json, "name", colour->name);
    write_json_key_number(&w->json, "share", colour->share, 4);
    write_json_key_number(&w->json, "regions", colour->regions, 0);
    write_json_key_string(&w->json, "fate", "paper");
    key_null(&w->json, "same_as");
    write_layers_of(w, i);
    write_json_end(&w->json);
}

static bool is_shown(const StateWriter *w, Srgb8 colour)
{
    for (int i = 0; i < w->shown->colour_count; i++) {
        SeparationColour one = {.colour = w->shown->colours[i].colour};
        if (replay_find_colour(&one, 1, colour) == 0) return true;
    }
    return false;
}

// Colours that the docket took away, so that they can be had back.
static void write_gone(StateWriter *w, size_t i)
{
    const LineInfo *line = &w->desk->lines[i];
    bool same = line->kind == EDIT_SAME;
    if (!state_line_counts(w->desk, i) || !line->is_edit || (!same && line->kind != EDIT_LEAVE_OUT) || is_shown(w, line->colour)) return;
    write_json_object(&w->json);
    key_colour(&w->json, "colour", line->colour);
    write_json_key_string(&w->json, "name", colour_name(line->colour));
    write_json_key_number(&w->json, "share", 0.0, 0);
    write_json_key_number(&w->json, "regions", 0.0, 0);
    write_json_key_string(&w->json, "fate", same ? "same" : "left-out");
    if (same) key_colour(&w->json, "same_as", line->other);
    else key_null(&w->json, "same_as");
    write_json_key(&w->json, "layers");
    write_json_list_inline(&w->json);
    write_json_end(&w->json);
    write_json_key_number(&w->json, "line", (double)w->desk->docket.lines[i].id, 0);
    write_json_end(&w->json);
}

static void write_verdict(StateWriter *w)
{
    static const char *const KINDS[] = {[VERDICT_GOOD] = "good", [VERDICT_DETAILS_VANISH] = "details-vanish", [VERDICT_TOO_SOFT] = "too-soft"};
    if (!w->shown) {
        key_null(&w->json, "verdict");
        return;
    }
    write_json_key(&w->json, "verdict");
    write_json_object(&w->json);
    write_json_key_string(&w->json, "kind", KINDS[w->shown->verdict]);
    write_json_key_string(&w->json, "text", w->shown->verdict_text);
    write_json_end(&w->json);
}

static void write_colours(StateWriter *w)
{
    write_json_key(&w->json, "colours");
    write_json_list(&w->json);
    for (int i = 0; w->shown && i < w->shown->colour_count; i++) write_colour(w, i);
    for (size_t i = 0; w->shown && i < w->desk->docket.count; i++) write_gone(w, i);
    write_json_end(&w->json);
    if (!w->shown || !w->shown->has_ground) {
        key_null(&w->json, "ground");
        return;
    }
    write_json_key(&w->json, "ground");
    write_json_object(&w->json);
    if (w->shown->ground_is_clear) key_null(&w->json, "colour");
    else key_colour(&w->json, "colour", w->shown->ground);
    write_json_end(&w->json);
}

// ---- layers ----

static void write_layer(StateWriter *w, int l)
{
    const ShownLayer *layer = &w->shown->layers[l];
    const ShownColour *colour = &w->shown->colours[layer->colour];
    write_json_object(&w->json);
    write_json_key_string(&w->json, "id", layer->id);
    key_colour(&w->json, "colour", colour->colour);
    write_json_key_string(&w->json, "name", colour->name);
    key_bool(&w->json, "base", l == 0);
    write_json_key_number(&w->json, "order", l, 0);
    write_json_key_string(&w->json, "paper", layer->paper);
    write_json_key_number(&w->json, "pieces", layer->pieces, 0);
    write_json_key_number(&w->json, "sheets", layer->sheets, 0);
    write_json_key_number(&w->json, "seam_mm", layer->seam_mm, 1);
    write_json_key_number(&w->json, "visible_mm", layer->visible_mm, 1);
    write_json_key(&w->json, "over");
    write_json_list_inline(&w->json);
    for (int i = 0; i < layer->over_count; i++) write_json_string(&w->json, w->shown->layers[layer->over[i]].id);
    write_json_end(&w->json);
    write_json_end(&w->json);
}

static void write_geometry(StateWriter *w)
{
    JsonWriter *json = &w->json;
    if (!w->geometry) {
        key_null(json, "finished_mm");
        key_null(json, "figure_mm");
    } else {
        write_json_key(json, "finished_mm");
        write_json_object(json);
        write_json_key_number(json, "width", w->shown->width_mm, 3);
        write_json_key_number(json, "height", w->shown->height_mm, 3);
        write_json_end(json);
        write_json_key(json, "figure_mm");
        write_json_object(json);
        write_json_key_number(json, "left", w->shown->figure_mm[0], 3);
        write_json_key_number(json, "top", w->shown->figure_mm[1], 3);
        write_json_key_number(json, "height", w->shown->figure_mm[2], 3);
        write_json_end(json);
    }
    write_json_key(json, "layers");
    write_json_list(json);
    for (int l = 0; w->geometry && l < w->shown->layer_count; l++) write_layer(w, l);
    write_json_end(json);
}

// ---- the rest ----

static void write_findings(StateWriter *w)
{
    write_json_key(&w->json, "findings");
    write_json_list(&w->json);
    for (size_t i = 0; w->geometry && i < w->shown->findings.count; i++) {
        const Finding *f = &w->shown->findings.items[i];
        const double at[2] = {f->x_mm, f->y_mm};
        write_json_object(&w->json);
        write_json_key_string(&w->json, "kind", f->kind);
        write_json_key_string(&w->json, "text", f->text);
        key_place(&w->json, "at_mm", at);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void write_kit(StateWriter *w)
{
    JsonWriter *json = &w->json;
    const Glance *glance = &w->glance;
    write_json_key(json, "kit");
    write_json_object(json);
    key_bool(json, "ready", glance->kit && glance->kit->revision == glance->revision);
    key_bool(json, "older", glance->kit && glance->kit->revision != glance->revision);
    key_bool(json, "busy", glance->kit_wanted || glance->kit_busy);
    key_string_or_null(json, "proof", glance->kit ? glance->kit->proof : NULL);
    write_json_key_number(json, "rests", glance->kit ? glance->kit->rests.count : 0, 0);
    key_bool(json, "rests_kept", glance->rests_kept);
    key_error(json, "error", &glance->kit_error);
    if (glance->kit_error.kind != ERROR_NONE) write_json_end(json);
    write_json_end(json);
}

static void write_recut(StateWriter *w)
{
    JsonWriter *json = &w->json;
    const Glance *glance = &w->glance;
    bool ready = glance->recut && glance->recut->revision == glance->shape;
    write_json_key(json, "recut");
    write_json_object(json);
    key_bool(json, "ready", ready);
    key_bool(json, "busy", glance->recut_busy);
    write_json_key(json, "pieces");
    write_json_list(json);
    for (int i = 0; ready && i < glance->recut->name_count; i++) write_json_string(json, glance->recut->names[i]);
    write_json_end(json);
    key_error(json, "error", &glance->recut_error);
    if (glance->recut_error.kind != ERROR_NONE) write_json_end(json);
    write_json_end(json);
}

static void write_ticks(StateWriter *w)
{
    write_json_key(&w->json, "ticks");
    write_json_object(&w->json);
    for (int i = 0; i < w->desk->tick_count; i++)
        if (w->desk->ticks[i].mark != TICK_NONE) write_json_key_string(&w->json, w->desk->ticks[i].piece, tick_word(w->desk->ticks[i].mark));
    write_json_end(&w->json);
}

static bool write_all(StateWriter *w, Error *err)
{
    JsonWriter *json = &w->json;
    if (!state_say_lines(w, err)) return false;
    write_json_object(json);
    write_json_key_number(json, "version", (double)w->glance.version, 0);
    state_said(w);
    write_work(w);
    write_verdict(w);
    write_colours(w);
    write_geometry(w);
    if (!state_bill(w, err)) return false;
    write_json_key(json, "compare");
    if (w->glance.compare) write_json_ready(json, w->glance.compare);
    else write_json_null(json);
    write_findings(w);
    write_kit(w);
    write_recut(w);
    write_ticks(w);
    write_json_end(json);
    return true;
}

// ---- glance ----

static bool take_glance(Desk *desk, Arena *own, Glance *out, Error *err)
{
    Text compare = text_make(own);
    table_lock(desk);
    *out = (Glance){.version = desk->version, .revision = desk->revision, .error_line = desk->error_line, .shown = desk->shown,
                    .kit = desk->kit, .grid = desk->grid, .offered = desk->offered, .error = desk->error, .kit_error = desk->kit_error, .busy = desk->busy,
                    .kit_busy = desk->kit_busy, .kit_wanted = desk->kit_wanted, .share = desk->share, .recut = desk->recut, .recut_error = desk->recut_error,
                    .recut_busy = desk->recut_busy || desk->recut_order, .shape = desk->shape};
    memcpy(out->stage, desk->stage, sizeof out->stage);
    out->busy = out->busy || (desk->wish && desk->wish->revision != desk->answered);
    if (out->shown) out->shown->users++;
    if (out->kit) out->kit->users++;
    out->rests_kept = out->kit && out->kit->rests_kept;
    if (out->recut) out->recut->users++;
    if (desk->compare) {
        JsonWriter json = write_json_make(&compare);
        compare_write(desk->compare, &json);
    }
    table_unlock(desk);
    out->compare = compare.size_bytes ? compare.bytes : NULL;
    return text_is_whole(&compare, err);
}

static void end_glance(Desk *desk, Glance *glance)
{
    table_lock(desk);
    shown_release(glance->shown);
    kit_release(glance->kit);
    kit_release(glance->recut);
    table_unlock(desk);
}

bool state_write(Desk *desk, Text *reply, Error *err)
{
    StateWriter w = {.desk = desk, .own = arena_make(0)};
    reply_key(reply, "state");
    w.json = write_json_make(reply);
    bool done = take_glance(desk, &w.own, &w.glance, err);
    w.shown = w.glance.shown;
    w.geometry = w.shown && w.shown->level != SHOWN_COLOURS;
    w.whole = w.shown && w.shown->level == SHOWN_WHOLE && w.shown->has_totals;
    done = done && write_all(&w, err);
    end_glance(desk, &w.glance);
    arena_free(&w.own);
    return done;
}

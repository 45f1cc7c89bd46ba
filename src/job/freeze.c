// freeze.c - see freeze.h.
#include "job/freeze.h"

#include "job/kit_json.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define NAMED_MOST 6        // pieces in one sentence; more are counted
#define SAME_HEIGHT_MM 1e-6 // as edits are written

// ---- the kit ----

static bool load_kit(const FileSet *kit, json_t **out, Error *err)
{
    const FileBytes *file = file_find(kit, "kit.json");
    *out = file ? json_loadb(file->bytes, file->size_bytes, 0, NULL) : NULL;
    return *out || error_memory(err); // we wrote it: only memory can be missing
}

// The kind of sheet that lies under this id; NULL where it is not told.
static const char *paper_of(const json_t *kit, const char *sheet)
{
    const char *id = kit_json_text(kit_json_find(kit, "sheets", sheet), "paper");
    return json_string_value(json_object_get(kit_json_find(kit, "papers", id), "size"));
}

static bool capture(const json_t *kit, double height_mm, const char *id, Arena *keep, EditList *edits, Error *err)
{
    const json_t *piece = kit_json_find(kit, "pieces", id);
    if (!piece) return error_set(err, ERROR_JOB, "there is no piece %.16s in this kit", id);
    Edit edit = {.kind = EDIT_FROZEN, .text = id, .path = kit_json_text(piece, "outline"), .mm = height_mm};
    edit.face = json_string_value(json_object_get(piece, "face"));
    edit.paper = paper_of(kit, kit_json_text(piece, "sheet"));
    const json_t *layer = kit_json_find(kit, "layers", kit_json_text(piece, "layer"));
    if (!edit_parse_colour(kit_json_text(layer, "colour"), &edit.colour))
        return error_set(err, ERROR_JOB, "piece %.16s has no colour", id);
    return edits_add(edits, &edit, keep, err);
}

bool freeze_capture(const FileSet *kit, double height_mm, const char *const *piece_ids, int count, Arena *keep,
                    EditList *edits, Error *err)
{
    json_t *json;
    size_t before = edits->count;
    if (!load_kit(kit, &json, err)) return false;
    bool done = true;
    for (int i = 0; i < count && done; i++) done = capture(json, height_mm, piece_ids[i], keep, edits, err);
    json_decref(json);
    if (!done) edits->count = before;
    return done;
}

bool edits_without_frozen(const EditList *edits, Arena *keep, EditList *out, Error *err)
{
    *out = (EditList){.items = arena_new(keep, Edit, edits->count), .capacity = edits->count};
    if (!out->items) return error_memory(err);
    for (size_t i = 0; i < edits->count; i++)
        if (edits->items[i].kind != EDIT_FROZEN) out->items[out->count++] = edits->items[i];
    return true;
}

static bool stays(const Edit *edit, const json_t *kit)
{
    const json_t *piece = edit->text && edit->path ? kit_json_find(kit, "pieces", edit->text) : NULL;
    return piece && strcmp(kit_json_text(piece, "outline"), edit->path) == 0;
}

static bool refuse(const EditList *edits, const bool *changed, int changed_count, Error *err)
{
    char names[160] = "";
    int named = 0;
    for (size_t i = 0; i < edits->count && named < NAMED_MOST; i++) {
        size_t used = strlen(names);
        if (changed[i]) snprintf(names + used, sizeof names - used, "%s%.16s", named++ ? ", " : "",
                                 edits->items[i].text ? edits->items[i].text : "?");
    }
    char more[32] = "";
    if (changed_count > named) snprintf(more, sizeof more, " and %d more", changed_count - named);
    return error_set(err, ERROR_JOB, "%s%s: cut already, and would change; take this change back, or let the piece%s go", names,
                     more, changed_count == 1 ? "" : "s");
}

static bool has_frozen(const EditList *edits)
{
    for (size_t i = 0; i < edits->count; i++)
        if (edits->items[i].kind == EDIT_FROZEN) return true;
    return false;
}

bool freeze_check(const EditList *edits, double height_mm, const FileSet *kit, Error *err)
{
    if (!has_frozen(edits)) return true;
    Arena arena = arena_make(0);
    json_t *json = NULL;
    int changed_count = 0;
    bool *changed = arena_new(&arena, bool, edits->count);
    bool done = changed ? !kit || load_kit(kit, &json, err) : error_memory(err);
    for (size_t i = 0; i < edits->count && done; i++) {
        const Edit *edit = &edits->items[i];
        if (edit->kind != EDIT_FROZEN) continue;
        changed[i] = fabs(edit->mm - height_mm) > SAME_HEIGHT_MM || (kit && !stays(edit, json));
        changed_count += changed[i];
    }
    if (done && changed_count > 0) done = refuse(edits, changed, changed_count, err);
    json_decref(json);
    arena_free(&arena);
    return done;
}

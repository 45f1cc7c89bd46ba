// freeze.c - see freeze.h.
#include "job/freeze.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define LARGEST_MM 99000.0
#define NAMED_MOST 6        // pieces in one sentence; more are counted
#define SAME_HEIGHT_MM 1e-6 // as edits are written

// ---- path data ----

typedef struct PathReader {
    const char *at;
    Arena *keep;
    Path *path;
    size_t curve_capacity, part_capacity;
    Point start, pen;
    bool is_open, is_wrong, is_short_of_memory;
} PathReader;

static void skip_blanks(PathReader *r)
{
    while (*r->at == ' ') r->at++;
}

static double read_mm(PathReader *r)
{
    char word[NUMBER_MAX];
    double mm = 0.0;
    skip_blanks(r);
    size_t size = strspn(r->at, "-.0123456789");
    if (size == 0 || size >= sizeof word) {
        r->is_wrong = true;
        return 0.0;
    }
    memcpy(word, r->at, size);
    word[size] = 0;
    r->at += size;
    if (!number_parse(word, &mm) || !(fabs(mm) <= LARGEST_MM)) r->is_wrong = true;
    return r->is_wrong ? 0.0 : mm;
}

static Point read_point(PathReader *r)
{
    double x = read_mm(r), y = read_mm(r);
    return point_from_mm(x, y);
}

static void add_curve(PathReader *r, Curve curve)
{
    Path *path = r->path;
    Curve *curves = arena_grow(r->keep, path->curves, (size_t)path->curve_count, &r->curve_capacity, sizeof *curves);
    r->is_short_of_memory = r->is_short_of_memory || !curves;
    if (!curves) return;
    path->curves = curves;
    path->curves[path->curve_count++] = curve;
    r->pen = curve.p3;
}

static void end_part(PathReader *r)
{
    Path *path = r->path;
    int *first = arena_grow(r->keep, path->first, (size_t)path->part_count + 1, &r->part_capacity, sizeof *first);
    r->is_short_of_memory = r->is_short_of_memory || !first;
    if (!first) return;
    path->first = first;
    path->first[++path->part_count] = path->curve_count;
    r->is_open = false;
}

static void read_command(PathReader *r)
{
    char command = *r->at++;
    bool is_first = command == 'M';
    if (is_first == r->is_open) { // the rest stands inside a part, M before it
        r->is_wrong = true;
    } else if (is_first) {
        r->start = r->pen = read_point(r);
        r->is_open = true;
    } else if (command == 'L') {
        add_curve(r, curve_line(r->pen, read_point(r)));
    } else if (command == 'C') {
        Curve curve = {.p0 = r->pen};
        curve.p1 = read_point(r);
        curve.p2 = read_point(r);
        curve.p3 = read_point(r);
        add_curve(r, curve);
    } else if (command == 'Z') {
        if (!point_equal(r->pen, r->start)) r->is_wrong = true; // every curve is written, the last one too
        end_part(r);
    } else {
        r->is_wrong = true;
    }
}

bool freeze_path(const char *text, Arena *keep, Path *out, bool *out_is_path, Error *err)
{
    *out = (Path){0};
    PathReader reader = {.at = text ? text : "", .keep = keep, .path = out};
    out->first = arena_grow(keep, NULL, 0, &reader.part_capacity, sizeof *out->first);
    if (!out->first) return error_memory(err);
    for (skip_blanks(&reader); *reader.at && !reader.is_wrong && !reader.is_short_of_memory; skip_blanks(&reader))
        read_command(&reader);
    *out_is_path = !reader.is_wrong && !reader.is_open && out->curve_count > 0;
    return !reader.is_short_of_memory || error_memory(err);
}

// ---- the kit ----

static bool load_kit(const FileSet *kit, json_t **out, Error *err)
{
    const FileBytes *file = file_find(kit, "kit.json");
    *out = file ? json_loadb(file->bytes, file->size_bytes, 0, NULL) : NULL;
    return *out || error_memory(err); // we wrote it: only memory can be missing
}

static const char *text_of(const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    return text ? text : "";
}

static const json_t *find_by_id(const json_t *kit, const char *list, const char *id)
{
    size_t i;
    json_t *item;
    json_array_foreach(json_object_get(kit, list), i, item)
        if (strcmp(text_of(item, "id"), id) == 0) return item;
    return NULL;
}

static bool capture(const json_t *kit, double height_mm, const char *id, Arena *keep, EditList *edits, Error *err)
{
    const json_t *piece = find_by_id(kit, "pieces", id);
    if (!piece) return error_set(err, ERROR_JOB, "there is no piece %.16s in this kit", id);
    Edit edit = {.kind = EDIT_FROZEN, .text = id, .path = text_of(piece, "outline"), .mm = height_mm};
    const json_t *layer = find_by_id(kit, "layers", text_of(piece, "layer"));
    if (!edit_parse_colour(text_of(layer, "colour"), &edit.colour))
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
    const json_t *piece = edit->text && edit->path ? find_by_id(kit, "pieces", edit->text) : NULL;
    return piece && strcmp(text_of(piece, "outline"), edit->path) == 0;
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

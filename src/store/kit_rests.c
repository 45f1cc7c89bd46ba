// kit_rests.c - see kit_rests.h.
#include "store/kit_rests.h"

#include "job/edit.h"
#include "job/kit_json.h"
#include "paper/size.h"
#include "proof/read_json.h"

#include <string.h>

// "105x266mm,250gsm,grained": the words of a sheet of this size, of the same kind as the paper.
static void write_rest_words(const json_t *paper, const double size_mm[2], Text *words)
{
    char size[SIZE_NAME_MAX];
    size_name(size_mm[0], size_mm[1], size);
    text_add(words, size);
    if (json_is_number(json_object_get(paper, "gsm"))) {
        text_add(words, ",");
        text_number(words, json_number_value(json_object_get(paper, "gsm")), 1);
        text_add(words, "gsm");
    }
    const char *direction = json_string_value(json_object_get(paper, "direction"));
    if (direction && strcmp(direction, "plain") != 0) text_printf(words, ",%.20s", direction);
    if (json_is_true(json_object_get(paper, "white_core"))) text_add(words, ",white-core");
    if (json_is_true(json_object_get(paper, "one_faced"))) text_add(words, ",one-faced");
}

static bool add_rest(const json_t *kit, const json_t *sheet, Arena *keep, ShelfList *list, Error *err)
{
    const json_t *rest = json_object_get(sheet, "rest_mm");
    const json_t *paper = kit_json_find(kit, "papers", kit_json_text(sheet, "paper"));
    if (json_array_size(rest) != 4 || !paper) return true;
    const double size[2] = {json_number_value(json_array_get(rest, 2)), json_number_value(json_array_get(rest, 3))};
    Text words = text_make(keep);
    write_rest_words(paper, size, &words);
    if (!text_is_whole(&words, err)) return false;
    const char *name = arena_text(keep, kit_json_text(paper, "name"));
    if (!name) return error_memory(err);
    ShelfItem *item = &list->items[list->count++];
    *item = (ShelfItem){.kind = SHELF_OFFCUT, .words = words.bytes, .name = name, .count = 1};
    item->has_colour = edit_parse_colour(kit_json_text(paper, "colour"), &item->colour);
    return true;
}

static bool list_rests(const json_t *kit, Arena *keep, ShelfList *out, Error *err)
{
    const json_t *sheets = json_object_get(kit, "sheets");
    size_t i;
    json_t *sheet;
    out->items = arena_new(keep, ShelfItem, json_array_size(sheets));
    if (!out->items) return error_memory(err);
    json_array_foreach(sheets, i, sheet)
        if (!add_rest(kit, sheet, keep, out, err)) return false;
    return true;
}

bool kit_rests(const FileBytes *kit_json, const char *shown, Arena *keep, ShelfList *out, Error *err)
{
    Arena own = arena_make(0);
    const json_t *kit;
    json_error_t problem;
    *out = (ShelfList){0};
    bool done = read_json(kit_json->bytes, kit_json->size_bytes, &own, &kit, &problem, err);
    if (done && !json_is_object(kit)) done = error_set(err, ERROR_INPUT, "kit.json of %s cannot be read; build the kit again", shown);
    done = done && list_rests(kit, keep, out, err);
    arena_free(&own);
    return done;
}

// drawer.c - see drawer.h.
#include "drawer.h"

#include "job/edit.h"
#include "store/shelf_match.h"

#include <string.h>

static int sheets_of(const json_t *kit, const char *paper)
{
    int count = 0;
    size_t i;
    json_t *sheet;
    json_array_foreach(json_object_get(kit, "sheets"), i, sheet)
        count += strcmp(json_string_value(json_object_get(sheet, "paper")), paper) == 0;
    return count;
}

static int take(ShelfPiles *piles, const json_t *paper, int sheets)
{
    const json_t *size = json_object_get(paper, "size_mm");
    ShelfWanted wanted = {json_number_value(json_array_get(size, 0)), json_number_value(json_array_get(size, 1)), {0}};
    edit_parse_colour(json_string_value(json_object_get(paper, "colour")), &wanted.colour);
    return shelf_take(piles, &wanted, sheets);
}

bool drawer_read(Arena *keep, ShelfList *out, Error *err)
{
    Shelf *shelf = NULL;
    const char *path = shelf_usual_path(keep);
    bool done = path || error_set(err, ERROR_SYSTEM, "there is no place for the shelf: neither HOME nor XDG_DATA_HOME is set");
    done = done && shelf_open(path, &shelf, err) && shelf_read(shelf, keep, out, err);
    shelf_close(shelf);
    return done;
}

bool drawer_is_enough(const ShelfList *shelf, const json_t *kit, Arena *keep, bool *out, Text *lacks, Error *err)
{
    ShelfPiles piles;
    size_t i;
    json_t *paper;
    *out = true;
    if (!shelf_piles(shelf, keep, &piles, err)) return false;
    json_array_foreach(json_object_get(kit, "papers"), i, paper) {
        const char *id = json_string_value(json_object_get(paper, "id"));
        int missing = take(&piles, paper, sheets_of(kit, id));
        if (missing > 0 && *out && lacks) text_printf(lacks, "%d sheet%s of %s", missing, missing == 1 ? "" : "s", id);
        if (missing > 0) *out = false;
    }
    return true;
}

// drawer.c - see drawer.h.
#include "drawer.h"

#include "job/edit.h"
#include "paper/paper.h"

#include <math.h>
#include <string.h>

#define SAME_SIZE_MM 0.1

typedef struct Pile {
    const ShelfItem *item;
    double width_mm, height_mm, left;   // sheets
} Pile;

static bool make_piles(const ShelfList *shelf, Arena *keep, Pile **out, int *count, Error *err)
{
    *out = arena_new(keep, Pile, shelf->count);
    *count = 0;
    if (!*out) return error_memory(err);
    for (int i = 0; i < shelf->count; i++) {
        const ShelfItem *item = &shelf->items[i];
        Paper paper;
        if (item->kind == SHELF_CUTTER) continue;
        if (!paper_parse(item->words, &paper, err)) return false;
        (*out)[(*count)++] = (Pile){item, paper.width_mm, paper.height_mm, item->count < 0 ? INFINITY : item->count};
    }
    return true;
}

static bool has_size(const Pile *pile, double width_mm, double height_mm)
{
    bool upright = fabs(pile->width_mm - width_mm) < SAME_SIZE_MM && fabs(pile->height_mm - height_mm) < SAME_SIZE_MM;
    bool turned = fabs(pile->width_mm - height_mm) < SAME_SIZE_MM && fabs(pile->height_mm - width_mm) < SAME_SIZE_MM;
    return upright || turned;
}

// The nearest colour first; those without a colour last.
static Pile *nearest(Pile *piles, int count, Srgb8 colour, double width_mm, double height_mm)
{
    Pile *best = NULL;
    double least = INFINITY;
    for (int i = 0; i < count; i++) {
        Pile *pile = &piles[i];
        if (pile->left < 1.0 || !has_size(pile, width_mm, height_mm)) continue;
        double off = pile->item->has_colour ? lab_difference_2000(lab_from_srgb8(colour), lab_from_srgb8(pile->item->colour)) : DRAWER_NEAR_DE00;
        if (off > DRAWER_NEAR_DE00 || off >= least) continue;
        best = pile, least = off;
    }
    return best;
}

static int sheets_of(const json_t *kit, const char *paper)
{
    int count = 0;
    size_t i;
    json_t *sheet;
    json_array_foreach(json_object_get(kit, "sheets"), i, sheet)
        count += strcmp(json_string_value(json_object_get(sheet, "paper")), paper) == 0;
    return count;
}

static int take(Pile *piles, int count, const json_t *paper, int sheets)
{
    Srgb8 colour = {0};
    const json_t *size = json_object_get(paper, "size_mm");
    edit_parse_colour(json_string_value(json_object_get(paper, "colour")), &colour);
    while (sheets > 0) {
        Pile *pile = nearest(piles, count, colour, json_number_value(json_array_get(size, 0)), json_number_value(json_array_get(size, 1)));
        if (!pile) break;
        double taken = fmin(pile->left, sheets);
        pile->left -= taken;
        sheets -= (int)taken;
    }
    return sheets;
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
    Pile *piles;
    int count;
    size_t i;
    json_t *paper;
    *out = true;
    if (!make_piles(shelf, keep, &piles, &count, err)) return false;
    json_array_foreach(json_object_get(kit, "papers"), i, paper) {
        const char *id = json_string_value(json_object_get(paper, "id"));
        int missing = take(piles, count, paper, sheets_of(kit, id));
        if (missing > 0 && *out && lacks) text_printf(lacks, "%d sheet%s of %s", missing, missing == 1 ? "" : "s", id);
        if (missing > 0) *out = false;
    }
    return true;
}

// shelf_match.c - see shelf_match.h.
#include "store/shelf_match.h"

#include "paper/cutter.h"
#include "paper/paper.h"

#include <math.h>
#include <string.h>

#define SAME_SIZE_MM 0.1    // 8.5 in and 216 mm are not the same, 12 in and 304.8 mm are
#define NAMED_MOST 3        // of what is there; more are counted

bool shelf_piles(const ShelfList *list, Arena *keep, ShelfPiles *out, Error *err)
{
    *out = (ShelfPiles){arena_new(keep, ShelfPile, list->count), 0};
    if (!out->items) return error_memory(err);
    for (int i = 0; i < list->count; i++) {
        const ShelfItem *item = &list->items[i];
        Paper paper;
        if (item->kind == SHELF_CUTTER) continue;
        if (!paper_parse(item->words, &paper, err)) return false;
        out->items[out->count++] = (ShelfPile){item, paper.width_mm, paper.height_mm, item->count < 0 ? INFINITY : item->count};
    }
    return true;
}

static bool is_near(double a_mm, double b_mm)
{
    return fabs(a_mm - b_mm) < SAME_SIZE_MM;
}

static bool has_size(const ShelfPile *pile, double width_mm, double height_mm)
{
    return (is_near(pile->width_mm, width_mm) && is_near(pile->height_mm, height_mm)) ||
           (is_near(pile->width_mm, height_mm) && is_near(pile->height_mm, width_mm));
}

// How far its colour is off; INFINITY: another paper.
static double distance(const ShelfPile *pile, const ShelfWanted *wanted)
{
    if (!has_size(pile, wanted->width_mm, wanted->height_mm)) return INFINITY;
    if (!pile->item->has_colour) return SHELF_NEAR_DE00;
    double off = lab_difference_2000(lab_from_srgb8(wanted->colour), lab_from_srgb8(pile->item->colour));
    return off > SHELF_NEAR_DE00 ? INFINITY : off;
}

ShelfPile *shelf_find(const ShelfPiles *piles, const ShelfWanted *wanted)
{
    ShelfPile *best = NULL;
    double least = INFINITY;
    for (int i = 0; i < piles->count; i++) {
        double off = distance(&piles->items[i], wanted);
        if (piles->items[i].left < 1.0 || off >= least) continue;
        best = &piles->items[i], least = off;
    }
    return best;
}

double shelf_left(const ShelfPiles *piles, const ShelfWanted *wanted)
{
    double left = 0.0;
    for (int i = 0; i < piles->count; i++)
        if (distance(&piles->items[i], wanted) < INFINITY) left += piles->items[i].left;
    return left;
}

int shelf_take(ShelfPiles *piles, const ShelfWanted *wanted, int sheets)
{
    while (sheets > 0) {
        ShelfPile *pile = shelf_find(piles, wanted);
        if (!pile) break;
        double taken = fmin(floor(pile->left), sheets);
        pile->left -= taken;
        sheets -= (int)taken;
    }
    return sheets;
}

// ---- what is not there ----

static void add_named(Text *out, const char *name, int number, int count)
{
    if (number < NAMED_MOST) text_printf(out, "%s%s", number == 0 ? "" : number + 1 == count ? " and " : ", ", name);
    else if (number == NAMED_MOST) text_printf(out, " and %d more", count - NAMED_MOST);
}

static bool is_first_of_size(const ShelfPiles *piles, int at)
{
    for (int i = 0; i < at; i++)
        if (has_size(&piles->items[i], piles->items[at].width_mm, piles->items[at].height_mm)) return false;
    return true;
}

bool shelf_say_no_paper(const ShelfPiles *piles, const char *words, Text *out, Error *err)
{
    Paper wanted, paper;
    int count = 0, named = 0;
    if (!paper_parse(words, &wanted, err)) return false;
    for (int i = 0; i < piles->count; i++) {
        if (has_size(&piles->items[i], wanted.width_mm, wanted.height_mm)) return true;
        count += is_first_of_size(piles, i);
    }
    if (count == 0) return true;
    text_printf(out, "no %s lies on the shelf; there is ", wanted.id);
    for (int i = 0; i < piles->count; i++) {
        if (!is_first_of_size(piles, i)) continue;
        if (!paper_parse(piles->items[i].item->words, &paper, err)) return false;
        add_named(out, paper.id, named++, count);
    }
    return true;
}

static bool does(const Cutter *has, const Cutter *wanted)
{
    bool upright = is_near(has->mat_mm[0], wanted->mat_mm[0]) && is_near(has->mat_mm[1], wanted->mat_mm[1]);
    bool turned = is_near(has->mat_mm[0], wanted->mat_mm[1]) && is_near(has->mat_mm[1], wanted->mat_mm[0]);
    return has->is_roll == wanted->is_roll && (upright || turned) && (has->score || !wanted->score) && (has->pen || !wanted->pen);
}

bool shelf_say_no_cutter(const ShelfList *list, const char *words, Text *out, Error *err)
{
    Cutter wanted, cutter;
    int count = 0, named = 0;
    if (!cutter_parse(words, &wanted, err)) return false;
    for (int i = 0; i < list->count; i++) {
        if (list->items[i].kind != SHELF_CUTTER) continue;
        if (!cutter_parse(list->items[i].words, &cutter, err)) return false;
        if (does(&cutter, &wanted)) return true;
        count++;
    }
    if (count == 0) return true;
    text_add(out, "no such cutter stands on the shelf; there is ");
    for (int i = 0; i < list->count; i++)
        if (list->items[i].kind == SHELF_CUTTER) add_named(out, list->items[i].words, named++, count);
    return true;
}

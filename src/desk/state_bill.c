// state_bill.c - what it comes to: sheets, pieces, hours, what is to be bought.
#include "desk/state_part.h"

#include "job/say.h"
#include "store/shelf_match.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void add_count(Text *text, int count, const char *one)
{
    text_printf(text, "%d %s%s", count, one, count == 1 ? "" : "s");
}

static int colour_count_of_papers(const Shown *shown)
{
    int count = 0;
    for (int i = 0; i < shown->paper_count; i++) {
        bool again = false;
        for (int k = 0; k < i; k++) again = again || memcmp(&shown->papers[k].colour, &shown->papers[i].colour, sizeof(Srgb8)) == 0;
        count += !again;
    }
    return count;
}

static void say_bill(StateWriter *w, Text *text)
{
    const Shown *shown = w->shown;
    add_count(text, shown->sheets, "sheet");
    text_add(text, " in ");
    add_count(text, colour_count_of_papers(shown), "colour");
    text_add(text, ", ");
    add_count(text, shown->piece_count, "piece");
    if (!w->whole) return;
    text_add(text, ", about ");
    say_minutes(text, shown->cutting_minutes);
    text_add(text, " cutting and ");
    say_minutes(text, shown->assembly_minutes);
    text_add(text, " putting together");
    if (shown->cost < 0.0) return;
    char cost[32];
    snprintf(cost, sizeof cost, ", %lld.%02d", (long long)(shown->cost + 0.005), (int)((long long)(shown->cost * 100.0 + 0.5) % 100));
    text_add(text, cost);
}

static void write_worry(StateWriter *w)
{
    const Worry *worry = &w->shown->worry;
    if (worry->count == 0) {
        key_null(&w->json, "worry");
        return;
    }
    write_json_key(&w->json, "worry");
    write_json_object(&w->json);
    write_json_key_string(&w->json, "text", worry->text);
    key_place(&w->json, "at_mm", worry->at_mm);
    write_json_key_number(&w->json, "count", worry->count, 0);
    write_json_end(&w->json);
}

// What of it lies on the shelf, whatever other papers of the job have not taken.
static void write_on_shelf(StateWriter *w, const ShownPaper *paper, ShelfPiles *piles)
{
    ShelfWanted wanted = {paper->width_mm, paper->height_mm, paper->colour};
    const ShelfPile *pile = shelf_find(piles, &wanted);
    double left = shelf_left(piles, &wanted);
    key_number_or_null(&w->json, "have", piles->count > 0 && left < INFINITY, left, 0);
    key_string_or_null(&w->json, "on_shelf", pile ? pile->item->words : NULL);
    (void)shelf_take(piles, &wanted, paper->need);
}

static bool write_buy(StateWriter *w, Error *err)
{
    ShelfPiles piles;
    if (!shelf_piles(&w->desk->shelf_list, &w->own, &piles, err)) return false;
    write_json_key(&w->json, "buy");
    write_json_list(&w->json);
    for (int i = 0; i < w->shown->paper_count; i++) {
        const ShownPaper *paper = &w->shown->papers[i];
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", paper->id);
        write_json_key_string(&w->json, "paper", paper->paper);
        key_colour(&w->json, "colour", paper->colour);
        write_json_key_number(&w->json, "sheets", paper->sheets, 0);
        write_json_key_number(&w->json, "need", paper->need, 0);
        write_on_shelf(w, paper, &piles);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
    return true;
}

static void write_plain_grid(StateWriter *w)
{
    const Grid *grid = &w->glance.grid;
    if (grid->shape != w->shown->shape || grid->pieces == 0) {
        key_null(&w->json, "plain_grid");
        return;
    }
    write_json_key(&w->json, "plain_grid");
    write_json_object(&w->json);
    write_json_key_number(&w->json, "pieces", grid->pieces, 0);
    write_json_key_number(&w->json, "visible_seam_mm", grid->visible_mm, 1);
    write_json_end(&w->json);
}

bool state_bill(StateWriter *w, Error *err)
{
    JsonWriter *json = &w->json;
    const Shown *shown = w->shown;
    if (!w->geometry) {
        key_null(json, "bill");
        return true;
    }
    Text says = text_make(&w->own);
    say_bill(w, &says);
    if (!text_is_whole(&says, err)) return false;
    write_json_key(json, "bill");
    write_json_object(json);
    write_json_key_number(json, "sheets", shown->sheets, 0);
    write_json_key_number(json, "papers", shown->paper_count, 0);
    write_json_key_number(json, "pieces", shown->piece_count, 0);
    write_json_key_number(json, "seam_mm", shown->seam_mm, 1);
    write_json_key_number(json, "visible_seam_mm", shown->visible_seam_mm, 1);
    key_number_or_null(json, "cutting_minutes", w->whole, shown->cutting_minutes, 1);
    key_number_or_null(json, "assembly_minutes", w->whole, shown->assembly_minutes, 1);
    key_number_or_null(json, "waste_percent", w->whole, shown->waste_percent, 1);
    key_number_or_null(json, "cost", w->whole && shown->cost >= 0.0, shown->cost, 2);
    write_json_key_string(json, "says", says.bytes);
    write_worry(w);
    if (!write_buy(w, err)) return false;
    write_plain_grid(w);
    write_json_key(json, "offers");
    Offered none = {0};
    bool of_this = w->glance.offered.shape == shown->shape;
    if (!offered_write(of_this ? &w->glance.offered : &none, json, &w->own, err)) return false;
    write_json_end(json);
    return true;
}

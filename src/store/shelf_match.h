// shelf_match.h - which paper of the shelf a job's paper is: the one place that says so, and what is lacking there.
// A paper of the shelf is the job's where it has its size, upright or turned, and a colour within SHELF_NEAR_DE00, the nearest
// first; one of no known colour serves where none is near. Weight and price do not tell papers apart: a maker says them of some.
// Each sheet is given out once. Sheets that nobody counted never run out.
#ifndef PM_STORE_SHELF_MATCH_H
#define PM_STORE_SHELF_MATCH_H

#include "store/shelf.h"

#define SHELF_NEAR_DE00 10.0    // as near as neighbours that are hard to tell apart: a maker would take it for the colour

typedef struct ShelfPile {
    const ShelfItem *item;
    double width_mm, height_mm;
    double left;                // sheets; INFINITY: nobody counted them
} ShelfPile;

typedef struct ShelfPiles {
    ShelfPile *items;
    int count;
} ShelfPiles;

typedef struct ShelfWanted { double width_mm, height_mm; Srgb8 colour; } ShelfWanted;

// The papers of the list, offcuts among them; they refer to its items.
MUST_USE bool shelf_piles(const ShelfList *list, Arena *keep, ShelfPiles *out, Error *err);

// The pile that it is taken from next, of those with sheets left; NULL: none.
ShelfPile *shelf_find(const ShelfPiles *piles, const ShelfWanted *wanted);
double shelf_left(const ShelfPiles *piles, const ShelfWanted *wanted);          // sheets, of all that are this paper
int shelf_take(ShelfPiles *piles, const ShelfWanted *wanted, int sheets);       // takes them; how many are lacking

// "no letter lies on the shelf; there is 12x12in and a4", for a paper in words; nothing is said where some of its size lies
// there, or no paper at all.
MUST_USE bool shelf_say_no_paper(const ShelfPiles *piles, const char *words, Text *out, Error *err);

// Likewise of a cutter, which is there where one has its mat and the tools that are asked for.
MUST_USE bool shelf_say_no_cutter(const ShelfList *list, const char *words, Text *out, Error *err);

#endif

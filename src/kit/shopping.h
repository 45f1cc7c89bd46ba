// shopping.h - what has to be bought of one paper: sheets, spares, boards, packs, what they cost; edges to be inked.
// Units:   money is in whatever the maker's prices are in.
// Counts come from paper/stock.h, so that kit.json and the guide cannot disagree.
#ifndef PM_KIT_SHOPPING_H
#define PM_KIT_SHOPPING_H

#include "kit/draft.h"
#include "paper/stock.h"

// How sheets are cut from a board with straight cuts from edge to edge: first across it into bands, then each band along.
typedef struct ShoppingTrim {
    double board_mm[2];         // as lying for the cuts: width, height; 0, 0 = the paper is bought at its size
    int columns, rows;          // sheets side by side in a band, bands
    double band_mm, cell_mm;    // height of a band, width of a sheet in it
    double right_mm, below_mm;  // what is left beside the sheets of a band, and below the last band
} ShoppingTrim;

typedef struct Shopping {
    int sheets, spare, together;
    ShoppingTrim trim;
    int boards;                 // 0 without boards
    int packs;                  // of boards, or of sheets; 0 = sold one by one or not known
    double cost;                // of all packs; < 0 = not known
    double grams;               // of the pieces themselves
    double ink_mm;              // edges in sight of a dark paper with a white core: both sides of each seam in sight, and
                                // every edge of its layers that no higher layer covers
} Shopping;

#define SHOPPING_GSM 176.0      // where a paper's weight is not known: 65 lb cover, 500 sheets of 20 x 26 in

double shopping_gsm(const Paper *paper);

// False when no sheet of this paper comes out of its board.
bool shopping_trim(const Paper *paper, ShoppingTrim *out);

Shopping shopping_of(const Draft *draft, int paper);

#endif

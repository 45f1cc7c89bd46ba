// stock.h - what to buy of a paper, and how a board is cut down to its sheets: the arithmetic behind kit.json and guide.
// Units:   money is the maker's own currency. Counts of 0 mean "does not apply".
// Errors:  none: paper_parse refuses what cannot be cut down or bought.
// Source:  spare sheets (one, or one for every ten begun): common practice, no source. The rest is counting.
#ifndef PM_PAPER_STOCK_H
#define PM_PAPER_STOCK_H

#include "paper/paper.h"

#define STOCK_LEAST_OFFCUT_MM 25.4  // a rest narrower than an inch is waste, and told to nobody

// A board cut down by straight cuts from edge to edge: sheets stand in `down` rows of `across`, from the board's top
// left corner on, all the same way, so that a grain runs alike in all of them. Of both ways to lay the sheet the one that
// gives more counts; of two equal ones the unturned.
typedef struct StockTrim {
    int across, down;               // sheets along the board's width, and along its height
    bool turned;                    // the sheet's width lies along the board's height
    int sheets;                     // across x down; 0 = the board gives none
    bool has_offcut;
    double offcut_mm[4];            // x, y, width, height on the board: the largest rest of full width or full height
} StockTrim;

typedef struct StockOrder {
    int spares;                     // sheets beside those that are used
    int sheets;                     // used and spare; of offcuts none, at no cost
    int boards;                     // 0 = the sheets are bought at their size
    int packs;                      // of pack_count sheets or boards; 0 = sold singly, or nothing is known
    bool has_cost;
    double cost;                    // of all that must be bought: whole boards, whole packs
} StockOrder;

// Of a paper that is bought at its size: no sheets.
StockTrim stock_trim(const Paper *paper);

int stock_spares(int used_sheets);  // 0 when none is used

StockOrder stock_order(const Paper *paper, int used_sheets);

// A sheet's share of its pack and board; false when no price is known.
bool stock_sheet_price(const Paper *paper, double *out);

#endif

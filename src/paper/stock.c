// stock.c - see stock.h.
#include "paper/stock.h"

#include <math.h>

// Two halves of 22 in, and three thirds, must fit 22 in: sizes count in whole micrometres, as kit.json tells them, and each
// sheet may be one of them too large.
#define TOO_LARGE_UM 1

static int times_in(double whole_mm, double part_mm)
{
    long long whole_um = llround(whole_mm * UM_PER_MM), part_um = llround(part_mm * UM_PER_MM) - TOO_LARGE_UM;
    return part_um > 0 ? (int)(whole_um / part_um) : 0;
}

// Of the strip right of all sheets and the strip below them, each from edge to edge, the larger one.
static void find_offcut(const double board_mm[2], double used_width_mm, double used_height_mm, StockTrim *trim)
{
    double right_mm = board_mm[0] - used_width_mm, below_mm = board_mm[1] - used_height_mm;
    bool is_right = right_mm * board_mm[1] > below_mm * board_mm[0];
    if ((is_right ? right_mm : below_mm) < STOCK_LEAST_OFFCUT_MM) is_right = !is_right;
    if ((is_right ? right_mm : below_mm) < STOCK_LEAST_OFFCUT_MM) return;
    const double right[4] = {used_width_mm, 0.0, right_mm, board_mm[1]}, below[4] = {0.0, used_height_mm, board_mm[0], below_mm};
    trim->has_offcut = true;
    for (int i = 0; i < 4; i++) trim->offcut_mm[i] = is_right ? right[i] : below[i];
}

static StockTrim trim_one_way(const Paper *paper, bool turned)
{
    double width_mm = turned ? paper->height_mm : paper->width_mm, height_mm = turned ? paper->width_mm : paper->height_mm;
    StockTrim trim = {.across = times_in(paper->board_mm[0], width_mm), .down = times_in(paper->board_mm[1], height_mm),
                      .turned = turned};
    trim.sheets = trim.across * trim.down;
    if (trim.sheets == 0) return (StockTrim){0};
    find_offcut(paper->board_mm, trim.across * width_mm, trim.down * height_mm, &trim);
    return trim;
}

StockTrim stock_trim(const Paper *paper)
{
    if (paper->board_mm[0] <= 0.0 || paper->board_mm[1] <= 0.0) return (StockTrim){0};
    StockTrim upright = trim_one_way(paper, false), turned = trim_one_way(paper, true);
    return turned.sheets > upright.sheets ? turned : upright;
}

static int whole_units(int count, int a_unit)
{
    return count / a_unit + (count % a_unit > 0);
}

int stock_spares(int used_sheets)
{
    return whole_units(used_sheets, 10);
}

StockOrder stock_order(const Paper *paper, int used_sheets)
{
    if (paper->is_offcut) return (StockOrder){.has_cost = true};
    StockOrder order = {.spares = stock_spares(used_sheets)};
    order.sheets = used_sheets + order.spares;
    int a_board = stock_trim(paper).sheets;
    if (a_board > 0) order.boards = whole_units(order.sheets, a_board);
    int units = a_board > 0 ? order.boards : order.sheets;
    if (paper->pack_count > 1) units = order.packs = whole_units(units, paper->pack_count);
    order.has_cost = paper->pack_price > 0.0 && paper->pack_count > 0;
    if (order.has_cost) order.cost = units * paper->pack_price;
    return order;
}

bool stock_sheet_price(const Paper *paper, double *out)
{
    int a_board = stock_trim(paper).sheets;
    *out = 0.0;
    if (paper->pack_price <= 0.0 || paper->pack_count < 1) return false;
    *out = paper->pack_price / paper->pack_count / (a_board > 0 ? a_board : 1);
    return true;
}

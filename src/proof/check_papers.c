// check_papers.c - what a paper and the cutter allow: the usable area, lines, turns; and what is to be bought, computed
// again. Kits of earlier writers tell none of it, and nothing is checked.
#include "proof/check.h"

#include <math.h>
#include <stdio.h>

#define TURN_ALLOWED 1e-8  // nine decimals are written
#define ON_MAT_MM 0.011    // sizes are written with three decimals; the maker's inches and millimetres differ by less
#define PRICE_ALLOWED 0.00006 // half of the last decimal, and a hair
#define COST_ALLOWED 0.0051
#define FEWEST_SPARE_SHARE 10.0 // one sheet in ten

// ---- the cutter ----

static bool lies_on(const ReadCutter *cutter, double width, double height)
{
    return width <= cutter->mat[0] + ON_MAT_MM && (cutter->is_roll || height <= cutter->mat[1] + ON_MAT_MM);
}

// What is lost when the sheet lies turned by a quarter, whichever way: the greater loss of two opposite edges.
static void loss_of(const ReadCutter *cutter, const ReadPaper *paper, double out[4])
{
    bool upright = lies_on(cutter, paper->size[0], paper->size[1]);
    double x = fmax(cutter->loss[1], cutter->loss[3]), y = fmax(cutter->loss[0], cutter->loss[2]);
    const double turned[4] = {x, y, x, y};
    for (int i = 0; i < 4; i++) out[i] = upright ? cutter->loss[i] : turned[i];
}

static void check_cutter(Check *check)
{
    const ReadCutter *cutter = &check->kit->cutter;
    for (int i = 0; cutter->is_known && i < check->kit->paper_count; i++) {
        const ReadPaper *p = &check->kit->papers[i];
        double loss[4];
        if (!lies_on(cutter, p->size[0], p->size[1]) && !lies_on(cutter, p->size[1], p->size[0]))
            fault_add(check->faults, "paper-off-mat", p->id, 0, 0, "a sheet of %.3f x %.3f mm does not lie on the cutter", p->size[0],
                      p->size[1]);
        loss_of(cutter, p, loss);
        const double left[4] = {p->usable[0], p->usable[1], p->size[0] - p->usable[0] - p->usable[2],
                                p->size[1] - p->usable[1] - p->usable[3]};
        for (int k = 0; k < 4; k++)
            if (!(fabs(left[k] - loss[k]) <= PROOF_TOLERANCE_MM)) {
                fault_add(check->faults, "usable-wrong", p->id, 0, 0, "the usable area is not the sheet less what the cutter loses at its edges");
                break;
            }
    }
}

// ---- lines ----

static void check_line(Check *check, const char *where, int sheet, ReadLine line, bool is_drawn)
{
    const ReadPaper *paper = &check->kit->papers[check->kit->sheets[sheet].paper];
    const ReadCutter *cutter = &check->kit->cutter;
    bool taken = line == READ_CUT ? paper->takes[READ_SCORE] || paper->takes[READ_PEN] : paper->takes[line];
    if (!taken)
        fault_add(check->faults, "line-not-taken", where, 0, 0, "a line is made by %s; paper %s does not take it", read_line_name(line),
                  paper->id);
    if (cutter->is_known && line != READ_CUT && !is_drawn && !cutter->tools[line])
        fault_add(check->faults, "tool-missing", where, 0, 0, "a line is made by %s, which the cutter does not have", read_line_name(line));
}

static void check_lines(Check *check)
{
    const ReadKit *kit = check->kit;
    for (int i = 0; i < kit->piece_count; i++)
        for (int k = 0; k < kit->pieces[i].mark_count && kit->pieces[i].sheet >= 0; k++)
            check_line(check, kit->pieces[i].id, kit->pieces[i].sheet, kit->pieces[i].marks[k].line, kit->pieces[i].marks[k].is_drawn);
    for (int i = 0; i < kit->sheet_count; i++)
        for (int k = 0; k < kit->sheets[i].note_count; k++) check_line(check, kit->sheets[i].id, i, kit->sheets[i].notes[k].line, false);
}

// ---- turns ----

static void check_turns(Check *check)
{
    for (int i = 0; i < check->kit->piece_count; i++) {
        const ReadPiece *piece = &check->kit->pieces[i];
        if (piece->sheet < 0) continue;
        const ReadPaper *paper = &check->kit->papers[check->kit->sheets[piece->sheet].paper];
        const double *m = piece->to_sheet;
        bool straight = fabs(m[1]) <= TURN_ALLOWED && fabs(m[2]) <= TURN_ALLOWED;
        bool upright = straight && fabs(m[0] - 1.0) <= TURN_ALLOWED && fabs(m[3] - 1.0) <= TURN_ALLOWED;
        if (piece->is_strip || paper->direction == READ_PLAIN || upright || (paper->direction == READ_GRAINED && straight)) continue;
        fault_add(check->faults, "piece-turned", piece->id, 0, 0, "the piece is turned on its sheet; paper %s %s", paper->id,
                  paper->direction == READ_GRAINED ? "has a grain, and allows half a turn alone" : "has a top, and allows no turn");
    }
}

// ---- what to buy ----

// Each sheet may be a thousandth of a millimetre too large: three thirds of a board, as written, are.
static double rows_of(double board, double sheet)
{
    double board_um = floor(board * 1000.0 + 0.5), sheet_um = floor(sheet * 1000.0 + 0.5) - 1.0;
    return sheet_um > 0.0 ? floor(board_um / sheet_um) : 0.0;
}

// Straight cuts from edge to edge, the sheet one way or the other.
static double sheets_of_board(const ReadPaper *p)
{
    return fmax(rows_of(p->board[0], p->size[0]) * rows_of(p->board[1], p->size[1]),
                rows_of(p->board[0], p->size[1]) * rows_of(p->board[1], p->size[0]));
}

static void compare(Check *check, const ReadPaper *paper, const char *key, double written, double found, double allowed)
{
    char where[160];
    if ((written < 0.0) == (found < 0.0) && (written < 0.0 || fabs(written - found) <= allowed)) return;
    snprintf(where, sizeof where, "%.100s.%s", paper->id, key);
    fault_add(check->faults, "number-wrong", where, 0, 0, "%s is %.4f; computed again: %.4f (below 0 = null)", where, written, found);
}

// Of offcuts nothing is bought, and they come from no board and no pack.
static void check_offcut(Check *check, const ReadPaper *p)
{
    compare(check, p, "to_buy.spares", p->to_buy.spares, 0.0, 0.0);
    compare(check, p, "to_buy.sheets", p->to_buy.sheets, 0.0, 0.0);
    compare(check, p, "to_buy.boards", p->to_buy.boards, -1.0, 0.0);
    compare(check, p, "to_buy.packs", p->to_buy.packs, -1.0, 0.0);
    compare(check, p, "to_buy.cost", p->to_buy.cost, 0.0, COST_ALLOWED);
    compare(check, p, "price", p->price, -1.0, 0.0);
    compare(check, p, "pack.count", p->pack_count, 0.0, 0.0);
    compare(check, p, "board_mm", p->board[0], 0.0, 0.0);
}

static void check_purchase(Check *check, const ReadPaper *p, double used)
{
    double spares = ceil(used / FEWEST_SPARE_SHARE), sheets = used + spares, boards = -1.0, packs = -1.0, cost = -1.0, price = -1.0;
    double a_board = p->board[0] > 0.0 ? sheets_of_board(p) : 1.0;
    if (a_board < 1.0) {
        fault_add(check->faults, "board-too-small", p->id, 0, 0, "no sheet of %.3f x %.3f mm comes out of its board", p->size[0], p->size[1]);
        return;
    }
    if (p->board[0] > 0.0 && !p->at_hand) boards = ceil(sheets / a_board);
    double units = boards > 0.0 ? boards : sheets;
    if (p->pack_count > 1.0 && !p->at_hand) units = packs = ceil(units / p->pack_count);
    if (p->pack_price >= 0.0) {
        cost = units * p->pack_price;
        price = p->pack_price / p->pack_count / a_board;
    }
    if (p->at_hand) spares = sheets = cost = 0.0;
    compare(check, p, "to_buy.spares", p->to_buy.spares, spares, 0.0);
    compare(check, p, "to_buy.sheets", p->to_buy.sheets, sheets, 0.0);
    compare(check, p, "to_buy.boards", p->to_buy.boards, boards, 0.0);
    compare(check, p, "to_buy.packs", p->to_buy.packs, packs, 0.0);
    compare(check, p, "to_buy.cost", p->to_buy.cost, cost, COST_ALLOWED);
    compare(check, p, "price", p->price, price, PRICE_ALLOWED);
}

static void check_purchases(Check *check)
{
    const ReadKit *kit = check->kit;
    for (int i = 0; i < kit->paper_count; i++) {
        int used = 0;
        for (int s = 0; s < kit->sheet_count; s++) used += kit->sheets[s].paper == i;
        if (kit->papers[i].is_offcut) check_offcut(check, &kit->papers[i]);
        else check_purchase(check, &kit->papers[i], used);
    }
}

bool check_papers(Check *check, Error *err)
{
    if (!work_goes_on(check->work, err)) return false;
    if (!check->kit->tells_properties) return true;
    check_cutter(check);
    check_lines(check);
    check_turns(check);
    check_purchases(check);
    return true;
}

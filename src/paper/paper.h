// paper.h - kinds of sheet: size, properties, and what of a sheet can be used. The door of this room.
// Source:  sizes: size.h. Half an inch of allowance in each direction: common practice, no source. Pounds are those of a ream of
//          500 sheets in the basis size, 20 x 26 in for cover stock and 25 x 38 in for text stock (sizes from memory).
#ifndef PM_PAPER_PAPER_H
#define PM_PAPER_PAPER_H

#include "base/error.h"
#include "shape/hull.h"

#define PAPER_ALLOWANCE_MM 12.7     // half an inch less in each direction: 12 x 12 in leaves 11.5 x 11.5 in
#define PAPER_CORNER_MARK_MM 3.0    // legs of the two corner marks
#define PAPER_FIT_SPARE_MM 1.0      // pieces stay this much under the limit, in each direction

typedef enum PaperDirection {
    PAPER_PLAIN,    // pieces may be turned freely
    PAPER_GRAINED,  // looks the same upside down only: pieces are turned by half a turn or not at all
    PAPER_TEXTURED, // has a top: pieces are never turned
} PaperDirection;

// A paper without a word on a property has the zero of it: weight and price unknown, solid colour, takes every line.
typedef struct Paper {
    char id[32];                    // "letter", "12x12in", "a4", "150x210mm", "letter+a4": part of file names
    double width_mm, height_mm;     // as lying on the mat, portrait unless asked otherwise by WxH
    PaperDirection direction;
    bool white_core;                // shows a white thread at the edges of dark colours
    bool one_faced;                 // coloured on one face alone
    bool no_score, no_pen;          // does not take such lines
    double gsm;                     // weight of a square metre in grams; 0 = unknown
    double board_mm[2];             // the board that it is cut down from; 0, 0 = bought at its size
    double pack_price;              // of pack_count sheets (or boards), in the maker's own currency; 0 = unknown
    int pack_count;
    bool is_offcut;                 // a sheet that the maker has, still to be cut: nothing of it is bought. No word says so; replay_offcuts.c of job sets it
    bool has_loss;                  // the cutter says what is lost at the sheet's edges, else half of the allowance at each
    double loss_mm[4];              // left, top, right, bottom of the sheet
} Paper;

// A size, then properties in any order, separated by commas: "letter, 65lb, white-core, 25 for 8.99".
//   size:      "letter", "legal", "tabloid", "a4", "b5", "ansi-c", "12x12" (inches when without unit), "11x24in", "30x40cm"
//              "letter+a4": the common ground of both, so that one kit is cut from either: as wide as the narrower and as tall
//              as the shorter, which is what they share when they lie with their top left corners on one spot
//   weight:    "250gsm", "250g"; "65lb" = "65lb-cover"; "60lb-text"
//   core:      "white-core"                    faces:  "one-faced"
//   direction: "grained" or "textured"         lines:  "no-score", "no-pen"
//   board:     "from 22x28": cut down from it; prices and packs are then those of boards
//   price:     "25 for 8.99", "0.79 each", or "pack of 25" when only the count is known
// The id is the size alone. What is lost at the edges is not said here: a cutter says it (cutter.h).
// Errors:  ERROR_USAGE for what is not known, comes twice, or is out of range; ERROR_JOB for a paper smaller than the
//          allowance and a board that gives no sheet. The text says what works.
MUST_USE bool paper_parse(const char *word, Paper *out, Error *err);

bool paper_is_common(const Paper *paper);           // the common ground of several sizes
bool paper_equal(const Paper *a, const Paper *b);   // in every property

// Grams a square metre of a paper of which 500 sheets of the basis size weigh so many pounds.
double paper_gsm_of_pounds(double pounds, double basis_width_in, double basis_height_in);

void paper_loss(const Paper *paper, double out_mm[4]);          // left, top, right, bottom
void paper_usable(const Paper *paper, double out_box_mm[4]);    // x, y, w, h on the sheet
// What a piece must fit into: the usable box less corner marks and spare; upright where the paper has a direction.
Space paper_fit_space(const Paper *paper);
// What the nest may use: the usable box less corner marks.
Space paper_nest_space(const Paper *paper);

#endif

// mark.h - the door: Pieces of a layer -> their marks: where the next layers go, which piece this is, which edges meet.
// Every mark lies on the face of its piece and is hidden by higher layers in the end, at least `hide_mm` from their edge;
// but for what the maker wants drawn by pen (MARK_DRAWN), which lies where this layer is the topmost.
// Source:  letters: Hershey Roman simplex (A. V. Hershey, "Calligraphy for Computers", NWL Report 2101, 1967).
#ifndef PM_MARK_MARK_H
#define PM_MARK_MARK_H

#include "seam/seam.h"

typedef enum MarkKind { MARK_PLACEMENT, MARK_LABEL, MARK_MATCH, MARK_DRAWN } MarkKind; // drawn: stays visible, the maker's wish
typedef enum MarkLine { MARK_SCORE, MARK_PEN, MARK_CUT } MarkLine;

typedef struct Mark {
    int piece;              // index into the layer's pieces
    MarkKind kind;
    MarkLine line;
    Path path;              // open strokes, finished-piece coordinates
    const char *text;       // of a label or match mark, else NULL
    int seam;               // of a match mark: index into the layer's seams
} Mark;

typedef struct LayerMarks {
    int layer;
    Mark *marks;            // by piece, placement before label before match (by seam) before drawn
    int mark_count;
    int unlabelled_count;   // pieces without a covered place large enough, or without marks
    int unmarked_count;     // seams without one
    const char **seam_letters; // one a seam of the layer, marked or not; unique in the layer
    int seam_count;
    Findings findings;
} LayerMarks;

typedef struct MarkOptions {
    MarkLine line;              // score by default; MARK_CUT: placement lines become rows of 1 mm cuts, and nothing is written
    double inset_mm;            // 1.5; by pen 2; never more than a quarter of the part's width
    double hide_mm;             // how far a mark stays from the edge of what hides it (0.5)
    double letter_mm;           // height aimed at: 10 scored, 8 by pen
    double least_letter_mm;     // 6
    bool no_marks;              // the paper takes no line of the kit: nothing is placed or written
    bool pen_missing;           // the cutter has no pen: said where details are to be drawn with one
    bool no_pen;                // details that should be drawn by pen are left out, and told
} MarkOptions;

// "score", "pen", "cut": in files, texts and options.
const char *mark_line_word(MarkLine line);

MarkOptions mark_defaults(MarkLine line);

// `all` has one entry a layer, in stack order.
MUST_USE bool mark_layer(const Stack *stack, const LayerPieces *all, int layer, const MarkOptions *options,
                         Arena *keep, Work *work, LayerMarks *out, Error *err);

// Single-stroke text: strokes of lines, letter height `height_mm`, baseline start at (0, 0), y down, in micrometres.
// 6 and 9 get a line below when they could be read upside down. ASCII only; others are skipped.
MUST_USE bool mark_text(const char *text, double height_mm, Arena *keep, Path *out, Box *out_box, Error *err);

#endif

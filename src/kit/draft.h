// draft.h - what the writers of the kit share: every piece with its outline and its sheet, every sheet with its names.
// Units:   paths are whole micrometres: of pieces in finished-piece coordinates, of notes in sheet coordinates.
#ifndef PM_KIT_DRAFT_H
#define PM_KIT_DRAFT_H

#include "kit/kit.h"

#define RATE_CUT_MM_S 25.0      // common practice, changeable: no source
#define RATE_SCORE_MM_S 50.0
#define RATE_LIFT_S 0.5
#define RATE_SHEET_MIN 1.5
#define RATE_SEAM_MIN 1.5
#define RATE_PIECE_MIN 1.0

typedef struct DraftNote {      // words in the waste of a sheet
    const char *text;
    MarkLine line;
    Path path;
} DraftNote;

typedef struct DraftStrip {     // glued behind a seam of the base
    const BackingStrip *source;
    const Piece *cut;           // its outline and name
    int seam;                   // index into the draft's seams
    int piece;                  // index into the draft's pieces; -1 = cut by hand
} DraftStrip;

typedef struct DraftPiece {
    const Piece *source;
    int layer;
    const DraftStrip *strip;    // NULL for a face
    const FoamPiece *foam;      // the squares that it lies on; NULL = none
    int sheet;                  // index into the draft's sheets; -1 = not cut this time
    const double *to_sheet;
    Path outline;               // holes of each outer ring before it: they are cut first
    Path face;                  // its share of the layer: the same as the outline for a piece without laps
    double area_mm2;            // inside the outline's curves
    const Mark **marks;
    int mark_count;
    bool is_labelled;
} DraftPiece;

typedef struct DraftSheet {
    int paper;                  // index into the kit's papers
    int number, of;             // 1 of 5
    char id[80];                // "navy-1"
    char file[240];             // where its cuts are, "sheets/NAME-48in-navy-1-of-5-8x10.5in.svg"; set with the files
    double offset_mm[2];        // of the sheet's corner in its files
    double box_mm[4];
    int *pieces;                // in cutting order
    int piece_count;
    DraftNote *notes;
    int note_count;
    bool has_rest;
    double rest_mm[4];          // what is left, worth keeping: x, y, width, height (rest.h); set with the notes
} DraftSheet;

typedef struct DraftFile {      // one file for the cutter: sheet_files.h
    char name[240];
    int first_sheet, sheet_count;
    bool one_line;              // it holds the paths of `line` alone
    MarkLine line;
    double size_mm[2], box_mm[4];   // of its page and of what is drawn
} DraftFile;

typedef struct DraftSeam {
    const Seam *source;
    int layer;
    Path path;
} DraftSeam;

typedef struct DraftLayer {
    char id[8];
    Path outline;
    double area_mm2;
    int first_piece, piece_count;
} DraftLayer;

typedef struct DraftTotals {
    int sheets, pieces;         // faces that lie on sheets
    int strips, foam_squares;
    double seam_mm, visible_seam_mm, cut_mm, score_mm, pen_mm, waste_percent, cutting_minutes, assembly_minutes;
    bool has_cost;              // every paper has a price
    double cost;                // of all that must be bought: spare sheets, whole boards and packs
} DraftTotals;

typedef struct Draft {
    const KitInput *input;
    DraftLayer *layers;
    DraftPiece *pieces;         // by layer, then as the layer has them; behind these piece_count the strips that are cut
    int piece_count, strip_count;
    DraftStrip *strips;         // all of them, those that are cut by hand too
    int all_strip_count;
    DraftSheet *sheets;         // by paper, then number
    int sheet_count;
    DraftSeam *seams;
    int seam_count;
    DraftFile *files;           // set by sheet_files_make, after the notes
    int file_count;
    const struct SectionParts *sections;    // NULL: it is put together as one (section_parts.h)
    const struct Board *board;  // NULL: none is asked for (board.h)
    DraftTotals totals;         // set by draft_total, after the notes
} Draft;

MUST_USE bool draft_make(const KitInput *input, Arena *keep, Work *work, Draft *out, Error *err);
void draft_total(Draft *draft);

// One of the seam's pieces at least is cut, so that the seam is still to be joined.
bool draft_is_joined(const Draft *draft, int seam);

// The colour's word as it stands in sheet ids, told apart by the paper's size where two papers share it.
void draft_paper_word(const KitInput *input, int paper, char out[64]);

// Some mark or note of the kit is drawn with it.
bool draft_uses(const Draft *draft, MarkLine line);

// The letter that says which edges meet, as it stands on both pieces beside a seam of the draft; NULL where a layer has no marks.
const char *draft_seam_letter(const Draft *draft, int seam);

// The same, but NULL also where no match mark of this seam stands on the paper: what somebody is told to look for.
const char *draft_seam_letter_on_paper(const Draft *draft, int seam);

// A point in finished millimetres on its sheet.
void draft_on_sheet(const DraftPiece *piece, Point p, double out_mm[2]);

// Where a piece is drawn in its sheet's files for the cutter, in sheet millimetres: to_sheet, and for paper that is cut from the
// back mirrored left to right about the middle of the usable box, so that the drawn box stays as it is.
void draft_in_files(const Draft *draft, const DraftPiece *piece, double out_matrix[6]);
// The box whose first and last corner have the corner marks there, in sheet millimetres; mirrored it runs to the left. The nest
// keeps clear of these two corners, so the marks are mirrored with the pieces.
void draft_corners(const Draft *draft, const DraftSheet *sheet, double out_box_mm[4]);

// "#1d2f5a" as a sheet's fill: pure white becomes #fdfdfb, since some software takes it for nothing.
void draft_fill(Srgb8 colour, char out[8]);

#endif

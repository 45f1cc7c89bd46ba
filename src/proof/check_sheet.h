// check_sheet.h - the parts of check_sheets: files for the cutter, and the sheets of the kit with the pieces that kit.json
// puts on them. A file holds one sheet, several of one paper, or one line kind of a sheet, as kit.json's sheets_for says.
#ifndef PM_PROOF_CHECK_SHEET_H
#define PM_PROOF_CHECK_SHEET_H

#include "proof/check.h"

typedef struct SheetView {
    Check *check;
    const ReadSheet *sheet;
    const ReadPaper *paper;
    const int *pieces; // indices of the pieces on it
    int piece_count;
    unsigned char *inside; // by piece of the kit, all 0: for scan lines
} SheetView;

typedef struct FileView {
    const char *name;
    const int *sheets; // indices of the kit's sheets that it holds, at least one
    int sheet_count;
    bool holds[READ_LINES];
    ReadDrawing drawing;
    int *owners[READ_LINES]; // of each part of the drawing's paths: an index into `sheets`, or -1
} FileView;

// Where the sheet's files draw a piece: to_sheet, mirrored about the middle of the usable box where it is cut from the back.
void check_drawn_place(const SheetView *view, const ReadPiece *piece, double out_matrix[6]);

// The box whose first and last corner have corner marks: mirrored it runs to the left.
void check_corners_box(const SheetView *view, double out_box[4]);

// All files below sheets/: each named by kit.json as it should be, once, and there. Gives the files for the cutter.
MUST_USE bool check_files(Check *check, FileView **out, int *out_count, Error *err);

// One file by itself: its name, page, colours and groups. *good = drawing and owners are filled, in scratch.
MUST_USE bool check_file(Check *check, FileView *file, bool *good, Error *err);

// The part of a file's drawing that lies on this sheet (file->sheets[index]) is the corner marks, outlines, marks and
// notes of the sheet that kit.json has in the file's line kinds, each once, and nothing else.
MUST_USE bool check_drawing(const SheetView *view, const FileView *file, int index, Error *err);

// The sheet has nothing to be drawn with a line kind that no file of it holds.
MUST_USE bool check_undrawn(const SheetView *view, ReadLine line, Error *err);

// The sheet in other formats draws the same.
MUST_USE bool check_copies(const SheetView *view, Error *err);

// Pieces lie in the usable box, clear of its corner marks, apart from one another; notes lie in the waste.
MUST_USE bool check_places(const SheetView *view, Error *err);

#endif

// sheet_files.h - into which files for the cutter the sheets are parted (KitFor), what they are called, and where in its
// file each sheet lies.
// Shape:   a file holds neighbours of the draft's list of sheets, all of one paper. Where a file holds several, they lie
//          in rows as whole sheets, SHEET_FILES_APART_MM from one another, so that the whole is about as wide as high.
// Names:   "sheets/NAME-48in-navy-1-of-5-8x10.5in.svg", "...-1-to-5-24.5x21.5in.svg", "...-8x10.5in-score.svg": the drawn
//          box is always in it.
#ifndef PM_KIT_SHEET_FILES_H
#define PM_KIT_SHEET_FILES_H

#include "kit/draft.h"

#define SHEET_FILES_APART_MM 10.0 // between the sheets of one file; less: their edges are hard to tell apart

// Fills draft's files and the sheets' `file` and `offset_mm`. After the notes: a file of a line that nothing is drawn
// with is left out.
MUST_USE bool sheet_files_make(Draft *draft, Arena *keep, Error *err);

// Something of the sheet is drawn with the line; corner marks do not count.
bool sheet_has_line(const Draft *draft, const DraftSheet *sheet, MarkLine line);

// "sheets/NAME-48in-navy-1-of-5-8x10.5in.EXTENSION": a copy of one sheet in another format.
void sheet_copy_name(const Draft *draft, const DraftSheet *sheet, const char *extension, char out[240]);

// "sheets/NAME-48in-navy": how the names of everything printed or cut for a paper begin.
void sheet_files_stem(const KitInput *input, int paper, char out[160]);

#endif

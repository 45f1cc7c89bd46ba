// sheet_lines.h - all that is drawn on one sheet with one line kind, path by path, in cutting order: for files that hold
// nothing but lines.
// Shape:   marks and notes before outlines, what lies in a hole before what has the hole; corner marks last, as closed triangles.
// Units:   the visitor gets control points in millimetres of the sheet, x to the right, y down.
#ifndef PM_KIT_SHEET_LINES_H
#define PM_KIT_SHEET_LINES_H

#include "kit/draft.h"

typedef struct SheetCurve {     // a line has p[1] == p[0] and p[2] == p[3]
    double p[4][2];
    bool is_line;
} SheetCurve;

typedef struct SheetRun {       // one open or closed run of curves
    const SheetCurve *curves;
    int count;
    bool closed;
} SheetRun;

void sheet_curve_at(const SheetCurve *curve, double t, double out_mm[2]);   // by its Bernstein form

// False from the visitor ends the visit with its error.
typedef bool (*VisitRun)(void *context, const SheetRun *run, Error *err);

MUST_USE bool sheet_lines_visit(const Draft *draft, const DraftSheet *sheet, MarkLine line, Arena *keep, VisitRun visit, void *context,
                                Error *err);

#endif

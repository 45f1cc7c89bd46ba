// plotter.h - one sheet in HP-GL: for plotters and bare cutters that are fed with plotter language.
// Shape:   IN; PA; then for each line kind that something is drawn with: SP and runs of PU and PD; PU; SP0;
//          Pens: 1 = cut, 2 = score, 3 = pen; drawn pen first, cuts last. Units of 0.025 mm, y up, origin at the sheet's lower
//          left corner. Curves are lines within PLOTTER_NEAR_MM.
//          A bare drag knife trails behind the middle that the machine moves. With a blade offset the cuts are those of
//          the middle: ahead of the tip by the offset, swung round at corners. With an overcut a closed cut goes on a little past
//          where it began.
// Source:  Hewlett-Packard, "HP-GL" as in the interfacing and programming manuals of the 7475A and 7550A (IN, PA, PD, PU, SP; 40 units a
//          millimetre). Blade offset and overcut: common practice, no source; the tip follows a tractrix.
#ifndef PM_KIT_PLOTTER_H
#define PM_KIT_PLOTTER_H

#include "kit/draft.h"

#define PLOTTER_NEAR_MM 0.01

MUST_USE bool plotter_sheet(const Draft *draft, int sheet, Arena *keep, FileBytes *out, Error *err);

#endif

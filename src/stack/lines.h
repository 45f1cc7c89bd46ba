// lines.h - the line colour on top of all others: where it lies, and what reaches under it from both sides.
#ifndef PM_STACK_LINES_H
#define PM_STACK_LINES_H

#include "stack/stack.h"

// Settles where the lines lie and what the base is. `line_colour` goes round the figure (-1: none does), and
// out->base_colour is what the base would be without the maker's word. Sets that, base_is_line_colour, line_colour and
// lines; what cannot be is told in out->findings.
MUST_USE bool lines_settle(const Outlines *outlines, const StackOptions *options, int line_colour, Arena *keep,
                           Work *work, Stack *out, Error *err);

// How far a colour reaches under lines on top. Lower asks too much of the hand that places the lines; higher makes panels
// too large for a sheet that fits them as they are seen.
#define LINES_LIP_MM 3.0

// Takes away what reaches under lines too far, or would tie areas of one colour together below a line that parts them:
// each is to stay a part of its own, as panels that end under a line can be cut whole where one panel below several lines
// cannot. Below a line that is narrower than two lips each side keeps half of its width or so, and below one narrower than
// half a lip nothing. `seen` is the colour's visible share, `lines` that of the lines, *reach what underlap_reach found.
MUST_USE bool lines_keep_apart(const Rings *seen, const Rings *lines, Arena *keep, Work *work, Rings *reach, Error *err);

#endif

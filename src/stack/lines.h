// lines.h - the line colour on top of all others: where it lies, and what reaches under it from both sides.
#ifndef PM_STACK_LINES_H
#define PM_STACK_LINES_H

#include "stack/stack.h"

// Settles where the lines lie and what the base is. `line_colour` goes round the figure (-1: none does), and
// out->base_colour is what the base would be without the maker's word. Sets that, base_is_line_colour, line_colour and
// lines; what cannot be is told in out->findings.
MUST_USE bool lines_settle(const Outlines *outlines, const StackOptions *options, int line_colour, Arena *keep,
                           Work *work, Stack *out, Error *err);

// Takes away what would tie areas of one colour together below a line that parts them: each is to stay a part of its
// own, as panels that end under a line can be cut whole where one panel below several lines cannot. Each side keeps half
// of the line's width or so where that is less than the reach, and something of at least a quarter of the reach where the
// line is twice as wide as that. `seen` is the colour's visible share, *reach what underlap_reach found for it.
MUST_USE bool lines_keep_apart(const Rings *seen, double reach_mm, Arena *keep, Work *work, Rings *reach, Error *err);

#endif

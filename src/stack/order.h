// order.h - which colour is the base, and what lies on what.
// Shape:   a total order of all colours that have paper, lowest first; the base colour is not in it.
#ifndef PM_STACK_ORDER_H
#define PM_STACK_ORDER_H

#include "outline/outline.h"

// Of the full shape's outline. Lower takes a large colour for a line colour, higher misses lines with gaps.
#define ORDER_LINE_COLOUR_SHARE 0.90

// The colour that borders at least 90 % of the full shape's outline, else the one with the largest area (ties: the
// smaller colour value). *out_is_line_colour tells which of the two it was. -1 when there is no colour at all.
MUST_USE bool order_base_colour(const Outlines *outlines, Work *work, int *out_colour, bool *out_is_line_colour,
                                Error *err);

// The colour with the largest area (ties as above) but one; -1 when there is no other.
MUST_USE bool order_largest_colour(const Outlines *outlines, int but, Work *work, int *out_colour, Error *err);

// Fills out_colours (room for colour_count) with the colours above the base, lowest first. What encloses lies below
// what is enclosed, by the summed area that each of two colours encloses of the other; ties: larger area first, then
// the smaller colour value. Where this goes round in a circle, the colour that the remaining ones enclose least is
// next.
MUST_USE bool order_colours(const Outlines *outlines, int base_colour, Work *work, int *out_colours, int *out_count,
                            Error *err);

#endif

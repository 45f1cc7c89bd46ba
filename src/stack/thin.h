// thin.h - parts of the paper, and gaps in it, that are too narrow to cut well.
// How:     what an opening of each layer's paper (a closing of the base for gaps) by half the width takes away. Only
//          paper that is seen counts, and only what is thin when cut: a line between two higher layers is wide below
//          them.
// Source:  opening and closing: J. Serra, "Image Analysis and Mathematical Morphology", Academic Press 1982.
#ifndef PM_STACK_THIN_H
#define PM_STACK_THIN_H

#include "stack/stack.h"

#define THIN_MOST 100 // findings of one kind; more would not be read, and the last one tells how many there are

// Adds findings "thin-part" and "thin-gap", one a place, longest first: what is narrower than thin_mm for longer than
// twice as much, and every part or hole that is so narrow as a whole. The place lies inside the part or gap.
MUST_USE bool thin_find(const Stack *stack, double thin_mm, Arena *keep, Work *work, Findings *findings, Error *err);

#endif

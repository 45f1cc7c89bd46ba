// pen.h - details that are drawn by pen instead of cut: from stairs of pixels to smooth strokes on the finished piece.
#ifndef PM_STACK_PEN_H
#define PM_STACK_PEN_H

#include "stack/stack.h"

// Fills pen_strokes of a stack whose layers are made, by detail, then layer. A detail that lies on no paper, or only
// along its edges, becomes a finding "edit-not-kept".
MUST_USE bool pen_strokes_make(const Outlines *outlines, Arena *keep, Work *work, Stack *stack, Error *err);

#endif

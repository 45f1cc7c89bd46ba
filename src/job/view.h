// view.h - what one layer's stage reads of a whole stack, and nothing else, and its key.
// A stage that is keyed by its view cannot read anything that the key does not know: the rest is not there. So a change
// elsewhere in the stack leaves the layer's result as it is.
// Memory:  views share what they can with what they are views of.
#ifndef PM_JOB_VIEW_H
#define PM_JOB_VIEW_H

#include "job/key.h"
#include "kit/kit.h"
#include "mark/mark.h"
#include "nest/mixed.h"

// The stack with this layer alone: its area, cover and colour, and the chains that it uses, in their order.
MUST_USE bool view_for_seams(const Stack *stack, int layer, Arena *keep, Stack *out, Error *err);
Key view_seams_key(const Stack *view, int layer, const SeamOptions *options);

// The stack with the flat rings of this layer and of those above it, and its pen strokes; of the pieces, those of this layer alone, with its seams
// as flat lines.
typedef struct MarkView {
    Stack stack;
    LayerPieces *pieces;    // layer_count entries
} MarkView;

MUST_USE bool view_for_marks(const Stack *stack, const LayerPieces *pieces, int layer, Arena *keep, MarkView *out, Error *err);
Key view_marks_key(const MarkView *view, int layer, const MarkOptions *options);

Key view_nest_key(const NestItem *items, int count, const NestOptions *options);
Key view_mixed_key(const NestItem *items, int count, const NestKind *kinds, int kind_count);

// Content of earlier stages, and what they are asked.
Key view_separation_key(const Separation *separation);
void hash_separation_options(Hasher *hasher, const SeparationOptions *options);
void hash_stack_options(Hasher *hasher, const StackOptions *options);
void hash_colours(Hasher *hasher, const SeparationColour *colours, int count); // all but their names
void hash_names(Hasher *hasher, const SeparationColour *colours, int count);
void hash_paper(Hasher *hasher, const Paper *paper);    // all of it: what a kit tells
void hash_kit_options(Hasher *hasher, const KitOptions *options);

#endif

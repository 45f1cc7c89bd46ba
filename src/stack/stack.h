// stack.h - the door: Outlines -> Stack, which paper layers there are and what lies on what.
// Shape:   layers[0] is the base (layer A). Higher index = higher in the stack. `area` is the paper that is cut: what is seen plus the underlap.
//          Chains: the first arc_count chains are the arcs of the outlines (same indices); the rest are free edges.
//          Seen paper reproduces the picture exactly: top to bottom, what no higher layer covers shows this layer.
// Units:   whole micrometres in finished-piece coordinates: the box of layers[0] (border included) starts at (0, 0).
#ifndef PM_STACK_STACK_H
#define PM_STACK_STACK_H

#include "outline/outline.h"

typedef enum StackWay { STACK_INLAY, STACK_UNDERLAP } StackWay;

typedef struct Layer {
    int colour;             // index into colours
    Area area;              // normalised
    bool *hidden;           // a flag a link of `area`: this edge lies under a higher layer
    Area seen;              // the visible share (for the base: full shape less everything above is not computed; seen.ring_count = 0)
    Rings rings;            // area, flat
    Rings cover;            // union of all higher layers, flat: what hides this layer
} Layer;

typedef struct Stack {
    Chains chains;
    int arc_count;
    Layer *layers;
    int layer_count;
    SeparationColour *colours;
    int colour_count;
    int base_colour;
    bool base_is_line_colour;
    double width_mm, height_mm;     // finished, border included
    double border_mm;
    double underlap_mm;             // what was used (0 for inlay)
    Findings findings;
} Stack;

typedef struct StackOptions {
    StackWay way;
    double underlap_mm;     // < 0: by height (6 mm, 10 mm above 4 ft)
    double border_mm;       // 0 = none; must equal OutlineOptions.offset_mm
    int base_colour;        // -1 = choose
} StackOptions;

StackOptions stack_defaults(void);

MUST_USE bool stack_make(const Outlines *outlines, const StackOptions *options, Arena *keep, Work *work, Stack *out,
                         Error *err);

#endif

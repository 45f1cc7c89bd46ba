// stack.h - the door: Outlines -> Stack, which paper layers there are and what lies on what.
// Shape:   layers[0] is the base (layer A). Higher index = higher in the stack. `area` is the paper that is cut: what is seen plus the underlap.
//          A colour has one layer, but for a base that lies on top once more (LINES_BOTH): its seen share is the last layer's.
//          Chains: the first arc_count chains are the arcs of the outlines (same indices); the rest are free edges.
//          Seen paper reproduces the picture exactly: top to bottom, what no higher layer covers shows this layer.
// Units:   whole micrometres in finished-piece coordinates: the box of layers[0] (border included) starts at (0, 0).
#ifndef PM_STACK_STACK_H
#define PM_STACK_STACK_H

#include "outline/outline.h"

typedef enum StackWay { STACK_INLAY, STACK_UNDERLAP } StackWay;

// Where the line colour lies, the one that goes round the whole figure (order.h).
typedef enum StackLines {
    LINES_BASE, // lowest: the base, solid below everything
    LINES_TOP,  // highest, as lines alone; the base is the largest other colour
    LINES_BOTH, // the base, and once more as lines on top of everything
} StackLines;

typedef struct Layer {
    int colour;             // index into colours
    Area area;              // normalised
    bool *hidden;           // a flag a link of `area`: this edge lies under a higher layer
    Area seen;              // the visible share (for the base: full shape less everything above is not computed; seen.ring_count = 0)
    Rings rings;            // area, flat
    Rings cover;            // union of all higher layers, flat: what hides this layer
    bool asked_raised;      // on foam squares, by the maker's wish
    bool raised;            // ... or since it lies on such a layer
} Layer;

// The maker's word on two colours: this one lies over that one, where they meet.
typedef struct OrderWish { int over, under; } OrderWish;    // colour indices

// Two colours that lie edge to edge where they meet.
typedef struct ColourPair { int a, b; } ColourPair;         // colour indices

#define STACK_FOAM_MM 3.0           // height of a foam square: how far a raised layer lies above the next
#define STACK_FOAM_REACH_MM (2.0 * STACK_FOAM_MM + 3.0) // underlap below a raised layer: what is seen from the side too

// A layer that lies on foam squares.
typedef struct StackRaised { int colour, layer; } StackRaised;  // colour index, or -1 and the layer

// A closed stroke that is drawn by pen on what lies on top there, since the part was too small to cut. One that runs over
// several layers is there once for each, lowest first, with the same points.
typedef struct PenStroke {
    int layer;              // the topmost one along a part of the stroke
    Srgb8 colour;
    Point *points;          // smooth, flat; the first one is not repeated
    int point_count;
} PenStroke;

typedef struct Stack {
    Chains chains;
    int arc_count;
    Layer *layers;
    int layer_count;
    SeparationColour *colours;
    int colour_count;
    int base_colour;
    bool base_is_line_colour;
    int line_colour;                // goes round the whole figure; -1: none does
    StackLines lines;               // as they lie; LINES_BASE as well when no colour goes round the figure
    double width_mm, height_mm;     // finished, border included
    double border_mm;
    double underlap_mm;             // what was used (0 for inlay)
    PenStroke *pen_strokes;
    int pen_stroke_count;
    Findings findings;              // of the outlines, copied
} Stack;

typedef struct StackOptions {
    StackWay way;
    double underlap_mm;     // < 0: by height (6 mm, 10 mm above 4 ft)
    double border_mm;       // 0 = none; must equal OutlineOptions.offset_mm
    int base_colour;        // -1 = choose
    StackLines lines;       // what cannot be is a finding "edit-not-kept"
    const OrderWish *orders;    // obeyed as far as they do not contradict one another (the later one wins; the lost one is a finding)
    int order_count;
    const ColourPair *inlays;   // neither reaches under the other; one that cannot be so is a finding
    int inlay_count;
    const StackRaised *raised;
    int raised_count;
    double thin_mm;         // parts and necks narrower than this are findings "thin-part" (3)
} StackOptions;

StackOptions stack_defaults(void);

const char *stack_lines_say(StackLines lines); // "the lines on top": as findings begin with

MUST_USE bool stack_make(const Outlines *outlines, const StackOptions *options, Arena *keep, Work *work, Stack *out,
                         Error *err);

// The same in steps, for a caller with threads: the units of the making are independent of one another and may run in any
// order at once, each with an arena and a Work of its own; the longest come first.
// Memory:  `own` and the units' arenas live until stack_end.
typedef struct StackMaking StackMaking;
MUST_USE bool stack_begin(const Outlines *outlines, const StackOptions *options, Arena *own, Arena *keep, Work *work,
                          StackMaking **making, Stack *out, Error *err);
int stack_unit_count(const StackMaking *making);
MUST_USE bool stack_unit(StackMaking *making, int unit, Arena *own, Work *work, Error *err);
MUST_USE bool stack_end(StackMaking *making, Arena *own, Arena *keep, Work *work, Error *err);

// What stack_make adds to the findings when thin_mm > 0, apart: it alters no layer, takes as long as the rest, and need
// not be waited for. Findings "thin-part" and "thin-gap", longest first.
MUST_USE bool stack_find_thin(const Stack *stack, double thin_mm, Arena *keep, Work *work, Findings *findings, Error *err);

#endif

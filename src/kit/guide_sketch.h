// guide_sketch.h - small pictures beside a step: the piece before it and after it.
// What is there already is pale, what the step brings is strong and named. Joining begins face up with the pieces a
// little apart, and ends face down (mirrored) with the tape on; gluing is seen from the front.
// Method:  outlines are drawn with as many points as their size on the page needs, kept for each layer and scale.
// Source:  fewer points: stack/coarse.h.
#ifndef PM_KIT_GUIDE_SKETCH_H
#define PM_KIT_GUIDE_SKETCH_H

#include "kit/guide_map.h"
#include "kit/guide_steps.h"

#define SKETCH_LEVELS 6

typedef struct Sketches {
    const Draft *draft;
    Arena *keep;
    Work *work;
    Rings *layers;      // SKETCH_LEVELS a layer, each level half as coarse as the one before; items NULL = not made yet
} Sketches;

MUST_USE bool sketches_make(const Draft *draft, Arena *keep, Work *work, Sketches *out, Error *err);

// How high both pictures are in frames of this width, at most.
double sketch_height(Sketches *sketches, int layer, const GuideStep *step, double width_mm, double most_mm);

// Both pictures of steps->items[step], each in its frame; what they are called stands below, within the frame.
MUST_USE bool sketch_step(Canvas *canvas, Sketches *sketches, int layer, const GuideSteps *steps, int step, Frame before,
                          Frame after, Work *work, Error *err);

#endif

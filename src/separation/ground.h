// ground.h - which regions are not cut: the ground.
// Rule:    transparent areas, enclosed ones too, when the picture has any worth the name; else the areas of the
//          border's colour that reach the picture's edge. The border's colour has all four corners, or at least half of
//          the frame's pixels and two corners if it is as pale as bare paper; any other has to have two thirds and three
//          corners, for a sky or half a flag reaches the frame too, and must not go round a rectangle as a picture frame
//          does. A picture without one has no ground.
#ifndef PM_SEPARATION_GROUND_H
#define PM_SEPARATION_GROUND_H

#include "separation/palette.h"
#include "separation/runs.h"

typedef struct Ground {
    bool is_transparent;
    uint8_t paint; // palette label of the ground's colour; LABEL_UNDECIDED when transparent or when there is no ground
    uint8_t rim;   // palette label of a colour that has half of the frame and yet is no ground, worth a word; else LABEL_UNDECIDED
} Ground;

// Finds the ground and gives its regions LABEL_CLEAR.
Ground ground_find(const uint8_t *label, const Palette *palette, Runs *runs);

// How many pixels of the frame each label has; corners count twice. Adds to what `count` holds.
void ground_count_frame(const uint8_t *label, int width, int height, int64_t count[256]);

// Whether at least half of the frame of this label map has the label.
bool ground_has_half_of_frame(const uint8_t *label, int width, int height, uint8_t of);

// The label that will show through as the base: it borders at least 90 % of the full shape's outline, else it has the
// largest area. Counts the cracks inside the picture beside. Errors: ERROR_CANCELLED.
MUST_USE bool ground_base_label(Runs *runs, Work *work, uint8_t *out, int64_t *cracks, Error *err);

#endif

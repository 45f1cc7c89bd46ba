// sound.h - the exact check that seams meet the outline, and one another, at their ends only.
#ifndef PM_SEAM_SOUND_H
#define PM_SEAM_SOUND_H

#include "base/work.h"
#include "shape/point.h"

typedef struct Stroke {
    Point a, b;
} Stroke; // one straight edge

// True when no seam stroke shares any point with an outline stroke or another seam stroke but an end that both have.
// False as well once the work is to stop, which the caller learns at its next work_goes_on.
bool strokes_are_sound(const Stroke *seams, int seam_count, const Stroke *outline, int outline_count, const Work *work);

#endif

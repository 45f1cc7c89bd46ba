// verdict.h - one sentence on the picture: good, or which details vanish, or too soft.
// Errors:  none.
#ifndef PM_SEPARATION_VERDICT_H
#define PM_SEPARATION_VERDICT_H

#include "base/text.h"
#include "separation/separation.h"

typedef enum Verdict {
    VERDICT_GOOD,
    VERDICT_DETAILS_VANISH, // works, but parts are too small at this size
    VERDICT_TOO_SOFT        // blurred, shaded or a photograph: another one cuts better
} Verdict;

Verdict verdict_of(const Separation *separation);

// The sentence, without a line's end. figure_height_mm = 0: no size was named, specks were judged in pixels.
void verdict_say(const Separation *separation, double figure_height_mm, Text *text);

#endif

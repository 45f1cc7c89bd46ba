// say.h - what a maker reads of a job, in the same words on the command line and on the page.
// Errors:  none; a Text remembers that memory ran out.
#ifndef PM_JOB_SAY_H
#define PM_JOB_SAY_H

#include "job/job.h"

void say_minutes(Text *text, double minutes);   // "40 min", "3 h"

// "59 pieces would show 18 in more of seam"
void say_offer(Text *text, const JobOffer *offer, const JobOffer *now);

// "balloon-48in": the kit's folder when nobody named it.
void say_kit_folder(Text *text, const char *name, double height_mm);

#endif

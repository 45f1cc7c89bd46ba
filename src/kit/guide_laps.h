// guide_laps.h - what the guide says of seams that are glued on laps, beside those that are taped behind.
#ifndef PM_KIT_GUIDE_LAPS_H
#define PM_KIT_GUIDE_LAPS_H

#include "base/text.h"
#include "kit/guide_groups.h"

#define GUIDE_ALL_LAYERS (-1)

// Seams of this form in a layer, or in all; their length together.
int guide_form_count(const Draft *draft, int layer, SeamForm form);
double guide_form_mm(const Draft *draft, int layer, SeamForm form);

typedef struct GuideForms { // of the seams that a step joins
    bool lapped, taped;
} GuideForms;

// Of a part that is joined from single pieces: all its seams. Of one that is united from two: those between these.
GuideForms guide_forms(const GuideGroups *groups, const GuidePart *part);
// Of a whole group.
GuideForms guide_forms_of_group(const GuideGroups *groups, int group);

// How the step goes: `pieces` is "them" or "both", `behind` what is done behind taped seams ("tape behind").
void guide_say_join(Text *text, GuideForms forms, const char *pieces, const char *behind);

// "A4 on the lap of A2", "A4, its lap under A2", "A4 to A2", as the seams between the two are; *taped: some are butt seams.
void guide_say_pair(Text *text, const GuideGroups *groups, int piece, int other, bool *taped);

#endif

// guide_story.h - one layer's steps while they are told: what is known of the layer, how pieces are named in a sentence, and how
// a step is added. Joining (guide_join.h) and placing (guide_place.h) tell their steps with it, guide_steps.h the whole.
// Memory:  steps and their texts in `keep`; the rest in the work's scratch.
#ifndef PM_KIT_GUIDE_STORY_H
#define PM_KIT_GUIDE_STORY_H

#include "kit/guide_steps.h"

typedef struct GuideStory {     // of one layer
    GuideGroups groups;
    const GuideBelow *below;
    int *section;          // of each piece of the layer: where it is put on
    int *number;           // of each part: what it is called; 0 = not joined yet, or the only one of its group
    int numbers;
    GuideSteps *steps;
    Arena *keep;
    Work *work;
} GuideStory;

// Between the names of a list: nothing before the first, " and " before the last, else ", ".
void guide_story_and(Text *text, int i, int count);

// "A4, A7 and A12"
void guide_story_names(Text *text, const GuideStory *story, const int *pieces, int count);

// The same, or of many: "the joined part with A12"
void guide_story_group(Text *text, const GuideStory *story, const int *pieces, int count);

// " on A24 and A25": what most of these pieces lie on first; nothing of the base.
void guide_story_below(Text *text, const GuideStory *story, const int *pieces, int count);

// Adds the step with its title and words (NULL = none); it belongs to the section of its pieces unless it is of bridge pieces.
MUST_USE bool guide_story_step(const GuideStory *story, GuideStep step, const Text *title, const Text *words, Error *err);

#endif

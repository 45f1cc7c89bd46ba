// guide_story.c - see guide_story.h.
#include "kit/guide_story.h"

#define NAMED_MOST 8       // a joined part of more pieces is called by its largest

void guide_story_and(Text *text, int i, int count)
{
    if (i > 0) text_add(text, i + 1 < count ? ", " : " and ");
}

void guide_story_names(Text *text, const GuideStory *story, const int *pieces, int count)
{
    for (int i = 0; i < count; i++) {
        guide_story_and(text, i, count);
        text_add(text, guide_piece_name(&story->groups, pieces[i]));
    }
}

void guide_story_group(Text *text, const GuideStory *story, const int *pieces, int count)
{
    if (count > NAMED_MOST)
        text_printf(text, "the joined part with %s",
                    guide_piece_name(&story->groups, guide_group_largest(&story->groups, story->groups.group[pieces[0]])));
    else
        guide_story_names(text, story, pieces, count);
}

void guide_story_below(Text *text, const GuideStory *story, const int *pieces, int count)
{
    int found[GUIDE_BELOW_MOST], found_count = 0;
    for (int rank = 0; rank < GUIDE_BELOW_MOST; rank++)
        for (int i = 0; i < count && found_count < GUIDE_BELOW_MOST; i++) {
            const GuideBelow *of = &story->below[story->groups.first_piece + pieces[i]];
            if (rank >= of->count) continue;
            bool is_new = true;
            for (int k = 0; k < found_count; k++) is_new = is_new && found[k] != of->pieces[rank];
            if (is_new) found[found_count++] = of->pieces[rank];
        }
    for (int k = 0; k < found_count; k++) {
        if (k == 0) text_add(text, " on ");
        else guide_story_and(text, k, found_count);
        text_add(text, story->groups.draft->pieces[found[k]].source->id);
    }
}

// Of what is placed in one go: where its first piece is that does not wait.
static int section_of(const GuideStory *story, const int *pieces, int count)
{
    int section = SECTION_OF_BRIDGE;
    for (int i = count; i-- > 0;)
        if (story->section[pieces[i]] != SECTION_OF_BRIDGE) section = story->section[pieces[i]];
    return section;
}

bool guide_story_step(const GuideStory *story, GuideStep step, const Text *title, const Text *words, Error *err)
{
    GuideSteps *steps = story->steps;
    if (!text_is_whole(title, err) || (words && !text_is_whole(words, err))) return false;
    GuideStep *items = arena_grow(story->keep, steps->items, (size_t)steps->count, &steps->capacity, sizeof *items);
    if (!items) return error_memory(err);
    step.title = title->bytes;
    step.section = step.section == SECTION_OF_BRIDGE ? SECTION_OF_BRIDGE : section_of(story, step.pieces, step.piece_count);
    step.words = words && words->bytes ? words->bytes : "";
    steps->items = items;
    items[steps->count++] = step;
    return true;
}

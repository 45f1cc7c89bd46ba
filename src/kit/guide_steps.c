// guide_steps.c - see guide_steps.h.
#include "kit/guide_steps.h"

#include "kit/guide_checks.h"
#include "kit/guide_join.h"
#include "kit/guide_place.h"

// A piece that lies on bridge pieces alone waits for them.
static bool find_sections(GuideStory *story, Error *err)
{
    const GuideGroups *groups = &story->groups;
    const Draft *draft = groups->draft;
    bool *waits = arena_new(&story->work->scratch, bool, draft->piece_count);
    story->section = arena_new(&story->work->scratch, int, groups->piece_count);
    if (!waits || !story->section) return error_memory(err);
    for (int i = 0; i < draft->piece_count && draft->sections; i++) { // lower layers come first
        const GuideBelow *below = &story->below[i];
        int on = 0;
        for (int k = 0; k < below->count; k++) on += waits[below->pieces[k]];
        waits[i] = draft->sections->of_piece[i] == SECTION_OF_BRIDGE || (on > 0 && on == below->count);
    }
    for (int i = 0; i < groups->piece_count && draft->sections; i++)
        story->section[i] = waits[groups->first_piece + i] ? SECTION_OF_BRIDGE : draft->sections->of_piece[groups->first_piece + i];
    return true;
}

// "A4 to A7: 7 1/2 in (190 mm)", from the first section to the last.
static bool list_meeting(const GuideStory *story, GuideStep *step, int *pieces, Error *err)
{
    const GuideGroups *groups = &story->groups;
    bool *listed = arena_new(&story->work->scratch, bool, groups->piece_count);
    if (!listed) return error_memory(err);
    for (int s = 0; s < groups->draft->seam_count; s++) {
        const Seam *seam = groups->draft->seams[s].source;
        if (groups->draft->seams[s].layer != groups->layer || !seam->on_section) continue;
        Text line = text_make(story->keep);
        const char *letter = draft_seam_letter_on_paper(groups->draft, s);
        text_printf(&line, "%s to %s", guide_piece_name(groups, seam->pieces[0]), guide_piece_name(groups, seam->pieces[1]));
        if (letter) text_printf(&line, " (%s)", letter);
        text_add(&line, ": ");
        guide_tape_length(&line, seam->length_mm);
        if (!text_is_whole(&line, err)) return false;
        step->lines[step->line_count++] = line.bytes;
        step->minutes += RATE_SEAM_MIN;
        for (int k = 0; k < 2; k++)
            if (!listed[seam->pieces[k]]) listed[seam->pieces[k]] = true, pieces[step->piece_count++] = seam->pieces[k];
    }
    return true;
}

// Edges on section lines meet when the sections lie side by side: those of the base are taped, the others only looked at.
static bool meet_sections(const GuideStory *story, Error *err)
{
    const GuideGroups *groups = &story->groups;
    Text title = text_make(story->keep), words = text_make(story->keep);
    int *pieces = arena_new(story->keep, int, groups->piece_count);
    GuideStep step = {.kind = GUIDE_STEP_JOIN, .pieces = pieces, .section = SECTION_OF_BRIDGE, .meets = true, .joins_whole = -1, .taped = groups->layer == 0,
                      .lines = arena_new(story->keep, const char *, groups->draft->seam_count)};
    if (!pieces || !step.lines) return error_memory(err);
    if (!groups->draft->sections || !list_meeting(story, &step, pieces, err)) return err->kind == ERROR_NONE;
    if (step.line_count == 0) return true;
    text_printf(&title, groups->layer == 0 ? "Tape the sections together behind" : "See that the edges of layer %s meet",
                groups->draft->layers[groups->layer].id);
    text_add(&words, groups->layer == 0 ? "Face down, edge to edge. Cloth tape, or a strip of board with bolts, behind each of these seams:"
                                        : "From the front, with nothing glued across, so that it can be taken apart again:");
    return guide_story_step(story, step, &title, &words, err);
}

static int section_rank(const GuideStory *story, int section)
{
    return section == SECTION_OF_BRIDGE ? story->groups.draft->sections->count : section;
}

// One section after another; within it the order stays.
static bool sort_by_section(const GuideStory *story, Error *err)
{
    GuideSteps *steps = story->steps;
    if (!story->groups.draft->sections) return true;
    GuideStep *sorted = arena_new(story->keep, GuideStep, steps->count);
    if (!sorted) return error_memory(err);
    int count = 0;
    for (int rank = 0; rank <= story->groups.draft->sections->count; rank++)
        for (int i = 0; i < steps->count; i++)
            if (section_rank(story, steps->items[i].section) == rank) sorted[count++] = steps->items[i];
    steps->items = sorted;
    steps->capacity = (size_t)steps->count;
    return true;
}

static bool tell(GuideStory *story, Error *err)
{
    for (int p = 0; p < story->groups.part_count; p++) {
        if (!guide_join_part(story, p, err)) return false;
        if (guide_part_is_whole(&story->groups, p) && !guide_place_strips(story, &story->groups.parts[p], err)) return false;
        if (guide_part_is_whole(&story->groups, p) && !guide_place_group(story, &story->groups.parts[p], err)) return false;
    }
    return guide_place_singles(story, err) && meet_sections(story, err) &&
           sort_by_section(story, err);
}

bool guide_steps(const Draft *draft, int layer, const GuideBelow *below, Arena *keep, Work *work, GuideSteps *out,
                 Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    GuideStory story = {.below = below, .steps = out, .keep = keep, .work = work};
    *out = (GuideSteps){0};
    if (!guide_groups_make(draft, layer, keep, work, &story.groups, err)) return false;
    story.number = arena_new(&work->scratch, int, story.groups.part_count);
    if (!story.number) return error_memory(err);
    bool done = find_sections(&story, err) && tell(&story, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

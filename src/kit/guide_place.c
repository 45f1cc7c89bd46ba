// guide_place.c - see guide_place.h.
#include "kit/guide_place.h"

#include "kit/guide_checks.h"
#include "kit/guide_foam.h"
#include "kit/guide_laps.h"
#include "kit/guide_strips.h"
#include "kit/hang.h"

#include <math.h>
#include <stdlib.h>

#define SINGLES_MOST 6     // single pieces that are placed in one step
#define SINGLES_SPAN 0.45  // of the finished piece's longer side: farther apart they are not one step

#define SHORT_SEAM_MM 40.0 // what hangs on less must not be lifted by hand
#define LARGE_MM 250.0     // ... once it is longer than a hand

static Box piece_box(const GuideStory *story, int piece)
{
    return rings_box(&story->groups.draft->pieces[story->groups.first_piece + piece].source->rings);
}

static Box part_box(const GuideStory *story, const GuidePart *part)
{
    Box whole = piece_box(story, part->pieces[0]);
    for (int i = 1; i < part->count; i++) {
        Box box = piece_box(story, part->pieces[i]);
        box_add(&whole, box.min);
        box_add(&whole, box.max);
    }
    return whole;
}

// Large, with a seam so short that it bends or tears there when somebody lifts it.
static bool is_weak(const GuideStory *story, const GuidePart *part)
{
    Box box = part_box(story, part);
    if (fmax(box_width_mm(box), box_height_mm(box)) < LARGE_MM) return false;
    for (int s = 0; s < story->groups.seam_count; s++) {
        const Seam *seam = story->groups.seams[s].source;
        if (seam->length_mm < SHORT_SEAM_MM && guide_part_has(part, seam->pieces[0]) && guide_part_has(part, seam->pieces[1])) return true;
    }
    return false;
}

// The strips whose seams join pieces of this group.
bool guide_place_strips(const GuideStory *story, const GuidePart *part, Error *err)
{
    const Draft *draft = story->groups.draft;
    int count = 0;
    for (int i = 0; i < draft->all_strip_count && story->groups.layer == 0; i++)
        count += guide_part_has(part, draft->seams[draft->strips[i].seam].source->pieces[0]);
    if (count == 0) return true;
    Text title = text_make(story->keep), words = text_make(story->keep);
    text_printf(&title, "Glue %d strip%s behind ", count, count == 1 ? "" : "s");
    guide_story_group(&title, story, part->pieces, part->count);
    text_printf(&words, "As the page \u201c%s\u201d shows, over the tape, the middle of each on its seam. A board and books on all of it, "
                        "until the glue is dry.", GUIDE_STRIPS_PAGE);
    GuideStep step = {.kind = GUIDE_STEP_STRIPS, .pieces = part->pieces, .piece_count = part->count, .joins_whole = -1, .taped = true};
    return guide_story_step(story, step, &title, &words, err);
}

bool guide_place_group(const GuideStory *story, const GuidePart *part, Error *err)
{
    Text title = text_make(story->keep), words = text_make(story->keep);
    GuideStep step = {.kind = story->groups.layer > 0 ? GUIDE_STEP_GLUE : GUIDE_STEP_TURN, .pieces = part->pieces,
                      .piece_count = part->count, .minutes = part->count * RATE_PIECE_MIN / 2, .joins_whole = -1,
                      .taped = guide_forms_of_group(&story->groups, part->group).taped};
    text_add(&title, step.kind == GUIDE_STEP_GLUE ? "Glue " : step.taped ? "Turn " : "Press ");
    guide_story_group(&title, story, part->pieces, part->count);
    text_add(&title, step.kind == GUIDE_STEP_GLUE ? " in place, in one go" : step.taped ? " face up" : " until the glue is dry");
    if (step.kind == GUIDE_STEP_GLUE) {
        guide_foam_say(&words, story->groups.draft, story->groups.first_piece, part->pieces, part->count);
        if (is_weak(story, part)) text_add(&words, "Its short seams bend: slide a board under it and turn both. ");
        text_add(&words, "Face up");
        guide_story_below(&words, story, part->pieces, part->count);
        text_add(&words, step.taped ? ". Then take the low-tack tape off the front." : ".");
    } else if (!step.taped) {
        text_add(&words, "It lies face up already: a board and books on it. Nothing of its laps looks out at an edge or through a hole.");
    } else {
        text_add(&words, "Slide a board under it, or turn it with two people. Take the low-tack tape off the front, slowly "
                         "and flat along the paper.");
    }
    return guide_story_step(story, step, &title, &words, err);
}

// "A2: 2 1/4 in (57 mm) from the left,", and below "5 in (127 mm) from the top": of the whole, to its left edge and its top.
static bool add_place(const GuideStory *story, int piece, GuideStep *step, Error *err)
{
    Box box = piece_box(story, piece);
    const SectionParts *parts = story->groups.draft->sections;
    int section = story->section[piece];
    if (parts && section != SECTION_OF_BRIDGE) { // measured on the section, which lies alone on the table
        box.min.x -= parts->items[section].box.min.x;
        box.min.y -= parts->items[section].box.min.y;
    }
    Text line = text_make(story->keep);
    text_printf(&line, "%s: ", guide_piece_name(&story->groups, piece));
    guide_tape_length(&line, box.min.x / UM_PER_MM);
    text_add(&line, " from the left,\n");
    guide_tape_length(&line, box.min.y / UM_PER_MM);
    text_add(&line, " from the top");
    if (!text_is_whole(&line, err)) return false;
    step->lines[step->line_count++] = line.bytes;
    return true;
}

// Which of the single pieces no later piece joins to the rest, where the others lie.
static bool add_where(const GuideStory *story, const int *singles, int count, GuideStep *step, Text *words, Error *err)
{
    const GuideGroups *groups = &story->groups;
    ArenaMark mark = arena_mark(&story->work->scratch);
    Hang hang;
    int loose = 0;
    step->lines = arena_new(story->keep, const char *, count);
    if (!step->lines) return error_memory(err);
    if (!hang_find_bodies(groups->draft, story->below, &story->work->scratch, story->work, &hang, err)) return false;
    for (int i = 0; i < count; i++) loose += hang.body[groups->first_piece + singles[i]] != hang.main;
    if (loose < count) text_printf(words, "A later layer joins %s to the rest", loose ? "some" : count > 1 ? "these" : "it");
    if (loose > 0 && loose < count) text_add(words, ", but not ");
    for (int i = 0, said = 0; i < count && loose > 0 && loose < count; i++) {
        if (hang.body[groups->first_piece + singles[i]] == hang.main) continue;
        guide_story_and(words, said++, loose);
        text_add(words, guide_piece_name(groups, singles[i]));
    }
    if (loose < count) text_add(words, ". ");
    if (loose > 0)
        text_printf(words, "No paper joins %s to the rest: glue all on one board, or give %s a place on the wall. ",
                    count == 1 ? "it" : loose < count ? "those" : "these", loose > 1 ? "each" : "it");
    text_printf(words, "Measure from the left edge and the top of the %s to the left edge and the top of the piece:",
                groups->draft->sections ? "section" : "whole");
    arena_rewind(&story->work->scratch, mark);
    for (int i = 0; i < count; i++)
        if (!add_place(story, singles[i], step, err)) return false;
    return true;
}

// Those of the base that no seam joins, in one step for each section.
static bool lay_singles_of(const GuideStory *story, int section, Error *err)
{
    const GuideGroups *groups = &story->groups;
    Text title = text_make(story->keep), words = text_make(story->keep);
    int *singles = arena_new(story->keep, int, groups->piece_count), count = 0;
    if (!singles) return error_memory(err);
    for (int i = 0; i < groups->piece_count; i++)
        if (guide_group_size(groups, i) == 1 && story->section[i] == section) singles[count++] = i;
    if (count == 0) return true;
    text_add(&title, "Lay in place, face up: ");
    guide_story_names(&title, story, singles, count);
    GuideStep step = {.kind = GUIDE_STEP_LAY, .pieces = singles, .piece_count = count, .minutes = count * RATE_PIECE_MIN,
                      .joins_whole = -1};
    if (groups->piece_count > 1 && !add_where(story, singles, count, &step, &words, err)) return false;
    return guide_story_step(story, step, &title, &words, err);
}

static bool lay_singles(const GuideStory *story, Error *err)
{
    int sections = story->groups.draft->sections ? story->groups.draft->sections->count : 1;
    for (int section = 0; section < sections; section++)
        if (!lay_singles_of(story, section, err)) return false;
    return !story->groups.draft->sections || lay_singles_of(story, SECTION_OF_BRIDGE, err);
}

static double apart_um(Box a, Box b)
{
    double dx = ((double)a.min.x + a.max.x - b.min.x - b.max.x) / 2, dy = ((double)a.min.y + a.max.y - b.min.y - b.max.y) / 2;
    return dx * dx + dy * dy;
}

// Adds to the set the nearest single piece that is left and keeps the set together; false when there is none.
static bool take_near(const GuideStory *story, bool *taken, int *set, int *count)
{
    const Stack *stack = story->groups.draft->input->stack;
    double span_mm = SINGLES_SPAN * fmax(stack->width_mm, stack->height_mm), nearest = INFINITY;
    Box whole = piece_box(story, set[0]);
    int best = -1;
    for (int i = 1; i < *count; i++) {
        Box box = piece_box(story, set[i]);
        box_add(&whole, box.min);
        box_add(&whole, box.max);
    }
    for (int i = 0; i < story->groups.piece_count; i++) {
        if (taken[i] || guide_group_size(&story->groups, i) != 1 || story->section[i] != story->section[set[0]]) continue;
        Box box = piece_box(story, i), grown = whole;
        box_add(&grown, box.min);
        box_add(&grown, box.max);
        double apart = apart_um(piece_box(story, set[0]), box);
        if (fmax(box_width_mm(grown), box_height_mm(grown)) > span_mm || apart >= nearest) continue;
        nearest = apart;
        best = i;
    }
    if (best < 0) return false;
    taken[best] = true;
    set[(*count)++] = best;
    return true;
}

static int by_index(const void *a, const void *b)
{
    int x = *(const int *)a, y = *(const int *)b;
    return (x > y) - (x < y);
}

static bool glue_few(const GuideStory *story, const int *set, int count, Error *err)
{
    Text title = text_make(story->keep), words = text_make(story->keep);
    GuideStep step = {.kind = GUIDE_STEP_GLUE, .pieces = set, .piece_count = count, .minutes = count * RATE_PIECE_MIN,
                      .joins_whole = -1};
    text_add(&title, "Glue ");
    guide_story_names(&title, story, set, count);
    text_add(&title, " in place");
    guide_foam_say(&words, story->groups.draft, story->groups.first_piece, set, count);
    if (count == 1) {
        text_printf(&words, "%s", guide_piece_name(&story->groups, set[0]));
        guide_story_below(&words, story, set, 1);
        text_add(&words, ".");
        return guide_story_step(story, step, &title, &words, err);
    }
    step.lines = arena_new(story->keep, const char *, count);
    if (!step.lines) return error_memory(err);
    for (int i = 0; i < count; i++) {
        Text line = text_make(story->keep);
        text_add(&line, guide_piece_name(&story->groups, set[i]));
        guide_story_below(&line, story, &set[i], 1);
        if (!text_is_whole(&line, err)) return false;
        step.lines[step.line_count++] = line.bytes;
    }
    return guide_story_step(story, step, &title, &words, err);
}

static bool glue_singles(const GuideStory *story, Error *err)
{
    int count = story->groups.piece_count;
    bool *taken = arena_new(&story->work->scratch, bool, count);
    if (!taken) return error_memory(err);
    for (int i = 0; i < count; i++) {
        if (taken[i] || guide_group_size(&story->groups, i) != 1) continue;
        int *set = arena_new(story->keep, int, SINGLES_MOST), set_count = 1;
        if (!set) return error_memory(err);
        if (!work_goes_on(story->work, err)) return false;
        set[0] = i;
        taken[i] = true;
        while (set_count < SINGLES_MOST && take_near(story, taken, set, &set_count)) {}
        qsort(set, (size_t)set_count, sizeof *set, by_index);
        if (!glue_few(story, set, set_count, err)) return false;
    }
    return true;
}

bool guide_place_singles(const GuideStory *story, Error *err)
{
    return story->groups.layer == 0 ? lay_singles(story, err) : glue_singles(story, err);
}

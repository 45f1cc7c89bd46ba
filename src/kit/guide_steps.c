// guide_steps.c - see guide_steps.h.
#include "kit/guide_steps.h"

#include "kit/guide_checks.h"
#include "kit/guide_foam.h"
#include "kit/guide_laps.h"
#include "kit/guide_strips.h"
#include "kit/hang.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NAMED_MOST 8       // a joined part of more pieces is called by its largest
#define SINGLES_MOST 6     // single pieces that are placed in one step
#define SINGLES_SPAN 0.45  // of the finished piece's longer side: farther apart they are not one step

#define SHORT_SEAM_MM 40.0 // what hangs on less must not be lifted by hand
#define LARGE_MM 250.0     // ... once it is longer than a hand

typedef struct Story {     // of one layer
    GuideGroups groups;
    const GuideBelow *below;
    int *section;          // of each piece of the layer: where it is put on
    int *number;           // of each part: what it is called; 0 = not joined yet, or the only one of its group
    int numbers;
    GuideSteps *steps;
    Arena *keep;
    Work *work;
} Story;

// --- sentences ---

static void add_between(Text *text, int i, int count)
{
    if (i > 0) text_add(text, i + 1 < count ? ", " : " and ");
}

static void add_names(Text *text, const Story *story, const int *pieces, int count)
{
    for (int i = 0; i < count; i++) {
        add_between(text, i, count);
        text_add(text, guide_piece_name(&story->groups, pieces[i]));
    }
}

// "A4, A7 and A12", or of many: "the joined part with A12"
static void add_group(Text *text, const Story *story, const int *pieces, int count)
{
    if (count > NAMED_MOST)
        text_printf(text, "the joined part with %s",
                    guide_piece_name(&story->groups, guide_group_largest(&story->groups, story->groups.group[pieces[0]])));
    else
        add_names(text, story, pieces, count);
}

// " on A24 and A25": what most of these pieces lie on first.
static void add_below(Text *text, const Story *story, const int *pieces, int count)
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
        else add_between(text, k, found_count);
        text_add(text, story->groups.draft->pieces[found[k]].source->id);
    }
}

// A piece that lies on bridge pieces alone waits for them.
static bool find_sections(Story *story, Error *err)
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

// Of what is placed in one go: where its first piece is that does not wait.
static int section_of(const Story *story, const int *pieces, int count)
{
    int section = SECTION_OF_BRIDGE;
    for (int i = count; i-- > 0;)
        if (story->section[pieces[i]] != SECTION_OF_BRIDGE) section = story->section[pieces[i]];
    return section;
}

static bool add_step(const Story *story, GuideStep step, const Text *title, const Text *words, Error *err)
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

// --- joining ---

// "A4 to A2 (C): 7 1/2 in (190 mm)", and in a step with laps and butt seams ", taped" for the latter; nothing, and *seams = 0, when no seam joins the two.
static bool add_pair(const Story *story, int piece, int other, bool mixed, GuideStep *step, int *seams, Error *err)
{
    const GuideGroups *groups = &story->groups;
    Text text = text_make(story->keep), letters = text_make(story->keep);
    double length = 0;
    *seams = 0;
    for (int s = 0; s < groups->seam_count; s++) {
        const int *pair = groups->seams[s].source->pieces;
        if (!((pair[0] == piece && pair[1] == other) || (pair[1] == piece && pair[0] == other))) continue;
        const char *letter = draft_seam_letter_on_paper(groups->draft, groups->seam_index[s]);
        if (letter) text_printf(&letters, "%s%s", letters.size_bytes > 0 ? ", " : " (", letter);
        length += groups->seams[s].source->length_mm;
        (*seams)++;
    }
    if (*seams == 0) return true;
    bool taped;
    guide_say_pair(&text, groups, piece, other, &taped);
    if (letters.size_bytes > 0) text_printf(&text, "%s)", letters.bytes);
    text_add(&text, ": ");
    guide_tape_length(&text, length);
    if (taped && mixed) text_add(&text, ", taped");
    if (!text_is_whole(&text, err) || !text_is_whole(&letters, err)) return false;
    step->lines[step->line_count++] = text.bytes;
    step->minutes += *seams * RATE_SEAM_MIN;
    return true;
}

static double seam_to_done(const Story *story, const bool *done, int piece)
{
    double sum = 0;
    for (int s = 0; s < story->groups.seam_count; s++) {
        const Seam *seam = story->groups.seams[s].source;
        if (seam->pieces[0] != piece && seam->pieces[1] != piece) continue;
        if (done[seam->pieces[0] == piece ? seam->pieces[1] : seam->pieces[0]]) sum += seam->length_mm;
    }
    return sum;
}

// The piece of the part with most seam to those that are joined already; -1 = none.
static int next_piece(const Story *story, const GuidePart *part, const bool *done)
{
    int best = -1;
    double most = 0;
    for (int i = 0; i < part->count; i++) {
        double length = done[part->pieces[i]] ? 0 : seam_to_done(story, done, part->pieces[i]);
        if (length <= most) continue;
        most = length;
        best = part->pieces[i];
    }
    return best;
}

static int largest_of(const Story *story, const GuidePart *part)
{
    const DraftPiece *pieces = &story->groups.draft->pieces[story->groups.first_piece];
    int best = part->pieces[0];
    for (int i = 1; i < part->count; i++)
        if (pieces[part->pieces[i]].area_mm2 > pieces[best].area_mm2) best = part->pieces[i];
    return best;
}

// From the largest piece outwards.
static bool list_joins(const Story *story, const GuidePart *part, bool mixed, GuideStep *step, Error *err)
{
    bool *done = arena_new(&story->work->scratch, bool, story->groups.piece_count);
    if (!done) return error_memory(err);
    for (int piece = largest_of(story, part); piece >= 0; piece = next_piece(story, part, done)) {
        int seams;
        if (!work_goes_on(story->work, err)) return false;
        for (int i = 0; i < part->count; i++)
            if (done[part->pieces[i]] && !add_pair(story, piece, part->pieces[i], mixed, step, &seams, err)) return false;
        done[piece] = true;
    }
    return true;
}

typedef struct Pair {
    int piece, other;
    double at_um; // along the long seam
} Pair;

static int by_place(const void *a, const void *b)
{
    const Pair *p = a, *q = b;
    if (p->at_um != q->at_um) return p->at_um < q->at_um ? -1 : 1;
    return p->piece != q->piece ? (p->piece > q->piece) - (p->piece < q->piece) : (p->other > q->other) - (p->other < q->other);
}

static bool has(const GuidePart *part, int piece)
{
    for (int i = 0; i < part->count; i++)
        if (part->pieces[i] == piece) return true;
    return false;
}

// From one end of the long seam to the other.
static bool list_united(const Story *story, const GuidePart *a, const GuidePart *b, bool mixed, GuideStep *step, Error *err)
{
    const GuideGroups *groups = &story->groups;
    Pair *pairs = arena_new(&story->work->scratch, Pair, groups->seam_count);
    Box box = box_empty();
    int count = 0, seams;
    if (!pairs) return error_memory(err);
    for (int pass = 0; pass < 2; pass++) // first how the line runs, then the places along it
        for (int s = 0; s < groups->seam_count; s++) {
            const int *pair = groups->seams[s].source->pieces;
            bool forward = has(a, pair[0]) && has(b, pair[1]);
            if (!forward && !(has(a, pair[1]) && has(b, pair[0]))) continue;
            const Path *path = &groups->seams[s].path;
            Point p = path->curves[0].p0, q = path->curves[path->curve_count - 1].p3;
            box_add(&box, p);
            box_add(&box, q);
            if (pass == 0) continue;
            bool across = box_width_mm(box) >= box_height_mm(box);
            Pair found = {pair[forward ? 1 : 0], pair[forward ? 0 : 1], across ? (double)p.x + q.x : (double)p.y + q.y};
            bool is_new = true;
            for (int k = 0; k < count; k++) is_new = is_new && (pairs[k].piece != found.piece || pairs[k].other != found.other);
            if (is_new) pairs[count++] = found;
        }
    qsort(pairs, (size_t)count, sizeof *pairs, by_place);
    for (int i = 0; i < count; i++)
        if (!add_pair(story, pairs[i].piece, pairs[i].other, mixed, step, &seams, err)) return false;
    return true;
}

static void add_part_name(Text *text, const Story *story, int part)
{
    if (story->groups.parts[part].count == 1)
        text_add(text, guide_piece_name(&story->groups, story->groups.parts[part].pieces[0]));
    else
        text_printf(text, "part %d", story->number[part]);
}

static bool is_whole(const Story *story, int part)
{
    const GuidePart *parts = story->groups.parts;
    return part + 1 == story->groups.part_count || parts[part + 1].group != parts[part].group;
}

static bool meet(const Story *story, int a, int b)
{
    for (int s = 0; s < story->groups.seam_count; s++) {
        const int *pair = story->groups.seams[s].source->pieces;
        if ((pair[0] == a && pair[1] == b) || (pair[0] == b && pair[1] == a)) return true;
    }
    return false;
}

// Each piece meets two others, so that the last one closes only when all lie right.
static bool is_ring(const Story *story, const GuidePart *part)
{
    for (int i = 0; i < part->count; i++) {
        int neighbours = 0;
        for (int k = 0; k < part->count; k++) neighbours += k != i && meet(story, part->pieces[i], part->pieces[k]);
        if (neighbours != 2) return false;
    }
    return part->count > 3;
}

static bool join_part(Story *story, int index, Error *err)
{
    const GuidePart *part = &story->groups.parts[index];
    bool whole = is_whole(story, index), united = part->first >= 0;
    GuideForms forms = guide_forms(&story->groups, part);
    bool mixed = forms.lapped && forms.taped;
    if (part->count == 1) return true; // comes along when it is united
    Text title = text_make(story->keep), words = text_make(story->keep);
    GuideStep step = {.kind = united ? GUIDE_STEP_UNITE : GUIDE_STEP_JOIN, .pieces = part->pieces, .piece_count = part->count,
                      .joins_whole = whole ? part->group : -1, .taped = forms.taped,
                      .lines = arena_new(story->keep, const char *, story->groups.seam_count)};
    if (!step.lines) return error_memory(err);
    if (!whole) {
        story->number[index] = ++story->numbers;
        text_printf(&title, "Part %d: ", story->number[index]);
    }
    if (!united) {
        text_printf(&title, "%s ", whole ? "Join" : "join");
        add_names(&title, story, part->pieces, part->count);
        if (is_ring(story, part)) text_add(&words, "They close to a ring: lay all of them dry first. ");
        guide_say_join(&words, forms, "them", "tape behind");
        if (!whole) text_printf(&words, ", and write \u201cpart %d\u201d %s", story->number[index], forms.taped ? "there" : "behind");
        text_add(&words, ":");
        step.minutes = part->count * RATE_PIECE_MIN / 2;
        return list_joins(story, part, mixed, &step, err) && add_step(story, step, &title, &words, err);
    }
    const GuidePart *a = &story->groups.parts[part->first], *b = &story->groups.parts[part->second];
    text_printf(&title, "%s ", whole ? "Join" : "join");
    add_part_name(&title, story, part->first);
    text_add(&title, " and ");
    add_part_name(&title, story, part->second);
    guide_say_join(&words, forms, "both", "tape behind");
    text_add(&words, ", from one end of the long seam to the other:");
    step.first_count = a->count;
    step.minutes = ((a->count == 1) + (b->count == 1)) * RATE_PIECE_MIN / 2;
    return list_united(story, a, b, mixed, &step, err) && add_step(story, step, &title, &words, err);
}

// --- placing ---

static Box piece_box(const Story *story, int piece)
{
    return rings_box(&story->groups.draft->pieces[story->groups.first_piece + piece].source->rings);
}

static Box part_box(const Story *story, const GuidePart *part)
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
static bool is_weak(const Story *story, const GuidePart *part)
{
    Box box = part_box(story, part);
    if (fmax(box_width_mm(box), box_height_mm(box)) < LARGE_MM) return false;
    for (int s = 0; s < story->groups.seam_count; s++) {
        const Seam *seam = story->groups.seams[s].source;
        if (seam->length_mm < SHORT_SEAM_MM && has(part, seam->pieces[0]) && has(part, seam->pieces[1])) return true;
    }
    return false;
}

// The strips whose seams join pieces of this group.
static bool back_group(const Story *story, const GuidePart *part, Error *err)
{
    const Draft *draft = story->groups.draft;
    int count = 0;
    for (int i = 0; i < draft->all_strip_count && story->groups.layer == 0; i++)
        count += has(part, draft->seams[draft->strips[i].seam].source->pieces[0]);
    if (count == 0) return true;
    Text title = text_make(story->keep), words = text_make(story->keep);
    text_printf(&title, "Glue %d strip%s behind ", count, count == 1 ? "" : "s");
    add_group(&title, story, part->pieces, part->count);
    text_printf(&words, "As the page \u201c%s\u201d shows, over the tape, the middle of each on its seam. A board and books on all of it, "
                        "until the glue is dry.", GUIDE_STRIPS_PAGE);
    GuideStep step = {.kind = GUIDE_STEP_STRIPS, .pieces = part->pieces, .piece_count = part->count, .joins_whole = -1, .taped = true};
    return add_step(story, step, &title, &words, err);
}

static bool place_group(const Story *story, const GuidePart *part, Error *err)
{
    Text title = text_make(story->keep), words = text_make(story->keep);
    GuideStep step = {.kind = story->groups.layer > 0 ? GUIDE_STEP_GLUE : GUIDE_STEP_TURN, .pieces = part->pieces,
                      .piece_count = part->count, .minutes = part->count * RATE_PIECE_MIN / 2, .joins_whole = -1,
                      .taped = guide_forms_of_group(&story->groups, part->group).taped};
    text_add(&title, step.kind == GUIDE_STEP_GLUE ? "Glue " : step.taped ? "Turn " : "Press ");
    add_group(&title, story, part->pieces, part->count);
    text_add(&title, step.kind == GUIDE_STEP_GLUE ? " in place, in one go" : step.taped ? " face up" : " until the glue is dry");
    if (step.kind == GUIDE_STEP_GLUE) {
        guide_foam_say(&words, story->groups.draft, story->groups.first_piece, part->pieces, part->count);
        if (is_weak(story, part)) text_add(&words, "Its short seams bend: slide a board under it and turn both. ");
        text_add(&words, "Face up");
        add_below(&words, story, part->pieces, part->count);
        text_add(&words, step.taped ? ". Then take the low-tack tape off the front." : ".");
    } else if (!step.taped) {
        text_add(&words, "It lies face up already: a board and books on it. Nothing of its laps looks out at an edge or through a hole.");
    } else {
        text_add(&words, "Slide a board under it, or turn it with two people. Take the low-tack tape off the front, slowly "
                         "and flat along the paper.");
    }
    return add_step(story, step, &title, &words, err);
}

// "A2: 2 1/4 in (57 mm) from the left,", and below "5 in (127 mm) from the top": of the whole, to its left edge and its top.
static bool add_place(const Story *story, int piece, GuideStep *step, Error *err)
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
static bool add_where(const Story *story, const int *singles, int count, GuideStep *step, Text *words, Error *err)
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
        add_between(words, said++, loose);
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
static bool lay_singles_of(const Story *story, int section, Error *err)
{
    const GuideGroups *groups = &story->groups;
    Text title = text_make(story->keep), words = text_make(story->keep);
    int *singles = arena_new(story->keep, int, groups->piece_count), count = 0;
    if (!singles) return error_memory(err);
    for (int i = 0; i < groups->piece_count; i++)
        if (guide_group_size(groups, i) == 1 && story->section[i] == section) singles[count++] = i;
    if (count == 0) return true;
    text_add(&title, "Lay in place, face up: ");
    add_names(&title, story, singles, count);
    GuideStep step = {.kind = GUIDE_STEP_LAY, .pieces = singles, .piece_count = count, .minutes = count * RATE_PIECE_MIN,
                      .joins_whole = -1};
    if (groups->piece_count > 1 && !add_where(story, singles, count, &step, &words, err)) return false;
    return add_step(story, step, &title, &words, err);
}

static bool lay_singles(const Story *story, Error *err)
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
static bool take_near(const Story *story, bool *taken, int *set, int *count)
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

static bool glue_few(const Story *story, const int *set, int count, Error *err)
{
    Text title = text_make(story->keep), words = text_make(story->keep);
    GuideStep step = {.kind = GUIDE_STEP_GLUE, .pieces = set, .piece_count = count, .minutes = count * RATE_PIECE_MIN,
                      .joins_whole = -1};
    text_add(&title, "Glue ");
    add_names(&title, story, set, count);
    text_add(&title, " in place");
    guide_foam_say(&words, story->groups.draft, story->groups.first_piece, set, count);
    if (count == 1) {
        text_printf(&words, "%s", guide_piece_name(&story->groups, set[0]));
        add_below(&words, story, set, 1);
        text_add(&words, ".");
        return add_step(story, step, &title, &words, err);
    }
    step.lines = arena_new(story->keep, const char *, count);
    if (!step.lines) return error_memory(err);
    for (int i = 0; i < count; i++) {
        Text line = text_make(story->keep);
        text_add(&line, guide_piece_name(&story->groups, set[i]));
        add_below(&line, story, &set[i], 1);
        if (!text_is_whole(&line, err)) return false;
        step.lines[step.line_count++] = line.bytes;
    }
    return add_step(story, step, &title, &words, err);
}

static bool glue_singles(const Story *story, Error *err)
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

// --- where the piece is put up ---

// "A4 to A7: 7 1/2 in (190 mm)", from the first section to the last.
static bool list_meeting(const Story *story, GuideStep *step, int *pieces, Error *err)
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
static bool meet_sections(const Story *story, Error *err)
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
    return add_step(story, step, &title, &words, err);
}

static int section_rank(const Story *story, int section)
{
    return section == SECTION_OF_BRIDGE ? story->groups.draft->sections->count : section;
}

// One section after another; within it the order stays.
static bool sort_by_section(const Story *story, Error *err)
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

static bool tell(Story *story, Error *err)
{
    for (int p = 0; p < story->groups.part_count; p++) {
        if (!join_part(story, p, err)) return false;
        if (is_whole(story, p) && !back_group(story, &story->groups.parts[p], err)) return false;
        if (is_whole(story, p) && !place_group(story, &story->groups.parts[p], err)) return false;
    }
    return (story->groups.layer == 0 ? lay_singles(story, err) : glue_singles(story, err)) && meet_sections(story, err) &&
           sort_by_section(story, err);
}

bool guide_steps(const Draft *draft, int layer, const GuideBelow *below, Arena *keep, Work *work, GuideSteps *out,
                 Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Story story = {.below = below, .steps = out, .keep = keep, .work = work};
    *out = (GuideSteps){0};
    if (!guide_groups_make(draft, layer, keep, work, &story.groups, err)) return false;
    story.number = arena_new(&work->scratch, int, story.groups.part_count);
    if (!story.number) return error_memory(err);
    bool done = find_sections(&story, err) && tell(&story, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

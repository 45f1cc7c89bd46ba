// guide_join.c - see guide_join.h.
#include "kit/guide_join.h"

#include "kit/guide_checks.h"
#include "kit/guide_laps.h"

#include <stdlib.h>

// "A4 to A2 (C): 7 1/2 in (190 mm)", and in a step with laps and butt seams ", taped" for the latter; nothing, and *seams = 0, when no seam joins the two.
static bool add_pair(const GuideStory *story, int piece, int other, bool mixed, GuideStep *step, int *seams, Error *err)
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

static double seam_to_done(const GuideStory *story, const bool *done, int piece)
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
static int next_piece(const GuideStory *story, const GuidePart *part, const bool *done)
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

static int largest_of(const GuideStory *story, const GuidePart *part)
{
    const DraftPiece *pieces = &story->groups.draft->pieces[story->groups.first_piece];
    int best = part->pieces[0];
    for (int i = 1; i < part->count; i++)
        if (pieces[part->pieces[i]].area_mm2 > pieces[best].area_mm2) best = part->pieces[i];
    return best;
}

// From the largest piece outwards.
static bool list_joins(const GuideStory *story, const GuidePart *part, bool mixed, GuideStep *step, Error *err)
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

// From one end of the long seam to the other.
static bool list_united(const GuideStory *story, const GuidePart *a, const GuidePart *b, bool mixed, GuideStep *step, Error *err)
{
    const GuideGroups *groups = &story->groups;
    Pair *pairs = arena_new(&story->work->scratch, Pair, groups->seam_count);
    Box box = box_empty();
    int count = 0, seams;
    if (!pairs) return error_memory(err);
    for (int pass = 0; pass < 2; pass++) // first how the line runs, then the places along it
        for (int s = 0; s < groups->seam_count; s++) {
            const int *pair = groups->seams[s].source->pieces;
            bool forward = guide_part_has(a, pair[0]) && guide_part_has(b, pair[1]);
            if (!forward && !(guide_part_has(a, pair[1]) && guide_part_has(b, pair[0]))) continue;
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

static void add_part_name(Text *text, const GuideStory *story, int part)
{
    if (story->groups.parts[part].count == 1)
        text_add(text, guide_piece_name(&story->groups, story->groups.parts[part].pieces[0]));
    else
        text_printf(text, "part %d", story->number[part]);
}

static bool meet(const GuideStory *story, int a, int b)
{
    for (int s = 0; s < story->groups.seam_count; s++) {
        const int *pair = story->groups.seams[s].source->pieces;
        if ((pair[0] == a && pair[1] == b) || (pair[0] == b && pair[1] == a)) return true;
    }
    return false;
}

// Each piece meets two others, so that the last one closes only when all lie right.
static bool is_ring(const GuideStory *story, const GuidePart *part)
{
    for (int i = 0; i < part->count; i++) {
        int neighbours = 0;
        for (int k = 0; k < part->count; k++) neighbours += k != i && meet(story, part->pieces[i], part->pieces[k]);
        if (neighbours != 2) return false;
    }
    return part->count > 3;
}

bool guide_join_part(GuideStory *story, int index, Error *err)
{
    const GuidePart *part = &story->groups.parts[index];
    bool whole = guide_part_is_whole(&story->groups, index), united = part->first >= 0;
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
        guide_story_names(&title, story, part->pieces, part->count);
        if (is_ring(story, part)) text_add(&words, "They close to a ring: lay all of them dry first. ");
        guide_say_join(&words, forms, "them", "tape behind");
        if (!whole) text_printf(&words, ", and write \u201cpart %d\u201d %s", story->number[index], forms.taped ? "there" : "behind");
        text_add(&words, ":");
        step.minutes = part->count * RATE_PIECE_MIN / 2;
        return list_joins(story, part, mixed, &step, err) && guide_story_step(story, step, &title, &words, err);
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
    return list_united(story, a, b, mixed, &step, err) && guide_story_step(story, step, &title, &words, err);
}

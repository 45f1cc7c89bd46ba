// guide_steps.c - see guide_steps.h.
#include "kit/guide_steps.h"

#include "base/length.h"

#include <math.h>

#define NAMED_MOST 8 // a joined part of more pieces is called by its largest

typedef struct Joining {
    const Draft *draft;
    int layer, first, count; // its pieces in the draft
    int *group;              // of each piece: the least index that seams join it to
    bool *done;
} Joining;

void guide_tape_length(Text *text, double mm)
{
    static const char *const SIXTEENTHS[] = {"",     " 1/16", " 1/8", " 3/16",  " 1/4", " 5/16",  " 3/8", " 7/16",
                                             " 1/2", " 9/16", " 5/8", " 11/16", " 3/4", " 13/16", " 7/8", " 15/16"};
    long sixteenths = lround(mm / MM_PER_INCH * 16);
    if (sixteenths >= 16 || sixteenths == 0)
        text_printf(text, "%ld%s", sixteenths / 16, SIXTEENTHS[sixteenths % 16]);
    else
        text_add(text, SIXTEENTHS[sixteenths] + 1);
    text_add(text, " in (");
    text_number(text, mm, 0);
    text_add(text, " mm)");
}

// --- groups ---

static bool joining_make(const Draft *draft, int layer, Work *work, Joining *out, Error *err)
{
    const DraftLayer *from = &draft->layers[layer];
    *out = (Joining){draft,
                     layer,
                     from->first_piece,
                     from->piece_count,
                     arena_new(&work->scratch, int, from->piece_count),
                     arena_new(&work->scratch, bool, from->piece_count)};
    if (!out->group || !out->done) return error_memory(err);
    for (int i = 0; i < out->count; i++) out->group[i] = i;
    for (bool changed = true; changed;) { // the least index travels along seams
        changed = false;
        if (!work_goes_on(work, err)) return false;
        for (int s = 0; s < draft->seam_count; s++) {
            const int *pair = draft->seams[s].source->pieces;
            if (draft->seams[s].layer != layer || out->group[pair[0]] == out->group[pair[1]]) continue;
            int least = out->group[pair[0]] < out->group[pair[1]] ? out->group[pair[0]] : out->group[pair[1]];
            out->group[pair[0]] = out->group[pair[1]] = least;
            changed = true;
        }
    }
    return true;
}

static int group_size(const Joining *joining, int group)
{
    int size = 0;
    for (int i = 0; i < joining->count; i++) size += joining->group[i] == group;
    return size;
}

static const char *name_of(const Joining *joining, int piece)
{
    return joining->draft->pieces[joining->first + piece].source->id;
}

// --- sentences ---

static bool add_step(GuideSteps *steps, const Text *words, double minutes, Arena *keep, Error *err)
{
    if (!text_is_whole(words, err)) return false;
    GuideStep *items = arena_grow(keep, steps->items, (size_t)steps->count, &steps->capacity, sizeof *items);
    if (!items) return error_memory(err);
    steps->items = items;
    items[steps->count++] = (GuideStep){words->bytes, minutes, -1};
    return true;
}

static void add_between(Text *text, int i, int count)
{
    if (i > 0) text_add(text, i + 1 < count ? ", " : " and ");
}

static void add_group_names(Text *text, const Joining *joining, int group)
{
    int size = group_size(joining, group), said = 0;
    for (int i = 0; i < joining->count; i++) {
        if (joining->group[i] != group) continue;
        add_between(text, said++, size);
        text_add(text, name_of(joining, i));
    }
}

// What a whole group lies on: the pieces that most of its own lie on.
static void add_below(Text *text, const Joining *joining, int group, const GuideBelow *below)
{
    int found[GUIDE_BELOW_MOST], count = 0;
    for (int rank = 0; rank < GUIDE_BELOW_MOST && count < GUIDE_BELOW_MOST; rank++)
        for (int i = 0; i < joining->count && count < GUIDE_BELOW_MOST; i++) {
            const GuideBelow *of = &below[joining->first + i];
            if (joining->group[i] != group || rank >= of->count) continue;
            bool is_new = true;
            for (int k = 0; k < count; k++) is_new = is_new && found[k] != of->pieces[rank];
            if (is_new) found[count++] = of->pieces[rank];
        }
    if (count == 0) return;
    text_add(text, " on ");
    for (int k = 0; k < count; k++) {
        add_between(text, k, count);
        text_add(text, joining->draft->pieces[found[k]].source->id);
    }
}

// --- joining ---

static double seam_to_done(const Joining *joining, int piece)
{
    double sum = 0;
    for (int s = 0; s < joining->draft->seam_count; s++) {
        const DraftSeam *seam = &joining->draft->seams[s];
        const int *pair = seam->source->pieces;
        if (seam->layer != joining->layer || (pair[0] != piece && pair[1] != piece)) continue;
        if (joining->done[pair[0] == piece ? pair[1] : pair[0]]) sum += seam->source->length_mm;
    }
    return sum;
}

static int next_piece(const Joining *joining, int group)
{
    int best = -1;
    double most = 0;
    for (int i = 0; i < joining->count; i++) {
        if (joining->group[i] != group || joining->done[i]) continue;
        double length = seam_to_done(joining, i);
        if (length > most) {
            most = length;
            best = i;
        }
    }
    return best;
}

// "A4 to A2, 7 1/2 in (190 mm) of seam, and to A3, 2 in (51 mm)."
static bool add_join(Joining *joining, int piece, GuideSteps *steps, Arena *keep, Error *err)
{
    Text words = text_make(keep);
    int seams = 0;
    text_printf(&words, "Join %s", name_of(joining, piece));
    for (int other = 0; other < joining->count; other++) {
        if (!joining->done[other]) continue;
        double length = 0;
        int before = seams;
        for (int s = 0; s < joining->draft->seam_count; s++) {
            const int *pair = joining->draft->seams[s].source->pieces;
            if (joining->draft->seams[s].layer != joining->layer) continue;
            if (!((pair[0] == piece && pair[1] == other) || (pair[1] == piece && pair[0] == other))) continue;
            length += joining->draft->seams[s].source->length_mm;
            seams++;
        }
        if (seams == before) continue;
        text_add(&words, before == 0 ? " to " : ", and to ");
        text_printf(&words, "%s: ", name_of(joining, other));
        guide_tape_length(&words, length);
    }
    text_add(&words, " of seam.");
    joining->done[piece] = true;
    return add_step(steps, &words, seams * RATE_SEAM_MIN, keep, err);
}

// The largest: the others come to it.
static int first_piece(const Joining *joining, int group)
{
    int best = group;
    for (int i = 0; i < joining->count; i++)
        if (joining->group[i] == group && joining->draft->pieces[joining->first + i].area_mm2 >
                                              joining->draft->pieces[joining->first + best].area_mm2)
            best = i;
    return best;
}

static bool join_group(Joining *joining, int group, GuideSteps *steps, Arena *keep, Work *work, Error *err)
{
    Text words = text_make(keep);
    int size = group_size(joining, group), first = first_piece(joining, group);
    text_add(&words, "Lay out face down, as the drawing from behind shows: ");
    add_group_names(&words, joining, group);
    text_printf(&words, ". Begin with %s.", name_of(joining, first));
    if (!add_step(steps, &words, size * RATE_PIECE_MIN / 2, keep, err)) return false;
    joining->done[first] = true;
    for (int piece = next_piece(joining, group); piece >= 0; piece = next_piece(joining, group))
        if (!work_goes_on(work, err) || !add_join(joining, piece, steps, keep, err)) return false;
    steps->items[steps->count - 1].joins_whole = group;
    return true;
}

// --- placing ---

// Those of the base that no seam joins, in one step.
static bool lay_singles(const Joining *joining, GuideSteps *steps, Arena *keep, Error *err)
{
    Text words = text_make(keep);
    int count = 0, said = 0;
    for (int i = 0; i < joining->count; i++) count += group_size(joining, i) == 1;
    if (count == 0) return true;
    text_add(&words, "Lay in place, face up: ");
    for (int i = 0; i < joining->count; i++) {
        if (group_size(joining, i) != 1) continue;
        add_between(&words, said++, count);
        text_add(&words, name_of(joining, i));
    }
    text_add(&words, ".");
    if (joining->count > 1)
        text_printf(&words, " No seam joins %s to the rest: a piece above does, or %s by %s.",
                    count > 1 ? "these" : "it", count > 1 ? "they hang" : "it hangs",
                    count > 1 ? "themselves" : "itself");
    return add_step(steps, &words, count * RATE_PIECE_MIN, keep, err);
}

static bool place_group(const Joining *joining, int group, const GuideBelow *below, GuideSteps *steps, Arena *keep,
                        Error *err)
{
    Text words = text_make(keep);
    int size = group_size(joining, group);
    if (joining->layer > 0) {
        text_add(&words, "Glue ");
        if (size > NAMED_MOST)
            text_printf(&words, "the joined part with %s", name_of(joining, first_piece(joining, group)));
        else
            add_group_names(&words, joining, group);
        if (size > 1) text_add(&words, " in one go");
        add_below(&words, joining, group, below);
    } else {
        text_printf(&words, "Turn the joined part with %s over, face up",
                    name_of(joining, first_piece(joining, group)));
    }
    text_add(&words, ".");
    return add_step(steps, &words, size * RATE_PIECE_MIN / (size > 1 ? 2 : 1), keep, err);
}

bool guide_steps(const Draft *draft, int layer, const GuideBelow *below, Arena *keep, Work *work, GuideSteps *out,
                 Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Joining joining;
    *out = (GuideSteps){0};
    if (!joining_make(draft, layer, work, &joining, err)) return false;
    for (int pass = 0; pass < 2; pass++) // what is joined first, then single pieces
        for (int i = 0; i < joining.count; i++) {
            bool is_joined = group_size(&joining, i) > 1;
            if (joining.group[i] != i || is_joined != (pass == 0)) continue;
            if (is_joined && !join_group(&joining, i, out, keep, work, err)) return false;
            if ((is_joined || layer > 0) && !place_group(&joining, i, below, out, keep, err)) return false;
        }
    if (layer == 0 && !lay_singles(&joining, out, keep, err)) return false;
    arena_rewind(&work->scratch, mark);
    return true;
}

// --- measures of the base ---

static int largest_group(const Joining *joining)
{
    int best = 0;
    double most = -1;
    for (int g = 0; g < joining->count; g++) {
        double sum = 0;
        for (int i = 0; i < joining->count; i++)
            if (joining->group[i] == g) sum += joining->draft->pieces[joining->first + i].area_mm2;
        if (sum <= most) continue;
        most = sum;
        best = g;
    }
    return best;
}

static Point outermost(const Joining *joining, int group, int dx, int dy)
{
    Point best = {0, 0};
    int64_t most = INT64_MIN;
    for (int i = 0; i < joining->count; i++) {
        if (joining->group[i] != group) continue;
        const Rings *rings = &joining->draft->pieces[joining->first + i].source->rings;
        for (int r = 0; r < rings->count; r++)
            for (int k = 0; k < rings->items[r].count; k++) {
                Point p = rings->items[r].points[k];
                int64_t reach = (int64_t)dx * p.x + (int64_t)dy * p.y;
                if (reach < most || (reach == most && point_compare(p, best) >= 0)) continue;
                most = reach;
                best = p;
            }
    }
    return best;
}

static int dot_at(GuideChecks *checks, Point p)
{
    for (int i = 0; i < checks->dot_count; i++)
        if (point_equal(checks->dots[i], p)) return i;
    checks->dots[checks->dot_count] = p;
    return checks->dot_count++;
}

bool guide_checks(const Draft *draft, Work *work, GuideChecks *out, Error *err)
{
    static const int DIRECTIONS[4][2] = {{-1, 0}, {0, -1}, {-1, -1}, {1, -1}}; // each with its opposite
    static const char *const NAMES[4] = {"across", "from top to bottom", "one diagonal", "the other diagonal"};
    ArenaMark mark = arena_mark(&work->scratch);
    Joining joining;
    *out = (GuideChecks){0};
    if (!joining_make(draft, 0, work, &joining, err)) return false;
    int group = out->group = largest_group(&joining);
    for (int i = 0; i < 4; i++) {
        Point a = outermost(&joining, group, DIRECTIONS[i][0], DIRECTIONS[i][1]);
        Point b = outermost(&joining, group, -DIRECTIONS[i][0], -DIRECTIONS[i][1]);
        int first = dot_at(out, a), second = dot_at(out, b);
        out->items[i] = (GuideCheck){NAMES[i], {first, second}, point_distance_mm(a, b)};
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

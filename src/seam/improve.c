// improve.c - see improve.h.
// How:  strips are laid as in brickwork; then one after another each border, all borders together, the cross cuts of each
//       strip together, and each cross cut are shifted both ways, in steps that grow smaller; what is cheaper stays.
#include "seam/improve.h"

#define STAGGER_MM 26.4 // a seam and the one that goes on from it, an inch apart and a little more, look like two
static const double steps_mm[] = {12.7, 25.4, 6.35, 3.0};
enum { STEPS = sizeof steps_mm / sizeof *steps_mm };

typedef struct Move { // lines first .. end - 1 of one kind
    double *lines;
    int first, end;
} Move;

typedef struct Moves {
    Move *items;
    int count, strip_count; // moves of whole strips come first
} Moves;

static bool list_moves(const Layout *layout, Arena *arena, Moves *out, Error *err)
{
    int strips = layout->border_count + 1, crosses = layout->first_cross[strips];
    out->count = 0;
    out->items = arena_new(arena, Move, layout->border_count + 1 + strips + crosses);
    if (!out->items) return error_memory(err);
    for (int s = 0; s < strips; s++)
        if (layout->first_cross[s + 1] > layout->first_cross[s])
            out->items[out->count++] = (Move){layout->crosses, layout->first_cross[s], layout->first_cross[s + 1]};
    out->strip_count = out->count;
    for (int i = 0; i < layout->border_count; i++) out->items[out->count++] = (Move){layout->borders, i, i + 1};
    for (int s = 0; s < strips; s++) // a strip with a single cut has been moved already
        for (int i = layout->first_cross[s];
             layout->first_cross[s + 1] - layout->first_cross[s] > 1 && i < layout->first_cross[s + 1]; i++)
            out->items[out->count++] = (Move){layout->crosses, i, i + 1};
    if (layout->border_count > 1) out->items[out->count++] = (Move){layout->borders, 0, layout->border_count};
    return true;
}

static void shift(const Move *move, double by_mm)
{
    for (int i = move->first; i < move->end; i++) move->lines[i] += by_mm;
}

typedef struct Trying {
    const NetGround *ground;
    const NetFrame *frame;
    int most_pieces, tries; // tries: that are left
    const SeamOptions *options;
    Work *work;
    const Moves *moves;
    Candidate *best;
} Trying;

// Whether the lines are better where they are now.
static bool try_lines(Trying *t, bool *better, Error *err)
{
    Candidate tried;
    bool usable;
    t->tries--;
    if (!evaluate_layout(t->ground, t->frame, &t->best->layout, JOIN_DEAREST, JOIN_SMALLEST, t->most_pieces, t->options,
                         t->work, &tried, &usable, err))
        return false;
    *better = usable && candidate_is_better(&tried, t->best);
    if (*better) *t->best = tried;
    return true;
}

static bool try_shift(Trying *t, const Move *move, double by_mm, Error *err)
{
    bool better;
    if (t->tries <= 0) return true;
    shift(move, by_mm);
    if (!try_lines(t, &better, err)) return false;
    if (!better) shift(move, -by_mm);
    return true;
}

// Every other strip one way, the rest the other way.
static void shift_by_turns(const Moves *moves, double by_mm)
{
    for (int i = 0; i < moves->strip_count; i++) shift(&moves->items[i], i % 2 ? -by_mm : by_mm);
}

// Strips that are cut alike have their seams in line, and four pieces meet again and again: before all else strips are
// tried a little beside their neighbours, as in brickwork; all at once, then each.
static bool stagger_strips(Trying *t, Error *err)
{
    for (int i = 0; i < 2 && t->moves->strip_count > 1 && t->tries > 0; i++) {
        bool better;
        double by_mm = i ? -0.5 * STAGGER_MM : 0.5 * STAGGER_MM;
        shift_by_turns(t->moves, by_mm);
        if (!try_lines(t, &better, err)) return false;
        if (!better) shift_by_turns(t->moves, -by_mm);
    }
    for (int m = 0; m < 2 * t->moves->strip_count; m++)
        if (!try_shift(t, &t->moves->items[m / 2], m % 2 ? -STAGGER_MM : STAGGER_MM, err)) return false;
    return true;
}

bool improve_candidate(const NetGround *ground, int most_pieces, int tries, const SeamOptions *options, Arena *keep,
                       Work *work, Candidate *candidate, Error *err)
{
    Moves moves;
    NetFrame frame;
    Candidate best = *candidate;
    if (!layout_copy(&candidate->layout, keep, &best.layout, err) || !list_moves(&best.layout, keep, &moves, err)) return false;
    if (!net_frame_make(ground->part, best.layout.frame, keep, &frame, err)) return false;
    Trying trying = {ground, &frame, most_pieces, tries, options, work, &moves, &best};
    // The short seams between such rows would have no room for laps.
    bool fine = options->form == SEAM_LAP || stagger_strips(&trying, err);
    for (int step = 0; step < STEPS && fine; step++)
        for (int m = 0; m < 2 * moves.count && fine; m++)
            fine = try_shift(&trying, &moves.items[m / 2], m % 2 ? -steps_mm[step] : steps_mm[step], err);
    *candidate = best;
    return fine;
}

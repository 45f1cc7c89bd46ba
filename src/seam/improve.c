// improve.c - see improve.h.
// How:  one after another each border, all borders together, the cross cuts of each strip together, and each cross cut
//       are shifted both ways, in steps that grow smaller; what is cheaper stays.
#include "seam/improve.h"

static const double steps_mm[] = {12.7, 25.4, 6.35, 3.0};
enum { STEPS = sizeof steps_mm / sizeof *steps_mm };

typedef struct Move { // lines first .. end - 1 of one kind
    double *lines;
    int first, end;
} Move;

typedef struct Moves {
    Move *items;
    int count;
} Moves;

static bool copy_lines(Layout *layout, Arena *keep, Error *err)
{
    int strips = layout->border_count + 1;
    layout->borders = arena_copy(keep, layout->borders, (size_t)layout->border_count, sizeof *layout->borders);
    layout->crosses = arena_copy(keep, layout->crosses, (size_t)layout->first_cross[strips], sizeof *layout->crosses);
    return layout->borders && layout->crosses ? true : error_memory(err);
}

static bool list_moves(const Layout *layout, Arena *arena, Moves *out, Error *err)
{
    int strips = layout->border_count + 1, crosses = layout->first_cross[strips];
    out->count = 0;
    out->items = arena_new(arena, Move, layout->border_count + 1 + strips + crosses);
    if (!out->items) return error_memory(err);
    for (int s = 0; s < strips; s++)
        if (layout->first_cross[s + 1] > layout->first_cross[s])
            out->items[out->count++] = (Move){layout->crosses, layout->first_cross[s], layout->first_cross[s + 1]};
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

bool improve_candidate(const NetGround *ground, int most_pieces, int tries, const SeamOptions *options, Arena *keep,
                       Work *work, Candidate *candidate, Error *err)
{
    Moves moves;
    NetFrame frame;
    Candidate best = *candidate;
    if (!copy_lines(&best.layout, keep, err) || !list_moves(&best.layout, keep, &moves, err)) return false;
    if (!net_frame_make(ground->part, best.layout.frame, keep, &frame, err)) return false;
    for (int step = 0; step < STEPS; step++) {
        for (int m = 0; m < 2 * moves.count && tries > 0; m++) {
            double by_mm = m % 2 ? -steps_mm[step] : steps_mm[step];
            Candidate tried;
            bool usable;
            shift(&moves.items[m / 2], by_mm);
            tries--;
            if (!evaluate_layout(ground, &frame, &best.layout, JOIN_DEAREST, JOIN_SMALLEST, most_pieces, options, work,
                                 &tried, &usable, err))
                return false;
            if (usable && candidate_is_better(&tried, &best))
                best = tried;
            else
                shift(&moves.items[m / 2], -by_mm);
        }
    }
    *candidate = best;
    return true;
}

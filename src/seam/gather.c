// gather.c - see gather.h.
#include "seam/gather.h"

#include "base/rng.h"

#include <math.h>
#include <string.h>

enum { TURNS = 36 };        // every 5 degrees of half a turn; half of them on is square to it
#define FIRST_TURN 2        // the first answer tries every second one ...
#define FIRST_STEPS 5       // ... at so many places along each side of the sheet
#define RANDOM_PLACES 40    // of the sheet, when atoms are gathered anew
#define MOST_FREED 5        // pieces taken apart at once
#define SHORT_IN 10.0       // a piece that is too short, as SLIVER_IN in judge.c
#define SEED 20261126

// Sines of 0, 5 ... 90 degrees: no libm in decisions.
static const double sines[TURNS / 2 + 1] = {
    0.0,                  0.087155742747658174, 0.173648177666930349, 0.258819045102520762, 0.342020143325668733,
    0.422618261740699436, 0.5,                  0.573576436351046096, 0.642787609686539326, 0.707106781186547524,
    0.766044443118978035, 0.819152044288991789, 0.866025403784438647, 0.906307787036649963, 0.939692620785908384,
    0.965925826289068287, 0.984807753012208059, 0.996194698091745532, 1.0};

typedef struct Reach { // how far something reaches in each direction
    double lo[TURNS], hi[TURNS];
} Reach;

typedef struct Gathering {
    const GatherTask *task;
    Work *work;
    Rng rng;
    Reach *reach;         // by atom
    double *length_in;    // by atom: what it adds to a piece
    int *first, *cut_at;  // by atom: its cuts
    int *piece_of;        // by atom; -1: free
    Reach *pieces;
    double *diagonal_mm;  // by piece
    int piece_count;
    int *queue, *best;    // a piece in the making, and the best so far
    int best_count;
    int *seen, round;     // by atom: the round in which it was met last
    double middle[2];
} Gathering;

static double sine_of(int turn)
{
    return turn <= TURNS / 2 ? sines[turn] : sines[TURNS - turn];
}

static double cosine_of(int turn)
{
    return turn <= TURNS / 2 ? sines[TURNS / 2 - turn] : -sines[turn - TURNS / 2];
}

static int square_to(int turn)
{
    return (turn + TURNS / 2) % TURNS;
}

static Reach reach_none(void)
{
    Reach reach;
    for (int k = 0; k < TURNS; k++) {
        reach.lo[k] = INFINITY;
        reach.hi[k] = -INFINITY;
    }
    return reach;
}

static void reach_add(Reach *reach, const Reach *more)
{
    for (int k = 0; k < TURNS; k++) {
        reach->lo[k] = fmin(reach->lo[k], more->lo[k]);
        reach->hi[k] = fmax(reach->hi[k], more->hi[k]);
    }
}

static Reach reach_of(const GatherAtom *atom)
{
    Reach reach = reach_none();
    for (int i = 0; i < atom->hull_count; i++)
        for (int k = 0; k < TURNS; k++) {
            double at = (atom->hull[i].x * cosine_of(k) + atom->hull[i].y * sine_of(k)) / UM_PER_MM;
            reach.lo[k] = fmin(reach.lo[k], at);
            reach.hi[k] = fmax(reach.hi[k], at);
        }
    return reach;
}

// ---- does it fit ----

typedef struct Range {
    double lo, hi;
} Range;

// How far it reaches in the direction of `turn`, which may be beyond half a turn: told backwards, then.
static Range range_at(const Reach *reach, int turn)
{
    turn %= 2 * TURNS;
    if (turn < TURNS) return (Range){reach->lo[turn], reach->hi[turn]};
    return (Range){-reach->hi[turn - TURNS], -reach->lo[turn - TURNS]};
}

// At this turn, when shifted well: inside the box, and clear of its corners top left and bottom right. What is shifted by
// a along the turn and by b square to it has a + b bounded by the corners, and both bounded by the sides.
static bool fits_turned(const Reach *reach, Space space, int turn)
{
    Range u = range_at(reach, turn), v = range_at(reach, turn + TURNS / 2);
    if (u.hi - u.lo > space.width_mm || v.hi - v.lo > space.height_mm) return false;
    if (space.corner_mm <= 0.0) return true;
    Range slant = range_at(reach, turn + TURNS / 4);
    double root = 1.41421356237309505, lo = slant.lo * root, hi = slant.hi * root;
    double most = space.width_mm + space.height_mm - space.corner_mm;
    return hi - lo <= most - space.corner_mm && u.hi + v.hi - lo <= most && hi - u.lo - v.lo <= most;
}

static bool fits(const Reach *reach, Space space)
{
    for (int turn = 0; turn < (space.upright ? 1 : TURNS); turn++)
        if (fits_turned(reach, space, turn)) return true;
    return false;
}

static bool fit_together(const Reach *a, const Reach *b, Space space)
{
    Reach both = *a;
    reach_add(&both, b);
    return fits(&both, space);
}

// ---- one piece ----

static int other_atom(const GatherCut *cut, int atom)
{
    return cut->atoms[0] == atom ? cut->atoms[1] : cut->atoms[0];
}

typedef struct Placing {
    int turn;
    double u, v; // where the sheet begins
} Placing;

static bool lies_under(const Gathering *g, const Placing *p, int atom)
{
    const Reach *reach = &g->reach[atom];
    Space space = g->task->space;
    int square = square_to(p->turn);
    return reach->lo[p->turn] >= p->u && reach->hi[p->turn] <= p->u + space.width_mm && reach->lo[square] >= p->v &&
           reach->hi[square] <= p->v + space.height_mm;
}

// Free atoms that hang together with the first one under the sheet, in `queue`.
static int flood(Gathering *g, const Placing *p, int start)
{
    int count = 0;
    g->round++;
    g->queue[count++] = start;
    g->seen[start] = g->round;
    for (int head = 0; head < count; head++) {
        int atom = g->queue[head];
        for (int i = g->first[atom]; i < g->first[atom + 1]; i++) {
            int next = other_atom(&g->task->cuts[g->cut_at[i]], atom);
            if (g->seen[next] == g->round || g->piece_of[next] >= 0 || !lies_under(g, p, next)) continue;
            g->seen[next] = g->round;
            g->queue[count++] = next;
        }
    }
    return count;
}

// What the atoms in `queue` (marked by this round) are worth: their length, less the cuts to what is free still.
static double worth(const Gathering *g, int count, double cut_weight)
{
    double sum = 0.0;
    for (int i = 0; i < count; i++) {
        int atom = g->queue[i];
        sum += g->length_in[atom];
        for (int k = g->first[atom]; k < g->first[atom + 1]; k++) {
            const GatherCut *cut = &g->task->cuts[g->cut_at[k]];
            int next = other_atom(cut, atom);
            if (g->seen[next] != g->round && g->piece_of[next] < 0) sum -= cut_weight * cut->cost_in;
        }
    }
    return sum;
}

static bool queue_fits(const Gathering *g, int count, int turn)
{
    Reach reach = reach_none();
    for (int i = 0; i < count; i++) reach_add(&reach, &g->reach[g->queue[i]]);
    return fits_turned(&reach, g->task->space, turn);
}

static void try_placing(Gathering *g, const Placing *p, int start, double cut_weight, double *best_worth)
{
    if (!lies_under(g, p, start)) return;
    int count = flood(g, p, start);
    double here = worth(g, count, cut_weight);
    if (here <= *best_worth) return;
    if (g->task->space.corner_mm > 0.0 && !queue_fits(g, count, p->turn)) return;
    *best_worth = here;
    g->best_count = count;
    memcpy(g->best, g->queue, (size_t)count * sizeof *g->best);
}

// The sheet begins somewhere between where the atom ends at its far side and where it begins at its near one.
static Placing place_over(const Gathering *g, int atom, int turn, double u_share, double v_share)
{
    const Reach *reach = &g->reach[atom];
    int square = square_to(turn);
    double u0 = reach->hi[turn] - g->task->space.width_mm, v0 = reach->hi[square] - g->task->space.height_mm;
    return (Placing){turn, u0 + u_share * (reach->lo[turn] - u0), v0 + v_share * (reach->lo[square] - v0)};
}

static int turn_count(const Gathering *g)
{
    return g->task->space.upright ? 1 : TURNS;
}

static void take_best(Gathering *g)
{
    Reach *piece = &g->pieces[g->piece_count];
    *piece = reach_none();
    for (int i = 0; i < g->best_count; i++) {
        reach_add(piece, &g->reach[g->best[i]]);
        g->piece_of[g->best[i]] = g->piece_count;
    }
    g->piece_count++;
}

// An atom alone always fits, but perhaps at no turn that is tried.
static void begin_best(Gathering *g, int start)
{
    g->best[0] = start;
    g->best_count = 1;
}

// ---- the first answer ----

static double from_middle2(const Gathering *g, int atom)
{
    const Reach *reach = &g->reach[atom];
    double x = (reach->lo[0] + reach->hi[0]) / 2.0 - g->middle[0];
    double y = (reach->lo[TURNS / 2] + reach->hi[TURNS / 2]) / 2.0 - g->middle[1];
    return x * x + y * y;
}

static int farthest_free(const Gathering *g)
{
    int found = -1;
    double best = -1.0;
    for (int i = 0; i < g->task->atom_count; i++) {
        if (g->piece_of[i] >= 0 || from_middle2(g, i) <= best) continue;
        best = from_middle2(g, i);
        found = i;
    }
    return found;
}

static bool gather_first(Gathering *g, Error *err)
{
    for (int start; (start = farthest_free(g)) >= 0;) {
        double best_worth = -INFINITY;
        if (!work_goes_on(g->work, err)) return false;
        begin_best(g, start);
        for (int turn = 0; turn < turn_count(g); turn += FIRST_TURN)
            for (int i = 0; i < FIRST_STEPS * FIRST_STEPS; i++) {
                Placing p = place_over(g, start, turn, i % FIRST_STEPS / (FIRST_STEPS - 1.0), i / FIRST_STEPS / (FIRST_STEPS - 1.0));
                try_placing(g, &p, start, 1.0, &best_worth);
            }
        take_best(g);
    }
    return true;
}

// ---- what it costs ----

// A piece that is shorter than it should be, unless nothing of it could be cut elsewhere: it is one atom with no cut.
static bool is_short(const Gathering *g, int piece)
{
    const Reach *reach = &g->pieces[piece];
    double longest = 0.0;
    for (int k = 0; k < TURNS; k++) longest = fmax(longest, reach->hi[k] - reach->lo[k]);
    return longest < g->task->least_long_mm;
}

static double cost_of(const Gathering *g)
{
    double sum = g->task->piece_in * g->piece_count;
    for (int i = 0; i < g->task->cut_count; i++) {
        const GatherCut *cut = &g->task->cuts[i];
        if (g->piece_of[cut->atoms[0]] != g->piece_of[cut->atoms[1]]) sum += cut->cost_in;
    }
    for (int i = 0; i < g->piece_count; i++) sum += is_short(g, i) ? SHORT_IN : 0.0;
    return sum;
}

// ---- joining ----

static void drop_piece(Gathering *g, int piece)
{
    int last = --g->piece_count;
    if (piece == last) return;
    g->pieces[piece] = g->pieces[last];
    for (int i = 0; i < g->task->atom_count; i++)
        if (g->piece_of[i] == last) g->piece_of[i] = piece;
}

static void join_pieces(Gathering *g, int a, int b)
{
    reach_add(&g->pieces[a], &g->pieces[b]);
    for (int i = 0; i < g->task->atom_count; i++)
        if (g->piece_of[i] == b) g->piece_of[i] = a;
    drop_piece(g, b);
}

// Joins neighbours that fit together, of which at least one is numbered from `first` on.
static void join_what_fits(Gathering *g, int first)
{
    for (int i = 0; i < g->task->cut_count; i++) {
        int a = g->piece_of[g->task->cuts[i].atoms[0]], b = g->piece_of[g->task->cuts[i].atoms[1]];
        if (a == b || (a < first && b < first) || !fit_together(&g->pieces[a], &g->pieces[b], g->task->space)) continue;
        join_pieces(g, a < b ? a : b, a < b ? b : a);
    }
}

// ---- the second part ----

// Takes a few neighbouring pieces apart: their atoms become free. The number of pieces that are left.
static void free_some(Gathering *g)
{
    int want = 1 + (int)rng_below(&g->rng, MOST_FREED);
    int piece = (int)rng_below(&g->rng, (uint32_t)g->piece_count);
    for (int freed = 0; freed < want && g->piece_count > 0; freed++) {
        for (int i = 0; i < g->task->atom_count; i++)
            if (g->piece_of[i] == piece) g->piece_of[i] = -1;
        drop_piece(g, piece);
        // A neighbour of what is free: the first one met from a random cut on.
        int from = (int)rng_below(&g->rng, (uint32_t)g->task->cut_count), k = 0;
        for (; k < g->task->cut_count; k++) {
            const GatherCut *cut = &g->task->cuts[(from + k) % g->task->cut_count];
            int a = g->piece_of[cut->atoms[0]], b = g->piece_of[cut->atoms[1]];
            if ((a < 0) == (b < 0)) continue;
            piece = a < 0 ? b : a;
            break;
        }
        if (k == g->task->cut_count) return;
    }
}

// The free atom that lies farthest in a random direction.
static int random_outer(Gathering *g)
{
    int turn = (int)rng_below(&g->rng, 2 * TURNS), found = -1;
    double best = -INFINITY;
    for (int i = 0; i < g->task->atom_count; i++) {
        if (g->piece_of[i] >= 0) continue;
        const Reach *reach = &g->reach[i];
        double here = turn < TURNS ? reach->hi[turn] : -reach->lo[turn - TURNS];
        if (here <= best) continue;
        best = here;
        found = i;
    }
    return found;
}

// False as soon as there are too many pieces.
static bool gather_anew(Gathering *g, int most)
{
    static const double weights[] = {0.0, 1.0, 2.0, 5.0};
    for (int start; (start = random_outer(g)) >= 0;) {
        double best_worth = -INFINITY, weight = weights[rng_below(&g->rng, 4)];
        if (g->piece_count == most) return false;
        begin_best(g, start);
        for (int i = 0; i < RANDOM_PLACES; i++) {
            int turn = (int)rng_below(&g->rng, (uint32_t)turn_count(g));
            double u = rng_unit(&g->rng), v = rng_unit(&g->rng);
            Placing p = place_over(g, start, turn, i % 3 == 0 ? 1.0 : u, i % 3 == 1 ? 1.0 : v);
            try_placing(g, &p, start, weight, &best_worth);
        }
        take_best(g);
    }
    return true;
}

typedef struct Kept {
    int *piece_of;
    Reach *pieces;
    int piece_count;
} Kept;

static void copy_state(const Gathering *g, Kept *kept)
{
    memcpy(kept->piece_of, g->piece_of, (size_t)g->task->atom_count * sizeof *kept->piece_of);
    memcpy(kept->pieces, g->pieces, (size_t)g->piece_count * sizeof *kept->pieces);
    kept->piece_count = g->piece_count;
}

static void restore_state(Gathering *g, const Kept *kept)
{
    memcpy(g->piece_of, kept->piece_of, (size_t)g->task->atom_count * sizeof *kept->piece_of);
    memcpy(g->pieces, kept->pieces, (size_t)kept->piece_count * sizeof *kept->pieces);
    g->piece_count = kept->piece_count;
}

static bool improve(Gathering *g, Kept *kept, Error *err)
{
    double cost = cost_of(g);
    copy_state(g, kept);
    for (int i = 0; i < g->task->tries && g->piece_count > 1; i++) {
        if (!work_goes_on(g->work, err)) return false;
        free_some(g);
        int first = g->piece_count;
        bool whole = gather_anew(g, kept->piece_count + 1);
        if (whole) join_what_fits(g, first);
        double here = whole ? cost_of(g) : INFINITY;
        if (here <= cost) {
            cost = here;
            copy_state(g, kept);
        } else {
            restore_state(g, kept);
        }
    }
    return true;
}

// ---- the whole ----

static bool index_cuts(Gathering *g, Arena *keep, Error *err)
{
    int atoms = g->task->atom_count;
    g->first = arena_new(keep, int, atoms + 2);
    g->cut_at = arena_new(keep, int, 2 * (size_t)g->task->cut_count);
    if (!g->first || !g->cut_at) return error_memory(err);
    for (int i = 0; i < g->task->cut_count; i++)
        for (int side = 0; side < 2; side++) g->first[g->task->cuts[i].atoms[side] + 2]++;
    for (int i = 2; i <= atoms + 1; i++) g->first[i] += g->first[i - 1];
    for (int i = 0; i < g->task->cut_count; i++)
        for (int side = 0; side < 2; side++) g->cut_at[g->first[g->task->cuts[i].atoms[side] + 1]++] = i;
    return true;
}

static bool prepare(Gathering *g, Arena *keep, Kept *kept, Error *err)
{
    int atoms = g->task->atom_count;
    g->reach = arena_new(keep, Reach, atoms);
    g->length_in = arena_new(keep, double, atoms);
    g->pieces = arena_new(keep, Reach, atoms + 1);
    g->queue = arena_new(keep, int, atoms);
    g->best = arena_new(keep, int, atoms);
    g->seen = arena_new(keep, int, atoms);
    *kept = (Kept){arena_new(keep, int, atoms), arena_new(keep, Reach, atoms + 1), 0};
    if (!g->reach || !g->length_in || !g->pieces || !g->queue || !g->best || !g->seen || !kept->piece_of || !kept->pieces)
        return error_memory(err);
    Reach all = reach_none();
    for (int i = 0; i < atoms; i++) {
        g->reach[i] = reach_of(&g->task->atoms[i]);
        reach_add(&all, &g->reach[i]);
        double longest = 0.0;
        for (int k = 0; k < TURNS; k++) longest = fmax(longest, g->reach[i].hi[k] - g->reach[i].lo[k]);
        g->length_in[i] = longest / 25.4;
        g->piece_of[i] = -1;
    }
    g->middle[0] = (all.lo[0] + all.hi[0]) / 2.0;
    g->middle[1] = (all.lo[TURNS / 2] + all.hi[TURNS / 2]) / 2.0;
    return index_cuts(g, keep, err);
}

static void number_pieces(Gathering *g, int *number)
{
    int count = 0;
    for (int i = 0; i < g->piece_count; i++) number[i] = -1;
    for (int i = 0; i < g->task->atom_count; i++) {
        if (number[g->piece_of[i]] < 0) number[g->piece_of[i]] = count++;
        g->piece_of[i] = number[g->piece_of[i]];
    }
}

bool gather_pieces(const GatherTask *task, Arena *keep, Work *work, int *out_piece_of, int *out_count, Error *err)
{
    Kept kept;
    Gathering g = {.task = task, .work = work, .rng = rng_make(SEED), .piece_of = out_piece_of};
    if (!prepare(&g, keep, &kept, err) || !gather_first(&g, err)) return false;
    join_what_fits(&g, 0);
    if (!improve(&g, &kept, err)) return false;
    number_pieces(&g, kept.piece_of);
    *out_count = g.piece_count;
    return true;
}

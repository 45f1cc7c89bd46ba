// choose.c - see choose.h.
#include "seam/choose.h"

#include "seam/grid.h"
#include "seam/improve.h"
#include "seam/network.h"
#include "seam/rework.h"
#include "seam/strips.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

#define GRIDS_TRIED 4           // a way of the sheet
#define STRIPS_TRIED 14         // of all directions, by estimate
#define STEP_MM 12.7            // between positions of lines
#define SMALL_PART_MM 620.0     // smaller parts are searched twice as finely
#define ODD_ESTIMATE_SHARE 0.03 // directions along x and y win near ties
#define IMPROVED 3              // candidates whose lines are shifted ...
#define IMPROVE_POINTS 2400000  // and fewer shifts for parts of more than 15000 points, so that time stays bounded
#define FALL_BACKS 12           // grids with smaller and smaller cells
#define REWORKED 2              // candidates that are reworked:
#define REWORK_A_PIECE 3        // groups taken together for each piece of the division ...
#define REWORK_LEAST 16
#define REWORK_MOST 160
#define REWORK_POINTS 4000000   // ... and fewer for parts of more than 25000 points
#define AGAIN_TURN 3            // every third of the directions ...
#define AGAIN_STEP_MM 25.4      // ... and every inch are tried for a group: shifts of the lines do the rest
#define AGAIN_TRIED 5           // layouts carried out for a few pieces taken together ...
#define AGAIN_SHIFTS 24         // ... and shifts of the best one's lines

// Cosine and sine of 0, 15 ... 165 degrees, from square roots: no libm in decisions.
enum { DIRECTIONS = 12 };
static const Frame directions[DIRECTIONS] = {
    {1.0, 0.0},
    {0.965925826289068287, 0.258819045102520762},
    {0.866025403784438647, 0.5},
    {0.707106781186547524, 0.707106781186547524},
    {0.5, 0.866025403784438647},
    {0.258819045102520762, 0.965925826289068287},
    {0.0, 1.0},
    {-0.258819045102520762, 0.965925826289068287},
    {-0.5, 0.866025403784438647},
    {-0.707106781186547524, 0.707106781186547524},
    {-0.866025403784438647, 0.5},
    {-0.965925826289068287, 0.258819045102520762},
};

typedef struct Choosing {
    const NetGround *ground;
    const SeamOptions *options;
    Arena *keep;
    Work *work;
    int most_pieces; // of the best grid
    int most_tried;  // of the strips
    double step_mm;  // between positions of lines
    int turn;        // 1: all directions; 3: every third
    Candidate *items;
    size_t count, capacity;
} Choosing;

// The direction along one side of the part's least box.
static Frame least_box_frame(const Part *part)
{
    Frame best = {1.0, 0.0};
    double best_area = INFINITY;
    for (int i = 0; i < part->hull_count; i++) {
        Point a = part->hull[i], b = part->hull[(i + 1) % part->hull_count];
        double dx = (double)b.x - a.x, dy = (double)b.y - a.y, length = sqrt(dx * dx + dy * dy);
        Frame frame = {dx / length, dy / length};
        double u0 = INFINITY, u1 = -INFINITY, v0 = INFINITY, v1 = -INFINITY;
        for (int k = 0; k < part->hull_count; k++) {
            double u = part->hull[k].x * frame.cos + part->hull[k].y * frame.sin;
            double v = part->hull[k].y * frame.cos - part->hull[k].x * frame.sin;
            u0 = fmin(u0, u), u1 = fmax(u1, u), v0 = fmin(v0, v), v1 = fmax(v1, v);
        }
        double area = (u1 - u0) * (v1 - v0);
        if (area < best_area * (1.0 - 1e-9)) {
            best_area = area;
            best = frame;
        }
    }
    return best;
}

static bool try_layout(Choosing *c, const Layout *layout, JoinWay first, JoinWay last, Error *err)
{
    Candidate candidate;
    bool usable;
    ArenaMark mark = arena_mark(&c->work->scratch);
    NetFrame frame;
    bool fine = net_frame_make(c->ground->part, layout->frame, &c->work->scratch, &frame, err) &&
                evaluate_layout(c->ground, &frame, layout, first, last, c->most_pieces, c->options, c->work, &candidate,
                                &usable, err);
    arena_rewind(&c->work->scratch, mark);
    if (!fine || !usable) return fine;
    Candidate *items = arena_grow(c->keep, c->items, c->count, &c->capacity, sizeof *items);
    if (!items) return error_memory(err);
    c->items = items;
    items[c->count++] = candidate;
    return true;
}

static int compare_estimates(const void *pa, const void *pb)
{
    const Layout *a = pa, *b = pb;
    if (a->estimate_in != b->estimate_in) return a->estimate_in < b->estimate_in ? -1 : 1;
    if (a->frame.cos != b->frame.cos) return a->frame.cos > b->frame.cos ? -1 : 1;
    if (a->frame.sin != b->frame.sin) return a->frame.sin > b->frame.sin ? -1 : 1;
    if (a->border_count != b->border_count) return a->border_count - b->border_count;
    return a->first_cross[a->border_count + 1] - b->first_cross[b->border_count + 1];
}

static bool try_grids(Choosing *c, Space space, JoinWay first, JoinWay last, Error *err)
{
    Layouts layouts = {0};
    GridOptions options = {space, c->options->hidden_weight, c->options->piece_weight, GRIDS_TRIED, c->ground->avoid};
    if (!grid_find(c->ground->part, c->ground->hiding, &options, c->keep, c->work, &layouts, err)) return false;
    for (size_t i = 0; i < layouts.count; i++)
        if (!try_layout(c, &layouts.items[i], first, last, err)) return false;
    return true;
}

static bool find_strips(Choosing *c, Frame frame, Layouts *layouts, Error *err)
{
    const Part *part = c->ground->part;
    bool odd = frame.cos != 0.0 && frame.sin != 0.0;
    if (odd && c->ground->space.upright) return true; // slanting cells would have to be turned
    StripsOptions options = {frame,
                             c->ground->space,
                             c->step_mm,
                             0.0,
                             c->options->hidden_weight,
                             c->options->piece_weight,
                             c->ground->avoid};
    size_t before = layouts->count;
    if (!strips_find(part, c->ground->hiding, &options, c->keep, c->work, layouts, err)) return false;
    for (size_t i = before; odd && i < layouts->count; i++) layouts->items[i].estimate_in *= 1.0 + ODD_ESTIMATE_SHARE;
    return true;
}

static bool try_strips(Choosing *c, Error *err)
{
    Layouts layouts = {0};
    for (int i = 0; i < DIRECTIONS; i += c->turn)
        if (!find_strips(c, directions[i], &layouts, err)) return false;
    Frame box = least_box_frame(c->ground->part);
    if (box.cos != 0.0 && box.sin != 0.0) {
        if (!find_strips(c, box, &layouts, err)) return false;
        if (!find_strips(c, (Frame){-box.sin, box.cos}, &layouts, err)) return false;
    }
    if (layouts.count) qsort(layouts.items, layouts.count, sizeof *layouts.items, compare_estimates);
    for (size_t i = 0; i < layouts.count && (int)i < c->most_tried; i++)
        if (!try_layout(c, &layouts.items[i], JOIN_DEAREST, JOIN_SMALLEST, err)) return false;
    return true;
}

static int compare_candidates(const void *pa, const void *pb)
{
    const Candidate *a = pa, *b = pb;
    if (a->within_grid != b->within_grid) return a->within_grid ? -1 : 1;
    if (a->judgement.cost_in != b->judgement.cost_in) return a->judgement.cost_in < b->judgement.cost_in ? -1 : 1;
    if (a->way != b->way) return a->way < b->way ? -1 : 1;
    return compare_estimates(&a->layout, &b->layout);
}

// A grid with smaller cells has other lines; one of them meets no trouble.
static bool fall_back(Choosing *c, Error *err)
{
    Space space = c->ground->space;
    for (int i = 0; i < FALL_BACKS && c->count == 0; i++) {
        space.width_mm *= 0.93;
        space.height_mm *= 0.95;
        if (!try_grids(c, space, JOIN_NONE, JOIN_NONE, err)) return false;
    }
    return true;
}

// The best grid as it is sets how many pieces a better division may have.
static void note_grid_pieces(Choosing *c)
{
    double best = INFINITY;
    for (size_t i = 0; i < c->count; i++) {
        if (c->items[i].judgement.cost_in >= best) continue;
        best = c->items[i].judgement.cost_in;
        c->most_pieces = c->items[i].judgement.pieces;
    }
    // Seams that keep clear of something may well need more pieces.
    if (!avoid_nothing(c->ground->avoid)) c->most_pieces = INT_MAX;
    for (size_t i = 0; i < c->count; i++) c->items[i].within_grid = c->items[i].judgement.pieces <= c->most_pieces;
}

static bool runs_along_axes(const Candidate *candidate)
{
    return candidate->layout.frame.cos == 0.0 || candidate->layout.frame.sin == 0.0;
}

static bool shares_frame(const Candidate *candidate, const Candidate *others, int count)
{
    for (int i = 0; i < count; i++)
        if (others[i].layout.frame.cos == candidate->layout.frame.cos &&
            others[i].layout.frame.sin == candidate->layout.frame.sin &&
            others[i].layout.is_grid == candidate->layout.is_grid)
            return true;
    return false;
}

// The best of all, the best along x and y, and the best of other directions (starts that differ are worth more than
// starts that are good).
static int pick_starts(const Choosing *c, Candidate *picked)
{
    int count = 0;
    bool along_axes = false;
    for (size_t i = 0; i < c->count && count < IMPROVED; i++) {
        const Candidate *candidate = &c->items[i];
        if (candidate->way == JOIN_NONE || shares_frame(candidate, picked, count)) continue;
        if (count == IMPROVED - 1 && !along_axes && !runs_along_axes(candidate)) continue;
        along_axes |= runs_along_axes(candidate);
        picked[count++] = *candidate;
    }
    return count;
}

// Shifts the lines of the best few; what comes out stands beside what went in.
static bool improve_best(Choosing *c, Error *err)
{
    qsort(c->items, c->count, sizeof *c->items, compare_candidates);
    Candidate picked[IMPROVED];
    int count = pick_starts(c, picked), tries = IMPROVE_POINTS / c->ground->part->count;
    if (tries > c->options->tries) tries = c->options->tries;
    for (int i = 0; i < count; i++) {
        if (!improve_candidate(c->ground, c->most_pieces, tries, c->options, c->keep, c->work, &picked[i], err))
            return false;
        Candidate *items = arena_grow(c->keep, c->items, c->count, &c->capacity, sizeof *items);
        if (!items) return error_memory(err);
        c->items = items;
        items[c->count++] = picked[i];
    }
    return true;
}

static int rework_tries(const Choosing *c, int pieces)
{
    int tries = REWORK_A_PIECE * pieces, most = REWORK_POINTS / c->ground->part->count;
    if (tries < REWORK_LEAST) tries = REWORK_LEAST;
    if (most > REWORK_MOST) most = REWORK_MOST;
    return tries < most ? tries : most;
}

// A division made better a few pieces at a time becomes a candidate of its own.
static bool rework_one(Choosing *c, const Candidate *start, Error *err)
{
    Arena *scratch = &c->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Net net;
    Joined joined;
    Reworked reworked;
    Plan *plan = arena_new(c->keep, Plan, 1);
    Candidate *items = arena_grow(c->keep, c->items, c->count, &c->capacity, sizeof *items);
    if (!plan || !items) return error_memory(err);
    c->items = items;
    bool fine = candidate_carry_out(c->ground, start, c->options, c->work, &net, &joined, err) &&
                rework_division(c->ground, &net, &joined, rework_tries(c, joined.piece_count), c->options, c->keep,
                                c->work, &reworked, err);
    if (fine && reworked.kept > 0) {
        fine = plan_make(&reworked.net, &reworked.joined, &reworked.judgement, c->keep, scratch, plan, err);
        Candidate made = *start;
        made.judgement = reworked.judgement;
        made.plan = plan;
        items[c->count++] = made;
    }
    arena_rewind(scratch, mark);
    return fine;
}

// Starts that differ are worth more than starts that are good.
static bool rework_best(Choosing *c, Error *err)
{
    Candidate picked[IMPROVED];
    int count = pick_starts(c, picked);
    for (int i = 0; i < count && i < REWORKED; i++)
        if (!rework_one(c, &picked[i], err)) return false;
    return true;
}

// A division along strokes becomes a candidate of its own. It is no layout, and is not reworked: JOIN_NONE tells so.
static bool try_network(Choosing *c, bool *is_thin, Error *err)
{
    Network network;
    bool found;
    ArenaMark mark = arena_mark(&c->work->scratch);
    if (!network_divide(c->ground, c->options, c->keep, c->work, &network, &found, err)) return false;
    *is_thin = found && network.is_thin;
    if (!found) return true;
    Plan *plan = arena_new(c->keep, Plan, 1);
    Candidate *items = arena_grow(c->keep, c->items, c->count, &c->capacity, sizeof *items);
    Candidate made = {.layout = {.frame = directions[0], .first_cross = arena_new(c->keep, int, 2)},
                      .judgement = network.judgement,
                      .within_grid = network.judgement.pieces <= c->most_pieces,
                      .plan = plan};
    if (!plan || !items || !made.layout.first_cross) return error_memory(err);
    c->items = items;
    bool fine = plan_make(&network.net, &network.joined, &network.judgement, c->keep, &c->work->scratch, plan, err);
    arena_rewind(&c->work->scratch, mark);
    items[c->count++] = made;
    return fine;
}

// Lines straight through the part.
static bool try_lines(Choosing *c, Error *err)
{
    if (!try_grids(c, c->ground->space, JOIN_DEAREST, JOIN_SMALLEST, err) || !try_strips(c, err)) return false;
    if (c->count == 0) return true;
    if (c->options->tries > 0 && !improve_best(c, err)) return false;
    qsort(c->items, c->count, sizeof *c->items, compare_candidates);
    return c->options->tries == 0 || c->ground->part->twin || rework_best(c, err);
}

static bool is_beside_frozen(const Part *part)
{
    for (int i = 0; part->locked && i < part->count; i++)
        if (part->locked[i]) return true;
    return false;
}

// Beside pieces that are cut already seams end at corners alone, so that their edges stay to the bit: a straight edge that
// is longer than the paper cannot be shared by two new pieces.
static bool tell_undivided(const NetGround *ground, const SeamOptions *options, Error *err)
{
    const Part *part = ground->part;
    bool frozen = is_beside_frozen(part);
    return error_set(err, ERROR_JOB, "a part of the picture at %.0f, %.0f mm cannot be divided for %s%s",
                     part->box.min.x / UM_PER_MM, part->box.min.y / UM_PER_MM, options->paper.id,
                     frozen ? ": no seam may end inside the edge of a piece that is cut already; let one beside it go, or try a "
                              "larger paper"
                            : "; try a larger paper");
}

bool choose_divisions(const NetGround *ground, const SeamOptions *options, ChooseWay choose, Arena *keep, Work *work,
                      Candidates *out, Error *err)
{
    const Part *part = ground->part;
    bool small = box_width_mm(part->box) < SMALL_PART_MM && box_height_mm(part->box) < SMALL_PART_MM;
    Choosing c = {ground, options, keep, work, 0, STRIPS_TRIED, small ? STEP_MM / 2 : STEP_MM, 1, NULL, 0, 0};
    *out = (Candidates){0};
    if (!try_grids(&c, ground->space, JOIN_NONE, JOIN_NONE, err)) return false;
    note_grid_pieces(&c);
    if (choose == CHOOSE_JOINED_GRID && !try_grids(&c, ground->space, JOIN_DEAREST, JOIN_DEAREST, err)) return false;
    bool is_thin = false;
    if (choose == CHOOSE_BEST && !try_network(&c, &is_thin, err)) return false;
    if (choose == CHOOSE_BEST && !is_thin && !try_lines(&c, err)) return false;
    if (c.count == 0 && !fall_back(&c, err)) return false;
    if (c.count == 0)
        return tell_undivided(ground, options, err);
    qsort(c.items, c.count, sizeof *c.items, compare_candidates);
    *out = (Candidates){c.items, (int)c.count};
    return true;
}

bool choose_again(const NetGround *ground, int most_pieces, const SeamOptions *options, Arena *keep, Work *work,
                  Candidate *out, bool *found, Error *err)
{
    Choosing c = {ground, options, keep, work, most_pieces, AGAIN_TRIED, AGAIN_STEP_MM, AGAIN_TURN, NULL, 0, 0};
    *found = false;
    if (!try_strips(&c, err)) return false;
    if (c.count == 0) return true;
    qsort(c.items, c.count, sizeof *c.items, compare_candidates);
    if (!c.items[0].within_grid) return true;
    *out = c.items[0];
    *found = true;
    return improve_candidate(ground, most_pieces, AGAIN_SHIFTS, options, keep, work, out, err);
}

bool choose_plan(const NetGround *ground, const Candidate *candidate, const SeamOptions *options, Arena *keep,
                 Work *work, Plan *out, Error *err)
{
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Net net;
    Joined joined;
    if (candidate->plan) {
        *out = *candidate->plan;
        return true;
    }
    bool fine = candidate_carry_out(ground, candidate, options, work, &net, &joined, err) &&
                plan_make(&net, &joined, &candidate->judgement, keep, scratch, out, err);
    arena_rewind(scratch, mark);
    return fine;
}

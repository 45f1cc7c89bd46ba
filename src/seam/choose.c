// choose.c - see choose.h.
#include "seam/choose.h"

#include "seam/grid.h"
#include "seam/improve.h"
#include "seam/necks.h"
#include "seam/network.h"
#include "seam/rework.h"
#include "seam/splice.h"
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
    bool is_small;   // too little to be shared
    const Frame *frames;        // in which strips are sought
    const Layout *tried;        // carried out, and joined in the ways from first to last
    JoinWay first, last;
    const Candidate *picked;    // improved or reworked
    Layouts layouts;
    Candidate *items;
    size_t count, capacity;
} Choosing;

// ---- steps that do not look at one another ----

typedef bool Step(Choosing *c, int step, Error *err); // adds to the layouts or the items

typedef struct Branch { // what one step finds
    Choosing c;
    NetGround ground;
    FitMemo memo;
    Arena keep;
} Branch;

typedef struct Branching {
    const Choosing *from;
    Step *step;
    Branch *branches;
} Branching;

static bool run_branch(void *context, int part, Work *work, Error *err)
{
    const Branching *all = context;
    const Choosing *from = all->from;
    Branch *branch = &all->branches[part];
    ArenaMark mark = arena_mark(&work->scratch);
    branch->ground = *from->ground;
    branch->ground.memo = &branch->memo;
    branch->c = *from;
    branch->c.ground = &branch->ground;
    branch->c.keep = &branch->keep;
    branch->c.work = work;
    branch->c.layouts = (Layouts){0};
    branch->c.items = NULL;
    branch->c.count = branch->c.capacity = 0;
    bool fine = memo_copy(from->ground->memo, &work->scratch, &branch->memo, err) && all->step(&branch->c, part, err);
    arena_rewind(&work->scratch, mark);
    return fine;
}

static bool add_layout(Choosing *c, const Layout *layout, Error *err)
{
    Layout *items = arena_grow(c->keep, c->layouts.items, c->layouts.count, &c->layouts.capacity, sizeof *items);
    if (!items) return error_memory(err);
    c->layouts.items = items;
    return layout_copy(layout, c->keep, &items[c->layouts.count++], err);
}

static bool add_item(Choosing *c, const Candidate *candidate, Error *err)
{
    Candidate *items = arena_grow(c->keep, c->items, c->count, &c->capacity, sizeof *items);
    if (!items) return error_memory(err);
    c->items = items;
    items[c->count++] = *candidate;
    return true;
}

static bool join_branch(Choosing *c, Branch *branch, Error *err)
{
    bool has_plan = false;
    for (size_t i = 0; i < branch->c.layouts.count; i++)
        if (!add_layout(c, &branch->c.layouts.items[i], err)) return false;
    for (size_t i = 0; i < branch->c.count; i++) {
        Candidate *candidate = &branch->c.items[i];
        has_plan |= candidate->plan != NULL;
        if (!layout_copy(&candidate->layout, c->keep, &candidate->layout, err) || !add_item(c, candidate, err)) return false;
    }
    if (has_plan) arena_adopt(c->keep, &branch->keep); // else little of it is needed any more
    return true;
}

// Runs steps 0 to count - 1; what they add comes in their order.
static bool run_steps(Choosing *c, int count, Step *step, Error *err)
{
    if (c->is_small) {
        for (int i = 0; i < count; i++)
            if (!step(c, i, err)) return false;
        return true;
    }
    Arena *scratch = &c->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Branching all = {c, step, arena_new(scratch, Branch, count)};
    if (!all.branches) return error_memory(err);
    for (int i = 0; i < count; i++) all.branches[i].keep = arena_make(c->keep->budget_bytes);
    bool fine = work_share(c->work, &(WorkParts){count, run_branch, &all}, err);
    for (int i = 0; i < count; i++) {
        fine = fine && join_branch(c, &all.branches[i], err);
        arena_free(&all.branches[i].keep);
    }
    arena_rewind(scratch, mark);
    return fine;
}

// ---- layouts ----

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

static bool try_layout(Choosing *c, const Layout *layout, Error *err)
{
    Candidate candidate;
    bool usable;
    ArenaMark mark = arena_mark(&c->work->scratch);
    NetFrame frame;
    bool fine = net_frame_make(c->ground->part, layout->frame, &c->work->scratch, &frame, err) &&
                evaluate_layout(c->ground, &frame, layout, c->first, c->last, c->most_pieces, c->options, c->work, &candidate,
                                &usable, err);
    arena_rewind(&c->work->scratch, mark);
    return fine && (!usable || add_item(c, &candidate, err));
}

static bool layout_step(Choosing *c, int step, Error *err)
{
    return try_layout(c, &c->tried[step], err);
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

// Carries out the first `most` of the layouts.
static bool try_layouts(Choosing *c, const Layouts *layouts, size_t most, JoinWay first, JoinWay last, Error *err)
{
    c->tried = layouts->items;
    c->first = first;
    c->last = last;
    return run_steps(c, (int)(layouts->count < most ? layouts->count : most), layout_step, err);
}

static bool try_grids(Choosing *c, Space space, JoinWay first, JoinWay last, Error *err)
{
    Layouts layouts = {0};
    GridOptions options = {space, c->options->hidden_weight, c->options->piece_weight, GRIDS_TRIED, c->ground->avoid};
    return grid_find(c->ground->part, c->ground->hiding, &options, c->keep, c->work, &layouts, err) &&
           try_layouts(c, &layouts, layouts.count, first, last, err);
}

// The directions in which strips are sought: all or every third, and both ways of the part's least box when that is odd.
static int strip_frames(const Choosing *c, Frame out[DIRECTIONS + 2])
{
    int count = 0;
    for (int i = 0; i < DIRECTIONS; i += c->turn) out[count++] = directions[i];
    Frame box = least_box_frame(c->ground->part);
    if (box.cos == 0.0 || box.sin == 0.0) return count;
    out[count++] = box;
    out[count++] = (Frame){-box.sin, box.cos};
    return count;
}

static bool strips_step(Choosing *c, int step, Error *err)
{
    Frame frame = c->frames[step];
    bool odd = frame.cos != 0.0 && frame.sin != 0.0;
    if (odd && c->ground->space.upright) return true; // slanting cells would have to be turned
    StripsOptions options = {frame,
                             c->ground->space,
                             c->step_mm,
                             0.0,
                             c->options->hidden_weight,
                             c->options->piece_weight,
                             c->ground->avoid};
    size_t before = c->layouts.count;
    if (!strips_find(c->ground->part, c->ground->hiding, &options, c->keep, c->work, &c->layouts, err)) return false;
    for (size_t i = before; odd && i < c->layouts.count; i++) c->layouts.items[i].estimate_in *= 1.0 + ODD_ESTIMATE_SHARE;
    return true;
}

static bool try_strips(Choosing *c, Error *err)
{
    Frame frames[DIRECTIONS + 2];
    c->frames = frames;
    c->layouts = (Layouts){0};
    bool fine = run_steps(c, strip_frames(c, frames), strips_step, err);
    c->frames = NULL;
    if (!fine) return false;
    const Layouts found = c->layouts;
    if (found.count) qsort(found.items, found.count, sizeof *found.items, compare_estimates);
    return try_layouts(c, &found, (size_t)c->most_tried, JOIN_DEAREST, JOIN_SMALLEST, err);
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

static bool improve_step(Choosing *c, int step, Error *err)
{
    Candidate better = c->picked[step];
    int tries = IMPROVE_POINTS / c->ground->part->count;
    if (tries > c->options->tries) tries = c->options->tries;
    return improve_candidate(c->ground, c->most_pieces, tries, c->options, c->keep, c->work, &better, err) &&
           add_item(c, &better, err);
}

// Shifts the lines of the best few; what comes out stands beside what went in.
static bool improve_best(Choosing *c, Error *err)
{
    qsort(c->items, c->count, sizeof *c->items, compare_candidates);
    Candidate picked[IMPROVED];
    c->picked = picked;
    bool fine = run_steps(c, pick_starts(c, picked), improve_step, err);
    c->picked = NULL;
    return fine;
}

static int rework_tries(const Choosing *c, int pieces)
{
    int tries = REWORK_A_PIECE * pieces, most = REWORK_POINTS / c->ground->part->count;
    if (tries < REWORK_LEAST) tries = REWORK_LEAST;
    if (most > REWORK_MOST) most = REWORK_MOST;
    return tries < most ? tries : most;
}

// A division made better a few pieces at a time becomes a candidate of its own.
static bool rework_step(Choosing *c, int step, Error *err)
{
    const Candidate *start = &c->picked[step];
    Arena *scratch = &c->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Net net;
    Joined joined;
    Reworked reworked;
    Plan *plan = arena_new(c->keep, Plan, 1);
    if (!plan) return error_memory(err);
    bool fine = candidate_carry_out(c->ground, start, c->options, c->work, &net, &joined, err) &&
                rework_division(c->ground, &net, &joined, rework_tries(c, joined.piece_count), c->options, c->keep,
                                c->work, &reworked, err);
    if (fine && reworked.kept > 0) {
        Candidate made = *start;
        made.judgement = reworked.judgement;
        made.judgement.penalty_in += NECK_IN * reworked.necks;
        made.judgement.cost_in += NECK_IN * reworked.necks;
        made.necks_known = true;
        made.plan = plan;
        fine = plan_make(&reworked.net, &reworked.joined, &made.judgement, c->keep, scratch, plan, err) &&
               add_item(c, &made, err);
    }
    arena_rewind(scratch, mark);
    return fine;
}

// Starts that differ are worth more than starts that are good.
static bool rework_best(Choosing *c, Error *err)
{
    Candidate picked[IMPROVED];
    int count = pick_starts(c, picked);
    c->picked = picked;
    bool fine = run_steps(c, count < REWORKED ? count : REWORKED, rework_step, err);
    c->picked = NULL;
    return fine;
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
    Candidate made = {.layout = {.frame = directions[0], .first_cross = arena_new(c->keep, int, 2)},
                      .judgement = network.judgement,
                      .within_grid = network.judgement.pieces <= c->most_pieces,
                      .plan = plan};
    if (!plan || !made.layout.first_cross) return error_memory(err);
    bool fine = plan_make(&network.net, &network.joined, &network.judgement, c->keep, &c->work->scratch, plan, err);
    arena_rewind(&c->work->scratch, mark);
    return fine && add_item(c, &made, err);
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

// Adds what the necks of a candidate cost; the net of a layout's lines becomes one with pieces as faces.
static bool judge_necks(Choosing *c, Candidate *candidate, Error *err)
{
    Arena *scratch = &c->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Net net, lines;
    Joined joined;
    Necks necks = {0};
    candidate->necks_known = true;
    bool fine = candidate->plan ? splice_plan(c->ground, candidate->plan, scratch, scratch, &net, err)
                                : candidate_carry_out(c->ground, candidate, c->options, c->work, &lines, &joined, err) &&
                                      splice_pieces(c->ground, &lines, &joined, scratch, scratch, &net, err);
    if (fine && net.usable) fine = necks_find(c->ground, &net, c->options->least_neck_mm, scratch, c->work, &necks, err);
    candidate->judgement.penalty_in += NECK_IN * necks.sum;
    candidate->judgement.cost_in += NECK_IN * necks.sum;
    arena_rewind(scratch, mark);
    return fine;
}

// The cheapest first. Necks take long to find: they are looked for only in what comes to lie there.
static bool sort_candidates(Choosing *c, ChooseWay choose, Error *err)
{
    for (;;) {
        qsort(c->items, c->count, sizeof *c->items, compare_candidates);
        if (choose != CHOOSE_BEST || c->items[0].necks_known) return true;
        if (!judge_necks(c, &c->items[0], err)) return false;
    }
}

bool choose_divisions(const NetGround *ground, const SeamOptions *options, ChooseWay choose, Arena *keep, Work *work,
                      Candidates *out, Error *err)
{
    const Part *part = ground->part;
    bool small = box_width_mm(part->box) < SMALL_PART_MM && box_height_mm(part->box) < SMALL_PART_MM;
    Choosing c = {.ground = ground, .options = options, .keep = keep, .work = work, .most_tried = STRIPS_TRIED,
                  .step_mm = small ? STEP_MM / 2 : STEP_MM, .turn = 1};
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
    if (!sort_candidates(&c, choose, err)) return false;
    *out = (Candidates){c.items, (int)c.count};
    return true;
}

bool choose_again(const NetGround *ground, int most_pieces, const SeamOptions *options, Arena *keep, Work *work,
                  Candidate *out, bool *found, Error *err)
{
    Choosing c = {.ground = ground, .options = options, .keep = keep, .work = work, .most_pieces = most_pieces,
                  .most_tried = AGAIN_TRIED, .step_mm = AGAIN_STEP_MM, .turn = AGAIN_TURN, .is_small = true};
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

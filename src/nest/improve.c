// improve.c - nest_improve of nest.h.
// Method:  what no search saves is found first (`known`); nothing is tried any more once it is reached. Then all sheets of a group are
//          one container. One of them is taken away, its pieces are spread over the others where they overlap least, and the whole is
//          relaxed (`relax.h`) until nothing overlaps: a sheet saved. When that fails, two large pieces change places and it is tried
//          again, then another group. Then single pieces go to fuller sheets (`share`). At the end the last sheet is made shorter and
//          shorter in the same way. `check` judges each answer; what it refuses never happened.
// Source:  the container of disjoint sheets and the emptied sheet: our own; exchange as in relax.h.
#include "nest/group.h"
#include "nest/known.h"
#include "nest/number.h"
#include "nest/share.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define HOPELESS_FILL 0.90      // of the sheets left, by covers: fuller ones were never seen to come out. Higher: lost time
#define COVER_SHARE 0.97        // a cover is at most so much larger than the piece with half a gap round it
#define SAME_SHARE 1e-6         // of a sheet, lost in sums
#define GROUP_MOST 120          // pieces of a group: rounds grow with its square
#define MOVES_A_PIECE 30        // one try's moves by the pieces of its group; a hopeless one costs no more
#define TRIES_A_GROUP 3         // until another sheet is emptied
#define SHARE_PART 2            // one in so many of the moves goes to single pieces: they need few, and what groups leave over. 4: a sheet in 115 more; 1: small pieces lose
#define PATIENCE 25
#define SHORTEN_SHARE 0.25      // of the moves is kept for the last sheet
#define SHORTEN_FIRST 0.16      // of the extent, halved when it fails
#define SHORTEN_LEAST 0.01
#define SHORTEN_PATIENCE 12

// --- groups ---

typedef struct Filled {
    double area_mm2;
    int sheet, pieces;
} Filled;

static int by_area_up(const void *a, const void *b)
{
    const Filled *x = a, *y = b;
    if (x->area_mm2 != y->area_mm2) return x->area_mm2 < y->area_mm2 ? -1 : 1;
    return (x->sheet > y->sheet) - (x->sheet < y->sheet);
}

static Filled *by_fill(const Improve *im, Work *work)
{
    Filled *filled = arena_new(&work->scratch, Filled, im->sheet_count);
    if (!filled) return NULL;
    for (int s = 0; s < im->sheet_count; s++) filled[s].sheet = s;
    for (int i = 0; i < im->count; i++) {
        if (im->places[i].sheet == NEST_LEFT_OVER) continue;
        filled[im->places[i].sheet].area_mm2 += im->area_mm2[i];
        filled[im->places[i].sheet].pieces++;
    }
    qsort(filled, (size_t)im->sheet_count, sizeof *filled, by_area_up);
    return filled;
}

static bool is_in(const Group *group, int sheet)
{
    for (int k = 0; k < group->sheet_count; k++)
        if (group->sheets[k] == sheet) return true;
    return false;
}

// The n-th least filled sheet, with the least filled others for as long as their pieces are not too many.
static bool choose_group(Improve *im, int n, int most_sheets, Work *work, Group *out, Error *err)
{
    *out = (Group){0};
    Filled *filled = by_fill(im, work);
    out->members = arena_new(&work->scratch, int, im->count);
    if (!filled || !out->members) return error_memory(err);
    n %= im->sheet_count;
    int pieces = filled[n].pieces;
    out->sheets[out->sheet_count++] = filled[n].sheet;
    for (int k = 0; k < im->sheet_count && out->sheet_count < most_sheets; k++) {
        if (k == n || pieces + filled[k].pieces > GROUP_MOST) continue;
        pieces += filled[k].pieces;
        out->sheets[out->sheet_count++] = filled[k].sheet;
    }
    for (int i = 0; i < im->count; i++) {
        if (!is_in(out, im->places[i].sheet)) continue;
        out->members[out->count++] = i;
        if (!group_solid(im, i, work, err)) return false;
    }
    return true;
}

typedef struct Ranked { double area_mm2; int item; } Ranked;

static int by_rank(const void *a, const void *b)
{
    const Ranked *x = a, *y = b;
    if (x->area_mm2 != y->area_mm2) return x->area_mm2 > y->area_mm2 ? -1 : 1;
    return (x->item > y->item) - (x->item < y->item);
}

// Pieces of which no two share, taken by size: each needs a sheet. At most `enough` are counted.
static bool count_apart(Improve *im, const int *members, int count, int enough, Work *work, int *out, Error *err)
{
    Ranked *ranked = arena_new(&work->scratch, Ranked, count);
    int *apart = arena_new(&work->scratch, int, count);
    *out = 0;
    if (!ranked || !apart) return error_memory(err);
    for (int k = 0; k < count; k++) ranked[k] = (Ranked){im->area_mm2[members[k]], members[k]};
    qsort(ranked, (size_t)count, sizeof *ranked, by_rank);
    for (int k = 0; k < count && *out < enough && im->moves_left > 0; k++) {
        bool shares = false;
        for (int n = 0; n < *out && !shares; n++)
            if (!known_can_share(im, ranked[k].item, apart[n], work, &shares, err)) return false;
        if (!shares) apart[(*out)++] = ranked[k].item;
    }
    return true;
}

static bool is_hopeless(Improve *im, const Group *group, double *radii, Work *work, bool *out, Error *err)
{
    double gap = im->options->gap_mm, area = 0;
    double sheet = (im->options->space.width_mm + gap) * (im->options->space.height_mm + gap);
    *out = true;
    if (group->count > RELAX_MOST || group->sheet_count < 2) return true;
    for (int k = 0; k < group->count; k++) {
        const Solid *solid = &im->solids[group->members[k]];
        if (solid->disc_count == 0 || solid->turn_count == 0) return true;
        area += solid->area_mm2;
    }
    if (area > HOPELESS_FILL * sheet * (group->sheet_count - 1) || group_least_sheets(im, group, radii) > group->sheet_count - 1) return true;
    int apart = 0;
    if (!count_apart(im, group->members, group->count, group->sheet_count, work, &apart, err)) return false;
    *out = apart > group->sheet_count - 1;
    return true;
}

// --- one try ---

// The answer of the relaxation becomes the group's places when the check likes it.
static bool adopt(Improve *im, const Group *group, int first_sheet, const Relax *relax, Work *work, bool *out, Error *err)
{
    NestPlace *places = arena_new(&work->scratch, NestPlace, group->count);
    if (!places) return error_memory(err);
    if (!group_places(im, group, first_sheet, relax, work, places, out, err)) return false;
    for (int k = 0; k < group->count && *out; k++) im->places[group->members[k]] = places[k];
    return true;
}

// The emptied sheet's pieces, largest first, go where they overlap least.
static bool spread(Improve *im, const Group *group, Relax *relax, Work *work, Error *err)
{
    Ranked *ranked = arena_new(&work->scratch, Ranked, group->count);
    if (!ranked) return error_memory(err);
    int count = 0;
    for (int k = 0; k < group->count; k++)
        if (im->places[group->members[k]].sheet == group->sheets[0]) ranked[count++] = (Ranked){im->area_mm2[group->members[k]], k};
    qsort(ranked, (size_t)count, sizeof *ranked, by_rank);
    for (int n = 0; n < count; n++) {
        if (!work_goes_on(work, err)) return false;
        relax_place(relax, ranked[n].item);
    }
    return true;
}

// Empties the first sheet of the group into the others. *out tells whether that came out.
static bool empty_sheet(Improve *im, const Group *group, Work *work, bool *out, Error *err)
{
    Relax relax;
    *out = false;
    if (!group_open(im, group, 1, work, &relax, err) || !spread(im, group, &relax, work, err)) return false;
    relax_forget_weights(&relax);
    for (int n = 0; n < TRIES_A_GROUP && im->moves_left > 0 && !*out; n++) {
        if (n > 0) {
            relax_swap(&relax);
            relax_forget_weights(&relax);
        }
        if (!group_separate(im, &relax, (int64_t)MOVES_A_PIECE * group->count, PATIENCE, work, out, err)) return false;
    }
    if (!*out) return true;
    if (!adopt(im, group, 1, &relax, work, out, err)) return false;
    if (*out) group_close_sheet(im, group->sheets[0]);
    return true;
}

// Goes on while there are moves and a group with hope.
static bool save_sheets(Improve *im, Work *work, Error *err)
{
    double *radii = arena_new(im->own, double, im->count);
    if (!radii) return error_memory(err);
    int hopeless = 0;
    for (int n = 0; im->moves_left > 0 && im->sheet_count > im->least_sheets && hopeless < im->sheet_count; n++) {
        ArenaMark mark = arena_mark(&work->scratch);
        Group group;
        bool saved = false;
        // the least filled half, so that the same few are not tried for ever
        if (!choose_group(im, n % ((im->sheet_count + 1) / 2), GROUP_SHEETS, work, &group, err)) return false;
        bool no_hope;
        if (!is_hopeless(im, &group, radii, work, &no_hope, err)) return false;
        if (no_hope) hopeless++;
        else if (!empty_sheet(im, &group, work, &saved, err)) return false;
        if (saved) n = -1, hopeless = 0;
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

// --- the last sheet ---

static double extent_of(const Relax *relax, int sheet)
{
    double most = 0;
    for (int k = 0; k < relax->count; k++)
        if (relax->bodies[k].pose.sheet == sheet) most = fmax(most, relax->bodies[k].pose.y + relax->bodies[k].cast.hull_y1);
    return most;
}

// The sheet that is used least gets shorter; its pieces may go to the next one.
static bool shorten_last(Improve *im, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Group group;
    Relax relax;
    if (!choose_group(im, 0, 2, work, &group, err)) return false;
    for (int k = 0; k < group.count; k++) // too thin to be moved about
        if (im->solids[group.members[k]].disc_count == 0 || im->solids[group.members[k]].turn_count == 0) return true;
    if (group.count == 0 || group.count > RELAX_MOST) return true;
    if (!group_open(im, &group, 0, work, &relax, err)) return false;
    Pose *best = arena_new(&work->scratch, Pose, group.count);
    if (!best) return error_memory(err);
    relax_get(&relax, best);
    for (double step = SHORTEN_FIRST; step > SHORTEN_LEAST && im->moves_left > 0;) {
        bool done;
        double to_mm = extent_of(&relax, 0) * (1 - step);
        relax_set_size(&relax, 0, im->options->space.width_mm, to_mm);
        if (!group_separate(im, &relax, (int64_t)MOVES_A_PIECE * group.count / 2, SHORTEN_PATIENCE, work, &done, err)) return false;
        im->moves_left--;
        if (done && !adopt(im, &group, 0, &relax, work, &done, err)) return false;
        if (done) {
            relax_get(&relax, best);
            if (extent_of(&relax, 0) <= 0) break; // all went over to the other
            continue;
        }
        step /= 2;
        relax_set_size(&relax, 0, im->options->space.width_mm, im->options->space.height_mm);
        relax_set(&relax, best);
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

// --- the whole ---

// What the search need not try to go under: the covers' area, and pieces of which no two are known to share. (The first is certain,
// the second is so but for pairs that would come out by a hair.)
static bool find_least(Improve *im, Work *work, Error *err)
{
    double gap = im->options->gap_mm, w = im->options->space.width_mm, h = im->options->space.height_mm, area = 0, covers = 0;
    ArenaMark mark = arena_mark(&work->scratch);
    int *members = arena_new(&work->scratch, int, im->count), count = 0, apart = 0;
    im->least_sheets = 1;
    if (im->count > KNOWN_MOST) return true; // covers of so many take longer than the moves
    if (!members) return error_memory(err);
    for (int i = 0; i < im->count; i++) {
        if (im->places[i].sheet == NEST_LEFT_OVER) continue;
        if (!work_goes_on(work, err) || !group_solid(im, i, work, err)) return false;
        area += im->area_mm2[i];
        covers += im->solids[i].area_mm2;
        members[count++] = i;
    }
    double sheets = fmax(area / (w * h), covers * COVER_SHARE / ((w + gap) * (h + gap)));
    if (sheets > 1) im->least_sheets = (int)ceil(sheets - SAME_SHARE);
    if (im->least_sheets < im->sheet_count && !count_apart(im, members, count, im->sheet_count, work, &apart, err)) return false;
    if (apart > im->least_sheets) im->least_sheets = apart;
    arena_rewind(&work->scratch, mark);
    return true;
}

static bool improve(Improve *im, const NestResult *from, int64_t moves, Arena *keep, Work *work, Error *err)
{
    im->places = arena_copy(keep, from->places, (size_t)im->count, sizeof *im->places);
    im->solids = arena_new(im->own, Solid, im->count);
    im->made = arena_new(im->own, bool, im->count);
    im->area_mm2 = arena_new(im->own, double, im->count);
    if (!im->places || !im->solids || !im->made || !im->area_mm2) return error_memory(err);
    for (int i = 0; i < im->count; i++) im->area_mm2[i] = rings_area_mm2(im->items[i].rings);
    int64_t kept = (int64_t)((double)moves * SHORTEN_SHARE);
    im->moves_left = (moves - kept) - (moves - kept) / SHARE_PART;
    if (!find_least(im, work, err)) return false;
    if (!save_sheets(im, work, err)) return false;
    im->moves_left += (moves - kept) / SHARE_PART;
    if (!share_sheets(im, 0, work, err)) return false;
    im->moves_left = kept;
    if (!shorten_last(im, work, err)) return false;
    return number_sheets(im->items, im->count, im->places, &im->sheet_count, work, err);
}

bool nest_improve(const NestItem *items, int item_count, const NestOptions *options, const NestResult *from, int64_t moves,
                  uint64_t seed, Arena *keep, Work *work, NestResult *out, Error *err)
{
    *out = *from;
    if (item_count == 0 || from->sheet_count == 0 || moves <= 0) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    Arena own = arena_make(work->scratch.budget_bytes);
    Improve im = {.items = items, .options = options, .count = item_count, .sheet_count = from->sheet_count, .own = &own,
                  .rng = rng_make(seed)};
    bool done = improve(&im, from, moves, keep, work, err);
    *out = done ? (NestResult){im.places, im.sheet_count, from->left_over} : (NestResult){0};
    arena_free(&own);
    arena_rewind(&work->scratch, mark);
    return done;
}

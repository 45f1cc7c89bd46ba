// share.c - see share.h.
#include "nest/share.h"

#include "nest/known.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_BUDGET 3          // moves by the pieces of a set, the first time it is asked; more wastes them on what cannot be
#define LAST_BUDGET 1536        // after that nothing is left to try
#define ONE_TRY 40              // moves by the pieces of a set from one start; then another start
#define SET_PATIENCE 12
#define FULLEST 0.97            // of a sheet, by covers; fuller sets are not asked. Lower: some boxes side by side are missed
#define FULLEST_WITHOUT_GAP 1.0000001
#define MOST_IN_SET 60          // pieces; a sheet with more is left to the groups
#define MOST_PIECES 400         // of all sheets: each is asked for with each, and a group of the fullest sheets does as well then
#define FAILED_SETS 8192        // sets remembered; a newer one takes the place of an older

typedef struct Failed {
    uint64_t set;
    int budget;                 // moves by the piece that did not do
} Failed;

typedef struct Share {
    Improve *im;
    double *sheet_mm2, *cover_mm2;  // on each sheet: of pieces, of covers
    int *pieces;                    // how many
    bool *thin;                     // cannot be moved about
    int *order;                     // sheets, the least filled first
    uint64_t *keys;                 // of pieces: a set's key is the sum of them
    Failed *failed;
    int budget;
    int64_t moves_kept;
} Share;

typedef struct Asked {          // a set that came out
    Group group;
    NestPlace *places;
} Asked;

static void measure_sheets(Share *share)
{
    Improve *im = share->im;
    for (int s = 0; s < im->sheet_count; s++) share->sheet_mm2[s] = share->cover_mm2[s] = share->pieces[s] = 0;
    for (int i = 0; i < im->count; i++) {
        int s = im->places[i].sheet;
        if (s == NEST_LEFT_OVER) continue;
        share->sheet_mm2[s] += im->area_mm2[i];
        share->cover_mm2[s] += im->solids[i].area_mm2;
        share->pieces[s]++;
    }
    for (int s = 0; s < im->sheet_count; s++) { // insertion: nearly in order from the last time
        int k = s;
        for (; k > 0 && share->sheet_mm2[share->order[k - 1]] > share->sheet_mm2[s]; k--) share->order[k] = share->order[k - 1];
        share->order[k] = s;
    }
}

static bool open_share(Improve *im, int64_t moves_kept, Work *work, Share *out, Error *err)
{
    *out = (Share){.im = im, .moves_kept = moves_kept};
    out->sheet_mm2 = arena_new(&work->scratch, double, im->sheet_count);
    out->cover_mm2 = arena_new(&work->scratch, double, im->sheet_count);
    out->pieces = arena_new(&work->scratch, int, im->sheet_count);
    out->order = arena_new(&work->scratch, int, im->sheet_count);
    out->thin = arena_new(&work->scratch, bool, im->count);
    out->keys = arena_new(&work->scratch, uint64_t, im->count);
    out->failed = arena_new(&work->scratch, Failed, FAILED_SETS);
    if (!out->sheet_mm2 || !out->cover_mm2 || !out->pieces || !out->order || !out->thin || !out->keys || !out->failed)
        return error_memory(err);
    for (int i = 0; i < im->count; i++) {
        out->keys[i] = rng_next(&im->rng);
        if (!work_goes_on(work, err) || !group_solid(im, i, work, err)) return false;
        out->thin[i] = im->solids[i].disc_count == 0 || im->solids[i].turn_count == 0;
    }
    measure_sheets(out);
    return true;
}

// --- one set on one sheet ---

static Failed *failed_at(Share *share, uint64_t set)
{
    return &share->failed[set % FAILED_SETS];
}

static bool is_known_to_fail(Share *share, uint64_t set)
{
    const Failed *failed = failed_at(share, set);
    return failed->set == set && failed->budget >= share->budget;
}

static bool room_for(const Share *share, double cover_mm2)
{
    const NestOptions *options = share->im->options;
    double sheet = (options->space.width_mm + options->gap_mm) * (options->space.height_mm + options->gap_mm);
    return cover_mm2 <= sheet * (options->gap_mm > 0 ? FULLEST : FULLEST_WITHOUT_GAP);
}

// What lies on the sheet but for `out` (or -1), with `in` as the last.
static bool gather(const Share *share, int sheet, int out, int in, Work *work, Asked *asked, uint64_t *set, Error *err)
{
    const Improve *im = share->im;
    size_t most = (size_t)share->pieces[sheet] + 1;
    *asked = (Asked){.group = {.sheets = {sheet}, .sheet_count = 1}};
    asked->group.members = arena_new(&work->scratch, int, most);
    asked->places = arena_new(&work->scratch, NestPlace, most);
    if (!asked->group.members || !asked->places) return error_memory(err);
    for (int i = 0; i < im->count; i++)
        if ((im->places[i].sheet == sheet && i != out) || i == in) {
            *set += share->keys[i];
            if (i != in) asked->group.members[asked->group.count++] = i;
        }
    if (in >= 0) asked->group.members[asked->group.count++] = in;
    return true;
}

static bool has_hope(Share *share, const Asked *asked, int in, Work *work, bool *out, Error *err)
{
    *out = asked->group.count <= MOST_IN_SET;
    for (int k = 0; k < asked->group.count && *out; k++) *out = !share->thin[asked->group.members[k]];
    for (int k = 0; k < asked->group.count && *out; k++)
        if (!known_can_share(share->im, asked->group.members[k], in, work, out, err)) return false;
    return true;
}

// Two lie as they are known to.
static void lay_pair(const Improve *im, const Group *group, Relax *relax)
{
    Pose poses[2];
    if (group->count == 2 && known_poses(im, group->members[0], group->members[1], poses)) relax_set(relax, poses);
}

// From how they lie, with the newcomer where it is least in the way; then from other starts.
static bool relax_set_of(Share *share, Asked *asked, Work *work, bool *out, Error *err)
{
    Improve *im = share->im;
    const Group *group = &asked->group;
    Relax relax;
    if (!group_open(im, group, 0, work, &relax, err)) return false;
    int64_t end = (int64_t)share->budget * group->count;
    for (int start = 0; relax.moves < end && im->moves_left > share->moves_kept && !*out; start++) {
        int64_t before = relax.moves;
        if (start > 0) relax_throw(&relax, (int)rng_below(&relax.rng, (uint32_t)group->count));
        relax_place(&relax, group->count - 1);
        if (start == 0) lay_pair(im, group, &relax);
        im->moves_left -= relax.moves - before;
        int64_t moves = (int64_t)ONE_TRY * group->count;
        if (!group_separate(im, &relax, moves < end - relax.moves ? moves : end - relax.moves, SET_PATIENCE, work, out, err)) return false;
        relax_forget_weights(&relax);
    }
    return *out ? group_places(im, group, 0, &relax, work, asked->places, out, err) : true;
}

// Does `in` come to the sheet, in the place of `out` (or -1)? *yes with the places when it does.
static bool ask(Share *share, int sheet, int out, int in, Work *work, Asked *asked, bool *yes, Error *err)
{
    const Improve *im = share->im;
    uint64_t set = 0;
    *yes = false;
    double cover = share->cover_mm2[sheet] + im->solids[in].area_mm2 - (out >= 0 ? im->solids[out].area_mm2 : 0);
    if (!room_for(share, cover)) return true;
    if (!gather(share, sheet, out, in, work, asked, &set, err)) return false;
    bool hope = !is_known_to_fail(share, set);
    if (hope && !has_hope(share, asked, in, work, &hope, err)) return false;
    if (!hope) return true;
    if (!work_goes_on(work, err) || !relax_set_of(share, asked, work, yes, err)) return false;
    if (!*yes) *failed_at(share, set) = (Failed){set, share->budget};
    return true;
}

// --- steps ---

static void take(Share *share, const Asked *asked)
{
    for (int k = 0; k < asked->group.count; k++) share->im->places[asked->group.members[k]] = asked->places[k];
}

static void tidy(Share *share)
{
    measure_sheets(share);
    for (int s = share->im->sheet_count - 1; s >= 0; s--)
        if (share->pieces[s] == 0) group_close_sheet(share->im, s);
    measure_sheets(share);
}

static bool out_of_moves(const Share *share)
{
    return share->im->moves_left <= share->moves_kept;
}

// The piece goes to the fullest sheet that takes it.
static bool move_piece(Share *share, int piece, Work *work, bool *done, Error *err)
{
    const Improve *im = share->im;
    int from = im->places[piece].sheet;
    *done = false;
    for (int k = im->sheet_count - 1; k >= 0 && !*done && !out_of_moves(share); k--) {
        int to = share->order[k];
        if (to == from || share->sheet_mm2[to] + im->area_mm2[piece] <= share->sheet_mm2[from]) continue;
        ArenaMark mark = arena_mark(&work->scratch);
        Asked asked;
        if (!ask(share, to, -1, piece, work, &asked, done, err)) return false;
        if (*done) take(share, &asked);
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

// The piece goes to a sheet whose smaller piece comes back for it.
static bool exchange(Share *share, int piece, int other, Work *work, bool *done, Error *err)
{
    const Improve *im = share->im;
    int from = im->places[piece].sheet, to = im->places[other].sheet;
    ArenaMark mark = arena_mark(&work->scratch);
    Asked there, here;
    *done = false;
    if (!ask(share, to, other, piece, work, &there, done, err)) return false;
    if (*done && share->pieces[from] == 1) { // alone it fits, as it did
        take(share, &there);
        share->im->places[other] = im->places[other];
        share->im->places[other].sheet = from;
    } else if (*done) {
        if (!ask(share, from, piece, other, work, &here, done, err)) return false;
        if (*done) take(share, &there), take(share, &here);
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

static bool exchange_piece(Share *share, int piece, Work *work, bool *done, Error *err)
{
    const Improve *im = share->im;
    int from = im->places[piece].sheet;
    *done = false;
    for (int other = 0; other < im->count && !*done && !out_of_moves(share); other++) {
        int to = im->places[other].sheet;
        double gain = im->area_mm2[piece] - im->area_mm2[other];
        if (to == from || to == NEST_LEFT_OVER || gain <= 0 || share->sheet_mm2[to] + gain <= share->sheet_mm2[from]) continue;
        if (share->pieces[to] == 1) continue; // only the names of two sheets would change
        if (!exchange(share, piece, other, work, done, err)) return false;
    }
    return true;
}

// `other` goes to a third sheet, and the piece comes to its place.
static bool make_way(Share *share, int piece, int other, const Asked *there, Work *work, bool *done, Error *err)
{
    const Improve *im = share->im;
    int from = im->places[piece].sheet, to = im->places[other].sheet;
    *done = false;
    for (int k = im->sheet_count - 1; k >= 0 && !*done && !out_of_moves(share); k--) {
        int third = share->order[k];
        if (third == from || third == to) continue;
        ArenaMark mark = arena_mark(&work->scratch);
        Asked asked;
        if (!ask(share, third, -1, other, work, &asked, done, err)) return false;
        if (*done) take(share, there), take(share, &asked);
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

// A piece that lies alone takes the place of one that finds another sheet: its own sheet is saved, whichever of the two is larger.
static bool chain_piece(Share *share, int piece, Work *work, bool *done, Error *err)
{
    const Improve *im = share->im;
    int from = im->places[piece].sheet;
    *done = false;
    if (share->pieces[from] > 1) return true;
    for (int other = 0; other < im->count && !*done && !out_of_moves(share); other++) {
        int to = im->places[other].sheet;
        if (to == from || to == NEST_LEFT_OVER || share->pieces[to] == 1) continue;
        ArenaMark mark = arena_mark(&work->scratch);
        Asked there;
        bool fits;
        if (!ask(share, to, other, piece, work, &there, &fits, err)) return false;
        if (fits && !make_way(share, piece, other, &there, work, done, err)) return false;
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

typedef bool Step(Share *share, int piece, Work *work, bool *done, Error *err);

// The pieces of the least filled sheets first.
static bool first_step(Share *share, Step *step, Work *work, bool *done, Error *err)
{
    const Improve *im = share->im;
    *done = false;
    for (int k = 0; k < im->sheet_count && !*done; k++)
        for (int piece = 0; piece < im->count && !*done && !out_of_moves(share); piece++) {
            if (im->places[piece].sheet != share->order[k]) continue;
            if (!work_goes_on(work, err) || !step(share, piece, work, done, err)) return false;
        }
    return true;
}

bool share_sheets(Improve *im, int64_t moves_kept, Work *work, Error *err)
{
    if (im->count > MOST_PIECES || im->moves_left <= moves_kept) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    Share share;
    if (!open_share(im, moves_kept, work, &share, err)) return false;
    share.budget = FIRST_BUDGET;
    while (!out_of_moves(&share) && im->sheet_count > im->least_sheets && share.budget <= LAST_BUDGET) {
        bool done;
        if (!first_step(&share, move_piece, work, &done, err)) return false;
        if (!done && !first_step(&share, exchange_piece, work, &done, err)) return false;
        if (!done && !first_step(&share, chain_piece, work, &done, err)) return false;
        if (done) tidy(&share);
        else share.budget *= 2;
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

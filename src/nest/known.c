// known.c - see known.h.
#include "nest/known.h"

#include "nest/pair.h"

#include <math.h>

#define STEPS 90                // turns: half as many miss pairs, twice as many take four times as long
#define LINES_A_SHEET 64        // along its diagonal
#define OVER_SHARE 0.012        // of the diagonal: what the turns between may save, about the reach of half a step on a piece as large as the sheet
#define ENOUGH_SHARE 0.01       // of the diagonal: room in which two surely lie
#define LOOKS_A_MOVE 128        // take as long as a move of one piece: most end at the first lines

#define UNASKED 0
#define NO (-1)                 // else 1 + the index of the spot

struct Known {
    int *pairs;                 // by the greater item, then the lesser
    Lined *lined;               // by item
    bool *cut;
    PairSpot *spots;            // a is the greater item's
    size_t spot_count, spot_capacity;
    PairAsk ask;
    int64_t looks;              // not counted as moves yet
};

static bool open_known(Improve *im, Error *err)
{
    double w = im->options->space.width_mm, h = im->options->space.height_mm, diagonal = sqrt(w * w + h * h);
    struct Known *known = im->known = arena_new(im->own, struct Known, 1);
    if (!known) return error_memory(err);
    known->pairs = arena_new(im->own, int, (size_t)im->count * (size_t)im->count);
    known->lined = arena_new(im->own, Lined, im->count);
    known->cut = arena_new(im->own, bool, im->count);
    known->ask = (PairAsk){.width_mm = w, .height_mm = h, .line_mm = diagonal / LINES_A_SHEET, .over_mm = OVER_SHARE * diagonal,
                           .halves_alike = im->options->turn != NEST_TURN_NONE, .enough_mm = ENOUGH_SHARE * diagonal, .most_looks = INT64_MAX / 2};
    return known->pairs && known->lined && known->cut ? true : error_memory(err);
}

static bool lines_of(Improve *im, int item, Work *work, Error *err)
{
    struct Known *known = im->known;
    const Solid *solid = &im->solids[item];
    if (known->cut[item]) return true;
    known->cut[item] = true;
    Fit *turns = arena_new(&work->scratch, Fit, solid->turn_count + STEPS);
    if (!turns) return error_memory(err);
    int count = 0;
    for (int t = 0; t < solid->turn_count; t++) turns[count++] = solid->turns[t]; // sides along the sheet: the likeliest
    for (int t = 0; t < solid->angle_count; t += SOLID_ANGLES / STEPS) turns[count++] = solid->angles[t];
    return pair_lines(solid, turns, count, &known->ask, im->own, work, &known->lined[item], err);
}

static void count_looks(Improve *im)
{
    im->moves_left -= im->known->looks / LOOKS_A_MOVE;
    im->known->looks %= LOOKS_A_MOVE;
}

static bool is_looked_at(const Improve *im, int item)
{
    return im->solids[item].disc_count > 0 && im->solids[item].turn_count > 0;
}

static bool ask(Improve *im, int item, int other, Work *work, int *out, Error *err)
{
    struct Known *known = im->known;
    PairSpot spot;
    int found = 0;
    *out = NO;
    if (group_cannot_share(im, item, other)) return true;
    if (!lines_of(im, item, work, err) || !lines_of(im, other, work, err)) return false;
    if (!pair_find(&known->lined[item], &known->lined[other], &known->ask, 1, work, &spot, &found, &known->looks, err)) return false;
    count_looks(im);
    if (found == 0) return true;
    PairSpot *spots = arena_grow(im->own, known->spots, known->spot_count, &known->spot_capacity, sizeof *spots);
    if (!spots) return error_memory(err);
    known->spots = spots;
    spots[known->spot_count++] = spot;
    *out = (int)known->spot_count;
    return true;
}

static int *entry(const Improve *im, int item, int other)
{
    int low = item < other ? item : other, high = item < other ? other : item;
    return &im->known->pairs[(size_t)high * (size_t)im->count + (size_t)low];
}

bool known_can_share(Improve *im, int item, int other, Work *work, bool *out, Error *err)
{
    *out = true;
    if (im->count > KNOWN_MOST || item == other) return true;
    if (!group_solid(im, item, work, err) || !group_solid(im, other, work, err)) return false;
    if (!is_looked_at(im, item) || !is_looked_at(im, other)) return true;
    if (!im->known && !open_known(im, err)) return false;
    int *known = entry(im, item, other);
    if (*known == UNASKED) {
        ArenaMark mark = arena_mark(&work->scratch);
        if (!ask(im, item > other ? item : other, item > other ? other : item, work, known, err)) return false;
        arena_rewind(&work->scratch, mark);
    }
    *out = *known != NO;
    return true;
}

bool known_poses(const Improve *im, int item, int other, Pose out[2])
{
    if (!im->known || item == other) return false;
    int known = *entry(im, item, other);
    if (known <= 0) return false;
    const PairSpot *spot = &im->known->spots[known - 1];
    int a = item > other ? 0 : 1;
    out[a] = (Pose){0, spot->a->turn, spot->ax, spot->ay};
    out[1 - a] = (Pose){0, spot->b->turn, spot->bx, spot->by};
    return true;
}

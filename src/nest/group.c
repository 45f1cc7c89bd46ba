// group.c - see group.h.
#include "nest/group.h"

#include "nest/check.h"
#include "nest/number.h"

#include <math.h>
#include <stdlib.h>

#define DISC_SLACK_MM 0.15      // a cover's disc may be so much larger than that of the piece with half a gap round it

// --- pieces as solids ---

bool group_solid(Improve *im, int item, Work *work, Error *err)
{
    if (im->made[item]) return true;
    Solid *solid = &im->solids[item];
    for (int other = 0; other < item; other++) { // copies
        if (!im->made[other] || im->items[other].rings != im->items[item].rings) continue;
        *solid = im->solids[other];
        im->made[item] = true;
        return true;
    }
    Fit *turns;
    if (!solid_make(im->items[item].rings, im->options->gap_mm, im->own, work, solid, err)) return false;
    if (!shape_turns(&im->items[item], im->options, im->own, work, &turns, &solid->turn_count, err)) return false;
    solid->turns = turns;
    Fit *angles;
    if (!shape_angles(&im->items[item], im->options, SOLID_ANGLES, im->own, work, &angles, &solid->angle_count, err)) return false;
    solid->angles = angles;
    im->made[item] = true;
    return true;
}

static Pose pose_of(const Improve *im, int item, int sheet)
{
    const double *m = im->places[item].to_sheet, *o = im->solids[item].origin_mm;
    return (Pose){sheet, {m[0], m[1]}, m[0] * o[0] + m[2] * o[1] + m[4] - im->options->origin_mm[0],
                  m[1] * o[0] + m[3] * o[1] + m[5] - im->options->origin_mm[1]};
}

static NestPlace place_of(const Improve *im, int item, const Pose *pose, int sheet)
{
    const double *o = im->solids[item].origin_mm;
    double c = place_number(pose->turn.cos), s = place_number(pose->turn.sin);
    return (NestPlace){sheet, {c, s, place_number(-s), c, place_number(pose->x + im->options->origin_mm[0] - (c * o[0] - s * o[1])),
                               place_number(pose->y + im->options->origin_mm[1] - (s * o[0] + c * o[1]))}};
}

// --- bounds ---

// The farthest that the middles of two discs can be apart is the diagonal of what they leave. Discs hold half the gap, and that may
// lie outside the sheet.
static bool discs_cannot_share(const NestOptions *options, double r, double q)
{
    double w = options->space.width_mm + options->gap_mm - r - q, h = options->space.height_mm + options->gap_mm - r - q;
    return w < 0 || h < 0 || w * w + h * h < (r + q) * (r + q);
}

static double radius_of(const Improve *im, int item)
{
    return fmax(0, (double)im->solids[item].discs.r[0] - DISC_SLACK_MM);
}

bool group_cannot_share(const Improve *im, int item, int other)
{
    return discs_cannot_share(im->options, radius_of(im, item), radius_of(im, other));
}

static int by_value_down(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x < y) - (x > y);
}

int group_least_sheets(const Improve *im, const Group *group, double *radii)
{
    double half = im->options->space.width_mm * im->options->space.height_mm / 2;
    int by_area = 0, by_disc = 1;
    for (int k = 0; k < group->count; k++) {
        by_area += im->area_mm2[group->members[k]] > half;
        radii[k] = radius_of(im, group->members[k]);
    }
    qsort(radii, (size_t)group->count, sizeof *radii, by_value_down);
    while (by_disc < group->count && discs_cannot_share(im->options, radii[by_disc - 1], radii[by_disc])) by_disc++;
    return by_area > by_disc ? by_area : by_disc;
}

// --- relaxing ---

bool group_open(Improve *im, const Group *group, int first_sheet, Work *work, Relax *out, Error *err)
{
    const Solid **solids = arena_new(&work->scratch, const Solid *, group->count);
    Pose *poses = arena_new(&work->scratch, Pose, group->count);
    if (!solids || !poses) return error_memory(err);
    for (int k = 0; k < group->count; k++) {
        int sheet = 0, item = group->members[k];
        for (int s = first_sheet; s < group->sheet_count; s++)
            if (group->sheets[s] == im->places[item].sheet) sheet = s - first_sheet;
        solids[k] = &im->solids[item];
        poses[k] = pose_of(im, item, sheet);
    }
    if (!relax_open(solids, poses, group->count, im->options->space, group->sheet_count - first_sheet, rng_next(&im->rng),
                    &work->scratch, out, err))
        return false;
    out->free_turns = im->options->turn == NEST_TURN_FREE;
    return true;
}

bool group_separate(Improve *im, Relax *relax, int64_t moves, int patience, Work *work, bool *out, Error *err)
{
    int64_t before = relax->moves;
    bool done = relax_separate(relax, moves < im->moves_left ? moves : im->moves_left, patience, work, out, err);
    im->moves_left -= relax->moves - before;
    return done;
}

bool group_places(const Improve *im, const Group *group, int first_sheet, const Relax *relax, Work *work, NestPlace *places,
                  bool *out, Error *err)
{
    NestItem *items = arena_new(&work->scratch, NestItem, group->count);
    bool *bad = arena_new(&work->scratch, bool, group->count);
    if (!items || !bad) return error_memory(err);
    for (int k = 0; k < group->count; k++) {
        const Pose *pose = &relax->bodies[k].pose;
        items[k] = im->items[group->members[k]];
        places[k] = place_of(im, group->members[k], pose, group->sheets[first_sheet + pose->sheet]);
    }
    if (!nest_check(items, group->count, im->options, places, work, bad, err)) return false;
    *out = true;
    for (int k = 0; k < group->count; k++) *out &= !bad[k];
    return true;
}

void group_close_sheet(Improve *im, int sheet)
{
    im->sheet_count--;
    for (int i = 0; i < im->count; i++)
        if (im->places[i].sheet == im->sheet_count) im->places[i].sheet = sheet;
}

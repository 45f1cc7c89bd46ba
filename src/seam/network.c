// network.c - see network.h.
#include "seam/network.h"

#include "seam/faces.h"
#include "seam/gather.h"
#include "seam/stroke.h"

#include <math.h>

#define NARROW_SHARE 0.5    // of the sheet's shorter side: wider on the average is no network
#define THIN_SHARE 0.2      // of narrower ones that nothing covers, only cuts square across are worth trying
#define WIDEST_SHARE 0.6    // no cut is longer
#define APART_MM 7.0        // between two places for cuts: closer gains nothing
#define MOST_CUTS 3000      // of a part, by and large: larger ones have them farther apart
#define TRIES_A_PIECE 30    // more of them gain 3 % at most
#define LEAST_TRIES 400
#define MOST_TRIES 2000
#define EXTRA_IN 0.5        // a cut nearer to a corner than it should be

// From the end of a cut to the next corner: half an inch, and less only where an atom would not fit the paper otherwise.
static const double clear_mm[] = {12.7, 6.35, 3.0};
enum { LEVELS = sizeof clear_mm / sizeof *clear_mm };

// Narrower on the average than this share of the sheet's shorter side.
static bool is_narrow(const NetGround *ground, double share)
{
    double narrow_mm = share * fmin(ground->space.width_mm, ground->space.height_mm);
    return 2.0 * ground->part->area_mm2 < narrow_mm * ground->part->length_mm;
}

static bool make_net(const NetGround *ground, const StrokeCuts *cuts, Arena *keep, Net *out, Error *err)
{
    *out = (Net){.nodes = arena_new(keep, NetNode, 2 * cuts->count), .segments = arena_new(keep, NetSegment, cuts->count)};
    if (!out->nodes || !out->segments) return error_memory(err);
    for (size_t i = 0; i < cuts->count; i++) {
        int half = 2 * out->segment_count;
        out->segments[out->segment_count++] =
            (NetSegment){.a = half, .b = half + 1, .face = {-1, -1}, .length_mm = cuts->items[i].width_mm};
        for (int end = 0; end < 2; end++) {
            out->nodes[out->node_count] = cuts->items[i].ends[end];
            out->nodes[out->node_count++].leaving[0] = half + end;
        }
    }
    return faces_find(ground, out, keep, err);
}

// First with all cuts clear of corners; where this leaves an atom too large, with more.
static bool find_atoms(const NetGround *ground, Arena *keep, Work *work, StrokeCuts *cuts, int *clear_count, Net *net,
                       Error *err)
{
    const Part *part = ground->part;
    StrokeOptions options = {.apart_mm = fmax(APART_MM, part->length_mm / 2.0 / MOST_CUTS),
                             .widest_mm = WIDEST_SHARE * fmin(ground->space.width_mm, ground->space.height_mm)};
    net->usable = false;
    for (int level = 0; level < LEVELS && !net->usable; level++) {
        options.clear_mm = clear_mm[level];
        if (!strokes_find(ground, &options, keep, work, cuts, err)) return false;
        if (level == 0) *clear_count = (int)cuts->count;
        if (cuts->count > 0 && !make_net(ground, cuts, keep, net, err)) return false;
    }
    return !net->usable || faces_measure(ground, net, keep, err);
}

static bool gather(const NetGround *ground, const Net *net, int clear_count, const SeamOptions *options, int *piece_of,
                   int *count, Arena *keep, Work *work, Error *err)
{
    GatherAtom *atoms = arena_new(keep, GatherAtom, net->face_count);
    GatherCut *cuts = arena_new(keep, GatherCut, net->segment_count);
    if (!atoms || !cuts) return error_memory(err);
    GatherTask task = {.atoms = atoms, .atom_count = net->face_count, .cuts = cuts, .space = ground->space,
                       .piece_in = options->piece_weight, .least_long_mm = options->least_long_mm};
    double width_mm = fmin(task.space.width_mm, task.space.height_mm);
    double pieces = ground->part->length_mm / 2.0 / width_mm; // as many, more or less
    if (options->tries > 0) task.tries = (int)fmin(fmax(pieces * TRIES_A_PIECE, LEAST_TRIES), MOST_TRIES);
    for (int i = 0; i < net->face_count; i++)
        atoms[i] = (GatherAtom){net->faces[i].hull, net->faces[i].hull_count, net->faces[i].area_mm2};
    for (int i = 0; i < net->segment_count; i++) {
        const NetSegment *s = &net->segments[i];
        double cost_in = (s->visible_mm + options->hidden_weight * (s->length_mm - s->visible_mm)) / 25.4 + s->avoid_in;
        if (s->face[0] == s->face[1]) continue;
        cuts[task.cut_count++] = (GatherCut){{s->face[0], s->face[1]}, cost_in + (i < clear_count ? 0.0 : EXTRA_IN)};
    }
    return gather_pieces(&task, keep, work, piece_of, count, err);
}

static bool fill_pieces(const Net *net, Joined *joined, Arena *keep, Arena *scratch, Error *err)
{
    joined->pieces = arena_new(keep, NetFace, joined->piece_count);
    if (!joined->pieces) return error_memory(err);
    for (int p = 0; p < joined->piece_count; p++) {
        int room = 0, count = 0;
        for (int f = 0; f < net->face_count; f++) room += joined->piece_of[f] == p ? net->faces[f].hull_count : 0;
        ArenaMark mark = arena_mark(scratch);
        Point *points = arena_new(scratch, Point, room);
        if (!points) return error_memory(err);
        for (int f = 0; f < net->face_count; f++) {
            if (joined->piece_of[f] != p) continue;
            joined->pieces[p].area_mm2 += net->faces[f].area_mm2;
            for (int i = 0; i < net->faces[f].hull_count; i++) points[count++] = net->faces[f].hull[i];
        }
        joined->pieces[p].hull = hull_make(points, count, keep, &joined->pieces[p].hull_count);
        arena_rewind(scratch, mark);
        if (!joined->pieces[p].hull) return error_memory(err);
    }
    return true;
}

bool network_divide(const NetGround *ground, const SeamOptions *options, Arena *keep, Work *work, Network *out,
                    bool *found, Error *err)
{
    StrokeCuts cuts = {0};
    int clear_count = 0;
    *out = (Network){0};
    *found = false;
    if (ground->part->twin || !is_narrow(ground, NARROW_SHARE)) return true;
    if (!find_atoms(ground, keep, work, &cuts, &clear_count, &out->net, err)) return false;
    if (!out->net.usable) return true;
    out->joined.piece_of = arena_new(keep, int, out->net.face_count);
    if (!out->joined.piece_of) return error_memory(err);
    if (!gather(ground, &out->net, clear_count, options, out->joined.piece_of, &out->joined.piece_count, keep, work, err) ||
        !fill_pieces(&out->net, &out->joined, keep, &work->scratch, err) ||
        !judge_division(ground, &out->net, &out->joined, options, &work->scratch, &out->judgement, err))
        return false;
    *found = true;
    out->is_thin = ground->hiding->count == 0 && is_narrow(ground, THIN_SHARE);
    return true;
}

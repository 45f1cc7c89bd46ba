// judge.c - see judge.h.
// The weights of penalties are inches of visible seam, chosen by looking at pictures (no source).
#include "seam/judge.h"

#include "seam/ends.h"
#include "seam/faces.h"

#include <math.h>
#include <stdlib.h>

#define SLIVER_IN 10.0       // a piece that is easily torn or lost
#define NARROW_RUN_IN 2.0    // a seam that comes close to the outline beside its end: a neck or a hairline ...
#define NARROW_PER_IN 0.5    // ... and for each inch that it runs there
#define SHUNNED 5.0          // times as much where a neck is to go
#define FOUR_MEET_IN 1.0     // four pieces in one point never meet well; half of it where hidden
#define SHORT_JOG_IN 1.0     // two seams that end on a third one near each other; half of it where hidden
#define JOG_MM 25.4          // nearer than that it looks like a slip
#define BEND_IN 0.5          // a corner inside a seam; a tenth of it where hidden
#define SLANT_IN 0.25        // an end in sight that is neither square to the outline nor in an inner corner ...
#define SLANT_PER_COS 0.75   // ... and more, the flatter it is
#define ODD_IN 0.3           // for each of the first inches in sight that run neither along x nor along y ...
#define ODD_FIRST_IN 2.0     // ... (nor straight across a stroke), so that a slight tilt costs as well, and ...
#define ODD_SHARE 0.1        // ... of all inches that do ...
#define ODD_ANGLE_UM 2       // ... by more than its ends are rounded
#define OPEN_SLIT_IN 4.0     // a wanted seam that has one piece on both sides, for each look at it
#define SAMPLE_MM 6.0        // between places where the distance to the outline is looked at; ...
#define SHUNNED_SAMPLE_MM 2.0 // ... where a neck is to go
#define WEDGE_SHARE 0.35     // a seam leaves the outline at no less than 20 degrees: 0.35 of the way along it

static double box_diagonal_mm(const NetFace *piece)
{
    Box box = box_empty();
    for (int i = 0; i < piece->hull_count; i++) box_add(&box, piece->hull[i]);
    return point_distance_mm(box.min, box.max);
}

bool judge_is_sliver(const NetFace *piece, double longest_seam_mm, const SeamOptions *options)
{
    // Area is at most width x length, so most pieces need no closer look.
    double length = box_diagonal_mm(piece);
    if (piece->area_mm2 > options->least_wide_mm * length && length > 2.0 * options->least_long_mm) return false;
    if (hull_diameter_mm(piece->hull, piece->hull_count) < options->least_long_mm) return true;
    double width = hull_width_mm(piece->hull, piece->hull_count);
    return width < options->least_wide_mm && longest_seam_mm > 1.5 * width;
}

// The longest stretch of a seam laid before (an edge of a group of pieces) that lies beside this piece.
static double longest_border_mm(const Part *part, const Net *net, const Joined *joined, int piece)
{
    double longest = 0.0;
    for (int e = 0; e < part->count; e++) {
        if (part->chain[e] >= 0) continue;
        double length = point_distance_mm(part->points[e], part->points[part->next[e]]);
        for (double from = 0.0, to; length > longest && from < 1.0; from = to) {
            to = 1.0;
            for (int n = 0; n < net->node_count; n++)
                if (net->nodes[n].edge == e && net->nodes[n].along > from) to = fmin(to, net->nodes[n].along);
            int face = faces_at(part, net, e, 0.5 * (from + to));
            if (face >= 0 && joined->piece_of[face] == piece) longest = fmax(longest, (to - from) * length);
        }
    }
    return longest;
}

static bool count_slivers(const Part *part, const Net *net, const Joined *joined, const SeamOptions *options, Arena *scratch, int *out,
                          Error *err)
{
    double *longest = arena_new(scratch, double, joined->piece_count);
    if (!longest) return error_memory(err);
    for (int i = 0; i < net->segment_count; i++) {
        if (!joined_keeps(net, joined, i)) continue;
        for (int side = 0; side < 2; side++) {
            double *held = &longest[joined->piece_of[net->segments[i].face[side]]];
            if (net->segments[i].length_mm > *held) *held = net->segments[i].length_mm;
        }
    }
    *out = 0;
    for (int i = 0; i < joined->piece_count; i++) {
        const NetFace *piece = &joined->pieces[i];
        if (!judge_is_sliver(piece, INFINITY, options)) continue; // whatever seam it has
        *out += judge_is_sliver(piece, fmax(longest[i], longest_border_mm(part, net, joined, i)), options);
    }
    return true;
}

static Point between(Point a, Point b, double t)
{
    return (Point){a.x + (int32_t)((b.x - a.x) * t), a.y + (int32_t)((b.y - a.y) * t)};
}

// Where a seam runs so close to the outline that a narrow strip is left beside it. Next to an end on the outline only
// a flat angle counts.
static double narrow_penalty(const NetGround *ground, const Net *net, const NetSegment *segment, double least_mm)
{
    const NetNode *a = &net->nodes[segment->a], *b = &net->nodes[segment->b];
    double sample_mm = ground->shuns_necks ? SHUNNED_SAMPLE_MM : SAMPLE_MM, penalty = 0.0;
    int samples = (int)(segment->length_mm / sample_mm);
    bool narrow = false;
    for (int i = 1; i <= samples; i++) {
        double way = segment->length_mm * i / (samples + 1), rest = segment->length_mm - way, limit = least_mm;
        if (a->edge >= 0 && WEDGE_SHARE * way < limit) limit = WEDGE_SHARE * way;
        if (b->edge >= 0 && WEDGE_SHARE * rest < limit) limit = WEDGE_SHARE * rest;
        double distance = cover_distance_mm(ground->outline, between(a->at, b->at, way / segment->length_mm), limit);
        bool here = distance < limit;
        if (here && !narrow) penalty += NARROW_RUN_IN;
        if (here) penalty += NARROW_PER_IN * sample_mm / 25.4;
        narrow = here;
    }
    return ground->shuns_necks ? SHUNNED * penalty : penalty;
}

static bool is_seen(const NetSegment *segment)
{
    return segment->visible_mm > 0.5 * segment->length_mm;
}

double judge_bend_in(const NetSegment *a, const NetSegment *b)
{
    return is_seen(a) && is_seen(b) ? BEND_IN : 0.1 * BEND_IN;
}

static double junction_penalty(const Net *net, const Joined *joined, const NetNode *node)
{
    int kept[4], count = 0;
    bool visible = true;
    for (int i = 0; i < 4; i++) {
        if (node->leaving[i] < 0 || !joined_keeps(net, joined, node->leaving[i] / 2)) continue;
        visible &= is_seen(&net->segments[node->leaving[i] / 2]);
        kept[count++] = node->leaving[i];
    }
    // On a joint of a group two more seams meet that are not in this net.
    if (count + (node->at_joint ? 2 : 0) == 4) return visible ? FOUR_MEET_IN : 0.5 * FOUR_MEET_IN;
    if (count != 2) return 0.0;
    Point from = net->nodes[net_half_end(net, kept[0])].at, to = net->nodes[net_half_end(net, kept[1])].at;
    if (points_run_straight(from, node->at, to)) return 0.0;
    return judge_bend_in(&net->segments[kept[0] / 2], &net->segments[kept[1] / 2]);
}

// A seam that ends on one that was laid before, near to where that one ends or is met from its other side.
static double near_end_penalty(const Part *part, const Net *net, const NetSegment *segment, int end)
{
    const NetNode *node = &net->nodes[end];
    if (node->edge < 0 || node->at_joint || part->chain[node->edge] >= 0) return 0.0;
    Point a = part->points[node->edge], b = part->points[part->next[node->edge]];
    if (point_distance_mm(node->at, a) >= JOG_MM && point_distance_mm(node->at, b) >= JOG_MM) return 0.0;
    return is_seen(segment) ? SHORT_JOG_IN : 0.5 * SHORT_JOG_IN;
}

double judge_odd_in(double visible_mm)
{
    double inches = visible_mm / 25.4;
    return ODD_IN * (inches < ODD_FIRST_IN ? inches : ODD_FIRST_IN) + ODD_SHARE * inches;
}

// A seam that lies straight across a stroke has the stroke's direction, whatever that is.
static bool runs_oddly(const Net *net, const NetSegment *segment)
{
    const NetNode *a = &net->nodes[segment->a], *b = &net->nodes[segment->b];
    if (abs(a->at.x - b->at.x) <= ODD_ANGLE_UM || abs(a->at.y - b->at.y) <= ODD_ANGLE_UM) return false;
    return a->edge < 0 || b->edge < 0 || segment->slant[0] > ENDS_SQUARE_SIN || segment->slant[1] > ENDS_SQUARE_SIN;
}

double judge_slant_in(double slant)
{
    return slant > ENDS_SQUARE_SIN ? SLANT_IN + SLANT_PER_COS * slant : 0.0;
}

bool judge_division(const NetGround *ground, const Net *net, const Joined *joined, const SeamOptions *options, Arena *scratch, Judgement *out, Error *err)
{
    *out = (Judgement){.pieces = joined->piece_count};
    for (int i = 0; i < net->segment_count; i++) {
        if (!joined_keeps(net, joined, i)) continue;
        const NetSegment *segment = &net->segments[i];
        out->visible_in += segment->visible_mm / 25.4;
        out->hidden_in += (segment->length_mm - segment->visible_mm) / 25.4;
        out->penalty_in += narrow_penalty(ground, net, segment, options->least_neck_mm);
        out->penalty_in += segment->avoid_in;
        out->penalty_in += judge_slant_in(segment->slant[0]) + judge_slant_in(segment->slant[1]);
        if (runs_oddly(net, segment))
            out->penalty_in += judge_odd_in(segment->visible_mm);
        bool jog = segment->length_mm < JOG_MM && net->nodes[segment->a].edge < 0 && net->nodes[segment->b].edge < 0;
        if (jog) out->penalty_in += is_seen(segment) ? SHORT_JOG_IN : 0.5 * SHORT_JOG_IN;
        out->penalty_in += near_end_penalty(ground->part, net, segment, segment->a);
        out->penalty_in += near_end_penalty(ground->part, net, segment, segment->b);
    }
    for (int i = 0; i < net->node_count; i++)
        if (net->nodes[i].edge < 0 || net->nodes[i].at_joint) out->penalty_in += junction_penalty(net, joined, &net->nodes[i]);
    if (!count_slivers(ground->part, net, joined, options, scratch, &out->slivers, err)) return false;
    out->penalty_in += SLIVER_IN * out->slivers;
    for (int i = 0; i < net->slit_count; i++) {
        const int *face = net->slits[i].face;
        bool open = face[0] < 0 || face[1] < 0 || joined->piece_of[face[0]] == joined->piece_of[face[1]];
        if (open) out->penalty_in += OPEN_SLIT_IN;
    }
    out->cost_in = out->visible_in + options->hidden_weight * out->hidden_in + options->piece_weight * out->pieces +
                   out->penalty_in;
    return true;
}

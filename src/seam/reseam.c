// reseam.c - see reseam.h.
#include "seam/reseam.h"

#include "seam/course.h"
#include "seam/faces.h"

#define LEAST_SEEN_IN 0.3 // a seam of which less is seen is as good as it gets
#define ROUGHLY_IN 0.6    // a rough course that is dearer by more is never made cheap enough by moving it a little

typedef struct Reseam {
    const NetGround *ground;
    const Net *old;
    const double *joint_in;
    double below_in;
    const SeamOptions *options;
    Work *work;
    Course courses[ROUGH_MOST];
    int count;
} Reseam;

// ---- carrying out ----

static double joints_of(const Reseam *r)
{
    double sum = 0.0;
    for (int i = 0; i < r->count; i++)
        for (int end = 0; end < 2; end++)
            if (r->courses[i].end[end].along == 0.0) sum += r->joint_in[r->courses[i].end[end].edge];
    return sum;
}

static void add_segment(Net *net, int a, int b)
{
    int s = net->segment_count++;
    net->segments[s] = (NetSegment){.a = a, .b = b, .face = {-1, -1}};
    net->segments[s].length_mm = point_distance_mm(net->nodes[a].at, net->nodes[b].at);
    for (int end = 0; end < 2; end++) {
        NetNode *node = &net->nodes[end ? b : a];
        node->leaving[node->leaving[0] >= 0] = 2 * s + end;
    }
}

static void add_course(const Reseam *r, Net *net, const Course *course)
{
    int first = net->node_count;
    for (int i = 0; i < course->bend_count + 2; i++) {
        NetNode node = {.edge = -1, .leaving = {-1, -1, -1, -1}, .next_on_ring = -1};
        if (i > 0 && i <= course->bend_count) {
            node.at = course->bends[i - 1];
        } else {
            const CourseEnd *end = &course->end[i > 0];
            node.at = end->at;
            node.edge = end->edge;
            node.along = end->along;
            node.at_joint = end->along == 0.0 && r->joint_in[end->edge] > 0.0;
        }
        net->nodes[net->node_count++] = node;
        if (i > 0) add_segment(net, first + i - 1, first + i);
    }
}

static bool carry_out(const Reseam *r, Arena *keep, Net *net, Joined *joined, double *out_cost_in, Error *err)
{
    Judgement judgement;
    int most = r->count * (COURSE_BENDS + 2);
    *net = (Net){.nodes = arena_new(keep, NetNode, most), .segments = arena_new(keep, NetSegment, most)};
    *joined = (Joined){.piece_of = arena_new(keep, int, 2), .piece_count = 2};
    if (!net->nodes || !net->segments || !joined->piece_of) return error_memory(err);
    for (int i = 0; i < r->count; i++) add_course(r, net, &r->courses[i]);
    if (!faces_find(r->ground, net, keep, err)) return false;
    net->usable = net->usable && net->face_count == 2;
    if (!net->usable) return true;
    joined->pieces = net->faces;
    joined->piece_of[1] = 1;
    if (!faces_measure(r->ground, net, keep, err)) return false;
    if (!judge_division(r->ground, net, joined, r->options, keep, &judgement, err)) return false;
    *out_cost_in = judgement.cost_in - joints_of(r);
    return true;
}

// ---- finding ----

static double visible_in(const Net *net)
{
    double sum = 0.0;
    for (int i = 0; i < net->segment_count; i++) sum += net->segments[i].visible_mm / 25.4;
    return sum;
}

static bool lay_courses(Reseam *r, const Overlap *overlap, bool *laid, Error *err)
{
    Rough roughs[ROUGH_MOST];
    Arena *scratch = &r->work->scratch;
    double left_in = r->below_in - 2.0 * r->options->piece_weight;
    int count;
    if (!rough_trace(overlap, scratch, roughs, &count, laid, err)) return false;
    r->count = 0;
    for (int i = 0; i < count && *laid; i++) {
        if (!course_find(r->ground, overlap, &roughs[i], r->joint_in, left_in, r->options, scratch, &r->courses[i], laid, err))
            return false;
        left_in -= r->courses[i].cost_in;
        r->count++;
    }
    return true;
}

static bool find_courses(Reseam *r, bool *laid, Error *err)
{
    Overlap overlap;
    Arena *scratch = &r->work->scratch;
    const SeamOptions *options = r->options;
    double most_in = r->below_in - 2.0 * options->piece_weight + ROUGHLY_IN;
    if (!overlap_make(r->ground, r->old->faces, r->joint_in, options->least_neck_mm, scratch, &overlap, laid, err)) return false;
    if (*laid && !overlap_share(&overlap, options->hidden_weight, most_in, r->work, laid, err)) return false;
    return !*laid || lay_courses(r, &overlap, laid, err);
}

bool reseam_divide(const NetGround *ground, const Net *old, const double *joint_in, double below_in,
                   const SeamOptions *options, Arena *keep, Work *work, Net *out_net, Joined *out_joined,
                   double *out_cost_in, bool *found, Error *err)
{
    Reseam r = {.ground = ground, .old = old, .joint_in = joint_in, .below_in = below_in, .options = options, .work = work};
    ArenaMark mark = arena_mark(&work->scratch);
    *found = false;
    if (old->face_count != 2 || visible_in(old) < LEAST_SEEN_IN) return true;
    bool laid, fine = find_courses(&r, &laid, err);
    if (fine && laid) fine = carry_out(&r, keep, out_net, out_joined, out_cost_in, err);
    *found = fine && laid && out_net->usable && *out_cost_in < below_in;
    arena_rewind(&work->scratch, mark);
    return fine;
}

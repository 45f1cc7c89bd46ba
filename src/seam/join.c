// join.c - see join.h.
#include "seam/join.h"

#include <math.h>
#include <stdlib.h>

typedef struct Pair { // two neighbours and all of the seam between them
    int a, b;         // faces that stand for their pieces, a < b
    double cost_in;
    double longest_mm;     // longest single segment
    bool between_outlines; // that segment runs from outline to outline: as wide as the drawing is there
    bool refused;
} Pair;

typedef struct Joining {
    const NetGround *ground;
    const Net *net;
    const SeamOptions *options;
    JoinWay way;
    NetFace *faces;
    int *stands_for; // by face: the face that stands for its piece
    Pair *pairs;
    int pair_count;
    Arena *scratch;
} Joining;

static double segment_cost_in(const NetSegment *segment, const SeamOptions *options)
{
    return (segment->visible_mm + options->hidden_weight * (segment->length_mm - segment->visible_mm)) / 25.4 +
           segment->avoid_in;
}

static int compare_pairs(const void *pa, const void *pb)
{
    const Pair *a = pa, *b = pb;
    if (a->a != b->a) return a->a - b->a;
    if (a->b != b->b) return a->b - b->b;
    if (a->longest_mm != b->longest_mm) return a->longest_mm > b->longest_mm ? -1 : 1;
    if (a->between_outlines != b->between_outlines) return a->between_outlines ? -1 : 1;
    return (a->cost_in > b->cost_in) - (a->cost_in < b->cost_in);
}

// Sorts the pairs and makes one of all that name the same two pieces.
static void gather_pairs(Joining *j)
{
    int n = 0;
    if (j->pair_count) qsort(j->pairs, (size_t)j->pair_count, sizeof *j->pairs, compare_pairs);
    for (int i = 0; i < j->pair_count; i++) {
        Pair *last = n ? &j->pairs[n - 1] : NULL;
        if (last && last->a == j->pairs[i].a && last->b == j->pairs[i].b) {
            last->cost_in += j->pairs[i].cost_in;
            last->refused &= j->pairs[i].refused;
        } else {
            j->pairs[n++] = j->pairs[i];
        }
    }
    j->pair_count = n;
}

static bool start(Joining *j, const Net *net, Error *err)
{
    j->faces = arena_copy(j->scratch, net->faces, (size_t)net->face_count, sizeof *net->faces);
    j->stands_for = arena_new(j->scratch, int, net->face_count);
    j->pairs = arena_new(j->scratch, Pair, net->segment_count);
    if (!j->faces || !j->stands_for || !j->pairs) return error_memory(err);
    for (int i = 0; i < net->face_count; i++) j->stands_for[i] = i;
    for (int i = 0; i < net->segment_count; i++) {
        const NetSegment *s = &net->segments[i];
        int a = s->face[0] < s->face[1] ? s->face[0] : s->face[1], b = s->face[0] + s->face[1] - a;
        if (a == b) continue;
        bool free_ends = net->nodes[s->a].edge >= 0 && net->nodes[s->b].edge >= 0;
        j->pairs[j->pair_count++] = (Pair){a, b, segment_cost_in(s, j->options), s->length_mm, free_ends, false};
    }
    gather_pairs(j);
    return true;
}

static double urgency(const Joining *j, const Pair *pair)
{
    double cost = pair->cost_in + j->options->piece_weight;
    if (j->way != JOIN_SMALLEST) return cost;
    double a = j->faces[pair->a].area_mm2, b = j->faces[pair->b].area_mm2;
    return cost / sqrt(a < b ? a : b);
}

static Pair *most_urgent(const Joining *j)
{
    Pair *best = NULL;
    double best_urgency = -1.0;
    for (int i = 0; i < j->pair_count; i++) {
        if (j->pairs[i].refused) continue;
        double here = urgency(j, &j->pairs[i]);
        if (here > best_urgency) {
            best_urgency = here;
            best = &j->pairs[i];
        }
    }
    return best;
}

// A seam that is there already would lie inside the joined piece.
static bool closes_slit(const Joining *j, const Pair *pair)
{
    for (int i = 0; i < j->net->slit_count; i++) {
        const int *face = j->net->slits[i].face;
        if (face[0] < 0 || face[1] < 0) continue;
        int a = j->stands_for[face[0]], b = j->stands_for[face[1]];
        if ((a == pair->a && b == pair->b) || (a == pair->b && b == pair->a)) return true;
    }
    return false;
}

// Whether the two make one sound piece that fits; its hull is put in *out.
static bool fits_joined(const Joining *j, const Pair *pair, NetFace *out, bool *memory)
{
    const NetFace *a = &j->faces[pair->a], *b = &j->faces[pair->b];
    Space space = j->ground->space;
    // Joined across a short seam that is not the whole width of the drawing, the piece would hang by a neck.
    if (pair->longest_mm < j->options->least_neck_mm && !pair->between_outlines) return false;
    if (closes_slit(j, pair)) return false;
    out->area_mm2 = a->area_mm2 + b->area_mm2;
    if (out->area_mm2 > space.width_mm * space.height_mm) return false;
    ArenaMark mark = arena_mark(j->scratch);
    Point *points = arena_new(j->scratch, Point, a->hull_count + b->hull_count);
    *memory = points != NULL;
    if (!points) return false;
    for (int i = 0; i < a->hull_count; i++) points[i] = a->hull[i];
    for (int i = 0; i < b->hull_count; i++) points[a->hull_count + i] = b->hull[i];
    out->hull = hull_make(points, a->hull_count + b->hull_count, j->scratch, &out->hull_count);
    *memory = out->hull != NULL;
    bool fits = out->hull && memo_fits(j->ground->memo, out->hull, out->hull_count);
    if (!fits) arena_rewind(j->scratch, mark);
    return fits;
}

static void join(Joining *j, const Pair *pair, const NetFace *made, int face_count)
{
    int a = pair->a, b = pair->b, n = 0;
    j->faces[a] = *made;
    for (int i = 0; i < face_count; i++)
        if (j->stands_for[i] == b) j->stands_for[i] = a;
    for (int i = 0; i < j->pair_count; i++) {
        Pair p = j->pairs[i];
        if (p.a == a && p.b == b) continue;
        if (p.a == b) p.a = a;
        if (p.b == b) p.b = a;
        if (p.a > p.b) {
            int swap = p.a;
            p.a = p.b;
            p.b = swap;
        }
        // A pair that did not fit does not fit when one of its pieces has grown.
        j->pairs[n++] = p;
    }
    j->pair_count = n;
    gather_pairs(j);
}

static bool write_pieces(const Joining *j, int face_count, Joined *out, Error *err)
{
    int *number = arena_new(j->scratch, int, face_count);
    out->piece_of = arena_new(j->scratch, int, face_count);
    out->pieces = arena_new(j->scratch, NetFace, face_count);
    if (!number || !out->piece_of || !out->pieces) return error_memory(err);
    for (int i = 0; i < face_count; i++) {
        int stands = j->stands_for[i];
        if (stands == i) {
            number[i] = out->piece_count;
            out->pieces[out->piece_count++] = j->faces[i];
        }
        out->piece_of[i] = number[stands];
    }
    return true;
}

bool net_join(const NetGround *ground, const Net *net, const SeamOptions *options, JoinWay way, Arena *scratch,
              Work *work, Joined *out, Error *err)
{
    Joining j = {.ground = ground, .net = net, .options = options, .way = way, .scratch = scratch};
    *out = (Joined){0};
    if (!start(&j, net, err)) return false;
    for (Pair *pair; way != JOIN_NONE && (pair = most_urgent(&j)) != NULL;) {
        NetFace made;
        bool memory = true;
        if (!work_goes_on(work, err)) return false;
        if (fits_joined(&j, pair, &made, &memory))
            join(&j, &(Pair){.a = pair->a, .b = pair->b}, &made, net->face_count);
        else if (!memory)
            return error_memory(err);
        else
            pair->refused = true;
    }
    return write_pieces(&j, net->face_count, out, err);
}

bool joined_keeps(const Net *net, const Joined *joined, int segment)
{
    const int *face = net->segments[segment].face;
    return joined->piece_of[face[0]] != joined->piece_of[face[1]];
}

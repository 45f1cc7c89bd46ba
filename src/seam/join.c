// join.c - see join.h.
#include "seam/join.h"

#include <math.h>
#include <stdlib.h>

#define SPARE_MM 0.01 // far more than a sheet that just fits is rounded by

typedef struct Pair { // two neighbours and all of the seam between them
    int a, b;         // faces that stand for their pieces, a < b
    double cost_in;
    double longest_mm;     // longest single segment
    bool between_outlines; // that segment runs from outline to outline: as wide as the drawing is there
    bool refused;
    bool gone;             // joined, or one with another pair
    int turn;              // counts changes: what the heap says of earlier ones is out of date
    int next[2];           // the next pair of a, and of b; -1 at the end
} Pair;

typedef struct Wait { // in the heap: most urgent first, ties by faces
    double urgency;
    int a, b, pair, turn;
} Wait;

typedef struct Joining {
    const NetGround *ground;
    const Net *net;
    const SeamOptions *options;
    JoinWay way;
    NetFace *faces;
    int *stands_for; // by face: the face that stands for its piece
    int *next_of;    // by face: the next one of the same piece, or -1
    int *last_of;    // by face that stands: the last one of its piece
    int *first_pair; // by face that stands, or -1
    int *pair_with;  // by face: of a face in hand; -1 between uses
    Pair *pairs;
    int pair_count;
    Wait *heap;
    size_t heap_count, heap_capacity;
    Arena *scratch;
} Joining;

static double segment_cost_in(const NetSegment *segment, const SeamOptions *options)
{
    return (segment->visible_mm + options->hidden_weight * (segment->length_mm - segment->visible_mm)) / 25.4 +
           segment->avoid_in;
}

static int compare_seams(const Pair *a, const Pair *b)
{
    if (a->longest_mm != b->longest_mm) return a->longest_mm > b->longest_mm ? -1 : 1;
    if (a->between_outlines != b->between_outlines) return a->between_outlines ? -1 : 1;
    return (a->cost_in > b->cost_in) - (a->cost_in < b->cost_in);
}

static int compare_pairs(const void *pa, const void *pb)
{
    const Pair *a = pa, *b = pb;
    if (a->a != b->a) return a->a - b->a;
    if (a->b != b->b) return a->b - b->b;
    return compare_seams(a, b);
}

// Sorts the pairs and makes one of all that name the same two pieces.
static void gather_pairs(Joining *j)
{
    int n = 0;
    if (j->pair_count) qsort(j->pairs, (size_t)j->pair_count, sizeof *j->pairs, compare_pairs);
    for (int i = 0; i < j->pair_count; i++) {
        Pair *last = n ? &j->pairs[n - 1] : NULL;
        if (last && last->a == j->pairs[i].a && last->b == j->pairs[i].b)
            last->cost_in += j->pairs[i].cost_in;
        else
            j->pairs[n++] = j->pairs[i];
    }
    j->pair_count = n;
}

// ---- the heap ----

static bool goes_before(const Wait *a, const Wait *b)
{
    if (a->urgency != b->urgency) return a->urgency > b->urgency;
    if (a->a != b->a) return a->a < b->a;
    return a->b < b->b;
}

static double urgency(const Joining *j, const Pair *pair)
{
    double cost = pair->cost_in + j->options->piece_weight;
    if (j->way != JOIN_SMALLEST) return cost;
    double a = j->faces[pair->a].area_mm2, b = j->faces[pair->b].area_mm2;
    return cost / sqrt(a < b ? a : b);
}

static bool heap_push(Joining *j, int index, Error *err)
{
    const Pair *pair = &j->pairs[index];
    Wait *heap = arena_grow(j->scratch, j->heap, j->heap_count, &j->heap_capacity, sizeof *heap);
    if (!heap) return error_memory(err);
    j->heap = heap;
    Wait put = {urgency(j, pair), pair->a, pair->b, index, pair->turn};
    size_t at = j->heap_count++;
    for (; at > 0 && goes_before(&put, &heap[(at - 1) / 2]); at = (at - 1) / 2) heap[at] = heap[(at - 1) / 2];
    heap[at] = put;
    return true;
}

static Wait heap_pop(Joining *j)
{
    Wait *heap = j->heap, top = heap[0], put = heap[--j->heap_count];
    size_t at = 0, count = j->heap_count;
    for (size_t below; (below = 2 * at + 1) < count; at = below) {
        if (below + 1 < count && goes_before(&heap[below + 1], &heap[below])) below++;
        if (!goes_before(&heap[below], &put)) break;
        heap[at] = heap[below];
    }
    if (count > 0) heap[at] = put;
    return top;
}

static Pair *most_urgent(Joining *j)
{
    while (j->heap_count > 0) {
        Wait top = heap_pop(j);
        Pair *pair = &j->pairs[top.pair];
        if (!pair->gone && !pair->refused && pair->turn == top.turn) return pair;
    }
    return NULL;
}

// ---- pieces and their pairs ----

static void list_pair(Joining *j, int index)
{
    Pair *pair = &j->pairs[index];
    pair->next[0] = j->first_pair[pair->a];
    pair->next[1] = j->first_pair[pair->b];
    j->first_pair[pair->a] = j->first_pair[pair->b] = index;
}

static int next_pair(const Joining *j, int index, int face)
{
    return j->pairs[index].next[j->pairs[index].b == face];
}

static bool start(Joining *j, const Net *net, Error *err)
{
    int count = net->face_count;
    j->faces = arena_copy(j->scratch, net->faces, (size_t)count, sizeof *net->faces);
    j->pairs = arena_new(j->scratch, Pair, net->segment_count);
    int *lists = arena_new(j->scratch, int, 5 * (size_t)count);
    if (!j->faces || !j->pairs || !lists) return error_memory(err);
    j->stands_for = lists, j->next_of = lists + count, j->last_of = lists + 2 * (size_t)count;
    j->first_pair = lists + 3 * (size_t)count, j->pair_with = lists + 4 * (size_t)count;
    for (int i = 0; i < count; i++) {
        j->stands_for[i] = j->last_of[i] = i;
        j->next_of[i] = j->first_pair[i] = j->pair_with[i] = -1;
    }
    for (int i = 0; i < net->segment_count; i++) {
        const NetSegment *s = &net->segments[i];
        int a = s->face[0] < s->face[1] ? s->face[0] : s->face[1], b = s->face[0] + s->face[1] - a;
        if (a == b) continue;
        bool free_ends = net->nodes[s->a].edge >= 0 && net->nodes[s->b].edge >= 0;
        j->pairs[j->pair_count++] = (Pair){.a = a, .b = b, .cost_in = segment_cost_in(s, j->options),
                                           .longest_mm = s->length_mm, .between_outlines = free_ends};
    }
    gather_pairs(j);
    for (int i = 0; i < j->pair_count; i++) list_pair(j, i);
    for (int i = 0; i < j->pair_count && j->way != JOIN_NONE; i++)
        if (!heap_push(j, i, err)) return false;
    return true;
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

static Box hull_box(const NetFace *face)
{
    Box box = box_empty();
    for (int i = 0; i < face->hull_count; i++) box_add(&box, face->hull[i]);
    return box;
}

// Together they reach farther along x or y than a sheet does corner to corner: no hull is needed to tell.
static bool is_too_long(const NetFace *a, const NetFace *b, Space space)
{
    Box both = hull_box(a), other = hull_box(b);
    box_add(&both, other.min);
    box_add(&both, other.max);
    double most = space.width_mm * space.width_mm + space.height_mm * space.height_mm;
    double wide = box_width_mm(both) - SPARE_MM, high = box_height_mm(both) - SPARE_MM;
    return wide * wide > most || high * high > most;
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
    if (out->area_mm2 > space.width_mm * space.height_mm || is_too_long(a, b, space)) return false;
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

static void take_members(Joining *j, int a, int b)
{
    for (int face = b; face >= 0; face = j->next_of[face]) j->stands_for[face] = a;
    j->next_of[j->last_of[a]] = b;
    j->last_of[a] = j->last_of[b];
}

// Two pairs that name the same two pieces become one. One that did not fit alone is looked at again with the other.
static void merge_pairs(Pair *kept, Pair *other)
{
    const Pair *first = compare_seams(kept, other) <= 0 ? kept : other;
    double longest_mm = first->longest_mm;
    bool between_outlines = first->between_outlines;
    kept->cost_in += other->cost_in;
    kept->longest_mm = longest_mm;
    kept->between_outlines = between_outlines;
    kept->refused &= other->refused;
    other->gone = true;
}

// What was a pair of b is one of a. Pairs that did not fit stay refused: they do not fit when one piece has grown.
static void take_pairs(Joining *j, int a, int b)
{
    int from_a = j->first_pair[a], from_b = j->first_pair[b];
    j->first_pair[a] = j->first_pair[b] = -1;
    for (int side = 0; side < 2; side++) {
        int face = side ? b : a, next;
        for (int at = side ? from_b : from_a; at >= 0; at = next) {
            Pair *pair = &j->pairs[at];
            next = next_pair(j, at, face);
            int other = pair->a == face ? pair->b : pair->a;
            if (pair->gone || other == a || other == b) {
                pair->gone = true;
            } else if (j->pair_with[other] >= 0) {
                merge_pairs(&j->pairs[j->pair_with[other]], pair);
            } else {
                int along = pair->next[pair->a == face]; // in the other's list
                pair->a = a < other ? a : other;
                pair->b = a < other ? other : a;
                pair->next[a > other] = j->first_pair[a];
                pair->next[a < other] = along;
                j->first_pair[a] = j->pair_with[other] = at;
            }
        }
    }
}

static bool join(Joining *j, int a, int b, const NetFace *made, Error *err)
{
    j->faces[a] = *made;
    take_members(j, a, b);
    take_pairs(j, a, b);
    for (int at = j->first_pair[a]; at >= 0; at = next_pair(j, at, a)) {
        Pair *pair = &j->pairs[at];
        j->pair_with[pair->a == a ? pair->b : pair->a] = -1;
        pair->turn++;
        if (!pair->refused && !heap_push(j, at, err)) return false;
    }
    return true;
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
        bool fits = fits_joined(&j, pair, &made, &memory);
        if (!memory) return error_memory(err);
        pair->refused = !fits;
        if (fits && !join(&j, pair->a, pair->b, &made, err)) return false;
    }
    return write_pieces(&j, net->face_count, out, err);
}

bool joined_keeps(const Net *net, const Joined *joined, int segment)
{
    const int *face = net->segments[segment].face;
    return joined->piece_of[face[0]] != joined->piece_of[face[1]];
}

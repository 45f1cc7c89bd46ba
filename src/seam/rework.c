// rework.c - see rework.h.
#include "seam/rework.h"

#include "base/rng.h"
#include "seam/choose.h"
#include "seam/chord.h"
#include "seam/faces.h"
#include "seam/group.h"
#include "seam/necks.h"
#include "seam/reseam.h"
#include "seam/splice.h"

#include <string.h>

#define MOST_TOGETHER 5  // pieces; more are as good as the whole part, which has been divided already
#define LEAST_GAIN_IN 0.02
#define CHORD_FROM_IN 0.5 // a seam that costs less is hidden, or as short as the stroke is wide
#define CHORD_GAIN_IN 0.1 // many chords are a little better than many others
#define SEED 20261126
#define CHORD_KEY 0x5851f42d4c957f2du // pairs are noted apart from groups
#define RESEAM_KEY 0x14057b7ef767814fu
#define CHORDS_A_PIECE 8
#define PAIR_ROUNDS 2 // a third finds next to nothing
#define HELD_PIECES 400 // of a part with more, steps are not held to the whole: that takes time as the square of them
#define STACKED_TRIES 4
#define NECK_TRIES 12
#define STACKED_FROM_MM 3.0 // less of a seam along one above is where they cross
enum { SLOTS = 1 << 12 }; // of groups that were tried in vain

typedef enum Way { WAY_LINES, WAY_CHORD, WAY_RESEAM } Way; // how pieces taken together are divided anew

typedef struct Rework {
    const NetGround *ground;
    const SeamOptions *options;
    Arena *keep;
    Work *work;
    Arena store; // of one try, beside the scratch memory that a search rewinds
    Rng rng;
    Net net;
    bool settles;   // only seams along those above are shifted
    double cost_in; // of the whole net, while pairs are parted
    int *ring_piece;
    bool *inside; // by face
    Necks necks;
    uint64_t *vain;
    int vain_count;
} Rework;

// ---- which pieces ----

static double weight_of(const Rework *r, const NetSegment *segment)
{
    double hidden_mm = segment->length_mm - segment->visible_mm;
    return 0.5 + segment->visible_mm / 25.4 + r->options->hidden_weight * hidden_mm / 25.4 + segment->avoid_in;
}

// A segment by chance, dear ones more often: any, or one with a piece of the group on one side only. -1 for none.
static int pick_segment(Rework *r, bool on_border)
{
    double sum = 0.0, at;
    for (int pass = 0; pass < 2; pass++) {
        at = pass ? rng_unit(&r->rng) * sum : 0.0;
        for (int s = 0; s < r->net.segment_count; s++) {
            const NetSegment *segment = &r->net.segments[s];
            if (on_border && r->inside[segment->face[0]] == r->inside[segment->face[1]]) continue;
            if (pass == 0) sum += weight_of(r, segment);
            else if ((at -= weight_of(r, segment)) <= 0.0) return s;
        }
        if (sum == 0.0) return -1;
    }
    return -1;
}

static int pick_group(Rework *r, int first)
{
    memset(r->inside, 0, (size_t)r->net.face_count * sizeof *r->inside);
    int want = 2 + (int)rng_below(&r->rng, MOST_TOGETHER - 1), count = 0;
    for (int s = first; s >= 0; s = count < want ? pick_segment(r, true) : -1) {
        for (int side = 0; side < 2; side++) {
            int face = r->net.segments[s].face[side];
            count += !r->inside[face];
            r->inside[face] = true;
        }
    }
    return count;
}

static uint64_t mix(uint64_t h)
{
    h = (h ^ h >> 30) * 0xbf58476d1ce4e5b9u; // SplitMix64, see base/rng.h
    h = (h ^ h >> 27) * 0x94d049bb133111ebu;
    return h ^ h >> 31;
}

// The same for the same pieces, whatever their numbers.
static uint64_t group_key(const Rework *r)
{
    uint64_t key = 0;
    for (int f = 0; f < r->net.face_count; f++) {
        if (!r->inside[f]) continue;
        const NetFace *face = &r->net.faces[f];
        uint64_t h = (uint64_t)face->hull_count;
        for (int i = 0; i < face->hull_count; i++)
            h = mix(h ^ ((uint64_t)(uint32_t)face->hull[i].x << 32 | (uint32_t)face->hull[i].y));
        key += h;
    }
    return key ? key : 1;
}

// Notes the group; true when it had been noted before.
static bool is_vain(Rework *r, uint64_t key)
{
    size_t slot = (size_t)(key % SLOTS);
    while (r->vain[slot] != 0 && r->vain[slot] != key) slot = (slot + 1) % SLOTS;
    if (r->vain[slot] == key) return true;
    if (r->vain_count < SLOTS / 2) {
        r->vain[slot] = key;
        r->vain_count++;
    }
    return false;
}

// ---- one try ----

static bool each_face_a_piece(const Net *net, Arena *keep, Joined *out, Error *err)
{
    *out = (Joined){arena_new(keep, int, net->face_count), net->faces, net->face_count};
    if (!out->piece_of) return error_memory(err);
    for (int i = 0; i < net->face_count; i++) out->piece_of[i] = i;
    return true;
}

static bool judge_faces(const NetGround *ground, const Net *net, const SeamOptions *options, Arena *scratch,
                        Judgement *out, Error *err)
{
    Joined joined;
    return each_face_a_piece(net, scratch, &joined, err) &&
           judge_division(ground, net, &joined, options, scratch, out, err);
}

static int count_necks(const Rework *r)
{
    int count = 0;
    for (int f = 0; f < r->net.face_count; f++) count += r->inside[f] ? r->necks.by_face[f] : 0;
    return count;
}

// The part's own outline, to keep clear of; and what hides seams there.
static bool prepare_ground(const Rework *r, const Group *group, bool by_chord, NetGround *ground, Cover *outline,
                           Hiding *hiding, Error *err)
{
    const Part *part = &group->part;
    Arena *scratch = &r->work->scratch;
    Rings rings = {arena_new(scratch, Ring, part->ring_count), part->ring_count};
    if (!rings.items) return error_memory(err);
    for (int i = 0; i < part->ring_count; i++)
        rings.items[i] = (Ring){part->points + part->first[i], part->first[i + 1] - part->first[i]};
    *ground = *r->ground;
    ground->part = part;
    ground->outline = outline;
    ground->hiding = hiding;
    ground->shuns_necks = count_necks(r) > 0;
    if (!cover_make(&rings, scratch, outline, err)) return false;
    if (by_chord) { // single segments look in the index alone
        *hiding = *r->ground->hiding;
        return true;
    }
    return hiding_near(r->ground->hiding, part->box, scratch, hiding, err);
}

static bool divide_anew(Rework *r, const NetGround *ground, int most_pieces, Net *net, Joined *joined,
                        double *out_cost_in, bool *found, Error *err)
{
    Candidate candidate;
    if (!choose_again(ground, most_pieces, r->options, &r->store, r->work, &candidate, found, err)) return false;
    if (!*found) return true;
    *out_cost_in = candidate.judgement.cost_in;
    return candidate_carry_out(ground, &candidate, r->options, r->work, net, joined, err);
}

// What belongs to the net that is there now, beside its necks.
static bool note_net(Rework *r, Error *err)
{
    r->ring_piece = group_find_rings(r->ground->part, &r->net, r->keep);
    r->inside = arena_new(r->keep, bool, r->net.face_count);
    return r->ring_piece && r->inside ? true : error_memory(err);
}

// saved_in: what the group alone saves, as long as no neck comes with it.
static bool take_over(Rework *r, const Group *group, Way way, const Net *anew, const Joined *joined, double saved_in,
                      bool *better, Error *err)
{
    Net made;
    Judgement all;
    Necks necks;
    if (!splice(r->ground, &r->net, r->inside, group, anew, joined, r->keep, &r->work->scratch, &made, err)) return false;
    *better = false;
    if (!made.usable) return true;
    // Seams beside the group lose ends and get others, which the group alone does not tell. Pairs, which come last, are held
    // to that; before, a step that costs a little may lead on, and what is shifted from under seams above is worth it.
    bool is_held = way != WAY_LINES && !r->settles && made.face_count <= HELD_PIECES;
    if (is_held && !judge_faces(r->ground, &made, r->options, &r->work->scratch, &all, err)) return false;
    if (is_held && all.cost_in - NECK_IN * r->necks.sum >= r->cost_in) return true;
    if (!necks_after(r->ground, &made, &r->net, &r->necks, r->options->least_neck_mm, r->keep, r->work, &necks, err)) return false;
    int added = necks.sum - r->necks.sum;
    if (added > 0 || saved_in < NECK_IN * added || (is_held && all.cost_in + NECK_IN * added >= r->cost_in)) return true;
    if (is_held) r->cost_in = all.cost_in;
    *better = true;
    r->net = made;
    r->necks = necks;
    return note_net(r, err);
}

// By point of the group: what it costs when the seam that ends there on a bent one ends elsewhere.
static double *price_joints(const Rework *r, const Group *group, double *out_sum_in)
{
    double *joint_in = arena_new(&r->work->scratch, double, group->part.count);
    *out_sum_in = 0.0;
    for (int i = 0; joint_in && i < group->part.count; i++) {
        const NetSegment *left[2];
        int count = 0;
        if (!group->is_joint[i]) continue;
        for (int k = 0; k < 4; k++) {
            int half = r->net.nodes[group->node[i]].leaving[k];
            if (half < 0) continue;
            const NetSegment *segment = &r->net.segments[half / 2];
            if (r->inside[segment->face[0]] && r->inside[segment->face[1]]) continue;
            if (count < 2) left[count++] = segment;
        }
        if (count < 2) continue;
        joint_in[i] = judge_bend_in(left[0], left[1]);
        *out_sum_in += joint_in[i];
    }
    return joint_in;
}

static bool try_group(Rework *r, int count, Way way, bool *better, Error *err)
{
    Group group;
    NetGround ground;
    Cover outline;
    Hiding hiding;
    Net old, anew = {.usable = false};
    Joined joined;
    Judgement before;
    Arena *scratch = &r->work->scratch;
    bool usable, found;
    double cost_in;
    if (!group_make(r->ground, &r->net, r->ring_piece, r->inside, scratch, &group, &usable, err)) return false;
    if (!usable) return true;
    if (!prepare_ground(r, &group, way == WAY_CHORD, &ground, &outline, &hiding, err)) return false;
    if (!group_seams(&r->net, r->inside, &group, scratch, &old, err)) return false;
    if (!judge_faces(&ground, &old, r->options, scratch, &before, err)) return false;
    if (way != WAY_LINES && before.cost_in < 2.0 * r->options->piece_weight + CHORD_FROM_IN) return true;
    double joints_in;
    const double *joint_in = price_joints(r, &group, &joints_in);
    if (!joint_in) return error_memory(err);
    before.cost_in += NECK_IN * count_necks(r);
    double below_in = before.cost_in - (way == WAY_LINES ? LEAST_GAIN_IN : CHORD_GAIN_IN) - joints_in;
    bool fine = false;
    switch (way) {
    case WAY_LINES: fine = divide_anew(r, &ground, count, &anew, &joined, &cost_in, &found, err); break;
    case WAY_CHORD:
        fine = chord_divide(&ground, joint_in, below_in, r->options, &r->store, r->work, &anew, &joined, &cost_in, &found, err);
        break;
    case WAY_RESEAM:
        fine = reseam_divide(&ground, &old, joint_in, below_in, r->options, &r->store, r->work, &anew, &joined, &cost_in,
                             &found, err);
        break;
    }
    if (!fine) return false;
    if (!found || !anew.usable || cost_in > below_in) return true;
    return take_over(r, &group, way, &anew, &joined, below_in - NECK_IN * count_necks(r) - cost_in, better, err);
}

static bool start(Rework *r, Error *err)
{
    if (!r->net.usable) return true;
    r->vain = arena_new(r->keep, uint64_t, SLOTS);
    if (!r->vain) return error_memory(err);
    return note_net(r, err) && necks_find(r->ground, &r->net, r->options->least_neck_mm, r->keep, r->work, &r->necks, err);
}

// The group begins with the two pieces on the sides of this segment.
static bool one_try(Rework *r, int segment, bool *better, Error *err)
{
    ArenaMark mark = arena_mark(&r->work->scratch);
    int count = pick_group(r, segment);
    bool fine = work_goes_on(r->work, err) && (is_vain(r, group_key(r)) || try_group(r, count, WAY_LINES, better, err));
    arena_rewind(&r->work->scratch, mark);
    arena_rewind(&r->store, (ArenaMark){0});
    return fine;
}

// ---- pairs ----

static bool is_stacked(Rework *r, const NetSegment *segment)
{
    Point a = r->net.nodes[segment->a].at, b = r->net.nodes[segment->b].at;
    return avoid_stacked_mm(r->ground->avoid, a, b, &r->work->scratch) > STACKED_FROM_MM;
}

// The next pair of neighbours from segment *at on that has not been looked at as it is; false when there is none.
static bool next_pair(Rework *r, bool stacked_only, uint64_t note, int *at)
{
    for (; *at < r->net.segment_count; (*at)++) {
        const int *face = r->net.segments[*at].face;
        if (stacked_only && !is_stacked(r, &r->net.segments[*at])) continue;
        memset(r->inside, 0, (size_t)r->net.face_count * sizeof *r->inside);
        r->inside[face[0]] = r->inside[face[1]] = true;
        if (!is_vain(r, group_key(r) ^ note)) return true;
    }
    return false;
}

// Lays the seams between two neighbours one way, wherever that is cheaper, until nothing changes.
static bool part_pairs(Rework *r, bool stacked_only, Way way, int *kept, Error *err)
{
    int tries = CHORDS_A_PIECE * r->net.face_count;
    uint64_t note = way == WAY_CHORD ? CHORD_KEY : RESEAM_KEY;
    Judgement all;
    if (!judge_faces(r->ground, &r->net, r->options, &r->work->scratch, &all, err)) return false;
    r->cost_in = all.cost_in;
    for (int at = 0; tries > 0 && next_pair(r, stacked_only, note, &at); tries--) {
        bool better = false;
        ArenaMark mark = arena_mark(&r->work->scratch);
        bool fine = work_goes_on(r->work, err) && try_group(r, 2, way, &better, err);
        arena_rewind(&r->work->scratch, mark);
        arena_rewind(&r->store, (ArenaMark){0});
        if (!fine) return false;
        *kept += better;
        if (better) at = 0;
    }
    return true;
}

// By turns: where one way has moved a seam, the other may move the next one.
static bool finish_pairs(Rework *r, int *kept, Error *err)
{
    if (r->net.face_count > HELD_PIECES) return part_pairs(r, false, WAY_CHORD, kept, err);
    for (int round = 0; round < PAIR_ROUNDS; round++)
        if (!part_pairs(r, false, WAY_CHORD, kept, err) || !part_pairs(r, false, WAY_RESEAM, kept, err)) return false;
    return true;
}

// The pieces with a neck are taken together with others, a few times each.
static bool mend_necks(Rework *r, int *kept, Error *err)
{
    int left = NECK_TRIES * r->necks.sum;
    for (int i = 0; i < left && r->necks.sum > 0; i++) {
        bool better = false;
        int face = 0, at = (int)rng_below(&r->rng, (uint32_t)r->net.segment_count), guard = r->net.segment_count;
        while (r->necks.by_face[face] == 0) face++;
        while (guard-- > 0 && r->net.segments[at].face[0] != face && r->net.segments[at].face[1] != face)
            at = (at + 1) % r->net.segment_count;
        if (!one_try(r, at, &better, err)) return false;
        *kept += better;
    }
    return true;
}

static bool judge_reworked(const Rework *r, Reworked *out, Error *err)
{
    out->net = r->net;
    out->necks = r->necks.sum;
    return each_face_a_piece(&r->net, r->keep, &out->joined, err) &&
           judge_division(r->ground, &out->net, &out->joined, r->options, &r->work->scratch, &out->judgement, err);
}

bool rework_division(const NetGround *ground, const Net *net, const Joined *joined, int tries,
                     const SeamOptions *options, Arena *keep, Work *work, Reworked *out, Error *err)
{
    Rework r = {.ground = ground,
                .options = options,
                .keep = keep,
                .work = work,
                .store = arena_make(work->scratch.budget_bytes),
                .rng = rng_make(SEED)};
    *out = (Reworked){.net = {.usable = false}};
    bool fine = splice_pieces(ground, net, joined, keep, &work->scratch, &r.net, err) && start(&r, err);
    for (int i = 0; i < tries && fine && r.net.usable; i++) {
        bool better = false;
        fine = one_try(&r, pick_segment(&r, false), &better, err);
        out->kept += better;
        // Halfway, too: what chords leave can be divided anew in ways that strips did not have.
        if (fine && i + 1 == tries / 2) fine = part_pairs(&r, false, WAY_CHORD, &out->kept, err);
        if (fine && i + 1 == tries) fine = mend_necks(&r, &out->kept, err) && finish_pairs(&r, &out->kept, err);
    }
    arena_free(&r.store);
    if (!fine || !r.net.usable) return fine;
    return judge_reworked(&r, out, err);
}

// What chords could not shift is tried with more pieces together, a few times each.
static bool divide_stacked(Rework *r, int *kept, Error *err)
{
    int left = STACKED_TRIES * r->net.segment_count;
    for (int at = 0; at < r->net.segment_count; at++) {
        bool better = false;
        for (int i = 0; i < STACKED_TRIES && left > 0 && !better && is_stacked(r, &r->net.segments[at]); i++, left--)
            if (!one_try(r, at, &better, err)) return false;
        *kept += better;
        if (better) at = -1; // segments have other numbers now; groups that were tried in vain are known
    }
    return true;
}

bool rework_settle(const NetGround *ground, const Plan *plan, const SeamOptions *options, Arena *keep, Work *work,
                   Reworked *out, Error *err)
{
    Rework r = {.ground = ground,
                .options = options,
                .keep = keep,
                .work = work,
                .settles = true,
                .store = arena_make(work->scratch.budget_bytes),
                .rng = rng_make(SEED)};
    *out = (Reworked){.net = {.usable = false}};
    bool fine = splice_plan(ground, plan, keep, &work->scratch, &r.net, err) && start(&r, err);
    if (fine && r.net.usable) fine = part_pairs(&r, true, WAY_CHORD, &out->kept, err) && divide_stacked(&r, &out->kept, err);
    arena_free(&r.store);
    if (!fine || out->kept == 0) return fine;
    return judge_reworked(&r, out, err);
}

// test_join.c - faces joined to pieces: the same as when all pairs are looked through before each joining.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/rng.h"
#include "seam/join.h"

#include <math.h>
#include <string.h>

enum { COLUMNS = 9, ROWS = 8, FACES = COLUMNS * ROWS, MOST_SEGMENTS = 4 * FACES };
#define CELL_UM 20000

typedef struct Board { // squares of 20 mm; neighbours meet in one or two segments
    Net net;
    NetNode nodes[2]; // a junction, and one on the outline
    NetFace faces[FACES];
    Point corners[FACES][4];
    NetSegment segments[MOST_SEGMENTS];
    FitMemo memo;
    NetGround ground;
    SeamOptions options;
    Work work;
} Board;

// Costs are in quarters, so that sums are exact in any order; equal ones are common.
static void add_segment(Board *b, Rng *rng, int face, int other)
{
    bool between_outlines = rng_below(rng, 4) == 0, is_short = rng_below(rng, 5) == 0;
    NetSegment *s = &b->segments[b->net.segment_count++];
    *s = (NetSegment){.a = between_outlines, .b = between_outlines, .face = {face, other}, .length_mm = is_short ? 5.0 : 20.0,
                      .avoid_in = rng_below(rng, 12) / 4.0};
    if (rng_below(rng, 2)) s->face[0] = other, s->face[1] = face;
}

static void make_board(Board *b, uint64_t seed)
{
    Rng rng = rng_make(seed);
    Error err = {0};
    *b = (Board){.work = {.scratch = arena_make(0)}, .options = {.piece_weight = 4.0, .least_neck_mm = 12.7}};
    b->nodes[0].edge = -1;
    b->net = (Net){b->nodes, 2, b->segments, 0, b->faces, FACES, NULL, 0, true};
    for (int i = 0; i < FACES; i++) {
        int x = i % COLUMNS * CELL_UM, y = i / COLUMNS * CELL_UM;
        const Point corners[4] = {{x, y}, {x + CELL_UM, y}, {x + CELL_UM, y + CELL_UM}, {x, y + CELL_UM}};
        memcpy(b->corners[i], corners, sizeof corners);
        b->faces[i] = (NetFace){400.0 - rng_below(&rng, 3), b->corners[i], 4};
        for (int twice = (int)rng_below(&rng, 2); twice >= 0 && i % COLUMNS > 0; twice--) add_segment(b, &rng, i, i - 1);
        for (int twice = (int)rng_below(&rng, 2); twice >= 0 && i >= COLUMNS; twice--) add_segment(b, &rng, i, i - COLUMNS);
    }
    Space space = {rng_below(&rng, 2) ? 65.0 : 45.0, 65.0, 0.0, false};
    assert_true(memo_make(space, &b->work.scratch, &b->memo, &err));
    b->ground = (NetGround){.space = space, .memo = &b->memo};
}

// ---- the plain way ----

typedef struct Plain { int stands[FACES]; NetFace pieces[FACES]; bool refused[MOST_SEGMENTS]; } Plain;

typedef struct Choice { int a, b; double cost_in, longest_mm, urgency; bool between_outlines, refused; } Choice;

static Choice look_at(const Board *b, const Plain *p, JoinWay way, int piece, int other)
{
    Choice c = {.a = piece, .b = other, .refused = true, .longest_mm = -1.0};
    for (int i = 0; i < b->net.segment_count; i++) {
        const NetSegment *s = &b->segments[i];
        int x = p->stands[s->face[0]], y = p->stands[s->face[1]];
        if (!((x == piece && y == other) || (x == other && y == piece))) continue;
        c.cost_in += s->avoid_in;
        c.refused &= p->refused[i];
        if (s->length_mm > c.longest_mm) c.longest_mm = s->length_mm, c.between_outlines = false;
        if (s->length_mm == c.longest_mm) c.between_outlines |= s->a == 1;
    }
    double cost = c.cost_in + b->options.piece_weight, area = fmin(p->pieces[piece].area_mm2, p->pieces[other].area_mm2);
    c.urgency = way == JOIN_SMALLEST ? cost / sqrt(area) : cost;
    return c;
}

static bool choose(const Board *b, const Plain *p, JoinWay way, Choice *out)
{
    *out = (Choice){.urgency = -1.0};
    for (int piece = 0; piece < FACES; piece++)
        for (int other = piece + 1; other < FACES; other++) {
            if (p->stands[piece] != piece || p->stands[other] != other) continue;
            Choice c = look_at(b, p, way, piece, other);
            if (!c.refused && c.urgency > out->urgency) *out = c;
        }
    return out->urgency >= 0.0;
}

static bool try_to_join(Board *b, Plain *p, const Choice *c)
{
    const NetFace *x = &p->pieces[c->a], *y = &p->pieces[c->b];
    if (c->longest_mm < b->options.least_neck_mm && !c->between_outlines) return false;
    NetFace made = {.area_mm2 = x->area_mm2 + y->area_mm2};
    Point *points = arena_new(&b->work.scratch, Point, x->hull_count + y->hull_count);
    memcpy(points, x->hull, (size_t)x->hull_count * sizeof *points);
    memcpy(points + x->hull_count, y->hull, (size_t)y->hull_count * sizeof *points);
    made.hull = hull_make(points, x->hull_count + y->hull_count, &b->work.scratch, &made.hull_count);
    Fit fit;
    if (made.area_mm2 > b->ground.space.width_mm * b->ground.space.height_mm) return false;
    if (!hull_fits(made.hull, made.hull_count, b->ground.space, &fit)) return false;
    p->pieces[c->a] = made;
    for (int i = 0; i < FACES; i++)
        if (p->stands[i] == c->b) p->stands[i] = c->a;
    return true;
}

static void join_plainly(Board *b, JoinWay way, Plain *p)
{
    *p = (Plain){0};
    for (int i = 0; i < FACES; i++) p->stands[i] = i, p->pieces[i] = b->faces[i];
    for (Choice c; choose(b, p, way, &c);) {
        if (try_to_join(b, p, &c)) continue;
        for (int i = 0; i < b->net.segment_count; i++) {
            int x = p->stands[b->segments[i].face[0]], y = p->stands[b->segments[i].face[1]];
            if ((x == c.a && y == c.b) || (x == c.b && y == c.a)) p->refused[i] = true;
        }
    }
}

static void net_join__joins_as_looking_through_all_pairs_each_time_would(void **state)
{
    (void)state;
    Board *b = test_malloc(sizeof *b);
    Plain *p = test_malloc(sizeof *p);
    for (uint64_t seed = 1; seed <= 12; seed++)
        for (JoinWay way = JOIN_DEAREST; way <= JOIN_SMALLEST; way++) {
            Joined joined;
            Error err = {0};
            make_board(b, seed);
            join_plainly(b, way, p);
            assert_true(net_join(&b->ground, &b->net, &b->options, way, &b->work.scratch, &b->work, &joined, &err));
            assert_in_range(joined.piece_count, 4, FACES / 2);
            int piece = 0;
            for (int i = 0; i < FACES; i++) {
                bool stands = p->stands[i] == i;
                if (stands && joined.piece_of[i] != piece) fail_msg("seed %d, way %d: face %d", (int)seed, way, i);
                assert_int_equal(joined.piece_of[i], joined.piece_of[p->stands[i]]);
                if (stands) assert_true(joined.pieces[piece++].area_mm2 == p->pieces[i].area_mm2);
            }
            assert_int_equal(joined.piece_count, piece);
            arena_free(&b->work.scratch);
        }
    test_free(p);
    test_free(b);
}

static void net_join__leaves_faces_that_no_seam_parts_and_joins_none_when_told_so(void **state)
{
    (void)state;
    Board *b = test_malloc(sizeof *b);
    Joined joined;
    Error err = {0};
    make_board(b, 1);
    assert_true(net_join(&b->ground, &b->net, &b->options, JOIN_NONE, &b->work.scratch, &b->work, &joined, &err));
    assert_int_equal(joined.piece_count, FACES);
    b->net.segment_count = 0;
    assert_true(net_join(&b->ground, &b->net, &b->options, JOIN_DEAREST, &b->work.scratch, &b->work, &joined, &err));
    assert_int_equal(joined.piece_count, FACES);
    arena_free(&b->work.scratch);
    test_free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(net_join__joins_as_looking_through_all_pairs_each_time_would),
        cmocka_unit_test(net_join__leaves_faces_that_no_seam_parts_and_joins_none_when_told_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// test_plumb.c - seams that lean a little are laid level or upright where that costs next to nothing.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_ground.h"

#include "seam/plumb.h"

enum { MOST = 8 };

typedef struct Bench { // a layer of one part, and a division of it by hand
    SeamCase c;
    SeamGround on;
    PlanNode nodes[MOST];
    int route[2 * MOST];
    PlanSeam seams[MOST];
    Plan plan, out;
    bool better;
} Bench;

static void open_bench(Bench *b, const double (*corners)[2], int count, const double (*cover)[2])
{
    SeamCase *c = &b->c;
    seam_case_open(c, "letter");
    Ring ring = seam_case_ring_in(c, corners, count, false);
    seam_case_set_layer(c, &ring, 1);
    if (cover) {
        ring = seam_case_ring_in(c, cover, 4, false);
        seam_case_set_cover(c, &ring, 1);
    }
    seam_ground_make(c, &b->on);
    b->plan = (Plan){.nodes = b->nodes, .route = b->route, .seams = b->seams, .judgement.pieces = 1};
}

// A node at a place in inches: on the outline when it lies on one of its edges.
static int node_at(Bench *b, double x_in, double y_in)
{
    Point at = point_from_mm(25.4 * x_in, 25.4 * y_in);
    for (int i = 0; i < b->plan.node_count; i++)
        if (point_equal(b->nodes[i].at, at)) return i;
    PlanNode *node = &b->nodes[b->plan.node_count];
    *node = (PlanNode){at, -1, 0.0};
    for (int i = 0; i < b->on.part.count; i++) {
        Point p = b->on.part.points[i], q = b->on.part.points[b->on.part.next[i]];
        if (point_segment_distance_mm(at, p, q) > 0.002 || point_equal(at, q)) continue;
        *node = (PlanNode){at, i, point_distance_mm(p, at) / point_distance_mm(p, q)};
    }
    return b->plan.node_count++;
}

static void add_seam(Bench *b, double ax, double ay, double bx, double by)
{
    int first = 2 * b->plan.seam_count;
    b->route[first] = node_at(b, ax, ay);
    b->route[first + 1] = node_at(b, bx, by);
    b->seams[b->plan.seam_count++] = (PlanSeam){first, 2};
}

static void plumb(Bench *b, int pieces)
{
    b->plan.judgement.pieces = pieces;
    assert_true(plumb_plan(&b->on.ground, &b->plan, &b->c.options, &b->c.keep, &b->c.work, &b->out, &b->better, &b->c.err));
}

// The seam that begins or ends within 1 in of a place.
static void ends_near(const Bench *b, double x_in, double y_in, Point *a, Point *z)
{
    Point at = point_from_mm(25.4 * x_in, 25.4 * y_in);
    for (int s = 0; s < b->out.seam_count; s++) {
        const PlanSeam *seam = &b->out.seams[s];
        Point ends[2] = {b->out.nodes[b->out.route[seam->first]].at, b->out.nodes[b->out.route[seam->first + seam->count - 1]].at};
        for (int i = 0; i < 2; i++)
            if (point_distance_mm(ends[i], at) < 25.4) {
                *a = ends[i];
                *z = ends[1 - i];
                return;
            }
    }
    fail_msg("no seam ends at %g, %g in", x_in, y_in);
}

static const double panel[][2] = {{0, 0}, {14, 0}, {14, 7}, {0, 7}};

// 14 x 7 in, cut in two by a seam that is 0.8 in off upright over 7 in (6.5 degrees): upright, both pieces fit as well.
static void plumb__lays_a_leaning_seam_upright(void **state)
{
    (void)state;
    Bench b = {0};
    Point a, z;
    open_bench(&b, panel, 4, NULL);
    add_seam(&b, 6.8, 0, 7.6, 7);
    plumb(&b, 2);
    assert_true(b.better);
    assert_int_equal(b.out.seam_count, 1);
    assert_int_equal(b.out.judgement.pieces, 2);
    ends_near(&b, 7.0, 0, &a, &z);
    assert_int_equal(a.x, z.x);
    assert_int_equal(a.y, 0);
    assert_int_equal(z.y, 177800);
    assert_float_equal(b.out.judgement.visible_in, 7.0, 0.001);
    seam_case_close(&b.c);
}

// A level border at y = 7 in right through 14 x 14 in; the upper seam leans and ends on it, as the lower one does that is
// upright: the joint slides along the border, and the border stays.
static void plumb__slides_a_joint_along_the_seam_that_it_lies_on(void **state)
{
    (void)state;
    static const double big[][2] = {{0, 0}, {14, 0}, {14, 14}, {0, 14}};
    Bench b = {0};
    Point a, z;
    open_bench(&b, big, 4, NULL);
    add_seam(&b, 0, 7, 5.9, 7);
    add_seam(&b, 5.9, 7, 7.2, 7);
    add_seam(&b, 7.2, 7, 14, 7);
    add_seam(&b, 6.4, 0, 7.2, 7);
    add_seam(&b, 5.9, 7, 5.9, 14);
    plumb(&b, 4);
    assert_true(b.better);
    ends_near(&b, 7.0, 0, &a, &z);
    assert_int_equal(a.x, z.x);
    assert_int_equal(z.y, 177800);
    ends_near(&b, 5.9, 14, &a, &z);
    assert_int_equal(a.x, z.x);
    assert_true(z.x == point_from_mm(25.4 * 5.9, 0).x && z.y == 177800);
    seam_case_close(&b.c);
}

// The border itself leans and two upright seams end on it from both sides: all its joints go along, the seams stay upright.
static void plumb__moves_a_border_with_all_that_ends_on_it(void **state)
{
    (void)state;
    static const double big[][2] = {{0, 0}, {14, 0}, {14, 14}, {0, 14}};
    Bench b = {0};
    Point a, z;
    open_bench(&b, big, 4, NULL);
    add_seam(&b, 0, 6.2, 6, 6.8); // in a line: 0.1 in an inch
    add_seam(&b, 6, 6.8, 8, 7.0);
    add_seam(&b, 8, 7.0, 14, 7.6);
    add_seam(&b, 8, 0, 8, 7.0);
    add_seam(&b, 6, 6.8, 6, 14);
    plumb(&b, 4);
    assert_true(b.better);
    int32_t level = -1;
    for (int s = 0; s < b.out.seam_count; s++) {
        Point p = b.out.nodes[b.out.route[b.out.seams[s].first]].at;
        Point q = b.out.nodes[b.out.route[b.out.seams[s].first + b.out.seams[s].count - 1]].at;
        assert_true(p.x == q.x || p.y == q.y);
        if (p.y == q.y && level >= 0) assert_int_equal(p.y, level);
        if (p.y == q.y) level = p.y;
    }
    assert_true(level > 0);
    ends_near(&b, 8, 0, &a, &z);
    assert_int_equal(z.y, level);
    seam_case_close(&b.c);
}

// Sheared by 10 degrees: two pieces of 7.9 x 8.5 in that fit turned; with an upright seam neither would.
static void plumb__leaves_a_seam_that_must_lean(void **state)
{
    (void)state;
    static const double sheared[][2] = {{1.5, 0}, {17.3, 0}, {15.8, 8.5}, {0, 8.5}};
    Bench b = {0};
    open_bench(&b, sheared, 4, NULL);
    add_seam(&b, 9.4, 0, 7.9, 8.5);
    plumb(&b, 2);
    assert_false(b.better);
    seam_case_close(&b.c);
}

// The panel turned by 10 degrees: a seam square to its long sides leans as they do.
static void plumb__leaves_a_seam_square_to_a_straight_edge(void **state)
{
    (void)state;
    static const double turned[][2] = {{1.2155, 0}, {15.0029, 2.4311}, {13.7873, 9.3247}, {0, 6.8937}};
    Bench b = {0};
    open_bench(&b, turned, 4, NULL);
    add_seam(&b, 8.1092, 1.2156, 6.8937, 8.1092);
    plumb(&b, 2);
    assert_false(b.better);
    seam_case_close(&b.c);
}

// Under cover nobody sees how it runs.
static void plumb__leaves_a_hidden_seam(void **state)
{
    (void)state;
    static const double cover[][2] = {{5, -1}, {9, -1}, {9, 8}, {5, 8}};
    Bench b = {0};
    open_bench(&b, panel, 4, cover);
    add_seam(&b, 6.8, 0, 7.6, 7);
    plumb(&b, 2);
    assert_false(b.better);
    seam_case_close(&b.c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plumb__lays_a_leaning_seam_upright),
        cmocka_unit_test(plumb__slides_a_joint_along_the_seam_that_it_lies_on),
        cmocka_unit_test(plumb__moves_a_border_with_all_that_ends_on_it),
        cmocka_unit_test(plumb__leaves_a_seam_that_must_lean),
        cmocka_unit_test(plumb__leaves_a_seam_square_to_a_straight_edge),
        cmocka_unit_test(plumb__leaves_a_hidden_seam),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// test_stack_laws.c - what holds for every stack: the picture is reproduced, nothing that is seen is touched, hidden
// edges stay hidden.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "shape/cover.h"
#include "stack/needle.h"
#include "stack/stack.h"
#include "stack/underlap.h"
#include "support/grid_map.h"
#include "support/paper_case.h"
#include "support/random_map.h"

#include <math.h>
#include <stdlib.h>

#define SEEDS 150
#define CURVED_SEEDS 40
#define CURVED_SIDE_PX 140
#define ROUNDING_MM2 0.01 // a crossing on a slanted edge is rounded by half a micrometre, and the edge with it

static int label_at(const RandomMap *map, int x, int y)
{
    return map->labels[y * map->width + x];
}

// Topmost layer at the middle of each cell, and near its corners, has the colour of the picture.
static void layers_reproduce_the_picture(const RandomMap *map, const Outlines *outlines, const Stack *stack)
{
    for (int y = 0; y < map->height; y++)
        for (int x = 0; x < map->width; x++)
            for (int i = 0; i < 5; i++) {
                static const double at[5][2] = {{0.5, 0.5}, {0.03, 0.03}, {0.97, 0.03}, {0.03, 0.97}, {0.97, 0.97}};
                Point p = point_from_mm((x + at[i][0] - outlines->origin_px[0]) * map->cell_mm,
                                        (y + at[i][1] - outlines->origin_px[1]) * map->cell_mm);
                int top = -1;
                for (int k = 0; k < stack->layer_count; k++)
                    if (rings_contain(&stack->layers[k].rings, p)) top = k;
                int expected = label_at(map, x, y);
                assert_int_equal(top < 0 ? 0 : stack->layers[top].colour + 1, expected);
            }
}

// A layer holds all that is seen of it, and nothing but this and what higher layers cover.
static void nothing_is_lost_or_shows(PaperCase *test, const Stack *stack, const Layer *layer, double most_mm2)
{
    Rings sets[2] = {{0}, layer->cover}, both;
    must(test, area_rings(&stack->chains, &layer->seen, &test->keep, &sets[0], &test->err));
    must(test, overlay_rings_union(sets, 2, &test->keep, &test->work, &both, &test->err));
    assert_true(combined_mm2(test, &sets[0], &layer->rings, OVERLAY_DIFFERENCE) < most_mm2);
    assert_true(combined_mm2(test, &layer->rings, &both, OVERLAY_DIFFERENCE) < most_mm2);
}

// The layer in which a colour is seen.
static int colour_place(const Stack *stack, int label)
{
    for (int i = stack->layer_count - 1; i >= 0; i--)
        if (stack->layers[i].colour + 1 == label) return i;
    return -1;
}

// The arc belongs to a ring of its colour that no blade could follow.
static bool is_of_a_needle(PaperCase *test, const Outlines *outlines, int colour, int arc)
{
    Area area;
    Rings rings;
    bool *in_set = arena_new(&test->keep, bool, outlines->region_count);
    for (int r = 1; r < outlines->region_count; r++) in_set[r] = outlines->regions[r].label == colour + 1;
    must(test, outline_union(outlines, in_set, &test->keep, &test->work, &area, &test->err));
    must(test, area_rings(&outlines->chains, &area, &test->keep, &rings, &test->err));
    for (int r = 0; r < area.ring_count; r++) {
        bool has_arc = false;
        for (int l = 0; l < area.rings[r].link_count; l++) has_arc = has_arc || area.links[area.rings[r].first_link + l].chain == arc;
        if (has_arc && 2.0 * fabs(ring_area_mm2(&rings.items[r])) < NEEDLE_MM * ring_length_mm(&rings.items[r])) return true;
    }
    return false;
}

// Arcs between this layer and what lies lower are edges of its paper, whole and as they are; but for needles.
static void seen_arcs_stay(PaperCase *test, const Outlines *outlines, const Stack *stack, int layer)
{
    for (int i = 0; i < outlines->arc_count; i++) {
        int left = colour_place(stack, outlines->regions[outlines->arcs[i].left].label);
        int right = colour_place(stack, outlines->regions[outlines->arcs[i].right].label);
        if ((left != layer || right >= layer) && (right != layer || left >= layer)) continue;
        int edges = 0;
        const Area *area = &stack->layers[layer].area;
        for (int k = 0; k < area->link_count; k++)
            if (area->links[k].chain == i) edges += link_point_count(&area->links[k]) - 1;
        if (edges < outlines->chains.items[i].point_count - 1) assert_true(is_of_a_needle(test, outlines, stack->layers[layer].colour, i));
    }
}

static void hidden_edges_keep_their_distance(PaperCase *test, const Stack *stack, const Layer *layer)
{
    Rings sets[2] = {{0}, layer->cover}, both;
    Cover cover;
    must(test, area_rings(&stack->chains, &layer->seen, &test->keep, &sets[0], &test->err));
    must(test, overlay_rings_union(sets, 2, &test->keep, &test->work, &both, &test->err));
    must(test, cover_make(&both, &test->keep, &cover, &test->err));
    for (int i = 0; i < layer->area.link_count; i++) {
        if (!layer->hidden[i]) continue;
        for (int k = 0; k < link_point_count(&layer->area.links[i]); k++) {
            Point p = link_point(&stack->chains, &layer->area.links[i], k);
            assert_true(cover_contains(&cover, p));
            assert_true(cover_distance_mm(&cover, p, 1.0) >= UNDERLAP_INSIDE_MM - 0.002);
        }
    }
}

static void laws_hold(uint64_t seed)
{
    PaperCase test = paper_case_open();
    RandomMap map = random_map(seed, 2 + (int)(seed % 5));
    Outlines outlines = grid_map_labels(map.labels, map.width, map.height, map.cell_mm, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    layers_reproduce_the_picture(&map, &outlines, &stack);
    for (int i = 1; i < stack.layer_count; i++) {
        const Layer *layer = &stack.layers[i];
        nothing_is_lost_or_shows(&test, &stack, layer, 1e-5);
        seen_arcs_stay(&test, &outlines, &stack, i);
        hidden_edges_keep_their_distance(&test, &stack, layer);
    }
    paper_case_close(&test);
}

static int height_of(const Stack *stack, int colour)
{
    return colour_place(stack, colour + 1);
}

// Every wish but those that a finding takes back.
static void wishes_are_kept_or_told(const Stack *stack, const OrderWish *wishes, int count)
{
    int broken = 0, told = 0;
    for (int i = 0; i < count; i++) {
        int over = height_of(stack, wishes[i].over), under = height_of(stack, wishes[i].under);
        broken += over < 0 || under < 0 || over <= under;
    }
    for (size_t i = 0; i < stack->findings.count; i++) told += strncmp(stack->findings.items[i].kind, "edit-", 5) == 0;
    assert_int_equal(told, broken);
}

// Any wishes and any base.
static void wished_laws_hold(uint64_t seed)
{
    PaperCase test = paper_case_open();
    int colours = 2 + (int)(seed % 5);
    RandomMap map = random_map(seed, colours);
    Outlines outlines = grid_map_labels(map.labels, map.width, map.height, map.cell_mm, 0.0, &test.keep);
    Rng rng = rng_make(seed + 1000);
    OrderWish wishes[6];
    StackOptions options = stack_defaults();
    options.orders = wishes;
    options.order_count = (int)rng_below(&rng, 7);
    for (int i = 0; i < options.order_count; i++)
        wishes[i] = (OrderWish){(int)rng_below(&rng, (uint32_t)colours + 1) - (rng_below(&rng, 9) == 0),
                                (int)rng_below(&rng, (uint32_t)colours)};
    int base = (int)rng_below(&rng, (uint32_t)outlines.colour_count + 1) - 1;
    for (int i = 1; base >= 0 && i < outlines.region_count; i++)
        if (outlines.regions[i].label == base + 1) options.base_colour = base; // one that the map has
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    if (options.base_colour >= 0) assert_int_equal(stack.layers[0].colour, base);
    layers_reproduce_the_picture(&map, &outlines, &stack);
    wishes_are_kept_or_told(&stack, wishes, options.order_count);
    for (int i = 1; i < stack.layer_count; i++) {
        nothing_is_lost_or_shows(&test, &stack, &stack.layers[i], 1e-5);
        seen_arcs_stay(&test, &outlines, &stack, i);
        hidden_edges_keep_their_distance(&test, &stack, &stack.layers[i]);
    }
    paper_case_close(&test);
}

static void stacks_with_wishes_keep_the_laws(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        print_message("seed %d\r", (int)seed);
        wished_laws_hold(seed);
    }
}

// The lower one of two that lie edge to edge has nothing below the upper one; others as ever.
static void inlaid_lie_edge_to_edge(PaperCase *test, const Stack *stack, ColourPair pair)
{
    int a = height_of(stack, pair.a), b = height_of(stack, pair.b);
    const Layer *low = &stack->layers[a < b ? a : b], *top = &stack->layers[a < b ? b : a];
    Rings seen;
    if (a == b || a <= 0 || b <= 0) return; // no paper, or the base, which is solid
    must(test, area_rings(&stack->chains, &top->seen, &test->keep, &seen, &test->err));
    assert_true(combined_mm2(test, &low->rings, &seen, OVERLAY_INTERSECTION) < 1e-5);
}

static void inlaid_laws_hold(uint64_t seed)
{
    PaperCase test = paper_case_open();
    int colours = 3 + (int)(seed % 4);
    RandomMap map = random_map(seed, colours);
    Outlines outlines = grid_map_labels(map.labels, map.width, map.height, map.cell_mm, 0.0, &test.keep);
    Rng rng = rng_make(seed + 2000);
    ColourPair pairs[3];
    StackOptions options = stack_defaults();
    options.inlays = pairs;
    options.inlay_count = 1 + (int)rng_below(&rng, 3);
    for (int i = 0; i < options.inlay_count; i++) pairs[i] = (ColourPair){(int)rng_below(&rng, (uint32_t)colours), (int)rng_below(&rng, (uint32_t)colours)};
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    layers_reproduce_the_picture(&map, &outlines, &stack);
    for (int i = 0; i < options.inlay_count; i++) inlaid_lie_edge_to_edge(&test, &stack, pairs[i]);
    for (int i = 1; i < stack.layer_count; i++) {
        nothing_is_lost_or_shows(&test, &stack, &stack.layers[i], 1e-5);
        seen_arcs_stay(&test, &outlines, &stack, i);
        hidden_edges_keep_their_distance(&test, &stack, &stack.layers[i]);
    }
    paper_case_close(&test);
}

static void stacks_with_pairs_edge_to_edge_keep_the_laws(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        print_message("seed %d\r", (int)seed);
        inlaid_laws_hold(seed);
    }
}

// A frame of colour 1 all round, and nothing of the ground inside it: lines may lie anywhere.
static void lined_laws_hold(uint64_t seed)
{
    PaperCase test = paper_case_open();
    RandomMap map = random_map(seed, 4);
    for (int y = 0; y < map.height; y++)
        for (int x = 0; x < map.width; x++) {
            bool inside = x > 0 && y > 0 && x + 1 < map.width && y + 1 < map.height;
            uint8_t *label = &map.labels[y * map.width + x];
            if (!inside || *label == 0) *label = 1;
        }
    Outlines outlines = grid_map_labels(map.labels, map.width, map.height, map.cell_mm, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    options.lines = seed % 2 ? LINES_TOP : LINES_BOTH;
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    layers_reproduce_the_picture(&map, &outlines, &stack);
    if (stack.layer_count > 1) assert_int_equal(stack.layers[stack.layer_count - 1].colour, 0);
    if (stack.layer_count > 1) assert_int_equal(stack.layers[0].colour == 0, options.lines == LINES_BOTH);
    for (int i = 1; i < stack.layer_count; i++) {
        nothing_is_lost_or_shows(&test, &stack, &stack.layers[i], 1e-5);
        seen_arcs_stay(&test, &outlines, &stack, i);
        hidden_edges_keep_their_distance(&test, &stack, &stack.layers[i]);
    }
    paper_case_close(&test);
}

static void stacks_with_lines_on_top_keep_the_laws(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        print_message("seed %d\r", (int)seed);
        lined_laws_hold(seed);
    }
}

// Cells of 3.5 mm are never thin; of those of 1 mm many are.
static void thin_places_lie_where_they_say(void **state)
{
    (void)state;
    int found = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        PaperCase test = paper_case_open();
        RandomMap map = random_map(seed, 3);
        bool fine = seed % 2;
        Outlines outlines =
            grid_map_labels(map.labels, map.width, map.height, fine ? 1.0 : 3.5, 0.0, &test.keep);
        StackOptions options = stack_defaults();
        Stack stack;
        must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
        for (size_t i = 0; i < stack.findings.count; i++) {
            const Finding *finding = &stack.findings.items[i];
            Point at = point_from_mm(finding->x_mm, finding->y_mm);
            bool on_paper = rings_contain(&stack.layers[0].rings, at);
            assert_true(fine);
            assert_true(on_paper == (strcmp(finding->kind, "thin-part") == 0));
            found++;
        }
        paper_case_close(&test);
    }
    assert_true(found > SEEDS / 2);
}

static void every_stack_keeps_the_laws(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        print_message("seed %d\r", (int)seed);
        laws_hold(seed);
    }
}

// A picture of discs and boxes, hard-edged, through the real outlines: curved arcs, slanted junctions.
static bool curved_outlines(uint64_t seed, PaperCase *test, Outlines *out)
{
    Rng rng = rng_make(seed);
    int side = CURVED_SIDE_PX, colours = 2 + (int)rng_below(&rng, 4);
    Separation separation = {.width_px = side,
                             .height_px = side,
                             .colour_count = colours,
                             .hard_edged = true,
                             .has_ground_colour = true,
                             .ground_colour = {255, 255, 255},
                             .box_px = {side, side, 0, 0}};
    Picture picture = {.width_px = side, .height_px = side, .rgba = arena_new(&test->keep, uint8_t, 4 * side * side)};
    separation.label = arena_new(&test->keep, uint8_t, side * side);
    separation.colours = arena_new(&test->keep, SeparationColour, colours);
    for (int i = 0; i < colours; i++)
        separation.colours[i].colour = (Srgb8){(uint8_t)(40 * i + 20), (uint8_t)(200 - 30 * i), 90};
    int shapes = 8 + (int)rng_below(&rng, 8);
    for (int i = 0; i < shapes; i++) {
        int x0 = 15 + (int)rng_below(&rng, 110), y0 = 15 + (int)rng_below(&rng, 110), r = 5 + (int)rng_below(&rng, 40);
        uint8_t label = (uint8_t)(i < colours ? i + 1 : (int)rng_below(&rng, (uint32_t)colours + 1));
        bool disc = rng_below(&rng, 3) > 0;
        for (int y = 4; y < side - 4; y++)
            for (int x = 4; x < side - 4; x++)
                if (disc ? (x - x0) * (x - x0) + (y - y0) * (y - y0) < r * r : abs(x - x0) < r && abs(y - y0) < r / 2)
                    separation.label[y * side + x] = label;
    }
    for (int i = 0; i < side * side; i++) {
        int label = separation.label[i], x = i % side, y = i / side;
        Srgb8 c = label ? separation.colours[label - 1].colour : separation.ground_colour;
        memcpy(picture.rgba + 4 * i, (uint8_t[4]){c.r, c.g, c.b, 255}, 4);
        if (label == 0) continue;
        separation.colours[label - 1].area_px++;
        separation.box_px[0] = fmin(separation.box_px[0], x);
        separation.box_px[1] = fmin(separation.box_px[1], y);
        separation.box_px[2] = fmax(separation.box_px[2], x + 1);
        separation.box_px[3] = fmax(separation.box_px[3], y + 1);
    }
    OutlineOptions options = outline_defaults();
    options.figure_height_mm = 150.0 + 50.0 * (double)(seed % 20);
    return outline_make(&picture, &separation, &options, &test->keep, &test->work, out, &test->err);
}

static void curved_stacks_keep_the_laws(void **state)
{
    (void)state;
    int made = 0;
    for (uint64_t seed = 1; seed <= CURVED_SEEDS; seed++) {
        print_message("seed %d\r", (int)seed);
        PaperCase test = paper_case_open();
        StackOptions options = stack_defaults();
        Outlines outlines;
        Stack stack;
        if (!curved_outlines(seed, &test, &outlines)) {
            paper_case_close(&test); // the outlines have tests of their own
            continue;
        }
        made++;
        must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
        for (int i = 1; i < stack.layer_count; i++) {
            nothing_is_lost_or_shows(&test, &stack, &stack.layers[i], ROUNDING_MM2);
            seen_arcs_stay(&test, &outlines, &stack, i);
            hidden_edges_keep_their_distance(&test, &stack, &stack.layers[i]);
        }
        paper_case_close(&test);
    }
    print_message("%d of %d pictures became outlines\n", made, CURVED_SEEDS);
    assert_true(made >= CURVED_SEEDS * 3 / 4);
}

static void a_border_only_grows_and_has_the_exact_size(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS / 3; seed++) {
        print_message("seed %d\r", (int)seed);
        PaperCase test = paper_case_open();
        RandomMap map = random_map(seed, 3);
        Outlines plain = grid_map_labels(map.labels, map.width, map.height, map.cell_mm, 0.0, &test.keep);
        StackOptions options = stack_defaults();
        options.border_mm = 1.0 + (double)(seed % 12);
        Outlines moved = grid_map_labels(map.labels, map.width, map.height, map.cell_mm, options.border_mm, &test.keep);
        Stack stack, bare;
        must(&test, stack_make(&moved, &options, &test.keep, &test.work, &stack, &test.err));
        options.border_mm = 0.0;
        must(&test, stack_make(&moved, &options, &test.keep, &test.work, &bare, &test.err));
        Box box = rings_box(&stack.layers[0].rings);
        assert_true(box.min.x == 0 && box.min.y == 0);
        assert_true(point_equal(box.max, point_from_mm(stack.width_mm, stack.height_mm)));
        assert_true(fabs(stack.height_mm - plain.height_mm - 2.0 * stack.border_mm) < 1e-9);
        assert_true(combined_mm2(&test, &bare.layers[0].rings, &stack.layers[0].rings, OVERLAY_DIFFERENCE) < 1e-6);
        Rings most;
        must(&test, overlay_offset(&bare.layers[0].rings, stack.border_mm + 0.03, 0.002, &test.keep, &test.work, &most,
                                   &test.err));
        double over = combined_mm2(&test, &stack.layers[0].rings, &most, OVERLAY_DIFFERENCE);
        if (over > 50.0) fail_msg("seed %d: %g mm2 beyond the border", (int)seed, over);
        paper_case_close(&test);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_stack_keeps_the_laws),
        cmocka_unit_test(stacks_with_wishes_keep_the_laws),
        cmocka_unit_test(stacks_with_pairs_edge_to_edge_keep_the_laws),
        cmocka_unit_test(stacks_with_lines_on_top_keep_the_laws),
        cmocka_unit_test(thin_places_lie_where_they_say),
        cmocka_unit_test(curved_stacks_keep_the_laws),
        cmocka_unit_test(a_border_only_grows_and_has_the_exact_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

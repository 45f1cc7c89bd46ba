// The maker's word on areas, colours and tiny parts, on tiny pictures drawn as text: a character is a pixel.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/separation.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define W ((Srgb8){255, 255, 255})
#define K ((Srgb8){10, 10, 10})
#define R ((Srgb8){220, 30, 40})
#define B ((Srgb8){30, 60, 200})
#define G ((Srgb8){40, 160, 65})
#define PINK ((Srgb8){255, 0, 255})

typedef struct Drawing {
    Arena keep;
    Work work;
    Picture picture;
    SeparationOptions options;
    Separation s;
} Drawing;

static Srgb8 ink(char c)
{
    return c == 'K' ? K : c == 'R' ? R : c == 'B' ? B : c == 'G' ? G : W;
}

// '.' is transparent. Each character becomes a square of 4 pixels a side, so that all colours have flat areas.
#define CELL 4
static Drawing draw(const char *const *rows, int height)
{
    int width = (int)strlen(rows[0]);
    Drawing d = {.keep = arena_make(0),
                 .work = {.scratch = arena_make(0)},
                 .picture = {width * CELL, height * CELL, NULL},
                 .options = separation_defaults()};
    d.options.smallest_area_px = 1;
    d.picture.rgba = arena_new(&d.keep, uint8_t, width * height * CELL * CELL * 4);
    for (int y = 0; y < height * CELL; y++)
        for (int x = 0; x < width * CELL; x++) {
            char c = rows[y / CELL][x / CELL];
            Srgb8 paint = ink(c);
            uint8_t *p = d.picture.rgba + ((size_t)y * (size_t)width * CELL + (size_t)x) * 4;
            p[0] = paint.r, p[1] = paint.g, p[2] = paint.b, p[3] = c == '.' ? 0 : 255;
        }
    return d;
}
#define DRAW(...) draw((const char *const[]){__VA_ARGS__}, sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *))

static void separate(Drawing *d)
{
    Error err = {0};
    if (!separation_make(&d->picture, &d->options, &d->keep, &d->work, &d->s, &err)) fail_msg("%s", err.text);
}

static void done(Drawing *d)
{
    arena_free(&d->keep);
    arena_free(&d->work.scratch);
}

static bool is_colour(Srgb8 a, Srgb8 b)
{
    return a.r == b.r && a.g == b.g && a.b == b.b;
}

// The map as text, a character a cell: '-' is ground.
static void assert_map(const Drawing *d, const char *const *rows, int height)
{
    for (int y = 0; y < height * CELL; y++)
        for (int x = 0; x < d->s.width_px; x++) {
            int label = d->s.label[(size_t)y * (size_t)d->s.width_px + (size_t)x];
            char wanted = rows[y / CELL][x / CELL];
            bool good =
                wanted == '-' ? label == 0 : label > 0 && is_colour(d->s.colours[label - 1].colour, ink(wanted));
            if (!good) fail_msg("pixel %d, %d should be %c, has label %d", x, y, wanted, label);
        }
}
#define MAP(d, ...)                                                                                                    \
    assert_map(d, (const char *const[]){__VA_ARGS__}, sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *))

// Number of findings of this kind whose text has these words.
static int findings(const Drawing *d, const char *kind, const char *words)
{
    int count = 0;
    for (size_t i = 0; i < d->s.findings.count; i++)
        count += strcmp(d->s.findings.items[i].kind, kind) == 0 && strstr(d->s.findings.items[i].text, words) != NULL;
    return count;
}

static int edit_findings(const Drawing *d)
{
    return findings(d, "edit-without-target", "") + findings(d, "edit-not-kept", "");
}

// The place of the middle of a cell, in the figure's box that the wishes speak of.
static PlaceWish at_cell(const Drawing *d, int x, int y, bool is_ground)
{
    const double *box = d->s.wish_box_px;
    double height = box[3] - box[1];
    return (PlaceWish){
        .x = ((x + 0.5) * CELL - box[0]) / height, .y = ((y + 0.5) * CELL - box[1]) / height, .is_ground = is_ground};
}

static Drawing ring(void)
{
    Drawing d = DRAW("WWWWWWW", "WKKKKKW", "WKWWWKW", "WKWWWKW", "WKWWWKW", "WKKKKKW", "WWWWWWW");
    separate(&d);
    return d;
}

static void ground_wish__makes_a_hole(void **state)
{
    (void)state;
    Drawing d = ring();
    assert_int_equal(d.s.colour_count, 2); // the white inside is paper by itself
    PlaceWish wish = at_cell(&d, 3, 3, true);
    d.options.wishes = (SeparationWishes){.places = &wish, .place_count = 1};
    separate(&d);
    MAP(&d, "-------", "-KKKKK-", "-K---K-", "-K---K-", "-K---K-", "-KKKKK-", "-------");
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(edit_findings(&d), 0);
    done(&d);
}

static void paper_wish__makes_the_ground_paper_and_the_box_larger(void **state)
{
    (void)state;
    Drawing d = ring();
    PlaceWish wish = at_cell(&d, 0, 0, false); // left of and above the figure: negative
    assert_true(wish.x < 0.0);
    d.options.wishes = (SeparationWishes){.places = &wish, .place_count = 1};
    separate(&d);
    MAP(&d, "WWWWWWW", "WKKKKKW", "WKWWWKW", "WKWWWKW", "WKWWWKW", "WKKKKKW", "WWWWWWW");
    assert_true(d.s.box_px[0] == 0.0 && d.s.box_px[3] == 7 * CELL);
    assert_true(d.s.wish_box_px[0] == CELL && d.s.wish_box_px[3] == 6 * CELL);
    assert_int_equal(edit_findings(&d), 0);
    done(&d);
}

static void places__are_those_of_the_picture_without_wishes(void **state)
{
    (void)state;
    Drawing d = DRAW("RRRWWWW", "RRRWWWW", "WWWKKKW", "WWWKWKW", "WWWKKKW", "WWWWWWW");
    separate(&d);
    PlaceWish wishes[2] = {at_cell(&d, 1, 1, true), at_cell(&d, 4, 3, true)}; // the first one shrinks the figure's box
    d.options.wishes = (SeparationWishes){.places = wishes, .place_count = 2};
    separate(&d);
    MAP(&d, "-------", "-------", "---KKK-", "---K-K-", "---KKK-", "-------");
    assert_true(d.s.box_px[0] == 3 * CELL && d.s.wish_box_px[0] == 0.0);
    done(&d);
}

static void place_flipped_twice__is_as_before(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWW", "WKKRRW", "WKKRRW", "WWWWWW");
    separate(&d);
    PlaceWish wishes[2] = {at_cell(&d, 3, 1, true), at_cell(&d, 3, 1, false)};
    d.options.wishes = (SeparationWishes){.places = wishes, .place_count = 2};
    separate(&d);
    MAP(&d, "------", "-KKRR-", "-KKRR-", "------"); // it has kept its colour, not the ground's
    done(&d);
}

static void transparent_hole__becomes_white_paper(void **state)
{
    (void)state;
    Drawing d = DRAW(".....", ".KKK.", ".K.K.", ".KKK.", ".....");
    separate(&d);
    PlaceWish wish = at_cell(&d, 2, 2, false);
    d.options.wishes = (SeparationWishes){.places = &wish, .place_count = 1};
    separate(&d);
    MAP(&d, "-----", "-KKK-", "-KWK-", "-KKK-", "-----");
    assert_int_equal(edit_findings(&d), 0);
    done(&d);
}

static void same__counts_as_the_other_colour(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWW", "WRRBBW", "WRRBBW", "WWGGWW", "WWWWWW");
    SameWish wish = {.colour = {222, 31, 41}, .as = B}; // nearly red is red
    d.options.wishes = (SeparationWishes){.same = &wish, .same_count = 1};
    separate(&d);
    MAP(&d, "------", "-BBBB-", "-BBBB-", "--GG--", "------");
    assert_int_equal(d.s.colours[0].region_count, 1);
    assert_int_equal(findings(&d, "colour-gone", ""), 0);
    assert_int_equal(edit_findings(&d), 0);
    done(&d);
}

static void same_as_the_ground__runs_out_where_it_touches_it(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWWW", "WKKKKWW", "WKRKRRW", "WKKKKWW", "WWWWWWW");
    SameWish wish = {.colour = R, .as = W};
    d.options.wishes = (SeparationWishes){.same = &wish, .same_count = 1};
    separate(&d);
    MAP(&d, "-------", "-KKKK--", "-KWK---", "-KKKK--", "-------");
    wish = (SameWish){.colour = W, .as = R}; // the other way round the enclosed area is red
    separate(&d);
    MAP(&d, "-------", "-KKKK--", "-KRK---", "-KKKK--", "-------");
    done(&d);
}

static void same_in_a_circle__is_said_and_ends(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWWW", "WRRBBGW", "WRRBBGW", "WWWWWWW");
    SameWish wishes[] = {{.colour = R, .as = B}, {.colour = B, .as = R}, {.colour = B, .as = G}, {.colour = G, .as = R},
                         {.colour = R, .as = G}, {.colour = R, .as = B}, {.colour = R, .as = R}};
    d.options.wishes = (SeparationWishes){.same = wishes, .same_count = 7};
    separate(&d);
    MAP(&d, "-------", "-GGGGG-", "-GGGGG-", "-------");
    assert_int_equal(edit_findings(&d), 2);
    assert_int_equal(findings(&d, "edit-not-kept", "counts as red (#dc1e28): by an earlier edit both count as"), 2);
    done(&d);
}

static void colours_that_are_not_there__are_said(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWW", "WRRBBW", "WRRBBW", "WWWWWW");
    const SameWish same[] = {{.colour = PINK, .as = B}, {.colour = B, .as = PINK}};
    const Srgb8 out[] = {PINK, W};
    d.options.wishes = (SeparationWishes){.same = same, .same_count = 2, .left_out = out, .left_out_count = 2};
    separate(&d);
    MAP(&d, "------", "-RRBB-", "-RRBB-", "------");
    assert_int_equal(findings(&d, "edit-without-target", "no colour near magenta (#ff00ff)"), 2);
    assert_int_equal(findings(&d, "edit-without-target", "magenta (#ff00ff) left out: "), 1);
    assert_int_equal(findings(&d, "edit-without-target", "white (#ffffff) left out: no paper has"), 1);
    assert_int_equal(edit_findings(&d), 4);
    done(&d);
}

static void left_out__goes_to_the_nearest_paper(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWWW", "WBBBBRR", "WBGBRRR", "WBBBRRR", "WBBBBRR", "GWWWWWW");
    const Srgb8 out = G;
    d.options.wishes = (SeparationWishes){.left_out = &out, .left_out_count = 1};
    separate(&d);
    MAP(&d, "-------", "-BBBBRR", "-BBBRRR", "-BBBRRR", "-BBBBRR", "-------"); // where only ground is, ground
    assert_int_equal(edit_findings(&d), 0);
    assert_int_equal(findings(&d, "colour-gone", ""), 0);
    done(&d);
}

static int label_at(const Drawing *d, int x, int y)
{
    return d->s.label[y * d->s.width_px + x];
}

// Three areas inside an outline, parted by lines: R | B over G. Cells of 4 pixels; the lines' middles are at 18 (down)
// and 14 (across) pixels from the top left corner.
static void left_out_lines__are_parted_in_their_middle(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWWWWWW", "WKKKKKKKKW", "WKRRKBBBKW", "WKKKKKKKKW", "WKGGGGGGKW", "WKGGGGGGKW", "WKKKKKKKKW",
                     "WWWWWWWWWW");
    separate(&d);
    const Srgb8 out = K;
    d.options.wishes = (SeparationWishes){.left_out = &out, .left_out_count = 1};
    separate(&d);
    assert_int_equal(d.s.colour_count, 3);
    assert_int_equal(edit_findings(&d), 0);
    int r = label_at(&d, 12, 10), b = label_at(&d, 22, 10), g = label_at(&d, 20, 20);
    for (int y = 4; y < 12; y++) // between R and B, from the outline's outer edge on
        for (int x = 4; x < 36; x++) assert_int_equal(label_at(&d, x, y), x < 18 ? r : b);
    for (int x = 8; x < 32; x++) // between both and G; where three meet a pixel may go either way
        for (int y = 12; y < 16; y++)
            if (x < 16 || x >= 20) assert_int_equal(label_at(&d, x, y), y >= 14 ? g : x < 18 ? r : b);
    for (int y = 0; y < d.s.height_px; y++) // ground takes nothing where there is paper
        for (int x = 0; x < d.s.width_px; x++)
            assert_int_equal(label_at(&d, x, y) == 0, x < 4 || y < 4 || x >= 36 || y >= 28);
    done(&d);
}

static void left_out_outline__leaves_the_white_inside_it(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWWW", "WKKKKKW", "WKWWWKW", "WKWRWKW", "WKWWWKW", "WKKKKKW", "WWWWWWW");
    const Srgb8 out[] = {K};
    d.options.wishes = (SeparationWishes){.left_out = out, .left_out_count = 1};
    separate(&d);
    MAP(&d, "-------", "-WWWWW-", "-WWWWW-", "-WWRWW-", "-WWWWW-", "-WWWWW-", "-------");
    // a speck between white and ground does not let the one run out into the other
    Drawing e = DRAW("WWWWWWW", "WKKKKKW", "WKWWWKW", "WGWRWKW", "WKWWWKW", "WKKKKKW", "WWWWWWW");
    e.options.wishes = d.options.wishes;
    e.options.smallest_area_px = 100; // green has taken its part of the outline
    separate(&e);
    assert_int_equal(e.s.label[3 * CELL * e.s.width_px + 3 * CELL], 1);
    assert_int_equal(e.s.colour_count, 1);
    done(&d);
    done(&e);
}

static void last_colour__is_never_wished_away(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWW", "WRRRW", "WRRRW", "WWWWW");
    separate(&d);
    const Srgb8 out = R;
    const PlaceWish place = at_cell(&d, 2, 1, true);
    const SameWish same = {.colour = R, .as = W};
    d.options.wishes = (SeparationWishes){
        .places = &place, .place_count = 1, .same = &same, .same_count = 1, .left_out = &out, .left_out_count = 1};
    separate(&d);
    MAP(&d, "-----", "-RRR-", "-RRR-", "-----");
    assert_int_equal(findings(&d, "edit-not-kept", "nothing"), 3);
    done(&d);
}

static void turns__decide_the_order(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWW", "WRRBBW", "WRRBBW", "WGGGGW", "WWWWWW");
    separate(&d);
    PlaceWish place = at_cell(&d, 1, 1, true);
    SameWish same = {.colour = R, .as = B};
    d.options.wishes = (SeparationWishes){.places = &place, .place_count = 1, .same = &same, .same_count = 1};
    separate(&d);
    MAP(&d, "------", "------", "------", "-GGGG-", "------"); // the area is that of both
    place.turn = 1, same.turn = 2;
    d.options.wishes = (SeparationWishes){.places = &place, .place_count = 1, .same = &same, .same_count = 1};
    separate(&d);
    MAP(&d, "------", "---BB-", "---BB-", "-GGGG-", "------");
    done(&d);
}

static void places_outside__are_said(void **state)
{
    (void)state;
    Drawing d = ring();
    const PlaceWish places[] = {{.x = 50, .y = 0.5, .is_ground = true},
                                {.x = NAN, .y = 0.5},
                                {.x = 0.5, .y = -1e300},
                                {.x = INFINITY, .y = INFINITY, .is_ground = true}};
    const TinyWish tiny[] = {{50, 0.5, TINY_KEEP}, {NAN, NAN, TINY_PEN}, {0.5, 0.5, TINY_ENLARGE}};
    d.options.wishes = (SeparationWishes){.places = places, .place_count = 4, .tiny = tiny, .tiny_count = 3};
    separate(&d);
    assert_int_equal(findings(&d, "edit-without-target", "lies outside the picture"), 4);
    assert_int_equal(findings(&d, "edit-without-target", "the ground at 5000 %, 50 %: "), 1);
    assert_int_equal(findings(&d, "edit-without-target", "no tiny part at this size"), 3);
    for (size_t i = 0; i < d.s.findings.count; i++) assert_true(isfinite(d.s.findings.items[i].x_mm));
    done(&d);
}

// ---- tiny parts: cells of 4 px, specks of fewer than 40 px ----

static Drawing dots(double smallest_area_px)
{
    Drawing d = DRAW("WWWWWWWWWWWW", "WBBBBBBBBBBW", "WBBBBBBBBBBW", "WBBRBBBBGBBW", "WBBBBBBBBBBW", "WBBBBBBBBBBW",
                     "WBBBBBBBBBBW", "WWWWWWWWWWWW");
    d.options.smallest_area_px = smallest_area_px;
    separate(&d);
    return d;
}

static TinyWish tiny_at(const Drawing *d, int x, int y, TinyFate fate)
{
    PlaceWish place = at_cell(d, x, y, false);
    return (TinyWish){place.x, place.y, fate};
}

static int64_t area_of(const Drawing *d, Srgb8 colour)
{
    for (int i = 0; i < d->s.colour_count; i++)
        if (is_colour(d->s.colours[i].colour, colour)) return d->s.colours[i].area_px;
    return 0;
}

static void kept_part__stays_and_the_other_joins(void **state)
{
    (void)state;
    Drawing d = dots(40);
    assert_int_equal(findings(&d, "speck-joined", ""), 2);
    TinyWish wish = tiny_at(&d, 3, 3, TINY_KEEP);
    d.options.wishes = (SeparationWishes){.tiny = &wish, .tiny_count = 1};
    separate(&d);
    assert_int_equal(area_of(&d, R), CELL * CELL);
    assert_int_equal(area_of(&d, G), 0);
    assert_int_equal(findings(&d, "speck-joined", ""), 1);
    assert_int_equal(edit_findings(&d), 0);
    done(&d);
}

static void enlarged_part__is_as_large_as_can_be_handled(void **state)
{
    (void)state;
    Drawing d = dots(0);
    d.options.figure_height_mm = 6 * CELL; // 1 mm a pixel
    d.options.smallest_part_mm = 12;
    TinyWish wishes[] = {tiny_at(&d, 3, 3, TINY_ENLARGE), tiny_at(&d, 8, 3, TINY_ENLARGE)};
    d.options.wishes = (SeparationWishes){.tiny = wishes, .tiny_count = 2};
    separate(&d);
    for (int i = 1; i < 3; i++) { // about a disc of 12 px: 113
        assert_in_range(d.s.colours[i].area_px, 100, 150);
        assert_int_equal(d.s.colours[i].region_count, 1);
    }
    assert_int_equal(d.s.findings.count, 0);
    done(&d);
}

static void enlarged_part__keeps_off_its_like_and_the_ground(void **state)
{
    (void)state;
    // red between two larger reds, and a hole above the ground; both would touch their like if they grew freely
    Drawing d = DRAW("WWWWWWWWWWWW", "WBBBBBBBBBBW", "WRRRBBBRRRBW", "WRRRBRBRRRBW", "WRRRBBBRRRBW", "WRRRBBBRRRBW",
                     "WBBBBBBBBBBW", "WBKKKKKKKKBW", "WBKKKKWKKKBW", "WBKKKKKKKKBW", "WWWWWWWWWWWW");
    d.options.smallest_area_px = 150;
    separate(&d);
    PlaceWish hole = at_cell(&d, 6, 8, true);
    TinyWish wishes[] = {tiny_at(&d, 5, 3, TINY_ENLARGE), tiny_at(&d, 6, 8, TINY_ENLARGE)};
    d.options.wishes = (SeparationWishes){.places = &hole, .place_count = 1, .tiny = wishes, .tiny_count = 2};
    separate(&d);
    assert_int_equal(edit_findings(&d), 0);
    for (int i = 0; i < d.s.colour_count; i++)
        if (is_colour(d.s.colours[i].colour, R)) assert_int_equal(d.s.colours[i].region_count, 3);
    assert_in_range(area_of(&d, R), 24 * CELL * CELL + 150, 24 * CELL * CELL + 190);
    int hole_px = 0;
    for (int y = 7 * CELL; y < 10 * CELL; y++)
        for (int x = CELL; x < 11 * CELL; x++) hole_px += d.s.label[y * d.s.width_px + x] == 0;
    assert_in_range(hole_px, 150, 190);
    for (int x = CELL; x < 11 * CELL; x++) assert_true(d.s.label[(10 * CELL - 1) * d.s.width_px + x] != 0);
    done(&d);
}

static void enlarged_hole__keeps_off_the_edge_of_the_picture(void **state)
{
    (void)state;
    Drawing d = DRAW(".KKKKKKKK", "KKKKKKKKK", "KKKKKKKKK", "KKKWKKKKK", "KKKKKKKKK");
    d.options.smallest_area_px = 150;
    separate(&d);
    PlaceWish hole = at_cell(&d, 3, 3, true);
    TinyWish wish = tiny_at(&d, 3, 3, TINY_ENLARGE);
    d.options.wishes = (SeparationWishes){.places = &hole, .place_count = 1, .tiny = &wish, .tiny_count = 1};
    separate(&d);
    int hole_px = 0;
    for (int i = 0; i < d.s.width_px * d.s.height_px; i++) hole_px += d.s.label[i] == 0;
    assert_in_range(hole_px, 150, 190); // the ground in the corner, a speck as well, has joined
    for (int x = 0; x < d.s.width_px; x++) assert_true(d.s.label[(d.s.height_px - 1) * d.s.width_px + x] != 0);
    done(&d);
}

static void part_without_room__is_said(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWWWWW", "WKKKKKKKW", "WKRBRBRKW", "WKKKKKKKW", "WWWWWWWWW");
    d.options.smallest_area_px = 100;
    separate(&d);
    TinyWish wishes[] = {tiny_at(&d, 2, 2, TINY_KEEP), tiny_at(&d, 4, 2, TINY_ENLARGE), tiny_at(&d, 6, 2, TINY_KEEP),
                         tiny_at(&d, 3, 2, TINY_KEEP), tiny_at(&d, 5, 2, TINY_KEEP)};
    d.options.wishes = (SeparationWishes){.tiny = wishes, .tiny_count = 5};
    separate(&d);
    assert_int_equal(area_of(&d, B), 2 * CELL * CELL);
    assert_true(area_of(&d, R) > 3 * CELL * CELL); // up and down there is room, but not enough
    assert_int_equal(edit_findings(&d), findings(&d, "edit-not-kept", "no room"));
    done(&d);
}

static void drawn_part__joins_and_leaves_its_outline(void **state)
{
    (void)state;
    Drawing d = dots(40);
    TinyWish wish = tiny_at(&d, 3, 3, TINY_PEN);
    d.options.wishes = (SeparationWishes){.tiny = &wish, .tiny_count = 1};
    separate(&d);
    assert_int_equal(area_of(&d, R), 0);
    assert_int_equal(d.s.pen_detail_count, 1);
    const PenDetail *pen = &d.s.pen_details[0];
    assert_true(is_colour(pen->colour, R));
    assert_int_equal(pen->point_count, 4);
    const double square[8] = {12, 12, 16, 12, 16, 16, 12, 16};
    for (int i = 0; i < 8; i++) assert_true(pen->xy_px[i] == square[i]);
    assert_int_equal(findings(&d, "speck-joined", "joined dark blue and is drawn by pen"), 1);
    assert_int_equal(edit_findings(&d), 0);
    done(&d);
}

static void drawn_ring__has_a_line_for_its_hole(void **state)
{
    (void)state;
    Drawing d =
        DRAW("WWWWWWWWW", "WBBBBBBBW", "WBBRRRBBW", "WBBRBRBBW", "WBBRRRBBW", "WBBBBRRBW", "WBBBBBBBW", "WWWWWWWWW");
    d.options.smallest_area_px = 180;
    separate(&d);
    TinyWish wish = tiny_at(&d, 3, 3, TINY_PEN);
    d.options.wishes = (SeparationWishes){.tiny = &wish, .tiny_count = 1};
    separate(&d);
    assert_int_equal(d.s.pen_detail_count, 2);
    assert_int_equal(d.s.pen_details[0].point_count, 8);
    assert_int_equal(d.s.pen_details[1].point_count, 4);
    done(&d);
}

static void drawn_part_that_touches_itself_at_a_corner__has_one_line(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWWWWW", "WBBBBBBBW", "WBBRRRBBW", "WBBRBRBBW", "WBBRRBBBW", "WBBBBBBBW", "WWWWWWWWW");
    d.options.smallest_area_px = 180;
    separate(&d);
    TinyWish wish = tiny_at(&d, 3, 3, TINY_PEN);
    d.options.wishes = (SeparationWishes){.tiny = &wish, .tiny_count = 1};
    separate(&d);
    assert_int_equal(d.s.pen_detail_count, 1);
    assert_int_equal(d.s.pen_details[0].point_count, 10);
    done(&d);
}

static void later_word__counts(void **state)
{
    (void)state;
    Drawing d = dots(40);
    TinyWish wishes[] = {tiny_at(&d, 3, 3, TINY_PEN), tiny_at(&d, 3, 3, TINY_KEEP), tiny_at(&d, 3, 3, TINY_KEEP)};
    d.options.wishes = (SeparationWishes){.tiny = wishes, .tiny_count = 3};
    separate(&d);
    assert_int_equal(area_of(&d, R), CELL * CELL);
    assert_int_equal(d.s.pen_detail_count, 0);
    assert_int_equal(findings(&d, "edit-not-kept", "drawn by pen: a later edit says otherwise"), 1);
    assert_int_equal(edit_findings(&d), 1);
    done(&d);
}

static void part_in_a_part__can_be_kept_both(void **state)
{
    (void)state;
    // green joins red, then both are large enough together; once green is kept, red is tiny
    Drawing d = DRAW("WWWWWWWWW", "WBBBBBBBW", "WBRRRBBBW", "WBRGRBBBW", "WBRRRBBBW", "WBBBBBBBW", "WWWWWWWWW");
    d.options.smallest_area_px = 9 * CELL * CELL;
    separate(&d);
    assert_int_equal(area_of(&d, R), 9 * CELL * CELL);
    TinyWish wishes[] = {tiny_at(&d, 3, 3, TINY_KEEP), tiny_at(&d, 4, 3, TINY_KEEP)};
    d.options.wishes = (SeparationWishes){.tiny = wishes, .tiny_count = 2};
    separate(&d);
    assert_int_equal(area_of(&d, G), CELL * CELL);
    assert_int_equal(area_of(&d, R), 8 * CELL * CELL);
    assert_int_equal(edit_findings(&d), 0);
    done(&d);
}

static void memory_that_runs_out__is_said(void **state)
{
    (void)state;
    Drawing d = DRAW("WWWWWWWWWWWW", "WBBBBBBBBBBW", "WBRBBGGBBKBW", "WBBBBGGBBBBW", "WBBBBBBBBBBW", "WKKKKKKKKKKW",
                     "WWWWWWWWWWWW");
    d.options.smallest_area_px = 30;
    separate(&d);
    const PlaceWish place = at_cell(&d, 0, 0, false);
    const SameWish same = {.colour = G, .as = W};
    const Srgb8 out = B;
    const TinyWish tiny[] = {tiny_at(&d, 2, 2, TINY_ENLARGE), tiny_at(&d, 9, 2, TINY_PEN)};
    d.options.wishes = (SeparationWishes){.places = &place,
                                          .place_count = 1,
                                          .same = &same,
                                          .same_count = 1,
                                          .left_out = &out,
                                          .left_out_count = 0,
                                          .tiny = tiny,
                                          .tiny_count = 2};
    int failures = 0;
    for (int in_keep = 0; in_keep < 2; in_keep++)
        for (int64_t nth = 0; nth < 200; nth++) {
            Arena keep = arena_make(0);
            Work work = {.scratch = arena_make(0)};
            (in_keep ? &keep : &work.scratch)->fail_after = nth;
            Error err = {0};
            Separation s;
            if (!separation_make(&d.picture, &d.options, &keep, &work, &s, &err)) {
                assert_int_equal(err.kind, ERROR_SYSTEM);
                assert_null(s.label);
                failures++;
            } else {
                assert_int_equal(s.pen_detail_count, 1);
            }
            arena_free(&keep);
            arena_free(&work.scratch);
        }
    assert_in_range(failures, 30, 300);
    done(&d);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ground_wish__makes_a_hole),
        cmocka_unit_test(paper_wish__makes_the_ground_paper_and_the_box_larger),
        cmocka_unit_test(places__are_those_of_the_picture_without_wishes),
        cmocka_unit_test(place_flipped_twice__is_as_before),
        cmocka_unit_test(transparent_hole__becomes_white_paper),
        cmocka_unit_test(same__counts_as_the_other_colour),
        cmocka_unit_test(same_as_the_ground__runs_out_where_it_touches_it),
        cmocka_unit_test(same_in_a_circle__is_said_and_ends),
        cmocka_unit_test(colours_that_are_not_there__are_said),
        cmocka_unit_test(left_out__goes_to_the_nearest_paper),
        cmocka_unit_test(left_out_lines__are_parted_in_their_middle),
        cmocka_unit_test(left_out_outline__leaves_the_white_inside_it),
        cmocka_unit_test(last_colour__is_never_wished_away),
        cmocka_unit_test(turns__decide_the_order),
        cmocka_unit_test(places_outside__are_said),
        cmocka_unit_test(kept_part__stays_and_the_other_joins),
        cmocka_unit_test(enlarged_part__is_as_large_as_can_be_handled),
        cmocka_unit_test(enlarged_part__keeps_off_its_like_and_the_ground),
        cmocka_unit_test(enlarged_hole__keeps_off_the_edge_of_the_picture),
        cmocka_unit_test(part_without_room__is_said),
        cmocka_unit_test(drawn_part__joins_and_leaves_its_outline),
        cmocka_unit_test(drawn_ring__has_a_line_for_its_hole),
        cmocka_unit_test(drawn_part_that_touches_itself_at_a_corner__has_one_line),
        cmocka_unit_test(later_word__counts),
        cmocka_unit_test(part_in_a_part__can_be_kept_both),
        cmocka_unit_test(memory_that_runs_out__is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

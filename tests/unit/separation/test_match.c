// test_match.c - colours of a picture go to papers in hand; neighbours that are hard to tell apart are told.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/alike.h"
#include "separation/match.h"

#include <string.h>

#define SIDE 60

static const Srgb8 WHITE = {255, 255, 255}, NAVY = {29, 47, 90}, BLUE = {40, 70, 140}, RED = {200, 30, 40};

typedef struct Drawn {
    Arena keep;
    Work work;
    uint8_t rgba[4 * SIDE * SIDE];
    Separation s;
} Drawn;

// Stripes of navy, blue and red on white; navy and blue touch, and blue and red.
static void separate(Drawn *d, const NamedColour *papers, int paper_count)
{
    *d = (Drawn){.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    for (int i = 0; i < SIDE * SIDE; i++) {
        int x = i % SIDE, y = i / SIDE;
        bool in = x >= 5 && x < 55 && y >= 5 && y < 55;
        Srgb8 c = !in ? WHITE : x < 24 ? NAVY : x < 40 ? BLUE : RED;
        const uint8_t px[4] = {c.r, c.g, c.b, 255};
        memcpy(d->rgba + 4 * i, px, 4);
    }
    Picture picture = {.width_px = SIDE, .height_px = SIDE, .rgba = d->rgba};
    SeparationOptions o = separation_defaults();
    o.smallest_area_px = 4;
    o.wishes.papers = papers, o.wishes.paper_count = paper_count;
    Error err = {0};
    assert_true(separation_make(&picture, &o, &d->keep, &d->work, &d->s, &err));
}

static void done(Drawn *d)
{
    arena_free(&d->keep);
    arena_free(&d->work.scratch);
}

static const Finding *find_kind(const Separation *s, const char *kind, int *count)
{
    const Finding *first = NULL;
    *count = 0;
    for (size_t i = 0; i < s->findings.count; i++)
        if (strcmp(s->findings.items[i].kind, kind) == 0 && (*count)++ == 0) first = &s->findings.items[i];
    return first;
}

static const SeparationColour *at(const Drawn *d, int x, int y)
{
    return &d->s.colours[d->s.label[y * SIDE + x] - 1];
}

static void papers_in_hand__give_colours_their_name_and_value(void **state)
{
    (void)state;
    static const NamedColour papers[] = {{{180, 40, 45}, "brick"}, {{20, 40, 80}, "midnight"}, {{50, 80, 150}, "denim"}, {{240, 240, 20}, "sun"}};
    Drawn d;
    int count;
    separate(&d, papers, 4);
    assert_int_equal(d.s.colour_count, 3);
    assert_string_equal(at(&d, 10, 30)->name, "midnight");
    assert_string_equal(at(&d, 30, 30)->name, "denim");
    assert_string_equal(at(&d, 50, 30)->name, "brick");
    assert_memory_equal(&at(&d, 50, 30)->colour, &papers[0].colour, sizeof(Srgb8));
    assert_int_equal(d.s.label[0], 0);
    assert_memory_equal(&d.s.ground_colour, &WHITE, sizeof WHITE); // the ground is not cut, so it has no paper
    (void)find_kind(&d.s, "paper-shared", &count);
    assert_int_equal(count, 0);
    (void)find_kind(&d.s, "paper-far", &count);
    assert_int_equal(count, 0);
    assert_int_equal(d.s.match_count, 3);
    for (int i = 0; i < 3; i++)
        if (memcmp(&d.s.matches[i].from, &BLUE, sizeof BLUE) == 0) assert_string_equal(d.s.colours[d.s.matches[i].colour].name, "denim");
    done(&d);
}

static void one_paper_for_two__they_become_one_and_that_is_told(void **state)
{
    (void)state;
    static const NamedColour papers[] = {{{180, 40, 45}, "brick"}, {{30, 50, 100}, "midnight"}};
    Drawn d;
    int count;
    separate(&d, papers, 2);
    assert_int_equal(d.s.colour_count, 2);
    assert_int_equal(d.s.label[30 * SIDE + 10], d.s.label[30 * SIDE + 30]);
    assert_int_equal(at(&d, 30, 30)->region_count, 1);
    assert_non_null(strstr(find_kind(&d.s, "paper-shared", &count)->text, "midnight"));
    assert_int_equal(count, 1);
    (void)find_kind(&d.s, "colour-gone", &count);
    assert_int_equal(count, 0);
    done(&d);
}

static void no_paper_is_near__is_told(void **state)
{
    (void)state;
    static const NamedColour papers[] = {{{30, 50, 100}, "midnight"}};
    Drawn d;
    int count;
    separate(&d, papers, 1);
    assert_int_equal(d.s.colour_count, 1);
    assert_non_null(strstr(find_kind(&d.s, "paper-far", &count)->text, "#c81e28"));
    assert_int_equal(count, 1);
    done(&d);
}

static Palette palette_of(const Srgb8 *colours, int count)
{
    Palette p = {.count = count};
    for (int i = 0; i < count; i++) p.colours[i] = (PaletteColour){colours[i], lab_from_srgb8(colours[i]), 100};
    return p;
}

static void match__an_unused_paper_little_farther_keeps_two_apart(void **state)
{
    (void)state;
    static const Srgb8 two[] = {{60, 90, 170}, {70, 105, 190}};
    static const NamedColour near[] = {{{66, 98, 180}, "blue"}, {{85, 120, 200}, "sky"}, {{200, 30, 40}, "red"}};
    int64_t area[SEPARATION_MAX_COLOURS] = {100, 100};
    int8_t paper_of[SEPARATION_MAX_COLOURS];
    Palette p = palette_of(two, 2);
    match_colours(&p, area, near, 3, paper_of);
    assert_int_equal(paper_of[0], 0);
    assert_int_equal(paper_of[1], 1); // blue is nearer to it, but sky will do
    match_colours(&p, area, (const NamedColour[]){near[0], near[2]}, 2, paper_of);
    assert_int_equal(paper_of[0], 0);
    assert_int_equal(paper_of[1], 0); // red will not
    area[1] = 0;
    match_colours(&p, area, near, 3, paper_of);
    assert_int_equal(paper_of[1], -1); // what has no area needs no paper
    match_colours(&p, area, NULL, 0, paper_of);
    assert_int_equal(paper_of[0], -1);
}

static void alike__neighbours_alone_and_nearest_first(void **state)
{
    (void)state;
    uint8_t label[64 * 64];
    SeparationColour colours[4] = {{.colour = {100, 100, 100}}, {.colour = {112, 112, 112}}, {.colour = {106, 106, 106}}, {.colour = {255, 0, 0}}};
    Separation s = {.width_px = 64, .height_px = 64, .label = label, .colours = colours, .colour_count = 4};
    for (int i = 0; i < 64 * 64; i++) { // 1 | 4 | 2 / 3, and 3 touches 2 and 4 alone
        int x = i % 64, y = i / 64;
        label[i] = x < 20 ? 1 : x < 40 ? 4 : y < 32 ? 2 : 3;
    }
    Work work = {.scratch = arena_make(0)};
    Alike pairs[ALIKE_MOST];
    Error err = {0};
    int count;
    assert_true(alike_find(&s, &work, pairs, &count, &err));
    assert_int_equal(count, 1);
    assert_int_equal(pairs[0].a, 1);
    assert_int_equal(pairs[0].b, 2);
    assert_true(pairs[0].de00 > 0.0 && pairs[0].de00 < ALIKE_DE00);
    assert_true(pairs[0].x_px >= 40.0 && pairs[0].y_px == 32.0);
    for (int i = 0; i < 64 * 64; i++) // now all greys touch
        if (label[i] == 4) label[i] = 1;
    assert_true(alike_find(&s, &work, pairs, &count, &err));
    assert_int_equal(count, 3);
    assert_true(pairs[0].de00 <= pairs[1].de00 && pairs[1].de00 <= pairs[2].de00);
    for (int i = 0; i < 64 * 64; i++) // a corner that touches does not matter
        label[i] = i % 64 < 8 && i / 64 < 7 ? 2 : 1;
    assert_true(alike_find(&s, &work, pairs, &count, &err));
    assert_int_equal(count, 0);
    arena_free(&work.scratch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(papers_in_hand__give_colours_their_name_and_value),
        cmocka_unit_test(one_paper_for_two__they_become_one_and_that_is_told),
        cmocka_unit_test(no_paper_is_near__is_told),
        cmocka_unit_test(match__an_unused_paper_little_farther_keeps_two_apart),
        cmocka_unit_test(alike__neighbours_alone_and_nearest_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

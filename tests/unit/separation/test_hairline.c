// test_hairline.c - lines of single pixels hang together, and nothing else changes.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/hairline.h"

#include <string.h>

#define SIDE_PX 24
#define GREEN LABEL_FIRST
#define BLACK (LABEL_FIRST + 1)

static const Palette palette = {.colours = {{.colour = {58, 143, 92}}, {.colour = {0, 0, 0}}}, .count = 2};

typedef struct Field { Work work; Picture picture; uint8_t rgba[SIDE_PX * SIDE_PX * 4], label[SIDE_PX * SIDE_PX]; } Field;

static void field_make(Field *f)
{
    memset(f, 0, sizeof *f);
    f->work.scratch = arena_make(0);
    f->picture = (Picture){.width_px = SIDE_PX, .height_px = SIDE_PX, .rgba = f->rgba};
    memset(f->label, GREEN, sizeof f->label);
}

static void put(Field *f, int x, int y, uint8_t label)
{
    f->label[y * SIDE_PX + x] = label;
}

// Returns how many pixels got another label.
static int join(Field *f)
{
    static uint8_t before[SIDE_PX * SIDE_PX];
    Error err;
    int changed = 0;
    memcpy(before, f->label, sizeof before);
    for (int i = 0; i < SIDE_PX * SIDE_PX; i++) {
        if (f->label[i] == LABEL_CLEAR) continue;
        Srgb8 c = palette.colours[f->label[i] - LABEL_FIRST].colour;
        f->rgba[i * 4] = c.r, f->rgba[i * 4 + 1] = c.g, f->rgba[i * 4 + 2] = c.b, f->rgba[i * 4 + 3] = 255;
    }
    assert_true(hairlines_join(&f->picture, &palette, &f->work, f->label, &err));
    for (int i = 0; i < SIDE_PX * SIDE_PX; i++) changed += f->label[i] != before[i];
    arena_free(&f->work.scratch);
    return changed;
}

static int parts_of(const Field *f, uint8_t label)
{
    static int stack[SIDE_PX * SIDE_PX * 4];
    uint8_t left[SIDE_PX * SIDE_PX];
    int parts = 0;
    memcpy(left, f->label, sizeof left);
    for (int start = 0; start < SIDE_PX * SIDE_PX; start++) {
        if (left[start] != label) continue;
        int depth = 0;
        parts++;
        stack[depth++] = start;
        while (depth > 0) {
            int at = stack[--depth], x = at % SIDE_PX, y = at / SIDE_PX;
            if (left[at] != label) continue;
            left[at] = 0;
            if (x > 0) stack[depth++] = at - 1;
            if (x + 1 < SIDE_PX) stack[depth++] = at + 1;
            if (y > 0) stack[depth++] = at - SIDE_PX;
            if (y + 1 < SIDE_PX) stack[depth++] = at + SIDE_PX;
        }
    }
    return parts;
}

// The circle's points by the least squared error in each column or row.
static void put_ring(Field *f, int radius, uint8_t label)
{
    for (int u = 0; u <= radius; u++) {
        int v = 0;
        while ((2 * v + 1) * (2 * v + 1) < 4 * (radius * radius - u * u)) v++;
        if (v < u) break;
        for (int k = 0; k < 8; k++) {
            int a = k & 1 ? u : -u, b = k & 2 ? v : -v;
            put(f, 12 + (k & 4 ? a : b), 12 + (k & 4 ? b : a), label);
        }
    }
}

static void ring__of_single_pixels_becomes_one_area_and_parts_what_lies_on_its_sides(void **state)
{
    (void)state;
    for (int radius = 4; radius <= 10; radius++)
        for (int on_clear = 0; on_clear < 2; on_clear++) {
            Field f;
            field_make(&f);
            if (on_clear) memset(f.label, LABEL_CLEAR, sizeof f.label);
            put_ring(&f, radius, BLACK);
            assert_true(parts_of(&f, BLACK) > 1);
            assert_true(join(&f) > 0);
            assert_int_equal(parts_of(&f, BLACK), 1);
            assert_int_equal(parts_of(&f, on_clear ? LABEL_CLEAR : GREEN), 2);
        }
}

static void line__of_single_pixels_goes_on_in_both_directions(void **state)
{
    (void)state;
    for (int fall = -1; fall <= 1; fall += 2) {
        Field f;
        field_make(&f);
        for (int i = 4; i < 20; i++) put(&f, i, fall > 0 ? i : SIDE_PX - i, BLACK);
        assert_int_equal(join(&f), 15);
        assert_int_equal(parts_of(&f, BLACK), 1);
    }
}

static void areas__that_touch_over_a_corner_stay_apart(void **state)
{
    (void)state;
    Field f;
    field_make(&f);
    for (int y = 4; y < 12; y++)
        for (int x = 4; x < 12; x++) put(&f, x, y, BLACK), put(&f, x + 8, y + 8, BLACK);
    assert_int_equal(join(&f), 0);
}

static void pattern__of_single_pixels_stays(void **state)
{
    (void)state;
    Field f;
    field_make(&f);
    for (int y = 0; y < SIDE_PX; y++)
        for (int x = y % 2; x < SIDE_PX; x += 2) put(&f, x, y, BLACK);
    assert_int_equal(join(&f), 0);
}

static void line__takes_the_pixel_that_is_more_like_it(void **state)
{
    (void)state;
    Field f;
    Error err;
    for (int k = 0; k < 2; k++) {
        field_make(&f);
        put(&f, 10, 10, BLACK), put(&f, 11, 11, BLACK);
        memset(f.rgba, 255, sizeof f.rgba);
        int nearer = k ? 10 * SIDE_PX + 11 : 11 * SIDE_PX + 10;
        f.rgba[nearer * 4] = 100;
        assert_true(hairlines_join(&f.picture, &palette, &f.work, f.label, &err));
        assert_int_equal(f.label[nearer], BLACK);
        assert_int_equal(parts_of(&f, BLACK), 1);
        arena_free(&f.work.scratch);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ring__of_single_pixels_becomes_one_area_and_parts_what_lies_on_its_sides),
        cmocka_unit_test(line__of_single_pixels_goes_on_in_both_directions),
        cmocka_unit_test(areas__that_touch_over_a_corner_stay_apart),
        cmocka_unit_test(pattern__of_single_pixels_stays),
        cmocka_unit_test(line__takes_the_pixel_that_is_more_like_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// Places of a layout: further ones for a piece, and layouts in which some pieces lie where they are wanted.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "nest/check.h"
#include "nest/places.h"
#include "support/nest_measure.h"
#include "support/nest_table.h"

#include <string.h>

// Field by field: what lies between them is nobody's.
static void assert_same_place(const NestPlace *a, const NestPlace *b)
{
    assert_int_equal(a->sheet, b->sheet);
    assert_memory_equal(a->to_sheet, b->to_sheet, sizeof a->to_sheet);
}

static void lay(NestTable *c)
{
    if (!nest_pieces(c->items, c->count, &c->options, &c->keep, &c->work, &c->result, &c->err)) fail_msg("%s", c->err.text);
}

static void assert_valid(const NestTable *c, const NestResult *result)
{
    for (int i = 0; i < c->count; i++) {
        assert_true(result->places[i].sheet >= 0 && result->places[i].sheet < result->sheet_count);
        assert_true(outside_mm(&c->items[i], &result->places[i], &c->options) <= 1e-5);
        for (int j = 0; j < i; j++)
            if (result->places[i].sheet == result->places[j].sheet)
                assert_true(distance_mm(&c->items[i], &result->places[i], &c->items[j], &result->places[j]) >= c->options.gap_mm - 1e-5);
    }
    for (int s = 0; s < result->sheet_count; s++) {
        bool any = false;
        for (int i = 0; i < c->count; i++) any |= result->places[i].sheet == s;
        assert_true(any);
    }
}

static NestPlace *places(NestTable *c, int item, int *count)
{
    NestPlace *found;
    if (!nest_places(c->items, c->count, &c->options, &c->result, item, NEST_PLACES_MOST, &c->keep, &c->work, &found, count, &c->err))
        fail_msg("%s", c->err.text);
    return found;
}

// The place moved by so much, unturned.
static NestPlace moved(NestPlace place, double x_mm, double y_mm)
{
    place.to_sheet[4] += x_mm;
    place.to_sheet[5] += y_mm;
    return place;
}

static NestResult grant(NestTable *c, const NestWish *wishes, int count, NestFate *fates)
{
    NestResult out;
    if (!nest_grant(c->items, c->count, &c->options, &c->result, wishes, count, &c->keep, &c->work, &out, fates, &c->err))
        fail_msg("%s", c->err.text);
    assert_valid(c, &out);
    return out;
}

// ---- further places ----

static void nest_places__are_clear_of_the_others_and_of_one_another(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    for (int i = 0; i < 5; i++) nest_table_box(&c, 110, 150); // one a sheet, and a smaller one beside
    for (int i = 0; i < 5; i++) nest_table_box(&c, 40 + i, 30);
    lay(&c);
    int count;
    NestPlace *found = places(&c, 7, &count), before = c.result.places[7];
    assert_int_equal(count, NEST_PLACES_MOST);
    assert_int_equal(found[0].sheet, before.sheet);
    int on_own = 0;
    for (int k = 0; k < count; k++) {
        c.result.places[7] = found[k];
        assert_valid(&c, &c.result);
        on_own += found[k].sheet == before.sheet;
        for (int m = 0; m < k; m++)
            if (found[m].sheet == found[k].sheet)
                assert_true(distance_mm(&c.items[7], &found[m], &c.items[7], &found[k]) >= c.options.gap_mm - 1e-5);
    }
    assert_true(on_own >= 1 && on_own < count); // spread over the sheets
    nest_table_free(&c);
}

static void nest_places__of_a_piece_as_large_as_its_sheet_are_none(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter,textured");
    nest_table_box(&c, 200, 260);
    nest_table_box(&c, 200, 260);
    lay(&c);
    int count;
    places(&c, 0, &count);
    assert_int_equal(count, 0);
    nest_table_free(&c);
}

static void nest_places__keep_the_papers_direction(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter,grained");
    nest_table_box(&c, 90, 50);
    nest_table_box(&c, 100, 100);
    lay(&c);
    int count;
    NestPlace *found = places(&c, 0, &count);
    assert_true(count > 0);
    for (int k = 0; k < count; k++) assert_true(fabs(found[k].to_sheet[1]) < 1e-9);
    nest_table_free(&c);
}

// ---- wishes ----

static void nest_grant__a_free_place_moves_nothing_else(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    for (int i = 0; i < 6; i++) nest_table_box(&c, 60, 60);
    lay(&c);
    int count;
    NestPlace *found = places(&c, 2, &count);
    NestWish wish = {2, found[0]};
    NestFate fate;
    NestResult out = grant(&c, &wish, 1, &fate);
    assert_int_equal(fate, NEST_FATE_KEPT);
    assert_memory_equal(&out.places[2], &found[0], sizeof found[0]);
    for (int i = 0; i < c.count; i++)
        if (i != 2) assert_same_place(&out.places[i], &c.result.places[i]);
    nest_table_free(&c);
}

static void nest_grant__what_lies_there_is_laid_again(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 190, 120);
    nest_table_box(&c, 190, 120);
    lay(&c);
    assert_int_equal(c.result.sheet_count, 1);
    NestWish wish = {0, moved(c.result.places[0], 0, c.result.places[0].to_sheet[5] < c.result.places[1].to_sheet[5] ? 40 : -40)};
    NestFate fate;
    NestResult out = grant(&c, &wish, 1, &fate); // it now lies across the middle: the other has no room beside it
    assert_int_equal(fate, NEST_FATE_KEPT);
    assert_memory_equal(&out.places[0], &wish.place, sizeof wish.place);
    assert_int_equal(out.sheet_count, 2);
    nest_table_free(&c);
}

static void nest_grant__a_sheet_that_has_become_empty_is_taken_away(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    for (int i = 0; i < 3; i++) nest_table_box(&c, 60, 60);
    lay(&c);
    NestWish there = {1, {.sheet = 1}}, back = {1, c.result.places[1]};
    memcpy(there.place.to_sheet, c.result.places[1].to_sheet, sizeof there.place.to_sheet);
    NestFate fates[2];
    NestResult out = grant(&c, &there, 1, fates); // a new sheet
    assert_int_equal(out.sheet_count, 2);
    const NestWish both[2] = {there, back};
    out = grant(&c, both, 2, fates);
    assert_int_equal(out.sheet_count, 1);
    assert_int_equal(fates[0], NEST_FATE_OVERTAKEN);
    assert_int_equal(fates[1], NEST_FATE_KEPT);
    for (int i = 0; i < 3; i++) assert_same_place(&out.places[i], &c.result.places[i]);
    nest_table_free(&c);
}

static void nest_grant__a_later_wish_wins_the_place(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    for (int i = 0; i < 4; i++) nest_table_box(&c, 60, 60);
    lay(&c);
    int count;
    NestPlace *found = places(&c, 0, &count);
    const NestWish wishes[2] = {{0, found[0]}, {1, moved(found[0], 1, 1)}};
    NestFate fates[2];
    NestResult out = grant(&c, wishes, 2, fates);
    assert_int_equal(fates[0], NEST_FATE_PUSHED);
    assert_int_equal(fates[1], NEST_FATE_KEPT);
    assert_same_place(&out.places[1], &wishes[1].place);
    nest_table_free(&c);
}

static void nest_grant__refuses_what_cannot_be(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter,grained");
    nest_table_box(&c, 60, 50);
    nest_table_box(&c, 60, 50);
    lay(&c);
    NestPlace stretched = c.result.places[0], turned = c.result.places[0];
    stretched.to_sheet[0] = 1.1;
    turned.to_sheet[0] = turned.to_sheet[3] = 0.0;
    turned.to_sheet[1] = 1.0, turned.to_sheet[2] = -1.0;
    const NestWish wishes[] = {{0, {.sheet = 2, .to_sheet = {1, 0, 0, 1, -400, -400}}},
                               {0, {.sheet = -1, .to_sheet = {1, 0, 0, 1, -400, -400}}},
                               {0, stretched},
                               {0, turned},
                               {0, moved(c.result.places[0], -300, 0)},
                               {0, {.sheet = 0, .to_sheet = {1, 0, 0, 1, NAN, -400}}}};
    const NestFate expected[] = {NEST_FATE_NO_SHEET, NEST_FATE_NO_SHEET, NEST_FATE_NO_TURN,
                                 NEST_FATE_NO_TURN,  NEST_FATE_NO_ROOM,  NEST_FATE_NO_TURN};
    NestFate fates[6];
    NestResult out = grant(&c, wishes, 6, fates);
    assert_memory_equal(fates, expected, sizeof expected);
    for (int i = 0; i < 2; i++) assert_same_place(&out.places[i], &c.result.places[i]);
    nest_table_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nest_places__are_clear_of_the_others_and_of_one_another),
        cmocka_unit_test(nest_places__of_a_piece_as_large_as_its_sheet_are_none),
        cmocka_unit_test(nest_places__keep_the_papers_direction),
        cmocka_unit_test(nest_grant__a_free_place_moves_nothing_else),
        cmocka_unit_test(nest_grant__what_lies_there_is_laid_again),
        cmocka_unit_test(nest_grant__a_sheet_that_has_become_empty_is_taken_away),
        cmocka_unit_test(nest_grant__a_later_wish_wins_the_place),
        cmocka_unit_test(nest_grant__refuses_what_cannot_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

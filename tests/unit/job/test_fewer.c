// test_fewer.c - pieces against seam in sight: the words, and which of two divisions is taken.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/fewer.h"

#define INCH_MM 25.4

static const SeamOptions USUAL = {.hidden_weight = 0.08, .piece_weight = 4.0};

typedef struct Division { Seam seam; LayerPieces pieces; } Division;

static LayerPieces *division(Division *d, int piece_count, double visible_in, double hidden_in)
{
    d->seam = (Seam){.length_mm = (visible_in + hidden_in) * INCH_MM, .visible_mm = visible_in * INCH_MM};
    d->pieces = (LayerPieces){.piece_count = piece_count, .seams = &d->seam, .seam_count = 1};
    return &d->pieces;
}

static bool takes(Fewer fewer, int pieces, double visible_in, double hidden_in) // against 10 pieces, 40 in in sight, 20 in hidden
{
    Division asked, usual;
    return fewer_takes(fewer, division(&asked, pieces, visible_in, hidden_in), division(&usual, 10, 40.0, 20.0), &USUAL);
}

static void fewer_find__reads_what_fewer_word_says(void **state)
{
    (void)state;
    Fewer found = FEWER_NEITHER;
    for (int i = 0; i <= FEWER_SEAMS; i++) {
        assert_true(fewer_find(fewer_word((Fewer)i), &found));
        assert_int_equal(found, i);
    }
    assert_false(fewer_find("", &found));
    assert_false(fewer_find("Pieces", &found));
    assert_false(fewer_find("sheets", &found));
}

static void fewer_piece_weight__is_eight_or_one_inch_beside_the_usual_four(void **state)
{
    (void)state;
    assert_true(fewer_piece_weight(FEWER_NEITHER, 4.0) == 4.0);
    assert_true(fewer_piece_weight(FEWER_PIECES, 4.0) == 8.0);
    assert_true(fewer_piece_weight(FEWER_SEAMS, 4.0) == 1.0);
}

static void fewer_takes__a_piece_less_may_cost_eight_inches_of_seam(void **state)
{
    (void)state;
    assert_true(takes(FEWER_PIECES, 9, 47.9, 20.0));
    assert_false(takes(FEWER_PIECES, 9, 48.1, 20.0));
    assert_false(takes(FEWER_PIECES, 9, 47.9, 23.0)); // hidden seam counts for 0.08 of it
}

static void fewer_takes__less_seam_may_cost_a_piece_an_inch(void **state)
{
    (void)state;
    assert_true(takes(FEWER_SEAMS, 12, 37.9, 20.0));
    assert_false(takes(FEWER_SEAMS, 12, 38.1, 20.0));
}

static void fewer_takes__never_makes_worse_what_was_asked_for(void **state)
{
    (void)state;
    assert_false(takes(FEWER_PIECES, 11, 20.0, 20.0)); // far less seam, but a piece more
    assert_false(takes(FEWER_SEAMS, 5, 41.0, 20.0));   // far fewer pieces, but seam more
    assert_true(takes(FEWER_PIECES, 10, 39.0, 20.0));
    assert_true(takes(FEWER_SEAMS, 9, 40.0, 20.0));
    assert_false(takes(FEWER_PIECES, 10, 40.0, 20.0)); // the same is no reason to change
    assert_false(takes(FEWER_NEITHER, 9, 10.0, 20.0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fewer_find__reads_what_fewer_word_says),
        cmocka_unit_test(fewer_piece_weight__is_eight_or_one_inch_beside_the_usual_four),
        cmocka_unit_test(fewer_takes__a_piece_less_may_cost_eight_inches_of_seam),
        cmocka_unit_test(fewer_takes__less_seam_may_cost_a_piece_an_inch),
        cmocka_unit_test(fewer_takes__never_makes_worse_what_was_asked_for),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

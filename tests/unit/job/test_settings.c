// test_settings.c - papers by layer, and heights and borders that cannot be.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/settings.h"

#include <math.h>
#include <string.h>

static Settings with_papers(const char *const *words, int count)
{
    Settings settings = settings_defaults();
    Error err = {0};
    settings.height_mm = 800.0;
    for (int i = 0; i < count; i++) assert_true(settings_add_paper(&settings, words[i], &err));
    return settings;
}

static void settings_paper__a_layers_own_choice_wins_over_the_common_one(void **state)
{
    (void)state;
    const char *words[] = {"letter", "A=11x24", "c=12x12"};
    Settings settings = with_papers(words, 3);
    assert_true(fabs(settings_paper(&settings, 0)->height_mm - 24 * 25.4) < 1e-9);
    assert_true(fabs(settings_paper(&settings, 1)->height_mm - 11 * 25.4) < 1e-9);
    assert_true(fabs(settings_paper(&settings, 2)->height_mm - 12 * 25.4) < 1e-9); // small letters name layers too
}

static void settings_add_paper__a_later_choice_replaces_the_former(void **state)
{
    (void)state;
    const char *words[] = {"letter", "a4", "A=a3", "A=a5"};
    Settings settings = with_papers(words, 4);
    assert_int_equal(settings.paper_count, 2);
    assert_true(fabs(settings_paper(&settings, 0)->height_mm - 210.0) < 1e-9);
    assert_true(fabs(settings_paper(&settings, 5)->height_mm - 297.0) < 1e-9);
}

static void settings_seams__a_layers_own_choice_wins_and_later_ones_replace(void **state)
{
    (void)state;
    Settings settings = settings_defaults();
    Error err = {0};
    bool named;
    assert_int_equal(settings_seams(&settings, 0, &named), SEAM_BUTT);
    assert_true(settings_add_seams(&settings, "B=butt", &err));
    assert_true(settings_add_seams(&settings, "lap", &err));
    assert_int_equal(settings_seams(&settings, 0, &named), SEAM_LAP);
    assert_false(named);
    assert_int_equal(settings_seams(&settings, 1, &named), SEAM_BUTT);
    assert_true(named);
    assert_true(settings_add_seams(&settings, "b=lap", &err));
    assert_true(settings_add_seams(&settings, "butt", &err));
    assert_int_equal(settings.seam_count, 2);
    assert_int_equal(settings_seams(&settings, 1, &named), SEAM_LAP);
    assert_int_equal(settings_seams(&settings, 2, &named), SEAM_BUTT);
    static const char *const wrong[] = {"", "wave", "A=", "=lap", "laps", "A=lap,B=butt"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        assert_false(settings_add_seams(&settings, wrong[i], &err));
        assert_int_equal(err.kind, ERROR_USAGE);
    }
}

static void settings_paper__without_a_common_choice_other_layers_have_none(void **state)
{
    (void)state;
    const char *words[] = {"B=letter"};
    Settings settings = with_papers(words, 1);
    Error err = {0};
    assert_null(settings_paper(&settings, 0));
    assert_false(settings_check(&settings, &err));
    assert_int_equal(err.kind, ERROR_USAGE);
}

static void settings_check__refuses_lengths_that_cannot_be(void **state)
{
    (void)state;
    const char *words[] = {"letter"};
    const double heights[] = {0.0, -1.0, 19.9, 30001.0, NAN, INFINITY};
    for (size_t i = 0; i < sizeof heights / sizeof heights[0]; i++) {
        Settings settings = with_papers(words, 1);
        Error err = {0};
        settings.height_mm = heights[i];
        assert_false(settings_check(&settings, &err));
        assert_int_equal(err.kind, ERROR_JOB);
    }
    const double borders[] = {-1.0, 201.0, NAN};
    for (size_t i = 0; i < sizeof borders / sizeof borders[0]; i++) {
        Settings settings = with_papers(words, 1);
        Error err = {0};
        settings.border_mm = borders[i];
        assert_false(settings_check(&settings, &err));
        assert_int_equal(err.kind, ERROR_JOB);
    }
    const double widths[] = {-1.0, 81.0, NAN};
    for (size_t i = 0; i < sizeof widths / sizeof widths[0]; i++) {
        Settings settings = with_papers(words, 1);
        Error err = {0};
        settings.thicken_mm = widths[i];
        assert_false(settings_check(&settings, &err));
        assert_int_equal(err.kind, ERROR_JOB);
    }
}

static void settings_check__refuses_insets_that_cannot_be(void **state)
{
    (void)state;
    const char *words[] = {"letter"};
    const struct { double mm; bool fine; } INSETS[] = {{0.0, true}, {0.5, true}, {5.0, true}, {0.49, false}, {5.01, false}, {-1.0, false},
                                                       {NAN, false}, {INFINITY, false}};
    for (size_t i = 0; i < sizeof INSETS / sizeof INSETS[0]; i++) {
        Settings settings = with_papers(words, 1);
        Error err = {0};
        settings.inset_mm = INSETS[i].mm;
        assert_int_equal(settings_check(&settings, &err), INSETS[i].fine);
        if (INSETS[i].fine) continue;
        assert_int_equal(err.kind, ERROR_JOB);
        assert_non_null(strstr(err.text, "0.5 mm to 5 mm"));
    }
}

static void settings_check__judges_every_paper_on_the_cutter(void **state)
{
    (void)state;
    const char *words[] = {"letter", "C=22x28"};
    Settings settings = with_papers(words, 2);
    Error err = {0};
    assert_true(settings_check(&settings, &err));
    settings.has_cutter = cutter_parse("12x24", &settings.cutter, &err);
    assert_true(settings.has_cutter);
    assert_false(settings_check(&settings, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    assert_non_null(strstr(err.text, "22x28in"));
    settings.has_cutter = cutter_parse("poster-board", &settings.cutter, &err);
    assert_true(settings_check(&settings, &err));
}

static void settings_check__a_tool_that_the_cutter_lacks_is_refused(void **state)
{
    (void)state;
    const char *words[] = {"letter"};
    Settings settings = with_papers(words, 1);
    Error err = {0};
    settings.has_cutter = cutter_parse("12x24,score", &settings.cutter, &err);
    settings.marks[0] = MARK_SCORE, settings.marks[1] = MARK_PEN, settings.mark_count = 2;
    assert_false(settings_check(&settings, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    assert_non_null(strstr(err.text, "--marks score would work"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(settings_paper__a_layers_own_choice_wins_over_the_common_one),
        cmocka_unit_test(settings_add_paper__a_later_choice_replaces_the_former),
        cmocka_unit_test(settings_seams__a_layers_own_choice_wins_and_later_ones_replace),
        cmocka_unit_test(settings_paper__without_a_common_choice_other_layers_have_none),
        cmocka_unit_test(settings_check__refuses_insets_that_cannot_be),
        cmocka_unit_test(settings_check__judges_every_paper_on_the_cutter),
        cmocka_unit_test(settings_check__a_tool_that_the_cutter_lacks_is_refused),
        cmocka_unit_test(settings_check__refuses_lengths_that_cannot_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

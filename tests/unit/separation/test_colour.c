// Colour spaces and differences against published values.
// Source:  ciede2000.csv: G. Sharma, W. Wu, E. N. Dalal, Color Research and Application 30(1) (2005), table 1;
//          srgb_xyz_lab_oklab.csv: IEC 61966-2-1, CIE 15, W3C CSS Color 4 (see the README beside them).
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/colour.h"
#include "support/shared.h"

#include <math.h>
#include <string.h>

#define MOST_COLUMNS 16

static int parse_row(char *line, double values[MOST_COLUMNS])
{
    int count = 0;
    for (char *at = strtok(line, ",\n"); at && count < MOST_COLUMNS; at = strtok(NULL, ",\n"))
        values[count++] = atof(at);
    return count;
}

static void assert_near(double found, double expected, double within, const char *what, int row)
{
    if (!(fabs(found - expected) <= within)) fail_msg("%s, row %d: %.9f, expected %.9f", what, row, found, expected);
}

static void linear_from_srgb8__is_the_standards_curve(void **state)
{
    (void)state;
    for (int i = 0; i < 256; i++) {
        double encoded = i / 255.0;
        double expected = encoded <= 0.04045 ? encoded / 12.92 : pow((encoded + 0.055) / 1.055, 2.4);
        assert_near(linear_from_srgb8((uint8_t)i), expected, 2e-15 * expected, "linear", i);
    }
    assert_true(linear_from_srgb8(0) == 0.0 && linear_from_srgb8(255) == 1.0);
}

static void lab_difference_2000__gives_the_published_table(void **state)
{
    (void)state;
    char path[SHARED_PATH_MAX], line[256];
    shared_find_or_skip("data/colour/ciede2000.csv", path);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    int row = 0;
    double v[MOST_COLUMNS];
    assert_non_null(fgets(line, sizeof line, f));
    while (fgets(line, sizeof line, f)) {
        assert_int_equal(parse_row(line, v), 7);
        Lab a = {v[0], v[1], v[2]}, b = {v[3], v[4], v[5]};
        row++;
        assert_near(lab_difference_2000(a, b), v[6], 1e-4, "dE00", row);
        assert_near(lab_difference_2000(b, a), v[6], 1e-4, "dE00 the other way", row);
    }
    fclose(f);
    assert_int_equal(row, 34);
}

static void spaces__give_the_published_values(void **state)
{
    (void)state;
    char path[SHARED_PATH_MAX], line[512];
    shared_find_or_skip("data/colour/srgb_xyz_lab_oklab.csv", path);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    int row = 0;
    double v[MOST_COLUMNS], xyz[3], ok[3];
    assert_non_null(fgets(line, sizeof line, f));
    while (fgets(line, sizeof line, f)) {
        assert_int_equal(parse_row(line, v), 15);
        Srgb8 c = {(uint8_t)v[0], (uint8_t)v[1], (uint8_t)v[2]};
        Lab lab = lab_from_srgb8(c);
        const double found_lab[3] = {lab.L, lab.a, lab.b};
        xyz_from_srgb8(c, xyz);
        oklab_from_srgb8(c, ok);
        row++;
        for (int i = 0; i < 3; i++) {
            assert_near(xyz[i], v[3 + i], 2e-6, "XYZ", row);
            assert_near(found_lab[i], v[6 + i], 1e-4, "Lab", row);
            assert_near(ok[i], v[12 + i], 2e-6, "OKLab", row);
        }
    }
    fclose(f);
    assert_int_equal(row, 24);
}

// The same laws where the shared tables are missing: single rows of them.
static void lab_difference_2000__jump_of_hue_and_grey(void **state)
{
    (void)state;
    assert_near(lab_difference_2000((Lab){50, 2.49, -0.001}, (Lab){50, -2.49, 0.0010}), 7.1792, 1e-4, "pair 10", 10);
    assert_near(lab_difference_2000((Lab){50, 0, 0}, (Lab){50, -1, 2}), 2.3669, 1e-4, "pair 7", 7);
    assert_true(lab_difference_2000((Lab){50, 0, 0}, (Lab){50, 0, 0}) == 0.0);
}

static void colour_name__plain_words(void **state)
{
    (void)state;
    const struct {
        Srgb8 colour;
        const char *name;
    } cases[] = {
        {{0, 0, 0}, "black"},    {{255, 255, 255}, "white"}, {{0x1d, 0x2f, 0x5a}, "navy"}, {{255, 0, 0}, "red"},
        {{0, 160, 60}, "green"}, {{255, 240, 0}, "yellow"},  {{128, 128, 128}, "grey"},    {{120, 70, 40}, "brown"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(colour_name(cases[i].colour), cases[i].name);
}

static void colour_hex__lower_case(void **state)
{
    (void)state;
    char hex[8];
    colour_hex((Srgb8){0x1d, 0x2f, 0xaa}, hex);
    assert_string_equal(hex, "#1d2faa");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(linear_from_srgb8__is_the_standards_curve),
        cmocka_unit_test(lab_difference_2000__gives_the_published_table),
        cmocka_unit_test(spaces__give_the_published_values),
        cmocka_unit_test(lab_difference_2000__jump_of_hue_and_grey),
        cmocka_unit_test(colour_name__plain_words),
        cmocka_unit_test(colour_hex__lower_case),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

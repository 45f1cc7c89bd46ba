// test_plan_labels.c - the room that a number on the key plan takes.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "kit/plan_labels.h"

#include <pango/pangocairo.h>
#include <string.h>

// Millimetres as pango sets it, at a size of 100.
static double set_width(PangoLayout *layout, const char *words)
{
    PangoRectangle box;
    pango_layout_set_text(layout, words, -1);
    pango_layout_get_extents(layout, NULL, &box);
    return (double)box.width / PANGO_SCALE;
}

static bool is_font_there(PangoContext *context, const PangoFontDescription *font)
{
    PangoFont *found = pango_font_map_load_font(pango_cairo_font_map_get_default(), context, font);
    PangoFontDescription *described = found ? pango_font_describe(found) : NULL;
    bool is_there = described && strcmp(pango_font_description_get_family(described), "DejaVu Sans") == 0;
    pango_font_description_free(described);
    if (found) g_object_unref(found);
    return is_there;
}

static void number__takes_at_least_what_the_font_needs_and_little_more(void **state)
{
    (void)state;
    PangoContext *context = pango_font_map_create_context(pango_cairo_font_map_get_default());
    PangoLayout *layout = pango_layout_new(context);
    PangoFontDescription *font = pango_font_description_from_string("DejaVu Sans Bold");
    pango_font_description_set_absolute_size(font, 100 * PANGO_SCALE);
    pango_layout_set_font_description(layout, font);
    bool is_there = is_font_there(context, font);
    for (char letter = 'A'; is_there && letter <= 'Z'; letter++) {
        static const char *const NUMBERS[] = {"1", "10", "88", "128", "407"};
        for (size_t i = 0; i < sizeof NUMBERS / sizeof NUMBERS[0] && letter != 'I' && letter != 'O'; i++) {
            char number[8];
            snprintf(number, sizeof number, "%c%s", letter, NUMBERS[i]);
            double needs = set_width(layout, number), takes = plan_number_mm(number, 100);
            if (takes < needs || takes > 1.06 * needs + 18.0 * (letter == 'J')) // J is much wider in other fonts
                fail_msg("%s takes %.1f and needs %.1f", number, takes, needs);
        }
    }
    pango_font_description_free(font);
    g_object_unref(layout);
    g_object_unref(context);
    if (!is_there) skip();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(number__takes_at_least_what_the_font_needs_and_little_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

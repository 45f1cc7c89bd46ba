// guide.html of a kit made by hand: what stands in it, and that no name is ever markup. What it does: tests/page/test_guide.mjs.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/kit_case.h"

#include "kit/guide_html.h"
#include "kit/markup.h"

#include <stdio.h>

static char *guide_of(Made *made)
{
    make_files(made);
    return text_of(made, "guide.html");
}

static int count_of(const char *text, const char *what)
{
    int count = 0;
    for (const char *at = strstr(text, what); at; at = strstr(at + 1, what)) count++;
    return count;
}

static void picture__has_each_piece_once_in_tenths_of_millimetres(void **state)
{
    (void)state;
    Made *made = prepare();
    char *text = guide_of(made);
    assert_int_equal(count_of(text, "<path data-piece=\"A1\" d=\"M"), 1);
    assert_int_equal(count_of(text, "<path data-piece=\"A2\" d=\"M"), 1);
    assert_int_equal(count_of(text, "<path data-piece=\"B1\" d=\"M"), 1);
    assert_int_equal(count_of(text, "data-piece="), 3);
    assert_int_equal(count_of(text, "viewBox=\"0 0 2000 3000\""), 1);
    assert_int_equal(count_of(text, "data-of=\"A1 A2\""), 1);
    free(text);
    drop(made);
}

static void steps__are_those_of_the_printed_guide(void **state)
{
    (void)state;
    Made *made = prepare();
    char *text = guide_of(made);
    int steps = 0;
    assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
    assert_true(guide_below(&made->draft, &made->keep, &made->work, &made->below, &made->err));
    for (int layer = 0; layer < 2; layer++) {
        GuideSteps of_layer;
        assert_true(guide_steps(&made->draft, layer, made->below, &made->keep, &made->work, &of_layer, &made->err));
        for (int i = 0; i < of_layer.count; i++, steps++) {
            char heading[200];
            snprintf(heading, sizeof heading, "<h4>%d. %s</h4>", i + 1, of_layer.items[i].title);
            assert_true(count_of(text, heading) >= 1);
            for (int k = 0; k < of_layer.items[i].line_count; k++) assert_non_null(strstr(text, of_layer.items[i].lines[k]));
        }
    }
    assert_int_equal(count_of(text, "<li class=\"step\""), steps);
    assert_int_equal(count_of(text, "data-measured=\"yes\""), 1); // the joined base, once
    free(text);
    drop(made);
}

static void names__are_never_markup(void **state)
{
    (void)state;
    Made *made = prepare();
    SeparationColour *colours = (SeparationColour *)made->kit.input.stack->colours;
    made->kit.input.name = "<b>\"kite\" & co";
    for (int i = 0; i < made->kit.input.stack->colour_count; i++) snprintf(colours[i].name, sizeof colours[i].name, "<i a=\"%d\">&", i);
    char *text = guide_of(made);
    assert_null(strstr(text, "<b>"));
    assert_null(strstr(text, "<i a"));
    assert_non_null(strstr(text, "data-name=\"&lt;b&gt;&quot;kite&quot; &amp; co\""));
    assert_true(count_of(text, "&lt;i a=&quot;") >= 2);
    free(text);
    drop(made);
}

static void key__is_another_when_a_piece_is_another(void **state)
{
    (void)state;
    Made *one = prepare(), *two = prepare(), *other = prepare();
    other->kit.input.layer_pieces[0].pieces[0].id[1] = '3';
    char *a = guide_of(one), *b = guide_of(two), *c = guide_of(other);
    const char *key_a = strstr(a, "data-key=\""), *key_c = strstr(c, "data-key=\"");
    assert_string_equal(a, b);
    assert_non_null(key_a);
    assert_non_null(key_c);
    assert_memory_not_equal(key_a, key_c, strlen("data-key=\"0123456789abcdef\""));
    free(a);
    free(b);
    free(c);
    drop(one);
    drop(two);
    drop(other);
}

static void file__asks_for_nothing_outside(void **state)
{
    (void)state;
    Made *made = prepare();
    char *text = guide_of(made);
    assert_null(strstr(text, "[[name"));
    assert_non_null(strstr(text, "default-src 'none'; style-src 'sha256-"));
    assert_int_equal(count_of(text, "<script>"), 1);
    assert_int_equal(count_of(text, "</script>"), 1);
    assert_int_equal(count_of(text, "<style>"), 1);
    assert_null(strstr(text, " style=\""));
    assert_null(strstr(text, " src="));
    assert_null(strstr(text, "href"));
    assert_null(strstr(text, "url("));
    assert_int_equal(count_of(text, "http"), 2); // http-equiv, and the name of SVG in the script
    free(text);
    drop(made);
}

static void markup__escapes_what_would_be_read_as_markup(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    markup_add(&text, "a<b>c&d\"e'");
    markup_add(&text, "");
    markup_add(&text, "\xc3\xa4");
    assert_string_equal(text.bytes, "a&lt;b&gt;c&amp;d&quot;e'\xc3\xa4");
    arena_free(&arena);
}

static void little_memory__is_said_and_nothing_is_left_behind(void **state)
{
    (void)state;
    int refused = 0;
    for (int64_t after = 0; after < 400; after = after < 20 ? after + 1 : after * 4 / 3) {
        for (int which = 0; which < 2; which++) {
            Made *made = prepare();
            FileBytes file = {0};
            assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
            if (which) made->keep.fail_after = after;
            else made->work.scratch.fail_after = after;
            if (!guide_html(&made->draft, &made->keep, &made->work, &file, &made->err)) {
                assert_int_equal(made->err.kind, ERROR_SYSTEM);
                refused++;
            }
            drop(made);
        }
    }
    assert_true(refused > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(picture__has_each_piece_once_in_tenths_of_millimetres),
        cmocka_unit_test(steps__are_those_of_the_printed_guide),
        cmocka_unit_test(names__are_never_markup),
        cmocka_unit_test(key__is_another_when_a_piece_is_another),
        cmocka_unit_test(file__asks_for_nothing_outside),
        cmocka_unit_test(markup__escapes_what_would_be_read_as_markup),
        cmocka_unit_test(little_memory__is_said_and_nothing_is_left_behind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

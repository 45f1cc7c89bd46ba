// test_offered.c - offers as sentences, with the docket line that takes each.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "desk/offered.h"
#include "store/docket.h"

#include <string.h>

static const char *written(const Offered *offered, Arena *keep)
{
    Text text = text_make(keep);
    JsonWriter json = write_json_make(&text);
    Error err = {0};
    assert_true(offered_write(offered, &json, keep, &err));
    return text.bytes;
}

static void offered_write__says_what_is_worth_telling(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Offered offered = {.shape = 1, .offers = {.now = {FEWER_NEITHER, 64, 1000.0, false}, .count = 2,
                                              .items = {{FEWER_PIECES, 59, 1000.0 + 18 * 25.4, true}, {FEWER_SEAMS, 64, 1000.0 - 3 * 25.4, true}}}};
    const char *text = written(&offered, &keep);
    assert_non_null(strstr(text, "\"says\": \"59 pieces would show 18 in more of seam\""));
    assert_non_null(strstr(text, "\"says\": \"64 pieces would show 3 in less of seam\""));
    offered.offers.items[0].is_worth_telling = false;
    offered.offers.items[1].visible_mm = 1005.0;
    text = written(&offered, &keep);
    assert_null(strstr(text, "59 pieces"));
    assert_non_null(strstr(text, "64 pieces would show as much seam"));
    arena_free(&keep);
}

static void offered_write__gives_lines_that_the_docket_takes(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    const Fewer ways[] = {FEWER_NEITHER, FEWER_PIECES, FEWER_SEAMS};
    for (size_t i = 0; i < 3; i++) {
        Offered offered = {.shape = 1, .offers = {.count = 1, .items = {{ways[i], 5, 10.0, true}}}};
        const char *line = strstr(written(&offered, &keep), "{\n      \"edit\""), *checked;
        assert_non_null(line);
        Error err = {0};
        size_t size = (size_t)(strchr(line, '}') - line) + 1;
        assert_true(docket_check(line, size, &keep, &checked, &err));
        assert_non_null(strstr(checked, fewer_word(ways[i])));
    }
    Offered none = {0};
    assert_string_equal(written(&none, &keep), "[]\n");
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(offered_write__says_what_is_worth_telling), cmocka_unit_test(offered_write__gives_lines_that_the_docket_takes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

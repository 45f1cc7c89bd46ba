// test_write_json.c - layout, escapes, and what happens without memory.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/write_json.h"

static void json__nests_with_two_blanks_and_keeps_the_order(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    JsonWriter json = write_json_make(&text);
    write_json_object(&json);
    write_json_key_string(&json, "name", "whale");
    write_json_key_number(&json, "border_mm", 0.0, 3);
    write_json_key(&json, "price");
    write_json_null(&json);
    write_json_key(&json, "base");
    write_json_bool(&json, true);
    write_json_key(&json, "layers");
    write_json_list(&json);
    write_json_object(&json);
    write_json_key_string(&json, "id", "A");
    write_json_end(&json);
    write_json_object(&json);
    write_json_end(&json);
    write_json_bool(&json, false);
    write_json_end(&json);
    write_json_key(&json, "size_mm");
    write_json_list_inline(&json);
    write_json_number(&json, 215.9, 3);
    write_json_number(&json, -0.0001, 3);
    write_json_end(&json);
    write_json_key(&json, "none");
    write_json_list(&json);
    write_json_end(&json);
    write_json_end(&json);
    assert_string_equal(text.bytes, "{\n"
                                    "  \"name\": \"whale\",\n"
                                    "  \"border_mm\": 0,\n"
                                    "  \"price\": null,\n"
                                    "  \"base\": true,\n"
                                    "  \"layers\": [\n"
                                    "    {\n"
                                    "      \"id\": \"A\"\n"
                                    "    },\n"
                                    "    {},\n"
                                    "    false\n"
                                    "  ],\n"
                                    "  \"size_mm\": [215.9, 0],\n"
                                    "  \"none\": []\n"
                                    "}\n");
    arena_free(&arena);
}

static void json_list_inline__holds_lists_and_objects_on_its_line(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    JsonWriter json = write_json_make(&text);
    write_json_list_inline(&json);
    write_json_list(&json);
    write_json_number(&json, 1, 0);
    write_json_number(&json, 2, 0);
    write_json_end(&json);
    write_json_object(&json);
    write_json_key_string(&json, "a", "b");
    write_json_key_number(&json, "c", 0.5, 1);
    write_json_end(&json);
    write_json_end(&json);
    assert_string_equal(text.bytes, "[[1, 2], {\"a\": \"b\", \"c\": 0.5}]\n");
    arena_free(&arena);
}

static void string_is(const char *value, const char *expected)
{
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    JsonWriter json = write_json_make(&text);
    write_json_string(&json, value);
    assert_string_equal(text.bytes, expected);
    arena_free(&arena);
}

static void json_string__escapes_what_json_wants(void **state)
{
    (void)state;
    string_is("", "\"\"");
    string_is("say \"hi\" \\ there", "\"say \\\"hi\\\" \\\\ there\"");
    string_is("a\nb\rc\td", "\"a\\nb\\rc\\td\"");
    string_is("\x01\x1f", "\"\\u0001\\u001f\"");
    string_is("\x7f/", "\"\x7f/\"");
    string_is("Gr\u00f6\u00dfe \U0001F40B", "\"Gr\u00f6\u00dfe \U0001F40B\"");
}

static void json_string__bytes_that_are_not_utf8_become_replacement_characters(void **state)
{
    (void)state;
    string_is("a\xFF\xFE"
              "b",
              "\"a\uFFFD\uFFFD"
              "b\"");
    string_is("cut \xE2\x82", "\"cut \uFFFD\uFFFD\"");
    string_is("\xED\xA0\x80", "\"\uFFFD\uFFFD\uFFFD\"");
}

static void json_key__is_escaped_too(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    JsonWriter json = write_json_make(&text);
    write_json_object(&json);
    write_json_key_number(&json, "a\"b", 1, 0);
    write_json_end(&json);
    assert_string_equal(text.bytes, "{\n  \"a\\\"b\": 1\n}\n");
    arena_free(&arena);
}

static void json__a_text_without_memory_fails_once_at_the_end(void **state)
{
    (void)state;
    for (int step = 0; step < 3; step++) {
        Arena arena = arena_make(0);
        arena.fail_after = step;
        Text text = text_make(&arena);
        JsonWriter json = write_json_make(&text);
        write_json_list(&json);
        for (int i = 0; i < 200; i++) write_json_number(&json, i, 0);
        write_json_end(&json);
        Error err = {0};
        assert_false(text_is_whole(&text, &err));
        assert_int_equal(err.kind, ERROR_SYSTEM);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json__nests_with_two_blanks_and_keeps_the_order),
        cmocka_unit_test(json_list_inline__holds_lists_and_objects_on_its_line),
        cmocka_unit_test(json_string__escapes_what_json_wants),
        cmocka_unit_test(json_string__bytes_that_are_not_utf8_become_replacement_characters),
        cmocka_unit_test(json_key__is_escaped_too),
        cmocka_unit_test(json__a_text_without_memory_fails_once_at_the_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// test_json.c - what the JSON writer writes, an outside reader (jansson) reads as the same values in the same order.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "base/rng.h"
#include "base/write_json.h"

#define SEED 77u
#define ROUNDS 3000

// Any bytes but 0: quotes, controls, broken UTF-8.
static void some_string(Rng *rng, char out[24])
{
    size_t size = rng_below(rng, 23);
    for (size_t i = 0; i < size; i++)
        out[i] = (char)(rng_below(rng, 3) ? 32 + rng_below(rng, 95) : 1 + rng_below(rng, 255));
    out[size] = 0;
}

// The string as it should come back: bytes of no character become U+FFFD.
static void expected_string(const char *from, char out[80])
{
    size_t size = strlen(from), used = 0;
    for (size_t at = 0; at < size;) {
        size_t character = text_character_size(from + at, size - at);
        memcpy(out + used, character ? from + at : "\uFFFD", character ? character : 3);
        used += character ? character : 3;
        at += character ? character : 1;
    }
    out[used] = 0;
}

// Writes one random value and builds the same with jansson.
static json_t *write_some(JsonWriter *json, Rng *rng, int depth)
{
    char string[24], expected[80];
    switch (rng_below(rng, depth > 5 ? 4 : 7)) {
    case 0:
        write_json_null(json);
        return json_null();
    case 1: {
        bool value = rng_below(rng, 2);
        write_json_bool(json, value);
        return json_boolean(value);
    }
    case 2: {
        int64_t thousandths = (int64_t)rng_below(rng, 2000000) - 1000000;
        write_json_number(json, (double)thousandths / 1000.0, 3);
        return thousandths % 1000 ? json_real((double)thousandths / 1000.0) : json_integer(thousandths / 1000);
    }
    case 3:
        some_string(rng, string);
        expected_string(string, expected);
        write_json_string(json, string);
        return json_string(expected);
    case 4: {
        json_t *object = json_object();
        write_json_object(json);
        for (uint32_t i = 0, count = rng_below(rng, 5); i < count; i++) {
            char key[16];
            snprintf(key, sizeof key, "%c%u", "zyx\"\\"[rng_below(rng, 5)], i);
            write_json_key(json, key);
            json_object_set_new(object, key, write_some(json, rng, depth + 1));
        }
        write_json_end(json);
        return object;
    }
    default: {
        json_t *list = json_array();
        if (rng_below(rng, 2))
            write_json_list(json);
        else
            write_json_list_inline(json);
        for (uint32_t i = 0, count = rng_below(rng, 5); i < count; i++)
            json_array_append_new(list, write_some(json, rng, depth + 1));
        write_json_end(json);
        return list;
    }
    }
}

static void write_json__reads_back_as_the_same_values(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    for (uint32_t round = 0; round < ROUNDS; round++) {
        Rng rng = rng_make(SEED + round);
        Text text = text_make(&arena);
        JsonWriter json = write_json_make(&text);
        write_json_list(&json);
        json_t *expected = write_some(&json, &rng, 0);
        write_json_end(&json);
        json_error_t trouble;
        json_t *list = json_loadb(text.bytes, text.size_bytes, JSON_REJECT_DUPLICATES, &trouble);
        if (!list) fail_msg("seed %u: %s in\n%s", SEED + round, trouble.text, text.bytes);
        if (!json_equal(json_array_get(list, 0), expected))
            fail_msg("seed %u: not the same values in\n%s", SEED + round, text.bytes);
        json_decref(list);
        json_decref(expected);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(write_json__reads_back_as_the_same_values)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// test_key.c - the published values of SipHash-2-4 with 128 bits, and what must and must not make keys differ.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/key.h"

// First output byte lowest, as the test values are listed.
static void assert_bytes(Key key, const uint8_t expected[16])
{
    for (int i = 0; i < 8; i++) {
        assert_int_equal(key.high >> 8 * i & 0xff, expected[i]);
        assert_int_equal(key.low >> 8 * i & 0xff, expected[8 + i]);
    }
}

static void hasher_key__gives_the_published_values(void **state)
{
    (void)state;
    // vectors_sip128 of the authors' test values: no bytes, and the byte 00
    const uint8_t none[16] = {0xa3, 0x81, 0x7f, 0x04, 0xba, 0x25, 0xa8, 0xe6, 0x6d, 0xf6, 0x72, 0x14, 0xc7, 0x55, 0x02, 0x93};
    const uint8_t one[16] = {0xda, 0x87, 0xc1, 0xd8, 0x6b, 0x99, 0xaf, 0x44, 0x34, 0x76, 0x59, 0x11, 0x9b, 0x22, 0xfc, 0x45};
    Hasher hasher = hasher_plain();
    assert_bytes(hasher_key(&hasher), none);
    hash_bytes(&hasher, "", 1);
    assert_bytes(hasher_key(&hasher), one);
}

static void hash_bytes__in_parts_is_as_in_one(void **state)
{
    (void)state;
    const char text[] = "a lighthouse, a whale with spectacles, and a book";
    Hasher whole = hasher_plain();
    hash_bytes(&whole, text, sizeof text);
    for (size_t split = 0; split <= sizeof text; split++) {
        Hasher parts = hasher_plain();
        hash_bytes(&parts, text, split);
        hash_bytes(&parts, text + split, sizeof text - split);
        assert_true(key_equal(hasher_key(&whole), hasher_key(&parts)));
    }
}

static Key key_of_texts(const char *a, const char *b)
{
    Hasher hasher = hasher_plain();
    hash_text(&hasher, a);
    hash_text(&hasher, b);
    return hasher_key(&hasher);
}

static void hash_text__knows_where_a_text_ends(void **state)
{
    (void)state;
    assert_false(key_equal(key_of_texts("ab", "c"), key_of_texts("a", "bc")));
    assert_false(key_equal(key_of_texts("", "a"), key_of_texts(NULL, "a")));
}

static void hash_double__both_zeros_are_one(void **state)
{
    (void)state;
    Hasher plus = hasher_plain(), minus = hasher_plain(), other = hasher_plain();
    hash_double(&plus, 0.0);
    hash_double(&minus, -0.0);
    hash_double(&other, 1e-300);
    assert_true(key_equal(hasher_key(&plus), hasher_key(&minus)));
    assert_false(key_equal(hasher_key(&plus), hasher_key(&other)));
}

static void hasher_make__stages_have_keys_of_their_own(void **state)
{
    (void)state;
    Hasher seams = hasher_make("seams"), marks = hasher_make("marks");
    assert_false(key_equal(hasher_key(&seams), hasher_key(&marks)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hasher_key__gives_the_published_values),
        cmocka_unit_test(hash_bytes__in_parts_is_as_in_one),
        cmocka_unit_test(hash_text__knows_where_a_text_ends),
        cmocka_unit_test(hash_double__both_zeros_are_one),
        cmocka_unit_test(hasher_make__stages_have_keys_of_their_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// test_proof.c - the proof as a whole on the sample kit.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "proof/proof.h"
#include "support/sample_kit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct Kit {
    Arena keep;
    Work work;
    FileSet files;
    Proof proof;
    Error error;
} Kit;

static Kit sample(void)
{
    Kit kit = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    assert_true(sample_kit(&kit.keep, &kit.files));
    return kit;
}

static void prove(Kit *kit)
{
    assert_true(proof_kit(&kit->files, &kit->keep, &kit->work, &kit->proof, &kit->error));
}

static void drop(Kit *kit)
{
    arena_free(&kit->keep);
    arena_free(&kit->work.scratch);
}

static void proof_kit__a_good_kit_has_no_fault(void **state)
{
    (void)state;
    Kit kit = sample();
    prove(&kit);
    if (kit.proof.fault_count) print_message("%s", kit.proof.text);
    assert_int_equal(kit.proof.fault_count, 0);
    assert_non_null(strstr(kit.proof.text, "holds what it promises"));
    assert_non_null(strstr(kit.proof.text, "cut one small sheet first"));
    assert_non_null(strstr(kit.proof.text, "Layers   3, made up of 5 faces"));
    if (getenv("PM_SHOW")) print_message("%s", kit.proof.text);
    drop(&kit);
}

static void proof_kit__its_text_is_the_same_twice(void **state)
{
    (void)state;
    Kit a = sample(), b = sample();
    prove(&a);
    prove(&b);
    assert_string_equal(a.proof.text, b.proof.text);
    drop(&a);
    drop(&b);
}

static void add_file(Kit *kit, const char *name, const char *text)
{
    FileBytes *items = arena_new(&kit->keep, FileBytes, kit->files.count + 1);
    assert_non_null(items);
    memcpy(items, kit->files.items, (size_t)kit->files.count * sizeof *items);
    items[kit->files.count] = (FileBytes){name, text, strlen(text)};
    kit->files = (FileSet){items, kit->files.count + 1};
    files_sort(&kit->files);
}

static void proof_kit__accepts_its_own_text(void **state)
{
    (void)state;
    Kit kit = sample();
    prove(&kit);
    add_file(&kit, "proof.txt", kit.proof.text);
    prove(&kit);
    assert_int_equal(kit.proof.fault_count, 0);
    drop(&kit);
}

static void proof_kit__refuses_another_text(void **state)
{
    (void)state;
    Kit kit = sample();
    add_file(&kit, "proof.txt", "all is well\n");
    prove(&kit);
    assert_int_equal(kit.proof.fault_count, 1);
    assert_string_equal(kit.proof.faults[0].kind, "proof-differs");
    assert_non_null(strstr(kit.proof.text, "do not cut it"));
    drop(&kit);
}

static void proof_kit__no_files_is_a_missing_kit(void **state)
{
    (void)state;
    Kit kit = sample();
    kit.files.count = 0;
    prove(&kit);
    assert_int_equal(kit.proof.fault_count, 1);
    assert_string_equal(kit.proof.faults[0].kind, "file-missing");
    assert_string_equal(kit.proof.faults[0].where, "kit.json");
    drop(&kit);
}

static void proof_kit__stops_when_asked(void **state)
{
    (void)state;
    Kit kit = sample();
    atomic_bool cancel = true;
    kit.work.cancel = &cancel;
    assert_false(proof_kit(&kit.files, &kit.keep, &kit.work, &kit.proof, &kit.error));
    assert_int_equal(kit.error.kind, ERROR_CANCELLED);
    drop(&kit);
}

// Each hand-out fails once: the proof ends with a clean error, or does without.
static void proof_kit__lack_of_memory_is_a_clean_error(void **state)
{
    (void)state;
    Kit kit = sample();
    bool done = false;
    int refused = 0;
    for (int64_t n = 0; !done && n < 5000; n += 7) {
        Work work = {.scratch = arena_make(0)};
        Arena keep = arena_make(0);
        Error error = {0};
        Proof proof;
        work.scratch.fail_after = n;
        done = proof_kit(&kit.files, &keep, &work, &proof, &error);
        if (!done) {
            assert_int_equal(error.kind, ERROR_SYSTEM);
            refused++;
        }
        arena_free(&keep);
        arena_free(&work.scratch);
    }
    assert_true(done);
    assert_true(refused > 20);
    drop(&kit);
}

static void refuses(const char *kit_json, const char *kind)
{
    Kit kit = sample();
    for (int i = 0; i < kit.files.count; i++)
        if (strcmp(kit.files.items[i].name, "kit.json") == 0) {
            kit.files.items[i].bytes = kit_json;
            kit.files.items[i].size_bytes = strlen(kit_json);
        }
    prove(&kit);
    assert_true(kit.proof.fault_count > 0);
    assert_string_equal(kit.proof.faults[0].kind, kind);
    drop(&kit);
}

static void proof_kit__hostile_kit_json_is_a_fault(void **state)
{
    (void)state;
    refuses("", "bad-file");
    refuses("[]", "bad-file");
    refuses("{}", "bad-file");
    refuses("{\"format\": \"papermason-kit\", \"format\": \"papermason-kit\"}", "bad-file");
    refuses("{\"version\": NaN}", "bad-file");
    refuses("{\"version\": 1e999}", "bad-file");
    char *deep = malloc(100001);
    assert_non_null(deep);
    memset(deep, '[', 100000);
    deep[100000] = '\0';
    refuses(deep, "bad-file");
    free(deep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(proof_kit__a_good_kit_has_no_fault),
        cmocka_unit_test(proof_kit__its_text_is_the_same_twice),
        cmocka_unit_test(proof_kit__accepts_its_own_text),
        cmocka_unit_test(proof_kit__refuses_another_text),
        cmocka_unit_test(proof_kit__no_files_is_a_missing_kit),
        cmocka_unit_test(proof_kit__stops_when_asked),
        cmocka_unit_test(proof_kit__lack_of_memory_is_a_clean_error),
        cmocka_unit_test(proof_kit__hostile_kit_json_is_a_fault),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// test_damage.c - kits that are spoiled in some way: each is caught, with the kind of fault and the piece, seam, sheet,
// key or file concerned.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "damage.h"
#include "proof/proof.h"

#include <string.h>

#define SAMPLE_DAMAGES 380
#define FORM_DAMAGES 180 // where the sheets are parted into files in another way
#define REAL_DAMAGES 60

static bool is_named(const Proof *proof, const Expected *expected)
{
    for (int i = 0; i < proof->kept_count; i++)
        for (int k = 0; k < 3; k++)
            if (strcmp(proof->faults[i].kind, expected->kind[k]) == 0 &&
                strcmp(proof->faults[i].where, expected->where) == 0)
                return true;
    return false;
}

#define MOST_UNITS 40

// The units run last first, each with memory of its own, as threads may: the same faults in the same order.
static void prove_in_units(const FileSet *files, const Proof *whole)
{
    Arena own = arena_make(0), keep = arena_make(0), arenas[MOST_UNITS];
    Work work = {.scratch = arena_make(0)};
    ProofMaking *making;
    Proof proof;
    Error err = {0};
    assert_true(proof_begin(files, &own, &work, &making, &err));
    int count = proof_unit_count(making);
    assert_in_range(count, 0, MOST_UNITS);
    for (int i = count - 1; i >= 0; i--) {
        arenas[i] = arena_make(0);
        assert_true(proof_unit(making, i, &arenas[i], &work, &err));
        arena_rewind(&work.scratch, (ArenaMark){0});
    }
    assert_true(proof_end(making, &keep, &own, &work, &proof, &err));
    for (int i = 0; i < count; i++) arena_free(&arenas[i]);
    arena_free(&own);
    arena_free(&work.scratch);
    assert_int_equal(proof.fault_count, whole->fault_count);
    assert_string_equal(proof.text, whole->text);
    arena_free(&keep);
}

// One damage; false when this kit has nothing to spoil in this way.
static bool spoil_and_prove(const FileSet *files, const char *name, const NamedDamage *damage, uint64_t seed)
{
    Arena arena = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    EditKit kit;
    Expected expected = {0};
    Rng rng = rng_make(seed);
    edit_open(files, &arena, &kit);
    edit_remove(&kit, "proof.txt"); // else it would give every damage away
    bool spoiled = damage->spoil(&kit, &rng, &expected);
    edit_close(&kit);
    if (spoiled) {
        Proof proof;
        Error err = {0};
        if (!proof_kit(&kit.files, &arena, &work, &proof, &err)) fail_msg("%s", err.text);
        if (!is_named(&proof, &expected))
            fail_msg("%s, seed %d, %s: expected %s at %s, but the proof says:\n%s", name, (int)seed, damage->name,
                     expected.kind[0], expected.where, proof.text);
        if (seed % 4 == 0) prove_in_units(&kit.files, &proof);
    }
    arena_free(&arena);
    arena_free(&work.scratch);
    return spoiled;
}

static const NamedDamage *damage_at(int index)
{
    if (index < json_damage_count) return &json_damages[index];
    index -= json_damage_count;
    return index < sheet_damage_count ? &sheet_damages[index] : &form_damages[index - sheet_damage_count];
}

static void proof_kit__names_what_is_spoiled(void **state)
{
    (void)state;
    Arena all = arena_make(0);
    FileSet kits[EDIT_MAX_KITS];
    const char *names[EDIT_MAX_KITS];
    int kit_count = edit_kits(&all, kits, names), kinds = json_damage_count + sheet_damage_count + form_damage_count;
    bool ever[128] = {false};
    for (int k = 0; k < kit_count; k++) {
        int wanted = k == 0 ? SAMPLE_DAMAGES : k < EDIT_SAMPLES ? FORM_DAMAGES : REAL_DAMAGES, done = 0, kinds_done = 0;
        bool used[128] = {false};
        uint64_t first = 1 + 20000 * (uint64_t)k; // other draws for each kit
        // Then on until the samples had every kind they can have: some find a place for their damage seldom, and some in one form alone.
        uint64_t last_try = first + (k == 0 ? 6000 : k < EDIT_SAMPLES ? 2000 : 0);
        for (uint64_t seed = first; (done < wanted || (kinds_done < kinds && seed < last_try)) && seed < first + 20000; seed++) {
            int index = (int)(seed % (uint64_t)kinds);
            if (done >= wanted && used[index]) continue;
            if (!spoil_and_prove(&kits[k], names[k], damage_at(index), seed)) continue;
            kinds_done += !used[index];
            used[index] = ever[index] = true;
            done++;
        }
        print_message("%s: %d damages of %d kinds, each caught and named\n", names[k], done, kinds_done);
        assert_true(done >= wanted);
    }
    for (int i = 0; i < kinds; i++)
        if (!ever[i]) fail_msg("no kit was spoiled by: %s", damage_at(i)->name);
    arena_free(&all);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(proof_kit__names_what_is_spoiled)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

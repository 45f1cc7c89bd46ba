// test_harmless.c - a kit that is only written differently is proved with the same words: other number formats, blanks,
// key and attribute order, unknown keys, comments, and on the sheets another order, start and direction of rings.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "kit_edit.h"
#include "proof/proof.h"

#include <string.h>

#define SEEDS 100

static ReadCurve curve_of_part(const ReadPath *path, const ReadPart *part, int start, bool backward, int i)
{
    int n = part->count, k = backward ? (start - 1 - i + 2 * n) % n : (start + i) % n;
    ReadCurve c = path->curves[part->first + k];
    return backward ? measure_reversed(c) : c;
}

// Parts in another order; rings from another start, some backward; strokes some backward.
static void turn_parts(ReadPath *path, Arena *arena, Rng *rng)
{
    ReadPath out = {.curves = arena_new(arena, ReadCurve, path->curve_count),
                    .parts = arena_new(arena, ReadPart, path->part_count)};
    int *order = arena_new(arena, int, path->part_count);
    assert_true(out.curves && out.parts && order);
    for (int i = 0; i < path->part_count; i++) {
        int k = (int)rng_below(rng, (uint32_t)i + 1);
        order[i] = order[k];
        order[k] = i;
    }
    for (int i = 0; i < path->part_count; i++) {
        const ReadPart *part = &path->parts[order[i]];
        bool backward = rng_below(rng, 2);
        int start = part->closed ? (int)rng_below(rng, (uint32_t)part->count) : backward ? part->count : 0;
        out.parts[out.part_count++] = (ReadPart){out.curve_count, part->count, part->closed, part->object};
        for (int k = 0; k < part->count; k++)
            out.curves[out.curve_count++] = curve_of_part(path, part, start, backward, k);
    }
    *path = out;
}

static void rewrite(EditKit *kit, Rng *rng)
{
    int sheets;
    edit_list(kit, "sheets", &sheets);
    for (int i = 0; i < sheets; i++) {
        const json_t *sheet = edit_item(kit, "sheets", i);
        ReadDrawing drawing = edit_drawing(kit, sheet);
        for (int line = 0; line < READ_LINES; line++)
            if (drawing.there[line]) turn_parts(&drawing.paths[line], kit->arena, rng);
        edit_set_drawing(kit, sheet, &drawing, rng);
    }
    edit_rewrite_json(kit, rng);
}

static void prove(const FileSet *files, Arena *arena, Proof *proof)
{
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    assert_true(proof_kit(files, arena, &work, proof, &err));
    arena_free(&work.scratch);
}

static void proof_kit__is_indifferent_to_how_a_kit_is_written(void **state)
{
    (void)state;
    Arena all = arena_make(0);
    FileSet kits[EDIT_MAX_KITS];
    const char *names[EDIT_MAX_KITS];
    int kit_count = edit_kits(&all, kits, names);
    for (int k = 0; k < kit_count; k++) {
        Proof plain, other;
        FileSet bare = kits[k];
        prove(&bare, &all, &plain);
        assert_int_equal(plain.fault_count, 0);
        for (uint64_t seed = 1; seed <= (k < EDIT_SAMPLES ? SEEDS : 10); seed++) {
            Arena arena = arena_make(0);
            EditKit kit;
            Rng rng = rng_make(seed);
            edit_open(&kits[k], &arena, &kit);
            rewrite(&kit, &rng);
            prove(&kit.files, &arena, &other);
            if (other.fault_count > 0 || strcmp(other.text, plain.text) != 0)
                fail_msg("%s, seed %d: rejected or told differently:\n%s", names[k], (int)seed, other.text);
            arena_free(&arena);
        }
        print_message("%s: %d harmless rewrites, none rejected\n", names[k], k < EDIT_SAMPLES ? SEEDS : 10);
    }
    arena_free(&all);
}

// Earlier writers told nothing of cutters and of papers' properties; their cost was that of the sheets used.
static void proof_kit__takes_kits_of_earlier_writers(void **state)
{
    (void)state;
    static const char *const KEYS[] = {"direction", "white_core", "one_faced", "takes", "gsm", "board_mm", "pack", "to_buy"};
    Arena all = arena_make(0);
    FileSet kits[EDIT_MAX_KITS];
    const char *names[EDIT_MAX_KITS];
    EditKit kit;
    Proof now, before;
    edit_kits(&all, kits, names);
    prove(&kits[0], &all, &now);
    edit_open(&kits[0], &all, &kit);
    json_object_del(kit.root, "cutter");
    int papers;
    edit_list(&kit, "papers", &papers);
    for (int i = 0; i < papers; i++)
        for (size_t k = 0; k < sizeof KEYS / sizeof KEYS[0]; k++) json_object_del(edit_item(&kit, "papers", i), KEYS[k]);
    json_object_set_new(json_object_get(kit.root, "totals"), "cost", json_real(2 * 0.2 + 0.79));
    edit_close(&kit);
    prove(&kit.files, &all, &before);
    if (before.fault_count > 0) fail_msg("%s", before.text);
    assert_string_equal(now.text, before.text);
    arena_free(&all);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(proof_kit__is_indifferent_to_how_a_kit_is_written),
                                        cmocka_unit_test(proof_kit__takes_kits_of_earlier_writers)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

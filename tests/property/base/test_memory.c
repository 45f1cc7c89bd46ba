// test_memory.c - arenas under random use: no hand-out overlaps another, rewinds give all back, budgets hold.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/arena.h"
#include "base/rng.h"

#define SEED 4242u
#define MAX_LIVE 400

typedef struct HandOut {
    unsigned char *bytes;
    size_t size_bytes;
    unsigned char mark; // what we wrote all over it
} HandOut;

static void is_untouched(const HandOut *room, uint32_t seed)
{
    for (size_t i = 0; i < room->size_bytes; i++)
        if (room->bytes[i] != room->mark) fail_msg("seed %u: a hand-out was written over by another", seed);
}

static void take_one(Arena *arena, Rng *rng, HandOut *out)
{
    size_t size = rng_below(rng, 8) ? rng_below(rng, 3000) : rng_below(rng, 300000);
    unsigned char *bytes = arena_take(arena, size, 1);
    *out = (HandOut){bytes, bytes ? size : 0, (unsigned char)(1 + rng_below(rng, 255))};
    for (size_t i = 0; i < out->size_bytes; i++) assert_int_equal(bytes[i], 0);
    if (bytes) memset(bytes, out->mark, out->size_bytes);
}

static void arena__hand_outs_stay_apart_through_marks_and_rewinds(void **state)
{
    (void)state;
    for (uint32_t round = 0; round < 60; round++) {
        Rng rng = rng_make(SEED + round);
        size_t budget = rng_below(&rng, 2) ? 2000000 : 0;
        Arena arena = arena_make(budget);
        HandOut live[MAX_LIVE];
        int count = 0;
        ArenaMark marks[8];
        int count_at_mark[8], depth = 0;
        for (int step = 0; step < 300; step++) {
            uint32_t what = rng_below(&rng, 10);
            if (what == 0 && depth < 8) {
                marks[depth] = arena_mark(&arena);
                count_at_mark[depth++] = count;
            } else if (what == 1 && depth > 0) {
                arena_rewind(&arena, marks[--depth]);
                count = count_at_mark[depth];
            } else if (count < MAX_LIVE) {
                take_one(&arena, &rng, &live[count++]);
            }
            assert_true(!budget || arena.held_bytes <= budget);
        }
        for (int i = 0; i < count; i++) is_untouched(&live[i], SEED + round);
        arena_free(&arena);
        assert_int_equal(arena.held_bytes, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(arena__hand_outs_stay_apart_through_marks_and_rewinds)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

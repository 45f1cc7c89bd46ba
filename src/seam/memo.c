// memo.c - see memo.h.
#include "seam/memo.h"

enum { SLOTS = 1 << 15, MOST = SLOTS / 2 };

bool memo_make(Space space, Arena *keep, FitMemo *out, Error *err)
{
    *out = (FitMemo){space, arena_new(keep, uint64_t, SLOTS), arena_new(keep, bool, SLOTS), 0};
    return out->keys && out->fits ? true : error_memory(err);
}

bool memo_copy(const FitMemo *memo, Arena *keep, FitMemo *out, Error *err)
{
    *out = *memo;
    out->keys = arena_copy(keep, memo->keys, SLOTS, sizeof *memo->keys);
    out->fits = arena_copy(keep, memo->fits, SLOTS, sizeof *memo->fits);
    return out->keys && out->fits ? true : error_memory(err);
}

// Mixing as in SplitMix64 (see base/rng.h). Places count from the first point: a shifted hull fits as well.
static uint64_t hash_hull(const Point *hull, int count)
{
    uint64_t h = (uint64_t)count;
    for (int i = 0; i < count; i++) {
        h ^= (uint64_t)(uint32_t)(hull[i].x - hull[0].x) << 32 | (uint32_t)(hull[i].y - hull[0].y);
        h = (h ^ h >> 30) * 0xbf58476d1ce4e5b9u;
        h = (h ^ h >> 27) * 0x94d049bb133111ebu;
        h ^= h >> 31;
    }
    return h ? h : 1;
}

bool memo_fits(FitMemo *memo, const Point *hull, int count)
{
    Fit fit;
    uint64_t key = hash_hull(hull, count);
    size_t slot = (size_t)(key % SLOTS);
    while (memo->keys[slot] != 0 && memo->keys[slot] != key) slot = (slot + 1) % SLOTS;
    if (memo->keys[slot] == key) return memo->fits[slot];
    bool fits = hull_fits(hull, count, memo->space, &fit);
    if (memo->count >= MOST) return fits;
    memo->count++;
    memo->keys[slot] = key;
    memo->fits[slot] = fits;
    return fits;
}

// version.c - see version.h.
#include "job/version.h"

#include <stdlib.h>

bool version_create(Version **out, Error *err)
{
    *out = calloc(1, sizeof **out);
    if (!*out) return error_memory(err);
    (*out)->arena = arena_make(0);
    return true;
}

static void let_go(Kept *kept)
{
    if (atomic_fetch_sub(&kept->users, 1) > 1) return;
    Arena arena = kept->arena; // it holds `kept` itself
    arena_free(&arena);
}

void version_destroy(Version *version)
{
    if (!version) return;
    for (size_t i = 0; i < version->count; i++) let_go(version->kept[i]);
    arena_free(&version->arena);
    free(version);
}

static Kept *make_kept(Key key, size_t value_size_bytes)
{
    Arena arena = arena_make(0);
    Kept *kept = arena_new(&arena, Kept, 1);
    void *value = arena_take(&arena, 1, value_size_bytes);
    if (!kept || !value) {
        arena_free(&arena);
        return NULL;
    }
    kept->key = key;
    kept->arena = arena;
    kept->value = value;
    return kept;
}

static bool hold(Version *version, Kept *kept)
{
    Kept **room = arena_grow(&version->arena, version->kept, version->count, &version->capacity, sizeof *room);
    if (!room) return false;
    version->kept = room;
    version->kept[version->count++] = kept;
    atomic_fetch_add(&kept->users, 1);
    return true;
}

Kept *version_find(const Version *version, Key key)
{
    for (size_t i = 0; version && i < version->count; i++)
        if (key_equal(version->kept[i]->key, key)) return version->kept[i];
    return NULL;
}

bool version_take(Version *version, Version *const *others, int other_count, Key key, size_t value_size_bytes, Kept **out,
                  bool *out_is_new, Error *err)
{
    *out_is_new = false;
    *out = version_find(version, key);
    if (*out) return true;
    for (int i = 0; i < other_count && !*out; i++) *out = version_find(others[i], key);
    bool made = !*out;
    if (made) *out = make_kept(key, value_size_bytes);
    if (!*out) return error_memory(err);
    if (hold(version, *out)) {
        *out_is_new = made;
        return true;
    }
    if (made) {
        atomic_store(&(*out)->users, 1);
        let_go(*out);
    }
    *out = NULL;
    return error_memory(err);
}

size_t version_held_bytes(const Version *version, const Version *counted)
{
    size_t sum = version ? version->arena.held_bytes : 0;
    for (size_t i = 0; version && i < version->count; i++)
        if (!version_find(counted, version->kept[i]->key)) sum += version->kept[i]->arena.held_bytes;
    return sum;
}

// arena.c - blocks of rising size, the newest first; see arena.h.
#include "base/arena.h"

#include <stdlib.h>
#include <string.h>

#define FIRST_BLOCK_BYTES ((size_t)64 * 1024)
#define LARGEST_BLOCK_BYTES ((size_t)8 * 1024 * 1024) // beyond it blocks stop growing, so that little is left unused
#define ALIGNMENT 16

struct ArenaBlock {
    ArenaBlock *before;
    size_t capacity_bytes, used_bytes;
    _Alignas(ALIGNMENT) unsigned char bytes[];
};

Arena arena_make(size_t budget_bytes)
{
    return (Arena){.budget_bytes = budget_bytes, .fail_after = -1};
}

void arena_free(Arena *arena)
{
    arena_rewind(arena, (ArenaMark){0});
}

static ArenaBlock *block_for(Arena *arena, size_t size_bytes)
{
    size_t capacity = arena->last ? arena->last->capacity_bytes * 2 : FIRST_BLOCK_BYTES;
    if (capacity > LARGEST_BLOCK_BYTES) capacity = LARGEST_BLOCK_BYTES;
    if (capacity < size_bytes) capacity = size_bytes;
    if (arena->budget_bytes && arena->held_bytes + capacity > arena->budget_bytes) {
        capacity = size_bytes; // the last room of a tight budget is handed out exactly
        if (arena->held_bytes + capacity > arena->budget_bytes) return NULL;
    }
    ArenaBlock *block = malloc(sizeof *block + capacity);
    if (!block) return NULL;
    *block = (ArenaBlock){.before = arena->last, .capacity_bytes = capacity};
    arena->held_bytes += capacity;
    arena->last = block;
    return block;
}

void *arena_take(Arena *arena, size_t count, size_t size_bytes)
{
    if (arena->fail_after >= 0 && arena->fail_after-- == 0) return NULL;
    if (size_bytes && count > (SIZE_MAX / 2) / size_bytes) return NULL;
    size_t wanted = (count * size_bytes + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
    if (wanted == 0) wanted = ALIGNMENT;
    ArenaBlock *block = arena->last;
    if (!block || block->capacity_bytes - block->used_bytes < wanted) block = block_for(arena, wanted);
    if (!block) return NULL;
    void *room = block->bytes + block->used_bytes;
    block->used_bytes += wanted;
    return memset(room, 0, wanted);
}

void *arena_copy(Arena *arena, const void *from, size_t count, size_t size_bytes)
{
    void *room = arena_take(arena, count, size_bytes);
    if (room && count) memcpy(room, from, count * size_bytes);
    return room;
}

char *arena_text(Arena *arena, const char *text)
{
    return arena_copy(arena, text, strlen(text) + 1, 1);
}

void *arena_grow(Arena *arena, void *items, size_t count, size_t *capacity, size_t size_bytes)
{
    if (items && count < *capacity) return items;
    size_t wider = *capacity ? *capacity * 2 : 16;
    while (wider <= count) wider *= 2;
    void *room = arena_take(arena, wider, size_bytes);
    if (!room) return NULL;
    if (count) memcpy(room, items, count * size_bytes);
    *capacity = wider;
    return room;
}

ArenaMark arena_mark(const Arena *arena)
{
    return (ArenaMark){.block = arena->last, .used_bytes = arena->last ? arena->last->used_bytes : 0};
}

void arena_rewind(Arena *arena, ArenaMark mark)
{
    while (arena->last != mark.block) {
        ArenaBlock *block = arena->last;
        arena->last = block->before;
        arena->held_bytes -= block->capacity_bytes;
        free(block);
    }
    if (arena->last) arena->last->used_bytes = mark.used_bytes;
}

void arena_adopt(Arena *arena, Arena *from)
{
    if (!from->last) return;
    ArenaBlock *oldest = from->last;
    while (oldest->before) oldest = oldest->before;
    oldest->before = arena->last;
    arena->last = from->last;
    arena->held_bytes += from->held_bytes;
    from->last = NULL;
    from->held_bytes = 0;
}

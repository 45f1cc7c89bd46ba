// arena.h - memory that is freed all at once.
// The law: a room puts its result in the caller's `keep` arena and its working memory in `work->scratch`; the caller
// frees both. A search marks and rewinds scratch around each try.
// Memory:  blocks come from malloc and are zeroed on each hand-out; a budget bounds the sum of all live blocks.
// Errors:  NULL when the budget, the system or the size arithmetic says no; the caller turns NULL into error_memory().
#ifndef PM_BASE_ARENA_H
#define PM_BASE_ARENA_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct ArenaBlock ArenaBlock;

typedef struct Arena {
    ArenaBlock *last;       // newest block
    size_t budget_bytes;    // 0 = no bound
    size_t held_bytes;      // sum of live blocks
    int64_t fail_after;     // tests: the n-th hand-out from now fails (counts down; < 0 = never)
} Arena;

typedef struct ArenaMark {
    ArenaBlock *block;
    size_t used_bytes;
} ArenaMark;

// An empty arena without a bound is `arena_make(0)`.
Arena arena_make(size_t budget_bytes);
void arena_free(Arena *arena); // frees all blocks; the arena can be used again

// Zeroed room for count elements, aligned for any type; NULL on overflow or lack of memory. A count of 0 gives a
// valid pointer that must not be read.
void *arena_take(Arena *arena, size_t count, size_t size_bytes);
#define arena_new(arena, Type, count) ((Type *)arena_take((arena), (size_t)(count), sizeof(Type)))

// A copy of `count` elements; NULL as above.
void *arena_copy(Arena *arena, const void *from, size_t count, size_t size_bytes);
char *arena_text(Arena *arena, const char *text); // a copy of a string

// Room for one more element in a growing array: returns the array (moved when it was full, capacity doubled and
// *capacity updated) or NULL. The old array stays in the arena until it is rewound or freed.
void *arena_grow(Arena *arena, void *items, size_t count, size_t *capacity, size_t size_bytes);

// Everything handed out after the mark is given back by the rewind.
ArenaMark arena_mark(const Arena *arena);
void arena_rewind(Arena *arena, ArenaMark mark);

// All that `from` handed out belongs to `arena` as if it had been handed out there now; `from` is empty afterwards.
void arena_adopt(Arena *arena, Arena *from);

#endif

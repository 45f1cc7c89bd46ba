// scarce_memory.c - see scarce_memory.h.
#include "scarce_memory.h"

#include "base/arena.h"

#include <geos_c.h>
#include <stdatomic.h>
#include <stdlib.h>

static atomic_long counted, to_fail = -1, held;
static atomic_int kind_counted = -1;
static atomic_bool has_failed;

void scarce_memory_begin(MemoryKind kind, long fails)
{
    atomic_store(&counted, 0);
    atomic_store(&to_fail, fails);
    atomic_store(&has_failed, false);
    atomic_store(&kind_counted, (int)kind);
}

long scarce_memory_end(void)
{
    atomic_store(&kind_counted, -1);
    return atomic_load(&counted);
}

bool scarce_memory_has_failed(void)
{
    return atomic_load(&has_failed);
}

long scarce_memory_blocks_held(void)
{
    return atomic_load(&held);
}

static _Thread_local bool spared; // nothing fails in this thread for now

// A function of its own, so that a debugger can stop where the chosen allocation fails.
__attribute__((noinline)) static bool chosen_one(void)
{
    atomic_store(&has_failed, true);
    return true;
}

static bool fails_now(MemoryKind kind)
{
    if (spared || atomic_load(&kind_counted) != (int)kind) return false;
    return atomic_fetch_add(&counted, 1) == atomic_load(&to_fail) && chosen_one();
}

// ---- hand-outs of arenas ----

void *__real_arena_take(Arena *arena, size_t count, size_t size_bytes);
void *__real_arena_copy(Arena *arena, const void *from, size_t count, size_t size_bytes);
void *__real_arena_grow(Arena *arena, void *items, size_t count, size_t *capacity, size_t size_bytes);
char *__real_arena_text(Arena *arena, const char *text);
void *__wrap_arena_take(Arena *arena, size_t count, size_t size_bytes);
void *__wrap_arena_copy(Arena *arena, const void *from, size_t count, size_t size_bytes);
void *__wrap_arena_grow(Arena *arena, void *items, size_t count, size_t *capacity, size_t size_bytes);
char *__wrap_arena_text(Arena *arena, const char *text);

void *__wrap_arena_take(Arena *arena, size_t count, size_t size_bytes)
{
    return fails_now(MEMORY_HAND_OUT) ? NULL : __real_arena_take(arena, count, size_bytes);
}

void *__wrap_arena_copy(Arena *arena, const void *from, size_t count, size_t size_bytes)
{
    return fails_now(MEMORY_HAND_OUT) ? NULL : __real_arena_copy(arena, from, count, size_bytes);
}

void *__wrap_arena_grow(Arena *arena, void *items, size_t count, size_t *capacity, size_t size_bytes)
{
    bool asks = !items || count >= *capacity; // else there is room already
    return asks && fails_now(MEMORY_HAND_OUT) ? NULL : __real_arena_grow(arena, items, count, capacity, size_bytes);
}

char *__wrap_arena_text(Arena *arena, const char *text)
{
    return fails_now(MEMORY_HAND_OUT) ? NULL : __real_arena_text(arena, text);
}

// ---- blocks ----

void *__real_malloc(size_t size_bytes);
void *__real_calloc(size_t count, size_t size_bytes);
void *__real_realloc(void *block, size_t size_bytes);
void __real_free(void *block);
void *__wrap_malloc(size_t size_bytes);
void *__wrap_calloc(size_t count, size_t size_bytes);
void *__wrap_realloc(void *block, size_t size_bytes);
void __wrap_free(void *block);

static void *noted(void *block)
{
    if (block) atomic_fetch_add(&held, 1);
    return block;
}

void *__wrap_malloc(size_t size_bytes)
{
    return fails_now(MEMORY_BLOCK) ? NULL : noted(__real_malloc(size_bytes));
}

void *__wrap_calloc(size_t count, size_t size_bytes)
{
    return fails_now(MEMORY_BLOCK) ? NULL : noted(__real_calloc(count, size_bytes));
}

void *__wrap_realloc(void *block, size_t size_bytes)
{
    if (fails_now(MEMORY_BLOCK)) return NULL;
    void *moved = __real_realloc(block, size_bytes);
    return block ? moved : noted(moved);
}

void __wrap_free(void *block)
{
    if (block) atomic_fetch_sub(&held, 1);
    __real_free(block);
}

// ---- objects of the polygon library: operators new and delete, by their names in the Itanium C++ ABI ----

void throw_bad_alloc(void) __asm__("_ZSt17__throw_bad_allocv") __attribute__((noreturn));
void *object_new(size_t size_bytes) __asm__("_Znwm");
void *objects_new(size_t size_bytes) __asm__("_Znam");
void object_delete(void *object) __asm__("_ZdlPv");
void object_delete_sized(void *object, size_t size_bytes) __asm__("_ZdlPvm");
void objects_delete(void *object) __asm__("_ZdaPv");
void objects_delete_sized(void *object, size_t size_bytes) __asm__("_ZdaPvm");

void __lsan_ignore_object(const void *object) __attribute__((weak)); // there in sanitizer builds

void *object_new(size_t size_bytes)
{
    void *object = fails_now(MEMORY_OBJECT) ? NULL : __real_malloc(size_bytes ? size_bytes : 1);
    if (!object) throw_bad_alloc();
    // What the library itself loses while its own objects run out is not ours to mend.
    if (__lsan_ignore_object && atomic_load(&kind_counted) == MEMORY_OBJECT) __lsan_ignore_object(object);
    return object;
}

// The library's C door lets an exception out of this one function, and C cannot catch it.
GEOSContextHandle_t __real_GEOS_init_r(void);
GEOSContextHandle_t __wrap_GEOS_init_r(void);

GEOSContextHandle_t __wrap_GEOS_init_r(void)
{
    spared = true;
    GEOSContextHandle_t geos = __real_GEOS_init_r();
    spared = false;
    return geos;
}

void *objects_new(size_t size_bytes)
{
    return object_new(size_bytes);
}

void object_delete(void *object)
{
    __real_free(object);
}

void object_delete_sized(void *object, size_t size_bytes)
{
    (void)size_bytes;
    __real_free(object);
}

void objects_delete(void *object)
{
    __real_free(object);
}

void objects_delete_sized(void *object, size_t size_bytes)
{
    (void)size_bytes;
    __real_free(object);
}

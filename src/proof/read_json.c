// read_json.c - see read_json.h.
#include "proof/read_json.h"

#include <setjmp.h>
#include <stdlib.h>

typedef struct Reading {
    Arena *arena;
    jmp_buf memory_is_out;
} Reading;

// jansson asks two functions for memory, for the whole program and without an argument. They can only know whose arena
// is meant by what the reading thread has put down here, for the length of one call.
static _Thread_local Reading *running;

static void *take(size_t size_bytes)
{
    if (!running) return malloc(size_bytes);
    void *block = arena_take(running->arena, size_bytes, 1);
    if (!block) longjmp(running->memory_is_out, 1); // jansson holds nothing but memory of the arena
    return block;
}

static void give_back(void *block)
{
    if (!running) free(block);
}

// Before main, since it must not change while another thread reads.
__attribute__((constructor)) static void lead_jansson_here(void)
{
    json_set_alloc_funcs(take, give_back);
}

bool read_json(const char *bytes, size_t size_bytes, Arena *arena, const json_t **out, json_error_t *problem,
               Error *err)
{
    Reading reading = {.arena = arena};
    *out = NULL;
    *problem = (json_error_t){.line = 1};
    if (setjmp(reading.memory_is_out)) {
        running = NULL;
        return error_memory(err);
    }
    running = &reading;
    *out = json_loadb(bytes, size_bytes, JSON_REJECT_DUPLICATES, problem);
    running = NULL;
    return true;
}

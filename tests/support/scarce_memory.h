// scarce_memory.h - memory that runs out at a chosen moment, for the whole program, without a word in its source.
// The test program is linked with -Wl,--wrap=NAME for each function of MEMORY_WRAPS in tests/property/hardening/meson.build;
// the linker then leads the calls of our own code here. Three kinds of allocation are counted apart:
//   hand-outs of arenas; blocks from malloc (arena blocks, handles, what jansson asks for); objects of the polygon
//   library, which are made by C++'s operator new: it throws, as C++ wants it, and the library's C door catches.
// Threads: counted atomically.
#ifndef PM_TESTS_SCARCE_MEMORY_H
#define PM_TESTS_SCARCE_MEMORY_H

#include <stdbool.h>

typedef enum MemoryKind {
    MEMORY_HAND_OUT,
    MEMORY_BLOCK,
    MEMORY_OBJECT,
} MemoryKind;

// Allocations of this kind are counted from 0; the one with number `fails` gives NULL, once (-1: none does).
void scarce_memory_begin(MemoryKind kind, long fails);
long scarce_memory_end(void);          // no more failures; returns how many there were to count
bool scarce_memory_has_failed(void);   // whether the chosen one was reached
long scarce_memory_blocks_held(void);  // blocks that were taken and not given back, over the program's life

#endif

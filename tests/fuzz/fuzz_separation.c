// fuzz_separation.c - any small picture with any wishes: the labels partition it, the counts hold, replays are equal.
// Input:   as separation_case_from_bytes reads it.
#include "../property/separation/separation_laws.c" // one target is one file; the laws live with the property tests

#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    Arena keep = arena_make(0);
    Picture picture;
    SeparationOptions options;
    if (separation_case_from_bytes(data, size, &keep, &picture, &options)) {
        const char *broken = separation_case_broken_law(&picture, &options);
        if (broken) {
            fprintf(stderr, "broken: %s\n", broken);
            abort();
        }
    }
    arena_free(&keep);
    return 0;
}

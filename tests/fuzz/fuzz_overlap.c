// fuzz_overlap.c - any two outlines, laid anyhow: overlap.c and pair.c say what the exact check says.
#include "../property/nest/overlap_laws.c" // one target is one file; the laws live with the property tests

#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    OverlapSeen seen = {0};
    const char *broken = overlap_broken_law(data, size, &seen);
    if (broken) {
        fprintf(stderr, "broken: %s\n", broken);
        abort();
    }
    return 0;
}

// fuzz_copies.c - the readers of DXF and HP-GL on hostile bytes: a verdict and no crash. The first byte says which.
#include "../../src/proof/read_copy.h"

#include <stdint.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes)
{
    if (size_bytes < 1) return 0;
    Arena arena = arena_make((size_t)256 << 20);
    FileBytes file = {"copy", (const char *)data + 1, size_bytes - 1};
    ReadCopy copy;
    const char *problem = NULL;
    Error err = {0};
    bool done = data[0] & 1 ? read_plotter(&file, 279.4, data[0] & 2 ? 0.25 : 0.0, &arena, &copy, &problem, &err)
                            : read_dxf(&file, 279.4, &arena, &copy, &problem, &err);
    for (int line = 0; line < READ_LINES && done; line++)
        for (size_t r = 0; r < copy.lines[line].run_count; r++) {
            const CopyRun *run = &copy.lines[line].runs[r];
            if (run->first < 0 || (size_t)run->first + (size_t)run->count > copy.lines[line].point_count) abort();
        }
    arena_free(&arena);
    return 0;
}

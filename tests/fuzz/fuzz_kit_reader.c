// fuzz_kit_reader.c - the kit's readers and the whole proof on hostile bytes: whatever comes, a verdict and no crash.
// The first byte of the input says which file of the sample kit the rest replaces or changes:
//   0 kit.json, 1 a sheet, 2 key-plan.svg: replaced; 3, 4: some bytes of kit.json or a sheet overwritten (place,
//   length, bytes ...). A fifth of it, modulo 4, says how the sample's sheets are parted into files.
#include "../support/sample_kit.c" // so that the target is one file
#include "../support/sample_shapes.c"
#include "proof/proof.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes);
int LLVMFuzzerInitialize(int *count, char ***arguments);

static Arena sample_arena; // made once, by the fuzzer's own start
static const char *const forms[4] = {"sheet", "piece", "layer", "line"};
static FileSet samples[4];

int LLVMFuzzerInitialize(int *count, char ***arguments)
{
    (void)count;
    (void)arguments;
    sample_arena = arena_make(0);
    for (int i = 0; i < 4; i++)
        if (!sample_kit_for(forms[i], &sample_arena, &samples[i])) return -1;
    return 0;
}

static FileBytes *named(FileSet *files, const char *part)
{
    for (int i = 0; i < files->count; i++)
        if (strstr(files->items[i].name, part)) return &files->items[i];
    abort();
}

// Overwrites, inserts or removes short runs: two bytes of place, one of what and how many.
static void change(FileBytes *file, Arena *arena, const uint8_t *data, size_t size_bytes)
{
    char *bytes = arena_new(arena, char, file->size_bytes + size_bytes + 1);
    if (!bytes) abort();
    size_t count = file->size_bytes;
    memcpy(bytes, file->bytes, count);
    while (size_bytes >= 3 && count > 0) {
        size_t at = (size_t)(data[0] * 256 + data[1]) % count, n = data[2] & 15, left = count - at;
        unsigned how = data[2] >> 6;
        data += 3;
        size_bytes -= 3;
        if (how == 3) { // remove
            n = n < left ? n : left;
            memmove(bytes + at, bytes + at + n, left - n);
            count -= n;
            continue;
        }
        n = n < size_bytes ? n : size_bytes;
        if (how == 2) { // insert
            memmove(bytes + at + n, bytes + at, left);
            count += n;
        } else if (n > left)
            n = left;
        memcpy(bytes + at, data, n);
        data += n;
        size_bytes -= n;
    }
    file->bytes = bytes;
    file->size_bytes = count;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes)
{
    static const char *const parts[5] = {"kit.json", "white", "key-plan", "kit.json", "white"};
    Arena keep = arena_make((size_t)1 << 30);
    Work work = {.scratch = arena_make((size_t)1 << 30)};
    const FileSet *sample = &samples[size_bytes > 0 ? data[0] / 5 % 4 : 0];
    FileSet files = {arena_copy(&keep, sample->items, (size_t)sample->count, sizeof *sample->items), sample->count};
    Proof proof;
    Error err = {0};
    if (size_bytes == 0 || !files.items) goto done;
    FileBytes *file = named(&files, parts[data[0] % 5]);
    if (data[0] % 5 >= 3)
        change(file, &keep, data + 1, size_bytes - 1);
    else
        *file = (FileBytes){file->name, (const char *)data + 1, size_bytes - 1};
    if (proof_kit(&files, &keep, &work, &proof, &err)) {
        if (!proof.text || proof.kept_count > proof.fault_count || proof.kept_count > PROOF_MAX_FAULTS) abort();
    } else if (err.kind != ERROR_SYSTEM)
        abort();
done:
    arena_free(&keep);
    arena_free(&work.scratch);
    return 0;
}

// same_files.h - two sets of files, byte for byte.
#ifndef PM_TESTS_SUPPORT_SAME_FILES_H
#define PM_TESTS_SUPPORT_SAME_FILES_H

#include "base/files.h"

#include <string.h>

// NULL when they are the same; else what is not: the name of the first file that differs.
static inline const char *files_differ(const FileSet *a, const FileSet *b)
{
    if (a->count != b->count) return "another number of files";
    for (int i = 0; i < a->count; i++) {
        const FileBytes *p = &a->items[i], *q = &b->items[i];
        if (strcmp(p->name, q->name) != 0 || p->size_bytes != q->size_bytes || memcmp(p->bytes, q->bytes, p->size_bytes) != 0)
            return p->name;
    }
    return NULL;
}

// False when memory ran out.
static inline bool files_copy(const FileSet *from, Arena *keep, FileSet *out)
{
    *out = (FileSet){arena_copy(keep, from->items, (size_t)from->count, sizeof *from->items), from->count};
    for (int i = 0; out->items && i < out->count; i++) {
        out->items[i].name = arena_text(keep, from->items[i].name);
        out->items[i].bytes = arena_copy(keep, from->items[i].bytes, from->items[i].size_bytes, 1);
        if (!out->items[i].name || !out->items[i].bytes) return false;
    }
    return out->items != NULL;
}

#endif

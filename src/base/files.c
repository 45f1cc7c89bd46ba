// files.c - see files.h.
#include "base/files.h"

#include <stdlib.h>
#include <string.h>

const FileBytes *file_find(const FileSet *files, const char *name)
{
    for (int i = 0; i < files->count; i++)
        if (strcmp(files->items[i].name, name) == 0) return &files->items[i];
    return NULL;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(((const FileBytes *)a)->name, ((const FileBytes *)b)->name);
}

void files_sort(FileSet *files)
{
    if (files->count > 1) qsort(files->items, (size_t)files->count, sizeof *files->items, by_name);
}

// files.h - named bytes: how rooms hand files to one another without touching a file system.
#ifndef PM_BASE_FILES_H
#define PM_BASE_FILES_H

#include "base/arena.h"
#include "base/error.h"

typedef struct FileBytes {
    const char *name;       // relative to the kit's folder, '/' between parts: "sheets/a.svg"
    const char *bytes;      // not 0-terminated by contract
    size_t size_bytes;
} FileBytes;

typedef struct FileSet {    // sorted by name (byte order), names unique
    FileBytes *items;
    int count;
} FileSet;

const FileBytes *file_find(const FileSet *files, const char *name); // NULL when absent
void files_sort(FileSet *files);

#endif

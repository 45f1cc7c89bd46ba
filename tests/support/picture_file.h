// picture_file.h - a file of tests/data/picture as bytes.
#ifndef PM_TESTS_PICTURE_FILE_H
#define PM_TESTS_PICTURE_FILE_H

#include <stdio.h>

typedef struct Bytes {
    unsigned char data[65536];
    size_t size;
} Bytes;

static inline Bytes load(const char *name)
{
    Bytes b = {.size = 0};
    char path[1024];
    snprintf(path, sizeof path, PM_SOURCE_ROOT "/tests/data/picture/%s", name);
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    b.size = fread(b.data, 1, sizeof b.data, f);
    fclose(f);
    return b;
}

#endif

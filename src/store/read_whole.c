// read_whole.c - see read_whole.h.
#include "store/read_whole.h"

#include <errno.h>
#include <unistd.h>

const char *read_whole(int file, size_t size_bytes, Arena *keep, size_t *out_bytes)
{
    char *bytes = arena_new(keep, char, size_bytes + 1);
    ssize_t got = 1;
    *out_bytes = 0;
    while (bytes && *out_bytes < size_bytes && got != 0) {
        errno = 0;
        got = read(file, bytes + *out_bytes, size_bytes - *out_bytes);
        if (got < 0 && errno != EINTR) break;
        if (got > 0) *out_bytes += (size_t)got;
    }
    return bytes;
}

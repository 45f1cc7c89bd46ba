// read_whole.h - what an open file holds, as bytes. Which file may be read, and what is said when it cannot, is the caller's.
#ifndef PM_STORE_READ_WHOLE_H
#define PM_STORE_READ_WHOLE_H

#include "base/arena.h"

// The first size_bytes bytes from where the file stands. Fewer come when it became shorter meanwhile (errno is 0 then) or the
// system refuses (errno says why): *out_bytes tells how many. NULL when memory ran out.
const char *read_whole(int file, size_t size_bytes, Arena *keep, size_t *out_bytes);

#endif

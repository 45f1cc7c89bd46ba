// embedded.h - files of the source tree that the program carries as tables; made by tools/embed when it is built.
#ifndef PM_BASE_EMBEDDED_H
#define PM_BASE_EMBEDDED_H

#include <stddef.h>

typedef struct EmbeddedFile {
    const char *name;           // NULL ends a table
    const char *bytes;
    size_t size_bytes;
    const char *sha256;         // of the bytes, in base64: how a page's Content-Security-Policy names a script or style it allows
} EmbeddedFile;

#endif

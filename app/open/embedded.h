// embedded.h - files that the program carries: the page, and the demo's picture. Made by tools/embed when the program is built.
#ifndef PM_APP_EMBEDDED_H
#define PM_APP_EMBEDDED_H

#include <stddef.h>

typedef struct EmbeddedFile {
    const char *name;           // NULL ends a table
    const char *bytes;
    size_t size_bytes;
} EmbeddedFile;

extern const EmbeddedFile page_files[], demo_files[];

#endif

// disk.h - whole files from the disk; with kit_folder.h the program's only door to the file system.
// Errors:  ERROR_INPUT for what cannot be read.
#ifndef PM_APP_DISK_H
#define PM_APP_DISK_H

#include "base/files.h"

#define DISK_LARGEST_FILE_BYTES ((size_t)1 << 30) // a picture of 200 megapixels is smaller, whatever its format

// A path as it can be shown: control characters and bytes that are not UTF-8 become '?'; long ones are cut in front.
#define SHOWN_MAX 160
const char *shown_path(const char *path, char out[SHOWN_MAX]);

// "cannot WHAT PATH: the system's reason; what to do", from errno; returns false.
bool disk_cannot(Error *err, ErrorKind kind, const char *what, const char *path);

MUST_USE bool disk_read_file(const char *path, Arena *keep, FileBytes *out, Error *err);

// All regular files of a kit's folder and its sub-folders (at most two levels), sorted.
MUST_USE bool disk_read_kit(const char *folder, Arena *keep, FileSet *out, Error *err);

#endif

// disk.h - the program's only door to the file system: whole files in, whole kit folders out.
// A kit is written beside its place and exchanged in one step: at every moment the old kit is whole, or the new one.
// Errors:  ERROR_INPUT for what cannot be read, ERROR_JOB for a folder that is in the way, ERROR_SYSTEM for the disk.
#ifndef PM_APP_DISK_H
#define PM_APP_DISK_H

#include "base/files.h"

#define DISK_LARGEST_FILE_BYTES ((size_t)1 << 30) // a picture of 200 megapixels is smaller, whatever its format

// A path as it can be shown: control characters and bytes that are not UTF-8 become '?'; long ones are cut in front.
#define SHOWN_MAX 160
const char *shown_path(const char *path, char out[SHOWN_MAX]);

MUST_USE bool disk_read_file(const char *path, Arena *keep, FileBytes *out, Error *err);

// All regular files of a kit's folder and its sub-folders (at most two levels), sorted.
MUST_USE bool disk_read_kit(const char *folder, Arena *keep, FileSet *out, Error *err);

// A folder that is being written, beside the place where it will be.
typedef struct KitFolder {
    char *target;           // the kit's own folder
    char *temporary;        // beside it; NULL once exchanged or removed
    bool replaces;          // the target is there and may be replaced
} KitFolder;

// Fails when the target is there and replacing was not asked for, or when it is not a kit.
MUST_USE bool kit_folder_begin(const char *target, bool replace, Arena *keep, KitFolder *out, Error *err);
MUST_USE bool kit_folder_write(const KitFolder *folder, const FileSet *files, Error *err);
MUST_USE bool kit_folder_finish(KitFolder *folder, Error *err);
void kit_folder_abandon(KitFolder *folder); // removes what was written; fine after finish

#endif

// kit_zip.h - the kit as one file beside its folder: FOLDER.zip, for build --zip.
// It is written beside its place and takes it in one step, after the kit is in its own; the same kit gives the same bytes.
// Only a zip of this kit is ever replaced: one whose first name lies in a folder of the same name.
// Errors:  ERROR_JOB for a file that is in the way, ERROR_SYSTEM for the disk.
#ifndef PM_APP_KIT_ZIP_H
#define PM_APP_KIT_ZIP_H

#include "base/files.h"

// "some/where/kite-48in" -> the zip's path; fails when what lies there may not be replaced.
MUST_USE bool kit_zip_begin(const char *folder, bool replace, Arena *keep, const char **out_path, Error *err);

// `files` are the kit's own, proof.txt included.
MUST_USE bool kit_zip_write(const char *folder, const char *path, bool replace, const FileSet *files, Arena *keep, Error *err);

#endif

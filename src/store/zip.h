// zip.h - files -> one zip, the same bytes for the same files.
// Shape:   a folder with the files below it; names are UTF-8; times are those of the format's first day, 1980-01-01, as the
//          clock shall not show. Deflated where that saves.
// Memory:  the bytes lie in `keep`.
// Source:  PKWARE APPNOTE 6.3 (the format), through libarchive.
#ifndef PM_STORE_ZIP_H
#define PM_STORE_ZIP_H

#include "base/files.h"

MUST_USE bool zip_make(const FileSet *files, const char *folder, Arena *keep, FileBytes *out, Error *err);

#endif

// page_files.h - the page's own files, from the program, or from a folder for people who work on the page.
#ifndef PM_APP_PAGE_FILES_H
#define PM_APP_PAGE_FILES_H

#include "base/files.h"

// A file of the page by the path that was asked for ("/", "/view/table.js"); *out_found tells whether there is one.
// `folder` NULL: from the program. Nothing outside the folder is ever read, whatever the path or a link in the folder says.
MUST_USE bool page_file(const char *folder, const char *path, Arena *keep, FileBytes *out, bool *out_found, Error *err);

const char *page_type(const char *name); // "text/html; charset=utf-8", by the name's end

#endif

// hand_out.h - files become a kit in its place: written beside it, read back, proved, and exchanged only when they passed.
#ifndef PM_APP_HAND_OUT_H
#define PM_APP_HAND_OUT_H

#include "commands.h"
#include "kit_folder.h"

// *out (may be NULL) is all that lies in the folder now, proof.txt among it, sorted; it lives in `keep`.
// Errors: of the disk; ERROR_PROOF, and then the kit that was there is as it was.
MUST_USE bool hand_out(KitFolder *folder, const FileSet *files, int threads, const JobWatch *watch, Arena *keep, FileSet *out, Error *err);

#endif

// kit_folder.h - a kit on its way to the disk.
// It is written beside its place, into TARGET.new-PID-N, and exchanged in one step when it is proven: at every moment
// the old kit is whole, or the new one. A build that was killed leaves its folder behind; the next one into the same
// place removes it, but never one whose build still runs. What is not the kit's own in the old folder goes into the new one
// (carry.h).
// Two builds into one place: without --force the first to finish wins and the other says that the place has been taken;
// with --force each replaces what it finds, so that the last one wins, whole.
// Errors:  ERROR_JOB for a folder that is in the way, ERROR_SYSTEM for the disk, ERROR_CANCELLED.
#ifndef PM_APP_KIT_FOLDER_H
#define PM_APP_KIT_FOLDER_H

#include "base/files.h"
#include "base/work.h"

typedef struct KitFolder {
    char *target;           // the kit's own folder
    char *temporary;        // beside it; NULL once exchanged or removed
    bool may_replace;       // a kit that is there, or that appears meanwhile
    bool replaces;          // there is one
    int lock;               // of the temporary folder: says that its build runs
} KitFolder;

// Fails when the target is there and replacing was not asked for, or when it is not a kit.
MUST_USE bool kit_folder_begin(const char *target, bool replace, Arena *keep, KitFolder *out, Error *err);
MUST_USE bool kit_folder_write(const KitFolder *folder, const FileSet *files, const Work *work, Error *err);
MUST_USE bool kit_folder_finish(KitFolder *folder, const Work *work, Error *err);
void kit_folder_abandon(KitFolder *folder); // removes what was written; fine after finish, and on zeroes

#endif

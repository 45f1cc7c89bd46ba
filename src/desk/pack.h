// pack.h - files that passed their proof, as they are handed out: with the proof among them, and as one zip.
#ifndef PM_DESK_PACK_H
#define PM_DESK_PACK_H

#include "desk/table.h"

// Fills the kit's files, proof and zip; all are copies in its arena. `folder` is the name of the folder in the zip.
MUST_USE bool kit_pack(Kit *kit, const FileSet *files, const char *proof, const char *folder, Error *err);

#endif

// proof.h - the door: the written bytes of a kit -> what was proved, or what is wrong, with its place.
// Reads with its own small readers (`readback`) and measures with its own code (`measure`): it shares only `base` with
// the rooms that wrote the files.
// Errors:  the proof that finds a fault is not an error: it returns true with fault_count > 0. ERROR_SYSTEM and ERROR_CANCELLED only.
#ifndef PM_PROOF_PROOF_H
#define PM_PROOF_PROOF_H

#include "base/files.h"
#include "base/work.h"

#define PROOF_TOLERANCE_MM 0.01

typedef struct Fault {
    char kind[32];          // "layer-not-covered", "piece-off-sheet", "mark-visible", ...; listed in docs/kit-format.md
    char where[64];         // piece, sheet, seam, file or key concerned: "A7", "navy-1", "totals.cut_mm"
    char text[256];         // found, expected
    double x_mm, y_mm;      // in finished-piece or sheet millimetres
} Fault;

typedef struct Proof {
    Fault *faults;          // in the order of the checks; at most PROOF_MAX_FAULTS are kept
    int fault_count;        // all of them
    int kept_count;
    const char *text;       // proof.txt: what was proved, in numbers; or the faults. 0-terminated, the same for the same files
} Proof;

#define PROOF_MAX_FAULTS 100

// `files` holds all files of the kit's folder, proof.txt too when it is there (it is then compared with what this proof says).
MUST_USE bool proof_kit(const FileSet *files, Arena *keep, Work *work, Proof *out, Error *err);

// True when there is no fault; else ERROR_PROOF with the sentence that keeps the kit back.
MUST_USE bool proof_hands_out(const Proof *proof, Error *err);

// The same in steps, for a caller with threads: the units may run in any order at once, each with an arena and a Work of
// its own; the longest come first. What they find is joined in the order of the checks.
// Memory:  all arenas live until proof_end.
typedef struct ProofMaking ProofMaking;
MUST_USE bool proof_begin(const FileSet *files, Arena *own, Work *work, ProofMaking **out, Error *err);
int proof_unit_count(const ProofMaking *making); // 0 when what was read cannot be measured
MUST_USE bool proof_unit(ProofMaking *making, int unit, Arena *own, Work *work, Error *err);
MUST_USE bool proof_end(ProofMaking *making, Arena *keep, Arena *own, Work *work, Proof *out, Error *err);

#endif

// faults.h - the list of what a proof found wrong; each kind of fault is kept once for each place.
#ifndef PM_PROOF_FAULTS_H
#define PM_PROOF_FAULTS_H

#include "proof/proof.h"

typedef struct Faults {
    Fault *items; // room for PROOF_MAX_FAULTS
    int kept_count;
    int count; // all of them, repetitions at the same place left out while they are kept
} Faults;

MUST_USE bool faults_make(Arena *keep, Faults *out, Error *err);

// Adds a fault unless one of this kind is there for this place already. Long texts are cut.
void fault_add(Faults *faults, const char *kind, const char *where, double x_mm, double y_mm, const char *format, ...)
    PRINTF_LIKE(6, 7);

// Adds what another list holds, in its order, as if it had been found here.
void faults_join(Faults *faults, const Faults *more);

#endif

// nest_strip.h - pieces in a strip of given width and least length: the relaxation of src/nest alone, driven as the literature does.
// Units:   the strip runs along x; millimetres.
// Source:  explore with steps that grow and shrink with success, then compress from the best layout with ever smaller ones: J. Gardeyn,
//          G. Vanden Berghe, T. Wauters, "An open-source heuristic to reboot 2D nesting research" (2025); numbers are our own.
#ifndef PM_BENCH_NEST_STRIP_H
#define PM_BENCH_NEST_STRIP_H

#include "nest/relax.h"

typedef struct Strip {
    const Solid *const *solids;
    int count;
    double width_mm;
    double area_mm2;            // of the outlines
    bool free_turns;
    double seconds;             // of CPU, or
    int64_t moves;              // so many moves when not 0: then the answer hangs on nothing else
    uint64_t seed;
} Strip;

typedef struct StripAnswer {
    Pose *poses;
    double length_mm;
    int64_t moves;
    double seconds;
} StripAnswer;

MUST_USE bool strip_nest(const Strip *strip, Arena *keep, Work *work, StripAnswer *out, Error *err);

double bench_cpu_s(void);

#endif

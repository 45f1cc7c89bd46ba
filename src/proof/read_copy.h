// read_copy.h - the proof's readers of sheets in other formats: DXF of release 12, HP-GL.
// Shape:   the runs of each line kind as flat points in millimetres of the sheet, y down. Arcs of a DXF are flattened within
//          MEASURE_FLAT_MM. Of HP-GL what the tip of a trailing knife does is worked out step by step from what the machine does.
// Strict:  anything that a kit's own file never holds is a problem, since a cutter might do something with it.
// Errors:  ERROR_SYSTEM: memory; ERROR_INPUT: more than can be looked at. What is wrong with the bytes is *problem.
// Source:  as kit/dxf.h and kit/plotter.h say; written apart from them.
#ifndef PM_PROOF_READ_COPY_H
#define PM_PROOF_READ_COPY_H

#include "proof/readback.h"

typedef struct CopyRun {
    int first, count;       // of its line kind's points
    bool closed;            // it ends where it begins
} CopyRun;

typedef struct CopyLines {
    Spot *points;
    size_t point_count, point_capacity;
    CopyRun *runs;
    size_t run_count, run_capacity;
} CopyLines;

typedef struct ReadCopy {
    CopyLines lines[READ_LINES];
} ReadCopy;

MUST_USE bool read_dxf(const FileBytes *file, double height_mm, Arena *arena, ReadCopy *out, const char **problem, Error *err);
// blade_offset_mm > 0: cuts are the way of a knife's middle.
MUST_USE bool read_plotter(const FileBytes *file, double height_mm, double blade_offset_mm, Arena *arena, ReadCopy *out,
                           const char **problem, Error *err);

// Adds a point to the run that was begun last.
MUST_USE bool copy_begin(CopyLines *lines, Arena *arena, Error *err);
MUST_USE bool copy_point(CopyLines *lines, Spot p, Arena *arena, Error *err);

#endif

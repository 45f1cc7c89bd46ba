// sample_shapes.h - the layers, pieces, seams and marks of the kit made by hand (sample_kit.h): circles and straight lines.
// Units:   millimetres of the finished piece, three decimals.
#ifndef PM_SUPPORT_SAMPLE_SHAPES_H
#define PM_SUPPORT_SAMPLE_SHAPES_H

#include <stdbool.h>

typedef struct Curve4 {
    double x[4], y[4];
    bool line;
} Curve4;

typedef struct Shape {
    Curve4 curve[40];
    int count;
    int ring_end[8];
    int rings;
    bool open;
} Shape;

typedef struct SampleMark {
    const char *kind;
    Shape shape;
} SampleMark;

typedef struct SamplePiece {
    const char *id, *layer;
    int sheet;
    Shape shape; // its face
    double to_sheet[6];
    SampleMark marks[3];
    int mark_count;
} SamplePiece;

typedef struct Sample {
    Shape layers[3];
    SamplePiece pieces[5];
    Shape seams[2];
    Shape note;
    Shape lapped; // what is cut of the first piece when its seam is a lap seam; no curves = its face
} Sample;

void sample_line(Shape *s, double x0, double y0, double x1, double y1);
void sample_ring(Shape *s); // what was added since the last one is a ring, or an open stroke

// With laps: the seam of layer A is a lap seam, and A1 reaches under A2.
void sample_make(Sample *s, bool laps);

#endif

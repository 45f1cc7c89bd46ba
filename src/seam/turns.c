// turns.c - see turns.h.
#include "seam/turns.h"

#define COS15 0.965925826289068287
#define COS30 0.866025403784438647
#define COS45 0.707106781186547524
#define SIN15 0.258819045102520762

const double seam_turns[6][2] = {{1.0, 0.0}, {COS15, SIN15}, {COS30, 0.5}, {COS45, COS45}, {0.5, COS30}, {SIN15, COS15}};

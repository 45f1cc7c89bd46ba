// maker.h - a simulated maker and cutter: errors drawn at random, and the rigid motions that they make.
// Shape:   a Motion is a turn about the origin, then a shift: x' = c x - s y + x0, y' = s x + c y + y0.
// Units:   millimetres, y down; turns are small, so 1 mm at the far end is an angle of 1 / reach.
// Errors:  none. The same seed gives the same draws; no libm function decides anything.
// Source:  no measured distribution of a maker's hand was found, so there are two laws: LAW_SIZE takes the error word for
//          word ("1 mm", in any direction), LAW_NORMAL takes it as the bound that 95 % of each axis keep (1.96 sigma).
//          Normal: the sum of twelve uniform numbers less six (the central limit; no tail beyond 6 sigma).
#ifndef PM_BENCH_SIMULATE_MAKER_H
#define PM_BENCH_SIMULATE_MAKER_H

#include "base/rng.h"
#include "proof/measure.h"

typedef enum ErrorLaw { LAW_SIZE, LAW_NORMAL } ErrorLaw;

typedef struct MakerErrors {
    ErrorLaw law;
    double tool_mm; // a change of tool moves all score and pen lines of a sheet against its cuts
    double hand_mm; // a placing by hand moves what is placed
    double turn_mm; // ... and turns it about its middle: so much at its far end; 0 = it does not turn
    double kerf_mm; // width that the blade takes, half of it on each side of a cut
} MakerErrors;

typedef struct Motion {
    double c, s, x, y;
} Motion;

Motion motion_none(void);
Motion motion_about(Spot centre, Spot shift, double tan_turn); // turn about the centre, then shift
Motion motion_after(Motion first, Motion then);
Spot motion_apply(Motion m, Spot p);
Spot motion_undo(Motion m, Spot p);

double maker_normal(Rng *rng);                                // mean 0, deviation 1
Spot maker_shift(ErrorLaw law, double size_mm, Rng *rng);     // a shift in any direction
// What one placing by hand does to a part with this middle and this far end.
Motion maker_placing(const MakerErrors *errors, Spot centre, double reach_mm, Rng *rng);

#endif

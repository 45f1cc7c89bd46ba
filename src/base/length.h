// length.h - lengths as makers write them: 4ft, 4ft6in, 32in, 8.5in, 81cm, 810mm, 1.2m, 4' 6", 6-1/2in.
// Inches, feet and centimetres exist only where text is read or shown; everything else is millimetres.
// Source:  1 in = 25.4 mm exactly: international yard and pound agreement, 1959.
#ifndef PM_BASE_LENGTH_H
#define PM_BASE_LENGTH_H

#include "base/error.h"

#define MM_PER_INCH 25.4

// Parses a length; `what` names it in the error ("--height"). A number without a unit is an error that names the
// units. The result is finite, > 0 and at most 100 m.
MUST_USE bool length_parse(const char *string, const char *what, double *out_mm, Error *err);

// "32 in", "4 ft 6 in", "8.5 in": for people, in inches to a hundredth up to 3 ft, above in feet and inches to a tenth. Takes
// lengths below 10^12 mm; at most 32 bytes, the closing 0 included.
void length_format_inches(double mm, char out[32]);

#endif

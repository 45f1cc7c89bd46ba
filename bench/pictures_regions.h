// pictures_regions.h - which regions a drawing has: by the rule of bench/pictures, and as far as pixels can tell.
#ifndef PM_BENCH_PICTURES_REGIONS_H
#define PM_BENCH_PICTURES_REGIONS_H

#include "art.h"

#include "separation/separation.h"

#define LEAST_PX 20

// The class whose colour is nearest, and how far it is.
int nearest_class(const Truth *t, Srgb8 c, double *de00);

// The class that ground has in this separation: 0 where it is transparent, else that of its colour.
int ground_class(const Truth *t, const Separation *s);

// How many regions a class has: `strict` by the rule, and between `least` and `most` as far as pixels can tell. Areas near
// the limit may come out on either side of it, and what hangs together by a corner or a hairline is one or two.
typedef struct Regions {
    int strict[ART_MOST_CLASSES], least[ART_MOST_CLASSES], most[ART_MOST_CLASSES];
    int bare_least[ART_MOST_CLASSES], bare_most[ART_MOST_CLASSES]; // where hairlines may be there or not
} Regions;

void regions_expect(const Truth *t, const Separation *s, Regions *out);

typedef struct Flood { const uint8_t *label; int width, height, *stack; uint8_t *seen; } Flood;

// The area of the region at `start`, marked as seen. Connected over corners too when `corners`.
int64_t flood(Flood *f, int start, bool corners, bool *at_frame);

#endif

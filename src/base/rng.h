// rng.h - seeded pseudo-random numbers; the state is passed, never hidden.
// Source:  G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators" (OOPSLA 2014): SplitMix64.
#ifndef PM_BASE_RNG_H
#define PM_BASE_RNG_H

#include <stdint.h>

typedef struct Rng { uint64_t state; } Rng;

Rng rng_make(uint64_t seed);
uint64_t rng_next(Rng *rng);
uint32_t rng_below(Rng *rng, uint32_t bound); // 0 <= result < bound, without bias; bound > 0
double rng_unit(Rng *rng);                    // 0 <= result < 1, 53 bits

#endif

// rng.c - SplitMix64; see rng.h.
#include "base/rng.h"

Rng rng_make(uint64_t seed)
{
    return (Rng){.state = seed};
}

uint64_t rng_next(Rng *rng)
{
    uint64_t z = (rng->state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

uint32_t rng_below(Rng *rng, uint32_t bound)
{
    uint32_t refuse_under = (uint32_t)(-bound) % bound; // 2^32 mod bound: values below it would weigh double
    for (;;) {
        uint32_t value = (uint32_t)(rng_next(rng) >> 32);
        if (value >= refuse_under) return value % bound;
    }
}

double rng_unit(Rng *rng)
{
    return (double)(rng_next(rng) >> 11) * 0x1p-53;
}

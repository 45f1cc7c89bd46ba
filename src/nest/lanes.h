// lanes.h - one question about several numbers at once: with the vectors of GCC and clang, elsewhere (or with LANES_PLAIN) in plain C.
// Law:     both ways answer alike to the last bit: each number is added, multiplied and compared by itself, and what comes together
//          are yes and no alone. tests/unit/nest/test_lanes.c compares them.
// Units:   the caller's.
#ifndef PM_NEST_LANES_H
#define PM_NEST_LANES_H

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#define LANES_CELLS 16          // looked at by one lanes_any_deep
#define LANES_DISCS 4           // discs come in groups of so many

// Is any of the next LANES_CELLS cells at least `reach` deep?
static inline bool lanes_any_deep_plain(const unsigned short *depth, unsigned short reach)
{
    for (int i = 0; i < LANES_CELLS; i++)
        if (depth[i] >= reach) return true;
    return false;
}

// Is a disc nearer to one of `count` others (a multiple of LANES_DISCS) than `share` of both radii? Those of radius 0 are none.
static inline bool lanes_disc_meets_plain(float x, float y, float r, const float *xs, const float *ys, const float *rs, int count, float share)
{
    for (int j = 0; j < count; j++) {
        float ex = xs[j] - x, ey = ys[j] - y, reach = (rs[j] + r) * share;
        if (rs[j] > 0.0f && ex * ex + ey * ey < reach * reach) return true;
    }
    return false;
}

#if defined(__GNUC__) && !defined(LANES_PLAIN)

typedef unsigned short Cells8 __attribute__((vector_size(16)));
typedef float Floats4 __attribute__((vector_size(16)));
typedef int32_t Bits4 __attribute__((vector_size(16)));

static inline bool lanes_any_deep(const unsigned short *depth, unsigned short reach)
{
    Cells8 first, second, least = {reach, reach, reach, reach, reach, reach, reach, reach};
    uint64_t found[2];
    memcpy(&first, depth, sizeof first);
    memcpy(&second, depth + 8, sizeof second);
    first = (Cells8)(first >= least) | (Cells8)(second >= least);
    memcpy(found, &first, sizeof found);
    return (found[0] | found[1]) != 0;
}

static inline Floats4 lanes_four(const float *from)
{
    Floats4 four;
    memcpy(&four, from, sizeof four);
    return four;
}

static inline bool lanes_disc_meets(float x, float y, float r, const float *xs, const float *ys, const float *rs, int count, float share)
{
    Bits4 meet = {0};
    for (int j = 0; j < count; j += LANES_DISCS) {
        Floats4 ex = lanes_four(&xs[j]) - x, ey = lanes_four(&ys[j]) - y, other = lanes_four(&rs[j]);
        Floats4 reach = (other + r) * share;
        meet |= (Bits4)(ex * ex + ey * ey < reach * reach) & (Bits4)(other > 0.0f);
    }
    return (meet[0] | meet[1] | meet[2] | meet[3]) != 0;
}

#else
#define lanes_any_deep lanes_any_deep_plain
#define lanes_disc_meets lanes_disc_meets_plain
#endif

#endif

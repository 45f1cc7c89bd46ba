// overlap_laws.h - two outlines read from bytes, laid beside, in and on each other: what the search says of them against the exact check.
// Shape:   stars, boxes, thin bars, wedges, frames and combs; stars and boxes with holes; corners on edges, give or take next to nothing.
#ifndef PM_TESTS_OVERLAP_LAWS_H
#define PM_TESTS_OVERLAP_LAWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct OverlapSeen {    // so that a test can see that nothing was missed out
    int cases, apart, meet, between, thin, pairs, pairs_found;
} OverlapSeen;

// NULL when all laws hold; else what was broken. Bytes that are missing are 0.
const char *overlap_broken_law(const uint8_t *bytes, size_t count, OverlapSeen *seen);

#endif

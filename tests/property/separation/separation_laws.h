// separation_laws.h - what holds of any separation, with any wishes; for the property tests and for fuzzing.
#ifndef PM_TESTS_SEPARATION_LAWS_H
#define PM_TESTS_SEPARATION_LAWS_H

#include "separation/separation.h"

// A small picture with options and wishes made of any bytes; false when there are too few.
bool separation_case_from_bytes(const uint8_t *data, size_t size, Arena *keep, Picture *picture,
                                SeparationOptions *options);

// The law that this result breaks, or NULL.
const char *separation_broken_law(const SeparationOptions *options, const Separation *s, Work *work);

// Runs the case with and without its wishes, twice; the law that is broken, or NULL.
const char *separation_case_broken_law(const Picture *picture, const SeparationOptions *options);

#endif

// picture.h - one try drawn as SVG: every piece where it came to lie, and a dot at each place that fails.
#ifndef PM_BENCH_SIMULATE_PICTURE_H
#define PM_BENCH_SIMULATE_PICTURE_H

#include "simulate/tries.h"

#include <stdio.h>

void picture_write(const Bodies *bodies, const Watch *watch, const Placed *placed, double kerf_mm, FILE *file);

#endif

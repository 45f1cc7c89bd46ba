// measure_path.h - lengths and areas of paths, along the curves themselves.
// Source:  area: Green's theorem on Bernstein polynomials (textbook); length: Gauss-Legendre quadrature with 5 nodes
//          (M. Abramowitz, I. Stegun, "Handbook of Mathematical Functions", 1964, table 25.4) on halves until they agree.
#ifndef PM_KIT_MEASURE_PATH_H
#define PM_KIT_MEASURE_PATH_H

#include "shape/area.h"

double path_length_mm(const Path *path);
double path_area_mm2(const Path *path); // signed sum of its rings

#endif

// guide_paths.h - paths and flat rings on the guide's pages. A matrix takes finished mm to page mm.
#ifndef PM_KIT_GUIDE_PATHS_H
#define PM_KIT_GUIDE_PATHS_H

#include "kit/draft.h"
#include "kit/guide_canvas.h"

#define PATHS_EDGE_MM 0.15

// The colour of a layer's paper.
Ink paths_ink(const Draft *draft, int layer);

void paths_go(Canvas *canvas, Point p, const double m[6], bool line);
void paths_trace(Canvas *canvas, const Path *path, const double m[6]);
void paths_rings(Canvas *canvas, const Rings *rings, const double m[6]);

// Fills what was traced, even-odd, and draws its edge.
void paths_paint(Canvas *canvas, Ink fill, Ink edge, double edge_mm);
void paths_fill(Canvas *canvas, const Path *path, const double m[6], Ink fill, Ink edge);

#endif

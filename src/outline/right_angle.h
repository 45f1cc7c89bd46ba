// right_angle.h - right angles of edges without blends: small squares, letters and steps that were drawn so on purpose.
// Rule:    along the raster of a line or a smooth curve runs of more than one crack come in one direction at a time, the other one has
//          single cracks (A. Rosenfeld, "Digital straight line segments", IEEE Trans. Computers C-23 (1974) 1264-1269), but for tiny
//          round shapes, where it has two. So two neighbouring runs of three and more meet in a true corner, at their pixel corner
//          exactly, and four runs that close are a rectangle. In a picture that was enlarged without blending runs count in its
//          own larger pixels, so that staircases stay curves; from four times on its squares are what the eye sees, and stay.
// Units:   pixels.
#ifndef PM_OUTLINE_RIGHT_ANGLE_H
#define PM_OUTLINE_RIGHT_ANGLE_H

#include "outline/corner.h"

// How many pixels a side the picture's own pixels have: the greatest common measure of all runs.
int right_angle_pixel(const CrackMap *map);

// Puts the right angles of an arc among the corners that were found on its points; of two near each other the right angle
// stays. corners has room for one a crack; *corner_count is what it holds before and after.
MUST_USE bool right_angles_add(const CrackMap *map, const CrackArc *arc, int pixel, const EdgePoint *points, int point_count, Arena *scratch,
                               SharpCorner *corners, int *corner_count, Error *err);

#endif

// dxf.h - one sheet as a DXF: for programs and machines that take no SVG.
// Shape:   release 12, ASCII; a layer a line kind (CUT, SCORE, PEN) that something is drawn with; each run one POLYLINE with
//          arcs as bulges within DXF_NEAR_MM of the curve. Units are millimetres, said in $INSUNITS; y goes up, origin at the
//          sheet's lower left corner.
// Source:  Autodesk, "DXF Reference" for release 12 (groups of HEADER, TABLES, POLYLINE and VERTEX; bulge: group 42).
#ifndef PM_KIT_DXF_H
#define PM_KIT_DXF_H

#include "kit/draft.h"

#define DXF_NEAR_MM 0.015 // of 0.02 that are promised: the rest is for 4 decimals and for points between the samples

MUST_USE bool dxf_sheet(const Draft *draft, int sheet, Arena *keep, FileBytes *out, Error *err);

#endif

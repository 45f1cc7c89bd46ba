// guide_map.h - the drawings of the guide: sheets with their pieces, layers from the front and from behind.
// Names stand on their pieces where there is room, else beside the drawing with a line to the piece (kit/plan_labels.h);
// a seam in sight is a wide line with cross-ticks, a hidden one narrow dashes (kit/plan_seams.h), as on the key plan.
#ifndef PM_KIT_GUIDE_MAP_H
#define PM_KIT_GUIDE_MAP_H

#include "kit/draft.h"
#include "kit/guide_canvas.h"
#include "kit/plan_labels.h"

typedef struct Frame { double x, y, w, h; } Frame;  // on the page, mm

typedef struct MapView {
    Frame frame;            // what was given, cut down to what the drawing takes
    double scale;           // page mm a finished mm
    double matrix[6];       // finished mm to page mm
    PlanLabel *labels;      // the names, as drawn: their middles in page mm; NULL without names
    int label_count;
} MapView;

#define MAP_MARGIN_MM 11.0  // beside a drawing, for names


// The finished piece in its papers' colours, as it will look; the matrix takes finished mm to page mm.
void map_picture(Canvas *canvas, const Draft *draft, const double matrix[6]);

// One layer; what lies below it pale, where it will go. From behind: mirrored, the paper's back white, and only what seams
// join, as large as the frame takes it.
typedef struct MapPart {
    int layer;
    bool from_behind;
    bool without_names;
    bool loose_too;         // from behind: also what no seam joins
    int grid, cell;         // grid > 1: only pieces whose middle lies in this cell (by row) of a grid of as many rows and columns over the layer
} MapPart;

bool map_part_is_empty(const Draft *draft, const MapPart *part);
MUST_USE bool map_layer(Canvas *canvas, const Draft *draft, const MapPart *part, Frame frame, Arena *keep, Work *work, MapView *out,
                        Error *err);

// Into how many rows and columns a layer is to be divided so that its names can be read; 1 = not at all.
MUST_USE bool map_layer_grid(const Draft *draft, int layer, bool from_behind, Frame frame, Arena *keep, Work *work, int *out, Error *err);

// The scale at which a sheet is drawn in such a frame.
double map_sheet_scale(const Paper *paper, double w_mm, double h_mm);
MUST_USE bool map_sheet(Canvas *canvas, const Draft *draft, int sheet, Frame frame, Arena *keep, Work *work, Error *err);

// Names of a draft's pieces on a drawing whose top left corner is at (x, y); `mirror_mm` > 0 = mirrored in this width.
void map_names(Canvas *canvas, const Draft *draft, const PlanLabel *labels, double x, double y, double mirror_mm, Ink ink);

// How the two kinds of seam are drawn, in words, at the flow's place.
void map_seam_key(Canvas *canvas);

#endif

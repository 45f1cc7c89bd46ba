// net.h - a layout carried out on a part: nodes, seam segments and faces, exact to the micrometre.
// Shape:   an outline node lies on the curve, where chain_insert would put it; a junction is a rounded crossing of two
//          lines. Faces are the pieces before any are joined.
// Errors:  a layout that cannot be carried out (a line touches the outline, two nodes coincide, a face does not fit)
//          is not an error: `usable` is false.
#ifndef PM_SEAM_NET_H
#define PM_SEAM_NET_H

#include "base/work.h"
#include "seam/avoid.h"
#include "seam/layout.h"
#include "seam/memo.h"

typedef struct NetNode {
    Point at;
    int edge;         // of the part's boundary; -1 for a junction
    double along;     // fraction of that edge, in the boundary's direction
    int leaving[4];   // half edges that leave, in the order of turning from x to y (+u, +v, -u, -v); -1 for none
    int next_on_ring; // the outline node that follows
    double moved_mm;  // along the edge of a frozen piece, to its nearer corner
    bool at_joint;    // of a group: on the bend of a seam that goes on there (group.h), and so near no end of it
} NetNode;

typedef struct NetSegment { // half edge 2 i runs from a to b, 2 i + 1 back
    int a, b;               // b lies at larger u (way 0) or larger v (way 1)
    int way;
    int face[2]; // to the right of the two half edges
    double length_mm, visible_mm;
    double avoid_in; // what it costs on top for running where no seam is wanted
    bool measured;   // the above and the below are set
    double slant[2]; // at a and b: the cosine to the outline, where the end is in sight; 0 elsewhere
} NetSegment;

typedef struct NetFace {
    double area_mm2; // holes that no line touches not taken off
    Point *hull;
    int hull_count;
} NetFace;

typedef struct NetSlit { // a stretch of a seam that is there already, in the middle of the part
    int face[2];         // on its two sides; -1: no seam comes near enough to tell
} NetSlit;

typedef struct Net {
    NetNode *nodes;
    int node_count;
    NetSegment *segments;
    int segment_count;
    NetFace *faces;
    int face_count;
    NetSlit *slits;
    int slit_count;
    bool usable;
} Net;

// What stays the same for all layouts of one part.
typedef struct NetGround {
    const Part *part;
    const Chains *chains; // the stack's
    const Hiding *hiding;
    const Avoid *avoid;
    const Cover *outline; // the part itself
    Space space;
    FitMemo *memo; // the only thing here that changes
    bool shuns_necks; // pieces that have one already are divided anew: nothing may come near the outline again
} NetGround;

// A part seen in one frame: the same for all layouts along it.
typedef struct NetFrame {
    Turned turned;
    double *touching_v, *touching_u; // rising: where a line would only touch the outline
    int touching_v_count, touching_u_count;
} NetFrame;

MUST_USE bool net_frame_make(const Part *part, Frame frame, Arena *keep, NetFrame *out, Error *err);

// The node that a half edge runs to; half ^ 1 runs back to where it starts.
int net_half_end(const Net *net, int half);

// Everything is put in scratch memory; the caller marks and rewinds.
MUST_USE bool net_make(const NetGround *ground, const NetFrame *frame, const Layout *layout, Arena *scratch, Net *out,
                       Error *err);

#endif

// section_parts.h - which pieces make up each section of a finished piece that parts, and which go across its lines.
// Shape:   a section is a cell between neighbouring lines that holds a piece; sections are named by row, then x: "S1". A piece
//          belongs to the cell that its middle lies in; one that reaches farther than SECTION_OVERHANG_MM across a line on
//          both of its sides is a bridge piece and belongs to none.
#ifndef PM_KIT_SECTION_PARTS_H
#define PM_KIT_SECTION_PARTS_H

#include "kit/draft.h"

#define SECTION_OF_BRIDGE (-1)

typedef struct SectionItem {
    char id[12];
    int cell[2];            // column, row
    Box box;                // of what is cut for it
    int *pieces;            // index into the draft's pieces
    int piece_count;
} SectionItem;

typedef struct SectionParts {
    SectionItem *items;
    int count;
    int *of_piece;          // of each piece of the draft: index into items, or SECTION_OF_BRIDGE
    int *bridges;           // the draft's pieces that go across
    int bridge_count;
} SectionParts;

// *out is NULL when the finished piece does not part.
MUST_USE bool section_parts_make(const Draft *draft, Arena *keep, const SectionParts **out, Error *err);

// Whether a section lies beside one of the lines that a bridge piece goes across, where it does.
bool section_parts_meet(const Draft *draft, int bridge, int section);

#endif

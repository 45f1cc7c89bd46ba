// guide_groups.h - which pieces of a layer seams join, and in which parts that is done best.
// Method:  a group is what seams join. One of more than GUIDE_PART_MOST pieces is divided along the straightest line of
//          seams that leaves two connected halves of like size, and these again: few pieces are joined at a time, then
//          the parts are united along long seams, so that a large limp thing is turned seldom. The order of seams alone decides.
// Memory:  all in the arena given.
#ifndef PM_KIT_GUIDE_GROUPS_H
#define PM_KIT_GUIDE_GROUPS_H

#include "kit/draft.h"

#define GUIDE_PART_MOST 8   // pieces that are laid out and turned in one go: about as much as a table takes

typedef struct GuidePart {
    int group;
    int *pieces;            // index into the layer's pieces, rising; of a united part: those of `first`, then those of `second`
    int count;
    int first, second;      // the earlier parts that it is united from; -1 = joined from single pieces
} GuidePart;

typedef struct GuideGroups {
    const Draft *draft;
    int layer;
    int first_piece, piece_count;   // in the draft
    DraftSeam *seams;               // the layer's, those on section lines apart: nothing is joined there before it is put up
    int *seam_index;                // of each: in the draft
    int seam_count;
    int *group;             // of each piece: the least index that seams join it to
    GuidePart *parts;       // of groups of two pieces or more: parts before what is united from them, a group's last one is whole
    int part_count;
} GuideGroups;

MUST_USE bool guide_groups_make(const Draft *draft, int layer, Arena *keep, Work *work, GuideGroups *out, Error *err);

bool guide_part_has(const GuidePart *part, int piece);
bool guide_part_is_whole(const GuideGroups *groups, int part); // it is its group's last one

int guide_group_size(const GuideGroups *groups, int group);
const char *guide_piece_name(const GuideGroups *groups, int piece);

// The largest piece of a group, by which the group is called.
int guide_group_largest(const GuideGroups *groups, int group);

#endif

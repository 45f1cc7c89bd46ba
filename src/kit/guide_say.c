// guide_say.c - see guide_say.h.
#include "kit/guide_say.h"

#define NEAR_STOP_MIN 30.0 // the end of a layer that is this near is the better place to stop

const char *const GUIDE_SAY_LAPPING[] = {
    "A lap is a tongue of 1/2 in (12 mm) that a piece is cut with: it lies under its neighbour in the end. The maps show "
    "pieces without their laps, as they look from the front.",
    "Lay the piece with the lap face up. At both ends of the lap its own edge is bare for a little: there, and where "
    "letters meet, the neighbour's edge comes to lie. Try it dry.",
    "Glue all over the lap, thinly; the neighbour on it, edge to edge; press it under a board and books.",
    NULL,
};

const char *const GUIDE_SAY_TAPING[] = {
    "Lay the pieces of one step face up on a board, edge to edge; short strips of low-tack tape across every seam.",
    "Lay a second board on them and turn all over in one go. Edges touch all along, none overlaps.",
    "Put tape along each seam, its full length, then short strips across it, a hand apart. Press it down.",
    "When the whole lies face up for good, take the low-tack tape off, slowly and flat along the paper.",
    NULL,
};

const char *guide_say_lines(const Draft *draft)
{
    if (draft_uses(draft, MARK_SCORE))
        return "Every piece goes just over the scored line all round, the arrow on its back to the top: when no line shows any "
               "more, it lies right.";
    if (draft_uses(draft, MARK_PEN))
        return "Every piece goes just over the drawn line all round, the arrow on its back to the top: when no line shows any "
               "more, it lies right.";
    if (draft_uses(draft, MARK_CUT))
        return "Every piece goes just over the row of short cuts all round, the arrow on its back to the top: when none shows "
               "any more, it lies right.";
    return "Take the place of every piece from the map; the arrow on its back points to the top.";
}

void guide_say_check(Text *text, const GuideCheck *check)
{
    text_printf(text, "%d to %d, %s: ", check->dots[0] + 1, check->dots[1] + 1, check->name);
    guide_tape_length(text, check->mm);
}

void guide_say_end(Text *text, const Draft *draft)
{
    const Stack *stack = draft->input->stack;
    text_printf(text, "Done when %severy piece of the key plan is in its place, and the whole measures ",
                draft_uses(draft, MARK_SCORE) || draft_uses(draft, MARK_PEN) ? "no line of those below is in sight, " : "");
    guide_tape_length(text, stack->width_mm);
    text_add(text, " by ");
    guide_tape_length(text, stack->height_mm);
    text_add(text, ".");
}

bool guide_is_stop(const GuideSteps *steps, int index, bool last_layer, double *since_stop)
{
    double left_min = 0;
    for (int i = index + 1; i < steps->count; i++) left_min += steps->items[i].minutes;
    *since_stop += steps->items[index].minutes;
    bool ends_layer = index + 1 == steps->count;
    bool stop = ends_layer ? *since_stop >= GUIDE_STOP_MIN - NEAR_STOP_MIN
                           : *since_stop >= GUIDE_STOP_MIN && left_min > NEAR_STOP_MIN;
    if (!stop || (last_layer && ends_layer)) return false;
    *since_stop = 0;
    return true;
}

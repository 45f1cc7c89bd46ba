// sound.c - see sound.h.
#include "seam/sound.h"

static int32_t least(int32_t a, int32_t b)
{
    return a < b ? a : b;
}

static int32_t most(int32_t a, int32_t b)
{
    return a > b ? a : b;
}

static bool boxes_touch(const Stroke *s, const Stroke *t)
{
    return least(s->a.x, s->b.x) <= most(t->a.x, t->b.x) && least(t->a.x, t->b.x) <= most(s->a.x, s->b.x) &&
           least(s->a.y, s->b.y) <= most(t->a.y, t->b.y) && least(t->a.y, t->b.y) <= most(s->a.y, s->b.y);
}

// Two strokes with one end in common, the others free of the other stroke.
static bool meet_at_end(Point shared, Point s_far, Point t_far)
{
    return !point_on_segment(s_far, shared, t_far) && !point_on_segment(t_far, shared, s_far);
}

static bool pair_is_sound(const Stroke *s, const Stroke *t)
{
    if (!boxes_touch(s, t) || !segments_touch(s->a, s->b, t->a, t->b)) return true;
    if (point_equal(s->a, t->a)) return meet_at_end(s->a, s->b, t->b);
    if (point_equal(s->a, t->b)) return meet_at_end(s->a, s->b, t->a);
    if (point_equal(s->b, t->a)) return meet_at_end(s->b, s->a, t->b);
    if (point_equal(s->b, t->b)) return meet_at_end(s->b, s->a, t->a);
    return false;
}

bool strokes_are_sound(const Stroke *seams, int seam_count, const Stroke *outline, int outline_count, const Work *work)
{
    for (int i = 0; i < seam_count; i++) {
        if (work_cancelled(work)) return false; // outlines have 100 000 strokes at most: below a millisecond each
        for (int k = 0; k < outline_count; k++)
            if (!pair_is_sound(&seams[i], &outline[k])) return false;
        for (int k = 0; k < i; k++)
            if (!pair_is_sound(&seams[i], &seams[k])) return false;
    }
    return true;
}

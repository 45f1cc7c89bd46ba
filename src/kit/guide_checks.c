// guide_checks.c - see guide_checks.h.
#include "kit/guide_checks.h"

#include "base/length.h"
#include "kit/guide_groups.h"

#include <math.h>

void guide_tape_length(Text *text, double mm)
{
    static const char *const SIXTEENTHS[] = {"",     " 1/16", " 1/8", " 3/16",  " 1/4", " 5/16",  " 3/8", " 7/16",
                                             " 1/2", " 9/16", " 5/8", " 11/16", " 3/4", " 13/16", " 7/8", " 15/16"};
    long sixteenths = lround(mm / MM_PER_INCH * 16);
    if (sixteenths >= 16 || sixteenths == 0)
        text_printf(text, "%ld%s", sixteenths / 16, SIXTEENTHS[sixteenths % 16]);
    else
        text_add(text, SIXTEENTHS[sixteenths] + 1);
    text_add(text, " in (");
    text_number(text, mm, 0);
    text_add(text, " mm)");
}

// --- measures of the base ---

static int largest_group(const GuideGroups *groups)
{
    int best = 0;
    double most = -1;
    for (int g = 0; g < groups->piece_count; g++) {
        double sum = 0;
        for (int i = 0; i < groups->piece_count; i++)
            if (groups->group[i] == g) sum += groups->draft->pieces[groups->first_piece + i].area_mm2;
        if (sum <= most) continue;
        most = sum;
        best = g;
    }
    return best;
}

static Point outermost(const GuideGroups *groups, int group, int dx, int dy)
{
    Point best = {0, 0};
    int64_t most = INT64_MIN;
    for (int i = 0; i < groups->piece_count; i++) {
        if (groups->group[i] != group) continue;
        const Rings *rings = &groups->draft->pieces[groups->first_piece + i].source->rings;
        for (int r = 0; r < rings->count; r++)
            for (int k = 0; k < rings->items[r].count; k++) {
                Point p = rings->items[r].points[k];
                int64_t reach = (int64_t)dx * p.x + (int64_t)dy * p.y;
                if (reach < most || (reach == most && point_compare(p, best) >= 0)) continue;
                most = reach;
                best = p;
            }
    }
    return best;
}

static int dot_at(GuideChecks *checks, Point p)
{
    for (int i = 0; i < checks->dot_count; i++)
        if (point_equal(checks->dots[i], p)) return i;
    checks->dots[checks->dot_count] = p;
    return checks->dot_count++;
}

bool guide_checks(const Draft *draft, Work *work, GuideChecks *out, Error *err)
{
    static const int DIRECTIONS[4][2] = {{-1, 0}, {0, -1}, {-1, -1}, {1, -1}}; // each with its opposite
    static const char *const NAMES[4] = {"from the leftmost place to the rightmost", "from the highest place to the lowest", "one diagonal", "the other diagonal"};
    ArenaMark mark = arena_mark(&work->scratch);
    GuideGroups groups;
    *out = (GuideChecks){0};
    if (!guide_groups_make(draft, 0, &work->scratch, work, &groups, err)) return false;
    int group = out->group = largest_group(&groups);
    for (int i = 0; i < 4; i++) {
        Point a = outermost(&groups, group, DIRECTIONS[i][0], DIRECTIONS[i][1]);
        Point b = outermost(&groups, group, -DIRECTIONS[i][0], -DIRECTIONS[i][1]);
        int first = dot_at(out, a), second = dot_at(out, b);
        out->items[i] = (GuideCheck){NAMES[i], {first, second}, point_distance_mm(a, b)};
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

// match_place.c - see match_place.h.
#include "mark/match_place.h"

#include <math.h>

#define RIM_MM 0.55         // a tick's first part, nearer to the cut than marks come elsewhere
#define SEAM_APART_MM 2.0   // between a letter and the seam: nearer, and those of both sides read as one name
#define ASIDE_MM 1.6        // between a letter and its tick
#define REACH_MM 8.0        // how far the edges of a narrow place are looked for
#define LEANS_MOST 0.3      // down component of the way to a letter's top: little more than lying on its side
#define NARROW_SPARE_MM 0.5 // a place with less than that beside the letters is narrow

static Point moved(Point p, Way way, double distance_mm)
{
    double d = distance_mm * UM_PER_MM;
    return (Point){(int32_t)llround(p.x + d * way.x), (int32_t)llround(p.y + d * way.y)};
}

static Way side_way(const MatchPlace *place, int side)
{
    return side == 0 ? (Way){-place->across.x, -place->across.y} : place->across;
}

static bool tick_fits(MatchSides *sides, const MatchKind *kind, const MatchPlace *place, Point ends[2])
{
    for (int i = 0; i < 2; i++) {
        Room *room = &sides->rooms[i];
        Point from = moved(place->p, side_way(place, i), RIM_MM);
        room->over_lines = kind->over_lines && kind->size < 0;
        ends[i] = moved(place->p, side_way(place, i), kind->half_mm);
        if (!room_holds(room, from, ends[i]) || !room_hides(room, place->p, ends[i]) ||
            !room_is_apart(room, place->p, ends[i]))
            return false;
    }
    return true;
}

typedef struct Layout { // how letters stand beside a tick
    WordForm form;
    Way up;
    double along;       // +-1: beside the tick, before or behind it on the seam; 0: beyond its end
} Layout;

// The middle of the letters on one side, and what they take along and across the seam.
static void word_middle(const MatchKind *kind, const MatchPlace *place, const Word *word, const Layout *layout, int side,
                        double *x, double *y, double *out_along_um)
{
    Way across = side_way(place, side), along = {place->across.y, -place->across.x}, right = {-layout->up.y, layout->up.x};
    double half_x, half_y;
    word_half_size(word, layout->form, &half_x, &half_y);
    double takes_along = fabs(right.x * along.x + right.y * along.y) * half_x +
                         fabs(layout->up.x * along.x + layout->up.y * along.y) * half_y;
    double takes_across = fabs(right.x * across.x + right.y * across.y) * half_x +
                          fabs(layout->up.x * across.x + layout->up.y * across.y) * half_y;
    double away = (layout->along == 0.0 ? kind->half_mm + ASIDE_MM : SEAM_APART_MM) * UM_PER_MM + takes_across;
    double aside = layout->along * (ASIDE_MM * UM_PER_MM + takes_along);
    *x = place->p.x + away * across.x + aside * along.x;
    *y = place->p.y + away * across.y + aside * along.y;
    *out_along_um = takes_along;
}

// Beyond the tick's end letters move to the middle of a narrow place.
static bool move_to_middle(Room *room, const MatchPlace *place, double takes_um, double *x, double *y)
{
    const Way along = {place->across.y, -place->across.x};
    double back, ahead, enough = takes_um + NARROW_SPARE_MM * UM_PER_MM;
    if (!room_reach(room, *x, *y, along, REACH_MM * UM_PER_MM, &back, &ahead)) return false;
    if (back >= enough && ahead >= enough) return true;
    if (back + ahead < 2.0 * takes_um) return false;
    double shift = back + ahead < 2.0 * enough ? (ahead - back) / 2.0 : back < enough ? enough - back : ahead - enough;
    *x += shift * along.x;
    *y += shift * along.y;
    return true;
}

static bool letters_fit(MatchSides *sides, const MatchKind *kind, const MatchPlace *place, const Layout *layout,
                        MatchFit *out)
{
    const Word *word = &sides->words[kind->size];
    for (int i = 0; i < 2; i++) {
        double x, y, takes;
        Room *room = &sides->rooms[i];
        room->over_lines = kind->over_lines;
        word_middle(kind, place, word, layout, i, &x, &y, &takes);
        if (layout->along == 0.0 && !move_to_middle(room, place, takes, &x, &y)) return false;
        word_places(word, layout->form, x, y, layout->up, out->letters[i]);
        word_curves(word, out->letters[i], sides->curves);
        if (!room_takes(room, sides->curves, word->path.curve_count)) return false;
    }
    out->word = word;
    return true;
}

// Upright, or with the top towards one of the ways along and across the seam, the most upright ones first and none
// upside down.
static int ups_of(const MatchKind *kind, const MatchPlace *place, Way ups[4])
{
    const Way n = place->across, all[4] = {{n.x, n.y}, {n.y, -n.x}, {-n.x, -n.y}, {-n.y, n.x}};
    int first = 0;
    ups[0] = (Way){0.0, -1.0};
    if (kind->turn == MATCH_UPRIGHT) return 1;
    for (int i = 1; i < 4; i++)
        if (all[i].y < all[first].y) first = i;
    int beside = all[(first + 1) % 4].y <= all[(first + 3) % 4].y ? 1 : 3; // the second best is a neighbour
    ups[0] = all[first];
    ups[1] = all[(first + beside) % 4];
    ups[2] = all[(first + 4 - beside) % 4];
    ups[3] = all[(first + 2) % 4];
    int count = 2;
    while (count < 4 && ups[count].y <= LEANS_MOST) count++;
    return count;
}

bool match_fits(MatchSides *sides, const MatchKind *kind, const MatchPlace *place, MatchFit *out)
{
    static const double alongs[3] = {1.0, -1.0, 0.0};
    Way ups[4];
    out->word = NULL;
    if (!tick_fits(sides, kind, place, out->ends)) return false;
    if (kind->size < 0) return true;
    bool stacks = kind->turn == MATCH_TURNED && sides->words[kind->size].letter_count > 1;
    int up_count = ups_of(kind, place, ups), forms = stacks ? 2 : 1;
    for (int i = 0; i < up_count; i++)
        for (int k = 0; k < 3 * forms; k++) {
            Layout layout = {k < 3 ? WORD_ROW : WORD_STACK, ups[i], alongs[k % 3]};
            if (letters_fit(sides, kind, place, &layout, out)) return true;
        }
    return false;
}

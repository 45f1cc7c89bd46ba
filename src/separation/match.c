// match.c - see match.h.
#include "separation/match.h"

#define APART_DE00 8.0 // so much farther an unused paper may be; more: strange colours; less: edges vanish
#define MOST_PAPERS SEPARATION_MAX_COLOURS

typedef struct Matching {
    double de00[SEPARATION_MAX_COLOURS][MOST_PAPERS];
    int colour_count, paper_count;
    int users[MOST_PAPERS];
    int8_t *paper_of;
} Matching;

static void measure(Matching *m, const Palette *palette, const NamedColour *papers)
{
    for (int k = 0; k < m->paper_count; k++) {
        Lab lab = lab_from_srgb8(papers[k].colour);
        for (int i = 0; i < m->colour_count; i++) m->de00[i][k] = lab_difference_2000(palette->colours[i].lab, lab);
    }
}

static void take_nearest(Matching *m, int colour)
{
    int best = 0;
    for (int k = 1; k < m->paper_count; k++)
        if (m->de00[colour][k] < m->de00[colour][best]) best = k;
    m->paper_of[colour] = (int8_t)best;
    m->users[best]++;
}

// Moves one colour from a paper that several share to an unused one, the move that costs least; false when none is cheap.
static bool move_one(Matching *m)
{
    double least = APART_DE00;
    int colour = -1, paper = -1;
    for (int i = 0; i < m->colour_count; i++) {
        if (m->paper_of[i] < 0 || m->users[m->paper_of[i]] < 2) continue;
        for (int k = 0; k < m->paper_count; k++) {
            double more = m->de00[i][k] - m->de00[i][m->paper_of[i]];
            if (m->users[k] == 0 && more < least) least = more, colour = i, paper = k;
        }
    }
    if (colour < 0) return false;
    m->users[m->paper_of[colour]]--;
    m->users[paper]++;
    m->paper_of[colour] = (int8_t)paper;
    return true;
}

void match_colours(const Palette *palette, const int64_t area_px[SEPARATION_MAX_COLOURS], const NamedColour *papers, int paper_count,
                   int8_t paper_of[SEPARATION_MAX_COLOURS])
{
    Matching m = {.colour_count = palette->count, .paper_count = paper_count < MOST_PAPERS ? paper_count : MOST_PAPERS, .paper_of = paper_of};
    for (int i = 0; i < SEPARATION_MAX_COLOURS; i++) paper_of[i] = -1;
    if (paper_count <= 0) return;
    measure(&m, palette, papers);
    for (int i = 0; i < m.colour_count; i++)
        if (area_px[i] > 0) take_nearest(&m, i);
    while (move_one(&m)) continue; // each move fills a paper, so it ends
}

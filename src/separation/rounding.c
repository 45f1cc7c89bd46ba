// rounding.c - see rounding.h.
#include "separation/rounding.h"

#include <math.h>
#include <stdbool.h>

#define CODE_EIGHTHS 8
#define MIDDLE_GREY 128
#define LUMA_STEP 16      // annex K
#define CHROMA_STEP 17
#define MOST_PERCENT 100 // of those steps: coarser ones are seldom
#define COMMON_PERCENT 50 // where nothing is proved: what many programs save with
#define CHANCE 0.005      // that values which were never rounded look as if they were

static int scaled(int step, int percent)
{
    int eighths = (step * percent + 50) / 100;
    return eighths > CODE_EIGHTHS ? eighths : CODE_EIGHTHS;
}

static int multiple_of(int value, int step)
{
    return (int)floor((double)value * CODE_EIGHTHS / step + 0.5);
}

// A multiple is an eighth of a code fine; it comes back rounded, halves upwards.
static bool comes_back(int value, int step)
{
    return (int)floor((double)multiple_of(value, step) * step / CODE_EIGHTHS + 0.5) == value;
}

// Do all come back? *chance: how likely it is that they do by chance; values near 0 do with every step.
static bool all_come_back(const int (*ycc)[3], int count, Rounding r, double *chance)
{
    *chance = 1.0;
    for (int i = 0; i < count; i++)
        for (int c = 0; c < 3; c++) {
            int step = c ? r.chroma_eighths : r.luma_eighths, value = c ? ycc[i][c] : ycc[i][c] - MIDDLE_GREY;
            if (!comes_back(value, step)) return false;
            if (multiple_of(value, step) != 0) *chance *= (double)CODE_EIGHTHS / step;
        }
    return true;
}

Rounding rounding_find(const int (*ycc)[3], int count)
{
    double chance;
    for (int percent = MOST_PERCENT; percent > COMMON_PERCENT; percent--) {
        Rounding r = {scaled(LUMA_STEP, percent), scaled(CHROMA_STEP, percent)};
        if (all_come_back(ycc, count, r, &chance) && chance < CHANCE) return r;
    }
    Rounding common = {scaled(LUMA_STEP, COMMON_PERCENT), scaled(CHROMA_STEP, COMMON_PERCENT)};
    return all_come_back(ycc, count, common, &chance) ? common : (Rounding){CODE_EIGHTHS, CODE_EIGHTHS};
}

void rounding_undo(Rounding r, const int ycc[3], double middle[3])
{
    for (int c = 0; c < 3; c++) {
        int step = c ? r.chroma_eighths : r.luma_eighths, about = c ? 0 : MIDDLE_GREY;
        middle[c] = about + (double)multiple_of(ycc[c] - about, step) * step / CODE_EIGHTHS;
    }
}

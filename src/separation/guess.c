// guess.c - see guess.h.
#include "separation/guess.h"

#include <math.h>
#include <stddef.h>

#define REACH_CODES 2        // about what was measured
#define GUESSES 125          // 5 in each of three channels
#define LEAST_WEIGHT 0.05    // of the likeliest guess: less likely ones are left out
#define WHOLE_SLACK 1e-9     // halves of colour differences are rounded down
#define RED_LUMA 0.299
#define GREEN_LUMA 0.587
#define BLUE_LUMA 0.114

typedef struct Guess { Srgb8 colour; Lab lab; double weight; } Guess;

void guess_ycc(const double rgb[3], double ycc[3])
{
    double luma = RED_LUMA * rgb[0] + GREEN_LUMA * rgb[1] + BLUE_LUMA * rgb[2], red = rgb[0], blue = rgb[2];
    ycc[0] = luma;
    ycc[1] = 0.5 * (blue - luma) / (1.0 - BLUE_LUMA);
    ycc[2] = 0.5 * (red - luma) / (1.0 - RED_LUMA);
}

void guess_rgb(const double ycc[3], double rgb[3])
{
    double luma = ycc[0], blue = luma + 2.0 * (1.0 - BLUE_LUMA) * ycc[1], red = luma + 2.0 * (1.0 - RED_LUMA) * ycc[2];
    rgb[0] = red;
    rgb[1] = (luma - RED_LUMA * red - BLUE_LUMA * blue) / GREEN_LUMA;
    rgb[2] = blue;
}

static void whole_ycc(Srgb8 c, double whole[3])
{
    const double rgb[3] = {c.r, c.g, c.b};
    guess_ycc(rgb, whole);
    for (int i = 0; i < 3; i++) whole[i] = floor(whole[i] + 0.5 - (i > 0 ? WHOLE_SLACK : 0.0));
}

static bool is_code(double v, int code)
{
    return (int)floor(fmin(fmax(v, 0.0), 255.0) + 0.5) == code;
}

bool guess_comes_back(Srgb8 colour)
{
    const double rgb[3] = {colour.r, colour.g, colour.b};
    double exact[3], near[3], back[3];
    guess_ycc(rgb, exact);
    for (int k = 0; k < 27; k++) { // the whole numbers round about
        const int off[3] = {k % 3 - 1, k / 3 % 3 - 1, k / 9 - 1};
        for (int c = 0; c < 3; c++) near[c] = floor(exact[c] + 0.5) + off[c];
        guess_rgb(near, back);
        if (is_code(back[0], colour.r) && is_code(back[1], colour.g) && is_code(back[2], colour.b)) return true;
    }
    return false;
}

// A bell without exp, whose last bit may differ from machine to machine.
static double weight_of(Srgb8 c, const double measured[3], const double variance[3])
{
    double whole[3], weight = 1.0;
    whole_ycc(c, whole);
    for (int i = 0; i < 3; i++) {
        double off = measured[i] - whole[i], w = 1.0 + off * off / (8.0 * variance[i]);
        weight /= w * w * w * w;
    }
    return weight;
}

bool guess_is_within(Srgb8 c, const GuessLimits *limits)
{
    double whole[3];
    whole_ycc(c, whole);
    for (int i = 0; i < 3; i++)
        if (whole[i] < limits->least[i] || whole[i] > limits->most[i]) return false;
    return true;
}

static int list_guesses(const double measured[3], const double ycc[3], const bool is_sure[3], const double variance[3], const GuessLimits *limits,
                        Guess guesses[GUESSES])
{
    double most = 0.0;
    int low[3], high[3], count = 0, kept = 0;
    for (int c = 0; c < 3; c++) {
        int at = (int)(fmin(fmax(measured[c], 0.0), 255.0) + 0.5), reach = is_sure[c] ? 0 : REACH_CODES;
        low[c] = at > reach ? at - reach : 0, high[c] = at + reach < 255 ? at + reach : 255;
    }
    for (int r = low[0]; r <= high[0]; r++)
        for (int g = low[1]; g <= high[1]; g++)
            for (int b = low[2]; b <= high[2]; b++) {
                Srgb8 colour = {(uint8_t)r, (uint8_t)g, (uint8_t)b};
                if (limits && !guess_is_within(colour, limits)) continue;
                guesses[count] = (Guess){.colour = colour, .weight = weight_of(colour, ycc, variance)};
                most = fmax(most, guesses[count++].weight);
            }
    for (int i = 0; i < count; i++)
        if (guesses[i].weight >= LEAST_WEIGHT * most) guesses[kept++] = guesses[i];
    for (int i = 0; i < kept; i++) guesses[i].lab = lab_from_srgb8(guesses[i].colour);
    return kept;
}

// The guess from which the others are least far; there is at least one.
static Srgb8 middle_guess(const Guess *guesses, int count)
{
    int best = 0;
    double least = INFINITY;
    for (int i = 0; i < count; i++) {
        double sum = 0.0;
        for (int k = 0; k < count; k++) {
            double off = lab_difference_2000(guesses[i].lab, guesses[k].lab);
            sum += guesses[k].weight * off * off;
        }
        if (sum < least) least = sum, best = i;
    }
    return guesses[best].colour;
}

Srgb8 guess_colour(const double measured[3], const bool is_sure[3], const double variance[3])
{
    Guess guesses[GUESSES];
    double ycc[3];
    guess_ycc(measured, ycc);
    return middle_guess(guesses, list_guesses(measured, ycc, is_sure, variance, NULL, guesses));
}

Srgb8 guess_from_ycc(const double ycc[3], const double variance[3], const GuessLimits *limits)
{
    static const bool none_is_sure[3] = {false, false, false};
    Guess guesses[GUESSES];
    double rgb[3];
    guess_rgb(ycc, rgb);
    int count = list_guesses(rgb, ycc, none_is_sure, variance, limits, guesses);
    if (count == 0) count = list_guesses(rgb, ycc, none_is_sure, variance, NULL, guesses);
    return middle_guess(guesses, count);
}

// colour.h - colour spaces and differences.
// Units:   sRGB 8 bit (IEC 61966-2-1), Lab for D65 white (CIE 15), OKLab (W3C CSS Color 4 matrices).
// Source:  dE00: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula: Implementation Notes,
//          Supplementary Test Data, and Mathematical Observations", Color Research and Application 30(1) (2005) 21-30.
//          A hue difference within 1e-9 degree of 180 counts as not more than 180 (pair 10 of its table).
#ifndef PM_SEPARATION_COLOUR_H
#define PM_SEPARATION_COLOUR_H

#include <stdint.h>

typedef struct Srgb8 { uint8_t r, g, b; } Srgb8;
typedef struct Lab { double L, a, b; } Lab;

double linear_from_srgb8(uint8_t value); // 0 to 1, in proportion to light
Lab lab_from_srgb8(Srgb8 colour);
void xyz_from_srgb8(Srgb8 colour, double out_xyz[3]);
void oklab_from_srgb8(Srgb8 colour, double out_lab[3]);
double lab_difference_2000(Lab a, Lab b); // to a millionth, so that equal distances compare as equal

// A plain English word for a colour ("navy", "dark red", "off-white"); our own small table, nearest by dE00.
const char *colour_name(Srgb8 colour);
void colour_hex(Srgb8 colour, char out[8]); // "#1d2f5a"

#endif

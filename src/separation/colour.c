// colour.c - see colour.h.
// Source:  matrix derived in exact arithmetic from the chromaticities of IEC 61966-2-1 (R .64 .33, G .30 .60,
//          B .15 .06, white .3127 .3290); Lab from CIE 15; OKLab from the XYZ matrices of W3C CSS Color 4.
#include "separation/colour.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#define PI 3.14159265358979323846
#define STEPS_A_DE00 1e6        // differences are rounded to a millionth: no choice hangs on a C library's last bit
#define HUE_JUMP_SLACK_DEG 1e-9 // pair 10 of the published table lies exactly on the jump at 180 degrees

static double linear_from_srgb8(uint8_t value)
{
    double encoded = value / 255.0;
    return encoded <= 0.04045 ? encoded / 12.92 : pow((encoded + 0.055) / 1.055, 2.4);
}

void xyz_from_srgb8(Srgb8 colour, double out_xyz[3])
{
    static const double matrix[3][3] = {
        {0.4123907992659595, 0.35758433938387796, 0.1804807884018343},
        {0.21263900587151036, 0.7151686787677559, 0.07219231536073371},
        {0.01933081871559185, 0.11919477979462599, 0.9505321522496606},
    };
    double r = linear_from_srgb8(colour.r), g = linear_from_srgb8(colour.g), b = linear_from_srgb8(colour.b);
    for (int i = 0; i < 3; i++) out_xyz[i] = matrix[i][0] * r + matrix[i][1] * g + matrix[i][2] * b;
}

static double lab_curve(double t)
{
    double limit = (6.0 / 29.0) * (6.0 / 29.0) * (6.0 / 29.0);
    return t > limit ? cbrt(t) : t * (29.0 / 6.0) * (29.0 / 6.0) / 3.0 + 4.0 / 29.0;
}

Lab lab_from_srgb8(Srgb8 colour)
{
    static const double white[3] = {0.9504559270516717, 1.0, 1.0890577507598784};
    double xyz[3];
    xyz_from_srgb8(colour, xyz);
    double fx = lab_curve(xyz[0] / white[0]), fy = lab_curve(xyz[1] / white[1]), fz = lab_curve(xyz[2] / white[2]);
    return (Lab){116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)};
}

void oklab_from_srgb8(Srgb8 colour, double out_lab[3])
{
    static const double to_lms[3][3] = {
        {0.8190224379967030, 0.3619062600528904, -0.1288737815209879},
        {0.0329836539323885, 0.9292868615863434, 0.0361446663506424},
        {0.0481771893596242, 0.2642395317527308, 0.6335478284694309},
    };
    static const double to_lab[3][3] = {
        {0.2104542683093140, 0.7936177747023054, -0.0040720430116193},
        {1.9779985324311684, -2.4285922420485799, 0.4505937096174110},
        {0.0259040424655478, 0.7827717124575296, -0.8086757549230774},
    };
    double xyz[3], lms[3];
    xyz_from_srgb8(colour, xyz);
    for (int i = 0; i < 3; i++) lms[i] = cbrt(to_lms[i][0] * xyz[0] + to_lms[i][1] * xyz[1] + to_lms[i][2] * xyz[2]);
    for (int i = 0; i < 3; i++) out_lab[i] = to_lab[i][0] * lms[0] + to_lab[i][1] * lms[1] + to_lab[i][2] * lms[2];
}

static double degrees(double radians)
{
    return radians * 180.0 / PI;
}

static double cos_deg(double angle_deg)
{
    return cos(angle_deg * PI / 180.0);
}

static double hue_deg(double a, double b)
{
    if (a == 0.0 && b == 0.0) return 0.0;
    double h = degrees(atan2(b, a));
    return h < 0.0 ? h + 360.0 : h;
}

static double chroma(double a, double b)
{
    return sqrt(a * a + b * b);
}

static double pow7(double x)
{
    return x * x * x * x * x * x * x;
}

// Names follow the paper: L', C', h' of both colours, their differences, their means, the weights S and the rotation R.
double lab_difference_2000(Lab x, Lab y)
{
    double mean_c = (chroma(x.a, x.b) + chroma(y.a, y.b)) / 2.0;
    double g = 0.5 * (1.0 - sqrt(pow7(mean_c) / (pow7(mean_c) + pow7(25.0))));
    double a1 = (1.0 + g) * x.a, a2 = (1.0 + g) * y.a;
    double c1 = chroma(a1, x.b), c2 = chroma(a2, y.b);
    double h1 = hue_deg(a1, x.b), h2 = hue_deg(a2, y.b);
    bool grey = c1 * c2 == 0.0;
    double turn = h2 - h1;
    bool wraps = fabs(turn) > 180.0 + HUE_JUMP_SLACK_DEG;
    if (grey)
        turn = 0.0;
    else if (wraps)
        turn += turn > 0.0 ? -360.0 : 360.0;
    double mean_h = h1 + h2;
    if (!grey) mean_h = (!wraps ? mean_h : mean_h < 360.0 ? mean_h + 360.0 : mean_h - 360.0) / 2.0;
    double d_l = y.L - x.L, d_c = c2 - c1, d_h = 2.0 * sqrt(c1 * c2) * sin(turn / 2.0 * PI / 180.0);
    double mean_l = (x.L + y.L) / 2.0, mean_c2 = (c1 + c2) / 2.0;
    double t = 1.0 - 0.17 * cos_deg(mean_h - 30.0) + 0.24 * cos_deg(2.0 * mean_h) + 0.32 * cos_deg(3.0 * mean_h + 6.0) -
               0.20 * cos_deg(4.0 * mean_h - 63.0);
    double from_50 = (mean_l - 50.0) * (mean_l - 50.0);
    double s_l = 1.0 + 0.015 * from_50 / sqrt(20.0 + from_50);
    double s_c = 1.0 + 0.045 * mean_c2, s_h = 1.0 + 0.015 * mean_c2 * t;
    double blue = (mean_h - 275.0) / 25.0;
    double r_c = 2.0 * sqrt(pow7(mean_c2) / (pow7(mean_c2) + pow7(25.0)));
    double r_t = -sin(2.0 * 30.0 * exp(-blue * blue) * PI / 180.0) * r_c;
    double l = d_l / s_l, c = d_c / s_c, h = d_h / s_h;
    double sum = l * l + c * c + h * h + r_t * c * h;
    return sum > 0.0 ? round(sqrt(sum) * STEPS_A_DE00) / STEPS_A_DE00 : 0.0;
}

typedef struct NamedColour {
    const char *name;
    Srgb8 colour;
} NamedColour;

// Everyday words, anchors chosen by eye as the middle of what people in a paper shop would hand over; no source.
static const NamedColour named_colours[] = {
    {"black", {10, 10, 10}},
    {"charcoal", {45, 48, 52}},
    {"dark grey", {85, 85, 85}},
    {"grey", {136, 136, 136}},
    {"light grey", {205, 205, 205}},
    {"white", {255, 255, 255}},
    {"off-white", {245, 241, 230}},
    {"cream", {255, 243, 205}},
    {"beige", {222, 200, 165}},
    {"tan", {200, 160, 110}},
    {"light brown", {170, 120, 75}},
    {"brown", {120, 72, 38}},
    {"dark brown", {68, 40, 24}},
    {"rust", {168, 72, 30}},
    {"red", {220, 30, 38}},
    {"dark red", {140, 18, 24}},
    {"burgundy", {96, 14, 40}},
    {"coral", {250, 115, 95}},
    {"salmon", {246, 160, 140}},
    {"pink", {245, 150, 185}},
    {"light pink", {252, 208, 220}},
    {"hot pink", {236, 50, 135}},
    {"orange", {250, 130, 20}},
    {"dark orange", {214, 92, 10}},
    {"light orange", {255, 180, 90}},
    {"gold", {210, 160, 40}},
    {"amber", {255, 190, 0}},
    {"yellow", {255, 235, 30}},
    {"light yellow", {255, 246, 150}},
    {"olive", {125, 120, 35}},
    {"lime", {165, 220, 50}},
    {"light green", {150, 215, 140}},
    {"green", {40, 160, 65}},
    {"dark green", {16, 84, 42}},
    {"sage", {150, 170, 140}},
    {"mint", {180, 235, 210}},
    {"teal", {0, 128, 128}},
    {"turquoise", {60, 200, 195}},
    {"light blue", {160, 210, 240}},
    {"sky blue", {85, 175, 235}},
    {"blue", {30, 100, 200}},
    {"slate blue", {95, 120, 150}},
    {"dark blue", {20, 50, 130}},
    {"navy", {22, 34, 72}},
    {"lavender", {200, 185, 235}},
    {"purple", {125, 55, 160}},
    {"dark purple", {70, 25, 95}},
    {"magenta", {200, 30, 170}},
};

const char *colour_name(Srgb8 colour)
{
    Lab lab = lab_from_srgb8(colour);
    const char *best = named_colours[0].name;
    double best_de00 = INFINITY;
    for (size_t i = 0; i < sizeof named_colours / sizeof *named_colours; i++) {
        double de00 = lab_difference_2000(lab, lab_from_srgb8(named_colours[i].colour));
        if (de00 < best_de00) best_de00 = de00, best = named_colours[i].name;
    }
    return best;
}

void colour_hex(Srgb8 colour, char out[8])
{
    snprintf(out, 8, "#%02x%02x%02x", colour.r, colour.g, colour.b);
}

// sample_shapes.c - see sample_shapes.h.
#include "sample_shapes.h"

#include <math.h>
#include <string.h>

#define ROUND 0.5522847498307936 // control arm of a quarter circle of radius 1 (common practice: 4/3 (sqrt 2 - 1))

static double rounded(double v)
{
    return floor(v * 1000.0 + 0.5) / 1000.0;
}

void sample_line(Shape *s, double x0, double y0, double x1, double y1)
{
    x0 = rounded(x0);
    y0 = rounded(y0);
    x1 = rounded(x1);
    y1 = rounded(y1);
    s->curve[s->count++] = (Curve4){{x0, x0, x1, x1}, {y0, y0, y1, y1}, true};
}

static void cubic(Shape *s, const double x[4], const double y[4])
{
    Curve4 *c = &s->curve[s->count++];
    for (int i = 0; i < 4; i++) {
        c->x[i] = rounded(x[i]);
        c->y[i] = rounded(y[i]);
    }
    c->line = false;
}

void sample_ring(Shape *s)
{
    s->ring_end[s->rings++] = s->count;
}

// A quarter of a circle; k = 0 starts at the top and runs clockwise on screen; backward runs the same quarter back.
static void quarter(double cx, double cy, double r, int k, bool backward, double x[4], double y[4])
{
    static const double ux[5] = {0, 1, 0, -1, 0}, uy[5] = {-1, 0, 1, 0, -1};
    double px[4] = {ux[k], ux[k] + ROUND * ux[k + 1], ux[k + 1] + ROUND * ux[k], ux[k + 1]};
    double py[4] = {uy[k], uy[k] + ROUND * uy[k + 1], uy[k + 1] + ROUND * uy[k], uy[k + 1]};
    for (int i = 0; i < 4; i++) {
        int from = backward ? 3 - i : i;
        x[i] = rounded(cx + r * px[from]);
        y[i] = rounded(cy + r * py[from]);
    }
}

static void add_quarter(Shape *s, double cx, double cy, double r, int k, bool backward)
{
    double x[4], y[4];
    quarter(cx, cy, r, k, backward, x, y);
    cubic(s, x, y);
}

static void circle(Shape *s, double cx, double cy, double r, bool hole)
{
    for (int k = 0; k < 4; k++) add_quarter(s, cx, cy, r, hole ? 3 - k : k, hole);
    sample_ring(s);
}

// One half of a quarter, divided at t = 1/2 (de Casteljau).
static void half_quarter(Shape *s, double cx, double cy, double r, int k, int half)
{
    double p[2][4];
    quarter(cx, cy, r, k, false, p[0], p[1]);
    double out[2][4];
    for (int a = 0; a < 2; a++) {
        double *q = p[a], m01 = (q[0] + q[1]) / 2, m12 = (q[1] + q[2]) / 2, m23 = (q[2] + q[3]) / 2;
        double l = (m01 + m12) / 2, h = (m12 + m23) / 2, m = (l + h) / 2;
        double first[4] = {q[0], m01, l, m}, second[4] = {m, h, m23, q[3]};
        memcpy(out[a], half ? second : first, sizeof first);
    }
    cubic(s, out[0], out[1]);
}

static void seam_a(Shape *s, bool up)
{
    double x[4] = {150, 170, 130, 150}, y[4] = {60, 100, 140, 180};
    double rx[4] = {150, 130, 170, 150}, ry[4] = {180, 140, 100, 60};
    sample_line(s, 150, up ? 240 : 0, 150, up ? 180 : 60);
    cubic(s, up ? rx : x, up ? ry : y);
    sample_line(s, 150, up ? 60 : 180, 150, up ? 0 : 240);
}

static Shape layer_a(void)
{
    Shape s = {0};
    sample_line(&s, 40, 0, 260, 0);
    add_quarter(&s, 260, 40, 40, 0, false);
    sample_line(&s, 300, 40, 300, 200);
    add_quarter(&s, 260, 200, 40, 1, false);
    sample_line(&s, 260, 240, 40, 240);
    add_quarter(&s, 40, 200, 40, 2, false);
    sample_line(&s, 0, 200, 0, 40);
    add_quarter(&s, 40, 40, 40, 3, false);
    sample_ring(&s);
    circle(&s, 50, 50, 15, true);
    return s;
}

static Shape piece_a1(void)
{
    Shape s = {0};
    circle(&s, 50, 50, 15, true);
    sample_line(&s, 40, 0, 150, 0);
    seam_a(&s, false);
    sample_line(&s, 150, 240, 40, 240);
    add_quarter(&s, 40, 200, 40, 2, false);
    sample_line(&s, 0, 200, 0, 40);
    add_quarter(&s, 40, 40, 40, 3, false);
    sample_ring(&s);
    return s;
}

// The seam strays from x = 150 by less than 6 mm, so that the lap is 12 to 24 mm wide.
static Shape piece_a1_with_lap(void)
{
    Shape s = {0};
    circle(&s, 50, 50, 15, true);
    sample_line(&s, 40, 0, 150, 0);
    sample_line(&s, 150, 0, 150, 5);
    sample_line(&s, 150, 5, 168, 23);
    sample_line(&s, 168, 23, 168, 217);
    sample_line(&s, 168, 217, 150, 235);
    sample_line(&s, 150, 235, 150, 240);
    sample_line(&s, 150, 240, 40, 240);
    add_quarter(&s, 40, 200, 40, 2, false);
    sample_line(&s, 0, 200, 0, 40);
    add_quarter(&s, 40, 40, 40, 3, false);
    sample_ring(&s);
    return s;
}

static Shape piece_a2(void)
{
    Shape s = {0};
    sample_line(&s, 150, 0, 260, 0);
    add_quarter(&s, 260, 40, 40, 0, false);
    sample_line(&s, 300, 40, 300, 200);
    add_quarter(&s, 260, 200, 40, 1, false);
    sample_line(&s, 260, 240, 150, 240);
    seam_a(&s, true);
    sample_ring(&s);
    return s;
}

static void seam_b(Shape *s, bool back)
{
    Shape right = {0}, left = {0};
    half_quarter(&right, 150, 120, 80, 1, 0);
    half_quarter(&left, 150, 120, 80, 2, 0);
    double rx = right.curve[0].x[3], ry = right.curve[0].y[3], lx = left.curve[0].x[3], ly = left.curve[0].y[3];
    if (back)
        sample_line(s, lx, ly, rx, ry);
    else
        sample_line(s, rx, ry, lx, ly);
}

static double seam_b_y(void)
{
    Shape s = {0};
    seam_b(&s, false);
    return s.curve[0].y[0];
}

static Shape piece_b1(void)
{
    Shape s = {0};
    add_quarter(&s, 150, 120, 80, 0, false);
    half_quarter(&s, 150, 120, 80, 1, 0);
    seam_b(&s, false);
    half_quarter(&s, 150, 120, 80, 2, 1);
    add_quarter(&s, 150, 120, 80, 3, false);
    sample_ring(&s);
    return s;
}

static Shape piece_b2(void)
{
    Shape s = {0};
    half_quarter(&s, 150, 120, 80, 1, 1);
    half_quarter(&s, 150, 120, 80, 2, 0);
    seam_b(&s, true);
    sample_ring(&s);
    return s;
}

static Shape disc(double cx, double cy, double r)
{
    Shape s = {0};
    circle(&s, cx, cy, r, false);
    return s;
}

// A detail drawn by pen: a stroke that ends where it starts.
static Shape drawn_disc(double cx, double cy, double r)
{
    Shape s = disc(cx, cy, r);
    s.open = true;
    return s;
}

static Shape stroke(double x0, double y0, double x1, double y1)
{
    Shape s = {.open = true};
    sample_line(&s, x0, y0, x1, y1);
    sample_ring(&s);
    return s;
}

static Shape arc(bool right)
{
    Shape s = {.open = true};
    add_quarter(&s, 150, 120, 78.5, right ? 0 : 2, false);
    add_quarter(&s, 150, 120, 78.5, right ? 1 : 3, false);
    sample_ring(&s);
    return s;
}

// Two strokes: a slanting one and a bar, the stand-in for a letter and a number.
static Shape letters(double x, double y)
{
    Shape s = {.open = true};
    sample_line(&s, x, y + 8, x + 3, y);
    sample_line(&s, x + 3, y, x + 6, y + 8);
    sample_ring(&s);
    sample_line(&s, x + 9, y, x + 9, y + 8);
    sample_ring(&s);
    return s;
}

// Half a tick from (x, y) by (dx, dy), and letters beside it when there are any.
static Shape half_tick(double x, double y, double dx, double dy, bool lettered)
{
    Shape s = {.open = true};
    double share = 0.1 / sqrt(dx * dx + dy * dy); // it begins beside the seam
    sample_line(&s, x + share * dx, y + share * dy, x + dx, y + dy);
    sample_ring(&s);
    if (!lettered) return s;
    sample_line(&s, x + 2 * dx - 3, y + 2 * dy + 10, x + 2 * dx, y + 2 * dy + 4);
    sample_line(&s, x + 2 * dx, y + 2 * dy + 4, x + 2 * dx + 3, y + 2 * dy + 10);
    sample_ring(&s);
    sample_line(&s, x + 2 * dx - 2, y + 2 * dy + 8, x + 2 * dx + 2, y + 2 * dy + 8);
    sample_ring(&s);
    return s;
}

void sample_make(Sample *s, bool laps)
{
    *s = (Sample){.layers = {layer_a(), disc(150, 120, 80), disc(150, 170, 25)}, .note = letters(20, 240)};
    s->pieces[0] = (SamplePiece){
        "A1", "A", 0, piece_a1(), {1, 0, 0, 1, 10, 15}, {{"placement", arc(false)}, {"label", letters(90, 120)}, {"match", half_tick(150, 120, -3.88, -0.97, true)}}, 3};
    s->pieces[1] = (SamplePiece){
        "A2", "A", 1, piece_a2(), {-1, 0, 0, -1, 310, 255}, {{"placement", arc(true)}, {"label", letters(190, 120)}, {"match", half_tick(150, 120, 3.88, 0.97, true)}},
        3};
    s->pieces[2] = (SamplePiece){"B1",
                                 "B",
                                 2,
                                 piece_b1(),
                                 {1, 0, 0, 1, -50, -30},
                                 {{"placement", stroke(140, 155, 160, 155)}, {"label", letters(145, 160)}, {"match", half_tick(150, seam_b_y(), 0, -3, false)}},
                                 3};
    s->pieces[3] = (SamplePiece){
        "B2", "B", 2, piece_b2(), {0.6, 0.8, -0.8, 0.6, 210.5, -22.123}, {{"placement", stroke(140, 185, 160, 185)}, {"match", half_tick(150, seam_b_y(), 0, 3, false)}},
        2};
    s->pieces[4] = (SamplePiece){
        "C1", "C", 2, disc(150, 170, 25), {1, 0, 0, 1, -90, 20}, {{"drawn", drawn_disc(155, 165, 2)}}, 1};
    if (laps) s->lapped = piece_a1_with_lap();
    s->seams[0].open = s->seams[1].open = true;
    seam_a(&s->seams[0], false);
    sample_ring(&s->seams[0]);
    seam_b(&s->seams[1], false);
    sample_ring(&s->seams[1]);
}

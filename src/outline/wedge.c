// wedge.c - see wedge.h.
#include "outline/wedge.h"

#include <math.h>
#include <string.h>

#define REACH_PX 3.0        // pixels farther from the corner are not looked at: sides bend
#define EDGE_PX 1.2         // nor are those farther from both sides, which are of one colour whatever the corner does
#define MOST_PIXELS 64
#define LEAST_PIXELS 6
#define UNFIT_SHARE 0.25    // of the pixels may be no blend of the two
#define ROUNDS 6
#define SHARP_RMS 0.045     // of shares: a tip rounded by a radius of 1.5 px leaves more; rounding to 8 bit far less
#define STEP 0.02           // px and rad, for differences
#define HOLD 0.02           // of the diagonal
#define FARTHEST_PX 2.5     // from where the corner was thought to be
#define MOST_CORNERS 12     // of a pixel's square after two cuts
#define HALF_DIAGONAL 0.7072 // of a pixel, and a little

typedef struct Polygon { Vec at[MOST_CORNERS]; int count; } Polygon;

// How far a place lies to the right of the line through `at` along `direction` (y down).
static double to_right(Vec at, Vec direction, double x, double y)
{
    return direction.x * (y - at.y) - direction.y * (x - at.x);
}

// What lies to the left of the line through `at` along `direction`.
static void keep_left(const Polygon *p, Vec at, Vec direction, Polygon *out)
{
    out->count = 0;
    Vec a = p->at[0];
    double da = to_right(at, direction, a.x, a.y);
    for (int i = 0; i < p->count; i++) {
        Vec b = p->at[i + 1 < p->count ? i + 1 : 0];
        double db = to_right(at, direction, b.x, b.y);
        if (da <= 0) out->at[out->count++] = a;
        if ((da < 0 && db > 0) || (da > 0 && db < 0)) {
            double t = da / (da - db);
            out->at[out->count++] = (Vec){a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
        }
        a = b;
        da = db;
    }
}

static double area_of(const Polygon *p)
{
    double sum = 0;
    for (int i = 0; i < p->count; i++) {
        Vec a = p->at[i], b = p->at[i + 1 < p->count ? i + 1 : 0];
        sum += a.x * b.y - b.x * a.y;
    }
    return fabs(sum) / 2;
}

// Area of a pixel's square to the left of both lines through `at`. Most squares lie wholly on one side of a line.
static double area_left_of_both(Vec at, const Vec direction[2], int x, int y)
{
    Polygon room[2] = {{{{x, y}, {x + 1.0, y}, {x + 1.0, y + 1.0}, {x, y + 1.0}}, 4}};
    int now = 0;
    for (int i = 0; i < 2; i++) {
        double middle = to_right(at, direction[i], x + 0.5, y + 0.5);
        if (middle > HALF_DIAGONAL) return 0.0;
        if (middle < -HALF_DIAGONAL) continue;
        keep_left(&room[now], at, direction[i], &room[!now]);
        now = !now;
    }
    return area_of(&room[now]);
}

// Share of a pixel to the left of the wedge: in both half planes when it is convex there, else in either.
static double left_share(const Wedge *w, int x, int y)
{
    double turn = w->in.x * w->out.y - w->in.y * w->out.x;
    if (turn <= 0) return area_left_of_both(w->at, (const Vec[2]){w->in, w->out}, x, y); // turns left: what is on the left is convex
    const Vec back[2] = {{-w->in.x, -w->in.y}, {-w->out.x, -w->out.y}};
    return 1.0 - area_left_of_both(w->at, back, x, y);
}

typedef struct Sample { int x, y; double left_share; } Sample;

// Distance of a pixel's middle from the nearer of the two sides.
static double off_sides(const Wedge *w, double x, double y)
{
    double best = INFINITY;
    const Vec away[2] = {{-w->in.x, -w->in.y}, w->out};
    for (int i = 0; i < 2; i++) {
        double dx = x - w->at.x, dy = y - w->at.y, on = dx * away[i].x + dy * away[i].y;
        double off = on <= 0 ? sqrt(dx * dx + dy * dy) : fabs(dx * away[i].y - dy * away[i].x);
        best = fmin(best, off);
    }
    return best;
}

// The pixels that tell; false when too few are blends of the two colours.
static bool take_samples(const Pixels *pixels, const Painting *painting, int left, int right, const Wedge *w, Sample *out, int *count)
{
    int n = 0, unfit = 0, reach = (int)REACH_PX + 1;
    int cx = (int)floor(w->at.x), cy = (int)floor(w->at.y);
    for (int y = cy - reach; y <= cy + reach; y++)
        for (int x = cx - reach; x <= cx + reach; x++) {
            double dx = x + 0.5 - w->at.x, dy = y + 0.5 - w->at.y;
            if (dx * dx + dy * dy > REACH_PX * REACH_PX || off_sides(w, x + 0.5, y + 0.5) > EDGE_PX) continue;
            double share;
            if (!subpixel_coverage(pixels, painting, left, right, x, y, &share)) unfit++;
            else if (n < MOST_PIXELS) out[n++] = (Sample){x, y, 1.0 - share};
        }
    *count = n;
    return n >= LEAST_PIXELS && unfit <= UNFIT_SHARE * (n + unfit);
}

static double misfit(const Wedge *w, const Sample *samples, int count, double *residual)
{
    double sum = 0;
    for (int i = 0; i < count; i++) {
        residual[i] = left_share(w, samples[i].x, samples[i].y) - samples[i].left_share;
        sum += residual[i] * residual[i];
    }
    return sum;
}

// Turned by a small angle from +x towards +y; stays a unit vector without a sine.
static Vec turned(Vec d, double by)
{
    Vec out = {d.x - by * d.y, d.y + by * d.x};
    double l = sqrt(out.x * out.x + out.y * out.y);
    return (Vec){out.x / l, out.y / l};
}

static Wedge moved(const Wedge *w, const double by[4])
{
    return (Wedge){{w->at.x + by[0], w->at.y + by[1]}, turned(w->in, by[2]), turned(w->out, by[3])};
}

// Solves a symmetric positive system of four unknowns in place; false when it is as good as singular.
static bool solve4(double m[4][4], double r[4])
{
    for (int i = 0; i < 4; i++) {
        if (m[i][i] < 1e-9) return false;
        for (int j = i + 1; j < 4; j++) {
            double f = m[j][i] / m[i][i];
            for (int k = i; k < 4; k++) m[j][k] -= f * m[i][k];
            r[j] -= f * r[i];
        }
    }
    for (int i = 3; i >= 0; i--) {
        for (int k = i + 1; k < 4; k++) r[i] -= m[i][k] * r[k];
        r[i] /= m[i][i];
    }
    return true;
}

// One step towards less misfit; false when there is none. at: what is left over at each pixel; *sum: their squares.
static bool improve(Wedge *w, const Sample *samples, int count, double *at, double *sum)
{
    double beside[MOST_PIXELS], slope[MOST_PIXELS][4], m[4][4] = {{0}}, r[4] = {0};
    for (int k = 0; k < 4; k++) {
        double by[4] = {0};
        by[k] = STEP;
        Wedge next = moved(w, by);
        (void)misfit(&next, samples, count, beside);
        for (int i = 0; i < count; i++) slope[i][k] = (beside[i] - at[i]) / STEP;
    }
    for (int i = 0; i < count; i++)
        for (int a = 0; a < 4; a++) {
            r[a] -= slope[i][a] * at[i];
            for (int b = 0; b < 4; b++) m[a][b] += slope[i][a] * slope[i][b];
        }
    for (int a = 0; a < 4; a++) m[a][a] += HOLD * m[a][a] + 1e-4;
    if (!solve4(m, r)) return false;
    for (double part = 1.0; part > 0.2; part /= 2) {
        double by[4] = {part * r[0], part * r[1], part * r[2], part * r[3]};
        Wedge next = moved(w, by);
        double less = misfit(&next, samples, count, beside);
        if (less >= *sum) continue;
        *w = next;
        *sum = less;
        memcpy(at, beside, sizeof *at * (size_t)count);
        return true;
    }
    return false;
}

WedgeVerdict wedge_fit(const Pixels *pixels, const Painting *painting, int left, int right, Wedge *wedge)
{
    Sample samples[MOST_PIXELS];
    double residual[MOST_PIXELS];
    int count;
    Wedge w = *wedge;
    if (!take_samples(pixels, painting, left, right, &w, samples, &count)) return WEDGE_UNKNOWN;
    double sum = misfit(&w, samples, count, residual);
    for (int round = 0; round < ROUNDS; round++)
        if (!improve(&w, samples, count, residual, &sum)) break;
    double dx = w.at.x - wedge->at.x, dy = w.at.y - wedge->at.y;
    if (sqrt(sum / count) > SHARP_RMS || dx * dx + dy * dy > FARTHEST_PX * FARTHEST_PX) return WEDGE_NOT_SHARP;
    *wedge = w;
    return WEDGE_SHARP;
}

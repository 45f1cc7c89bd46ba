// fit.c - straight parts first, then the fewest cubics by greedy reach from both ends; see fit.h.
// Why greedy is enough: a part of a run that one cubic can follow is one that a cubic can follow too, so the farthest
// reach each time gives the least number. The reach from the other end gives the latest place of each joint's
// opposite; joints half-way between the two spread the error evenly.
#include "shape/fit.h"

#include <assert.h>
#include <math.h>

#define DEFAULT_SPAN 4
#define MOST_SAMPLES 48    // points looked at in one try; more cost time, fewer can miss a bump
#define ROUNDS 4           // of solving and re-parameterising
#define SETTLE_ROUNDS 8    // the same, for curves that are kept
#define SETTLED 0.98       // a round that saves less of the squares is the last
#define HOPELESS 8.0       // times the tolerance: no round will mend it
#define END_WEIGHT 20.0    // of a fixed end in the smoothing window
#define STRAIGHT_SHARE 0.5 // of the line tolerance, for straight parts inside a curve

typedef struct Run {
    const Vec *points;
    int count;
    const FitOptions *options;
    double *along;  // chord length up to a point
    Vec *place;     // where a joint at this point would be
    Vec *tangent;   // its direction; (0, 0) = free
} Run;

static Vec add(Vec a, Vec b)
{
    return (Vec){a.x + b.x, a.y + b.y};
}

static Vec sub(Vec a, Vec b)
{
    return (Vec){a.x - b.x, a.y - b.y};
}

static Vec scaled(Vec a, double by)
{
    return (Vec){a.x * by, a.y * by};
}

static double dot(Vec a, Vec b)
{
    return a.x * b.x + a.y * b.y;
}

static double length(Vec a)
{
    return sqrt(dot(a, a));
}

static Vec unit(Vec a)
{
    double l = length(a);
    return l > 0.0 ? scaled(a, 1.0 / l) : (Vec){0, 0};
}

static double slack_at(const Run *run, int i)
{
    return run->options->slack ? run->options->slack[i] : 0.0;
}

static double weight_at(const Run *run, int i)
{
    double s = slack_at(run, i) / run->options->tolerance;
    return 1.0 / (1.0 + s * s);
}

// Solves a symmetric positive system of at most 4 unknowns; false when it is as good as singular.
static bool solve(double m[4][4], double r[4], int size)
{
    double scale = 0.0;
    for (int i = 0; i < size; i++) scale = fmax(scale, fabs(m[i][i]));
    for (int i = 0; i < size; i++) {
        int best = i;
        for (int j = i + 1; j < size; j++)
            if (fabs(m[j][i]) > fabs(m[best][i])) best = j;
        if (fabs(m[best][i]) <= 1e-9 * scale) return false;
        for (int k = 0; k < size; k++) {
            double t = m[i][k];
            m[i][k] = m[best][k];
            m[best][k] = t;
        }
        double t = r[i];
        r[i] = r[best];
        r[best] = t;
        for (int j = i + 1; j < size; j++) {
            double f = m[j][i] / m[i][i];
            for (int k = i; k < size; k++) m[j][k] -= f * m[i][k];
            r[j] -= f * r[i];
        }
    }
    for (int i = size - 1; i >= 0; i--) {
        for (int k = i + 1; k < size; k++) r[i] -= m[i][k] * r[k];
        r[i] /= m[i][i];
    }
    return true;
}

// Place and tangent at point i from a parabola through its neighbours (least squares).
static void smooth_at(Run *run, int i, int span)
{
    bool closed = run->options->closed;
    int last = run->count - 1;
    double whole = run->along[last];
    double moments[5] = {0}, x[3] = {0}, y[3] = {0};
    int used = 0;
    for (int k = -span; k <= span; k++) {
        int j = i + k;
        double turn = 0.0;
        if (closed && j < 0) {
            j += last;
            turn = -whole;
        } else if (closed && j > last) {
            j -= last;
            turn = whole;
        } else if (j < 0 || j > last) {
            continue;
        }
        double u = run->along[j] + turn - run->along[i];
        double w = weight_at(run, j);
        if (!closed && (j == 0 || j == last)) w = END_WEIGHT;
        double power = w;
        for (int p = 0; p < 5; p++) {
            moments[p] += power;
            if (p < 3) {
                x[p] += power * (run->points[j].x - run->points[i].x);
                y[p] += power * (run->points[j].y - run->points[i].y);
            }
            power *= u;
        }
        used++;
    }
    int size = used >= 4 ? 3 : 2;
    double mx[4][4], my[4][4], rx[4], ry[4];
    for (int a = 0; a < size; a++) {
        rx[a] = x[a];
        ry[a] = y[a];
        for (int b = 0; b < size; b++) mx[a][b] = my[a][b] = moments[a + b];
    }
    run->place[i] = run->points[i];
    if (!solve(mx, rx, size) || !solve(my, ry, size)) {
        int before = i > 0 ? i - 1 : (closed ? last - 1 : i), after = i < last ? i + 1 : (closed ? 1 : i);
        run->tangent[i] = unit(sub(run->points[after], run->points[before]));
        return;
    }
    run->place[i] = add(run->points[i], (Vec){rx[0], ry[0]});
    run->tangent[i] = unit((Vec){rx[1], ry[1]});
}

static void smooth_run(Run *run)
{
    int last = run->count - 1;
    int span = run->options->span > 0 ? run->options->span : DEFAULT_SPAN;
    if (run->options->closed && span > last / 8) span = last / 8 > 1 ? last / 8 : 1;
    for (int i = 0; i <= last; i++) smooth_at(run, i, span);
    if (run->options->closed) {
        run->place[last] = run->place[0];
        run->tangent[last] = run->tangent[0];
        return;
    }
    run->place[0] = run->points[0];
    run->place[last] = run->points[last];
    run->tangent[0] = run->options->start_tangent;
    run->tangent[last] = run->options->end_tangent;
}

// Largest distance of the points from the straight line between two joints, in parts of what is allowed.
static double line_misfit(const Run *run, int from, int to, double allowed)
{
    Vec a = run->place[from], d = sub(run->place[to], a);
    double l = length(d), worst = 0.0;
    if (!(l > 0.0)) return INFINITY;
    for (int i = from; i <= to; i++) {
        Vec e = sub(run->points[i], a);
        double off = fabs(d.x * e.y - d.y * e.x) / l, on = dot(d, e) / l;
        if (on < 0.0) off = fmax(off, -on);
        if (on > l) off = fmax(off, on - l);
        worst = fmax(worst, off / (allowed + slack_at(run, i)));
    }
    return worst;
}

static FitCurve line_between(Vec a, Vec b)
{
    return (FitCurve){a, a, b, b, true};
}

typedef struct Sample { Vec p; double weight, allowed, t; } Sample;

static int take_samples(const Run *run, int from, int to, Sample *out)
{
    int inner = to - from - 1, n = inner < MOST_SAMPLES ? inner : MOST_SAMPLES;
    double start = run->along[from], whole = run->along[to] - start;
    for (int k = 0; k < n; k++) {
        int i = from + 1 + (int)(((int64_t)(2 * k + 1) * inner) / (2 * n));
        out[k] = (Sample){run->points[i], weight_at(run, i), run->options->tolerance + slack_at(run, i),
                          (run->along[i] - start) / whole};
    }
    return n;
}

static Vec curve_at(const FitCurve *c, double t)
{
    double s = 1.0 - t, b0 = s * s * s, b1 = 3 * s * s * t, b2 = 3 * s * t * t, b3 = t * t * t;
    return (Vec){b0 * c->p0.x + b1 * c->p1.x + b2 * c->p2.x + b3 * c->p3.x,
                 b0 * c->p0.y + b1 * c->p1.y + b2 * c->p2.y + b3 * c->p3.y};
}

// The handles that come nearest to the samples at their parameters. A free end's handle has two unknowns, one with a
// tangent has its length only.
static bool solve_handles(FitCurve *c, Vec start, Vec end, const Sample *samples, int n)
{
    bool free1 = start.x == 0.0 && start.y == 0.0, free2 = end.x == 0.0 && end.y == 0.0;
    double s11 = 0, s12 = 0, s22 = 0;
    Vec r1 = {0, 0}, r2 = {0, 0};
    for (int i = 0; i < n; i++) {
        double t = samples[i].t, s = 1.0 - t, w = samples[i].weight;
        double b1 = 3 * s * s * t, b2 = 3 * s * t * t, b01 = s * s * s + b1, b23 = t * t * t + b2;
        Vec rest = {samples[i].p.x - b01 * c->p0.x - b23 * c->p3.x, samples[i].p.y - b01 * c->p0.y - b23 * c->p3.y};
        s11 += w * b1 * b1;
        s12 += w * b1 * b2;
        s22 += w * b2 * b2;
        r1 = add(r1, scaled(rest, w * b1));
        r2 = add(r2, scaled(rest, w * b2));
    }
    Vec axis[4];
    bool second[4];
    int size = 0;
    if (free1) {
        axis[size] = (Vec){1, 0}, second[size++] = false;
        axis[size] = (Vec){0, 1}, second[size++] = false;
    } else {
        axis[size] = start, second[size++] = false;
    }
    if (free2) {
        axis[size] = (Vec){1, 0}, second[size++] = true;
        axis[size] = (Vec){0, 1}, second[size++] = true;
    } else {
        axis[size] = scaled(end, -1.0), second[size++] = true;
    }
    double m[4][4], r[4];
    for (int a = 0; a < size; a++) {
        r[a] = dot(axis[a], second[a] ? r2 : r1);
        for (int b = 0; b < size; b++)
            m[a][b] = dot(axis[a], axis[b]) * (second[a] != second[b] ? s12 : second[a] ? s22 : s11);
    }
    if (n < size || !solve(m, r, size)) return false;
    if ((!free1 && r[0] <= 0.0) || (!free2 && r[size - 1] <= 0.0)) return false;
    c->p1 = c->p0;
    c->p2 = c->p3;
    for (int a = 0; a < size; a++) {
        Vec step = scaled(axis[a], r[a]);
        if (second[a]) c->p2 = add(c->p2, step);
        else c->p1 = add(c->p1, step);
    }
    return true;
}

// One Newton step towards the nearest point of the curve, for each sample.
static void move_parameters(const FitCurve *c, Sample *samples, int n)
{
    Vec a = sub(c->p1, c->p0), b = sub(c->p2, c->p1), d = sub(c->p3, c->p2);
    Vec e = sub(b, a), f = sub(d, b);
    for (int i = 0; i < n; i++) {
        double t = samples[i].t, s = 1.0 - t;
        Vec away = sub(curve_at(c, t), samples[i].p);
        Vec d1 = {3 * (s * s * a.x + 2 * s * t * b.x + t * t * d.x), 3 * (s * s * a.y + 2 * s * t * b.y + t * t * d.y)};
        Vec d2 = {6 * (s * e.x + t * f.x), 6 * (s * e.y + t * f.y)};
        double slope = dot(d1, d1) + dot(away, d2);
        if (slope <= 0.0) continue;
        t -= dot(away, d1) / slope;
        samples[i].t = t < 0.0 ? 0.0 : t > 1.0 ? 1.0 : t;
    }
}

static double misfit(const FitCurve *c, const Sample *samples, int n)
{
    double worst = 0.0;
    for (int i = 0; i < n; i++) worst = fmax(worst, length(sub(curve_at(c, samples[i].t), samples[i].p)) / samples[i].allowed);
    return worst;
}

// Handles a third of the chord long; they can neither loop nor cross while the tangents look forward.
static FitCurve plain_cubic(Vec a, Vec start, Vec b, Vec end)
{
    Vec d = sub(b, a);
    double third = length(d) / 3.0;
    if (start.x == 0.0 && start.y == 0.0) start = unit(d);
    if (end.x == 0.0 && end.y == 0.0) end = unit(d);
    if (dot(start, d) <= 0.0 || dot(end, d) <= 0.0) return line_between(a, b);
    return (FitCurve){a, add(a, scaled(start, third)), sub(b, scaled(end, third)), b, false};
}

// Handles that are too long, look backwards past each other or hardly exist make loops and cusps.
static bool is_tame(const FitCurve *c, double run_length)
{
    double h1 = length(sub(c->p1, c->p0)), h2 = length(sub(c->p3, c->p2));
    if (h1 > run_length || h2 > run_length || h1 + h2 > 1.6 * run_length) return false;
    if (h1 < 0.02 * run_length || h2 < 0.02 * run_length) return false;
    Vec chord = sub(c->p3, c->p0);
    double l2 = dot(chord, chord);
    return l2 > 0.0 && dot(sub(c->p2, c->p1), chord) > -0.2 * l2 && l2 > 0.04 * run_length * run_length;
}

// The cubic from joint to joint; returns its misfit (<= 1 fits).
static double fit_one(const Run *run, int from, int to, FitCurve *out)
{
    Vec start = run->tangent[from], end = run->tangent[to];
    *out = plain_cubic(run->place[from], start, run->place[to], end);
    if (to - from < 2) return 0.0;
    Sample samples[MOST_SAMPLES];
    int n = take_samples(run, from, to, samples);
    double run_length = run->along[to] - run->along[from];
    double best = misfit(out, samples, n);
    FitCurve c = *out;
    c.is_line = false;
    for (int round = 0; round < ROUNDS; round++) {
        if (!solve_handles(&c, start, end, samples, n)) break;
        if (is_tame(&c, run_length)) {
            double m = misfit(&c, samples, n);
            if (m < best) {
                best = m;
                *out = c;
            }
            if (best <= 0.5 || m > HOPELESS) break;
        }
        move_parameters(&c, samples, n);
    }
    if (best > 1.0 && best < HOPELESS) {
        for (int round = 0; round < 2; round++) move_parameters(out, samples, n);
        best = fmin(best, misfit(out, samples, n));
    }
    return best;
}

static double squares(const FitCurve *c, const Sample *samples, int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        Vec off = sub(curve_at(c, samples[i].t), samples[i].p);
        sum += samples[i].weight * dot(off, off);
    }
    return sum;
}

// A curve that fits may still lie on one side of its points all along: moved until it is as near to all of them as it can be.
static void settle(const Run *run, int from, int to, FitCurve *c)
{
    if (c->is_line || to - from < 2) return;
    Sample samples[MOST_SAMPLES];
    int n = take_samples(run, from, to, samples);
    double run_length = run->along[to] - run->along[from];
    for (int round = 0; round < 2; round++) move_parameters(c, samples, n);
    double most = fmax(1.0, misfit(c, samples, n)), least = squares(c, samples, n);
    FitCurve next = *c;
    for (int round = 0; round < SETTLE_ROUNDS; round++) {
        if (!solve_handles(&next, run->tangent[from], run->tangent[to], samples, n)) return;
        move_parameters(&next, samples, n);
        double sum = squares(&next, samples, n);
        if (!is_tame(&next, run_length) || sum >= least) return;
        if (misfit(&next, samples, n) <= most) *c = next;
        if (sum > SETTLED * least) return;
        least = sum;
    }
}

static bool fits(const Run *run, int from, int to)
{
    FitCurve c;
    return fit_one(run, from, to, &c) <= 1.0;
}

// The farthest joint from `from` towards `limit` (either side of it) that one cubic reaches.
static int farthest(const Run *run, int from, int limit)
{
    int sign = limit > from ? 1 : -1, most = (limit - from) * sign, reach = 1, step = 8;
#define REACHES(d) (sign > 0 ? fits(run, from, from + (d)) : fits(run, from - (d), from))
    if (most <= 64 && REACHES(most)) return limit;
    while (reach + step < most && REACHES(reach + step)) {
        reach += step;
        step *= 2;
    }
    int beyond = reach + step;
    if (beyond >= most) {
        if (REACHES(most)) return limit;
        beyond = most;
    }
    while (beyond - reach > 1) {
        int mid = reach + (beyond - reach) / 2;
        if (REACHES(mid)) reach = mid;
        else beyond = mid;
    }
#undef REACHES
    return from + sign * reach;
}

// Joints of the section from..to into joints[0..n]; returns n, the number of curves.
static int place_joints(const Run *run, int from, int to, int *joints, int *spare)
{
    int n = 0, m = 0;
    joints[0] = from;
    while (joints[n] < to) {
        joints[n + 1] = farthest(run, joints[n], to);
        n++;
    }
    if (n == 1) return 1;
    for (int at = to; at > from && m <= n; m++) {
        spare[m] = at;
        at = farthest(run, at, from);
    }
    if (m != n) return n;
    // spare[n - k] is the earliest place of joint k, joints[k] the latest
    for (int k = 1; k < n; k++) spare[n - k] = (spare[n - k] + joints[k]) / 2;
    for (int k = 0; k < n; k++) {
        int a = k ? spare[n - k] : from, b = k + 1 < n ? spare[n - k - 1] : to;
        if (a >= b || !fits(run, a, b)) return n;
    }
    for (int k = 1; k < n; k++) joints[k] = spare[n - k];
    return n;
}

// The next straight part at or after `from`; false when there is none.
static bool next_straight(const Run *run, int from, int *first, int *last)
{
    double least = run->options->line_length, allowed = run->options->line_tolerance * STRAIGHT_SHARE;
    int end = run->count - 1, j = from;
    if (!(least > 0.0)) return false;
    for (int i = from; i < end; i += 1 + (j - i) / 6) {
        if (j < i) j = i;
        while (j < end && run->along[j] - run->along[i] < least) j++;
        if (run->along[j] - run->along[i] < least) return false;
        if (line_misfit(run, i, j, allowed) > 1.0) continue;
        int step = (j - i) / 2 + 1;
        while (step > 0) {
            int farther = j + step < end ? j + step : end;
            if (farther > j && line_misfit(run, i, farther, allowed) <= 1.0) j = farther;
            else step /= 2;
            if (j == end) break;
        }
        *first = i;
        *last = j;
        return true;
    }
    return false;
}

// ---- the least number of curves, by a shortest path over all joints ----

#define VAIN_TRIES 24   // joints in a row that no curve reaches; farther ones are not looked at

static bool fits_some_way(const Run *run, int from, int to)
{
    return line_misfit(run, from, to, run->options->line_tolerance) <= 1.0 || fits(run, from, to);
}

// before[i]: the joint before i on a path from 0 with the fewest curves.
static void find_path(const Run *run, int *before, int *curves)
{
    int last = run->count - 1;
    for (int i = 1; i <= last; i++) curves[i] = i + 1;
    curves[0] = 0;
    for (int i = 0; i < last; i++) {
        int vain = 0;
        for (int j = i + 1; j <= last && vain < VAIN_TRIES; j++) {
            if (curves[j] <= curves[i] + 1) continue; // nothing to gain
            bool good = j == i + 1 || fits_some_way(run, i, j);
            vain = good ? 0 : vain + 1;
            if (good) curves[j] = curves[i] + 1, before[j] = i;
        }
    }
}

typedef struct Output {
    FitCurve *items;
    int count;
    int *joints, *spare;
} Output;

static void put_section(const Run *run, int from, int to, Output *output)
{
    if (from >= to) return;
    int n = place_joints(run, from, to, output->joints, output->spare);
    for (int k = 0; k < n; k++) {
        FitCurve c;
        (void)fit_one(run, output->joints[k], output->joints[k + 1], &c);
        settle(run, output->joints[k], output->joints[k + 1], &c);
        output->items[output->count++] = c;
    }
}

static void put_run(Run *run, Output *output)
{
    int at = 0, first, last;
    while (next_straight(run, at, &first, &last)) {
        Vec direction = unit(sub(run->place[last], run->place[first]));
        // an end of the run that has no tangent is a corner: nothing is forced on it
        run->tangent[first] = run->tangent[last] = direction;
        if (run->options->closed && first == 0) run->tangent[run->count - 1] = direction;
        if (run->options->closed && last == run->count - 1) run->tangent[0] = direction;
        put_section(run, at, first, output);
        output->items[output->count++] = line_between(run->place[first], run->place[last]);
        at = last;
    }
    put_section(run, at, run->count - 1, output);
}

static void put_path(const Run *run, Output *output)
{
    int *before = output->joints, *curves = output->spare, at = run->count - 1;
    find_path(run, before, curves);
    output->count = curves[at];
    for (int k = output->count - 1; k >= 0; k--) {
        int from = before[at];
        FitCurve *c = &output->items[k];
        if (line_misfit(run, from, at, run->options->line_tolerance) <= 1.0) *c = line_between(run->place[from], run->place[at]);
        else {
            (void)fit_one(run, from, at, c);
            settle(run, from, at, c);
        }
        at = from;
    }
}

bool fit_curves(const Vec *points, int count, const FitOptions *options, Arena *keep, FitCurve **out, int *out_count,
                Error *err)
{
    assert(count >= 2 && options->tolerance > 0.0);
    *out = NULL;
    *out_count = 0;
    Run run = {.points = points, .count = count, .options = options};
    run.along = arena_new(keep, double, count);
    run.place = arena_new(keep, Vec, count);
    run.tangent = arena_new(keep, Vec, count);
    Output output = {.items = arena_new(keep, FitCurve, count)};
    output.joints = arena_new(keep, int, count + 1);
    output.spare = arena_new(keep, int, count + 2);
    if (!run.along || !run.place || !run.tangent || !output.items || !output.joints || !output.spare)
        return error_memory(err);
    for (int i = 1; i < count; i++) run.along[i] = run.along[i - 1] + length(sub(points[i], points[i - 1]));
    run.place[0] = points[0];
    run.place[count - 1] = points[count - 1];
    if (!options->closed && (count == 2 || line_misfit(&run, 0, count - 1, options->line_tolerance) <= 1.0)) {
        output.items[output.count++] = line_between(points[0], points[count - 1]);
    } else {
        smooth_run(&run);
        if (options->by_shortest_path) put_path(&run, &output);
        else put_run(&run, &output);
    }
    *out = output.items;
    *out_count = output.count;
    return true;
}

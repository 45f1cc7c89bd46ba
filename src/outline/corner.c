// corner.c - see corner.h.
#include "outline/corner.h"

#include <math.h>

#define MOST_WINDOW 24
#define ROUNDED_PX 0.75         // antialiasing rounds a corner up to here; lower keeps rounded points, higher loses short sides
#define SIDE_PX 4.0             // length of a side that is looked at
#define SIDE_HARD_PX 10.0       // longer where single points are off by half a pixel
#define STRAIGHT_COS 0.95       // turns of less than 18 degrees are left to the fit, which follows them within its tolerance
#define STRAIGHT_HARD_COS 0.82  // 35 degrees: less is in the noise of a staircase
#define GENTLE_COS 0.7         // turns of less than 45 degrees may be where a straight side goes over into a round one
#define BENT_LEAST 4            // points of a side that a parabola is put through
#define BENT_RMS_PX 0.04        // from it; a jagged side leaves more
#define SIDE_RMS_PX 0.25
#define SIDE_RMS_HARD_PX 0.45
#define BETTER_THAN_CIRCLE 0.6
#define LEAST_CIRCLE_RMS_PX 0.05
#define SHARPEN_PX 1.5          // farthest that a corner moves out from its points
#define BLUNT_PX 8.0            // sides that meet only beyond this are a blunt end, not a tip
#define MEET_PX 2.0
#define NODE_PULL 0.02          // of the pixel corner on a meeting point: settles what parallel lines leave open
#define NODE_PULL_HARD 0.3

typedef struct Window {
    Vec at[MOST_WINDOW];
    double weight[MOST_WINDOW];
    int count;
} Window;

// Line of least squared distances; its direction looks from the window's first point to its last.
static EdgeLine line_through(const Window *w)
{
    double sum = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    for (int i = 0; i < w->count; i++) {
        sum += w->weight[i];
        x += w->weight[i] * w->at[i].x;
        y += w->weight[i] * w->at[i].y;
    }
    x /= sum;
    y /= sum;
    for (int i = 0; i < w->count; i++) {
        double dx = w->at[i].x - x, dy = w->at[i].y - y;
        xx += w->weight[i] * dx * dx;
        xy += w->weight[i] * dx * dy;
        yy += w->weight[i] * dy * dy;
    }
    double half = (xx - yy) / 2, root = sqrt(half * half + xy * xy), least = (xx + yy) / 2 - root;
    Vec d = half >= 0 ? (Vec){half + root, xy} : (Vec){xy, root - half};
    double l = sqrt(d.x * d.x + d.y * d.y);
    EdgeLine line = {{x, y}, {1, 0}, sqrt(fmax(0.0, least) / sum)};
    if (l > 0) line.direction = (Vec){d.x / l, d.y / l};
    Vec run = {w->at[w->count - 1].x - w->at[0].x, w->at[w->count - 1].y - w->at[0].y};
    if (run.x * line.direction.x + run.y * line.direction.y < 0)
        line.direction = (Vec){-line.direction.x, -line.direction.y};
    return line;
}

// Root mean square distance from the best circle through all points.
// Source: I. Kasa, "A circle fitting procedure and its error analysis", IEEE Trans. Instrum. Meas. 25 (1976) 8-14.
static double circle_rms(const Window *a, const Window *b)
{
    double n = 0, mx = 0, my = 0;
    const Window *both[2] = {a, b};
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < both[k]->count; i++) n += 1, mx += both[k]->at[i].x, my += both[k]->at[i].y;
    mx /= n;
    my /= n;
    double uu = 0, uv = 0, vv = 0, uz = 0, vz = 0, zz = 0;
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < both[k]->count; i++) {
            double u = both[k]->at[i].x - mx, v = both[k]->at[i].y - my, z = u * u + v * v;
            uu += u * u, uv += u * v, vv += v * v, uz += u * z, vz += v * z, zz += z;
        }
    double det = uu * vv - uv * uv;
    if (det <= 1e-12 * (uu + vv) * (uu + vv)) return 0.0; // points on a line: a circle without end fits
    double cu = (uz * vv - vz * uv) / (2 * det), cv = (vz * uu - uz * uv) / (2 * det);
    double radius = sqrt(cu * cu + cv * cv + (uu + vv) / n), sum = 0;
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < both[k]->count; i++) {
            double u = both[k]->at[i].x - mx - cu, v = both[k]->at[i].y - my - cv;
            double off = sqrt(u * u + v * v) - radius;
            sum += off * off;
        }
    return sqrt(sum / n);
}

// A place from `joint` along a line's direction, and off it.
static Vec along_and_off(const EdgeLine *line, Vec joint, Vec at)
{
    double dx = at.x - joint.x, dy = at.y - joint.y;
    return (Vec){dx * line->direction.x + dy * line->direction.y, dy * line->direction.x - dx * line->direction.y};
}

// The slope against a line's direction that a parabola through a side's points has at `joint`, which they begin near. False
// when the side is no parabola either.
static bool slope_at(const Window *w, const EdgeLine *line, Vec joint, double *out)
{
    double m[3][4] = {{0}};
    for (int i = 0; i < w->count; i++) {
        Vec p = along_and_off(line, joint, w->at[i]);
        const double row[4] = {1, p.x, p.x * p.x, p.y};
        for (int r = 0; r < 3; r++)
            for (int c = 0; c < 4; c++) m[r][c] += w->weight[i] * row[r] * row[c];
    }
    for (int r = 0; r < 2; r++) // the sums are positive definite: no rows need to change places
        for (int k = r + 1; k < 3; k++) {
            if (m[r][r] <= 1e-9) return false;
            double share = m[k][r] / m[r][r];
            for (int c = r; c < 4; c++) m[k][c] -= share * m[r][c];
        }
    if (m[2][2] <= 1e-9) return false;
    double bend = m[2][3] / m[2][2];
    double slope = (m[1][3] - m[1][2] * bend) / m[1][1], off = (m[0][3] - m[0][1] * slope - m[0][2] * bend) / m[0][0], sum = 0;
    for (int i = 0; i < w->count; i++) {
        Vec p = along_and_off(line, joint, w->at[i]);
        double left = p.y - off - (slope + bend * p.x) * p.x;
        sum += w->weight[i] * left * left;
    }
    *out = slope;
    return sum <= BENT_RMS_PX * BENT_RMS_PX * m[0][0];
}

// Cosine of the turn that is left at the joint when both sides may bend: of a straight side that goes over into a round one it is none.
static double bent_turn_cos(const Window *before, const Window *after, const EdgeLine *a, const EdgeLine *b, Vec joint)
{
    double p, q;
    if (before->count < BENT_LEAST || after->count < BENT_LEAST) return -1.0;
    if (!slope_at(before, a, joint, &p) || !slope_at(after, b, joint, &q)) return -1.0;
    Vec u = {a->direction.x - p * a->direction.y, a->direction.y + p * a->direction.x};
    Vec v = {b->direction.x - q * b->direction.y, b->direction.y + q * b->direction.x};
    return (u.x * v.x + u.y * v.y) / sqrt((u.x * u.x + u.y * u.y) * (v.x * v.x + v.y * v.y));
}

typedef struct Edge {
    const EdgePoint *points;
    const double *along;    // chord length up to each point
    int count;
    double whole;           // of the loop, closing chord included
    bool is_loop, hard_edged;
} Edge;

static bool index_at(const Edge *edge, int i, int *out, double *turn)
{
    *turn = 0.0;
    if (edge->is_loop && i < 0) i += edge->count, *turn = -edge->whole;
    if (edge->is_loop && i >= edge->count) i -= edge->count, *turn = edge->whole;
    *out = i;
    return i >= 0 && i < edge->count;
}

static double along_at(const Edge *edge, int i)
{
    int k;
    double turn;
    return index_at(edge, i, &k, &turn) ? edge->along[k] + turn : 0.0;
}

// The points that start ROUNDED_PX from `centre` on one side, nearest first.
static Window side_window(const Edge *edge, int first, int step, double centre)
{
    Window w = {.count = 0};
    double rounded = edge->hard_edged ? 0.0 : ROUNDED_PX, side = edge->hard_edged ? SIDE_HARD_PX : SIDE_PX, start = -1;
    for (int i = first, tried = 0; w.count < MOST_WINDOW && tried < edge->count / 2; i += step, tried++) {
        int k;
        double turn;
        if (!index_at(edge, i, &k, &turn)) break;
        double off = fabs(edge->along[k] + turn - centre);
        if (off < rounded) continue;
        if (start < 0) start = off;
        if (off - start > side) break;
        w.at[w.count] = edge->points[k].at;
        w.weight[w.count++] = edge->points[k].slack_px > 0 && !edge->hard_edged ? 0.2 : 1.0;
    }
    return w;
}

static double gap_turn_cos(const Edge *edge, int i)
{
    int reach = edge->hard_edged ? 8 : 4, a, b, c, d;
    double t;
    if (!index_at(edge, i - reach, &a, &t)) a = 0;
    if (!index_at(edge, i + 1 + reach, &d, &t)) d = edge->count - 1;
    if (!index_at(edge, i, &b, &t) || !index_at(edge, i + 1, &c, &t)) return 1.0;
    Vec u = {edge->points[b].at.x - edge->points[a].at.x, edge->points[b].at.y - edge->points[a].at.y};
    Vec v = {edge->points[d].at.x - edge->points[c].at.x, edge->points[d].at.y - edge->points[c].at.y};
    double l = sqrt((u.x * u.x + u.y * u.y) * (v.x * v.x + v.y * v.y));
    return l > 0 ? (u.x * v.x + u.y * v.y) / l : 1.0;
}

// Where the two sides of the gap after point i meet; false when it is no sharp corner.
static bool meet_sides(const Edge *edge, int i, EdgeLine before, EdgeLine after, double cos_turn, Vec *out)
{
    int a, b;
    double t;
    if (!index_at(edge, i, &a, &t) || !index_at(edge, i + 1, &b, &t)) return false;
    Vec p = edge->points[a].at, q = edge->points[b].at, middle = {(p.x + q.x) / 2, (p.y + q.y) / 2};
    double cross = before.direction.x * after.direction.y - before.direction.y * after.direction.x;
    Vec to = {after.middle.x - before.middle.x, after.middle.y - before.middle.y};
    if (fabs(cross) < 1e-3) return false;
    double on_before = (to.x * after.direction.y - to.y * after.direction.x) / cross;
    double on_after = (to.x * before.direction.y - to.y * before.direction.x) / cross;
    if (on_before < 0 || on_after > 0) return false; // the sides open instead of closing
    Vec at = {before.middle.x + on_before * before.direction.x, before.middle.y + on_before * before.direction.y};
    double off = vec_distance(at, middle), most = SHARPEN_PX + vec_distance(p, q);
    if (off > BLUNT_PX || (off > most && cos_turn > -0.5)) return false;
    if (off > most) at = (Vec){middle.x + (at.x - middle.x) * most / off, middle.y + (at.y - middle.y) * most / off};
    *out = at;
    return true;
}

// How strongly the gap after point i is a corner; 0 = not.
static double corner_score(const Edge *edge, int i, SharpCorner *corner)
{
    double least_cos = edge->hard_edged ? STRAIGHT_HARD_COS : STRAIGHT_COS;
    if (gap_turn_cos(edge, i) > (1.0 + least_cos) / 2) return 0.0;
    double centre = (along_at(edge, i) + along_at(edge, i + 1)) / 2;
    Window before = side_window(edge, i, -1, centre), after = side_window(edge, i + 1, 1, centre);
    if (before.count < 3 || after.count < 3) return 0.0;
    EdgeLine a = line_through(&before), b = line_through(&after);
    a.direction = (Vec){-a.direction.x, -a.direction.y}; // its window runs backwards
    double cos_turn = a.direction.x * b.direction.x + a.direction.y * b.direction.y;
    double rms = sqrt((a.rms_px * a.rms_px + b.rms_px * b.rms_px) / 2);
    if (cos_turn > least_cos || rms > (edge->hard_edged ? SIDE_RMS_HARD_PX : SIDE_RMS_PX)) return 0.0;
    double circle = circle_rms(&before, &after);
    if (circle < LEAST_CIRCLE_RMS_PX || rms > BETTER_THAN_CIRCLE * circle) return 0.0;
    if (!meet_sides(edge, i, a, b, cos_turn, &corner->at)) return 0.0;
    if (!edge->hard_edged && cos_turn > GENTLE_COS && bent_turn_cos(&before, &after, &a, &b, corner->at) > least_cos) return 0.0;
    corner->after = i;
    corner->in = a.direction;
    corner->out = b.direction;
    return (1.0 - cos_turn) / (1.0 + 100.0 * rms * rms);
}

typedef struct Candidate { double score, along; SharpCorner corner; } Candidate;

bool corners_find(const EdgePoint *points, int count, bool is_loop, bool hard_edged, Arena *scratch, SharpCorner *out,
                  int *out_count, Error *err)
{
    *out_count = 0;
    double *along = arena_new(scratch, double, count);
    Candidate *found = arena_new(scratch, Candidate, count);
    if (!along || !found) return error_memory(err);
    for (int i = 1; i < count; i++) along[i] = along[i - 1] + vec_distance(points[i].at, points[i - 1].at);
    if (count < 6) return true;
    Edge edge = {points, along, count, 0, is_loop, hard_edged};
    edge.whole = along[count - 1] + vec_distance(points[0].at, points[count - 1].at);
    int n = 0;
    for (int i = 0; i < count - (is_loop ? 0 : 1); i++) {
        Candidate c = {.along = (along[i] + along_at(&edge, i + 1)) / 2};
        c.score = corner_score(&edge, i, &c.corner);
        if (c.score > 0) found[n++] = c;
    }
    double apart = hard_edged ? SIDE_HARD_PX * 0.8 : SIDE_PX * 0.7;
    for (int i = 0; i < n; i++) {
        bool is_best = true;
        for (int step = -1; step <= 1; step += 2)
            for (int k = 1; k < n && is_best; k++) {
                int raw = i + step * k, j = is_loop ? (raw + n) % n : raw;
                if (j < 0 || j >= n) break;
                double off = fabs(found[i].along - found[j].along);
                if (is_loop && off > edge.whole / 2) off = edge.whole - off;
                if (off > apart) break;
                is_best = found[j].score < found[i].score || (found[j].score == found[i].score && j > i);
            }
        if (is_best) out[(*out_count)++] = found[i].corner;
    }
    return true;
}

bool corner_end_line(const EdgePoint *points, int count, int first, int step, Vec node, double least_px, bool hard_edged, EdgeLine *out)
{
    Window w = {.count = 0};
    double most = hard_edged ? SIDE_HARD_PX : SIDE_PX + 1.0 + least_px;
    for (int i = first; i >= 0 && i < count && w.count < (hard_edged ? MOST_WINDOW : 8); i += step) {
        double off = vec_distance(points[i].at, node);
        if (off > most) break;
        if (off < least_px) continue;
        w.at[w.count] = points[i].at;
        w.weight[w.count++] = points[i].slack_px > 0 && !hard_edged ? 0.05 : 1.0;
    }
    if (w.count < 2) return false;
    *out = line_through(&w);
    return true;
}

Vec corner_meet(const EdgeLine *lines, int count, Vec corner, bool hard_edged)
{
    double pull = hard_edged ? NODE_PULL_HARD : NODE_PULL;
    double xx = pull, xy = 0, yy = pull, bx = pull * corner.x, by = pull * corner.y;
    for (int i = 0; i < count; i++) {
        Vec d = lines[i].direction, c = lines[i].middle;
        double nxx = 1 - d.x * d.x, nxy = -d.x * d.y, nyy = 1 - d.y * d.y;
        xx += nxx, xy += nxy, yy += nyy;
        bx += nxx * c.x + nxy * c.y;
        by += nxy * c.x + nyy * c.y;
    }
    double det = xx * yy - xy * xy;
    Vec at = {(bx * yy - by * xy) / det, (by * xx - bx * xy) / det};
    double off = vec_distance(at, corner);
    if (off <= MEET_PX) return at;
    return (Vec){corner.x + (at.x - corner.x) * MEET_PX / off, corner.y + (at.y - corner.y) * MEET_PX / off};
}

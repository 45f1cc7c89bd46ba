// dense.c - see dense.h.
#include "outline/dense.h"

#include "outline/facet.h"

#include <math.h>
#include <string.h>

#define TURN_COS 0.906308       // 25 degrees; less is left to the fit
#define BENT_COS 0.94           // 20 degrees, from one point to another this far on
#define TURN_REACH 3
#define LONE_REACH 5            // points on both sides of a known corner's own turn: when none of these turns, the corner needs no polygon
#define OFTEN_SPAN 14           // points, of which
#define OFTEN 3                 // turn: a gentle corner makes as many; 6 is as quick and loses 1 % of the corners of a coast
#define SHORT_ARC 60            // points of an open arc that is looked at whole where anything turns: few of it are far from both ends
#define MARGIN 12               // points beside such a place, so that its path's ends, which stay, are far; 8 finds as many, and more false ones
#define LEAST_POINTS 6
#define RMS 0.08                // of shares round a vertex; 0.06 finds 0.3 % fewer
#define LEAST_SHARPNESS (-0.001) // no worse than rounded off; 0.003 loses 4 % of the corners of a coast
#define LEAST_SIDE_PX 0.8       // 0.5 finds 0.4 % more corners of a coast, and false ones on round ends
#define SHORT_SIDE_PX 6.0       // points of longer sides are good but for their ends
#define LONG_SIDES_PX 4.0       // a corner found before with such sides is as good, curved sides included
#define SAME_PX 2.0             // two corners nearer than this are the same
#define ROUNDED_PX 0.9          // points this near to a corner lie on its rounding
#define SAMPLE_PX 1.5
#define WEAK_SLACK_PX 0.1
#define CRACK_REACH 8           // that a vertex may have wandered

typedef enum Choice { CHOICE_NONE, CHOICE_NEW, CHOICE_OLD } Choice;

typedef struct Judged {     // of a vertex and the side behind it
    Choice choice;
    int old;                // of CHOICE_OLD
    int crack;              // ascending; of a loop also beyond the arc's last
    bool is_short;          // the side's points are taken from the polygon
    SharpCorner corner;
} Judged;

typedef struct Stretch { int first, last; } Stretch;

typedef struct Stretches {
    bool *turning;          // at each point, whether the edge turns there other than at a lone corner that is known
    Stretch *items;         // ascending, apart
    int count;
    bool is_whole;          // one, round a whole loop
} Stretches;

typedef struct Dense {
    EdgePath path;
    int count;              // of vertices, each once
    Judged *judged;
    const EdgeShape *before;
    bool *dropped;          // corners found before
    EdgeShape after;
    int room, last_crack;
} Dense;

// ---- where ----

static int round_loop(int i, int n)
{
    return (i % n + n) % n;
}

static bool turns_at(const EdgeShape *s, int i, bool is_loop)
{
    int n = s->point_count, reach = TURN_REACH;
    if (!is_loop && reach > i) reach = i;
    if (!is_loop && reach > n - 1 - i) reach = n - 1 - i; // near an open end as far as there are points
    if (reach == 0) return false;
    int a = i - reach, b = i + reach;
    Vec p = s->points[(a + 2 * n) % n].at, q = s->points[(i + n) % n].at, r = s->points[(b + n) % n].at;
    Vec u = {q.x - p.x, q.y - p.y}, w = {r.x - q.x, r.y - q.y};
    return u.x * w.x + u.y * w.y < BENT_COS * sqrt((u.x * u.x + u.y * u.y) * (w.x * w.x + w.y * w.y));
}

// Puts the points first .. last on the list; those that overlap the one before become one with it.
static void add_stretch(Stretches *out, int first, int last)
{
    Stretch *before = out->count > 0 ? &out->items[out->count - 1] : NULL;
    if (before && first <= before->last + 1) before->last = last;
    else out->items[out->count++] = (Stretch){first, last};
}

// A loop's last one may reach round to its first; one that reaches itself is the whole loop.
static void join_ends(Stretches *s, int n)
{
    Stretch *first = &s->items[0], *last = &s->items[s->count - 1];
    if (s->count > 1 && last->last + 1 >= first->first + n) {
        last->last = first->last + n;
        *first = *last;
        s->count--;
    }
    s->is_whole = s->count == 1 && first->last - first->first + 1 >= n;
}

// A corner that points have told, with nothing else near it that turns, is as good as a polygon's.
static void forget_lone_corner(const EdgeShape *s, int at, bool is_loop, bool *turning)
{
    int n = s->point_count, from = at - TURN_REACH, to = at + 1 + TURN_REACH;
    for (int i = from - LONE_REACH; i <= to + LONE_REACH; i++) {
        bool is_on = is_loop || (i >= 0 && i < n), is_own = i >= from && i <= to;
        if (is_on && !is_own && turning[round_loop(i, n)]) return;
    }
    for (int i = from; i <= to; i++)
        if (is_loop || (i >= 0 && i < n)) turning[round_loop(i, n)] = false;
}

static void find_turning(const EdgeShape *s, bool is_loop, bool *turning)
{
    for (int i = 0; i < s->point_count; i++) turning[i] = turns_at(s, i, is_loop);
    for (int k = 0; k < s->corner_count; k++) forget_lone_corner(s, s->corners[k].after, is_loop, turning);
}

static void find_on_short(int n, bool is_loop, Stretches *out)
{
    int turning = 0;
    for (int i = 0; i < n; i++) turning += out->turning[i];
    if (turning < (is_loop ? OFTEN : 1)) return;
    add_stretch(out, 0, n - 1);
    out->is_whole = is_loop;
}

// Where the edge turns often, with a margin, in points: on a loop a stretch may begin before the first or end behind the last.
static void find_stretches(const EdgeShape *s, bool is_loop, Stretches *out)
{
    int n = s->point_count, turning = 0;
    find_turning(s, is_loop, out->turning);
    if (n < (is_loop ? 2 * OFTEN_SPAN : SHORT_ARC)) {
        find_on_short(n, is_loop, out);
        return;
    }
    for (int i = is_loop ? 1 - OFTEN_SPAN : 0; i < n; i++) {
        turning += out->turning[round_loop(i, n)];
        if (i >= (is_loop ? 1 : OFTEN_SPAN)) turning -= out->turning[round_loop(i - OFTEN_SPAN, n)];
        if (i < 0 || turning < OFTEN) continue;
        int first = i - OFTEN_SPAN + 1 - MARGIN, last = i + MARGIN;
        if (is_loop) add_stretch(out, first, last);
        else add_stretch(out, first > 0 ? first : 0, last < n - 1 ? last : n - 1);
    }
    if (is_loop && out->count > 0) join_ends(out, n);
}

// ---- which ----

static int nearest_corner(const EdgeShape *s, Vec at)
{
    int nearest = -1;
    double least = SAME_PX;
    for (int k = 0; k < s->corner_count; k++) {
        double off = vec_distance(s->corners[k].at, at);
        if (off < least) least = off, nearest = k;
    }
    return nearest;
}

static bool is_explained(EdgePath *f, int u)
{
    return facet_rms(f, u) <= RMS && facet_sharpness(f, u, LEAST_SHARPNESS) >= LEAST_SHARPNESS;
}

// A corner found before with long sides is kept, whatever the pixels round it say here: points have told it well.
static bool keep_known(Dense *d, int u, Vec at, Vec before, Vec behind)
{
    int known = nearest_corner(d->before, at);
    if (known < 0 || fmin(vec_distance(before, at), vec_distance(at, behind)) < LONG_SIDES_PX) return false;
    Judged *j = &d->judged[u % d->count];
    j->choice = CHOICE_OLD, j->old = known, j->corner = d->before->corners[known];
    return true;
}

// A corner at `at`, vertex u or just behind it, whose sides come from `before` and go to `behind`, which is vertex `next`.
static void put_corner(Dense *d, int u, int next, Vec at, Vec before, Vec behind)
{
    const EdgePath *f = &d->path;
    Judged *j = &d->judged[u % d->count];
    double in = vec_distance(before, at), out = vec_distance(at, behind);
    int known = nearest_corner(d->before, at);
    if (known >= 0) d->dropped[known] = true;
    j->choice = CHOICE_NEW;
    j->corner = (SharpCorner){0, at, {(at.x - before.x) / in, (at.y - before.y) / in}, {(behind.x - at.x) / out, (behind.y - at.y) / out}};
    if (in < SHORT_SIDE_PX && (f->is_closed || u > 1)) d->judged[(u - 1) % d->count].is_short = true;
    if (out < SHORT_SIDE_PX && (f->is_closed || next + 1 < f->count)) d->judged[(next - 1) % d->count].is_short = true;
}

// Vertex u of the polygon; true when it is a corner that was not known as well before.
static bool judge_vertex(Dense *d, int u)
{
    EdgePath *f = &d->path;
    Vec before = f->vertices[u - 1].at, at = f->vertices[u].at, behind = f->vertices[u + 1].at;
    if (facet_turn_cos(f, u) > TURN_COS || fmin(vec_distance(before, at), vec_distance(at, behind)) < LEAST_SIDE_PX) return false;
    if (keep_known(d, u, at, before, behind) || !is_explained(f, u)) return false;
    put_corner(d, u, u + 1, at, before, behind);
    return true;
}

// Vertices u and the next one with a side between them too short for two corners: they are one when they turn enough together.
static bool judge_pair(Dense *d, int u)
{
    EdgePath *f = &d->path;
    if (u + 2 >= f->count) return false;
    Vec before = f->vertices[u - 1].at, p = f->vertices[u].at, q = f->vertices[u + 1].at, behind = f->vertices[u + 2].at;
    Vec at = {(p.x + q.x) / 2, (p.y + q.y) / 2};
    double in = vec_distance(before, p), out = vec_distance(q, behind);
    double along = (p.x - before.x) * (behind.x - q.x) + (p.y - before.y) * (behind.y - q.y);
    if (vec_distance(p, q) >= LEAST_SIDE_PX || fmin(in, out) < LEAST_SIDE_PX || along > TURN_COS * in * out) return false;
    if (keep_known(d, u, at, before, behind) || !is_explained(f, u) || !is_explained(f, u + 1)) return false;
    put_corner(d, u, u + 2, at, before, behind);
    return true;
}

static bool judge_vertices(Dense *d, Work *work, bool *any, Error *err)
{
    EdgePath *f = &d->path;
    if (f->is_closed) f->vertices[f->count] = f->vertices[1], f->count++; // so that the first has two neighbours
    for (int u = 1; u + 1 < f->count; u++) {
        if (!work_goes_on(work, err)) return false;
        *any |= judge_vertex(d, u) || judge_pair(d, u);
    }
    if (f->is_closed) f->count--;
    return true;
}

static Vec crack_middle(const EdgePath *f, int k)
{
    Cell a = arc_corner(f->map, f->arc, k), b = arc_corner(f->map, f->arc, k + 1);
    return (Vec){(a.x + b.x) / 2.0, (a.y + b.y) / 2.0};
}

// The crack nearest to each vertex, in ascending order.
static void place_cracks(Dense *d)
{
    const EdgePath *f = &d->path;
    int n = f->arc->count;
    for (int i = 0; i < d->count; i++) {
        int crack = f->vertices[i].crack, best = crack;
        while (i > 0 && f->arc->is_loop && crack < d->judged[0].crack) crack += n;
        double least = INFINITY;
        for (int k = crack - CRACK_REACH; k <= crack + CRACK_REACH; k++) {
            if (!f->arc->is_loop && (k < 0 || k >= n)) continue;
            double off = vec_distance(crack_middle(f, k), f->vertices[i].at);
            if (off < least) least = off, best = k;
        }
        if (i == 0 && f->arc->is_loop) best = (best % n + n) % n;
        if (i > 0 && best <= d->judged[i - 1].crack) best = d->judged[i - 1].crack + 1;
        d->judged[i].crack = best;
    }
}

// ---- the new points ----

static bool emit_point(Dense *d, Vec at, double slack_px, int crack, int below)
{
    if (crack <= d->last_crack) crack = d->last_crack + 1;
    if (crack >= below || d->after.point_count >= d->room) return false;
    d->after.points[d->after.point_count++] = (EdgePoint){at, slack_px, crack};
    d->last_crack = crack;
    return true;
}

static void emit_corner(Dense *d, SharpCorner corner)
{
    if (d->after.corner_count >= d->room) return;
    corner.after = d->after.point_count - 1;
    d->after.corners[d->after.corner_count++] = corner;
}

static void emit_vertex(Dense *d, int i, int below)
{
    Judged *j = &d->judged[i];
    const EdgePath *f = &d->path;
    bool at_short = j->is_short || (i > 0 ? d->judged[i - 1].is_short : f->is_closed && d->judged[d->count - 1].is_short);
    if (j->choice == CHOICE_NEW) emit_corner(d, j->corner);
    else if (j->choice == CHOICE_OLD && at_short && !d->dropped[j->old]) {
        d->dropped[j->old] = true;
        emit_corner(d, j->corner);
    } else if (at_short && i > 0 && i + 1 < f->count && facet_turn_cos(f, i) < TURN_COS)
        (void)emit_point(d, f->vertices[i].at, WEAK_SLACK_PX, j->crack, below);
}

static void emit_side(Dense *d, int i, int below)
{
    int crack = d->judged[i].crack;
    Vec p = d->path.vertices[i].at, q = d->path.vertices[i + 1].at;
    int samples = (int)fmax(1.0, floor(vec_distance(p, q) / SAMPLE_PX));
    for (int k = 0; k < samples; k++) {
        double t = (k + 0.5) / samples;
        (void)emit_point(d, (Vec){p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)}, 0.0, crack + (int)(t * (below - crack)), below);
    }
}

static bool is_rounded(const Dense *d, int i, Vec at)
{
    int next = i + 1 < d->count ? i + 1 : d->path.is_closed ? 0 : i;
    return (d->judged[i].choice == CHOICE_NEW && vec_distance(d->path.vertices[i].at, at) < ROUNDED_PX) ||
           (d->judged[next].choice == CHOICE_NEW && vec_distance(d->path.vertices[next].at, at) < ROUNDED_PX);
}

// A point that was there before, on the side behind vertex i, and the corners behind it.
static void emit_old(Dense *d, int i, int k, int crack, int end)
{
    EdgePoint p = d->before->points[k];
    if (!emit_point(d, p.at, is_rounded(d, i, p.at) ? HARD_EDGE_SLACK_PX : p.slack_px, crack, end)) return;
    for (int c = 0; c < d->before->corner_count; c++)
        if (d->before->corners[c].after == k && !d->dropped[c]) emit_corner(d, d->before->corners[c]);
}

static void emit_all(Dense *d)
{
    const EdgeShape *s = d->before;
    int cracks = d->path.arc->count, n = s->point_count, first = 0, taken = 0;
    int start = d->path.arc->is_loop ? d->judged[0].crack : 0; // a loop's points go round from the first vertex
    while (first < n && s->points[first].crack < start) first++;
    d->last_crack = start - 1;
    for (int i = 0; i < d->count; i++) {
        int below = i + 1 < d->count && d->judged[i + 1].crack < start + cracks ? d->judged[i + 1].crack : start + cracks;
        emit_vertex(d, i, below);
        if (d->judged[i].is_short) emit_side(d, i, below);
        for (; taken < n; taken++) {
            int k = (first + taken) % n, crack = s->points[k].crack + (s->points[k].crack < start ? cracks : 0);
            if (crack >= below) break;
            if (!d->judged[i].is_short) emit_old(d, i, k, crack, start + cracks);
        }
    }
}

// The points of a closed one begin at its first crack again.
static void hand_over(const Dense *d, EdgeShape *shape)
{
    const EdgeShape *from = &d->after;
    int n = from->point_count, cracks = d->path.arc->count, shift = 0, first = 0;
    while (shift < n && from->points[shift].crack < cracks) shift++;
    shift %= n;
    for (int i = 0; i < n; i++) {
        shape->points[i] = from->points[(i + shift) % n];
        shape->points[i].crack %= cracks;
    }
    for (int i = 0; i < from->corner_count; i++) from->corners[i].after = ((from->corners[i].after - shift) % n + n) % n;
    for (int i = 1; i < from->corner_count; i++)
        if (from->corners[i].after < from->corners[i - 1].after) first = i;
    for (int i = 0; i < from->corner_count; i++) shape->corners[i] = from->corners[(i + first) % from->corner_count];
    shape->point_count = n;
    shape->corner_count = from->corner_count;
}

static bool replace_corners(Dense *d, Work *work, EdgeShape *shape, Error *err)
{
    Arena *scratch = &work->scratch;
    bool any = false;
    d->count = d->path.count - d->path.is_closed;
    d->room = d->path.arc->count;
    d->judged = arena_new(scratch, Judged, d->count + 1);
    d->dropped = arena_new(scratch, bool, shape->corner_count + 1);
    d->after.points = arena_new(scratch, EdgePoint, d->room);
    d->after.corners = arena_new(scratch, SharpCorner, d->room);
    if (!d->judged || !d->dropped || !d->after.points || !d->after.corners) return error_memory(err);
    if (!judge_vertices(d, work, &any, err)) return false;
    if (!any) return true;
    place_cracks(d);
    emit_all(d);
    if (d->after.point_count >= 3) hand_over(d, shape);
    return true;
}

// The points of a stretch, by the cracks that it lies between: those stay while other stretches change points.
static int points_between(const EdgeShape *s, int cracks, Stretch of, EdgePoint *out)
{
    int count = 0;
    for (int lap = 0; lap < 2; lap++)
        for (int i = 0; i < s->point_count; i++) {
            EdgePoint p = s->points[i];
            p.crack += lap * cracks;
            if (p.crack >= of.first && p.crack <= of.last) out[count++] = p;
        }
    return count;
}

static Stretch in_cracks(const EdgeShape *s, int cracks, Stretch of)
{
    int n = s->point_count;
    if (of.first < 0) of.first += n, of.last += n;
    return (Stretch){s->points[of.first].crack, s->points[of.last % n].crack + of.last / n * cracks};
}

bool dense_corners(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc, Work *work,
                   EdgeShape *shape, Error *err)
{
    if (shape->point_count < LEAST_POINTS) return true;
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Stretches found = {.turning = arena_new(scratch, bool, shape->point_count),
                       .items = arena_new(scratch, Stretch, shape->point_count / MARGIN + 1)};
    EdgePoint *points = arena_new(scratch, EdgePoint, arc->count);
    bool good = found.turning && found.items && points ? true : error_memory(err);
    if (good) find_stretches(shape, arc->is_loop, &found);
    for (int i = 0; i < found.count; i++) found.items[i] = in_cracks(shape, arc->count, found.items[i]);
    for (int i = 0; good && i < found.count; i++) {
        Dense d = {.before = shape};
        ArenaMark own = arena_mark(scratch);
        bool has_shape = false;
        int count = found.is_whole ? shape->point_count : points_between(shape, arc->count, found.items[i], points);
        good = facet_find(pixels, painting, map, arc, found.is_whole ? shape->points : points, count, found.is_whole, work, &d.path,
                          &has_shape, err) &&
               (!has_shape || replace_corners(&d, work, shape, err));
        arena_rewind(scratch, own);
    }
    arena_rewind(scratch, mark);
    return good;
}

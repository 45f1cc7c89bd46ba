// lap_shape.c - see lap_shape.h. The seam is sampled; each sample says how far a ray square to the seam may go; then no
// slope is steeper than one in one; then samples on a straight line are left out.
#include "seam/lap_shape.h"

#include <math.h>

#define STEP_MM 1.0      // between samples: a place between two is off a sample's distance by less than 1.3 mm
#define CORNER_MM 1.0    // of cut edge on each side of a corner of the seam
#define SLIGHT_SINE 0.09 // a bend of less than 5 degrees is none: rays beside it cross within half a step
#define STOP_MM 0.02     // a ray that is this near to its end has come to it
#define MOST_STRIDES 40
#define NOTHING_MM 3.0   // a part of a lap that is nowhere wider than this is left out
#define STRAIGHT_MM 0.05 // what samples may be off the line that takes their place

typedef struct Stretch { // a straight part of the seam, in millimetres
    Point a, b;
    double x, y;     // its start
    double dx, dy;   // along it, of length 1
    double nx, ny;   // towards the neighbour
    double length_mm, start_mm;
    double cap_slope[2]; // at its start and end: how fast a lap may widen behind a corner; 0 = no corner
} Stretch;

typedef struct Sample {
    const Stretch *of;
    double along_mm; // of the whole seam
    double x, y, nx, ny;
    double width_mm;
} Sample;

typedef struct Shaping {
    Stretch *stretches;
    int stretch_count;
    double length_mm, width_mm;
    const Cover *obstacles;
    Sample *samples;
    int sample_count;
} Shaping;

static double least(double a, double b)
{
    return a < b ? a : b;
}

static bool make_stretches(Shaping *s, const Point *seam, int count, bool right, Arena *scratch, Error *err)
{
    s->stretches = arena_new(scratch, Stretch, count);
    if (!s->stretches) return error_memory(err);
    for (int i = 0; i + 1 < count; i++) {
        double dx = ((double)seam[i + 1].x - seam[i].x) / UM_PER_MM, dy = ((double)seam[i + 1].y - seam[i].y) / UM_PER_MM;
        double length = sqrt(dx * dx + dy * dy);
        if (length <= 0.0) continue;
        dx /= length, dy /= length;
        s->stretches[s->stretch_count++] =
            (Stretch){seam[i], seam[i + 1], seam[i].x / UM_PER_MM, seam[i].y / UM_PER_MM, dx, dy,
                      right ? -dy : dy, right ? dx : -dx, length, s->length_mm, {0.0, 0.0}};
        s->length_mm += length;
    }
    return true;
}

// Where the seam turns towards the neighbour, rays of the two sides meet on the line that halves the angle: in an acute one
// a lap widens more slowly than one in one.
static void note_corners(Shaping *s)
{
    for (int i = 0; i + 1 < s->stretch_count; i++) {
        Stretch *a = &s->stretches[i], *b = a + 1;
        double along = a->dx * b->dx + a->dy * b->dy, towards = b->dx * a->nx + b->dy * a->ny, slope = 1.0;
        bool slight = along > 0.0 && fabs(towards) < SLIGHT_SINE;
        if (slight) continue;
        if (towards > 0.0) { // tan(angle / 2) of the inner angle, by its cosine -along
            slope = least(1.0, sqrt((1.0 + along) / (1.0 - along)));
            if (slope <= 0.0) slope = 1e-9;
        }
        a->cap_slope[1] = b->cap_slope[0] = slope;
    }
}

// How wide a lap may be at this distance from the stretch's corners and the seam's ends.
static double limit_by_ends(const Shaping *s, const Stretch *of, double along_mm)
{
    double limit = least(s->width_mm, least(along_mm, s->length_mm - along_mm) - LAP_SHOULDER_MM);
    double from[2] = {along_mm - of->start_mm, of->start_mm + of->length_mm - along_mm};
    for (int k = 0; k < 2; k++)
        if (of->cap_slope[k] > 0.0) limit = least(limit, (from[k] - CORNER_MM) * of->cap_slope[k]);
    return limit > 0.0 ? limit : 0.0;
}

// How far the ray may go on from width_mm: up to the obstacles, and no nearer to another part of the seam than to its own.
static double stride_mm(const Shaping *s, const Sample *sample, double width_mm)
{
    Point p = point_from_mm(sample->x + width_mm * sample->nx, sample->y + width_mm * sample->ny);
    double stride = cover_distance_mm(s->obstacles, p, s->width_mm + 2.0 * LAP_CLEAR_MM) - LAP_CLEAR_MM;
    for (int i = 0; i < s->stretch_count; i++) {
        const Stretch *other = &s->stretches[i];
        if (other >= sample->of - 1 && other <= sample->of + 1) continue; // corners see to these
        double distance = point_segment_distance_mm(p, other->a, other->b);
        stride = least(stride, (distance - width_mm - LAP_CLEAR_MM) / 2.0);
    }
    return stride;
}

static double ray_mm(const Shaping *s, const Sample *sample, double limit_mm)
{
    double width = 0.0;
    for (int i = 0; i < MOST_STRIDES && width < limit_mm; i++) {
        double stride = stride_mm(s, sample, width);
        if (stride < STOP_MM) break;
        width = least(width + stride, limit_mm);
    }
    return width;
}

static Sample sample_at(const Shaping *s, const Stretch *of, double from_mm)
{
    Sample sample = {of, of->start_mm + from_mm, of->x + from_mm * of->dx, of->y + from_mm * of->dy, of->nx, of->ny, 0.0};
    const Stretch *before = of > s->stretches ? of - 1 : of;
    if (from_mm > 0.0 || of->cap_slope[0] > 0.0 || before == of) return sample;
    double nx = of->nx + before->nx, ny = of->ny + before->ny, length = sqrt(nx * nx + ny * ny);
    sample.nx = nx / length, sample.ny = ny / length; // a slight bend
    return sample;
}

static bool take_samples(Shaping *s, Arena *scratch, Work *work, Error *err)
{
    size_t room = 1;
    for (int i = 0; i < s->stretch_count; i++) room += (size_t)ceil(s->stretches[i].length_mm / STEP_MM) + 1;
    s->samples = arena_new(scratch, Sample, room);
    if (!s->samples) return error_memory(err);
    for (int i = 0; i < s->stretch_count; i++) {
        const Stretch *of = &s->stretches[i];
        int steps = (int)ceil(of->length_mm / STEP_MM), last = i + 1 == s->stretch_count ? steps : steps - 1;
        for (int k = 0; k <= last; k++) {
            Sample sample = sample_at(s, of, k == steps ? of->length_mm : of->length_mm * k / steps);
            sample.width_mm = ray_mm(s, &sample, limit_by_ends(s, of, sample.along_mm));
            s->samples[s->sample_count++] = sample;
            if (s->sample_count % 256 == 0 && !work_goes_on(work, err)) return false;
        }
    }
    return true;
}

static void ease_slopes(Shaping *s)
{
    for (int i = 1; i < s->sample_count; i++) {
        double step = s->samples[i].along_mm - s->samples[i - 1].along_mm;
        s->samples[i].width_mm = least(s->samples[i].width_mm, s->samples[i - 1].width_mm + step);
    }
    for (int i = s->sample_count - 2; i >= 0; i--) {
        double step = s->samples[i + 1].along_mm - s->samples[i].along_mm;
        s->samples[i].width_mm = least(s->samples[i].width_mm, s->samples[i + 1].width_mm + step);
    }
}

static void drop_slivers(Shaping *s)
{
    for (int first = 0, next; first < s->sample_count; first = next) {
        double most = 0.0;
        for (next = first; next < s->sample_count && s->samples[next].width_mm > 0.0; next++)
            if (s->samples[next].width_mm > most) most = s->samples[next].width_mm;
        for (int i = first; i < next && most < NOTHING_MM; i++) s->samples[i].width_mm = 0.0;
        if (next == first) next++;
    }
}

static double wide_length_mm(const Shaping *s)
{
    double wide = 0.0;
    for (int i = 0; i + 1 < s->sample_count; i++)
        if (least(s->samples[i].width_mm, s->samples[i + 1].width_mm) >= LAP_LEAST_MM)
            wide += s->samples[i + 1].along_mm - s->samples[i].along_mm;
    return wide;
}

// Whether samples between two others lie on the line between these.
static bool is_straight(const Shaping *s, int first, int last)
{
    const Sample *a = &s->samples[first], *b = &s->samples[last];
    for (int i = first + 1; i < last; i++) {
        const Sample *between = &s->samples[i];
        if (between->of != a->of) return false; // corners of the seam stay
        double t = (between->along_mm - a->along_mm) / (b->along_mm - a->along_mm);
        double width = a->width_mm + t * (b->width_mm - a->width_mm);
        if (fabs(width - between->width_mm) > STRAIGHT_MM || (between->width_mm == 0.0) != (width == 0.0)) return false;
    }
    return true;
}

static void put_point(LapShape *out, Point p)
{
    if (out->count == 0 || !point_equal(out->points[out->count - 1], p)) out->points[out->count++] = p;
}

static bool write_points(const Shaping *s, const Point *seam, int count, Arena *keep, LapShape *out, Error *err)
{
    out->points = arena_new(keep, Point, s->sample_count + 2);
    if (!out->points) return error_memory(err);
    put_point(out, seam[0]);
    for (int i = 0; i + 1 < s->sample_count;) {
        int next = i + 1;
        while (next + 1 < s->sample_count && is_straight(s, i, next + 1)) next++;
        const Sample *at = &s->samples[next];
        if (next + 1 < s->sample_count)
            put_point(out, point_from_mm(at->x + at->width_mm * at->nx, at->y + at->width_mm * at->ny));
        i = next;
    }
    put_point(out, seam[count - 1]);
    return true;
}

bool lap_shape(const Point *seam, int count, bool right, const Cover *obstacles, double width_mm, Arena *keep, Work *work,
               LapShape *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Shaping s = {.width_mm = width_mm, .obstacles = obstacles};
    *out = (LapShape){0};
    bool fine = make_stretches(&s, seam, count, right, &work->scratch, err);
    if (fine) note_corners(&s);
    fine = fine && take_samples(&s, &work->scratch, work, err);
    if (fine) {
        ease_slopes(&s);
        drop_slivers(&s);
        out->wide_mm = wide_length_mm(&s);
        fine = write_points(&s, seam, count, keep, out, err);
    }
    arena_rewind(&work->scratch, mark);
    return fine;
}

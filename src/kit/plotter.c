// plotter.c - see plotter.h.
#include "kit/plotter.h"

#include "base/text.h"
#include "kit/sheet_files.h"
#include "kit/sheet_lines.h"

#include <math.h>

#define UNITS_A_MM 40.0
#define POINTS_A_LINE 40        // some machines have small buffers
#define CORNER_COS 0.985        // turns over ten degrees are swung round in steps, smaller ones in one
#define SWING_HALVINGS 4        // 15 places between the two directions
#define NEGLIGIBLE_MM 1e-6

typedef struct Vec { double x, y; } Vec;

static double length_of(double x, double y)
{
    return sqrt(x * x + y * y);
}

typedef struct Track {          // flat points of one run
    Vec *points;
    size_t count, capacity;
} Track;

typedef struct Plot {
    Text text;
    Arena *keep;
    double height_mm, overcut_mm, offset_mm;    // the last two of cuts alone
} Plot;

static bool track_add(Track *track, Vec p, Arena *keep, Error *err)
{
    if (track->count > 0 && fabs(track->points[track->count - 1].x - p.x) + fabs(track->points[track->count - 1].y - p.y) < NEGLIGIBLE_MM) return true;
    Vec *points = arena_grow(keep, track->points, track->count, &track->capacity, sizeof *points);
    if (!points) return error_memory(err);
    track->points = points;
    points[track->count++] = p;
    return true;
}

// Edges of a cubic so that none lies farther off than allowed: Wang's bound (shape/chain.h).
static int steps_of(const SheetCurve *c)
{
    double most = 0;
    if (c->is_line) return 1;
    for (int i = 0; i < 2; i++)
        most = fmax(most, length_of(c->p[i][0] - 2 * c->p[i + 1][0] + c->p[i + 2][0], c->p[i][1] - 2 * c->p[i + 1][1] + c->p[i + 2][1]));
    double steps = ceil(sqrt(6 * most / (8 * PLOTTER_NEAR_MM)));
    return steps < 1 ? 1 : steps > 10000 ? 10000 : (int)steps;
}

static Vec at(const SheetCurve *c, double t)
{
    double p[2];
    sheet_curve_at(c, t, p);
    return (Vec){p[0], p[1]};
}

static bool flatten(const SheetRun *run, Arena *keep, Track *out, Error *err)
{
    *out = (Track){0};
    for (int i = 0; i < run->count; i++) {
        int steps = steps_of(&run->curves[i]);
        for (int k = i == 0 ? 0 : 1; k <= steps; k++)
            if (!track_add(out, k == steps ? (Vec){run->curves[i].p[3][0], run->curves[i].p[3][1]} : at(&run->curves[i], (double)k / steps), keep, err)) return false;
    }
    return true;
}

// ---- what a bare knife needs ----

// A closed run goes on along itself by this length.
static bool go_past(Track *track, double length_mm, Arena *keep, Error *err)
{
    size_t count = track->count;
    for (size_t i = 0; i + 1 < count && length_mm > NEGLIGIBLE_MM; i++) {
        Vec a = track->points[i], b = track->points[i + 1];
        double side = length_of(b.x - a.x, b.y - a.y), share = side > length_mm ? length_mm / side : 1;
        if (!track_add(track, (Vec){a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)}, keep, err)) return false;
        length_mm -= side;
    }
    return true;
}

static Vec way_of(Vec a, Vec b)
{
    double length = length_of(b.x - a.x, b.y - a.y);
    return (Vec){(b.x - a.x) / length, (b.y - a.y) / length};
}

// The middle goes round a corner of the tip's way while the tip stands: directions between the two, evenly, by halving.
static bool swing(Vec corner, Vec from, Vec to, double offset_mm, int depth, Arena *keep, Track *out, Error *err)
{
    Vec middle = {from.x + to.x, from.y + to.y};
    double length = length_of(middle.x, middle.y);
    if (depth == 0) return true;
    if (length < 1e-9) middle = (Vec){-from.y, from.x}; // straight back: to the left, say
    else middle = (Vec){middle.x / length, middle.y / length};
    return swing(corner, from, middle, offset_mm, depth - 1, keep, out, err) &&
           track_add(out, (Vec){corner.x + offset_mm * middle.x, corner.y + offset_mm * middle.y}, keep, err) &&
           swing(corner, middle, to, offset_mm, depth - 1, keep, out, err);
}

// A closed run may begin anywhere: in the middle of its longest edge the knife has room to find its direction.
static bool begin_on_longest(Track *tip, Arena *keep, Error *err)
{
    size_t longest = 0, sides = tip->count - 1;
    double most = 0;
    Track out = {0};
    for (size_t i = 0; i < sides; i++) {
        double side = length_of(tip->points[i + 1].x - tip->points[i].x, tip->points[i + 1].y - tip->points[i].y);
        if (side > most) most = side, longest = i;
    }
    Vec a = tip->points[longest], b = tip->points[longest + 1], middle = {(a.x + b.x) / 2, (a.y + b.y) / 2};
    if (!track_add(&out, middle, keep, err)) return false;
    for (size_t i = 1; i <= sides; i++)
        if (!track_add(&out, tip->points[(longest + i) % sides], keep, err)) return false;
    *tip = out;
    return track_add(tip, middle, keep, err);
}

// From the tip's way to the middle's: ahead by the offset.
static bool lead(const Track *tip, double offset_mm, Arena *keep, Track *out, Error *err)
{
    *out = (Track){0};
    for (size_t i = 0; i + 1 < tip->count; i++) {
        Vec a = tip->points[i], b = tip->points[i + 1], way = way_of(a, b);
        Vec before = i > 0 ? way_of(tip->points[i - 1], a) : way;
        bool corner = before.x * way.x + before.y * way.y < CORNER_COS;
        if (corner && !swing(a, before, way, offset_mm, SWING_HALVINGS, keep, out, err)) return false;
        if (!track_add(out, (Vec){a.x + offset_mm * way.x, a.y + offset_mm * way.y}, keep, err)) return false;
        if (!track_add(out, (Vec){b.x + offset_mm * way.x, b.y + offset_mm * way.y}, keep, err)) return false;
    }
    return true;
}

// ---- writing ----

static long units(double mm)
{
    return lround(mm * UNITS_A_MM);
}

static void write_track(Plot *plot, const Track *track)
{
    Text *text = &plot->text;
    long last_x = 0, last_y = 0;
    int on_line = 0;
    for (size_t i = 0; i < track->count; i++) {
        long x = units(track->points[i].x), y = units(plot->height_mm - track->points[i].y);
        if (i > 0 && x == last_x && y == last_y) continue;
        if (i == 0) text_printf(text, "PU%ld,%ld;\n", x, y);
        else if (on_line == 0) text_printf(text, "PD%ld,%ld", x, y);
        else text_printf(text, ",%ld,%ld", x, y);
        if (i > 0 && ++on_line == POINTS_A_LINE) text_add(text, ";\n"), on_line = 0;
        last_x = x, last_y = y;
    }
    if (on_line > 0) text_add(text, ";\n");
}

static bool add_run(void *context, const SheetRun *run, Error *err)
{
    Plot *plot = context;
    Track tip, middle;
    if (!flatten(run, plot->keep, &tip, err)) return false;
    if (tip.count < 2) return true;
    if (run->closed && plot->offset_mm > 0 && !begin_on_longest(&tip, plot->keep, err)) return false;
    if (run->closed && !go_past(&tip, plot->overcut_mm, plot->keep, err)) return false;
    if (plot->offset_mm <= 0) {
        write_track(plot, &tip);
        return true;
    }
    if (!lead(&tip, plot->offset_mm, plot->keep, &middle, err)) return false;
    write_track(plot, &middle);
    return true;
}

bool plotter_sheet(const Draft *draft, int index, Arena *keep, FileBytes *out, Error *err)
{
    static const struct { MarkLine line; int pen; } ORDER[] = {{MARK_PEN, 3}, {MARK_SCORE, 2}, {MARK_CUT, 1}};
    const DraftSheet *sheet = &draft->sheets[index];
    const KitOptions *options = &draft->input->options;
    Plot plot = {.text = text_make(keep), .keep = keep, .height_mm = draft->input->papers[sheet->paper].paper.height_mm};
    char name[240];
    text_add(&plot.text, "IN;PA;\n");
    for (int k = 0; k < 3; k++) {
        if (!sheet_has_line(draft, sheet, ORDER[k].line)) continue;
        bool cuts = ORDER[k].line == MARK_CUT;
        plot.overcut_mm = cuts ? options->overcut_mm : 0;
        plot.offset_mm = cuts ? options->blade_offset_mm : 0;
        text_printf(&plot.text, "SP%d;\n", ORDER[k].pen);
        if (!sheet_lines_visit(draft, sheet, ORDER[k].line, keep, add_run, &plot, err)) return false;
    }
    text_add(&plot.text, "PU;SP0;\n");
    sheet_copy_name(draft, sheet, "plt", name);
    if (!text_is_whole(&plot.text, err)) return false;
    *out = (FileBytes){arena_text(keep, name), plot.text.bytes, plot.text.size_bytes};
    return out->name || error_memory(err);
}

// outline.c - the story of this room: cracks -> points -> curves -> micrometres, until no two arcs meet; see outline.h.
#include "outline/outline.h"

#include "outline/crossing.h"
#include "outline/scale.h"

#include <math.h>
#include <string.h>

#define LEAST_TOLERANCE_PX 0.15     // closer than this a fit follows the noise of 8-bit blends
#define NOISY_TOLERANCE_PX 0.35     // the same for the noise of compression
#define HARD_TOLERANCE_PX 0.15      // over the half pixel that a hard edge is unsure anyway
#define MOST_REGIONS 10000          // more is noise: nobody cuts that, and the work would take minutes
#define LEAST_UM_PER_PX 4.0         // below it pixel corners would fall together when rounded
#define NEAR_CLASH_PX 2.6           // an arc is pinned this near to a clash; twice as far with every round. No crack lies just so far off a node
#define POINT_ROUNDS 2              // rounds that pin to points; later ones pin to pixel corners
#define MOST_ROUNDS 16
#define MOST_UNITS 16
#define MOST_CLASHES 8192           // more in one round: their arcs go to the pixels at once

OutlineOptions outline_defaults(void)
{
    return (OutlineOptions){.figure_height_mm = 812.8, .offset_mm = 0.0, .tolerance_mm = 0.1};
}

static bool check_options(const Picture *picture, const Separation *separation, const OutlineOptions *options, Error *err)
{
    if (!isfinite(options->figure_height_mm) || options->figure_height_mm <= 0.0)
        return error_set(err, ERROR_JOB, "the figure's height is %g mm; it should be more than 0", options->figure_height_mm);
    if (!isfinite(options->offset_mm) || options->offset_mm < 0.0)
        return error_set(err, ERROR_JOB, "the border is %g mm wide; it should be 0 or more", options->offset_mm);
    if (!isfinite(options->tolerance_mm) || options->tolerance_mm <= 0.0)
        return error_set(err, ERROR_JOB, "the outline's tolerance is %g mm; it should be more than 0", options->tolerance_mm);
    if (picture->width_px != separation->width_px || picture->height_px != separation->height_px)
        return error_set(err, ERROR_JOB, "the labels are %d x %d pixels, the picture %d x %d", separation->width_px,
                         separation->height_px, picture->width_px, picture->height_px);
    return true;
}

// Height and width in pixels of everything that is cut, on pixel corners.
static void crack_box(const CrackMap *map, int *width_px, int *height_px)
{
    Cell least = map->corners[0], greatest = map->corners[0];
    for (int i = 0; i < map->arc_count; i++)
        for (int k = 0; k <= map->arcs[i].count; k++) {
            Cell c = map->corners[map->arcs[i].first + k];
            if (c.x < least.x) least.x = c.x;
            if (c.y < least.y) least.y = c.y;
            if (c.x > greatest.x) greatest.x = c.x;
            if (c.y > greatest.y) greatest.y = c.y;
        }
    *width_px = greatest.x - least.x;
    *height_px = greatest.y - least.y;
}

static bool check_size(const CrackMap *map, const OutlineOptions *options, double *um_per_px, Error *err)
{
    if (map->arc_count == 0) return error_set(err, ERROR_JOB, "the picture holds nothing but ground: there is nothing to cut");
    if (map->region_count > MOST_REGIONS)
        return error_set(err, ERROR_JOB, "at this size the picture falls into %d areas, more than anybody cuts (%d); take a flat drawing, "
                         "or ask for fewer colours or a larger smallest detail", map->region_count, MOST_REGIONS);
    int width_px, height_px;
    crack_box(map, &width_px, &height_px);
    *um_per_px = options->figure_height_mm * UM_PER_MM / height_px;
    double width_mm = width_px * *um_per_px / UM_PER_MM, most_mm = POINT_MAX_UM / UM_PER_MM / 2;
    if (*um_per_px < LEAST_UM_PER_PX)
        return error_set(err, ERROR_JOB, "at a height of %g mm a pixel would be %g mm; make the figure higher or the picture smaller",
                         options->figure_height_mm, *um_per_px / UM_PER_MM);
    if (fmax(width_mm, options->figure_height_mm) * 1.1 + 2 * options->offset_mm > most_mm)
        return error_set(err, ERROR_JOB, "the figure would be %.0f m x %.0f m; %.0f m is the most", width_mm / 1000,
                         options->figure_height_mm / 1000, most_mm / 1000);
    return true;
}

static double tolerance_px(const Separation *separation, const OutlineOptions *options, double um_per_px)
{
    if (separation->hard_edged) return HARD_TOLERANCE_PX;
    double asked = options->tolerance_mm * UM_PER_MM / um_per_px;
    // a low resolution leaves room for doubt, not for more than the pixels say
    return fmin(fmax(asked, separation->is_noisy ? NOISY_TOLERANCE_PX : LEAST_TOLERANCE_PX), 0.5);
}

// All arcs as chains in one arena; arcs of which nothing is left are marked and stand as a pixel corner's length of line.
static bool make_chains(const Trace *trace, const Scale *scale, Arena *keep, Work *work, Chains *out, bool *is_hit, Error *err)
{
    int count = trace->map->arc_count;
    *out = (Chains){arena_new(keep, Chain, count), (size_t)count, (size_t)count};
    if (!out->items) return error_memory(err);
    for (int i = 0; i < count; i++) {
        if (i % 256 == 0 && !work_goes_on(work, err)) return false;
        Curve *curves;
        int curve_count;
        if (!scale_curves(scale, trace, i, &work->scratch, &curves, &curve_count, err)) return false;
        const CrackArc *crack = &trace->map->arcs[i];
        bool closed = crack->from == crack->to;
        if (curve_count == 0 || (closed && curve_count < 2 && curves[0].is_line)) {
            Point a = scale_point(scale, trace->node_at[crack->from]), b = {a.x + 1, a.y};
            curves[0] = curve_line(a, b);
            curve_count = 1;
            closed = false;
            is_hit[i] = true;
        }
        if (!chain_make(curves, curve_count, closed, keep, &out->items[i], err)) return false;
    }
    return true;
}

static bool find_hits(const Trace *trace, const Scale *scale, Work *work, Clashes *clashes, bool *is_hit, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    memset(is_hit, 0, (size_t)trace->map->arc_count * sizeof *is_hit);
    clashes->count = 0;
    Chains chains;
    bool ok = make_chains(trace, scale, &work->scratch, work, &chains, is_hit, err) &&
              crossing_find(trace->map, &chains, work, clashes, is_hit, err);
    arena_rewind(&work->scratch, mark);
    return ok;
}

// Pins the arcs near each clash, farther round it with every round; arcs at fault as a whole go to the pixels.
static bool pin_clashes(Trace *trace, const Scale *scale, const Clashes *clashes, const bool *is_hit, int round)
{
    bool changed = false;
    Pin pin = round < POINT_ROUNDS ? PIN_POINTS : PIN_PIXELS;
    double radius_px = NEAR_CLASH_PX * (1 << (pin == PIN_POINTS ? round : round - POINT_ROUNDS));
    for (int i = 0; i < clashes->count; i++) {
        const Clash *c = &clashes->items[i];
        Vec at = {(c->x_um / UM_PER_MM - scale->offset_mm) / scale->mm_per_px + scale->origin_px[0],
                  (c->y_um / UM_PER_MM - scale->offset_mm) / scale->mm_per_px + scale->origin_px[1]};
        if (trace_pin(trace, c->arc, at, radius_px, pin)) changed = true;
    }
    for (int i = 0; i < trace->map->arc_count; i++)
        if (is_hit[i] && trace_pin_all(trace, i)) changed = true;
    return changed;
}

static bool has_hit(const bool *is_hit, int count)
{
    for (int i = 0; i < count; i++)
        if (is_hit[i]) return true;
    return false;
}

// A figure of a few pixels can shrink to nothing in the fit, and no scale would bring it back.
static bool is_collapsed(const CrackMap *map, const Scale *scale)
{
    int width_px, height_px;
    crack_box(map, &width_px, &height_px);
    double height_fit_px = scale->height_mm / scale->mm_per_px, width_fit_px = scale->width_mm / scale->mm_per_px;
    return !(height_fit_px > 0.5 * height_px && width_fit_px > 0.5 * width_px);
}

static void all_to_pixels(Trace *trace)
{
    for (int i = 0; i < trace->map->arc_count; i++) (void)trace_pin_all(trace, i);
}

// Fits all arcs, again and closer to the pixels where they would meet, until the map holds.
static bool fit_map(Trace *trace, const OutlineOptions *options, Work *work, Scale *scale, Error *err)
{
    bool *is_hit = arena_new(&work->scratch, bool, trace->map->arc_count);
    Clashes clashes = {arena_new(&work->scratch, Clash, MOST_CLASHES), 0, MOST_CLASHES};
    if (!is_hit || !clashes.items) return error_memory(err);
    for (int round = 0; round < MOST_ROUNDS; round++) {
        if (!trace_curves(trace, work, err)) return false;
        if (!scale_find(trace, options->figure_height_mm, options->offset_mm, &work->scratch, scale, err)) return false;
        if (is_collapsed(trace->map, scale)) {
            all_to_pixels(trace);
            continue;
        }
        if (!find_hits(trace, scale, work, &clashes, is_hit, err)) return false;
        if (clashes.count == 0 && !has_hit(is_hit, trace->map->arc_count)) return true;
        bool changed = pin_clashes(trace, scale, &clashes, is_hit, round);
        if (round + 2 == MOST_ROUNDS || (!changed && round >= POINT_ROUNDS)) all_to_pixels(trace);
    }
    return error_set(err, ERROR_SYSTEM, "the outlines cross each other; this is a fault of the program");
}

// ---- the result ----

// Links with the region on their right, of all regions in the set.
static bool links_of(const Outlines *outlines, const bool *in_set, Arena *scratch, Link **out, int *out_count, Error *err)
{
    Link *links = arena_new(scratch, Link, outlines->arc_count);
    if (!links) return error_memory(err);
    int n = 0;
    for (int i = 0; i < outlines->arc_count; i++) {
        bool left = in_set[outlines->arcs[i].left], right = in_set[outlines->arcs[i].right];
        if (left == right) continue;
        Link link = {i, 0, outlines->chains.items[i].point_count - 1};
        links[n++] = right ? link : link_reversed(link);
    }
    *out = links;
    *out_count = n;
    return true;
}

bool outline_union(const Outlines *outlines, const bool *in_set, Arena *keep, Work *work, Area *out, Error *err)
{
    *out = (Area){0};
    if (!work_goes_on(work, err)) return false;
    ArenaMark mark = arena_mark(&work->scratch);
    Link *links = NULL;
    int count = 0;
    bool ok = links_of(outlines, in_set, &work->scratch, &links, &count, err) &&
              area_from_links(&outlines->chains, links, count, keep, out, err);
    arena_rewind(&work->scratch, mark);
    return ok;
}

typedef struct RegionLinks {
    int *first;     // links[first[r] .. first[r + 1]) are region r's
    Link *links;
} RegionLinks;

// The links of every region at once, so that many regions cost no more than their arcs.
static bool sort_links(const Outlines *o, Arena *scratch, RegionLinks *out, Error *err)
{
    out->first = arena_new(scratch, int, o->region_count + 1);
    int *next = arena_new(scratch, int, o->region_count);
    out->links = arena_new(scratch, Link, 2 * (size_t)o->arc_count);
    if (!out->first || !next || !out->links) return error_memory(err);
    for (int i = 0; i < o->arc_count; i++) {
        out->first[o->arcs[i].left + 1]++;
        out->first[o->arcs[i].right + 1]++;
    }
    for (int r = 0; r < o->region_count; r++) {
        out->first[r + 1] += out->first[r];
        next[r] = out->first[r];
    }
    for (int i = 0; i < o->arc_count; i++) {
        Link link = {i, 0, o->chains.items[i].point_count - 1};
        out->links[next[o->arcs[i].right]++] = link;
        out->links[next[o->arcs[i].left]++] = link_reversed(link);
    }
    return true;
}

static bool make_regions(const CrackMap *map, const Scale *scale, Arena *keep, Work *work, Outlines *out, Error *err)
{
    RegionLinks sorted;
    out->region_count = map->region_count;
    out->regions = arena_new(keep, Region, map->region_count);
    if (!out->regions) return error_memory(err);
    if (!sort_links(out, &work->scratch, &sorted, err)) return false;
    for (int r = 0; r < map->region_count; r++) {
        if (!work_goes_on(work, err)) return false;
        Region *region = &out->regions[r];
        const PixelRegion *from = &map->regions[r];
        region->label = from->label;
        region->area_px = from->area_px;
        if (r == 0) continue;
        region->inside = scale_point(scale, (Vec){from->inside_x, from->inside_y});
        int first = sorted.first[r], count = sorted.first[r + 1] - first;
        if (!area_from_links(&out->chains, sorted.links + first, count, keep, &region->area, err)) return false;
        region->area_mm2 = area_mm2(&out->chains, &region->area);
    }
    return true;
}

static bool copy_findings(const Separation *separation, const Scale *scale, Arena *keep, Outlines *out, Error *err)
{
    for (size_t i = 0; i < separation->findings.count; i++) {
        const Finding *f = &separation->findings.items[i];
        double x = scale->offset_mm + (f->x_mm - scale->origin_px[0]) * scale->mm_per_px;
        double y = scale->offset_mm + (f->y_mm - scale->origin_px[1]) * scale->mm_per_px;
        if (!findings_add(&out->findings, keep, f->kind, f->text, x, y)) return error_memory(err);
    }
    return true;
}

static bool copy_pen_details(const Separation *separation, Arena *keep, Outlines *out, Error *err)
{
    int count = separation->pen_detail_count;
    if (count == 0) return true;
    out->pen_details = arena_copy(keep, separation->pen_details, (size_t)count, sizeof(PenDetail));
    if (!out->pen_details) return error_memory(err);
    out->pen_detail_count = count;
    for (int i = 0; i < count; i++) {
        PenDetail *detail = &out->pen_details[i];
        detail->xy_px = arena_copy(keep, detail->xy_px, 2 * (size_t)detail->point_count, sizeof(double));
        if (!detail->xy_px) return error_memory(err);
    }
    return true;
}

static bool make_result(const Separation *separation, const Trace *trace, const Scale *scale, Arena *keep, Work *work,
                        Outlines *out, Error *err)
{
    const CrackMap *map = trace->map;
    out->mm_per_px = scale->mm_per_px;
    out->origin_px[0] = scale->origin_px[0];
    out->origin_px[1] = scale->origin_px[1];
    out->offset_mm = scale->offset_mm;
    out->width_mm = scale->width_mm;
    out->height_mm = scale->height_mm;
    out->boundary_corners_px = map->corner_count;
    out->arc_count = map->arc_count;
    out->node_count = map->node_count;
    out->colour_count = separation->colour_count;
    out->arcs = arena_new(keep, Arc, map->arc_count);
    out->nodes = arena_new(keep, Point, map->node_count);
    out->colours = arena_copy(keep, separation->colours, (size_t)separation->colour_count, sizeof(SeparationColour));
    bool *is_hit = arena_new(&work->scratch, bool, map->arc_count);
    if (!out->arcs || !out->nodes || !out->colours || !is_hit) return error_memory(err);
    if (!make_chains(trace, scale, keep, work, &out->chains, is_hit, err)) return false;
    for (int i = 0; i < map->arc_count; i++) {
        const CrackArc *arc = &map->arcs[i];
        out->arcs[i] = (Arc){arc->from, arc->to, arc->left, arc->right};
        out->curve_count += out->chains.items[i].curve_count;
    }
    for (int i = 0; i < map->node_count; i++) out->nodes[i] = scale_point(scale, trace->node_at[i]);
    return make_regions(map, scale, keep, work, out, err) && copy_findings(separation, scale, keep, out, err) &&
           copy_pen_details(separation, keep, out, err);
}

struct OutlineMaking {
    const Separation *separation;
    const OutlineOptions *options;
    CrackMap map;
    Trace trace;
};

static bool begin(const Picture *picture, OutlineMaking *making, Work *work, Error *err)
{
    const Separation *separation = making->separation;
    double um_per_px = 0.0;
    if (!arcs_find(separation->label, separation->width_px, separation->height_px, &work->scratch, work, &making->map, err) ||
        !check_size(&making->map, making->options, &um_per_px, err))
        return false;
    Pixels pixels;
    if (!painting_choose_pixels(picture, separation, &making->map, work, &pixels, err)) return false;
    return trace_prepare(&pixels, &making->map, tolerance_px(separation, making->options, um_per_px), work, &making->trace, err);
}

bool outline_begin(const Picture *picture, const Separation *separation, const OutlineOptions *options, Work *work,
                   OutlineMaking **out, Error *err)
{
    *out = NULL;
    if (!check_options(picture, separation, options, err)) return false;
    OutlineMaking *making = arena_new(&work->scratch, OutlineMaking, 1);
    if (!making) return error_memory(err);
    *making = (OutlineMaking){.separation = separation, .options = options};
    if (!begin(picture, making, work, err)) return false;
    *out = making;
    return true;
}

int outline_unit_count(const OutlineMaking *making)
{
    return making->map.arc_count < MOST_UNITS ? making->map.arc_count : MOST_UNITS;
}

bool outline_unit(OutlineMaking *making, int unit, Arena *own, Work *work, Error *err)
{
    return trace_some(&making->trace, unit, outline_unit_count(making), own, work, err);
}

bool outline_end(OutlineMaking *making, Arena *keep, Work *work, Outlines *out, Error *err)
{
    Scale scale;
    *out = (Outlines){0};
    if (fit_map(&making->trace, making->options, work, &scale, err) &&
        make_result(making->separation, &making->trace, &scale, keep, work, out, err))
        return true;
    *out = (Outlines){0};
    return false;
}

bool outline_make(const Picture *picture, const Separation *separation, const OutlineOptions *options, Arena *keep,
                  Work *work, Outlines *out, Error *err)
{
    *out = (Outlines){0};
    OutlineMaking *making;
    ArenaMark mark = arena_mark(&work->scratch);
    bool ok = outline_begin(picture, separation, options, work, &making, err) && outline_end(making, keep, work, out, err);
    arena_rewind(&work->scratch, mark);
    return ok;
}

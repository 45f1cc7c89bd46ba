// watch.c - places sampled along marks, seams and hidden edges; see watch.h.
#include "simulate/watch.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FOUR_FEET_MM 1219.2
#define NEARLY 0.95      // a line is simplified by some hundredths: that much of what was asked for counts as whole
#define SIDE_MM 0.05     // so far beside a line one looks for what lies there
#define HIDDEN_MM 0.3    // an edge less covered than this is an edge in sight, met by another
#define CIRCLE_POINTS 16 // looked at on the circle of the margin about a seam's point

const char *watch_class_name(WatchClass class)
{
    static const char *const names[WATCH_CLASSES] = {
        "placement line", "placement line, second part", "placement line, narrow", "label", "match mark", "hidden seam",
        "underlap, whole", "underlap, clamped", "underlap, far side", "edge to edge", "seam in sight",
    };
    return names[class];
}

WatchOptions watch_defaults(const ReadKit *kit)
{
    return (WatchOptions){1.5, 2.0, kit->height_mm > FOUR_FEET_MM ? 10.0 : 6.0, 3.0, 0.0};
}

typedef struct Found { // a point on its way into a unit
    WatchPoint point;
    WatchClass class;
    int index;
} Found;

typedef struct Search {
    const Bodies *bodies;
    const WatchOptions *options;
    Arena *keep, *scratch;
    Watch *watch;
    Found *found; // of one stroke, seam or piece
    size_t found_count, found_room;
} Search;

// A point on a path, and the direction there.
typedef bool WalkStep(Search *search, const void *what, Spot at, Spot direction, Error *err);

static bool walk_part(Search *search, const ReadPath *path, const ReadPart *part, WalkStep *step, const void *what,
                      Error *err)
{
    Edges edges = {0};
    double length = 0.0, before = 0.0;
    if (!measure_flatten(path->curves + part->first, part->count, NULL, INFINITY, 0, search->scratch, &edges, err))
        return false;
    for (size_t i = 0; i < edges.count; i++) length += measure_gap(edges.items[i].a, edges.items[i].b);
    double count = fmax(1.0, floor(length / WATCH_STEP_MM + 0.5)), apart = length / count, next = 0.5 * apart;
    for (size_t i = 0; i < edges.count; i++) {
        const Edge *e = &edges.items[i];
        double long_mm = measure_gap(e->a, e->b);
        for (; long_mm > 0.0 && next < before + long_mm; next += apart) {
            Spot along = {(e->b.x - e->a.x) / long_mm, (e->b.y - e->a.y) / long_mm};
            Spot at = {e->a.x + (next - before) * along.x, e->a.y + (next - before) * along.y};
            if (!step(search, what, at, along, err)) return false;
        }
        before += long_mm;
    }
    return true;
}

static bool walk(Search *search, const ReadPath *path, int part, WalkStep *step, const void *what, Error *err)
{
    ArenaMark mark = arena_mark(search->scratch);
    bool done = walk_part(search, path, &path->parts[part], step, what, err);
    arena_rewind(search->scratch, mark);
    return done;
}

static bool keep_found(Search *search, const WatchPoint *point, WatchClass class, Error *err)
{
    Found *room = arena_grow(search->keep, search->found, search->found_count, &search->found_room, sizeof *room);
    if (!room) return error_memory(err);
    search->found = room;
    room[search->found_count] = (Found){*point, class, (int)search->found_count};
    search->found_count++;
    return true;
}

static int by_unit(const void *a, const void *b)
{
    const Found *f = a, *g = b;
    if (f->class != g->class) return (int)f->class - (int)g->class;
    if (f->point.cover != g->point.cover) return f->point.cover - g->point.cover;
    return f->index - g->index;
}

// What was found so far becomes units, one for each class and cover.
static bool end_found(Search *search, Error *err)
{
    Watch *watch = search->watch;
    if (search->found_count > 0) qsort(search->found, search->found_count, sizeof *search->found, by_unit);
    for (size_t i = 0; i < search->found_count; i++) {
        const Found *f = &search->found[i];
        if (i == 0 || f->class != f[-1].class || f->point.cover != f[-1].point.cover) {
            WatchUnit *units =
                arena_grow(search->keep, watch->units, watch->unit_count, &watch->unit_room, sizeof *units);
            if (!units) return error_memory(err);
            watch->units = units;
            units[watch->unit_count++] = (WatchUnit){f->class, (int)watch->point_count, 0};
        }
        WatchPoint *points =
            arena_grow(search->keep, watch->points, watch->point_count, &watch->point_room, sizeof *points);
        if (!points) return error_memory(err);
        watch->points = points;
        points[watch->point_count++] = f->point;
        watch->units[watch->unit_count - 1].count++;
    }
    search->found_count = 0;
    return true;
}

static bool near_box(const Body *body, Spot p, double reach)
{
    const SpotBox *box = &body->field.box;
    return p.x > box->min.x - reach && p.x < box->max.x + reach && p.y > box->min.y - reach && p.y < box->max.y + reach;
}

// Lists the higher bodies near a point; its cover is the one whose edge is farthest (of a placement line nearest: it is that
// body's line), `lowest` says which.
static bool find_covers(Search *search, WatchPoint *point, bool lowest, Error *err)
{
    Watch *watch = search->watch;
    point->near_first = (int)watch->near_count;
    point->cover = -1;
    point->depth_mm = 0.0;
    for (int i = 0; i < search->bodies->count; i++) {
        const Body *body = &search->bodies->items[i];
        if (body->order <= search->bodies->items[point->body].order || !near_box(body, point->at, WATCH_REACH_MM))
            continue;
        double depth = body_depth(body, point->at, WATCH_REACH_MM);
        if (depth <= -WATCH_REACH_MM) continue;
        WatchNear *near = arena_grow(search->keep, watch->near, watch->near_count, &watch->near_room, sizeof *near);
        if (!near) return error_memory(err);
        watch->near = near;
        near[watch->near_count++] = (WatchNear){i, depth};
        if (depth <= 0.0) continue;
        if (point->cover >= 0 && (lowest ? depth >= point->depth_mm : depth <= point->depth_mm)) continue;
        point->cover = i;
        point->depth_mm = depth;
    }
    point->near_count = (int)watch->near_count - point->near_first;
    return true;
}

// Looks over the nearest edge of the cover: the height of what lies outside it, -1 = the wall, INT_MAX = too far to say.
static int look_over_edge(const Search *search, WatchPoint *point)
{
    const Body *cover = &search->bodies->items[point->cover];
    int edge;
    double d = measure_distance(&cover->field, point->at, WATCH_REACH_MM, -2, &edge);
    if (edge < 0 || d <= 0.0) return INT_MAX;
    const Edge *e = &cover->field.edges[edge];
    double dx = e->b.x - e->a.x, dy = e->b.y - e->a.y, square = dx * dx + dy * dy;
    double t = square > 0.0 ? ((point->at.x - e->a.x) * dx + (point->at.y - e->a.y) * dy) / square : 0.0;
    t = fmin(fmax(t, 0.0), 1.0);
    Spot foot = {e->a.x + t * dx, e->a.y + t * dy};
    point->away = (Spot){(foot.x - point->at.x) / d, (foot.y - point->at.y) / d};
    Spot outside = {foot.x + 2.0 * SIDE_MM * point->away.x, foot.y + 2.0 * SIDE_MM * point->away.y};
    int top = bodies_topmost(search->bodies, outside, INT_MAX);
    return top < 0 ? -1 : search->bodies->items[top].order;
}

typedef struct Stroke {
    int piece;
    const ReadMark *mark;
} Stroke;

static WatchClass class_of_mark(const Search *search, const ReadMark *mark, const WatchPoint *point)
{
    if (strcmp(mark->kind, "label") == 0) return WATCH_LABEL;
    if (strcmp(mark->kind, "match") == 0) return WATCH_MATCH;
    double asked = mark->line == READ_PEN ? search->options->pen_inset_mm : search->options->inset_mm;
    if (point->depth_mm < NEARLY * asked) return WATCH_LINE_NARROW;
    return search->bodies->items[point->cover].carrier == point->body ? WATCH_LINE : WATCH_LINE_SECOND;
}

// Moves a place of a line straight away from its cover's edge. In a corner it may come too near to the next edge: a line
// drawn with this inset would not have it.
static bool move_to_other_inset(Search *search, WatchPoint *point, bool *is_there, Error *err)
{
    double inset = search->options->other_inset_mm, by = inset - point->depth_mm;
    point->at.x -= by * point->away.x;
    point->at.y -= by * point->away.y;
    search->watch->near_count = (size_t)point->near_first;
    if (!find_covers(search, point, true, err)) return false;
    *is_there = point->depth_mm > NEARLY * inset;
    return true;
}

static bool step_mark(Search *search, const void *what, Spot at, Spot direction, Error *err)
{
    const Stroke *stroke = what;
    (void)direction;
    WatchPoint point = {.at = at, .body = search->bodies->of_piece[stroke->piece],
                        .tool_piece = stroke->mark->line == READ_CUT ? -1 : stroke->piece};
    if (!find_covers(search, &point, strcmp(stroke->mark->kind, "placement") == 0, err)) return false;
    if (point.cover >= 0)
        point.is_told = look_over_edge(search, &point) <= search->bodies->items[point.body].order;
    WatchClass class = class_of_mark(search, stroke->mark, &point);
    if ((class == WATCH_LINE || class == WATCH_LINE_SECOND) && point.is_told && search->options->other_inset_mm > 0.0) {
        bool is_there;
        if (!move_to_other_inset(search, &point, &is_there, err)) return false;
        if (!is_there) return true;
    }
    return keep_found(search, &point, class, err);
}

static bool add_marks(Search *search, int piece, Error *err)
{
    const ReadPiece *from = &search->bodies->kit->pieces[piece];
    for (int i = 0; i < from->mark_count; i++) {
        const ReadMark *mark = &from->marks[i];
        Stroke stroke = {piece, mark};
        for (int k = 0; !mark->is_drawn && k < mark->path.part_count; k++)
            if (!walk(search, &mark->path, k, step_mark, &stroke, err) || !end_found(search, err)) return false;
    }
    return true;
}

static bool is_covered(const Search *search, Spot p, int above_order)
{
    int top = bodies_topmost(search->bodies, p, INT_MAX);
    return top >= 0 && search->bodies->items[top].order > above_order;
}

static bool margin_is_covered(const Search *search, Spot p, int order)
{
    double x = 1.0, y = 0.0, c = 0.92387953251128674, s = 0.38268343236508977; // a 16th of a turn
    for (int i = 0; i < CIRCLE_POINTS; i++) {
        double r = search->options->margin_mm - 0.01, turned = c * x - s * y;
        if (!is_covered(search, (Spot){p.x + r * x, p.y + r * y}, order)) return false;
        y = s * x + c * y;
        x = turned;
    }
    return true;
}

static bool step_seam(Search *search, const void *what, Spot at, Spot direction, Error *err)
{
    const ReadSeam *seam = what;
    const Bodies *bodies = search->bodies;
    WatchPoint point = {.at = at, .body = bodies->of_piece[seam->pieces[0]], .tool_piece = -1};
    if (!find_covers(search, &point, false, err)) return false;
    if (point.cover < 0) {
        point.cover = bodies->of_piece[seam->pieces[1]];
        point.away = (Spot){-direction.y, direction.x};
        Spot beside = {at.x + SIDE_MM * point.away.x, at.y + SIDE_MM * point.away.y};
        if (!measure_inside(&bodies->items[point.cover].field, beside)) point.away = (Spot){direction.y, -direction.x};
        point.is_told = true;
        return keep_found(search, &point, WATCH_SEAM_OPEN, err);
    }
    if (!margin_is_covered(search, at, bodies->items[point.body].order)) return true; // the kit counts it as in sight
    point.is_told = look_over_edge(search, &point) <= bodies->items[point.body].order;
    return keep_found(search, &point, WATCH_SEAM_HIDDEN, err);
}

static bool layer_is_at(const Bodies *bodies, int order, Spot p)
{
    int top = bodies_topmost(bodies, p, order + 1);
    return top >= 0 && bodies->items[top].order == order;
}

// An edge in sight: kept when a higher layer begins right beside it.
static bool keep_meeting_edge(Search *search, WatchPoint *point, Error *err)
{
    const Bodies *bodies = search->bodies;
    point->away = (Spot){-point->inward.x, -point->inward.y};
    Spot beside = {point->at.x + SIDE_MM * point->away.x, point->at.y + SIDE_MM * point->away.y};
    int top = bodies_topmost(bodies, beside, INT_MAX);
    if (top < 0 || bodies->items[top].order <= bodies->items[point->body].order) return true;
    point->cover = top;
    point->inward = (Spot){0.0, 0.0}; // the kerf of both sides is counted by the opening
    point->is_told = true;
    return keep_found(search, point, WATCH_EDGE_TO_EDGE, err);
}

static bool step_edge(Search *search, const void *what, Spot at, Spot direction, Error *err)
{
    const Bodies *bodies = search->bodies;
    WatchPoint point = {.at = at, .body = *(const int *)what, .tool_piece = -1};
    int order = bodies->items[point.body].order;
    double x = SIDE_MM * direction.y, y = -SIDE_MM * direction.x;
    if (layer_is_at(bodies, order, (Spot){at.x + x, at.y + y}) && layer_is_at(bodies, order, (Spot){at.x - x, at.y - y}))
        return true; // a seam
    bool turned = layer_is_at(bodies, order, (Spot){at.x + x, at.y + y});
    point.inward = turned ? (Spot){direction.y, -direction.x} : (Spot){-direction.y, direction.x};
    if (!find_covers(search, &point, false, err)) return false;
    if (point.cover < 0 || point.depth_mm < HIDDEN_MM) return keep_meeting_edge(search, &point, err);
    int outside = look_over_edge(search, &point);
    point.is_told = outside <= order;
    WatchClass class = outside < order                                             ? WATCH_UNDERLAP_RIM
                       : point.depth_mm >= NEARLY * search->options->underlap_mm ? WATCH_UNDERLAP
                                                                                   : WATCH_UNDERLAP_CLAMPED;
    return keep_found(search, &point, class, err);
}

static bool add_hidden_edges(Search *search, int piece, Error *err)
{
    const ReadPath *path = &search->bodies->kit->pieces[piece].face;
    int body = search->bodies->of_piece[piece];
    if (search->bodies->items[body].order == 0) return true; // below the base there is only the wall, meant to be hidden
    for (int i = 0; i < path->part_count; i++)
        if (!walk(search, path, i, step_edge, &body, err)) return false;
    return end_found(search, err);
}

bool watch_make(const Bodies *bodies, const WatchOptions *options, Arena *keep, Work *work, Watch *out, Error *err)
{
    *out = (Watch){0};
    Search search = {.bodies = bodies, .options = options, .keep = keep, .scratch = &work->scratch, .watch = out};
    for (int i = 0; i < bodies->kit->piece_count; i++) {
        if (!work_goes_on(work, err)) return false;
        if (bodies->of_piece[i] < 0) continue;
        if (!add_marks(&search, i, err) || !add_hidden_edges(&search, i, err)) return false;
    }
    for (int i = 0; i < bodies->kit->seam_count; i++) {
        const ReadSeam *seam = &bodies->kit->seams[i];
        for (int k = 0; k < seam->path.part_count; k++)
            if (!walk(&search, &seam->path, k, step_seam, seam, err)) return false;
        if (!end_found(&search, err)) return false;
    }
    return true;
}

// frozen.c - see frozen.h.
#include "seam/frozen.h"

#include "shape/cover.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define ON_OUTLINE_MM 0.008 // more than a node on a curve is off the flat outline
#define SAME_PLOT_MM 0.012  // that, and what two ways of flattening one curve differ by
#define LOOKS 8             // places of a curve that are compared with the outline
#define LEAST_REST_MM 6.0   // paper beside a frozen piece is wider; less is what a change of the layer has added
#define LEAST_EDGE_MM 12.0  // shorter edges are not looked at for that

typedef enum Side { SIDE_OUTLINE, SIDE_SEAM, SIDE_NEIGHBOUR } Side; // NEIGHBOUR: a seam of another frozen piece too

typedef struct Freezing {
    Cuts *cuts;
    const Cover *outline;
    Work *work;
    const FrozenPiece *piece;
    int index;
    Side *sides;  // by curve of the piece's outline
    bool *starts; // by curve: its first point lies on what is cut or outline already
    bool alters;  // the piece cannot come out as it was
} Freezing;

const Paper *piece_paper(const SeamOptions *options, const char *id)
{
    const SeamWishes *wishes = &options->wishes;
    for (int i = 0; i < wishes->frozen_count && id; i++) {
        const FrozenPiece *piece = &wishes->frozen[i];
        if (strcmp(piece->id, id) == 0 && piece->paper && strcmp(piece->paper->id, options->paper.id) != 0) return piece->paper;
    }
    return &options->paper;
}

static const Path *frozen_face(const FrozenPiece *piece)
{
    return piece->face ? piece->face : piece->outline;
}

static Point at_look(const Curve *curve, int i)
{
    return curve_point(curve, (double)i / LOOKS);
}

static bool lies_on_outline(const Freezing *f, const Curve *curve)
{
    for (int i = 0; i <= LOOKS; i++)
        if (cover_distance_mm(f->outline, at_look(curve, i), 2.0 * ON_OUTLINE_MM) > ON_OUTLINE_MM) return false;
    return true;
}

// The frozen cut that has this line, as a link along it; chain -1 when there is none.
static Link link_of_line(const Cuts *cuts, const Curve *line)
{
    for (size_t c = 0; c < cuts->count; c++) {
        if (cuts->items[c].line != CUT_OF_FROZEN) continue;
        const Chain *chain = &cuts->chains.items[cuts->items[c].chain];
        for (int i = 0; i + 1 < chain->point_count; i++) {
            Point a = chain->points[i], b = chain->points[i + 1];
            if (point_equal(a, line->p0) && point_equal(b, line->p3)) return (Link){cuts->items[c].chain, i, i + 1};
            if (point_equal(a, line->p3) && point_equal(b, line->p0)) return (Link){cuts->items[c].chain, i + 1, i};
        }
    }
    return (Link){-1, 0, 0};
}

static bool is_cut_point(const Cuts *cuts, Point p)
{
    for (size_t c = 0; c < cuts->count; c++) {
        const Chain *chain = &cuts->chains.items[cuts->items[c].chain];
        for (int i = 0; i < chain->point_count; i++)
            if (point_equal(chain->points[i], p)) return true;
    }
    return false;
}

// False (with alters set) when a curve is neither outline nor a straight seam.
static void tell_sides(Freezing *f)
{
    const Path *path = frozen_face(f->piece);
    for (int i = 0; i < path->curve_count; i++) {
        const Curve *curve = &path->curves[i];
        f->sides[i] = SIDE_SEAM;
        if (lies_on_outline(f, curve))
            f->sides[i] = SIDE_OUTLINE;
        else if (curve->is_line && link_of_line(f->cuts, curve).chain >= 0)
            f->sides[i] = SIDE_NEIGHBOUR;
        else if (!curve->is_line)
            f->alters = true;
        f->starts[i] = cover_distance_mm(f->outline, curve->p0, 2.0 * ON_OUTLINE_MM) <= ON_OUTLINE_MM ||
                       is_cut_point(f->cuts, curve->p0);
    }
}

// Makes p a flat point of what it lies on.
static bool put_node(Freezing *f, Point p, Error *err)
{
    ArenaMark mark = arena_mark(&f->work->scratch);
    int count, best = -1;
    double nearest = 2.0 * ON_OUTLINE_MM;
    PlotEdge *edges = cuts_edges(f->cuts, -1, &f->work->scratch, &count);
    if (!edges) return error_memory(err);
    for (int i = 0; i < count; i++) {
        double distance = point_segment_distance_mm(p, edges[i].a, edges[i].b);
        if (point_equal(p, edges[i].a) || point_equal(p, edges[i].b)) distance = -1.0;
        if (distance >= nearest) continue;
        nearest = distance;
        best = i;
    }
    bool fine = true;
    if (best < 0) {
        f->alters = true;
    } else if (nearest >= 0.0) {
        PlotEdge e = edges[best];
        double dx = (double)e.b.x - e.a.x, dy = (double)e.b.y - e.a.y;
        double t = (((double)p.x - e.a.x) * dx + ((double)p.y - e.a.y) * dy) / (dx * dx + dy * dy);
        if (is_cut_point(f->cuts, e.a) && link_of_line(f->cuts, &(Curve){e.a, e.a, e.b, e.b, true}).chain >= 0)
            f->alters = true; // in the middle of another frozen piece's edge
        else
            fine = cuts_add_node_at(f->cuts, e.chain, e.edge, fmin(1.0, fmax(0.0, t)), p, err);
    }
    arena_rewind(&f->work->scratch, mark);
    return fine;
}

// ---- seams ----

static int next_curve(const Path *path, int part, int curve)
{
    return curve + 1 < path->first[part + 1] ? curve + 1 : path->first[part];
}

static Point middle_of(const Point *points, int count)
{
    int longest = 0;
    for (int i = 1; i + 1 < count; i++)
        if (point_distance_mm(points[i], points[i + 1]) > point_distance_mm(points[longest], points[longest + 1]))
            longest = i;
    Point a = points[longest], b = points[longest + 1];
    return (Point){a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2};
}

// Cuts the `count` seam curves from curve `first` on.
static bool cut_seams(Freezing *f, int part, int first, int count, Error *err)
{
    const Path *path = frozen_face(f->piece);
    ArenaMark mark = arena_mark(&f->work->scratch);
    Point *points = arena_new(&f->work->scratch, Point, count + 1);
    int plot, curve = first;
    bool sound = false;
    if (!points) return error_memory(err);
    for (int i = 0; i < count; i++, curve = next_curve(path, part, curve)) {
        points[i] = path->curves[curve].p0;
        points[i + 1] = path->curves[curve].p3;
    }
    bool free = point_equal(points[0], points[count]) && !f->starts[first];
    if (!free && (!put_node(f, points[0], err) || !put_node(f, points[count], err))) return false;
    CutRun run = {points, count + 1, CUT_OF_FROZEN, middle_of(points, count + 1)};
    bool fine = cuts_plot_at(f->cuts, run.middle, &f->work->scratch, &plot, err);
    if (fine && plot >= 0 && f->cuts->plots[plot].frozen < 0 && !f->alters)
        fine = cuts_along(f->cuts, plot, &run, f->work, &sound, err);
    if (!sound) f->alters = true;
    arena_rewind(&f->work->scratch, mark);
    return fine;
}

static bool begins_seams(const Freezing *f, int part, int curve)
{
    const Path *path = frozen_face(f->piece);
    int before = curve > path->first[part] ? curve - 1 : path->first[part + 1] - 1;
    return f->sides[curve] == SIDE_SEAM && (f->sides[before] != SIDE_SEAM || f->starts[curve]);
}

static bool cut_ring_seams(Freezing *f, int part, Error *err)
{
    const Path *path = frozen_face(f->piece);
    int curves = path->first[part + 1] - path->first[part];
    bool any = false;
    for (int first = path->first[part]; first < path->first[part + 1] && !f->alters; first++) {
        if (!begins_seams(f, part, first)) continue;
        int count = 1;
        for (int i = next_curve(path, part, first); i != first && f->sides[i] == SIDE_SEAM && !f->starts[i];
             i = next_curve(path, part, i))
            count++;
        any = true;
        if (!cut_seams(f, part, first, count, err)) return false;
    }
    // Seams all round, and nothing touched: the ring lies free inside.
    if (!any && !f->alters && f->sides[path->first[part]] == SIDE_SEAM)
        return cut_seams(f, part, path->first[part], curves, err);
    return true;
}

// ---- the face ----

typedef struct Face {
    Link *links;
    size_t count, room;
} Face;

static bool add_link(Freezing *f, Face *face, Link link, Error *err)
{
    Link *items = arena_grow(f->cuts->keep, face->links, face->count, &face->room, sizeof *items);
    if (!items) return error_memory(err);
    face->links = items;
    items[face->count++] = link;
    return true;
}

// Curves first .. end - 1 lie on the outline: a chain of their own, as they were written.
static bool add_outline_run(Freezing *f, Face *face, int first, int end, bool closed, Error *err)
{
    Chain chain;
    int index;
    if (!chain_make(frozen_face(f->piece)->curves + first, end - first, closed, f->cuts->keep, &chain, err)) return false;
    if (!chains_add(&f->cuts->chains, &chain, f->cuts->keep, &index, err)) return false;
    return add_link(f, face, (Link){index, 0, chain.point_count - 1}, err);
}

static bool add_ring(Freezing *f, Face *face, int part, Error *err)
{
    const Path *path = frozen_face(f->piece);
    for (int first = path->first[part], next; first < path->first[part + 1]; first = next) {
        next = first + 1;
        if (f->sides[first] != SIDE_OUTLINE) {
            Link link = link_of_line(f->cuts, &path->curves[first]);
            if (link.chain < 0) {
                f->alters = true;
                return true;
            }
            if (!add_link(f, face, link, err)) return false;
            continue;
        }
        while (next < path->first[part + 1] && f->sides[next] == SIDE_OUTLINE) next++;
        bool closed = first == path->first[part] && next == path->first[part + 1];
        if (!add_outline_run(f, face, first, next, closed, err)) return false;
    }
    return true;
}

static double signed_area(const Chains *chains, const Link *links, int count)
{
    LinkRing ring = {0, count, 0};
    Area area = {(Link *)links, count, &ring, 1};
    return area_mm2(chains, &area);
}

// The face from the written curves, the outer ring first.
static bool make_face(Freezing *f, Area *out, Error *err)
{
    const Path *path = frozen_face(f->piece);
    Face face = {0};
    int outers = 0;
    *out = (Area){.rings = arena_new(f->cuts->keep, LinkRing, path->part_count)};
    if (!out->rings) return error_memory(err);
    for (int part = 0; part < path->part_count && !f->alters; part++) {
        int first = (int)face.count;
        if (!add_ring(f, &face, part, err)) return false;
        LinkRing ring = {first, (int)face.count - first, 0};
        if (ring.link_count == 0) continue;
        out->rings[out->ring_count++] = ring;
        if (signed_area(&f->cuts->chains, face.links + first, ring.link_count) <= 0.0) continue;
        outers++;
        out->rings[out->ring_count - 1] = out->rings[0];
        out->rings[0] = ring;
    }
    if (outers != 1) f->alters = true;
    out->links = face.links;
    out->link_count = (int)face.count;
    return true;
}

// ---- finding its plot ----

static bool all_near(const Rings *points, const Rings *edges, Arena *scratch, bool *near, Error *err)
{
    Cover index;
    int count = 0;
    for (int r = 0; r < edges->count; r++) count += edges->items[r].count;
    CoverEdge *items = arena_new(scratch, CoverEdge, count);
    if (!items) return error_memory(err);
    count = 0;
    for (int r = 0; r < edges->count; r++)
        for (int i = 0, n = edges->items[r].count; i < n; i++)
            items[count++] = (CoverEdge){edges->items[r].points[i], edges->items[r].points[(i + 1) % n]};
    if (!cover_index(items, count, scratch, &index, err)) return false;
    for (int r = 0; r < points->count && *near; r++)
        for (int i = 0; i < points->items[r].count && *near; i++)
            *near = cover_distance_mm(&index, points->items[r].points[i], 2.0 * SAME_PLOT_MM) <= SAME_PLOT_MM;
    return true;
}

static bool is_same_plot(Freezing *f, const Plot *plot, const Area *face, bool *same, Error *err)
{
    Rings a, b;
    *same = plot->frozen < 0 && plot->area.ring_count == face->ring_count;
    if (!*same) return true;
    ArenaMark mark = arena_mark(&f->work->scratch);
    bool fine = area_rings(&f->cuts->chains, &plot->area, &f->work->scratch, &a, err) &&
                area_rings(&f->cuts->chains, face, &f->work->scratch, &b, err);
    if (fine) {
        Box p = rings_box(&a), q = rings_box(&b);
        *same = point_distance_mm(p.min, q.min) < 2.0 * SAME_PLOT_MM &&
                point_distance_mm(p.max, q.max) < 2.0 * SAME_PLOT_MM;
    }
    if (fine && *same) fine = all_near(&a, &b, &f->work->scratch, same, err);
    if (fine && *same) fine = all_near(&b, &a, &f->work->scratch, same, err);
    arena_rewind(&f->work->scratch, mark);
    return fine;
}

static bool adopt_face(Freezing *f, const Area *face, Error *err)
{
    for (size_t p = 0; p < f->cuts->plot_count; p++) {
        bool same;
        if (!is_same_plot(f, &f->cuts->plots[p], face, &same, err)) return false;
        if (!same) continue;
        f->cuts->plots[p].area = *face;
        f->cuts->plots[p].frozen = f->index;
        return true;
    }
    f->alters = true;
    return true;
}

static bool is_in_range(Point p)
{
    return p.x >= -POINT_MAX_UM && p.x <= POINT_MAX_UM && p.y >= -POINT_MAX_UM && p.y <= POINT_MAX_UM;
}

static bool is_sound_curve(const Curve *c)
{
    if (!is_in_range(c->p0) || !is_in_range(c->p1) || !is_in_range(c->p2) || !is_in_range(c->p3)) return false;
    if (!point_equal(c->p0, c->p3)) return true;
    return !c->is_line && !(point_equal(c->p0, c->p1) && point_equal(c->p0, c->p2));
}

// The outline comes from a file, and need not be one.
static bool is_sound_path(const Path *path)
{
    if (path->open || path->part_count == 0) return false;
    for (int part = 0; part < path->part_count; part++) {
        int first = path->first[part], end = path->first[part + 1];
        if (end - first < 2) return false;
        for (int i = first; i < end; i++)
            if (!is_sound_curve(&path->curves[i]) ||
                !point_equal(path->curves[i].p3, path->curves[next_curve(path, part, i)].p0))
                return false;
    }
    return true;
}

static bool freeze(Freezing *f, Error *err)
{
    const Path *path = frozen_face(f->piece);
    Area face;
    f->sides = arena_new(&f->work->scratch, Side, path->curve_count);
    f->starts = arena_new(&f->work->scratch, bool, path->curve_count);
    if (!f->sides || !f->starts) return error_memory(err);
    if (!is_sound_path(path)) f->alters = true;
    if (!f->alters) tell_sides(f);
    for (int part = 0; part < path->part_count && !f->alters; part++)
        if (!cut_ring_seams(f, part, err)) return false;
    // A ring is written from where a chain starts.
    for (int part = 0; part < path->part_count && !f->alters; part++)
        if (!cuts_split_at(f->cuts, path->curves[path->first[part]].p0, err)) return false;
    if (f->alters) return true;
    if (!make_face(f, &face, err)) return false;
    return f->alters || adopt_face(f, &face, err);
}

// How far to the left of a line's point at share t the nearest edge lies; INFINITY for none.
static double room_beside_mm(const PlotEdge *edges, int count, const Curve *line, double t)
{
    double length = point_distance_mm(line->p0, line->p3), best = INFINITY;
    double dx = ((double)line->p3.x - line->p0.x) / UM_PER_MM / length;
    double dy = ((double)line->p3.y - line->p0.y) / UM_PER_MM / length;
    for (int i = 0; i < count; i++) {
        double ax = ((double)edges[i].a.x - line->p0.x) / UM_PER_MM,
               ay = ((double)edges[i].a.y - line->p0.y) / UM_PER_MM;
        double bx = ((double)edges[i].b.x - line->p0.x) / UM_PER_MM,
               by = ((double)edges[i].b.y - line->p0.y) / UM_PER_MM;
        double a_on = ax * dx + ay * dy - t * length, b_on = bx * dx + by * dy - t * length;
        if ((a_on > 0.0) == (b_on > 0.0)) continue;
        double a_off = ax * dy - ay * dx, b_off = bx * dy - by * dx;
        double off = a_off + a_on / (a_on - b_on) * (b_off - a_off);
        if (off > 2.0 * ON_OUTLINE_MM && off < best) best = off;
    }
    return best;
}

// Whether the layer has grown beside the piece: most of one of its edges has no more than a sliver of paper behind it.
static bool leaves_sliver(Freezing *f, bool *sliver, Error *err)
{
    const Path *path = frozen_face(f->piece);
    Arena *scratch = &f->work->scratch;
    int count;
    ArenaMark mark = arena_mark(scratch);
    PlotEdge *edges = cuts_edges(f->cuts, -1, scratch, &count);
    if (!edges) return error_memory(err);
    for (int i = 0; i < path->curve_count && !*sliver; i++) {
        const Curve *line = &path->curves[i];
        double length = point_distance_mm(line->p0, line->p3);
        if (!line->is_line || length < LEAST_EDGE_MM || link_of_line(f->cuts, line).chain < 0) continue;
        int narrow = 0, plot;
        for (int k = 1; k < LOOKS; k++) narrow += room_beside_mm(edges, count, line, (double)k / LOOKS) < LEAST_REST_MM;
        if (2 * narrow < LOOKS) continue;
        Point m = at_look(line, LOOKS / 2);
        double off = 0.1 / length;
        m.x += (int32_t)(((double)line->p3.y - line->p0.y) * off);
        m.y -= (int32_t)(((double)line->p3.x - line->p0.x) * off);
        if (!cuts_plot_at(f->cuts, m, scratch, &plot, err)) return false;
        *sliver = plot >= 0 && f->cuts->plots[plot].frozen < 0;
    }
    arena_rewind(scratch, mark);
    return true;
}

static bool refuse(const SeamWishes *wishes, const bool *alters, Error *err)
{
    char names[200] = "";
    int count = 0;
    for (int i = 0; i < wishes->frozen_count; i++) {
        size_t used = strlen(names);
        if (!alters[i]) continue;
        if (used + 24 < sizeof names)
            snprintf(names + used, sizeof names - used, "%s%.15s", count ? ", " : "", wishes->frozen[i].id);
        count++;
    }
    return error_set(err, ERROR_JOB,
                     count == 1 ? "piece %s is cut already; this change would alter it"
                                : "pieces %s are cut already; this change would alter them",
                     names);
}

bool frozen_cut(const SeamWishes *wishes, const Rings *outline, Cuts *cuts, Work *work, Error *err)
{
    if (wishes->frozen_count == 0) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    Cover index;
    bool *alters = arena_new(&work->scratch, bool, wishes->frozen_count), any = false;
    if (!alters) return error_memory(err);
    if (!cover_make(outline, &work->scratch, &index, err)) return false;
    for (int i = 0; i < wishes->frozen_count; i++) {
        Freezing f = {.cuts = cuts, .outline = &index, .work = work, .piece = &wishes->frozen[i], .index = i};
        if (!work_goes_on(work, err) || !freeze(&f, err)) return false;
        alters[i] = f.alters;
        any |= f.alters;
    }
    for (int i = 0; i < wishes->frozen_count && !any; i++) {
        Freezing f = {.cuts = cuts, .outline = &index, .work = work, .piece = &wishes->frozen[i], .index = i};
        if (!leaves_sliver(&f, &alters[i], err)) return false;
    }
    for (int i = 0; i < wishes->frozen_count; i++) any |= alters[i];
    bool fine = !any || refuse(wishes, alters, err);
    arena_rewind(&work->scratch, mark);
    return fine;
}

// ---- the last check ----

static bool is_same_curve(const Curve *a, const Curve *b)
{
    return point_equal(a->p0, b->p0) && point_equal(a->p1, b->p1) && point_equal(a->p2, b->p2) &&
           point_equal(a->p3, b->p3) && a->is_line == b->is_line;
}

static bool has_ring(const Path *path, const Path *of, int part)
{
    int count = of->first[part + 1] - of->first[part];
    for (int i = 0; i < path->part_count; i++) {
        int n = 0;
        if (path->first[i + 1] - path->first[i] != count) continue;
        while (n < count && is_same_curve(&path->curves[path->first[i] + n], &of->curves[of->first[part] + n])) n++;
        if (n == count) return true;
    }
    return false;
}

bool frozen_check(const SeamWishes *wishes, const LayerPieces *pieces, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    bool *alters = arena_new(&work->scratch, bool, wishes->frozen_count), any = false;
    if (!alters) return error_memory(err);
    for (int i = 0; i < wishes->frozen_count; i++) {
        const Path *was = frozen_face(&wishes->frozen[i]);
        alters[i] = true;
        for (int p = 0; p < pieces->piece_count; p++) {
            Path path;
            if (strcmp(pieces->pieces[p].id, wishes->frozen[i].id) != 0) continue;
            if (!area_path(&pieces->chains, &pieces->pieces[p].face, &work->scratch, &path, err)) return false;
            alters[i] = path.part_count != was->part_count;
            for (int part = 0; part < was->part_count; part++) alters[i] |= !has_ring(&path, was, part);
        }
        any |= alters[i];
    }
    bool fine = !any || refuse(wishes, alters, err);
    arena_rewind(&work->scratch, mark);
    return fine;
}

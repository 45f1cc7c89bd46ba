// cuts.c - see cuts.h.
#include "seam/cuts.h"

#include "seam/sound.h"

#include <stdlib.h>

bool cuts_start(const Chains *chains, const Area *layer, Arena *keep, Cuts *out, Error *err)
{
    *out = (Cuts){.chains = {NULL, chains->count, chains->count}, .keep = keep};
    out->chains.items = arena_copy(keep, chains->items, chains->count, sizeof *chains->items);
    if (!out->chains.items) return error_memory(err);
    for (int r = 0; r < layer->ring_count; r++) {
        if (layer->rings[r].outer != r) continue;
        Plot *plots = arena_grow(keep, out->plots, out->plot_count, &out->plot_room, sizeof *plots);
        if (!plots) return error_memory(err);
        out->plots = plots;
        plots[out->plot_count] = (Plot){.part = (int)out->plot_count, .frozen = -1};
        if (!area_polygon(layer, r, keep, &plots[out->plot_count++].area, err)) return false;
    }
    return true;
}

static int low_index(const Link *link, int i)
{
    return link->first < link->last ? link->first + i : link->first - i - 1;
}

PlotEdge *cuts_edges(const Cuts *cuts, int plot, Arena *arena, int *out_count)
{
    int count = 0, n = 0;
    int first = plot < 0 ? 0 : plot, end = plot < 0 ? (int)cuts->plot_count : plot + 1;
    for (int p = first; p < end; p++)
        for (int l = 0; l < cuts->plots[p].area.link_count; l++)
            count += link_point_count(&cuts->plots[p].area.links[l]) - 1;
    PlotEdge *edges = arena_new(arena, PlotEdge, count);
    for (int p = first; edges && p < end; p++) {
        for (int l = 0; l < cuts->plots[p].area.link_count; l++) {
            const Link *link = &cuts->plots[p].area.links[l];
            const Point *points = cuts->chains.items[link->chain].points;
            for (int i = 0; i + 1 < link_point_count(link); i++, n++) {
                int low = low_index(link, i);
                edges[n] = (PlotEdge){points[low], points[low + 1], link->chain, low};
            }
        }
    }
    *out_count = count;
    return edges;
}

// ---- nodes ----

static int cut_of_chain(const Cuts *cuts, int chain)
{
    for (size_t i = 0; i < cuts->count; i++)
        if (cuts->items[i].chain == chain) return (int)i;
    return -1;
}

// Everything that ran on the old chain runs on its copy, which has one more point, at `added`.
static void move_links(Cuts *cuts, int old, int copy, int added)
{
    for (size_t p = 0; p < cuts->plot_count; p++) {
        Area *area = &cuts->plots[p].area;
        for (int l = 0; l < area->link_count; l++) {
            Link *link = &area->links[l];
            if (link->chain != old) continue;
            *link = (Link){copy, link->first + (link->first >= added), link->last + (link->last >= added)};
        }
    }
}

typedef struct Halves { // a cut's chain that was split: its points up to `low`, then the node, then the rest
    int old, first, second;
    int low;   // index of the last old point before the node ...
    int high;  // ... and of the first one after it
    int shift; // from an index in the old chain to one in the second half
} Halves;

// What becomes of a link on the old chain: one link, or two.
static int halve_link(const Halves *h, Link link, Link out[2])
{
    bool back = link.first > link.last;
    int lo = back ? link.last : link.first, hi = back ? link.first : link.last, node = h->low + 1;
    Link first = {h->first, lo, hi <= h->low ? hi : node};
    Link second = {h->second, lo >= h->high ? lo - h->shift : 0, hi - h->shift};
    bool on_first = lo <= h->low, on_second = hi >= h->high;
    int count = 0;
    if (back && on_second) out[count++] = link_reversed(second);
    if (on_first) out[count++] = back ? link_reversed(first) : first;
    if (!back && on_second) out[count++] = second;
    return count;
}

static bool halve_links(Cuts *cuts, const Halves *halves, Area *area, Error *err)
{
    int more = 0, n = 0;
    for (int l = 0; l < area->link_count; l++) more += area->links[l].chain == halves->old;
    if (more == 0) return true;
    Link *links = arena_new(cuts->keep, Link, area->link_count + more);
    if (!links) return error_memory(err);
    for (int r = 0; r < area->ring_count; r++) {
        LinkRing *ring = &area->rings[r];
        int first = n;
        for (int l = ring->first_link; l < ring->first_link + ring->link_count; l++) {
            if (area->links[l].chain == halves->old)
                n += halve_link(halves, area->links[l], links + n);
            else
                links[n++] = area->links[l];
        }
        *ring = (LinkRing){first, n - first, ring->outer};
    }
    area->links = links;
    area->link_count = n;
    return true;
}

static bool add_half(Cuts *cuts, const Point *points, int count, int *out, Error *err)
{
    Chain chain;
    return chain_from_points(points, count, false, cuts->keep, &chain, err) &&
           chains_add(&cuts->chains, &chain, cuts->keep, out, err);
}

// A cut with a node becomes two, so that no line of it runs on past a place where pieces meet.
static bool split_cut(Cuts *cuts, int cut, int edge, Point at, Error *err)
{
    const Chain *chain = &cuts->chains.items[cuts->items[cut].chain];
    int count = chain->point_count;
    bool at_start = point_equal(at, chain->points[edge]), at_end = point_equal(at, chain->points[edge + 1]);
    int low = at_start ? edge - 1 : edge, high = at_end ? edge + 2 : edge + 1;
    if (low < 0 || high >= count) return true; // an end of the chain
    Point *points = arena_new(cuts->keep, Point, count + 2);
    if (!points) return error_memory(err);
    Halves halves = {.old = cuts->items[cut].chain, .low = low, .high = high, .shift = high - 1};
    for (int i = 0; i <= low; i++) points[i] = chain->points[i];
    points[low + 1] = points[low + 2] = at;
    for (int i = high; i < count; i++) points[low + 3 + i - high] = chain->points[i];
    if (!add_half(cuts, points, low + 2, &halves.first, err)) return false;
    if (!add_half(cuts, points + low + 2, count - high + 1, &halves.second, err)) return false;
    for (size_t p = 0; p < cuts->plot_count; p++)
        if (!halve_links(cuts, &halves, &cuts->plots[p].area, err)) return false;
    Cut *items = arena_grow(cuts->keep, cuts->items, cuts->count, &cuts->room, sizeof *items);
    if (!items) return error_memory(err);
    cuts->items = items;
    items[cuts->count] = items[cut];
    items[cuts->count++].chain = halves.second;
    items[cut].chain = halves.first;
    return true;
}

bool cuts_add_node(Cuts *cuts, int chain, int edge, double along, Point *out, Error *err)
{
    int cut = cut_of_chain(cuts, chain);
    if (cut >= 0 && cuts->items[cut].line == CUT_OF_FROZEN) along = along < 0.5 ? 0.0 : 1.0;
    *out = chain_edge_point(&cuts->chains.items[chain], edge, along);
    return cuts_add_node_at(cuts, chain, edge, along, *out, err);
}

bool cuts_add_node_at(Cuts *cuts, int chain, int edge, double along, Point at, Error *err)
{
    Chain copy;
    int index, made, cut = cut_of_chain(cuts, chain);
    ChainPoint node = {edge, along, at};
    const Chain *from = &cuts->chains.items[chain];
    if (cut >= 0) return split_cut(cuts, cut, edge, at, err);
    if (point_equal(at, from->points[edge]) || point_equal(at, from->points[edge + 1])) return true;
    if (!chain_insert_points(from, chain, &node, 1, cuts->keep, &copy, &index, err)) return false;
    if (copy.point_count == from->point_count) return true; // it fell on a point that was there
    if (!chains_add(&cuts->chains, &copy, cuts->keep, &made, err)) return false;
    move_links(cuts, chain, made, index);
    return true;
}

bool cuts_split_at(Cuts *cuts, Point at, Error *err)
{
    for (size_t c = 0; c < cuts->count; c++) {
        const Chain *chain = &cuts->chains.items[cuts->items[c].chain];
        for (int i = 1; i + 1 < chain->point_count; i++)
            if (point_equal(chain->points[i], at)) return split_cut(cuts, (int)c, i, at, err);
    }
    return true;
}

// ---- dividing one plot ----

typedef struct Spot { // a flat point of a plot's boundary, with the edge that leaves it
    int ring, link, at;
    Point before, here, after;
} Spot;

typedef struct Links {
    Link *items;
    size_t count, room;
} Links;

typedef struct Dividing {
    Cuts *cuts;
    const Area *area;
    Spot *spots;
    int *first; // spots of ring r: first[r] .. first[r + 1] - 1
    Arena *scratch;
    const Work *work;
    const CutRun *run;
    Link link;      // of the run
    bool closed;    // the run ends where it began ...
    bool free;      // ... and touches nothing
    int start, end; // spots, unless it is free
} Dividing;

static bool list_spots(Dividing *d)
{
    const Area *area = d->area;
    int count = 0, n = 0;
    for (int l = 0; l < area->link_count; l++) count += link_point_count(&area->links[l]) - 1;
    d->spots = arena_new(d->scratch, Spot, count);
    d->first = arena_new(d->scratch, int, area->ring_count + 1);
    if (!d->spots || !d->first) return false;
    for (int r = 0; r < area->ring_count; r++) {
        d->first[r] = n;
        for (int l = area->rings[r].first_link; l < area->rings[r].first_link + area->rings[r].link_count; l++)
            for (int i = 0; i + 1 < link_point_count(&area->links[l]); i++, n++) {
                Spot *spot = &d->spots[n];
                *spot = (Spot){.ring = r, .link = l, .at = i};
                spot->here = link_point(&d->cuts->chains, &area->links[l], i);
                spot->after = link_point(&d->cuts->chains, &area->links[l], i + 1);
            }
        for (int i = d->first[r]; i < n; i++) d->spots[i].before = d->spots[i > d->first[r] ? i - 1 : n - 1].here;
    }
    d->first[area->ring_count] = n;
    return true;
}

// Whether a way from the spot to `to` sets out into the plot, which lies to the right of its boundary.
static bool sets_out_inside(const Spot *spot, Point to)
{
    bool right_of_in = point_side(spot->before, spot->here, to) > 0;
    bool right_of_out = point_side(spot->here, spot->after, to) > 0;
    bool convex = point_side(spot->before, spot->here, spot->after) > 0;
    return convex ? right_of_in && right_of_out : right_of_in || right_of_out;
}

static int find_spot(const Dividing *d, Point at, Point to)
{
    for (int i = 0; i < d->first[d->area->ring_count]; i++)
        if (point_equal(d->spots[i].here, at) && sets_out_inside(&d->spots[i], to)) return i;
    return -1;
}

static bool run_is_sound(const Dividing *d, bool *sound)
{
    int edges = d->first[d->area->ring_count], count = d->run->count;
    const Point *run = d->run->points;
    Stroke *outline = arena_new(d->scratch, Stroke, edges), *strokes = arena_new(d->scratch, Stroke, count);
    if (!outline || !strokes) return false;
    for (int i = 0; i < edges; i++) outline[i] = (Stroke){d->spots[i].here, d->spots[i].after};
    for (int i = 0; i + 1 < count; i++) strokes[i] = (Stroke){run[i], run[i + 1]};
    *sound = strokes_are_sound(strokes, count - 1, outline, edges, d->work);
    return true;
}

static bool add_link(Dividing *d, Links *links, Link link)
{
    Link *last = links->count ? &links->items[links->count - 1] : NULL;
    if (last && last->chain == link.chain && last->last == link.first &&
        (last->first < last->last) == (link.first < link.last)) {
        last->last = link.last;
        return true;
    }
    Link *items = arena_grow(d->scratch, links->items, links->count, &links->room, sizeof *items);
    if (!items) return false;
    links->items = items;
    items[links->count++] = link;
    return true;
}

// Adds the boundary from one spot to another of the same ring; once round when they are the same.
static bool add_section(Dividing *d, Links *links, int from, int to)
{
    int ring = d->spots[from].ring, i = from;
    do {
        const Link *link = &d->area->links[d->spots[i].link];
        int at = d->spots[i].at, step = link->first < link->last ? 1 : -1;
        if (!add_link(d, links, (Link){link->chain, link->first + step * at, link->first + step * (at + 1)}))
            return false;
        i = i + 1 < d->first[ring + 1] ? i + 1 : d->first[ring];
    } while (i != to);
    return true;
}

static int64_t area2_of(const Dividing *d, const Links *links)
{
    uint64_t sum = 0; // modulo 2^64, which the whole of a ring never leaves
    Point base = link_start(&d->cuts->chains, &links->items[0]);
    for (size_t l = 0; l < links->count; l++)
        for (int i = 0; i + 1 < link_point_count(&links->items[l]); i++)
            sum += (uint64_t)point_cross(base, link_point(&d->cuts->chains, &links->items[l], i),
                                         link_point(&d->cuts->chains, &links->items[l], i + 1));
    return (int64_t)sum;
}

static bool links_contain(const Dividing *d, const Links *links, Point p, bool *inside)
{
    int count = 0;
    for (size_t l = 0; l < links->count; l++) count += link_point_count(&links->items[l]) - 1;
    Ring ring = {arena_new(d->scratch, Point, count), 0};
    if (!ring.points) return false;
    for (size_t l = 0; l < links->count; l++)
        for (int i = 0; i + 1 < link_point_count(&links->items[l]); i++)
            ring.points[ring.count++] = link_point(&d->cuts->chains, &links->items[l], i);
    *inside = rings_contain(&(Rings){&ring, 1}, p);
    return true;
}

static bool add_forth(Dividing *d, Links *links)
{
    return add_link(d, links, d->link);
}

static bool add_back(Dividing *d, Links *links)
{
    return add_link(d, links, link_reversed(d->link));
}

// The ring or rings that take the place of those which the run ends on: in order of the run's left and right side.
static bool make_rings(Dividing *d, Links made[2], int *made_count)
{
    *made_count = 2;
    if (d->free) return add_forth(d, &made[0]) && add_back(d, &made[1]);
    if (d->closed) { // it hangs on one point: the boundary goes round it on the way
        if (!add_forth(d, &made[1])) return false;
        bool around = area2_of(d, &made[1]) > 0;
        made[1].count = 0;
        return add_section(d, &made[0], d->start, d->start) && (around ? add_back : add_forth)(d, &made[0]) &&
               (around ? add_forth : add_back)(d, &made[1]);
    }
    if (d->spots[d->start].ring == d->spots[d->end].ring)
        return add_section(d, &made[0], d->end, d->start) && add_forth(d, &made[0]) &&
               add_section(d, &made[1], d->start, d->end) && add_back(d, &made[1]);
    *made_count = 1;
    return add_section(d, &made[0], d->start, d->start) && add_forth(d, &made[0]) &&
           add_section(d, &made[0], d->end, d->end) && add_back(d, &made[0]);
}

typedef struct NewPlot {
    const Links *rings[2]; // the outer ring when it is a new one, and a new hole
    int old_outer;         // ring of the old plot, or -1
} NewPlot;

static Area *room_for_area(Cuts *cuts, const Area *old, const Links *made, int made_count, Area *out)
{
    int links = old->link_count;
    for (int i = 0; i < made_count; i++) links += (int)made[i].count;
    *out = (Area){.links = arena_new(cuts->keep, Link, links),
                  .rings = arena_new(cuts->keep, LinkRing, old->ring_count + 2)};
    return out->links && out->rings ? out : NULL;
}

static void put_ring(Area *area, const Link *links, int count)
{
    area->rings[area->ring_count++] = (LinkRing){area->link_count, count, 0};
    for (int i = 0; i < count; i++) area->links[area->link_count++] = links[i];
}

static void put_old_ring(Area *area, const Area *old, int ring)
{
    put_ring(area, old->links + old->rings[ring].first_link, old->rings[ring].link_count);
}

static int outer_of(const Area *area)
{
    for (int r = 0; r < area->ring_count; r++)
        if (area->rings[r].outer == r) return r;
    return 0;
}

// Holes that the run does not touch go with the outer ring they lie in.
static bool share_holes(Dividing *d, const Links *inner, Area *inside, Area *outside)
{
    int outer = outer_of(d->area);
    for (int r = 0; r < d->area->ring_count; r++) {
        bool used = !d->free && (r == d->spots[d->start].ring || r == d->spots[d->end].ring), within = false;
        if (used || r == outer) continue;
        if (inner && !links_contain(d, inner, d->spots[d->first[r]].here, &within)) return false;
        put_old_ring(within ? inside : outside, d->area, r);
    }
    return true;
}

// Writes the plots; false with *sound = false when a new ring runs the wrong way round.
static bool write_plots(Dividing *d, const Links made[2], int made_count, Area out[2], int *out_count, bool *sound)
{
    int outer = outer_of(d->area);
    bool outer_used = !d->free && (d->spots[d->start].ring == outer || d->spots[d->end].ring == outer);
    for (int i = 0; i < 2; i++)
        if (!room_for_area(d->cuts, d->area, made, made_count, &out[i])) return false;
    *out_count = made_count;
    if (made_count == 1) {
        if (outer_used)
            put_ring(&out[0], made[0].items, (int)made[0].count);
        else
            put_old_ring(&out[0], d->area, outer);
        if (!outer_used) put_ring(&out[0], made[0].items, (int)made[0].count);
        return share_holes(d, NULL, NULL, &out[0]);
    }
    int64_t areas[2] = {area2_of(d, &made[0]), area2_of(d, &made[1])};
    int inner = outer_used || areas[1] > 0; // the ring that becomes a plot of its own
    *sound = areas[inner] > 0 && (areas[!inner] > 0) == outer_used && areas[!inner] != 0;
    if (!*sound) return true;
    if (!outer_used) put_old_ring(&out[0], d->area, outer);
    put_ring(&out[0], made[!inner].items, (int)made[!inner].count);
    put_ring(&out[1], made[inner].items, (int)made[inner].count);
    return share_holes(d, &made[inner], &out[1], &out[0]);
}

static bool adopt_plots(Cuts *cuts, int plot, const Area areas[2], int count, Error *err)
{
    cuts->plots[plot].area = areas[0];
    if (count == 1) return true;
    Plot *plots = arena_grow(cuts->keep, cuts->plots, cuts->plot_count, &cuts->plot_room, sizeof *plots);
    if (!plots) return error_memory(err);
    cuts->plots = plots;
    plots[cuts->plot_count++] = (Plot){areas[1], plots[plot].part, -1};
    return true;
}

static bool add_run_chain(Dividing *d, Error *err)
{
    Cuts *cuts = d->cuts;
    Chain chain;
    int index;
    if (!chain_from_points(d->run->points, d->run->count - d->closed, d->closed, cuts->keep, &chain, err)) return false;
    if (!chains_add(&cuts->chains, &chain, cuts->keep, &index, err)) return false;
    d->link = (Link){index, 0, chain.point_count - 1};
    return true;
}

static bool list_cut(Dividing *d, Error *err)
{
    Cuts *cuts = d->cuts;
    Cut *items = arena_grow(cuts->keep, cuts->items, cuts->count, &cuts->room, sizeof *items);
    if (!items) return error_memory(err);
    cuts->items = items;
    items[cuts->count++] = (Cut){d->link.chain, d->run->line, d->run->middle};
    return true;
}

static bool divide_plot(Dividing *d, int plot, bool *sound, Error *err)
{
    Cuts *cuts = d->cuts;
    Links made[2] = {{0}, {0}};
    Area areas[2];
    int made_count, area_count;
    size_t chain_count = cuts->chains.count;
    if (!add_run_chain(d, err)) return false;
    if (!make_rings(d, made, &made_count) || !write_plots(d, made, made_count, areas, &area_count, sound))
        return error_memory(err);
    if (!*sound) {
        cuts->chains.count = chain_count;
        return true;
    }
    return list_cut(d, err) && adopt_plots(cuts, plot, areas, area_count, err);
}

bool cuts_along(Cuts *cuts, int plot, const CutRun *run, Work *work, bool *sound, Error *err)
{
    const Point *points = run->points;
    int last = run->count - 1;
    Dividing d = {.cuts = cuts, .run = run, .area = &cuts->plots[plot].area, .scratch = &work->scratch, .work = work};
    Area old = *d.area;
    d.area = &old; // plots may move in memory
    d.closed = point_equal(points[0], points[last]);
    ArenaMark mark = arena_mark(&work->scratch);
    bool fine = list_spots(&d) && run_is_sound(&d, sound);
    if (!fine) error_memory(err);
    if (fine && *sound) {
        d.start = find_spot(&d, points[0], points[1]);
        d.end = find_spot(&d, points[last], points[last - 1]);
        d.free = d.closed && d.start < 0 && d.end < 0;
        *sound = d.free || (d.start >= 0 && d.end >= 0 && (d.start == d.end) == d.closed);
    }
    if (fine && *sound) fine = divide_plot(&d, plot, sound, err);
    arena_rewind(&work->scratch, mark);
    return fine;
}

// ---- questions ----

bool cuts_plot_at(const Cuts *cuts, Point at, Arena *scratch, int *out, Error *err)
{
    *out = -1;
    for (size_t p = 0; p < cuts->plot_count && *out < 0; p++) {
        Rings rings;
        ArenaMark mark = arena_mark(scratch);
        if (!area_rings(&cuts->chains, &cuts->plots[p].area, scratch, &rings, err)) return false;
        if (rings_contain(&rings, at)) *out = (int)p;
        arena_rewind(scratch, mark);
    }
    return true;
}

// Two links that run along one another in opposite directions.
static bool are_sides_of_slit(const Link *forth, const Link *back)
{
    return forth->chain == back->chain && forth->first < forth->last && back->first > back->last &&
           forth->first < back->first && back->last < forth->last;
}

int cuts_slit_of(const Cuts *cuts, const Plot *plot)
{
    const Area *area = &plot->area;
    for (size_t c = 0; c < cuts->count; c++)
        for (int i = 0; i < area->link_count; i++)
            for (int k = 0; k < area->link_count && area->links[i].chain == cuts->items[c].chain; k++)
                if (are_sides_of_slit(&area->links[i], &area->links[k])) return (int)c;
    return -1;
}

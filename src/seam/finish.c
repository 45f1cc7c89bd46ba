// finish.c - see finish.h.
#include "seam/finish.h"

#include "seam/names.h"
#include "seam/sound.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

typedef struct OnChain { // one end of a seam on the layer's outline
    int chain, part, node;
    ChainNode place;
} OnChain;

typedef struct Finish {
    const Cuts *cuts;
    const PartPlan *plans;
    int part_count;
    const SeamOptions *options;
    const Hiding *hiding;
    Arena *keep, *scratch;
    const Work *work;
    LayerPieces *out;
    int *refined;   // by chain of the cuts: its copy with nodes, or -1
    int **moved;    // by chain: flat index in that chain -> in the copy
    bool **is_node; // by chain: flat point of the copy is a node
    int *sections;  // by chain: the first of the chains that a cut falls into at its nodes, or -1
    size_t piece_room, seam_room;
} Finish;

static int compare_on_chain(const void *pa, const void *pb)
{
    const OnChain *a = pa, *b = pb;
    if (a->chain != b->chain) return a->chain - b->chain;
    if (a->part != b->part) return a->part - b->part;
    return a->node - b->node;
}

static bool is_seam_end(const Plan *plan, int node)
{
    for (int s = 0; s < plan->seam_count; s++) {
        const int *route = plan->route + plan->seams[s].first;
        if (route[0] == node || route[plan->seams[s].count - 1] == node) return true;
    }
    return false;
}

static OnChain *collect_ends(const Finish *f, int *out_count)
{
    int room = 0;
    for (int p = 0; p < f->part_count; p++) room += f->plans[p].plan ? f->plans[p].plan->node_count : 0;
    OnChain *ends = arena_new(f->scratch, OnChain, room);
    *out_count = 0;
    for (int p = 0; ends && p < f->part_count; p++) {
        const Part *part = f->plans[p].part;
        const Plan *plan = f->plans[p].plan;
        for (int n = 0; plan && n < plan->node_count; n++) {
            int edge = plan->nodes[n].edge;
            if (edge < 0 || !is_seam_end(plan, n)) continue;
            double along = part->backwards[edge] ? 1.0 - plan->nodes[n].along : plan->nodes[n].along;
            ends[(*out_count)++] = (OnChain){part->chain[edge], p, n, {part->chain_edge[edge], along}};
        }
    }
    if (*out_count) qsort(ends, (size_t)*out_count, sizeof *ends, compare_on_chain);
    return ends;
}

static bool is_cut_chain(const Finish *f, int chain)
{
    for (size_t c = 0; c < f->cuts->count; c++)
        if (f->cuts->items[c].chain == chain) return true;
    return false;
}

// A seam that others end on falls into seams of their own: a line must not run on past a node, as the pieces on one
// side would have one edge where those on the other side have two.
static bool make_sections(Finish *f, int index, Error *err)
{
    const Chain copy = f->out->chains.items[f->refined[index]];
    f->sections[index] = (int)f->out->chains.count;
    for (int first = 0, next; first + 1 < copy.point_count; first = next) {
        Chain section;
        int made;
        for (next = first + 1; next + 1 < copy.point_count && !f->is_node[index][next]; next++) {
        }
        if (!chain_from_points(copy.points + first, next - first + 1, false, f->keep, &section, err)) return false;
        if (!chains_add(&f->out->chains, &section, f->keep, &made, err)) return false;
    }
    return true;
}

// One chain with its nodes: a copy in the layer's pool, and the way from old flat indices to new ones.
static bool refine_chain(Finish *f, const OnChain *ends, int count, int *failed, Error *err)
{
    int index = ends[0].chain, made;
    const Chain *chain = &f->cuts->chains.items[index];
    ChainNode *nodes = arena_new(f->scratch, ChainNode, count);
    int *at = arena_new(f->scratch, int, count);
    f->moved[index] = arena_new(f->scratch, int, chain->point_count);
    if (!nodes || !at || !f->moved[index]) return error_memory(err);
    for (int i = 0; i < count; i++) nodes[i] = ends[i].place;
    Chain copy;
    if (!chain_insert(chain, index, nodes, count, f->keep, &copy, at, err)) return false;
    if (!chains_add(&f->out->chains, &copy, f->keep, &made, err)) return false;
    f->refined[index] = made;
    f->is_node[index] = arena_new(f->scratch, bool, copy.point_count);
    if (!f->is_node[index]) return error_memory(err);
    for (int i = 0, k = 0; i < chain->point_count; i++, k++) {
        while (copy.at[k] < chain->at[i]) k++;
        f->moved[index][i] = k;
    }
    for (int i = 0; i < count; i++) {
        const PlanNode *node = &f->plans[ends[i].part].plan->nodes[ends[i].node];
        if (!point_equal(copy.points[at[i]], node->at)) *failed = ends[i].part;
        f->is_node[index][at[i]] = true;
    }
    return !is_cut_chain(f, index) || make_sections(f, index, err);
}

static bool refine_chains(Finish *f, int *failed, Error *err)
{
    int count;
    size_t chains = f->cuts->chains.count;
    OnChain *ends = collect_ends(f, &count);
    f->refined = arena_new(f->scratch, int, chains);
    f->moved = arena_new(f->scratch, int *, chains);
    f->is_node = arena_new(f->scratch, bool *, chains);
    f->sections = arena_new(f->scratch, int, chains);
    if (!ends || !f->refined || !f->moved || !f->is_node || !f->sections) return error_memory(err);
    for (size_t i = 0; i < chains; i++) f->refined[i] = f->sections[i] = -1;
    for (int first = 0, next; first < count; first = next) {
        for (next = first; next < count && ends[next].chain == ends[first].chain; next++) {
        }
        if (!refine_chain(f, ends + first, next - first, failed, err)) return false;
    }
    return true;
}

// ---- one part ----

typedef struct Bag {
    Link *links;
    size_t count, capacity;
    Stroke *outline, *seams;
    size_t outline_count, outline_capacity, seam_count, seam_capacity;
} Bag;

static bool bag_link(Finish *f, Bag *bag, Link link, Error *err)
{
    Link *links = arena_grow(f->scratch, bag->links, bag->count, &bag->capacity, sizeof *links);
    if (!links) return error_memory(err);
    bag->links = links;
    links[bag->count++] = link;
    return true;
}

static bool bag_strokes(Finish *f, Link link, Stroke **strokes, size_t *count, size_t *capacity, Error *err)
{
    for (int i = 0; i + 1 < link_point_count(&link); i++) {
        Stroke *items = arena_grow(f->scratch, *strokes, *count, capacity, sizeof *items);
        if (!items) return error_memory(err);
        *strokes = items;
        items[(*count)++] = (Stroke){link_point(&f->out->chains, &link, i), link_point(&f->out->chains, &link, i + 1)};
    }
    return true;
}

// A link between two neighbouring nodes of a cut, as a link of the section there.
static Link section_link(const Finish *f, int index, int first, int last)
{
    int low = first < last ? first : last, section = f->sections[index], start = 0;
    for (int i = 1; i <= low; i++) {
        if (!f->is_node[index][i]) continue;
        section++;
        start = i;
    }
    return (Link){section, first - start, last - start};
}

static bool bag_cut_link(Finish *f, Bag *bag, Link link, Error *err)
{
    const int *moved = f->moved[link.chain];
    int step = link.first < link.last ? 1 : -1, first = moved[link.first], last = moved[link.last];
    for (int i = first + step;; i += step) {
        if (i != last && !f->is_node[link.chain][i]) continue;
        if (!bag_link(f, bag, section_link(f, link.chain, first, i), err)) return false;
        if (i == last) return true;
        first = i;
    }
}

// A link of the part, moved to the copy of its chain and split at every node.
static bool bag_outline_link(Finish *f, Bag *bag, Link link, Error *err)
{
    if (f->sections[link.chain] >= 0) return bag_cut_link(f, bag, link, err);
    if (f->refined[link.chain] >= 0) {
        const int *moved = f->moved[link.chain];
        const bool *is_node = f->is_node[link.chain];
        int step = link.first < link.last ? 1 : -1, first = moved[link.first], last = moved[link.last];
        link.chain = f->refined[link.chain];
        for (int i = first + step; i != last; i += step) {
            if (!is_node[i]) continue;
            if (!bag_link(f, bag, (Link){link.chain, first, i}, err)) return false;
            first = i;
        }
        link.first = first;
        link.last = last;
    }
    return bag_link(f, bag, link, err);
}

static bool bag_part(Finish *f, const Part *part, Bag *bag, Error *err)
{
    for (int i = 0; i < part->area.link_count; i++)
        if (!bag_outline_link(f, bag, part->area.links[i], err)) return false;
    for (size_t i = 0; i < bag->count; i++)
        if (!bag_strokes(f, bag->links[i], &bag->outline, &bag->outline_count, &bag->outline_capacity, err))
            return false;
    return true;
}

static Seam *add_seam(Finish *f, Error *err)
{
    LayerPieces *out = f->out;
    Seam *seams = arena_grow(f->keep, out->seams, (size_t)out->seam_count, &f->seam_room, sizeof *seams);
    Link *link = arena_new(f->keep, Link, 1);
    if (!seams || !link) {
        error_memory(err);
        return NULL;
    }
    out->seams = seams;
    seams[out->seam_count] = (Seam){.pieces = {-1, -1}, .form = SEAM_BUTT, .lap_of = -1, .links = link, .link_count = 1};
    return &seams[out->seam_count++];
}

static bool measure_seam(const Finish *f, Seam *seam, Error *err)
{
    const Link *link = &seam->links[0];
    for (int i = 0; i + 1 < link_point_count(link); i++) {
        Point a = link_point(&f->out->chains, link, i), b = link_point(&f->out->chains, link, i + 1);
        double length = point_distance_mm(a, b), hidden = hiding_length_mm(f->hiding, a, b, f->scratch);
        if (hidden < 0.0) return error_memory(err);
        seam->length_mm += length;
        seam->visible_mm += hidden < length ? length - hidden : 0.0;
    }
    return true;
}

static bool make_seam(Finish *f, const Plan *plan, int index, Bag *bag, Error *err)
{
    const PlanSeam *run = &plan->seams[index];
    Point *points = arena_new(f->scratch, Point, run->count);
    if (!points) return error_memory(err);
    for (int i = 0; i < run->count; i++) points[i] = plan->nodes[plan->route[run->first + i]].at;
    Chain chain;
    Seam *seam = add_seam(f, err);
    if (!seam || !chain_from_points(points, run->count, false, f->keep, &chain, err)) return false;
    if (!chains_add(&f->out->chains, &chain, f->keep, &seam->links[0].chain, err)) return false;
    seam->links[0].last = chain.point_count - 1;
    return measure_seam(f, seam, err) && bag_link(f, bag, seam->links[0], err) &&
           bag_link(f, bag, link_reversed(seam->links[0]), err) &&
           bag_strokes(f, seam->links[0], &bag->seams, &bag->seam_count, &bag->seam_capacity, err);
}

static Piece *add_piece(Finish *f, int part, Error *err)
{
    LayerPieces *out = f->out;
    Piece *pieces = arena_grow(f->keep, out->pieces, (size_t)out->piece_count, &f->piece_room, sizeof *pieces);
    if (!pieces) {
        error_memory(err);
        return NULL;
    }
    out->pieces = pieces;
    pieces[out->piece_count] = (Piece){.part = part, .fit = {1.0, 0.0}};
    return &pieces[out->piece_count++];
}

static bool fill_piece(Finish *f, Piece *piece, Error *err)
{
    if (!area_rings(&f->out->chains, &piece->face, f->keep, &piece->rings, err)) return false;
    piece->area_mm2 = area_mm2(&f->out->chains, &piece->face);
    return true;
}

static bool piece_fits(Finish *f, Piece *piece, bool *fits, Error *err)
{
    int count, outer = 0;
    while (piece->face.rings[outer].outer != outer) outer++;
    const Ring *ring = &piece->rings.items[outer];
    Point *hull = hull_make(ring->points, ring->count, f->scratch, &count);
    if (!hull) return error_memory(err);
    *fits = hull_fits(hull, count, paper_fit_space(&f->options->paper), &piece->fit);
    return true;
}

// Enters the piece on the side of each seam that its links run along.
static void enter_sides(Finish *f, int piece, int first_seam)
{
    const Area *face = &f->out->pieces[piece].face;
    for (int i = 0; i < face->link_count; i++)
        for (int s = first_seam; s < f->out->seam_count; s++)
            if (f->out->seams[s].links[0].chain == face->links[i].chain)
                f->out->seams[s].pieces[face->links[i].first > face->links[i].last] = piece;
}

static bool make_pieces(Finish *f, int index, const Area *faces, int first_seam, bool *sound, Error *err)
{
    const PartPlan *plan = &f->plans[index];
    double sum = 0.0;
    int made = 0;
    for (int r = 0; r < faces->ring_count; r++) {
        if (faces->rings[r].outer != r) continue;
        Piece *piece = add_piece(f, plan->part->index, err);
        bool fits = false;
        if (!piece || !area_polygon(faces, r, f->keep, &piece->face, err) || !fill_piece(f, piece, err) ||
            !piece_fits(f, piece, &fits, err))
            return false;
        if (!fits || piece->area_mm2 <= 0.0) *sound = false;
        sum += piece->area_mm2;
        made++;
        enter_sides(f, f->out->piece_count - 1, first_seam);
    }
    // Between cuts a part may hang together at points only, and fall into more pieces than it has faces.
    if (made < plan->plan->judgement.pieces) *sound = false;
    if (made > plan->plan->judgement.pieces && f->cuts->count == 0) *sound = false;
    // Nodes lie on the curve, a few micrometres off the flat outline.
    if (fabs(sum - plan->part->area_mm2) > 0.006 * plan->part->length_mm) *sound = false;
    for (int s = first_seam; s < f->out->seam_count; s++) {
        const int *pieces = f->out->seams[s].pieces;
        if (pieces[0] < 0 || pieces[1] < 0 || pieces[0] == pieces[1]) *sound = false;
    }
    return true;
}

static bool divide_part(Finish *f, int index, bool *sound, Error *err)
{
    const PartPlan *plan = &f->plans[index];
    int first_seam = f->out->seam_count;
    Bag bag = {0};
    Area faces;
    if (!bag_part(f, plan->part, &bag, err)) return false;
    for (int s = 0; s < plan->plan->seam_count; s++)
        if (!make_seam(f, plan->plan, s, &bag, err)) return false;
    *sound = strokes_are_sound(bag.seams, (int)bag.seam_count, bag.outline, (int)bag.outline_count, f->work);
    if (!*sound) return true;
    if (!area_from_links(&f->out->chains, bag.links, (int)bag.count, f->keep, &faces, err)) return false;
    return make_pieces(f, index, &faces, first_seam, sound, err);
}

// Seams of other parts may have put nodes on the chains of this one.
static bool moved_area(Finish *f, const Area *from, Area *out, Error *err)
{
    Bag bag = {0};
    *out = (Area){.rings = arena_new(f->scratch, LinkRing, from->ring_count), .ring_count = from->ring_count};
    if (!out->rings) return error_memory(err);
    for (int r = 0; r < from->ring_count; r++) {
        int first = (int)bag.count;
        for (int l = 0; l < from->rings[r].link_count; l++)
            if (!bag_outline_link(f, &bag, from->links[from->rings[r].first_link + l], err)) return false;
        out->rings[r] = (LinkRing){first, (int)bag.count - first, from->rings[r].outer};
    }
    out->links = bag.links;
    out->link_count = (int)bag.count;
    return true;
}

// What hangs together at a point only, between cuts, is more than one piece.
static bool keep_in_pieces(Finish *f, const PartPlan *plan, const Area *moved, bool *sound, Error *err)
{
    Area faces;
    if (!area_from_links(&f->out->chains, moved->links, moved->link_count, f->keep, &faces, err)) return false;
    for (int r = 0; r < faces.ring_count; r++) {
        if (faces.rings[r].outer != r) continue;
        Piece *piece = add_piece(f, plan->part->index, err);
        bool fits = false;
        if (!piece || !area_polygon(&faces, r, f->keep, &piece->face, err) || !fill_piece(f, piece, err) ||
            !piece_fits(f, piece, &fits, err))
            return false;
        *sound = *sound && fits && piece->area_mm2 > 0.0;
    }
    return true;
}

// Turns the ring that has a link from this point so that it starts there: where it was written from.
static void start_ring_at(Finish *f, Area *area, Point start)
{
    for (int r = 0; r < area->ring_count; r++) {
        Link *links = area->links + area->rings[r].first_link;
        int count = area->rings[r].link_count, first = 0;
        while (first < count && !point_equal(link_start(&f->out->chains, &links[first]), start)) first++;
        for (int turns = first < count ? first : 0; turns > 0; turns--) {
            Link link = links[0];
            for (int i = 0; i + 1 < count; i++) links[i] = links[i + 1];
            links[count - 1] = link;
        }
    }
}

static bool keep_whole(Finish *f, int index, bool *sound, Error *err)
{
    const PartPlan *plan = &f->plans[index];
    Area moved;
    if (!moved_area(f, &plan->part->area, &moved, err)) return false;
    // A frozen piece is to be written as it was.
    if (f->cuts->count > 0 && !plan->id) return keep_in_pieces(f, plan, &moved, sound, err);
    Piece *piece = add_piece(f, plan->part->index, err);
    if (!piece || !area_normalise(&f->out->chains, &moved, f->keep, &piece->face, err)) return false;
    piece->fit = plan->fit;
    if (plan->id) {
        snprintf(piece->id, sizeof piece->id, "%s", plan->id);
        for (int r = 0; r < moved.ring_count; r++)
            start_ring_at(f, &piece->face, link_start(&f->out->chains, &moved.links[moved.rings[r].first_link]));
    }
    return fill_piece(f, piece, err);
}

// ---- seams that were cut beforehand ----

// Notes each piece beside the flat edges of a chain: side 0 for pieces that run along it, 1 against it.
static void find_sides(const Finish *f, int chain, int *sides, int edges)
{
    for (int i = 0; i < 2 * edges; i++) sides[i] = -1;
    for (int p = 0; p < f->out->piece_count; p++) {
        const Area *face = &f->out->pieces[p].face;
        for (int l = 0; l < face->link_count; l++) {
            const Link *link = &face->links[l];
            if (link->chain != chain) continue;
            int back = link->first > link->last, low = back ? link->last : link->first;
            for (int i = low; i < low + link_point_count(link) - 1; i++) sides[2 * i + back] = p;
        }
    }
}

// A seam for each run of edges between the same two pieces; *whole is false where one is missing.
static bool make_cut_seams(Finish *f, int chain, bool on_section, bool *whole, Error *err)
{
    int edges = f->out->chains.items[chain].point_count - 1;
    int *sides = arena_new(f->scratch, int, 2 * edges);
    if (!sides) return error_memory(err);
    find_sides(f, chain, sides, edges);
    for (int first = 0, next; first < edges; first = next) {
        const int *two = &sides[2 * first];
        for (next = first + 1; next < edges && sides[2 * next] == two[0] && sides[2 * next + 1] == two[1]; next++) {
        }
        *whole = *whole && two[0] >= 0 && two[1] >= 0 && two[0] != two[1];
        if (!*whole) return true;
        Seam *seam = add_seam(f, err);
        if (!seam) return false;
        seam->on_section = on_section;
        seam->links[0] = (Link){chain, first, next};
        seam->pieces[0] = two[0];
        seam->pieces[1] = two[1];
        if (!measure_seam(f, seam, err)) return false;
    }
    return true;
}

static int section_count(const Finish *f, int chain)
{
    int count = 1;
    if (f->sections[chain] < 0) return 1;
    for (int i = 1; i + 1 < f->out->chains.items[f->refined[chain]].point_count; i++) count += f->is_node[chain][i];
    return count;
}

static bool make_all_cut_seams(Finish *f, int *out_cut, Error *err)
{
    for (size_t c = 0; c < f->cuts->count; c++) {
        int chain = f->cuts->items[c].chain, first = f->sections[chain] >= 0 ? f->sections[chain] : chain;
        int line = f->cuts->items[c].line;
        bool whole = true, on_section = line >= 0 && line < f->options->wishes.section_count;
        for (int i = 0; i < section_count(f, chain); i++)
            if (!make_cut_seams(f, first + i, on_section, &whole, err)) return false;
        if (!whole) {
            *out_cut = (int)c;
            return true;
        }
    }
    return true;
}

bool finish_layer(const Cuts *cuts, int layer, const PartPlan *plans, int part_count, const SeamOptions *options,
                  const Hiding *hiding, Arena *keep, Work *work, LayerPieces *out, FinishFault *out_fault, Error *err)
{
    Finish f = {.cuts = cuts,
                .plans = plans,
                .part_count = part_count,
                .options = options,
                .hiding = hiding,
                .keep = keep,
                .scratch = &work->scratch,
                .work = work,
                .out = out};
    *out = (LayerPieces){.layer = layer};
    *out_fault = (FinishFault){-1, -1};
    if (!chains_copy(&cuts->chains, keep, &out->chains, err)) return false;
    if (!refine_chains(&f, &out_fault->part, err)) return false;
    for (int p = 0; p < part_count && out_fault->part < 0; p++) {
        bool sound = true;
        if (!work_goes_on(work, err)) return false;
        if (!(plans[p].plan ? divide_part(&f, p, &sound, err) : keep_whole(&f, p, &sound, err))) return false;
        if (!sound) out_fault->part = p;
    }
    if (out_fault->part < 0 && !make_all_cut_seams(&f, &out_fault->cut, err)) return false;
    return out_fault->part >= 0 || out_fault->cut >= 0 || name_pieces(out, options, keep, &work->scratch, err);
}

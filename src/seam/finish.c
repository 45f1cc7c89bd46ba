// finish.c - see finish.h.
#include "seam/finish.h"

#include "seam/sound.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

typedef struct OnChain { // one end of a seam on the layer's outline
    int chain, part, node;
    ChainNode place;
} OnChain;

typedef struct Finish {
    const Stack *stack;
    const PartPlan *plans;
    int part_count;
    const SeamOptions *options;
    const Hiding *hiding;
    Arena *keep, *scratch;
    LayerPieces *out;
    int *refined;   // by chain of the stack: its copy with nodes, or -1
    int **moved;    // by chain: flat index in the stack's chain -> in the copy
    bool **is_node; // by chain: flat point of the copy is a node
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

// One chain with its nodes: a copy in the layer's pool, and the way from old flat indices to new ones.
static bool refine_chain(Finish *f, const OnChain *ends, int count, int *failed, Error *err)
{
    int index = ends[0].chain, made;
    const Chain *chain = &f->stack->chains.items[index];
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
    return true;
}

static bool refine_chains(Finish *f, int *failed, Error *err)
{
    int count;
    size_t chains = f->stack->chains.count;
    OnChain *ends = collect_ends(f, &count);
    f->refined = arena_new(f->scratch, int, chains);
    f->moved = arena_new(f->scratch, int *, chains);
    f->is_node = arena_new(f->scratch, bool *, chains);
    if (!ends || !f->refined || !f->moved || !f->is_node) return error_memory(err);
    for (size_t i = 0; i < chains; i++) f->refined[i] = -1;
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

// A link of the part, moved to the copy of its chain and split at every node.
static bool bag_outline_link(Finish *f, Bag *bag, Link link, Error *err)
{
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
    seams[out->seam_count] = (Seam){.pieces = {-1, -1}, .form = SEAM_BUTT, .links = link, .link_count = 1};
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
    if (made != plan->plan->judgement.pieces) *sound = false;
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
    *sound = strokes_are_sound(bag.seams, (int)bag.seam_count, bag.outline, (int)bag.outline_count);
    if (!*sound) return true;
    if (!area_from_links(&f->out->chains, bag.links, (int)bag.count, f->keep, &faces, err)) return false;
    return make_pieces(f, index, &faces, first_seam, sound, err);
}

static bool keep_whole(Finish *f, int index, Error *err)
{
    const PartPlan *plan = &f->plans[index];
    Piece *piece = add_piece(f, plan->part->index, err);
    if (!piece || !area_normalise(&f->out->chains, &plan->part->area, f->keep, &piece->face, err)) return false;
    piece->fit = plan->fit;
    return fill_piece(f, piece, err);
}

// ---- names ----

typedef struct Order {
    int row, index;
    int64_t x2, y2; // twice the middle of the piece's box
    Point start;
} Order;

static int compare_orders(const void *pa, const void *pb)
{
    const Order *a = pa, *b = pb;
    if (a->row != b->row) return a->row - b->row;
    if (a->x2 != b->x2) return a->x2 < b->x2 ? -1 : 1;
    if (a->y2 != b->y2) return a->y2 < b->y2 ? -1 : 1;
    int order = point_compare(a->start, b->start);
    return order ? order : a->index - b->index;
}

// Rows are as high as a sheet; within a row pieces are named from left to right.
static bool order_pieces(Finish *f, const char *letter, int **out_place, Error *err)
{
    LayerPieces *out = f->out;
    double row_um = paper_fit_space(&f->options->paper).height_mm * UM_PER_MM;
    Order *orders = arena_new(f->scratch, Order, out->piece_count);
    Piece *sorted = arena_new(f->keep, Piece, out->piece_count);
    *out_place = arena_new(f->scratch, int, out->piece_count);
    if (!orders || !sorted || !*out_place) return error_memory(err);
    for (int i = 0; i < out->piece_count; i++) {
        Box box = rings_box(&out->pieces[i].rings);
        int64_t x2 = (int64_t)box.min.x + box.max.x, y2 = (int64_t)box.min.y + box.max.y;
        orders[i] = (Order){(int)floor((double)y2 / 2.0 / row_um), i, x2, y2, out->pieces[i].rings.items[0].points[0]};
    }
    if (out->piece_count) qsort(orders, (size_t)out->piece_count, sizeof *orders, compare_orders);
    for (int i = 0; i < out->piece_count; i++) {
        sorted[i] = out->pieces[orders[i].index];
        snprintf(sorted[i].id, sizeof sorted[i].id, "%.3s%d", letter, i + 1);
        (*out_place)[orders[i].index] = i;
    }
    out->pieces = sorted;
    return true;
}

static int compare_seams(const void *pa, const void *pb)
{
    const Seam *a = pa, *b = pb;
    if (a->pieces[0] != b->pieces[0]) return a->pieces[0] - b->pieces[0];
    if (a->pieces[1] != b->pieces[1]) return a->pieces[1] - b->pieces[1];
    return a->links[0].chain - b->links[0].chain;
}

static bool name_all(Finish *f, Error *err)
{
    LayerPieces *out = f->out;
    char letter[8];
    int *place;
    layer_letter(out->layer, letter);
    if (!order_pieces(f, letter, &place, err)) return false;
    for (int i = 0; i < out->seam_count; i++) {
        int a = place[out->seams[i].pieces[0]], b = place[out->seams[i].pieces[1]];
        out->seams[i].pieces[0] = a < b ? a : b;
        out->seams[i].pieces[1] = a < b ? b : a;
    }
    if (out->seam_count) qsort(out->seams, (size_t)out->seam_count, sizeof *out->seams, compare_seams);
    for (int i = 0; i < out->seam_count; i++)
        snprintf(out->seams[i].id, sizeof out->seams[i].id, "%.2s-s%d", letter, i + 1);
    return true;
}

bool finish_layer(const Stack *stack, int layer, const PartPlan *plans, int part_count, const SeamOptions *options,
                  const Hiding *hiding, Arena *keep, Work *work, LayerPieces *out, int *out_failed, Error *err)
{
    Finish f = {.stack = stack,
                .plans = plans,
                .part_count = part_count,
                .options = options,
                .hiding = hiding,
                .keep = keep,
                .scratch = &work->scratch,
                .out = out};
    *out = (LayerPieces){.layer = layer};
    *out_failed = -1;
    if (!chains_copy(&stack->chains, keep, &out->chains, err)) return false;
    if (!refine_chains(&f, out_failed, err)) return false;
    for (int p = 0; p < part_count && *out_failed < 0; p++) {
        bool sound = true;
        if (!work_goes_on(work, err)) return false;
        if (!(plans[p].plan ? divide_part(&f, p, &sound, err) : keep_whole(&f, p, err))) return false;
        if (!sound) *out_failed = p;
    }
    return *out_failed >= 0 || name_all(&f, err);
}

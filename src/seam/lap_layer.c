// lap_layer.c - see lap_layer.h.
#include "seam/lap_layer.h"

#include <assert.h>

static bool take_points(Lapping *l, Error *err)
{
    for (int s = 0; s < l->out->seam_count; s++) {
        const Link *link = &l->out->seams[s].links[0];
        LappedSeam *state = &l->seams[s];
        state->points = arena_new(&l->store, Point, link_point_count(link));
        if (!state->points) return error_memory(err);
        for (int i = 0; i < link_point_count(link); i++) state->points[state->count++] = link_point(&l->out->chains, link, i);
    }
    return true;
}

static bool list_seams(Lapping *l, Error *err)
{
    for (int s = 0; s < l->out->seam_count; s++)
        for (int k = 0; k < 2; k++) l->pieces[l->out->seams[s].pieces[k]].seam_count++;
    for (int p = 0; p < l->out->piece_count; p++) {
        l->pieces[p].seams = arena_new(&l->store, int, l->pieces[p].seam_count);
        if (!l->pieces[p].seams) return error_memory(err);
        l->pieces[p].seam_count = 0;
    }
    for (int s = 0; s < l->out->seam_count; s++)
        for (int k = 0; k < 2; k++) {
            LappedPiece *piece = &l->pieces[l->out->seams[s].pieces[k]];
            piece->seams[piece->seam_count++] = s;
        }
    return true;
}

bool lap_layer_make(Lapping *l, Error *err)
{
    l->pieces = arena_new(&l->store, LappedPiece, l->out->piece_count);
    l->seams = arena_new(&l->store, LappedSeam, l->out->seam_count);
    if (!l->pieces || !l->seams) return error_memory(err);
    return take_points(l, err) && list_seams(l, err);
}

int lap_other_piece(const Lapping *l, int seam, int piece)
{
    const int *pair = l->out->seams[seam].pieces;
    return pair[0] + pair[1] - piece;
}

bool lap_runs_along(const Lapping *l, int seam, int piece)
{
    const Area *face = &l->out->pieces[piece].face;
    const Link *of = &l->out->seams[seam].links[0];
    for (int i = 0; i < face->link_count; i++) {
        const Link *link = &face->links[i];
        int low = link->first < link->last ? link->first : link->last, high = link->first + link->last - low;
        if (link->chain == of->chain && low < of->last && high > of->first) return link->first < link->last;
    }
    assert(!"a seam of a piece that it does not bound");
    return false;
}

bool lap_edge_add(CoverEdge **edges, size_t *count, size_t *room, CoverEdge edge, Arena *arena, Error *err)
{
    CoverEdge *items = arena_grow(arena, *edges, *count, room, sizeof *items);
    if (!items) return error_memory(err);
    *edges = items;
    items[(*count)++] = edge;
    return true;
}

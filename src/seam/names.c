// names.c - see names.h.
#include "seam/names.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

static bool is_taken(const SeamWishes *wishes, const char *id)
{
    for (int i = 0; i < wishes->frozen_count; i++)
        if (strcmp(wishes->frozen[i].id, id) == 0) return true;
    return false;
}

// Rows are as high as a sheet; within a row pieces are named from left to right.
static bool order_pieces(LayerPieces *out, const SeamOptions *options, const char *letter, Arena *keep, Arena *scratch,
                         int **out_place, Error *err)
{
    double row_um = paper_fit_space(&options->paper).height_mm * UM_PER_MM;
    Order *orders = arena_new(scratch, Order, out->piece_count);
    Piece *sorted = arena_new(keep, Piece, out->piece_count);
    *out_place = arena_new(scratch, int, out->piece_count);
    int number = 0;
    if (!orders || !sorted || !*out_place) return error_memory(err);
    for (int i = 0; i < out->piece_count; i++) {
        Box box = rings_box(&out->pieces[i].rings);
        int64_t x2 = (int64_t)box.min.x + box.max.x, y2 = (int64_t)box.min.y + box.max.y;
        orders[i] = (Order){(int)floor((double)y2 / 2.0 / row_um), i, x2, y2, out->pieces[i].rings.items[0].points[0]};
    }
    if (out->piece_count) qsort(orders, (size_t)out->piece_count, sizeof *orders, compare_orders);
    for (int i = 0; i < out->piece_count; i++) {
        sorted[i] = out->pieces[orders[i].index];
        if (sorted[i].id[0] == 0) { // else it is frozen, and has its name
            do snprintf(sorted[i].id, sizeof sorted[i].id, "%.3s%d", letter, ++number);
            while (is_taken(&options->wishes, sorted[i].id));
        }
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
    if (a->links[0].chain != b->links[0].chain) return a->links[0].chain - b->links[0].chain;
    return a->links[0].first - b->links[0].first;
}

bool name_pieces(LayerPieces *out, const SeamOptions *options, Arena *keep, Arena *scratch, Error *err)
{
    char letter[8];
    int *place;
    layer_letter(out->layer, letter);
    if (!order_pieces(out, options, letter, keep, scratch, &place, err)) return false;
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

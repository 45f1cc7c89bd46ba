// row.c - see row.h.
#include "shape/row.h"

#include <math.h>
#include <stdlib.h>

#define FEW 24 // are sorted quickest by moving each one down to its place

void row_cross_edge(RowCrossings *row, double ax, double ay, double bx, double by)
{
    if ((ay <= row->y) == (by <= row->y)) return;
    row->x[row->count++] = ax + (row->y - ay) / (by - ay) * (bx - ax);
}

void row_cross_rings(RowCrossings *row, const Rings *rings, double scale)
{
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        for (int i = 0; i < ring->count; i++) {
            Point p = ring->points[i], q = ring->points[i + 1 < ring->count ? i + 1 : 0];
            row_cross_edge(row, p.x * scale, p.y * scale, q.x * scale, q.y * scale);
        }
    }
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

void row_sort(RowCrossings *row)
{
    if (row->count > FEW) qsort(row->x, (size_t)row->count, sizeof *row->x, by_value);
    for (int i = 1; row->count <= FEW && i < row->count; i++) {
        double x = row->x[i];
        int k = i;
        for (; k > 0 && row->x[k - 1] > x; k--) row->x[k] = row->x[k - 1];
        row->x[k] = x;
    }
}

typedef struct Rows {
    RowPlaces places;
    int *room; // by row: first how many crossings come before the next row's, then where its next one is put
    double *x;
} Rows;

// Counts or puts the crossings of one edge. One row more is tried at both ends: places round.
static void cross_rows(Rows *rows, const double a[2], const double b[2])
{
    double low = (a[1] < b[1] ? a[1] : b[1]) - rows->places.top, high = (a[1] < b[1] ? b[1] : a[1]) - rows->places.top;
    double from = floor(low / rows->places.step - 0.5) - 1.0, to = floor(high / rows->places.step - 0.5) + 2.0;
    int last = to < rows->places.count ? (int)to : rows->places.count - 1;
    for (int row = from > 0.0 ? (int)from : 0; row <= last; row++) {
        double x, y = rows->places.top + (row + 0.5) * rows->places.step;
        RowCrossings one = {.y = y, .x = &x};
        row_cross_edge(&one, a[0], a[1], b[0], b[1]);
        if (one.count == 0) continue;
        if (rows->x) rows->x[rows->room[row]++] = x;
        else rows->room[row]++;
    }
}

static void cross_all(Rows *rows, const double (*points)[2], const int *first, int ring_count)
{
    for (int r = 0; r < ring_count; r++)
        for (int i = first[r]; i < first[r + 1]; i++)
            cross_rows(rows, points[i], points[i + 1 < first[r + 1] ? i + 1 : first[r]]);
}

bool rows_cross(const double (*points)[2], const int *first, int ring_count, RowPlaces places, Arena *keep, RowTable *out, Error *err)
{
    int count = places.count > 0 ? places.count : 0;
    int *starts = arena_new(keep, int, (size_t)count + 2);
    *out = (RowTable){.first = starts};
    if (!starts) return error_memory(err);
    Rows rows = {places, starts + 2, NULL}; // so that after putting starts[i] is where row i begins
    cross_all(&rows, points, first, ring_count);
    for (int row = 0; row < count; row++) starts[row + 2] += starts[row + 1];
    rows.x = out->x = arena_new(keep, double, starts[count + 1]);
    if (!out->x) return error_memory(err);
    rows.room = starts + 1;
    cross_all(&rows, points, first, ring_count);
    for (int row = 0; row < count; row++) {
        RowCrossings one = {.x = out->x + starts[row], .count = starts[row + 1] - starts[row]};
        row_sort(&one);
    }
    return true;
}

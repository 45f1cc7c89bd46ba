// row.c - see row.h.
#include "shape/row.h"

#include <stdlib.h>

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
    qsort(row->x, (size_t)row->count, sizeof *row->x, by_value);
}

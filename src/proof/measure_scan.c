// measure_scan.c - scan lines over edges, with the list of the edges that the line meets kept in order from line to
// line.
#include "proof/measure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SCAN_SHIFT_MM 0.05033 // lines lie between whole micrometres, so that few meet a written point
#define MAX_LINES 4000000
#define MAX_HITS 400000000.0

typedef struct Scan {
    const Edge *edges;
    int first_line, line_count;
    int *starts, *by_start; // edges by the line that meets them first
} Scan;

static double line_y(int line)
{
    return line * MEASURE_STEP_MM + SCAN_SHIFT_MM;
}

// The lines with low <= y < high; empty when first > last.
static void lines_of(const Edge *e, int *first, int *last)
{
    double low = fmin(e->a.y, e->b.y), high = fmax(e->a.y, e->b.y);
    *first = (int)floor((low - SCAN_SHIFT_MM) / MEASURE_STEP_MM) - 1;
    while (line_y(*first) < low) ++*first;
    *last = (int)floor((high - SCAN_SHIFT_MM) / MEASURE_STEP_MM) + 1;
    while (line_y(*last) >= high) --*last;
}

static bool prepare(Scan *scan, size_t count, Arena *arena, Error *err)
{
    int low = INT32_MAX, high = INT32_MIN, first, last;
    double hits = 0.0;
    for (size_t i = 0; i < count; i++) {
        lines_of(&scan->edges[i], &first, &last);
        if (first > last) continue;
        low = first < low ? first : low;
        high = last > high ? last : high;
        hits += last - first + 1;
    }
    if (low > high) return true;
    if ((double)high - low >= MAX_LINES || hits > MAX_HITS)
        return error_set(err, ERROR_INPUT, "the outlines are too large to be looked at line by line");
    scan->first_line = low;
    scan->line_count = high - low + 1;
    scan->starts = arena_new(arena, int, scan->line_count + 1);
    if (!scan->starts) return error_memory(err);
    for (size_t i = 0; i < count; i++) {
        lines_of(&scan->edges[i], &first, &last);
        if (first <= last) scan->starts[first - low + 1]++;
    }
    for (int i = 0; i < scan->line_count; i++) scan->starts[i + 1] += scan->starts[i];
    scan->by_start = arena_new(arena, int, scan->starts[scan->line_count]);
    int *next = arena_copy(arena, scan->starts, (size_t)scan->line_count + 1, sizeof(int));
    if (!scan->by_start || !next) return error_memory(err);
    for (size_t i = 0; i < count; i++) {
        lines_of(&scan->edges[i], &first, &last);
        if (first <= last) scan->by_start[next[first - low]++] = (int)i;
    }
    return true;
}

static int by_place(const void *a, const void *b)
{
    const ScanHit *p = a, *q = b;
    if (p->x != q->x) return p->x < q->x ? -1 : 1;
    if (p->owner != q->owner) return p->owner < q->owner ? -1 : 1;
    return (p->edge > q->edge) - (p->edge < q->edge);
}

// Nearly in order from the line before: insertion, with a bound so that hostile edges cost no square.
static void sort_hits(ScanHit *hits, int count)
{
    long moves = 0, most = 16L * count + 256;
    for (int i = 1; i < count; i++) {
        ScanHit hit = hits[i];
        int k = i;
        while (k > 0 && by_place(&hits[k - 1], &hit) > 0) {
            hits[k] = hits[k - 1];
            k--;
            moves++;
        }
        hits[k] = hit;
        if (moves > most) {
            qsort(hits, (size_t)count, sizeof *hits, by_place);
            return;
        }
    }
}

static double crossing_x(const Edge *e, double y)
{
    const Spot *low = e->a.y < e->b.y ? &e->a : &e->b, *high = low == &e->a ? &e->b : &e->a;
    return low->x + (y - low->y) / (high->y - low->y) * (high->x - low->x);
}

static bool run(const Scan *scan, Work *work, ScanRow *row, void *data, Error *err)
{
    ScanHit *hits = NULL;
    size_t capacity = 0;
    int count = 0;
    for (int k = 0; k < scan->line_count; k++) {
        if (k % 256 == 0 && !work_goes_on(work, err)) return false;
        double y = line_y(scan->first_line + k);
        int kept = 0;
        for (int i = 0; i < count; i++) {
            const Edge *e = &scan->edges[hits[i].edge];
            if (fmax(e->a.y, e->b.y) <= y) continue;
            hits[kept] = hits[i];
            hits[kept++].x = crossing_x(e, y);
        }
        count = kept;
        for (int i = scan->starts[k]; i < scan->starts[k + 1]; i++) {
            hits = arena_grow(&work->scratch, hits, (size_t)count, &capacity, sizeof *hits);
            if (!hits) return error_memory(err);
            const Edge *e = &scan->edges[scan->by_start[i]];
            hits[count++] = (ScanHit){crossing_x(e, y), e->owner, scan->by_start[i]};
        }
        sort_hits(hits, count);
        if (count > 0 && !row(data, y, hits, count, err)) return false;
    }
    return true;
}

bool measure_scan(const Edge *edges, size_t count, Work *work, ScanRow *row, void *data, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Scan scan = {.edges = edges};
    bool done = prepare(&scan, count, &work->scratch, err) && run(&scan, work, row, data, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

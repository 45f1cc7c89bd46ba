// strips.c - see strips.h.
#include "seam/strips.h"

#include <math.h>

#define MAX_LINES 320 // positions a direction; the step grows for larger parts
#define ROUNDED_IN 1e-6 // far more than sums of costs are rounded by

// One direction, ready to be searched. Row 0 is the part's start, rows 1..v_count are positions, the last row its end.
typedef struct Field {
    double *u, *v; // positions of cross cuts and of rows
    int u_count, v_count, row_count;
    double *border_cost;         // of cutting right through at row k
    double *upto, *from;         // [row * u_count + i]: cutting at u[i] from row j to row k costs upto[k] - from[j]
    double *band_min, *band_max; // extent along u of the part between row b and row b + 1
    double *best;                // scratch of one strip
    int *queue, *before;
} Field;

static void extent(const double *values, int count, double *out_min, double *out_max)
{
    *out_min = *out_max = values[0];
    for (int i = 1; i < count; i++) {
        if (values[i] < *out_min) *out_min = values[i];
        if (values[i] > *out_max) *out_max = values[i];
    }
}

static int place_lines(double lo, double hi, double step, double phase, double *out)
{
    int count = 0;
    for (int i = 0; i < MAX_LINES; i++) {
        double at = lo + (i + (phase > 0.0 ? phase : 1.0)) * step;
        if (at >= hi - 0.25 * step) break;
        out[count++] = at;
    }
    return count;
}

static bool field_room(Field *field, Arena *scratch, Error *err)
{
    size_t cells = (size_t)field->row_count * (size_t)field->u_count;
    field->border_cost = arena_new(scratch, double, field->row_count);
    field->upto = arena_new(scratch, double, cells);
    field->from = arena_new(scratch, double, cells);
    field->band_min = arena_new(scratch, double, field->row_count);
    field->band_max = arena_new(scratch, double, field->row_count);
    field->best = arena_new(scratch, double, field->u_count);
    field->queue = arena_new(scratch, int, field->u_count);
    field->before = arena_new(scratch, int, field->u_count);
    if (!field->border_cost || !field->upto || !field->from || !field->band_min || !field->band_max || !field->best ||
        !field->queue || !field->before)
        return error_memory(err);
    return true;
}

static bool price_cross_cuts(Field *field, const Turned *part, const Hiding *hiding, const Turned *cover,
                             const StripsOptions *options, Arena *scratch, Error *err)
{
    Scan inner, under;
    AvoidScan avoided;
    int stops = field->row_count - 1;
    double *cost = arena_new(scratch, double, stops);
    int *chords = arena_new(scratch, int, stops);
    bool *inside = arena_new(scratch, bool, stops);
    if (!cost || !chords || !inside) return error_memory(err);
    if (!scan_lines(part, LINES_ALONG_V, field->u, field->u_count, scratch, &inner, err)) return false;
    if (!hiding_scan(hiding, cover, LINES_ALONG_V, field->u, field->u_count, scratch, &under, err)) return false;
    if (!avoid_scan(options->avoid, options->frame, LINES_ALONG_V, field->u, &inner, scratch, &avoided, err))
        return false;
    for (int i = 0; i < field->u_count; i++) {
        scan_running_cost(&inner, &under, i, 1.0 / 25.4, options->hidden_weight / 25.4, field->v + 1, stops, cost,
                          chords, inside);
        if (!avoid_add_running(&avoided, &under, i, field->v + 1, stops, scratch, cost, err)) return false;
        field->upto[i] = field->from[i] = 0.0;
        for (int s = 0; s < stops; s++) {
            double total = cost[s] + options->piece_weight * chords[s];
            size_t at = (size_t)(s + 1) * (size_t)field->u_count + (size_t)i;
            field->upto[at] = total;
            field->from[at] = total - (inside[s] ? options->piece_weight : 0.0);
        }
    }
    return true;
}

static void widen(Field *field, int band, double u)
{
    if (u < field->band_min[band]) field->band_min[band] = u;
    if (u > field->band_max[band]) field->band_max[band] = u;
}

static bool price_borders(Field *field, const Turned *part, const Hiding *hiding, const Turned *cover,
                          const StripsOptions *options, Arena *scratch, Error *err)
{
    Scan inner, under;
    AvoidScan avoided;
    if (!scan_lines(part, LINES_ALONG_U, field->v + 1, field->v_count, scratch, &inner, err)) return false;
    if (!hiding_scan(hiding, cover, LINES_ALONG_U, field->v + 1, field->v_count, scratch, &under, err)) return false;
    if (!avoid_scan(options->avoid, options->frame, LINES_ALONG_U, field->v + 1, &inner, scratch, &avoided, err))
        return false;
    for (int b = 0; b < field->row_count; b++) {
        field->band_min[b] = 1e30;
        field->band_max[b] = -1e30;
    }
    for (int k = 1; k <= field->v_count; k++) {
        LineCost cost = scan_cost(&inner, &under, k - 1, -1e30, 1e30);
        field->border_cost[k] =
            (cost.visible_mm + options->hidden_weight * cost.hidden_mm) / 25.4 + options->piece_weight * cost.chords;
        field->border_cost[k] += avoid_line_in(&avoided, &under, k - 1);
        for (int i = inner.first[k - 1]; i < inner.first[k]; i++) {
            widen(field, k - 1, inner.items[i].at);
            widen(field, k, inner.items[i].at);
        }
    }
    for (int i = 0; i < part->count; i++) {
        int band = (int)((part->v[i] - field->v[0]) / (field->v[field->row_count - 1] - field->v[0]) * field->v_count);
        if (band > field->v_count) band = field->v_count;
        while (band > 0 && part->v[i] < field->v[band]) band--;
        while (band < field->v_count && part->v[i] >= field->v[band + 1]) band++;
        widen(field, band, part->u[i]);
    }
    return true;
}

static bool field_make(const Part *part, const Hiding *hiding, const StripsOptions *options, Arena *scratch, Field *out,
                       Error *err)
{
    Turned turned, cover;
    if (!part_turn(part, options->frame, scratch, &turned, err)) return false;
    if (!boundary_turn(hiding->points, hiding->next, hiding->count, options->frame, scratch, &cover, err)) return false;
    out->u = arena_new(scratch, double, MAX_LINES);
    out->v = arena_new(scratch, double, MAX_LINES + 2);
    if (!out->u || !out->v) return error_memory(err);
    double u_min, u_max, v_min, v_max;
    extent(turned.u, turned.count, &u_min, &u_max);
    extent(turned.v, turned.count, &v_min, &v_max);
    double side = u_max - u_min > v_max - v_min ? u_max - u_min : v_max - v_min;
    double step = options->step_mm > side / (MAX_LINES - 2) ? options->step_mm : side / (MAX_LINES - 2);
    out->u_count = place_lines(u_min, u_max, step, options->phase, out->u);
    out->v[0] = v_min;
    out->v_count = place_lines(v_min, v_max, step, options->phase, out->v + 1);
    out->row_count = out->v_count + 2;
    // The last stop lies a little behind the part, so that every chord has ended before it.
    out->v[out->row_count - 1] = v_max + 1e-3;
    if (!field_room(out, scratch, err)) return false;
    return price_cross_cuts(out, &turned, hiding, &cover, options, scratch, err) &&
           price_borders(out, &turned, hiding, &cover, options, scratch, err);
}

// The cheapest cross cuts of the strip from row j to row k, none longer than the limit; `before` remembers the choice
// (-1: the strip's start). Returns infinity when there is none, or none below `most`. *out_last: the last cut, -1 for none.
static double strip_cost(Field *field, const Cell *cell, int j, int k, double most, int *out_last)
{
    double limit = cell_along_limit_mm(cell, field->v[k] - field->v[j]);
    double lo = 1e30, hi = -1e30;
    for (int b = j; b < k; b++) {
        if (field->band_min[b] < lo) lo = field->band_min[b];
        if (field->band_max[b] > hi) hi = field->band_max[b];
    }
    *out_last = -1;
    if (hi - lo <= limit) return 0.0;
    const double *upto = field->upto + (size_t)k * (size_t)field->u_count;
    const double *from = field->from + (size_t)j * (size_t)field->u_count;
    double result = INFINITY;
    int head = 0, tail = 0; // queue of earlier cuts, cheapest first
    for (int i = 0; i < field->u_count && field->u[i] < hi; i++) {
        if (field->u[i] <= lo) continue;
        while (head < tail && field->u[i] - field->u[field->queue[head]] > limit) head++;
        double before = field->u[i] - lo <= limit ? 0.0 : INFINITY;
        field->before[i] = -1;
        if (before > 0.0 && head < tail) {
            field->before[i] = field->queue[head];
            before = field->best[field->queue[head]];
            if (before > most) return INFINITY; // all that follow have one of these before them, and no cut costs less than nothing
        }
        double best = before + upto[i] - from[i];
        field->best[i] = best;
        if (hi - field->u[i] <= limit && best < result) {
            result = best;
            *out_last = i;
        }
        while (head < tail && field->best[field->queue[tail - 1]] >= best) tail--;
        field->queue[tail++] = i;
    }
    return result;
}

typedef struct Choice {
    double cost;
    int from;
} Choice;

static void choose_borders(Field *field, const Cell *cell, Choice *rows)
{
    rows[0] = (Choice){0.0, -1};
    for (int k = 1; k < field->row_count; k++) {
        double border = k <= field->v_count ? field->border_cost[k] : 0.0;
        rows[k] = (Choice){INFINITY, -1};
        for (int j = k - 1; j >= 0 && field->v[k] - field->v[j] <= cell->across_mm; j--) {
            int last;
            if (rows[j].cost + border >= rows[k].cost) continue;
            double most = rows[k].cost - rows[j].cost - border + ROUNDED_IN;
            double cost = rows[j].cost + border + strip_cost(field, cell, j, k, most, &last);
            if (cost < rows[k].cost) rows[k] = (Choice){cost, j};
        }
    }
}

static bool write_layout(Field *field, const Cell *cell, const Choice *rows, const StripsOptions *options, Arena *keep,
                         Arena *scratch, Layout *out, Error *err)
{
    int strips = 0, crosses = 0;
    int *row = arena_new(scratch, int, field->row_count + 1);
    if (!row) return error_memory(err);
    for (int k = field->row_count - 1; k >= 0; k = rows[k].from) row[strips++] = k;
    strips--;
    *out =
        (Layout){.frame = options->frame, .border_count = strips - 1, .estimate_in = rows[field->row_count - 1].cost};
    out->borders = arena_new(keep, double, strips);
    out->first_cross = arena_new(keep, int, strips + 1);
    out->crosses = arena_new(keep, double, (size_t)strips *(size_t)field->u_count);
    if (!out->borders || !out->first_cross || !out->crosses) return error_memory(err);
    for (int s = 0; s < strips; s++) {
        int j = row[strips - s], k = row[strips - s - 1], last, first = crosses;
        if (s > 0) out->borders[s - 1] = field->v[j];
        out->first_cross[s] = crosses;
        strip_cost(field, cell, j, k, INFINITY, &last);
        for (int i = last; i >= 0; i = field->before[i]) out->crosses[crosses++] = field->u[i];
        for (int a = first, b = crosses - 1; a < b; a++, b--) {
            double swap = out->crosses[a];
            out->crosses[a] = out->crosses[b];
            out->crosses[b] = swap;
        }
    }
    out->first_cross[strips] = crosses;
    return true;
}

static bool find_one(Field *field, const Cell *cell, const StripsOptions *options, Arena *keep, Work *work,
                     Layouts *out, Error *err)
{
    Choice *rows = arena_new(&work->scratch, Choice, field->row_count);
    if (!rows) return error_memory(err);
    choose_borders(field, cell, rows);
    if (!isfinite(rows[field->row_count - 1].cost)) return true;
    Layout *items = arena_grow(keep, out->items, out->count, &out->capacity, sizeof *items);
    if (!items) return error_memory(err);
    out->items = items;
    return write_layout(field, cell, rows, options, keep, &work->scratch, &items[out->count++], err);
}

bool strips_find(const Part *part, const Hiding *hiding, const StripsOptions *options, Arena *keep, Work *work,
                 Layouts *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Field field = {0};
    bool square = options->space.width_mm == options->space.height_mm;
    bool fine = field_make(part, hiding, options, &work->scratch, &field, err);
    for (int turned = 0; fine && turned < (square ? 1 : 2); turned++) {
        // Cells of an upright paper stand upright in the picture, whichever way the frame looks at it.
        if (options->space.upright && !square && (turned == 1) != (options->frame.cos == 0.0)) continue;
        Cell cell = cell_for(options->space, turned == 1);
        fine = work_goes_on(work, err) && find_one(&field, &cell, options, keep, work, out, err);
    }
    arena_rewind(&work->scratch, mark);
    return fine;
}

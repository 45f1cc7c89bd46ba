// scan.c - see scan.h.
#include "seam/scan.h"

#include <stdlib.h>

#define SLIT_MM 1e-6 // far more than rounding moves a crossing, far less than a micrometre
#define FEW 24

// The number of positions below the value, sought from a number near it.
static int slot_of(double value, const double *positions, int count, int near)
{
    while (near < count && positions[near] < value) near++;
    while (near > 0 && positions[near - 1] >= value) near--;
    return near;
}

static int compare_crossings(const void *pa, const void *pb)
{
    const Crossing *a = pa, *b = pb;
    if (a->at != b->at) return a->at < b->at ? -1 : 1;
    return (a->edge > b->edge) - (a->edge < b->edge);
}

// Few are sorted quickest by moving each one down to its place.
static void sort_crossings(Crossing *items, int count)
{
    if (count > FEW) qsort(items, (size_t)count, sizeof *items, compare_crossings);
    for (int i = 1; count <= FEW && i < count; i++) {
        Crossing c = items[i];
        int k = i;
        for (; k > 0 && (items[k - 1].at > c.at || (items[k - 1].at == c.at && items[k - 1].edge > c.edge)); k--) items[k] = items[k - 1];
        items[k] = c;
    }
}

static bool leads_inside(const Turned *turned, LineWay way, int edge)
{
    const double *across = way == LINES_ALONG_U ? turned->v : turned->u;
    double change = across[turned->next[edge]] - across[edge];
    return way == LINES_ALONG_U ? change < 0.0 : change > 0.0; // the inside lies to the right of every edge
}

// Both sides of a slit are crossed at one place, rounded perhaps the wrong way round: out comes before in again.
static void order_at_slits(const Turned *turned, LineWay way, Crossing *items, int count)
{
    for (int i = 1; i + 1 < count; i += 2) {
        if (items[i + 1].at - items[i].at > SLIT_MM) continue;
        if (!leads_inside(turned, way, items[i].edge) || leads_inside(turned, way, items[i + 1].edge)) continue;
        Crossing swap = items[i];
        items[i] = items[i + 1];
        items[i + 1] = swap;
    }
}

// Each point gets the number of lines below it; an edge crosses the lines between the slots of its ends. A point has
// one slot for both of its edges, so every ring crosses every line an even number of times.
bool scan_lines(const Turned *turned, LineWay way, const double *positions, int count, Arena *keep, Scan *out,
                Error *err)
{
    const double *across = way == LINES_ALONG_U ? turned->v : turned->u;
    const double *along = way == LINES_ALONG_U ? turned->u : turned->v;
    *out = (Scan){arena_new(keep, int, count + 2), NULL, count};
    int *slot = arena_new(keep, int, turned->count);
    if (!out->first || !slot) return error_memory(err);
    for (int i = 0, near = 0; i < turned->count; i++) slot[i] = near = slot_of(across[i], positions, count, near);
    for (int i = 0; i < turned->count; i++) {
        int a = slot[i], b = slot[turned->next[i]];
        for (int line = a < b ? a : b; line < (a < b ? b : a); line++) out->first[line + 2]++;
    }
    for (int line = 0; line < count; line++) out->first[line + 2] += out->first[line + 1];
    out->items = arena_new(keep, Crossing, out->first[count + 1]);
    if (!out->items) return error_memory(err);
    for (int i = 0; i < turned->count; i++) {
        int j = turned->next[i];
        int a = slot[i], b = slot[j];
        for (int line = a < b ? a : b; line < (a < b ? b : a); line++) {
            double t = (positions[line] - across[i]) / (across[j] - across[i]);
            out->items[out->first[line + 1]++] = (Crossing){along[i] + t * (along[j] - along[i]), t, i};
        }
    }
    for (int line = 0; line < count; line++) {
        int n = out->first[line + 1] - out->first[line];
        sort_crossings(out->items + out->first[line], n);
        if (turned->has_slits) order_at_slits(turned, way, out->items + out->first[line], n);
    }
    return true;
}

static double overlap(double a0, double a1, double b0, double b1)
{
    double lo = a0 > b0 ? a0 : b0, hi = a1 < b1 ? a1 : b1;
    return hi > lo ? hi - lo : 0.0;
}

LineCost scan_cost(const Scan *part, const Scan *hidden, int line, double lo, double hi)
{
    LineCost cost = {0};
    int h = hidden->first[line];
    for (int i = part->first[line]; i + 1 < part->first[line + 1]; i += 2) {
        double a = part->items[i].at > lo ? part->items[i].at : lo;
        double b = part->items[i + 1].at < hi ? part->items[i + 1].at : hi;
        if (a >= b) continue;
        while (h + 1 < hidden->first[line + 1] && hidden->items[h + 1].at <= a) h += 2;
        double under = 0.0;
        for (int k = h; k + 1 < hidden->first[line + 1] && hidden->items[k].at < b; k += 2)
            under += overlap(a, b, hidden->items[k].at, hidden->items[k + 1].at);
        cost.chords++;
        cost.hidden_mm += under;
        cost.visible_mm += b - a - under;
    }
    return cost;
}

void scan_running_cost(const Scan *part, const Scan *hidden, int line, double visible_weight, double hidden_weight,
                       const double *stops, int stop_count, double *out_cost, int *out_chords, bool *out_inside)
{
    int p = part->first[line], p_end = part->first[line + 1];
    int h = hidden->first[line], h_end = hidden->first[line + 1];
    double from = 0.0, sum = 0.0;
    int chords = 0;
    bool inside = false, under = false;
    for (int s = 0; s < stop_count;) {
        double next_part = p < p_end ? part->items[p].at : 1e30;
        double next_hidden = h < h_end ? hidden->items[h].at : 1e30;
        double to = stops[s];
        if (next_part < to) to = next_part;
        if (next_hidden < to) to = next_hidden;
        if (inside) sum += (to - from) * (under ? hidden_weight : visible_weight);
        from = to;
        if (to == next_part) {
            inside = !inside;
            chords += inside;
            p++;
        } else if (to == next_hidden) {
            under = !under;
            h++;
        } else {
            out_cost[s] = sum;
            out_chords[s] = chords;
            out_inside[s] = inside;
            s++;
        }
    }
}

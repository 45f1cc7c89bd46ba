// parting.c - see parting.h.
#include "shape/parting.h"

#include <math.h>

#define STEP_MM 3.0
#define STEPS_MOST 3000     // of a long piece: coarser steps
#define EVEN_IN_A_MM 0.001  // a stretch that is as long as its neighbours is worth this much seam a mm

typedef struct Places {
    double *at_mm;      // by step; ends included
    double *charge_in;
    int count;
} Places;

static bool make_places(double length_mm, int stretches, PartingCharge *charge, void *data, Work *work, Places *out, Error *err)
{
    int steps = stretches * (int)ceil(length_mm / stretches / fmax(STEP_MM, length_mm / STEPS_MOST));
    out->count = steps + 1;
    out->at_mm = arena_new(&work->scratch, double, steps + 1);
    out->charge_in = arena_new(&work->scratch, double, steps + 1);
    if (!out->at_mm || !out->charge_in) return error_memory(err);
    for (int i = 0; i <= steps; i++) out->at_mm[i] = length_mm * i / steps;
    return charge(data, out->at_mm, out->count, work, out->charge_in, err);
}

typedef struct Ways { // to each place with each number of stretches before it
    double *cost;
    int *from;
} Ways;

static void extend(const Places *places, int line, double even_mm, double limit_mm, Ways *ways)
{
    int n = places->count;
    for (int i = 0; i < n; i++) {
        double *cost = &ways->cost[line * n + i];
        *cost = line == 0 && i == 0 ? 0.0 : INFINITY;
        for (int k = i - 1; line > 0 && k >= 0 && places->at_mm[i] - places->at_mm[k] <= limit_mm + 1e-9; k--) {
            double sum = ways->cost[(line - 1) * n + k] + places->charge_in[i] + EVEN_IN_A_MM * fabs(places->at_mm[i] - even_mm * line);
            if (sum >= *cost) continue;
            *cost = sum;
            ways->from[line * n + i] = k;
        }
    }
}

static bool choose(const Places *places, int stretches, double limit_mm, Arena *keep, Work *work, Parting *out, Error *err)
{
    int n = places->count, last = -1;
    size_t room = (size_t)n * (size_t)stretches;
    Ways ways = {arena_new(&work->scratch, double, room), arena_new(&work->scratch, int, room)};
    *out = (Parting){arena_new(keep, double, stretches), stretches - 1, INFINITY};
    if (!ways.cost || !ways.from || !out->at_mm) return error_memory(err);
    for (int line = 0; line < stretches; line++) { // line 0 is the first end
        if (!work_goes_on(work, err)) return false;
        extend(places, line, places->at_mm[n - 1] / stretches, limit_mm, &ways);
    }
    for (int i = 0; i < n; i++) {
        double cost = ways.cost[(stretches - 1) * n + i];
        if (places->at_mm[n - 1] - places->at_mm[i] > limit_mm + 1e-9 || cost >= out->charge_in) continue;
        out->charge_in = cost;
        last = i;
    }
    for (int line = stretches - 1; line > 0 && last >= 0; line--) {
        out->at_mm[line - 1] = places->at_mm[last];
        last = ways.from[line * n + last];
    }
    return true;
}

bool parting_choose(double length_mm, double limit_mm, PartingCharge *charge, void *data, Arena *keep, Work *work, Parting *out, Error *err)
{
    int stretches = length_mm <= limit_mm ? 1 : (int)ceil(fmin(length_mm / limit_mm - 1e-9, 1e6));
    *out = (Parting){.charge_in = INFINITY};
    for (; !isfinite(out->charge_in); stretches++) { // whole steps may just miss the limit
        Places places;
        if (stretches > PARTING_MOST)
            return error_set(err, ERROR_JOB, "%.0f mm in stretches of %.0f mm would be more than %d in a row; ask for larger ones", length_mm,
                             limit_mm, PARTING_MOST);
        ArenaMark mark = arena_mark(&work->scratch);
        if (!make_places(length_mm, stretches, charge, data, work, &places, err) ||
            !choose(&places, stretches, limit_mm, keep, work, out, err))
            return false;
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

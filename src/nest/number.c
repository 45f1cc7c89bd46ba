// number.c - see number.h.
#include "nest/number.h"

#include <math.h>

#define SAME_MM 1e-6

double place_number(double value)
{
    double r = floor(fabs(value) * 1e9 + 0.5) / 1e9;
    return value < 0 && r > 0 ? -r : r;
}

double place_extent_mm(const NestItem *item, const NestPlace *place)
{
    double most = -INFINITY;
    for (int r = 0; r < item->rings->count; r++)
        for (int i = 0; i < item->rings->items[r].count; i++) {
            Point p = item->rings->items[r].points[i];
            double y = (place->to_sheet[1] * p.x + place->to_sheet[3] * p.y) / UM_PER_MM + place->to_sheet[5];
            most = y > most ? y : most;
        }
    return most;
}

// The used sheet of least extent; of equal ones the first.
static int least_used(const double *extents, int count)
{
    int least = -1;
    for (int s = 0; s < count; s++)
        if (extents[s] > -INFINITY && (least < 0 || extents[s] < extents[least] - SAME_MM)) least = s;
    return least;
}

bool number_sheets(const NestItem *items, int item_count, NestPlace *places, int *sheet_count, Work *work, Error *err)
{
    int *number = arena_new(&work->scratch, int, *sheet_count);
    double *extents = arena_new(&work->scratch, double, *sheet_count);
    if (!number || !extents) return error_memory(err);
    for (int s = 0; s < *sheet_count; s++) {
        number[s] = -1;
        extents[s] = -INFINITY;
    }
    for (int i = 0; i < item_count; i++) {
        int s = places[i].sheet;
        if (s != NEST_LEFT_OVER) extents[s] = fmax(extents[s], place_extent_mm(&items[i], &places[i]));
    }
    int least = least_used(extents, *sheet_count), next = 0;
    for (int i = 0; i < item_count; i++) {
        int s = places[i].sheet;
        if (s != NEST_LEFT_OVER && s != least && number[s] < 0) number[s] = next++;
    }
    if (least >= 0) number[least] = next++;
    for (int i = 0; i < item_count; i++)
        if (places[i].sheet != NEST_LEFT_OVER) places[i].sheet = number[places[i].sheet];
    *sheet_count = next;
    return true;
}

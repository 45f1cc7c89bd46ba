// thicken.c - see thicken.h.
#include "separation/thicken.h"

#include "separation/runs.h"

#include <math.h>
#include <string.h>

#define ROWS_PER_LOOK 16
#define FAR 1e9f            // squared: farther than any picture is wide
#define RIDGE_SLACK_PX 0.75f
#define RIDGE_REACH 2
#define TIP_SHARE 1.0       // of the width's square: smaller leftovers of the opening are tips

typedef struct Field {
    int x0, y0, width, height;  // the window of one colour in the picture, a margin round it
    float *off2;                // squared distance to the nearest seed, a pixel each
    float *line;
    int *at;
    float *from;
    float *value;
} Field;

// Squared distances along one line, in place: the lower envelope of parabolas.
static void transform_line(Field *f, int n)
{
    int k = 0;
    f->at[0] = 0;
    f->from[0] = -FAR;
    f->from[1] = FAR;
    for (int q = 1; q < n; q++) {
        float s;
        do {
            int v = f->at[k];
            s = ((f->line[q] + (float)q * (float)q) - (f->line[v] + (float)v * (float)v)) / (float)(2 * (q - v));
        } while (s <= f->from[k] && k-- > 0);
        k++;
        f->at[k] = q;
        f->from[k] = s;
        f->from[k + 1] = FAR;
    }
    k = 0;
    for (int q = 0; q < n; q++) {
        while (f->from[k + 1] < (float)q) k++;
        float d = (float)(q - f->at[k]);
        f->value[q] = d * d + f->line[f->at[k]];
    }
}

// off2 holds 0 at seeds and FAR elsewhere; it becomes the squared distance to the nearest seed.
static bool transform(Field *f, Work *work, Error *err)
{
    for (int x = 0; x < f->width; x++) {
        if (x % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        for (int y = 0; y < f->height; y++) f->line[y] = f->off2[(size_t)y * (size_t)f->width + (size_t)x];
        transform_line(f, f->height);
        for (int y = 0; y < f->height; y++) f->off2[(size_t)y * (size_t)f->width + (size_t)x] = f->value[y];
    }
    for (int y = 0; y < f->height; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        float *row = f->off2 + (size_t)y * (size_t)f->width;
        memcpy(f->line, row, (size_t)f->width * sizeof *row);
        transform_line(f, f->width);
        memcpy(row, f->value, (size_t)f->width * sizeof *row);
    }
    return true;
}

typedef struct Job {
    uint8_t *label;
    int width_px, height_px;
    double radius_px;
    const double *box_px;
    Field field;
    uint8_t *thin;      // of the picture: label whose thin part the pixel is, 0 = none
    uint8_t *repainted; // of the picture
    uint8_t *ridge;     // of the picture: 1 on the middle line of its colour
    Work *work;
} Job;

static size_t in_picture(const Job *j, int x, int y)
{
    return (size_t)(j->field.y0 + y) * (size_t)j->width_px + (size_t)(j->field.x0 + x);
}

// The window of a colour's pixels with a margin of the radius; false when it has none.
static bool find_window(Job *j, uint8_t label)
{
    int x0 = j->width_px, y0 = j->height_px, x1 = -1, y1 = -1, margin = (int)j->radius_px + 2;
    for (int y = 0; y < j->height_px; y++) {
        const uint8_t *row = j->label + (size_t)y * (size_t)j->width_px;
        for (int x = 0; x < j->width_px; x++) {
            if (row[x] != label) continue;
            if (x < x0) x0 = x;
            if (x > x1) x1 = x;
            if (y < y0) y0 = y;
            y1 = y;
        }
    }
    if (x1 < 0) return false;
    Field *f = &j->field;
    f->x0 = x0 > margin ? x0 - margin : 0, f->y0 = y0 > margin ? y0 - margin : 0;
    f->width = (x1 + margin < j->width_px ? x1 + margin + 1 : j->width_px) - f->x0;
    f->height = (y1 + margin < j->height_px ? y1 + margin + 1 : j->height_px) - f->y0;
    return true;
}

static bool make_field(Job *j, Error *err)
{
    Field *f = &j->field;
    size_t longest = (size_t)(f->width > f->height ? f->width : f->height), px = (size_t)f->width * (size_t)f->height;
    f->off2 = arena_new(&j->work->scratch, float, px);
    f->line = arena_new(&j->work->scratch, float, longest);
    f->at = arena_new(&j->work->scratch, int, longest);
    f->from = arena_new(&j->work->scratch, float, longest + 1);
    f->value = arena_new(&j->work->scratch, float, longest);
    return (f->off2 && f->line && f->at && f->from && f->value) || error_memory(err);
}

// On the middle line: hardly farther from the edge than any pixel round it. Without the slack a slanting line's middle falls
// apart in dots, and the discs round them make a wavy edge.
static bool is_ridge(const Field *f, int x, int y)
{
    float own2 = f->off2[(size_t)y * (size_t)f->width + (size_t)x];
    if (!(own2 > 0.0f)) return false;
    float most = sqrtf(own2) + RIDGE_SLACK_PX, most2 = most * most;
    for (int dy = -RIDGE_REACH; dy <= RIDGE_REACH; dy++)
        for (int dx = -RIDGE_REACH; dx <= RIDGE_REACH; dx++) {
            if (x + dx < 0 || y + dy < 0 || x + dx >= f->width || y + dy >= f->height) continue;
            if (f->off2[(size_t)(y + dy) * (size_t)f->width + (size_t)(x + dx)] > most2) return false;
        }
    return true;
}

// Marks what is thin of a colour in j->thin, and its middle line in j->ridge.
static bool mark_thin(Job *j, uint8_t label, Error *err)
{
    Field *f = &j->field;
    size_t px = (size_t)f->width * (size_t)f->height;
    for (int y = 0; y < f->height; y++)
        for (int x = 0; x < f->width; x++)
            f->off2[(size_t)y * (size_t)f->width + (size_t)x] = j->label[in_picture(j, x, y)] == label ? FAR : 0.0f;
    if (!transform(f, j->work, err)) return false;
    for (int y = 0; y < f->height; y++)
        for (int x = 0; x < f->width; x++)
            if (is_ridge(f, x, y)) j->ridge[in_picture(j, x, y)] = 1;
    // a distance counts to a pixel's middle, the edge lies half a pixel before it
    float reach = (float)(j->radius_px + 0.5), reach2 = reach * reach;
    for (size_t i = 0; i < px; i++) f->off2[i] = f->off2[i] >= reach2 ? 0.0f : FAR;
    if (!transform(f, j->work, err)) return false;
    for (int y = 0; y < f->height; y++)
        for (int x = 0; x < f->width; x++) {
            size_t at = in_picture(j, x, y);
            if (j->label[at] == label && f->off2[(size_t)y * (size_t)f->width + (size_t)x] > reach2) j->thin[at] = label;
        }
    return true;
}

static bool is_wide_at(const Job *j, uint8_t label, int x, int y)
{
    if (x < 0 || y < 0 || x >= j->width_px || y >= j->height_px) return false;
    size_t at = (size_t)y * (size_t)j->width_px + (size_t)x;
    return j->label[at] == label && !j->thin[at];
}

// A tip hangs on a wide part; a short line that stands alone is no tip.
static bool touches_wide(const Job *j, const Runs *runs, const Part *part)
{
    for (int32_t r = part->first_run; r >= 0; r = runs->runs[r].next) {
        int y = runs_row_of(runs, r), x0 = runs->runs[r].x0, x1 = runs->runs[r].x1;
        if (is_wide_at(j, part->label, x0 - 1, y) || is_wide_at(j, part->label, x1, y)) return true;
        for (int x = x0; x < x1; x++)
            if (is_wide_at(j, part->label, x, y - 1) || is_wide_at(j, part->label, x, y + 1)) return true;
    }
    return false;
}

// Tips are taken out of j->thin; the rest is counted.
static bool drop_tips(Job *j, uint8_t label, Thickened *count, Error *err)
{
    Runs runs;
    int64_t largest = 0;
    if (!runs_make(j->thin, j->width_px, j->height_px, &j->work->scratch, j->work, &runs, err)) return false;
    for (int32_t i = 0; i < runs.part_count; i++) {
        const Part *p = &runs.parts[i];
        if (p->label != label) continue;
        bool is_tip = (double)p->area_px < TIP_SHARE * 4.0 * j->radius_px * j->radius_px && touches_wide(j, &runs, p);
        for (int32_t r = p->first_run; is_tip && r >= 0; r = runs.runs[r].next)
            memset(j->thin + (size_t)runs_row_of(&runs, r) * (size_t)j->width_px + (size_t)runs.runs[r].x0, 0,
                   (size_t)(runs.runs[r].x1 - runs.runs[r].x0));
        if (is_tip) continue;
        count->parts++;
        if (p->area_px <= largest) continue;
        largest = p->area_px;
        count->x_px = runs.runs[p->first_run].x0 + 0.5, count->y_px = runs_row_of(&runs, p->first_run) + 0.5;
    }
    return true;
}

// Paints discs round the middle line of what is thin.
static bool paint(Job *j, uint8_t label, uint8_t *held, Error *err)
{
    Field *f = &j->field;
    for (int y = 0; y < f->height; y++)
        for (int x = 0; x < f->width; x++) {
            size_t at = (size_t)y * (size_t)f->width + (size_t)x;
            size_t there = in_picture(j, x, y);
            f->off2[at] = j->ridge[there] && j->thin[there] == label ? 0.0f : FAR;
        }
    if (!transform(f, j->work, err)) return false;
    float reach2 = (float)(j->radius_px * j->radius_px);
    for (int y = 0; y < f->height; y++)
        for (int x = 0; x < f->width; x++) {
            size_t at = in_picture(j, x, y);
            int px = f->x0 + x, py = f->y0 + y;
            bool in_box = px >= j->box_px[0] && px < j->box_px[2] && py >= j->box_px[1] && py < j->box_px[3];
            if (f->off2[(size_t)y * (size_t)f->width + (size_t)x] > reach2 || !in_box || held[at]) continue;
            if (j->thin[at] && j->thin[at] != label) continue;
            if (j->label[at] != label) j->repainted[at] = 1;
            j->label[at] = label;
            held[at] = 1;
        }
    return true;
}

bool thicken(uint8_t *label, int width_px, int height_px, int colour_count, double least_px, const double box_px[4], Work *work,
             uint8_t *repainted, Thickened *counts, Error *err)
{
    size_t px = (size_t)width_px * (size_t)height_px;
    ArenaMark mark = arena_mark(&work->scratch);
    Job j = {.label = label, .width_px = width_px, .height_px = height_px, .radius_px = least_px / 2, .box_px = box_px,
             .repainted = repainted, .work = work};
    j.thin = arena_new(&work->scratch, uint8_t, px);
    uint8_t *held = arena_new(&work->scratch, uint8_t, px);
    j.ridge = arena_new(&work->scratch, uint8_t, px);
    if (!j.thin || !j.ridge || !held) return error_memory(err);
    bool good = true;
    // first what is thin of every colour, so that none takes it from another; then the paint
    for (int round = 0; round < 2 && good; round++)
        for (int i = 0; i < colour_count && good; i++) {
            ArenaMark inner = arena_mark(&work->scratch);
            uint8_t own = (uint8_t)(LABEL_FIRST + i);
            if (round == 0) counts[i] = (Thickened){0};
            if (!find_window(&j, own)) continue;
            good = make_field(&j, err);
            if (good && round == 0) good = mark_thin(&j, own, err) && drop_tips(&j, own, &counts[i], err);
            if (good && round == 1 && counts[i].parts > 0) good = paint(&j, own, held, err);
            arena_rewind(&work->scratch, inner);
        }
    arena_rewind(&work->scratch, mark);
    return good;
}

// runs.c - see runs.h.
#include "separation/runs.h"

#include <string.h>

#define ROWS_PER_LOOK 64 // rows between two looks at the wish to stop
#define RUNS_PER_LOOK (1 << 20)

static int row_end_of_run(const uint8_t *row, int x, int width_px)
{
    uint8_t label = row[x];
    uint64_t eight = label * 0x0101010101010101u;
    for (; x + 8 <= width_px; x += 8) {
        uint64_t here;
        memcpy(&here, row + x, 8);
        if (here != eight) return x + (__builtin_ctzll(here ^ eight) >> 3); // little endian: the first unlike byte
    }
    while (x < width_px && row[x] == label) x++;
    return x;
}

static bool count_runs(const uint8_t *label, int width_px, int height_px, int32_t *row_start, Work *work, Error *err)
{
    int64_t count = 0;
    for (int y = 0; y < height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        const uint8_t *row = label + (size_t)y * (size_t)width_px;
        row_start[y] = (int32_t)count;
        for (int x = 0; x < width_px; x = row_end_of_run(row, x, width_px)) count++;
        if (count >= INT32_MAX)
            return error_set(err, ERROR_INPUT,
                             "the picture changes colour too often to be cut from paper; use a smaller one");
    }
    row_start[height_px] = (int32_t)count;
    return true;
}

static int32_t root_of(int32_t *parent, int32_t i)
{
    while (parent[i] != i) {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    return i;
}

// The smaller index becomes the root, so that a root is always the first run of its region.
static void unite(int32_t *parent, int32_t a, int32_t b)
{
    a = root_of(parent, a);
    b = root_of(parent, b);
    if (a < b)
        parent[b] = a;
    else
        parent[a] = b;
}

static void unite_rows(const Runs *r, const uint8_t *label, int y, int32_t *parent)
{
    size_t above = (size_t)(y - 1) * (size_t)r->width_px, here = above + (size_t)r->width_px;
    int32_t i = r->row_start[y - 1], j = r->row_start[y];
    while (i < r->row_start[y] && j < r->row_start[y + 1]) {
        const Run *a = &r->runs[i], *b = &r->runs[j];
        if (a->x0 < b->x1 && b->x0 < a->x1 && label[above + (size_t)a->x0] == label[here + (size_t)b->x0])
            unite(parent, i, j);
        if (a->x1 <= b->x1)
            i++;
        else
            j++;
    }
}

static bool find_runs(const uint8_t *label, Runs *r, int32_t *parent, Work *work, Error *err)
{
    int32_t count = 0;
    for (int y = 0; y < r->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        const uint8_t *row = label + (size_t)y * (size_t)r->width_px;
        for (int x = 0; x < r->width_px;) {
            int x1 = row_end_of_run(row, x, r->width_px);
            r->runs[count] = (Run){.x0 = x, .x1 = x1, .next = -1};
            parent[count] = count;
            count++;
            x = x1;
        }
        if (y > 0) unite_rows(r, label, y, parent);
    }
    return true;
}

static void add_run_to_part(Runs *r, int32_t run, int y)
{
    Run *add = &r->runs[run];
    Part *part = &r->parts[add->part];
    part->area_px += add->x1 - add->x0;
    if (add->x0 < part->x0) part->x0 = add->x0;
    if (add->x1 > part->x1) part->x1 = add->x1;
    part->y1 = y + 1;
    if (part->last_run >= 0) r->runs[part->last_run].next = run;
    part->last_run = run;
}

static bool make_parts(const uint8_t *label, Runs *r, int32_t *parent, Arena *arena, Work *work, Error *err)
{
    r->part_count = 0;
    for (int32_t i = 0; i < r->run_count; i++) {
        if (i % RUNS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        r->part_count += parent[i] == i;
    }
    r->parts = arena_new(arena, Part, r->part_count);
    if (!r->parts) return error_memory(err);
    int32_t made = 0;
    for (int y = 0; y < r->height_px; y++) {
        const uint8_t *row = label + (size_t)y * (size_t)r->width_px;
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        for (int32_t i = r->row_start[y]; i < r->row_start[y + 1]; i++) {
            Run *run = &r->runs[i];
            int32_t root = root_of(parent, i);
            if (root == i) {
                run->part = made;
                r->parts[made] = (Part){.x0 = run->x0,
                                        .y0 = y,
                                        .x1 = run->x1,
                                        .y1 = y + 1,
                                        .first_run = i,
                                        .last_run = -1,
                                        .parent = made,
                                        .label = row[run->x0]};
                made++;
            } else {
                run->part = r->runs[root].part; // the root comes first
            }
            add_run_to_part(r, i, y);
        }
    }
    return true;
}

bool runs_make(const uint8_t *label, int width_px, int height_px, Arena *arena, Work *work, Runs *out, Error *err)
{
    *out = (Runs){0};
    Runs r = {.width_px = width_px, .height_px = height_px};
    r.row_start = arena_new(arena, int32_t, height_px + 1);
    if (!r.row_start) return error_memory(err);
    if (!count_runs(label, width_px, height_px, r.row_start, work, err)) return false;
    r.run_count = r.row_start[height_px];
    r.runs = arena_new(arena, Run, r.run_count);
    int32_t *parent = arena_new(arena, int32_t, r.run_count);
    if (!r.runs || !parent) return error_memory(err);
    if (!find_runs(label, &r, parent, work, err) || !make_parts(label, &r, parent, arena, work, err)) return false;
    *out = r;
    return true;
}

int32_t runs_root(Runs *runs, int32_t part)
{
    Part *parts = runs->parts;
    while (parts[part].parent != part) {
        parts[part].parent = parts[parts[part].parent].parent;
        part = parts[part].parent;
    }
    return part;
}

void runs_join(Runs *runs, int32_t from, int32_t to)
{
    Part *a = &runs->parts[to], *b = &runs->parts[from];
    if (from == to) return;
    runs->runs[a->last_run].next = b->first_run;
    a->last_run = b->last_run;
    a->area_px += b->area_px;
    if (b->x0 < a->x0) a->x0 = b->x0;
    if (b->y0 < a->y0) a->y0 = b->y0;
    if (b->x1 > a->x1) a->x1 = b->x1;
    if (b->y1 > a->y1) a->y1 = b->y1;
    a->flags |= b->flags;
    b->parent = to;
}

int32_t runs_row_of(const Runs *runs, int32_t run)
{
    int32_t low = 0, high = runs->height_px;
    while (high - low > 1) {
        int32_t middle = low + (high - low) / 2;
        if (runs->row_start[middle] <= run)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static int32_t overlap(const Run *a, const Run *b)
{
    int32_t lo = a->x0 > b->x0 ? a->x0 : b->x0, hi = a->x1 < b->x1 ? a->x1 : b->x1;
    return hi - lo;
}

// First run of row y that ends beyond x.
static int32_t first_beyond(const Runs *runs, int32_t y, int32_t x)
{
    int32_t low = runs->row_start[y], high = runs->row_start[y + 1];
    while (low < high) {
        int32_t middle = low + (high - low) / 2;
        if (runs->runs[middle].x1 > x)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

int32_t runs_part_at(Runs *runs, int32_t x, int32_t y)
{
    return runs_root(runs, runs->runs[first_beyond(runs, y, x)].part);
}

static void walk_row_beside(Runs *runs, const Run *run, int32_t y, int32_t part, RunsMeet meet, void *taker)
{
    if (y < 0 || y >= runs->height_px) {
        meet(taker, -1, run->x1 - run->x0);
        return;
    }
    for (int32_t j = first_beyond(runs, y, run->x0); j < runs->row_start[y + 1] && runs->runs[j].x0 < run->x1; j++) {
        int32_t neighbour = runs_root(runs, runs->runs[j].part);
        if (neighbour != part) meet(taker, neighbour, overlap(run, &runs->runs[j]));
    }
}

static void walk_end_of_run(Runs *runs, int32_t beside, bool is_frame, int32_t part, RunsMeet meet, void *taker)
{
    int32_t neighbour = is_frame ? -1 : runs_root(runs, runs->runs[beside].part);
    if (neighbour != part) meet(taker, neighbour, 1);
}

void runs_walk_border(Runs *runs, int32_t part, RunsMeet meet, void *taker)
{
    for (int32_t i = runs->parts[part].first_run; i >= 0; i = runs->runs[i].next) {
        const Run *run = &runs->runs[i];
        int32_t y = runs_row_of(runs, i);
        walk_row_beside(runs, run, y - 1, part, meet, taker);
        walk_end_of_run(runs, i - 1, run->x0 == 0, part, meet, taker);
        walk_end_of_run(runs, i + 1, run->x1 == runs->width_px, part, meet, taker);
        walk_row_beside(runs, run, y + 1, part, meet, taker);
    }
}

static uint8_t label_of(Runs *runs, int32_t run)
{
    return runs->parts[runs_root(runs, runs->runs[run].part)].label;
}

static int64_t walk_between_rows(Runs *runs, int32_t y, LabelsMeet meet, void *taker)
{
    int64_t cracks = 0;
    int32_t i = runs->row_start[y], j = runs->row_start[y + 1];
    while (i < runs->row_start[y + 1] && j < runs->row_start[y + 2]) {
        int32_t shared = overlap(&runs->runs[i], &runs->runs[j]);
        uint8_t a = label_of(runs, i), b = label_of(runs, j);
        if (shared > 0 && a != b) meet(taker, a, b, shared), cracks += shared;
        if (runs->runs[i].x1 <= runs->runs[j].x1)
            i++;
        else
            j++;
    }
    return cracks;
}

static void walk_frame_row(Runs *runs, int32_t y, uint8_t frame_label, LabelsMeet meet, void *taker)
{
    for (int32_t i = runs->row_start[y]; i < runs->row_start[y + 1]; i++)
        if (label_of(runs, i) != frame_label)
            meet(taker, label_of(runs, i), frame_label, runs->runs[i].x1 - runs->runs[i].x0);
}

bool runs_walk_cracks(Runs *runs, uint8_t frame_label, LabelsMeet meet, void *taker, Work *work, int64_t *out_cracks,
                      Error *err)
{
    int64_t cracks = 0;
    *out_cracks = 0;
    for (int32_t y = 0; y < runs->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        int32_t first = runs->row_start[y], last = runs->row_start[y + 1] - 1;
        if (label_of(runs, first) != frame_label) meet(taker, label_of(runs, first), frame_label, 1);
        if (label_of(runs, last) != frame_label) meet(taker, label_of(runs, last), frame_label, 1);
        for (int32_t i = first; i < last; i++) {
            uint8_t a = label_of(runs, i), b = label_of(runs, i + 1);
            if (a != b) meet(taker, a, b, 1), cracks++;
        }
        if (y + 1 < runs->height_px) cracks += walk_between_rows(runs, y, meet, taker);
    }
    walk_frame_row(runs, 0, frame_label, meet, taker);
    walk_frame_row(runs, runs->height_px - 1, frame_label, meet, taker);
    *out_cracks = cracks;
    return true;
}

bool runs_write_labels(Runs *runs, const uint8_t new_label[256], uint8_t *label, Work *work, Error *err)
{
    for (int32_t y = 0; y < runs->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        uint8_t *row = label + (size_t)y * (size_t)runs->width_px;
        for (int32_t i = runs->row_start[y]; i < runs->row_start[y + 1]; i++) {
            const Run *run = &runs->runs[i];
            memset(row + run->x0, new_label[label_of(runs, i)], (size_t)(run->x1 - run->x0));
        }
    }
    return true;
}

bool runs_carry_flags(Runs *from, Runs *to, Work *work, Error *err)
{
    for (int32_t y = 0; y < from->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        int32_t i = from->row_start[y], j = to->row_start[y];
        while (i < from->row_start[y + 1] && j < to->row_start[y + 1]) {
            const Part *old = &from->parts[runs_root(from, from->runs[i].part)];
            Part *new = &to->parts[runs_root(to, to->runs[j].part)];
            if (old->label == new->label && overlap(&from->runs[i], &to->runs[j]) > 0) new->flags |= old->flags;
            if (from->runs[i].x1 <= to->runs[j].x1)
                i++;
            else
                j++;
        }
    }
    return true;
}

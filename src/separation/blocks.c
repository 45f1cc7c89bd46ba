// blocks.c - see blocks.h.
#include "separation/blocks.h"

#include "separation/guess.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define EIGHTHS 8
#define MIDDLE_GREY 128
#define CLEAR_UNITS (2 * BLOCKS_DEPTH_UNITS) // pixels nearer to an edge may be blends
#define MOST_MULTIPLE 1040    // of what is left of 128 codes at the finest step, and a little
#define LEAST_PLAIN 2         // blocks that agree
#define PLAIN_SHARE 0.35      // of the plain blocks of a colour, which may be two twins
#define INSIDE_UNITS (5 * BLOCKS_DEPTH_UNITS)
#define NEAR_LUMA_CODES 12.0  // inside, a farther pixel belongs to a twin (nearer than dE00 3)
#define NEAR_CHROMA_CODES 20.0
#define MOST_TERMS 4          // colours in a block that are worth an equation
#define CLEAR_CODES 24.0      // of lightness between two colours that tells their shares
#define EDGE_SIDES 1.25       // how long an edge through a block is
#define LABEL_OFF_PX 0.6      // of each pixel of it, where shares are counted by labels, which edge pixels have whole
#define LABEL_COMMON_PX 0.1   // the same way in all blocks of a colour: labels of thin parts are too wide or too narrow
#define LABEL_SHARE_FAR 0.04  // farther from them, lightness speaks of something that has no label
#define PIXEL_LUMA_VARIANCE 4.0 // of what pixels show, where no plain block is
#define PIXEL_CHROMA_VARIANCE 36.0
#define FAR_ERRORS 3.5        // times its error: an equation that something without a label spoils
#define ALIKE_STEPS 3.0       // between values nearer than this, means are rounded alike more or less
#define ROUNDS 3
#define LEAST_VARIANCE 0.01
#define TRIED_CODES 4         // about what least squares say
#define TELLING_SHARE 0.25    // of a block; a smaller part moves its mean too little
#define LEAST_TELLING 3       // blocks
#define ROOM_VARIANCE 0.02    // of a mean beside its rounding: pixels were rounded before
#define MOST_COST 16.0        // of a block: then it tells of something else
#define COST_SLACK 4.0        // whole numbers that cost more than the cheapest are out

typedef struct Equation {
    int count;
    uint8_t index[MOST_TERMS];
    double share[MOST_TERMS], mean[3];
    double share_error, common_error; // of the shares: its own, and the one that all equations of a colour have
    bool is_out;
} Equation;

typedef struct Teller {
    const BlockView *view;
    Work *work;
    BlockTold *told;
    int32_t (*plain)[3][2 * MOST_MULTIPLE + 1]; // blocks by their multiple
    Equation *equations;
    size_t count, capacity;
    int equations_of[SEPARATION_MAX_COLOURS];
    double (*matrix)[SEPARATION_MAX_COLOURS], (*inverse)[SEPARATION_MAX_COLOURS];
} Teller;

bool blocks_can_tell(const Picture *picture)
{
    const BlockMeans *m = picture->means;
    if (!picture_has_means(picture) || m[1].width_px != m[2].width_px || m[1].height_px != m[2].height_px) return false;
    if (m[1].width_px % m[0].width_px || m[1].height_px % m[0].height_px) return false;
    return m[0].step > 1 || m[1].step > 1 || m[2].step > 1;
}

static double mean_at(const BlockMeans *m, int x, int y)
{
    return (double)m->multiples[(size_t)y * (size_t)m->across + (size_t)x] * m->step / EIGHTHS;
}

// ---- plain blocks ----

static void note_plain(Teller *t, int index, int axis, int multiple)
{
    if (multiple >= -MOST_MULTIPLE && multiple <= MOST_MULTIPLE) t->plain[index][axis][multiple + MOST_MULTIPLE]++;
}

// Halves are rounded either way, by encoder.
static void allow_whole_numbers(const BlockMeans *m, int multiple, int *least, int *most)
{
    double middle = (double)multiple * m->step / EIGHTHS, half = 0.5 * m->step / EIGHTHS;
    *least = (int)ceil(middle - half), *most = (int)floor(middle + half);
    if (*least > *most) *least = *most = (int)floor(middle + 0.5); // the step is finer than a code
}

static void judge_plain(Teller *t, int index)
{
    for (int c = 0; c < 3; c++) {
        const int32_t *blocks = t->plain[index][c];
        int64_t all = 0;
        int at = 0;
        for (int k = 0; k <= 2 * MOST_MULTIPLE; k++) {
            all += blocks[k];
            if (blocks[k] > blocks[at]) at = k;
        }
        BlockTold *told = &t->told[index];
        told->is_plain[c] = blocks[at] >= LEAST_PLAIN && blocks[at] >= PLAIN_SHARE * (double)all;
        if (told->is_plain[c]) allow_whole_numbers(&t->view->picture->means[c], at - MOST_MULTIPLE, &told->least[c], &told->most[c]);
    }
}

// ---- one pass over all blocks ----

typedef struct Count { int px, px_of[SEPARATION_MAX_COLOURS], clear_px; int last; } Count;

static bool is_of_twin(const BlockView *v, int index, size_t at)
{
    if (v->depth[at] < INSIDE_UNITS) return false;
    double off[3], ycc[3];
    for (size_t c = 0; c < 3; c++) off[c] = v->picture->rgba[at * 4 + c] - v->start[index][c];
    guess_ycc(off, ycc);
    return fabs(ycc[0]) > NEAR_LUMA_CODES || fabs(ycc[1]) > NEAR_CHROMA_CODES || fabs(ycc[2]) > NEAR_CHROMA_CODES;
}

// False where transparent, or where a colour lies that shares another one's label.
static bool count_labels(const BlockView *v, int x0, int y0, int width, int height, Count *n)
{
    n->px += width * height;
    for (int y = y0; y < y0 + height; y++)
        for (int x = x0; x < x0 + width; x++) {
            size_t at = (size_t)y * (size_t)v->picture->width_px + (size_t)x;
            int index = (int)v->label[at] - LABEL_FIRST;
            if (index < 0 || is_of_twin(v, index, at)) return false;
            n->px_of[index]++, n->clear_px += v->depth[at] >= CLEAR_UNITS, n->last = index;
        }
    return true;
}

static bool is_plain(const Count *n)
{
    return n->px_of[n->last] == n->px && n->clear_px == n->px;
}

static bool add_equation(Teller *t, const Count *n, const double mean[3], Error *err)
{
    double edge_px = EDGE_SIDES * sqrt(n->px);
    Equation e = {.share_error = LABEL_OFF_PX * sqrt(edge_px) / n->px, .common_error = LABEL_COMMON_PX * edge_px / n->px};
    for (int i = 0; i < t->view->count; i++) {
        if (!n->px_of[i]) continue;
        if (e.count == MOST_TERMS) return true;
        e.index[e.count] = (uint8_t)i, e.share[e.count++] = (double)n->px_of[i] / n->px;
    }
    if (e.count < 2) return true;
    memcpy(e.mean, mean, sizeof e.mean);
    Equation *grown = arena_grow(&t->work->scratch, t->equations, t->count, &t->capacity, sizeof *grown);
    if (!grown) return error_memory(err);
    t->equations = grown;
    grown[t->count++] = e;
    return true;
}

// A block of colour differences and those of lightness that it spans.
static bool read_block(Teller *t, int bx, int by, Error *err)
{
    const BlockMeans *m = t->view->picture->means;
    int across = m[1].width_px / m[0].width_px, down = m[1].height_px / m[0].height_px;
    double mean[3] = {0.0, mean_at(&m[1], bx, by), mean_at(&m[2], bx, by)};
    Count whole = {0};
    for (int k = 0; k < across * down; k++) {
        Count part = {0};
        int lx = bx * across + k % across, ly = by * down + k / across;
        if (!count_labels(t->view, lx * m[0].width_px, ly * m[0].height_px, m[0].width_px, m[0].height_px, &part)) return true;
        if (is_plain(&part)) note_plain(t, part.last, 0, m[0].multiples[(size_t)ly * (size_t)m[0].across + (size_t)lx]);
        mean[0] += mean_at(&m[0], lx, ly) / (across * down);
        for (int i = 0; i < t->view->count; i++) whole.px_of[i] += part.px_of[i];
        whole.px += part.px, whole.clear_px += part.clear_px, whole.last = part.last;
    }
    if (!is_plain(&whole)) return add_equation(t, &whole, mean, err);
    for (int c = 1; c < 3; c++) note_plain(t, whole.last, c, m[c].multiples[(size_t)by * (size_t)m[c].across + (size_t)bx]);
    return true;
}

static bool read_blocks(Teller *t, Error *err)
{
    const Picture *p = t->view->picture;
    for (int by = 0; (by + 1) * p->means[1].height_px <= p->height_px; by++) {
        if (!work_goes_on(t->work, err)) return false;
        for (int bx = 0; (bx + 1) * p->means[1].width_px <= p->width_px; bx++)
            if (!read_block(t, bx, by, err)) return false;
    }
    return true;
}

static int by_all_values(const void *a, const void *b)
{
    const Equation *p = a, *q = b;
    if (p->count != q->count) return p->count - q->count;
    for (int k = 0; k < p->count; k++) {
        if (p->index[k] != q->index[k]) return p->index[k] - q->index[k];
        if (p->share[k] != q->share[k]) return p->share[k] < q->share[k] ? -1 : 1;
    }
    for (int c = 0; c < 3; c++)
        if (p->mean[c] != q->mean[c]) return p->mean[c] < q->mean[c] ? -1 : 1;
    return 0;
}

// A straight edge along the blocks repeats one block, and its rounding: it is one witness, however long it is.
static void drop_repeated(Teller *t)
{
    size_t kept = 0;
    if (t->count == 0) return;
    qsort(t->equations, t->count, sizeof *t->equations, by_all_values);
    for (size_t q = 1; q < t->count; q++)
        if (by_all_values(&t->equations[kept], &t->equations[q]) != 0) t->equations[++kept] = t->equations[q];
    t->count = kept + 1;
}

// ---- least squares ----

// What is known without equations: the middle of what plain blocks allow, else what pixels show.
static void start_from(Teller *t, int index, int c)
{
    BlockTold *told = &t->told[index];
    double pixels[3], wide = told->most[c] - told->least[c] + 1.0;
    guess_ycc(t->view->start[index], pixels);
    pixels[0] -= MIDDLE_GREY;
    told->value[c] = told->is_plain[c] ? (told->least[c] + told->most[c]) / 2.0 : pixels[c];
    told->variance[c] = !told->is_plain[c] ? (c ? PIXEL_CHROMA_VARIANCE : PIXEL_LUMA_VARIANCE) : told->least[c] == told->most[c] ? LEAST_VARIANCE : wide * wide / 12.0;
}

static double rounding_variance(const Teller *t, int c)
{
    const BlockMeans *m = &t->view->picture->means[c], *whole = &t->view->picture->means[1];
    double step = (double)m->step / EIGHTHS;
    return step * step / 12.0 * (m->width_px * m->height_px) / (whole->width_px * whole->height_px);
}

static double range_of(const Teller *t, const Equation *e, int c)
{
    double least = INFINITY, most = -INFINITY;
    for (int k = 0; k < e->count; k++) {
        least = fmin(least, t->told[e->index[k]].value[c]);
        most = fmax(most, t->told[e->index[k]].value[c]);
    }
    return most - least;
}

static double variance_of(const Teller *t, const Equation *e, int c)
{
    double off = range_of(t, e, c) * hypot(e->share_error, e->common_error);
    return rounding_variance(t, c) + off * off;
}

// Of the error that all equations of a colour have in common. Between two values of one step all means are rounded
// alike, and of a few steps many.
static double common_variance(const Teller *t, const Equation *e, int c)
{
    double range = range_of(t, e, c), off = range * e->common_error, step = (double)t->view->picture->means[c].step / EIGHTHS;
    return off * off + fmax(1.0 - range / (ALIKE_STEPS * step), 0.0) * rounding_variance(t, c);
}

// What n equations have in common counts n times in each, so that they never outdo it together.
static double weight_of(const Teller *t, const Equation *e, int c)
{
    int n = t->equations_of[e->index[0]];
    for (int k = 1; k < e->count; k++)
        if (t->equations_of[e->index[k]] < n) n = t->equations_of[e->index[k]];
    return 1.0 / (variance_of(t, e, c) + (n - 1) * common_variance(t, e, c));
}

// What the equation has left for its colours to move by.
static double rest_of(const Teller *t, const Equation *e, int c)
{
    double rest = e->mean[c];
    for (int k = 0; k < e->count; k++) rest -= e->share[k] * t->told[e->index[k]].value[c];
    return rest;
}

// Gauss and Jordan; the matrix is symmetric and its diagonal dominates through what is known without equations.
static void invert(Teller *t)
{
    int n = t->view->count;
    for (int i = 0; i < n; i++)
        for (int k = 0; k < n; k++) t->inverse[i][k] = i == k;
    for (int i = 0; i < n; i++) {
        double pivot = t->matrix[i][i];
        for (int k = 0; k < n; k++) t->matrix[i][k] /= pivot, t->inverse[i][k] /= pivot;
        for (int j = 0; j < n; j++) {
            double by = t->matrix[j][i];
            if (j == i || by == 0.0) continue;
            for (int k = 0; k < n; k++) t->matrix[j][k] -= by * t->matrix[i][k], t->inverse[j][k] -= by * t->inverse[i][k];
        }
    }
}

static void solve_round(Teller *t, int c, const double known[], const double known_variance[])
{
    int n = t->view->count;
    double right[SEPARATION_MAX_COLOURS];
    for (int i = 0; i < n; i++) {
        memset(t->matrix[i], 0, sizeof t->matrix[i]);
        t->matrix[i][i] = 1.0 / known_variance[i];
        right[i] = (known[i] - t->told[i].value[c]) / known_variance[i];
    }
    for (size_t q = 0; q < t->count; q++) {
        const Equation *e = &t->equations[q];
        if (e->is_out) continue;
        double weight = weight_of(t, e, c), rest = rest_of(t, e, c);
        for (int k = 0; k < e->count; k++) {
            right[e->index[k]] += weight * e->share[k] * rest;
            for (int l = 0; l < e->count; l++) t->matrix[e->index[k]][e->index[l]] += weight * e->share[k] * e->share[l];
        }
    }
    invert(t);
    for (int i = 0; i < n; i++) {
        BlockTold *told = &t->told[i];
        for (int k = 0; k < n; k++) told->value[c] += t->inverse[i][k] * right[k];
        told->variance[c] = fmax(t->inverse[i][i], LEAST_VARIANCE);
        if (told->is_plain[c]) told->value[c] = fmin(fmax(told->value[c], told->least[c]), told->most[c]);
    }
}

static bool solve(Teller *t, int c, Error *err)
{
    double known[SEPARATION_MAX_COLOURS], variance[SEPARATION_MAX_COLOURS];
    for (int i = 0; i < t->view->count; i++) {
        start_from(t, i, c);
        known[i] = t->told[i].value[c], variance[i] = t->told[i].variance[c];
    }
    for (int round = 0; round < ROUNDS; round++) {
        if (!work_goes_on(t->work, err)) return false;
        memset(t->equations_of, 0, sizeof t->equations_of);
        for (size_t q = 0; q < t->count; q++) {
            Equation *e = &t->equations[q];
            double rest = rest_of(t, e, c);
            e->is_out = round > 0 && rest * rest > FAR_ERRORS * FAR_ERRORS * variance_of(t, e, c);
            for (int k = 0; k < e->count && !e->is_out; k++) t->equations_of[e->index[k]]++;
        }
        solve_round(t, c, known, variance);
    }
    return true;
}

// Of two colours that differ in lightness, its mean tells the shares better than labels do. False where the two say different things.
static bool take_shares_from_lightness(const Teller *t, Equation *e)
{
    const BlockTold *a = &t->told[e->index[0]], *b = &t->told[e->index[1]];
    double contrast = a->value[0] - b->value[0];
    if (e->count != 2 || fabs(contrast) < CLEAR_CODES) return true;
    double share = (e->mean[0] - b->value[0]) / contrast;
    if (fabs(share - e->share[0]) > LABEL_SHARE_FAR) return false;
    e->share[0] = share, e->share[1] = 1.0 - share;
    e->share_error = sqrt(rounding_variance(t, 0)) / fabs(contrast);
    e->common_error = sqrt(share * share * a->variance[0] + e->share[1] * e->share[1] * b->variance[0]) / fabs(contrast);
    return true;
}

static void refine_shares(Teller *t)
{
    size_t kept = 0;
    for (size_t q = 0; q < t->count; q++)
        if (take_shares_from_lightness(t, &t->equations[q])) t->equations[kept++] = t->equations[q];
    t->count = kept;
}

// ---- whole numbers ----

// How far a mean lies beyond what would have been rounded to it, in errors, squared.
static double cost_of(const Teller *t, const Equation *e, int index, int c, int value)
{
    double mean = 0.0, variance = ROOM_VARIANCE, half = 0.5 * t->view->picture->means[c].step / EIGHTHS, range = 0.0;
    for (int k = 0; k < e->count; k++) {
        const BlockTold *told = &t->told[e->index[k]];
        double v = e->index[k] == index ? value : told->value[c];
        mean += e->share[k] * v;
        range = fmax(range, fabs(v - value));
        if (e->index[k] != index) variance += e->share[k] * e->share[k] * told->variance[c];
    }
    double beyond = fabs(e->mean[c] - mean) - half, off = range * hypot(e->share_error, e->common_error);
    variance += off * off;
    return beyond > 0.0 ? fmin(beyond * beyond / variance, MOST_COST) : 0.0;
}

static double share_in(const Equation *e, int index)
{
    for (int k = 0; k < e->count; k++)
        if (e->index[k] == index) return e->share[k];
    return 0.0;
}

// Least squares take roundings for chance. Where all of a colour's blocks are rounded one way, as beside another grey, the whole
// numbers that explain every one of them say more.
static void bound(Teller *t, int index, int c)
{
    BlockTold *told = &t->told[index];
    double cost[2 * TRIED_CODES + 1] = {0.0}, least = INFINITY;
    int middle = (int)floor(told->value[c] + 0.5), blocks = 0;
    if (told->is_plain[c]) return;
    for (size_t q = 0; q < t->count; q++) {
        const Equation *e = &t->equations[q];
        if (e->is_out || share_in(e, index) < TELLING_SHARE) continue;
        blocks++;
        for (int k = 0; k <= 2 * TRIED_CODES; k++) cost[k] += cost_of(t, e, index, c, middle - TRIED_CODES + k);
    }
    if (blocks < LEAST_TELLING) return;
    for (int k = 0; k <= 2 * TRIED_CODES; k++) least = fmin(least, cost[k]);
    int first = -1, last = -1;
    for (int k = 0; k <= 2 * TRIED_CODES; k++) {
        if (cost[k] > least + COST_SLACK) continue;
        if (first < 0) first = k;
        last = k;
    }
    told->is_bounded[c] = true;
    told->least[c] = middle - TRIED_CODES + first, told->most[c] = middle - TRIED_CODES + last;
    told->value[c] = fmin(fmax(told->value[c], told->least[c]), told->most[c]);
}

static bool tell(Teller *t, Error *err)
{
    if (!read_blocks(t, err)) return false;
    for (int i = 0; i < t->view->count; i++) judge_plain(t, i);
    drop_repeated(t);
    if (!solve(t, 0, err)) return false;
    refine_shares(t);
    if (!solve(t, 1, err) || !solve(t, 2, err)) return false;
    for (int i = 0; i < t->view->count; i++) {
        if (!work_goes_on(t->work, err)) return false;
        for (int c = 1; c < 3; c++) bound(t, i, c);
    }
    return true;
}

bool blocks_tell(const BlockView *view, Work *work, BlockTold told[SEPARATION_MAX_COLOURS], Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Teller t = {.view = view, .work = work, .told = told};
    t.plain = arena_take(&work->scratch, (size_t)view->count, sizeof *t.plain);
    t.matrix = arena_take(&work->scratch, SEPARATION_MAX_COLOURS, sizeof *t.matrix);
    t.inverse = arena_take(&work->scratch, SEPARATION_MAX_COLOURS, sizeof *t.inverse);
    bool good = (t.plain && t.matrix && t.inverse) || error_memory(err);
    good = good && tell(&t, err);
    arena_rewind(&work->scratch, mark);
    return good;
}

// tint.c - see tint.h.
#include "separation/tint.h"

#include "separation/blocks.h"
#include "separation/guess.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MIDDLE_GREY 128.0
#define EIGHTHS 8.0
#define MOST_CELL_PX 16
#define COLOUR_VARIANCE 0.1   // of a palette's colour, about what plain blocks are off
#define EDGE_OFF_PX 0.4       // of each pixel along an edge, where labels have it in whole ones
#define EDGE_COMMON_PX 0.05   // the same way all along it
#define FREE_EDGE_PX 1.5      // the edge beside a strip: labels have it where lightness is half-way
#define OFF_STEPS 0.5         // of a plain cell from its label's colour
#define OFF_CODES 2.0
#define LEAST_GAIN 1e-6

bool tint_can_tell(const Picture *picture)
{
    return picture->width_px >= MOST_CELL_PX && picture->height_px >= MOST_CELL_PX && blocks_can_tell(picture) &&
           picture->means[1].width_px <= MOST_CELL_PX && picture->means[1].height_px <= MOST_CELL_PX;
}

void tint_cells(const Picture *picture, const Palette *palette, const uint8_t *label, TintCells *out)
{
    const BlockMeans *luma = &picture->means[0], *chroma = &picture->means[1];
    *out = (TintCells){.picture = picture, .label = label, .width_px = chroma->width_px, .height_px = chroma->height_px};
    out->across = picture->width_px / out->width_px, out->down = picture->height_px / out->height_px;
    double lumas = (double)(chroma->width_px / luma->width_px) * (chroma->height_px / luma->height_px);
    for (int c = 0; c < 3; c++) {
        double step = picture->means[c].step / EIGHTHS;
        out->noise2[c] = step * step / (c == 0 ? 12.0 * lumas : 12.0) + COLOUR_VARIANCE;
    }
    for (int i = 0; i < palette->count; i++) {
        Srgb8 colour = palette->colours[i].colour;
        const double rgb[3] = {colour.r, colour.g, colour.b};
        guess_ycc(rgb, out->colour[LABEL_FIRST + i]);
    }
}

static double block_mean(const BlockMeans *m, int x, int y)
{
    return m->multiples[(size_t)y * (size_t)m->across + (size_t)x] * m->step / EIGHTHS;
}

static void cell_mean(const TintCells *t, int x0, int y0, double mean[3])
{
    const BlockMeans *luma = &t->picture->means[0];
    double sum = 0.0;
    int count = 0;
    for (int y = y0; y < y0 + t->height_px; y += luma->height_px)
        for (int x = x0; x < x0 + t->width_px; x += luma->width_px) sum += block_mean(luma, x / luma->width_px, y / luma->height_px), count++;
    mean[0] = sum / count + MIDDLE_GREY;
    for (int c = 1; c < 3; c++) mean[c] = block_mean(&t->picture->means[c], x0 / t->width_px, y0 / t->height_px);
}

static int larger(int a, int b)
{
    return a > b ? a : b;
}

bool tint_is_thin(const TintCells *t, int x, int y, Trio trio)
{
    int to_a = TINT_THIN_PX + 1, to_b = TINT_THIN_PX + 1, width = t->picture->width_px, height = t->picture->height_px;
    for (int j = y - TINT_THIN_PX; j <= y + TINT_THIN_PX; j++)
        for (int i = x - TINT_THIN_PX; i <= x + TINT_THIN_PX; i++) {
            if (i < 0 || j < 0 || i >= width || j >= height) continue;
            uint8_t label = t->label[(size_t)j * (size_t)width + (size_t)i];
            int apart = larger(abs(i - x), abs(j - y));
            if (label == trio.a && apart < to_a) to_a = apart;
            if (label == trio.b && apart < to_b) to_b = apart;
        }
    return to_a + to_b <= TINT_THIN_PX;
}

// ---- what labels say of a cell ----

static uint8_t label_for(const TintCells *t, int x, int y, Trio trio)
{
    uint8_t label = t->label[(size_t)y * (size_t)t->picture->width_px + (size_t)x];
    return label == trio.s && tint_is_thin(t, x, y, trio) ? trio.b : label;
}

static void note_edge(TintContent *n, uint8_t a, uint8_t b)
{
    if (a == b) return;
    uint8_t low = a < b ? a : b, high = a < b ? b : a;
    for (int i = 0; i < n->edge_count; i++)
        if (n->edges[i].a == low && n->edges[i].b == high) {
            n->edges[i].cracks++;
            return;
        }
    if (n->edge_count == TINT_MOST_EDGES) n->is_unclear = true;
    else n->edges[n->edge_count++] = (TintEdge){low, high, 1};
}

// Cracks are counted with those of the cell's right and lower border.
static void read_cell(const TintCells *t, int x0, int y0, Trio trio, TintContent *n)
{
    uint8_t above[MOST_CELL_PX + 1], row[MOST_CELL_PX + 1];
    memset(n, 0, sizeof *n);
    for (int y = 0; y <= t->height_px; y++) {
        if (y0 + y == t->picture->height_px) break;
        for (int x = 0; x <= t->width_px; x++) {
            bool is_beyond = x0 + x == t->picture->width_px;
            row[x] = is_beyond ? row[x - 1] : label_for(t, x0 + x, y0 + y, trio);
            n->is_unclear |= row[x] < LABEL_FIRST;
            if (x < t->width_px && y < t->height_px) n->px_of[row[x]]++, n->px++;
            if (x > 0 && y < t->height_px) note_edge(n, row[x - 1], row[x]);
            if (y > 0 && x < t->width_px) note_edge(n, above[x], row[x]);
        }
        memcpy(above, row, sizeof above);
    }
}

// ---- least squares in three channels ----

static void add_direction(double m[3][3], const double *from, const double *to, double variance)
{
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) m[i][k] += variance * (to[i] - from[i]) * (to[k] - from[k]);
}

static bool invert(const double m[3][3], double out[3][3])
{
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) {
            int i1 = (i + 1) % 3, i2 = (i + 2) % 3, k1 = (k + 1) % 3, k2 = (k + 2) % 3;
            out[k][i] = m[i1][k1] * m[i2][k2] - m[i1][k2] * m[i2][k1];
        }
    double determinant = m[0][0] * out[0][0] + m[0][1] * out[1][0] + m[0][2] * out[2][0];
    if (!(determinant > 0.0)) return false;
    for (int i = 0; i < 9; i++) out[i / 3][i % 3] /= determinant;
    return true;
}

static double form(const double m[3][3], const double *a, const double *b)
{
    double sum = 0.0;
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) sum += m[i][k] * a[i] * b[k];
    return sum;
}

static void rest_of_mean(const TintCells *t, const TintContent *n, int x0, int y0, double rest[3])
{
    cell_mean(t, x0, y0, rest);
    for (int l = LABEL_FIRST; l < 256; l++)
        for (int c = 0; c < 3 && n->px_of[l] > 0; c++) rest[c] -= t->colour[l][c] * n->px_of[l] / n->px;
}

static void covariance(const TintCells *t, const TintContent *n, Trio trio, double m[3][3])
{
    memset(m, 0, 9 * sizeof m[0][0]);
    for (int c = 0; c < 3; c++) m[c][c] = t->noise2[c];
    for (int i = 0; i < n->edge_count; i++) {
        const TintEdge *e = &n->edges[i];
        bool is_free = (e->a == trio.a && e->b == trio.b) || (e->a == trio.b && e->b == trio.a);
        double px = e->cracks, own = EDGE_OFF_PX * EDGE_OFF_PX * px, common = (is_free ? FREE_EDGE_PX : EDGE_COMMON_PX) * px;
        add_direction(m, t->colour[e->a], t->colour[e->b], (own + common * common) / ((double)n->px * n->px));
    }
}

bool tint_is_sound(const TintCells *t, int cell)
{
    int x0 = cell % t->across * t->width_px, y0 = cell / t->across * t->height_px;
    const double *own = t->colour[t->label[(size_t)y0 * (size_t)t->picture->width_px + (size_t)x0]];
    double mean[3];
    cell_mean(t, x0, y0, mean);
    for (int c = 0; c < 3; c++)
        if (fabs(mean[c] - own[c]) > OFF_STEPS * t->picture->means[c].step / EIGHTHS + OFF_CODES) return false;
    return true;
}

void tint_look(const TintCells *t, int cell, TintContent *out)
{
    read_cell(t, cell % t->across * t->width_px, cell / t->across * t->height_px, (Trio){0}, out);
}

static bool has_edge(const TintContent *n, uint8_t a, uint8_t b)
{
    for (int i = 0; i < n->edge_count; i++)
        if ((n->edges[i].a == a && n->edges[i].b == b) || (n->edges[i].a == b && n->edges[i].b == a)) return true;
    return false;
}

TintRest tint_rest(const TintCells *t, int cell, const TintContent *content, Trio trio)
{
    int x0 = cell % t->across * t->width_px, y0 = cell / t->across * t->height_px;
    TintRest r = {.is_told = false};
    TintContent n = *content;
    double m[3][3];
    if (trio.s && content->px_of[trio.s] > 0) read_cell(t, x0, y0, trio, &n);
    if (n.is_unclear) return r;
    rest_of_mean(t, &n, x0, y0, r.rest);
    covariance(t, &n, trio, m);
    r.is_told = invert(m, r.inverse);
    r.all = r.is_told ? form(r.inverse, r.rest, r.rest) : 0.0;
    r.px = n.px, r.is_alone = n.px_of[trio.s] == 0;
    r.is_tip = has_edge(&n, trio.a, trio.s) && has_edge(&n, trio.b, trio.s);
    return r;
}

Tint tint_measure(const TintCells *t, const TintRest *r, Trio trio)
{
    double s[3];
    if (!r->is_told) return (Tint){.is_told = false};
    for (int c = 0; c < 3; c++) s[c] = (t->colour[trio.s][c] - t->colour[trio.b][c]) / r->px;
    double gain = form(r->inverse, s, s), area = form(r->inverse, s, r->rest) / gain;
    if (!(gain > LEAST_GAIN)) return (Tint){.is_told = false};
    return (Tint){area, 1.0 / gain, r->all - area * area * gain, r->is_alone, r->is_tip, true};
}

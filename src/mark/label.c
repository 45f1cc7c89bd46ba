// label.c - a raster of what is hidden and free, and the roomiest box in it; see label.h. Strips: label_strip.c.
// The raster only decides; a cell is free when it lies wholly inside, so that what it allows is true exactly.
// Source:  box sums in constant time: F. C. Crow, "Summed-area tables for texture mapping", SIGGRAPH 1984.
#include "mark/label.h"

#include "mark/label_strip.h"

#include <math.h>

#define MARGIN_MM 1.0     // round the text's box
#define CELL_MM 1.0       // tried first; half of it finds narrow places
#define MAX_CELLS 4000000 // a larger face gets larger cells

typedef struct Field {
    double cell_um;
    double x_um, y_um; // top left
    int columns, rows;
    uint8_t *blocked; // a cell that is no place for a letter
    int *sum;         // (columns + 1) x (rows + 1) sums of blocked
} Field;

static int column_at(const Field *field, double x_um)
{
    double column = floor((x_um - field->x_um) / field->cell_um);
    return column < -1.0 ? -1 : column > field->columns ? field->columns : (int)column;
}

static int row_at(const Field *field, double y_um)
{
    double row = floor((y_um - field->y_um) / field->cell_um);
    return row < -1.0 ? -1 : row > field->rows ? field->rows : (int)row;
}

// Blocks every cell that the segment touches.
static void block_segment(Field *field, Point a, Point b)
{
    if (a.y > b.y) {
        Point swap = a;
        a = b;
        b = swap;
    }
    int first = row_at(field, a.y), last = row_at(field, b.y);
    double slope = b.y > a.y ? ((double)b.x - a.x) / ((double)b.y - a.y) : 0.0;
    for (int row = first < 0 ? 0 : first; row <= last && row < field->rows; row++) {
        double top = fmax(a.y, field->y_um + row * field->cell_um);
        double bottom = fmin(b.y, field->y_um + (row + 1) * field->cell_um);
        double x0 = a.x + (top - a.y) * slope, x1 = a.x + (bottom - a.y) * slope;
        if (a.y == b.y) x1 = b.x;
        // A micrometre on each side makes up for rounding.
        int from = column_at(field, fmin(x0, x1) - 1.0), to = column_at(field, fmax(x0, x1) + 1.0);
        for (int column = from < 0 ? 0 : from; column <= to && column < field->columns; column++)
            field->blocked[(size_t)row * (size_t)field->columns + (size_t)column] = 1;
    }
}

// Flips, in `inside`, the first cell of each row whose centre lies right of the edge; a running parity then tells
// inside from outside (even-odd).
static void flip_at_edge(const Field *field, Point a, Point b, uint8_t *inside)
{
    if (a.y == b.y) return;
    if (a.y > b.y) {
        Point swap = a;
        a = b;
        b = swap;
    }
    double slope = ((double)b.x - a.x) / ((double)b.y - a.y);
    int first = row_at(field, a.y), last = row_at(field, b.y);
    for (int row = first < 0 ? 0 : first; row <= last && row < field->rows; row++) {
        double y = field->y_um + (row + 0.5) * field->cell_um;
        if (y < a.y || y >= b.y) continue;
        double column = ceil((a.x + (y - a.y) * slope - field->x_um) / field->cell_um - 0.5);
        if (column >= field->columns) continue;
        size_t at = column < 0.0 ? 0 : (size_t)column;
        inside[(size_t)row * (size_t)field->columns + at] ^= 1;
    }
}

// Blocks what is outside the rings, and every cell on their edges. `inside` is room for all cells.
static void block_outside(Field *field, const Rings *rings, uint8_t *inside)
{
    size_t cells = (size_t)field->columns * (size_t)field->rows;
    for (size_t i = 0; i < cells; i++) inside[i] = 0;
    for (int i = 0; i < rings->count; i++) {
        const Ring *ring = &rings->items[i];
        for (int k = 0; k < ring->count; k++) {
            Point a = ring->points[k], b = ring->points[k + 1 == ring->count ? 0 : k + 1];
            flip_at_edge(field, a, b, inside);
            block_segment(field, a, b);
        }
    }
    for (int row = 0; row < field->rows; row++) {
        uint8_t parity = 0;
        for (int column = 0; column < field->columns; column++) {
            size_t at = (size_t)row * (size_t)field->columns + (size_t)column;
            parity ^= inside[at];
            if (!parity) field->blocked[at] = 1;
        }
    }
}

static void sum_up(Field *field)
{
    size_t width = (size_t)field->columns + 1;
    for (int row = 0; row < field->rows; row++) {
        int run = 0;
        for (int column = 0; column < field->columns; column++) {
            run += field->blocked[(size_t)row * (size_t)field->columns + (size_t)column];
            field->sum[((size_t)row + 1) * width + (size_t)column + 1] =
                field->sum[(size_t)row * width + (size_t)column + 1] + run;
        }
    }
}

static bool field_make(const LabelPlace *place, bool across, double cell_mm, Arena *scratch, Field *out)
{
    const Rings *face = place->face, *safe = place->safe;
    Box box = rings_box(face), safe_box = rings_box(safe);
    if (box.min.x < safe_box.min.x) box.min.x = safe_box.min.x;
    if (box.min.y < safe_box.min.y) box.min.y = safe_box.min.y;
    if (box.max.x > safe_box.max.x) box.max.x = safe_box.max.x;
    if (box.max.y > safe_box.max.y) box.max.y = safe_box.max.y;
    *out = (Field){.cell_um = cell_mm * UM_PER_MM, .x_um = box.min.x, .y_um = box.min.y};
    if (box.min.x >= box.max.x || box.min.y >= box.max.y) return true;
    double width = (double)box.max.x - box.min.x, height = (double)box.max.y - box.min.y;
    while (width / out->cell_um * (height / out->cell_um) > MAX_CELLS) out->cell_um *= 2.0;
    out->columns = (int)(width / out->cell_um);
    out->rows = (int)(height / out->cell_um);
    size_t cells = (size_t)out->columns * (size_t)out->rows;
    out->blocked = arena_new(scratch, uint8_t, cells);
    out->sum = arena_new(scratch, int, ((size_t)out->columns + 1) * ((size_t)out->rows + 1));
    uint8_t *inside = arena_new(scratch, uint8_t, cells);
    if (!out->blocked || !out->sum || !inside) return false;
    block_outside(out, face, inside);
    block_outside(out, safe, inside);
    for (int i = 0; i < place->line_count && !across; i++)
        for (int k = 1; k < place->lines[i].count; k++)
            block_segment(out, place->lines[i].points[k - 1], place->lines[i].points[k]);
    sum_up(out);
    return true;
}

// True when the box of cells, grown by `grow` cells all round, is free. What lies beyond the field is not.
static bool is_free(const Field *field, int column, int row, int width, int height, int grow)
{
    int x0 = column - grow, y0 = row - grow, x1 = column + width + grow, y1 = row + height + grow;
    if (x0 < 0 || y0 < 0 || x1 > field->columns || y1 > field->rows) return false;
    size_t line = (size_t)field->columns + 1;
    return field->sum[(size_t)y1 * line + (size_t)x1] - field->sum[(size_t)y0 * line + (size_t)x1] -
               field->sum[(size_t)y1 * line + (size_t)x0] + field->sum[(size_t)y0 * line + (size_t)x0] ==
           0;
}

// The place with the most room round it: among equals the one nearest to the middle of them, then the first by row.
static bool roomiest(const Field *field, int width, int height, int *out_column, int *out_row)
{
    int best = -1;
    int64_t sum_x = 0, sum_y = 0, count = 0;
    for (int row = 0; row + height <= field->rows; row++) {
        for (int column = 0; column + width <= field->columns; column++) {
            if (!is_free(field, column, row, width, height, best < 0 ? 0 : best)) continue;
            int grow = best < 0 ? 0 : best;
            while (is_free(field, column, row, width, height, grow + 1)) grow++;
            if (grow > best) sum_x = sum_y = count = 0;
            best = grow;
            sum_x += column;
            sum_y += row;
            count++;
        }
    }
    if (best < 0) return false;
    int64_t nearest = INT64_MAX;
    for (int row = 0; row + height <= field->rows; row++) {
        for (int column = 0; column + width <= field->columns; column++) {
            if (!is_free(field, column, row, width, height, best)) continue;
            int64_t dx = column - sum_x / count, dy = row - sum_y / count, distance = dx * dx + dy * dy;
            if (distance >= nearest) continue;
            nearest = distance;
            *out_column = column;
            *out_row = row;
        }
    }
    return true;
}

// Tries one size and turn; gives the middle of the text.
static bool fits(const Field *field, const Word *word, bool turned, double *out_x_um, double *out_y_um)
{
    double half_x, half_y;
    word_half_size(word, WORD_ROW, &half_x, &half_y);
    double width = 2.0 * (turned ? half_y : half_x), height = 2.0 * (turned ? half_x : half_y);
    int columns = (int)ceil((width + 2.0 * MARGIN_MM * UM_PER_MM) / field->cell_um);
    int rows = (int)ceil((height + 2.0 * MARGIN_MM * UM_PER_MM) / field->cell_um);
    int column = 0, row = 0;
    if (!roomiest(field, columns, rows, &column, &row)) return false;
    *out_x_um = field->x_um + (column + columns / 2.0) * field->cell_um;
    *out_y_um = field->y_um + (row + rows / 2.0) * field->cell_um;
    return true;
}

bool label_set(const Word *word, const LetterPlace *letters, bool across, Arena *keep, Label *out, Error *err)
{
    *out = (Label){.found = true, .path = word->path, .across = across, .letter_count = word->letter_count};
    out->path.curves = arena_new(keep, Curve, word->path.curve_count);
    out->path.first = arena_copy(keep, word->path.first, (size_t)word->path.part_count + 1, sizeof *out->path.first);
    if (!out->path.curves || !out->path.first) {
        *out = (Label){0};
        return error_memory(err);
    }
    word_curves(word, letters, out->path.curves);
    for (int i = 0; i < word->letter_count; i++)
        word_corners(word, i, &letters[i], LABEL_APART_MM, out->letters[i].corners);
    return true;
}

typedef struct Attempt {
    double cell_mm;
    bool across;     // over placement lines
    bool least_only; // the smallest letters only: tells whether there is any place at all
} Attempt;

// All sizes and turns of one attempt, the first that fits.
static bool try_sizes(const Word *words, const Field *field, const Attempt *attempt, Arena *keep, Label *out, Error *err)
{
    for (int i = attempt->least_only ? 2 * (LABEL_SIZES - 1) : 0; i < 2 * LABEL_SIZES; i++) {
        const Word *word = &words[i / 2];
        const Way up = i % 2 == 1 ? (Way){-1.0, 0.0} : (Way){0.0, -1.0}; // turned, it reads upwards
        double x, y;
        LetterPlace letters[LABEL_LETTERS_MAX];
        if (!fits(field, word, i % 2 == 1, &x, &y)) continue;
        word_places(word, WORD_ROW, x, y, up, letters);
        return label_set(word, letters, attempt->across, keep, out, err);
    }
    return true;
}

// Level or turned by a quarter.
static bool find_upright(const Word *words, const LabelPlace *place, Arena *keep, Work *work, Label *out, Error *err)
{
    static const Attempt attempts[] = {
        {CELL_MM, false, false},     // enough for most pieces
        {CELL_MM / 2.0, true, true}, // many pieces have no place at all
        {CELL_MM / 2.0, false, false}, {CELL_MM, true, false}, {CELL_MM / 2.0, true, false},
    };
    for (size_t i = 0; i < sizeof attempts / sizeof *attempts; i++) {
        const Attempt *attempt = &attempts[i];
        if (!work_goes_on(work, err)) return false;
        ArenaMark mark = arena_mark(&work->scratch);
        Field field;
        if (!field_make(place, attempt->across, attempt->cell_mm, &work->scratch, &field)) return error_memory(err);
        bool done = try_sizes(words, &field, attempt, keep, out, err);
        arena_rewind(&work->scratch, mark);
        if (!done) return false;
        if (out->found != attempt->least_only) return true; // found a place, or learnt that there is none
        *out = (Label){0};
    }
    return true;
}

bool label_find(const char *text, const LabelPlace *place, const MarkOptions *options, Arena *keep, Work *work, Label *out,
                Error *err)
{
    const double sizes[LABEL_SIZES] = {options->letter_mm, (options->letter_mm + options->least_letter_mm) / 2.0,
                                       options->least_letter_mm};
    Word words[LABEL_SIZES];
    *out = (Label){0};
    if (place->safe->count == 0 || place->face->count == 0) return true;
    for (int i = 0; i < LABEL_SIZES; i++)
        if (!word_make(text, sizes[i], keep, &words[i], err)) return false;
    if (words[0].letter_count == 0 || words[0].letter_count > LABEL_LETTERS_MAX) return true;
    if (!find_upright(words, place, keep, work, out, err)) return false;
    return out->found || label_find_strip(words, place, keep, work, out, err);
}

// plan_labels.c - see plan_labels.h.
// Method:  the picture as cells that know the topmost piece; a number goes where its box lies on its own piece, as far
//          from the rim as matters and near the middle of what is seen; what finds no place stands in the nearer margin,
//          spread so that lines of one margin do not cross.
#include "kit/plan_labels.h"

#include "shape/row.h"

#include <math.h>
#include <stdlib.h>

#define CELL_MM 0.4
#define AIR_MM 0.5          // between a number and the rim of what it stands on
#define ENOUGH_MM 4.0       // farther from the rim than this is no better
#define PULL 0.03           // of the middle, against distance from the rim
#define DOT_AIR_MM 1.2      // round the dot that a line ends in
#define NOBODY (-1)

static const double SIZES_MM[] = {3.6, 2.9, 2.3};   // the smallest can be read on a printed page

// Widths in hundredths of the size: those of DejaVu Sans Bold, measured, and 2 % more for the wider of its like.
static const unsigned char LETTER_WIDTHS[26] = {79, 78,  75, 85, 70, 70, 84, 86, 55, 56, 82,  66, 102,
                                                86, 87, 75, 87, 79, 74, 70, 83, 79, 113, 79, 75, 75};
#define DIGIT_WIDTH 71
#define OTHER_WIDTH 87 // of a letter that is no capital, or a sign

typedef struct PlanCells {  // the plan as cells
    int columns, rows;
    int x0, y0, x1, y1;     // no piece lies beyond these cells; a small piece leaves most of the plan empty
    int *piece;             // topmost piece or NOBODY
    unsigned char *taken;   // by seams and numbers
    int *rim;               // steps (5 a cell) to the nearest cell of another piece or one that is taken
} PlanCells;

static bool cells_make(const Draft *draft, double scale, Work *work, PlanCells *out, Error *err)
{
    const Stack *stack = draft->input->stack;
    out->columns = (int)ceil(stack->width_mm * scale / CELL_MM) + 1;
    out->rows = (int)ceil(stack->height_mm * scale / CELL_MM) + 1;
    out->x0 = out->columns, out->y0 = out->rows, out->x1 = out->y1 = -1;
    size_t cells = (size_t)out->columns * (size_t)out->rows;
    out->piece = arena_new(&work->scratch, int, cells);
    out->taken = arena_new(&work->scratch, unsigned char, cells);
    out->rim = arena_new(&work->scratch, int, cells);
    if (!out->piece || !out->taken || !out->rim) return error_memory(err);
    for (size_t i = 0; i < cells; i++) out->piece[i] = NOBODY;
    return true;
}

// Crossings of the rings with the middle line of a row, sorted; in cells.
static int row_crossings(const Rings *rings, double cells_a_um, int row, double *out)
{
    RowCrossings found = {.y = row + 0.5, .x = out};
    row_cross_rings(&found, rings, cells_a_um);
    row_sort(&found);
    return found.count;
}

static void paint_run(PlanCells *cells, int row, int from, int to, int piece)
{
    if (from < 0) from = 0;
    if (to >= cells->columns) to = cells->columns - 1;
    if (from > to) return;
    for (int x = from; x <= to; x++) cells->piece[row * cells->columns + x] = piece;
    cells->x0 = from < cells->x0 ? from : cells->x0, cells->x1 = to > cells->x1 ? to : cells->x1;
    cells->y0 = row < cells->y0 ? row : cells->y0, cells->y1 = row > cells->y1 ? row : cells->y1;
}

static bool paint_piece(PlanCells *cells, const Rings *rings, double cells_a_um, int piece, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    double *crossings = arena_new(&work->scratch, double, rings_point_count(rings) + 1);
    if (!crossings) return error_memory(err);
    Box box = rings_box(rings);
    int first = (int)floor(box.min.y * cells_a_um), last = (int)ceil(box.max.y * cells_a_um);
    for (int row = first < 0 ? 0 : first; row <= last && row < cells->rows; row++) {
        int found = row_crossings(rings, cells_a_um, row, crossings);
        for (int i = 0; i + 1 < found; i += 2)
            paint_run(cells, row, (int)ceil(crossings[i] - 0.5), (int)floor(crossings[i + 1] - 0.5), piece);
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

static void take_box(PlanCells *cells, double x0, double y0, double x1, double y1)
{
    for (int y = (int)floor(y0); y <= (int)floor(y1); y++)
        for (int x = (int)floor(x0); x <= (int)floor(x1); x++)
            if (x >= 0 && y >= 0 && x < cells->columns && y < cells->rows) cells->taken[y * cells->columns + x] = 1;
}

static void take_seam(PlanCells *cells, const Path *path, double cells_a_um)
{
    for (int i = 0; i < path->curve_count; i++) {
        int steps = (int)(point_distance_mm(path->curves[i].p0, path->curves[i].p3) * UM_PER_MM * cells_a_um * 2) + 8;
        for (int k = 0; k <= steps; k++) {
            Point p = curve_point(&path->curves[i], (double)k / steps);
            double x = p.x * cells_a_um, y = p.y * cells_a_um;
            take_box(cells, x - 0.5, y - 0.5, x + 0.5, y + 0.5);
        }
    }
}

static bool is_rim(const PlanCells *cells, int x, int y)
{
    int w = cells->columns, i = y * w + x, own = cells->piece[i];
    return cells->taken[i] || x == 0 || y == 0 || x + 1 == w || y + 1 == cells->rows || cells->piece[i - 1] != own ||
           cells->piece[i + 1] != own || cells->piece[i - w] != own || cells->piece[i + w] != own;
}

static void lower(int *rim, int i, int from, int step)
{
    if (rim[from] + step < rim[i]) rim[i] = rim[from] + step;
}

// Two rounds over the cells that may have a piece: the way from one of them to its piece's rim never leaves these, so what
// lies beyond is only looked at, one cell far.
static void measure_rim(PlanCells *cells)
{
    int w = cells->columns, h = cells->rows, *rim = cells->rim;
    int x0 = cells->x0 > 1 ? cells->x0 : 1, x1 = cells->x1 < w - 2 ? cells->x1 : w - 2;
    int y0 = cells->y0 > 1 ? cells->y0 : 1, y1 = cells->y1 < h - 2 ? cells->y1 : h - 2;
    for (int y = y0 - 1; y <= y1 + 1 && y < h; y++)
        for (int x = x0 - 1; x <= x1 + 1 && x < w; x++) rim[y * w + x] = is_rim(cells, x, y) ? 0 : 1000000;
    for (int y = y0; y <= y1; y++)
        for (int x = x0; x <= x1; x++) {
            int i = y * w + x;
            lower(rim, i, i - 1, 5), lower(rim, i, i - w, 5), lower(rim, i, i - w - 1, 7), lower(rim, i, i - w + 1, 7);
        }
    for (int y = y1; y >= y0; y--)
        for (int x = x1; x >= x0; x--) {
            int i = y * w + x;
            lower(rim, i, i + 1, 5), lower(rim, i, i + w, 5), lower(rim, i, i + w + 1, 7), lower(rim, i, i + w - 1, 7);
        }
}

typedef struct Seen {       // what is seen of one piece
    int x0, y0, x1, y1;     // its cells' box; empty when x0 > x1
    double x, y;            // their middle
    long count;
    int deepest;            // the cell farthest from the rim, -1 = none
} Seen;

// A run of one piece's cells in a row.
static void see_run(const PlanCells *cells, int y, int from, int to, Seen *s)
{
    int count = to - from + 1, row = y * cells->columns;
    s->x0 = from < s->x0 ? from : s->x0, s->x1 = to > s->x1 ? to : s->x1;
    s->y0 = y < s->y0 ? y : s->y0, s->y1 = y > s->y1 ? y : s->y1;
    s->x += (from + to) * (double)count / 2, s->y += y * (double)count, s->count += count;
    for (int x = from; x <= to; x++)
        if (s->deepest < 0 || cells->rim[row + x] > cells->rim[s->deepest]) s->deepest = row + x;
}

static bool find_seen(const PlanCells *cells, int piece_count, Work *work, Seen **out, Error *err)
{
    Seen *seen = arena_new(&work->scratch, Seen, piece_count);
    if (!seen) return error_memory(err);
    for (int p = 0; p < piece_count; p++) seen[p] = (Seen){cells->columns, cells->rows, -1, -1, 0, 0, 0, -1};
    for (int y = cells->y0; y <= cells->y1; y++) {
        const int *row = &cells->piece[y * cells->columns];
        for (int x = cells->x0, end; x <= cells->x1; x = end + 1) {
            for (end = x; end < cells->x1 && row[end + 1] == row[x]; end++) {}
            if (row[x] != NOBODY) see_run(cells, y, x, end, &seen[row[x]]);
        }
    }
    for (int p = 0; p < piece_count; p++)
        if (seen[p].count) seen[p].x /= (double)seen[p].count, seen[p].y /= (double)seen[p].count;
    *out = seen;
    return true;
}

static bool box_is_own(const PlanCells *cells, int piece, int x0, int y0, int x1, int y1)
{
    if (x0 < 0 || y0 < 0 || x1 >= cells->columns || y1 >= cells->rows) return false;
    for (int y = y0; y <= y1; y++)
        for (int x = x0; x <= x1; x++)
            if (cells->piece[y * cells->columns + x] != piece || cells->taken[y * cells->columns + x]) return false;
    return true;
}

double plan_number_mm(const char *number, double size_mm)
{
    int hundredths = 0;
    for (const char *c = number; *c; c++)
        hundredths += *c >= '0' && *c <= '9' ? DIGIT_WIDTH : *c >= 'A' && *c <= 'Z' ? LETTER_WIDTHS[*c - 'A'] : OTHER_WIDTH;
    return hundredths / 100.0 * size_mm;
}

static bool place_inside(PlanCells *cells, const Seen *seen, int piece, const char *id, double size_mm, PlanLabel *out)
{
    double half_w = plan_number_mm(id, size_mm) / 2 / CELL_MM, half_h = size_mm * 0.4 / CELL_MM;
    int w = (int)ceil(half_w + AIR_MM / CELL_MM), h = (int)ceil(half_h + AIR_MM / CELL_MM);
    double best = -INFINITY;
    int best_x = 0, best_y = 0;
    for (int y = seen->y0 + h; y <= seen->y1 - h; y++)
        for (int x = seen->x0 + w; x <= seen->x1 - w; x++) {
            int i = y * cells->columns + x;
            if (cells->piece[i] != piece || cells->rim[i] < 5 * h) continue;
            double dx = x - seen->x, dy = y - seen->y;
            double score = fmin(cells->rim[i] / 5.0, ENOUGH_MM / CELL_MM) - PULL * sqrt(dx * dx + dy * dy);
            if (score <= best || !box_is_own(cells, piece, x - w, y - h, x + w, y + h)) continue;
            best = score, best_x = x, best_y = y;
        }
    if (best == -INFINITY) return false;
    take_box(cells, best_x - w, best_y - h, best_x + w, best_y + h);
    *out = (PlanLabel){.kind = PLAN_LABEL_INSIDE, .x_mm = (best_x + 0.5) * CELL_MM, .y_mm = (best_y + 0.5) * CELL_MM,
                       .size_mm = size_mm, .is_seen = true};
    return true;
}

static bool is_clear(const PlanCells *cells, double x, double y)
{
    int reach = (int)(DOT_AIR_MM / CELL_MM), cx = (int)floor(x), cy = (int)floor(y);
    for (int j = cy - reach; j <= cy + reach; j++)
        for (int i = cx - reach; i <= cx + reach; i++)
            if (i >= 0 && j >= 0 && i < cells->columns && j < cells->rows && cells->taken[j * cells->columns + i]) return false;
    return true;
}

// The first spot of a row's widest run that no seam and no number takes: its middle, else nearer to the margin that
// the line will come from, else farther.
static bool spot_in_row(const PlanCells *cells, const double *crossings, int found, int row, PlanLabel *out)
{
    static const double SHARES[] = {0.5, 0.25, 0.375, 0.625, 0.75};
    int widest = 0;
    for (int i = 2; i + 1 < found; i += 2)
        if (crossings[i + 1] - crossings[i] > crossings[widest + 1] - crossings[widest]) widest = i;
    for (size_t k = 0; k < sizeof SHARES / sizeof SHARES[0] && found > 1; k++) {
        double share = crossings[widest] + crossings[widest + 1] < cells->columns ? SHARES[k] : 1 - SHARES[k];
        double x = crossings[widest] + share * (crossings[widest + 1] - crossings[widest]);
        if (!is_clear(cells, x, row + 0.5)) continue;
        out->at_x_mm = x * CELL_MM;
        out->at_y_mm = (row + 0.5) * CELL_MM;
        return true;
    }
    return false;
}

// A spot on a piece that nobody sees: half-way down, else a bit higher or lower; the middle of its box when all are taken.
static bool hidden_spot(const PlanCells *cells, const Rings *rings, double scale, Work *work, PlanLabel *out, Error *err)
{
    static const double HEIGHTS[] = {0.5, 0.375, 0.625, 0.25, 0.75, 0.125, 0.875};
    ArenaMark mark = arena_mark(&work->scratch);
    double *crossings = arena_new(&work->scratch, double, rings_point_count(rings) + 1);
    if (!crossings) return error_memory(err);
    Box box = rings_box(rings);
    double cells_a_um = scale / UM_PER_MM / CELL_MM;
    out->at_x_mm = (box.min.x + (double)box.max.x) / 2 * scale / UM_PER_MM;
    out->at_y_mm = (box.min.y + (double)box.max.y) / 2 * scale / UM_PER_MM;
    bool done = false;
    for (size_t k = 0; k < sizeof HEIGHTS / sizeof HEIGHTS[0] && !done; k++) {
        int row = (int)((box.min.y + HEIGHTS[k] * ((double)box.max.y - box.min.y)) * cells_a_um);
        int found = row_crossings(rings, cells_a_um, row, crossings);
        done = spot_in_row(cells, crossings, found, row, out);
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

typedef struct Margin { double y_mm; int piece; } Margin;

static int by_height(const void *a, const void *b)
{
    const Margin *m = a, *n = b;
    if (m->y_mm != n->y_mm) return m->y_mm < n->y_mm ? -1 : 1;
    return (m->piece > n->piece) - (m->piece < n->piece);
}

typedef struct Block { int first, count; double middle_mm; } Block; // neighbours that stand one step apart

static double clamp_mm(double middle_mm, double half_mm, double height_mm)
{
    return fmax(half_mm, fmin(height_mm - half_mm, middle_mm));
}

// Numbers of one margin, each as near to the height of its spot as the others let it: those that would overlap stand
// close together round the middle of their spots.
static bool spread(Margin *margin, int count, double height_mm, PlanLabel *labels, Work *work, Error *err)
{
    double step = fmin(SIZES_MM[1] * 1.35, height_mm / fmax(count, 1));
    Block *blocks = arena_new(&work->scratch, Block, count);
    if (!blocks) return error_memory(err);
    int used = 0;
    for (int i = 0; i < count; i++) {
        blocks[used++] = (Block){i, 1, clamp_mm(margin[i].y_mm, step / 2, height_mm)};
        while (used > 1) {
            Block *a = &blocks[used - 2], *b = &blocks[used - 1];
            int both = a->count + b->count;
            if (b->middle_mm - a->middle_mm >= both * step / 2) break;
            double middle = 0;
            for (int k = a->first; k < a->first + both; k++) middle += margin[k].y_mm / both;
            *a = (Block){a->first, both, clamp_mm(middle, both * step / 2, height_mm)};
            used--;
        }
    }
    for (int b = 0; b < used; b++)
        for (int k = 0; k < blocks[b].count; k++) {
            PlanLabel *label = &labels[margin[blocks[b].first + k].piece];
            label->y_mm = blocks[b].middle_mm + (k - (blocks[b].count - 1) / 2.0) * step;
            label->size_mm = fmin(SIZES_MM[1], step / 1.15);
        }
    return true;
}

static double knee_x_mm(const PlanLabel *label)
{
    return label->x_mm + (label->kind == PLAN_LABEL_LEFT ? PLAN_KNEE_MM : -PLAN_KNEE_MM);
}

// On which side of a label's line, from its knee to its spot, a place lies.
static double side_of(const PlanLabel *label, double x_mm, double y_mm)
{
    double from_x = knee_x_mm(label);
    return (label->at_x_mm - from_x) * (y_mm - label->y_mm) - (label->at_y_mm - label->y_mm) * (x_mm - from_x);
}

static bool lines_cross(const PlanLabel *a, const PlanLabel *b)
{
    return side_of(a, knee_x_mm(b), b->y_mm) * side_of(a, b->at_x_mm, b->at_y_mm) < 0 &&
           side_of(b, knee_x_mm(a), a->y_mm) * side_of(b, a->at_x_mm, a->at_y_mm) < 0;
}

// Two lines of one margin that cross change their ends: each change makes the lines shorter together, so it ends. The
// limit is for equal lengths that differ by rounding.
static bool untangle(const Margin *margin, int count, PlanLabel *labels, Work *work, Error *err)
{
    for (int round = 0, changes = 1; changes > 0 && round < count; round++) {
        if (!work_goes_on(work, err)) return false;
        changes = 0;
        for (int i = 0; i < count; i++)
            for (int k = i + 1; k < count; k++) {
                PlanLabel *a = &labels[margin[i].piece], *b = &labels[margin[k].piece];
                if (!lines_cross(a, b)) continue;
                double y_mm = a->y_mm;
                a->y_mm = b->y_mm, b->y_mm = y_mm;
                changes++;
            }
    }
    return true;
}

static bool place_in_margins(const Draft *draft, double scale, double margin_mm, PlanLabel *labels, Work *work, Error *err)
{
    double width_mm = draft->input->stack->width_mm * scale, height_mm = draft->input->stack->height_mm * scale;
    Margin *margin = arena_new(&work->scratch, Margin, draft->piece_count);
    if (!margin) return error_memory(err);
    for (int kind = PLAN_LABEL_LEFT; kind <= PLAN_LABEL_RIGHT; kind++) {
        int count = 0;
        for (int p = 0; p < draft->piece_count; p++) {
            if ((int)labels[p].kind != kind) continue;
            labels[p].x_mm = kind == PLAN_LABEL_LEFT ? -margin_mm / 2 : width_mm + margin_mm / 2;
            margin[count++] = (Margin){labels[p].at_y_mm, p};
        }
        qsort(margin, (size_t)count, sizeof *margin, by_height);
        if (!spread(margin, count, height_mm, labels, work, err) || !untangle(margin, count, labels, work, err)) return false;
    }
    return true;
}

static bool fill_cells(const Draft *draft, double scale, PlanCells *cells, Work *work, Error *err)
{
    double cells_a_um = scale / UM_PER_MM / CELL_MM;
    for (int p = 0; p < draft->piece_count; p++) // lower layers come first: the topmost piece stays
        if (!work_goes_on(work, err) || !paint_piece(cells, &draft->pieces[p].source->rings, cells_a_um, p, work, err))
            return false;
    for (int s = 0; s < draft->seam_count; s++) take_seam(cells, &draft->seams[s].path, cells_a_um);
    measure_rim(cells);
    return true;
}

static bool place_any_size(PlanCells *cells, const Seen *seen, int p, const char *id, PlanLabel *out)
{
    for (size_t k = 0; k < sizeof SIZES_MM / sizeof SIZES_MM[0]; k++)
        if (place_inside(cells, seen, p, id, SIZES_MM[k], out)) return true;
    return false;
}

static bool point_at(const Draft *draft, double scale, const PlanCells *cells, const Seen *seen, int p, Work *work,
                     PlanLabel *out, Error *err)
{
    *out = (PlanLabel){.is_seen = seen->count > 0, .on_layer = draft->pieces[p].layer};
    if (out->is_seen) {
        out->at_x_mm = (seen->deepest % cells->columns + 0.5) * CELL_MM;
        out->at_y_mm = (seen->deepest / cells->columns + 0.5) * CELL_MM;
    } else if (!hidden_spot(cells, &draft->pieces[p].source->rings, scale, work, out, err)) {
        return false;
    }
    out->kind = out->at_x_mm < draft->input->stack->width_mm * scale / 2 ? PLAN_LABEL_LEFT : PLAN_LABEL_RIGHT;
    return true;
}

// First all numbers that find a place, then the lines, which keep off them.
static bool place_all(const Draft *draft, double scale, PlanCells *cells, const Seen *seen, Work *work, PlanLabel *out,
                      Error *err)
{
    bool *placed = arena_new(&work->scratch, bool, draft->piece_count);
    if (!placed) return error_memory(err);
    for (int p = 0; p < draft->piece_count; p++) {
        if (!work_goes_on(work, err)) return false;
        placed[p] = place_any_size(cells, &seen[p], p, draft->pieces[p].source->id, &out[p]);
        out[p].on_layer = draft->pieces[p].layer;
    }
    for (int pass = 0; pass < 2; pass++) // what is seen has one best spot: what is hidden keeps off it
        for (int p = 0; p < draft->piece_count; p++) {
            if (!work_goes_on(work, err)) return false;
            if (placed[p] || (seen[p].count > 0) != (pass == 0)) continue;
            if (!point_at(draft, scale, cells, &seen[p], p, work, &out[p], err)) return false;
            double x = out[p].at_x_mm / CELL_MM, y = out[p].at_y_mm / CELL_MM;
            take_box(cells, x - 1, y - 1, x + 1, y + 1);
        }
    return true;
}

bool plan_labels(const Draft *draft, double scale, double margin_mm, Arena *keep, Work *work, PlanLabel **out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    PlanCells cells;
    Seen *seen = NULL;
    *out = arena_new(keep, PlanLabel, draft->piece_count);
    if (!*out) return error_memory(err);
    if (!cells_make(draft, scale, work, &cells, err) || !fill_cells(draft, scale, &cells, work, err) ||
        !find_seen(&cells, draft->piece_count, work, &seen, err))
        return false;
    if (!place_all(draft, scale, &cells, seen, work, *out, err)) return false;
    if (!place_in_margins(draft, scale, margin_mm, *out, work, err)) return false;
    arena_rewind(&work->scratch, mark);
    return true;
}

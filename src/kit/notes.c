// notes.c - see notes.h.
// Method:  the sheet as cells that know their nearest piece (two passes with steps 5 and 7: G. Borgefors, 1986); of all
//          places where the letters' box is free, the one whose middle is nearest to the piece.
#include "kit/notes.h"

#include "shape/row.h"

#include <math.h>
#include <string.h>

#define CLEAR_MM 1.0
#define APART_MM 4.0        // between two notes: B1 beside 2 must not be read as B12
#define LEAST_CELL_MM 0.5   // smaller: slower; larger: narrow strips of waste are missed
#define MOST_CELLS 2e6      // of a sheet: a roll of paper gets larger cells
#define FAR_MM 20.0         // a note farther away would be taken for another piece's
#define FAR_STEPS 1000000

// Narrow waste takes smaller letters than a piece would: nobody has to read them for long.
static const double LETTERS_MM[] = {6.0, 5.0, 4.0};

typedef struct Waste {
    double x_mm, y_mm;      // the usable box's corner
    double cell_mm;
    int columns, rows;
    int *piece;             // nearest piece (index on the sheet)
    int *steps;             // to it, 5 a cell; 0 = in or within the clearance of it
    unsigned char *taken;   // what no letter may touch
    int *sums;              // taken cells above and left: (columns + 1) x (rows + 1)
} Waste;

typedef struct Place { int column, row, distance; bool upright; } Place;

static bool waste_make(const DraftSheet *sheet, Work *work, Waste *out, Error *err)
{
    double cell_mm = fmax(LEAST_CELL_MM, sqrt(sheet->box_mm[2] * sheet->box_mm[3] / MOST_CELLS));
    *out = (Waste){.x_mm = sheet->box_mm[0], .y_mm = sheet->box_mm[1], .cell_mm = cell_mm,
                   .columns = (int)floor(sheet->box_mm[2] / cell_mm), .rows = (int)floor(sheet->box_mm[3] / cell_mm)};
    size_t cells = (size_t)out->columns * (size_t)out->rows;
    out->piece = arena_new(&work->scratch, int, cells);
    out->steps = arena_new(&work->scratch, int, cells);
    out->taken = arena_new(&work->scratch, unsigned char, cells);
    out->sums = arena_new(&work->scratch, int, (size_t)(out->columns + 1) * (size_t)(out->rows + 1));
    if (!out->piece || !out->steps || !out->taken || !out->sums) return error_memory(err);
    for (size_t i = 0; i < cells; i++) out->steps[i] = FAR_STEPS;
    return true;
}

static void take_run(Waste *waste, int row, double from_mm, double to_mm, int piece)
{
    if (row < 0 || row >= waste->rows) return;
    int first = (int)floor(from_mm / waste->cell_mm), last = (int)floor(to_mm / waste->cell_mm);
    if (first < 0) first = 0;
    if (last >= waste->columns) last = waste->columns - 1;
    for (int x = first; x <= last; x++) {
        int i = row * waste->columns + x;
        waste->taken[i] = 1;
        if (piece < 0) continue;
        waste->piece[i] = piece;
        waste->steps[i] = 0;
    }
}

// All cells of the rows that an edge passes within the clearance, as a box a row: never too few.
static void take_edge(Waste *waste, const double a[2], const double b[2], int piece)
{
    double reach = CLEAR_MM + waste->cell_mm, dy = b[1] - a[1];
    int first = (int)floor((fmin(a[1], b[1]) - reach) / waste->cell_mm), last = (int)floor((fmax(a[1], b[1]) + reach) / waste->cell_mm);
    for (int row = first; row <= last; row++) {
        double t0 = 0, t1 = 1;
        if (fabs(dy) > 1e-9) {
            double u = (row * waste->cell_mm - reach - a[1]) / dy, v = ((row + 1) * waste->cell_mm + reach - a[1]) / dy;
            t0 = fmax(0, fmin(u, v));
            t1 = fmin(1, fmax(u, v));
        }
        double x0 = a[0] + t0 * (b[0] - a[0]), x1 = a[0] + t1 * (b[0] - a[0]);
        take_run(waste, row, fmin(x0, x1) - reach, fmax(x0, x1) + reach, piece);
    }
}

static bool take_inside(Waste *waste, const double (*points)[2], const int *first, int ring_count, int piece, Work *work, Error *err)
{
    RowTable table;
    if (!rows_cross(points, first, ring_count, (RowPlaces){0.0, waste->cell_mm, waste->rows}, &work->scratch, &table, err)) return false;
    for (int row = 0; row < waste->rows; row++)
        for (int i = table.first[row]; i + 1 < table.first[row + 1]; i += 2) take_run(waste, row, table.x[i], table.x[i + 1], piece);
    return true;
}

static bool take_piece(Waste *waste, const DraftPiece *piece, int index, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    const Rings *rings = piece_cut(piece->source);
    int *first = arena_new(&work->scratch, int, rings->count + 1);
    if (!first) return error_memory(err);
    for (int r = 0; r < rings->count; r++) first[r + 1] = first[r] + rings->items[r].count;
    double (*points)[2] = arena_take(&work->scratch, (size_t)first[rings->count], sizeof *points);
    if (!points) return error_memory(err);
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++) {
            double *at = points[first[r] + i];
            draft_on_sheet(piece, rings->items[r].points[i], at);
            at[0] -= waste->x_mm;
            at[1] -= waste->y_mm;
        }
    for (int r = 0; r < rings->count; r++)
        for (int i = first[r]; i < first[r + 1]; i++)
            take_edge(waste, points[i], points[i + 1 < first[r + 1] ? i + 1 : first[r]], index);
    if (!take_inside(waste, (const double (*)[2])points, first, rings->count, index, work, err)) return false;
    arena_rewind(&work->scratch, mark);
    return true;
}

static void take_corners(Waste *waste)
{
    double side = PAPER_CORNER_MARK_MM + CLEAR_MM + waste->cell_mm;
    for (int row = 0; row < waste->rows; row++) {
        double y = row * waste->cell_mm;
        if (y < side) take_run(waste, row, 0, side, -1);
        if (y > waste->rows * waste->cell_mm - side) take_run(waste, row, waste->columns * waste->cell_mm - side, waste->columns * waste->cell_mm, -1);
    }
}

static void nearer(Waste *waste, int i, int from, int step)
{
    if (waste->steps[from] + step >= waste->steps[i]) return;
    waste->steps[i] = waste->steps[from] + step;
    waste->piece[i] = waste->piece[from];
}

static void find_nearest(Waste *waste)
{
    int w = waste->columns;
    for (int y = 0; y < waste->rows; y++)
        for (int x = 0; x < w; x++) {
            int i = y * w + x;
            if (x > 0) nearer(waste, i, i - 1, 5);
            if (y == 0) continue;
            nearer(waste, i, i - w, 5);
            if (x > 0) nearer(waste, i, i - w - 1, 7);
            if (x + 1 < w) nearer(waste, i, i - w + 1, 7);
        }
    for (int y = waste->rows - 1; y >= 0; y--)
        for (int x = w - 1; x >= 0; x--) {
            int i = y * w + x;
            if (x + 1 < w) nearer(waste, i, i + 1, 5);
            if (y + 1 == waste->rows) continue;
            nearer(waste, i, i + w, 5);
            if (x + 1 < w) nearer(waste, i, i + w + 1, 7);
            if (x > 0) nearer(waste, i, i + w - 1, 7);
        }
}

static void sum_up(Waste *waste)
{
    int w = waste->columns + 1;
    for (int y = 0; y < waste->rows; y++)
        for (int x = 0; x < waste->columns; x++)
            waste->sums[(y + 1) * w + x + 1] = waste->taken[y * waste->columns + x] + waste->sums[y * w + x + 1] +
                                               waste->sums[(y + 1) * w + x] - waste->sums[y * w + x];
}

static bool is_free(const Waste *waste, int column, int row, int wide, int high)
{
    int w = waste->columns + 1;
    return waste->sums[(row + high) * w + column + wide] - waste->sums[row * w + column + wide] -
               waste->sums[(row + high) * w + column] + waste->sums[row * w + column] == 0;
}

static void find_place(const Waste *waste, int piece, int wide, int high, bool upright, Place *best)
{
    for (int row = 0; row + high <= waste->rows; row++)
        for (int column = 0; column + wide <= waste->columns; column++) {
            int middle = (row + high / 2) * waste->columns + column + wide / 2;
            if (waste->piece[middle] != piece || waste->steps[middle] >= best->distance) continue;
            if (is_free(waste, column, row, wide, high)) *best = (Place){column, row, waste->steps[middle], upright};
        }
}

// Letters along x, or along y from below when upright: turned by a quarter, exactly.
static void move_letters(Path *path, Box box, const Waste *waste, const Place *place)
{
    Point corner = point_from_mm(waste->x_mm + place->column * waste->cell_mm + waste->cell_mm / 2,
                                 waste->y_mm + place->row * waste->cell_mm + waste->cell_mm / 2);
    for (int i = 0; i < path->curve_count; i++) {
        Point *points[4] = {&path->curves[i].p0, &path->curves[i].p1, &path->curves[i].p2, &path->curves[i].p3};
        for (int k = 0; k < 4; k++) {
            Point p = *points[k];
            if (place->upright) *points[k] = (Point){corner.x + p.y - box.min.y, corner.y + box.max.x - p.x};
            else *points[k] = (Point){corner.x + p.x - box.min.x, corner.y + p.y - box.min.y};
        }
    }
}

static void take_letters(Waste *waste, const Place *place, int across, int down)
{
    int rim = (int)ceil(APART_MM / waste->cell_mm);
    for (int row = place->row - rim; row < place->row + down + rim; row++)
        take_run(waste, row, (place->column - rim) * waste->cell_mm, (place->column + across + rim - 0.5) * waste->cell_mm, -1);
    sum_up(waste);
}

// Tries one size of letters.
static bool note_piece(Waste *waste, const char *text, double letter_mm, int index, Arena *keep, Path *out,
                       bool *out_found, Error *err)
{
    Box box;
    *out_found = false;
    if (!mark_text(text, letter_mm, keep, out, &box, err)) return false;
    if (out->curve_count == 0) return true;
    int wide = (int)ceil(box_width_mm(box) / waste->cell_mm) + 1, high = (int)ceil(box_height_mm(box) / waste->cell_mm) + 1;
    Place place = {0, 0, (int)(FAR_MM / waste->cell_mm * 5), false};
    int far = place.distance;
    find_place(waste, index, wide, high, false, &place);
    find_place(waste, index, high, wide, true, &place);
    if (place.distance == far) return true;
    move_letters(out, box, waste, &place);
    take_letters(waste, &place, place.upright ? high : wide, place.upright ? wide : high);
    *out_found = true;
    return true;
}

// All pieces that find a place for letters of one size; `done` remembers them.
static bool note_size(const Draft *draft, DraftSheet *sheet, double letter_mm, MarkLine line, Waste *waste, bool *done,
                      Arena *keep, Work *work, Error *err)
{
    for (int i = 0; i < sheet->piece_count; i++) {
        if (done[i]) continue;
        Path path;
        ArenaMark mark = arena_mark(keep);
        if (!work_goes_on(work, err)) return false;
        const char *text = arena_text(keep, draft->pieces[sheet->pieces[i]].source->id);
        if (!text) return error_memory(err);
        if (!note_piece(waste, text, letter_mm, i, keep, &path, &done[i], err)) return false;
        if (done[i]) sheet->notes[sheet->note_count++] = (DraftNote){text, line, path};
        else arena_rewind(keep, mark);
    }
    return true;
}

static bool note_sheet(Draft *draft, DraftSheet *sheet, MarkLine line, Arena *keep, Work *work, Error *err)
{
    int missing = 0;
    bool *done = arena_new(&work->scratch, bool, sheet->piece_count);
    if (!done) return error_memory(err);
    for (int i = 0; i < sheet->piece_count; i++) {
        done[i] = draft->pieces[sheet->pieces[i]].is_labelled;
        missing += !done[i];
    }
    if (missing == 0) return true;
    Waste waste;
    sheet->notes = arena_new(keep, DraftNote, missing);
    if (!sheet->notes) return error_memory(err);
    if (!waste_make(sheet, work, &waste, err)) return false;
    for (int i = 0; i < sheet->piece_count; i++)
        if (!work_goes_on(work, err) || !take_piece(&waste, &draft->pieces[sheet->pieces[i]], i, work, err)) return false;
    take_corners(&waste);
    find_nearest(&waste);
    sum_up(&waste);
    for (size_t k = 0; k < sizeof LETTERS_MM / sizeof LETTERS_MM[0]; k++)
        if (!note_size(draft, sheet, LETTERS_MM[k], line, &waste, done, keep, work, err)) return false;
    return true;
}

bool notes_add(Draft *draft, int sheet, Arena *keep, Work *work, Error *err)
{
    const KitPaper *paper = &draft->input->papers[draft->sheets[sheet].paper];
    if (paper->unmarked || paper->line == MARK_CUT) return true; // letters that are cut would fall to bits
    ArenaMark mark = arena_mark(&work->scratch);
    if (!note_sheet(draft, &draft->sheets[sheet], paper->line, keep, work, err)) return false;
    arena_rewind(&work->scratch, mark);
    return true;
}

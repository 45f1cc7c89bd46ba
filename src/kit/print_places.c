// print_places.c - see print_places.h.
#include "kit/print_places.h"

#include <math.h>
#include <string.h>

#define CELL_MM 1.0      // smaller: slower; larger: narrow waste is missed
#define MOST_CELLS 1e6   // of a sheet: larger paper gets larger cells
#define STEP_MM 0.5      // along an edge: less than a cell, so that none is skipped
#define CLEAR_MM 1.0     // round the squares
#define LEADER_GAP_MM 0.6
#define LEADER_LEAST_MM 1.0 // a shorter way from name to piece needs no line
#define FAR_MM 25.0         // a name farther away would be taken for another piece's, whatever line is drawn
#define FREE (-1)
#define WORDS (-2)
#define FAR_STEPS 1000000

static const double BESIDE_MM[] = {4.0, 3.0, 2.2}; // sizes of names for which a place is looked for
#define INSIDE_MOST_MM 3.0
#define INSIDE_LEAST_MM 1.6 // 4.5 pt: can still be read

typedef struct Room {
    double x_mm, y_mm, cell_mm;
    int columns, rows;
    int *owner; // of each cell: a piece of the sheet, FREE or WORDS
    int *steps; // scratch of the distances
    int *sums;  // cells that are not free, above and left: (columns + 1) x (rows + 1)
} Room;

typedef struct Spots { // the rings of a piece, on the sheet
    double *xy;
    int *first; // ring r: first[r] .. first[r + 1] - 1
    int ring_count;
} Spots;

// --- cells ---

static bool room_make(const DraftSheet *sheet, Work *work, Room *out, Error *err)
{
    double cell = fmax(CELL_MM, sqrt(sheet->box_mm[2] * sheet->box_mm[3] / MOST_CELLS));
    *out = (Room){.x_mm = sheet->box_mm[0], .y_mm = sheet->box_mm[1], .cell_mm = cell,
                  .columns = (int)floor(sheet->box_mm[2] / cell), .rows = (int)floor(sheet->box_mm[3] / cell)};
    size_t cells = (size_t)out->columns * (size_t)out->rows;
    out->owner = arena_new(&work->scratch, int, cells);
    out->steps = arena_new(&work->scratch, int, cells);
    out->sums = arena_new(&work->scratch, int, (size_t)(out->columns + 1) * (size_t)(out->rows + 1));
    if (!out->owner || !out->steps || !out->sums) return error_memory(err);
    for (size_t i = 0; i < cells; i++) out->owner[i] = FREE;
    return true;
}

static void take_cell(Room *room, int column, int row, int owner)
{
    if (column < 0 || row < 0 || column >= room->columns || row >= room->rows) return;
    int *cell = &room->owner[row * room->columns + column];
    if (*cell == FREE) *cell = owner; // who came first keeps what both touch: it is taken either way
}

static int column_of(const Room *room, double x_mm)
{
    return (int)floor((x_mm - room->x_mm) / room->cell_mm);
}

static int row_of(const Room *room, double y_mm)
{
    return (int)floor((y_mm - room->y_mm) / room->cell_mm);
}

static bool move_rings(const DraftPiece *piece, Arena *scratch, Spots *out, Error *err)
{
    const Rings *rings = piece_cut(piece->source);
    *out = (Spots){.first = arena_new(scratch, int, rings->count + 1), .ring_count = rings->count};
    if (!out->first) return error_memory(err);
    for (int r = 0; r < rings->count; r++) out->first[r + 1] = out->first[r] + rings->items[r].count;
    out->xy = arena_new(scratch, double, 2 * (size_t)out->first[rings->count]);
    if (!out->xy) return error_memory(err);
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++)
            draft_on_sheet(piece, rings->items[r].points[i], &out->xy[2 * (out->first[r] + i)]);
    return true;
}

static const double *spot_after(const Spots *spots, int ring, int i)
{
    return &spots->xy[2 * (i + 1 < spots->first[ring + 1] ? i + 1 : spots->first[ring])];
}

// Cells that an edge passes, and their neighbours: nothing comes nearer than a cell.
static void take_edge(Room *room, const double *a, const double *b, int owner)
{
    int count = (int)ceil(hypot(b[0] - a[0], b[1] - a[1]) / STEP_MM) + 1;
    for (int k = 0; k <= count; k++) {
        double t = (double)k / count;
        int column = column_of(room, a[0] + t * (b[0] - a[0])), row = row_of(room, a[1] + t * (b[1] - a[1]));
        for (int dy = -1; dy <= 1; dy++)
            for (int dx = -1; dx <= 1; dx++) take_cell(room, column + dx, row + dy, owner);
    }
}

// Even-odd along the middle of each row: each crossing flips the cells to its right.
static bool take_inside(Room *room, const Spots *spots, int owner, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    size_t cells = (size_t)room->columns * (size_t)room->rows;
    unsigned char *flips = arena_new(&work->scratch, unsigned char, cells);
    if (!flips) return error_memory(err);
    for (int r = 0; r < spots->ring_count; r++)
        for (int i = spots->first[r]; i < spots->first[r + 1]; i++) {
            const double *a = &spots->xy[2 * i], *b = spot_after(spots, r, i);
            const double *up = a[1] < b[1] ? a : b, *down = a[1] < b[1] ? b : a;
            for (int row = row_of(room, up[1]); row <= row_of(room, down[1]); row++) {
                double y = room->y_mm + (row + 0.5) * room->cell_mm;
                if (row < 0 || row >= room->rows || (up[1] <= y) == (down[1] <= y)) continue;
                double x = up[0] + (y - up[1]) / (down[1] - up[1]) * (down[0] - up[0]);
                int column = (int)fmax(0, ceil((x - room->x_mm) / room->cell_mm - 0.5));
                if (column < room->columns) flips[row * room->columns + column] ^= 1;
            }
        }
    for (int row = 0; row < room->rows; row++)
        for (int column = 0, inside = 0; column < room->columns; column++) {
            inside ^= flips[row * room->columns + column];
            if (inside) take_cell(room, column, row, owner);
        }
    arena_rewind(&work->scratch, mark);
    return true;
}

static bool take_piece(Room *room, const DraftPiece *piece, int owner, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Spots spots;
    if (!work_goes_on(work, err) || !move_rings(piece, &work->scratch, &spots, err)) return false;
    for (int r = 0; r < spots.ring_count; r++)
        for (int i = spots.first[r]; i < spots.first[r + 1]; i++)
            take_edge(room, &spots.xy[2 * i], spot_after(&spots, r, i), owner);
    bool done = take_inside(room, &spots, owner, work, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

static void take_box(Room *room, double x, double y, double w, double h)
{
    for (int row = row_of(room, y); row <= row_of(room, y + h); row++)
        for (int column = column_of(room, x); column <= column_of(room, x + w); column++) take_cell(room, column, row, WORDS);
}

static void sum_up(Room *room)
{
    int w = room->columns + 1;
    for (int y = 0; y < room->rows; y++)
        for (int x = 0; x < room->columns; x++)
            room->sums[(y + 1) * w + x + 1] = (room->owner[y * room->columns + x] != FREE) + room->sums[y * w + x + 1] +
                                              room->sums[(y + 1) * w + x] - room->sums[y * w + x];
}

static bool is_free(const Room *room, int column, int row, int wide, int high)
{
    int w = room->columns + 1;
    return room->sums[(row + high) * w + column + wide] - room->sums[row * w + column + wide] -
               room->sums[(row + high) * w + column] + room->sums[row * w + column] == 0;
}

// Steps from each cell to the nearest one of the piece; 5 a cell.
static void walk(const Room *room, int piece)
{
    int w = room->columns, h = room->rows, *steps = room->steps;
    for (int i = 0; i < w * h; i++) steps[i] = room->owner[i] == piece ? 0 : FAR_STEPS;
    for (int pass = 0; pass < 2; pass++)
        for (int k = 0; k < w * h; k++) {
            int i = pass == 0 ? k : w * h - 1 - k, x = i % w, y = i / w, d = pass == 0 ? -1 : 1;
            int sides[4] = {x + d >= 0 && x + d < w ? steps[i + d] + 5 : FAR_STEPS, FAR_STEPS, FAR_STEPS, FAR_STEPS};
            if (y + d >= 0 && y + d < h) {
                sides[1] = steps[i + d * w] + 5;
                if (x > 0) sides[2] = steps[i + d * w - 1] + 7;
                if (x + 1 < w) sides[3] = steps[i + d * w + 1] + 7;
            }
            for (int s = 0; s < 4; s++)
                if (sides[s] < steps[i]) steps[i] = sides[s];
        }
}

// --- names ---

static double name_wide(const char *name, double size_mm)
{
    return PRINT_LETTER_WIDE * (double)strlen(name) * size_mm;
}

static const Mark *label_of(const DraftPiece *piece)
{
    for (int m = 0; m < piece->mark_count; m++)
        if (piece->marks[m]->kind == MARK_LABEL) return piece->marks[m];
    return NULL;
}

static const DraftNote *note_of(const DraftSheet *sheet, const char *name)
{
    for (int n = 0; n < sheet->note_count; n++)
        if (strcmp(sheet->notes[n].text, name) == 0) return &sheet->notes[n];
    return NULL;
}

// The least extent of a path over directions of 15 degrees, in which labels are placed: the height of its letters.
static double letter_height_mm(const Path *path)
{
    static const double TURN[6][2] = {{1, 0}, {0.9659258263, 0.2588190451}, {0.8660254038, 0.5}, {0.7071067812, 0.7071067812},
                                      {0.5, 0.8660254038}, {0.2588190451, 0.9659258263}};
    double least = INFINITY;
    for (int k = 0; k < 12; k++) {
        double c = k < 6 ? TURN[k][0] : -TURN[k - 6][1], s = k < 6 ? TURN[k][1] : TURN[k - 6][0], low = INFINITY, high = -INFINITY;
        for (int i = 0; i < path->curve_count; i++) {
            const Point ends[2] = {path->curves[i].p0, path->curves[i].p3};
            for (int e = 0; e < 2; e++) {
                double at = (c * ends[e].x + s * ends[e].y) / UM_PER_MM;
                low = fmin(low, at);
                high = fmax(high, at);
            }
        }
        least = fmin(least, high - low);
    }
    return least;
}

static void path_box(const Path *path, const double m[6], double low[2], double high[2])
{
    low[0] = low[1] = INFINITY;
    high[0] = high[1] = -INFINITY;
    for (int i = 0; i < path->curve_count; i++) {
        const Point ends[2] = {path->curves[i].p0, path->curves[i].p3};
        for (int e = 0; e < 2; e++) {
            double x = ends[e].x / UM_PER_MM, y = ends[e].y / UM_PER_MM;
            const double at[2] = {m ? m[0] * x + m[2] * y + m[4] : x, m ? m[1] * x + m[3] * y + m[5] : y};
            for (int k = 0; k < 2; k++) {
                low[k] = fmin(low[k], at[k]);
                high[k] = fmax(high[k], at[k]);
            }
        }
    }
}

// Level, and as large as fits into the letters' height in every direction: the label may stand aslant on the sheet.
static PrintName name_on_label(const DraftPiece *piece, const Mark *label)
{
    double low[2], high[2], n = name_wide(piece->source->id, 1);
    path_box(&label->path, piece->to_sheet, low, high);
    return (PrintName){.kind = PRINT_NAME_COVERED, .x_mm = (low[0] + high[0]) / 2, .y_mm = (low[1] + high[1]) / 2,
                       .size_mm = letter_height_mm(&label->path) / sqrt(n * n + PRINT_LETTER_HIGH * PRINT_LETTER_HIGH)};
}

static PrintName name_at_note(const char *id, const DraftNote *note)
{
    double low[2], high[2];
    path_box(&note->path, NULL, low, high);
    double w = high[0] - low[0], h = high[1] - low[1];
    bool upright = h > w;
    return (PrintName){.kind = PRINT_NAME_BESIDE, .upright = upright, .x_mm = (low[0] + high[0]) / 2, .y_mm = (low[1] + high[1]) / 2,
                       .size_mm = fmin((upright ? w : h) / PRINT_LETTER_HIGH, (upright ? h : w) / name_wide(id, 1))};
}

static void half_box(const PrintName *name, const char *id, double out[2])
{
    double wide = name_wide(id, name->size_mm) / 2, high = PRINT_LETTER_HIGH * name->size_mm / 2;
    out[0] = name->upright ? high : wide;
    out[1] = name->upright ? wide : high;
}

static void nearest_spot(const Spots *spots, double x, double y, double out[2])
{
    double least = INFINITY;
    for (int r = 0; r < spots->ring_count; r++)
        for (int i = spots->first[r]; i < spots->first[r + 1]; i++) {
            const double *a = &spots->xy[2 * i], *b = spot_after(spots, r, i);
            double dx = b[0] - a[0], dy = b[1] - a[1], square = dx * dx + dy * dy;
            double t = square > 0 ? fmax(0, fmin(1, ((x - a[0]) * dx + (y - a[1]) * dy) / square)) : 0;
            double u = a[0] + t * dx, v = a[1] + t * dy, d = (u - x) * (u - x) + (v - y) * (v - y);
            if (d < least) least = d, out[0] = u, out[1] = v;
        }
}

// From the name's edge to the nearest place of the piece's; none where they are near enough without.
static void add_leader(PrintName *name, const char *id, const Spots *spots)
{
    double half[2], to[2] = {name->x_mm, name->y_mm};
    half_box(name, id, half);
    nearest_spot(spots, name->x_mm, name->y_mm, to);
    double dx = to[0] - name->x_mm, dy = to[1] - name->y_mm, length = hypot(dx, dy);
    double inside = fmin(fabs(dx) > 1e-9 ? (half[0] + LEADER_GAP_MM) / fabs(dx) : INFINITY,
                         fabs(dy) > 1e-9 ? (half[1] + LEADER_GAP_MM) / fabs(dy) : INFINITY);
    if (!(inside < 1) || length * (1 - inside) < LEADER_LEAST_MM) return;
    name->has_leader = true;
    name->from_mm[0] = name->x_mm + inside * dx;
    name->from_mm[1] = name->y_mm + inside * dy;
    name->to_mm[0] = to[0];
    name->to_mm[1] = to[1];
}

static bool leader_is_clear(const Room *room, const PrintName *name, int piece)
{
    if (!name->has_leader) return true;
    double dx = name->to_mm[0] - name->from_mm[0], dy = name->to_mm[1] - name->from_mm[1];
    int count = (int)ceil(hypot(dx, dy) / STEP_MM) + 1;
    for (int k = 0; k <= count; k++) {
        int column = column_of(room, name->from_mm[0] + dx * k / count), row = row_of(room, name->from_mm[1] + dy * k / count);
        if (column < 0 || row < 0 || column >= room->columns || row >= room->rows) continue;
        int owner = room->owner[row * room->columns + column];
        if (owner != FREE && owner != piece) return false;
    }
    return true;
}

// The free box whose middle is nearest to the piece, with a clear way to it.
static bool find_beside(const Room *room, const char *id, int piece, const Spots *spots, double size_mm, PrintName *out)
{
    int wide = (int)ceil(name_wide(id, size_mm) / room->cell_mm) + 1, high = (int)ceil(PRINT_LETTER_HIGH * size_mm / room->cell_mm) + 1;
    const int far_steps = (int)(5 * FAR_MM / room->cell_mm);
    int best = far_steps;
    for (int row = 0; row + high <= room->rows; row++)
        for (int column = 0; column + wide <= room->columns; column++) {
            int steps = room->steps[(row + high / 2) * room->columns + column + wide / 2];
            if (steps >= best || !is_free(room, column, row, wide, high)) continue;
            PrintName name = {.kind = PRINT_NAME_BESIDE, .size_mm = size_mm,
                              .x_mm = room->x_mm + (column + wide / 2.0) * room->cell_mm,
                              .y_mm = room->y_mm + (row + high / 2.0) * room->cell_mm};
            add_leader(&name, id, spots);
            if (!leader_is_clear(room, &name, piece)) continue;
            best = steps;
            *out = name;
        }
    return best < far_steps;
}

static bool lies_inside(const Spots *spots, double x, double y)
{
    bool inside = false;
    for (int r = 0; r < spots->ring_count; r++)
        for (int i = spots->first[r]; i < spots->first[r + 1]; i++) {
            const double *a = &spots->xy[2 * i], *b = spot_after(spots, r, i);
            if ((a[1] <= y) != (b[1] <= y) && a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) > x) inside = !inside;
        }
    return inside;
}

// The piece's roomiest place: of all middles of its cells the one farthest from its edges. Its cells alone do not tell, since they
// reach into narrow holes.
static PrintName find_inside(const Room *room, const char *id, int piece, const Spots *spots)
{
    double most = 0, n = name_wide(id, 1);
    PrintName name = {.kind = PRINT_NAME_INSIDE, .x_mm = spots->xy[0], .y_mm = spots->xy[1]};
    for (int i = 0; i < room->columns * room->rows; i++) {
        double x = room->x_mm + (i % room->columns + 0.5) * room->cell_mm, y = room->y_mm + (i / room->columns + 0.5) * room->cell_mm, edge[2];
        if (room->owner[i] != piece) continue;
        nearest_spot(spots, x, y, edge);
        double distance = hypot(edge[0] - x, edge[1] - y);
        if (distance <= most || !lies_inside(spots, x, y)) continue;
        most = distance;
        name.x_mm = x;
        name.y_mm = y;
    }
    double size = 2 * most / sqrt(n * n + PRINT_LETTER_HIGH * PRINT_LETTER_HIGH);
    name.size_mm = fmax(INSIDE_LEAST_MM, fmin(INSIDE_MOST_MM, size));
    return name;
}

static bool find_name(Room *room, const DraftSheet *sheet, const DraftPiece *piece, int index, Work *work, PrintName *out, Error *err)
{
    const char *id = piece->source->id;
    const Mark *label = label_of(piece);
    const DraftNote *note = note_of(sheet, id);
    Spots spots;
    if (label) return *out = name_on_label(piece, label), true;
    if (!work_goes_on(work, err) || !move_rings(piece, &work->scratch, &spots, err)) return false;
    if (note) {
        *out = name_at_note(id, note);
        add_leader(out, id, &spots);
        return true;
    }
    walk(room, index);
    sum_up(room);
    for (size_t k = 0; k < sizeof BESIDE_MM / sizeof BESIDE_MM[0]; k++) {
        double half[2];
        if (!find_beside(room, id, index, &spots, BESIDE_MM[k], out)) continue;
        half_box(out, id, half);
        take_box(room, out->x_mm - half[0], out->y_mm - half[1], 2 * half[0], 2 * half[1]);
        return true;
    }
    *out = find_inside(room, id, index, &spots);
    return true;
}

// --- squares ---

// As far down and right as there is room: most waste is there.
static void find_squares(Room *room, PrintPlaces *out)
{
    int side = (int)ceil((PRINT_SQUARE_MM + 2 * CLEAR_MM) / room->cell_mm);
    sum_up(room);
    for (int row = room->rows - side; row >= 0; row--)
        for (int column = room->columns - side; column >= 0; column--) {
            if (!is_free(room, column, row, side, side)) continue;
            out->has_squares = true;
            out->squares_mm[0] = room->x_mm + column * room->cell_mm + CLEAR_MM;
            out->squares_mm[1] = room->y_mm + row * room->cell_mm + CLEAR_MM;
            return;
        }
}

static void take_leader(Room *room, const PrintName *name)
{
    double dx = name->to_mm[0] - name->from_mm[0], dy = name->to_mm[1] - name->from_mm[1];
    int count = (int)ceil(hypot(dx, dy) / STEP_MM) + 1;
    for (int k = 0; k <= count && name->has_leader; k++)
        take_cell(room, column_of(room, name->from_mm[0] + dx * k / count), row_of(room, name->from_mm[1] + dy * k / count), WORDS);
}

static bool find_all(const Draft *draft, const DraftSheet *sheet, Room *room, Work *work, PrintPlaces *out, Error *err)
{
    for (int i = 0; i < sheet->piece_count; i++)
        if (!take_piece(room, &draft->pieces[sheet->pieces[i]], i, work, err)) return false;
    for (int n = 0; n < sheet->note_count; n++) {
        double low[2], high[2];
        path_box(&sheet->notes[n].path, NULL, low, high);
        take_box(room, low[0], low[1], high[0] - low[0], high[1] - low[1]);
    }
    for (int i = 0; i < sheet->piece_count; i++) {
        ArenaMark mark = arena_mark(&work->scratch);
        bool done = find_name(room, sheet, &draft->pieces[sheet->pieces[i]], i, work, &out->names[i], err);
        arena_rewind(&work->scratch, mark);
        if (!done) return false;
        take_leader(room, &out->names[i]);
    }
    find_squares(room, out);
    return true;
}

bool print_places_find(const Draft *draft, int sheet, Arena *keep, Work *work, PrintPlaces *out, Error *err)
{
    const DraftSheet *from = &draft->sheets[sheet];
    *out = (PrintPlaces){.names = arena_new(keep, PrintName, from->piece_count)};
    if (!out->names) return error_memory(err);
    ArenaMark mark = arena_mark(&work->scratch);
    Room room;
    bool done = room_make(from, work, &room, err) && find_all(draft, from, &room, work, out, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

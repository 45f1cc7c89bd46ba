// check_sheets.c - sheet by sheet, over all files: what is drawn and where the pieces lie.
#include "proof/check_sheet.h"

#include <math.h>
#include <string.h>

// Pieces by sheet: first[s] .. first[s + 1] - 1.
static bool pieces_by_sheet(Check *check, int **first, int **pieces, Error *err)
{
    const ReadKit *kit = check->kit;
    Arena *scratch = &check->work->scratch;
    *first = arena_new(scratch, int, kit->sheet_count + 1);
    *pieces = arena_new(scratch, int, kit->piece_count);
    int *next = arena_new(scratch, int, kit->sheet_count + 1);
    if (!*first || !*pieces || !next) return error_memory(err);
    for (int i = 0; i < kit->piece_count; i++)
        if (kit->pieces[i].sheet >= 0) (*first)[kit->pieces[i].sheet + 1]++;
    for (int s = 0; s < kit->sheet_count; s++) next[s + 1] = (*first)[s + 1] += (*first)[s];
    for (int i = 0; i < kit->piece_count; i++)
        if (kit->pieces[i].sheet >= 0) (*pieces)[next[kit->pieces[i].sheet]++] = i;
    return true;
}

typedef struct Sheets {
    Check *check;
    int *first, *pieces; // pieces by sheet
    unsigned char *inside;
} Sheets;

static SheetView view_of(const Sheets *sheets, int sheet)
{
    const ReadKit *kit = sheets->check->kit;
    const int *first = sheets->first;
    return (SheetView){sheets->check,          &kit->sheets[sheet],           &kit->papers[kit->sheets[sheet].paper],
                       sheets->pieces + first[sheet], first[sheet + 1] - first[sheet], sheets->inside};
}

void check_drawn_place(const SheetView *view, const ReadPiece *piece, double out_matrix[6])
{
    const double *box = view->paper->usable;
    memcpy(out_matrix, piece->to_sheet, 6 * sizeof *out_matrix);
    if (!view->check->kit->cut_from_back) return;
    out_matrix[0] = -out_matrix[0];
    out_matrix[2] = -out_matrix[2];
    out_matrix[4] = 2.0 * box[0] + box[2] - out_matrix[4];
}

void check_corners_box(const SheetView *view, double out_box[4])
{
    memcpy(out_box, view->paper->usable, 4 * sizeof *out_box);
    if (!view->check->kit->cut_from_back) return;
    out_box[0] += out_box[2];
    out_box[2] = -out_box[2];
}

// Lines on a sheet that lies face down would come to lie on its back.
static void check_bare(const SheetView *view)
{
    bool bare = view->sheet->note_count == 0;
    if (!view->check->kit->cut_from_back) return;
    for (int i = 0; i < view->piece_count; i++) bare = bare && view->check->kit->pieces[view->pieces[i]].mark_count == 0;
    if (!bare) fault_add(view->check->faults, "marks-on-back", view->sheet->id, 0, 0, "the sheet is cut from the back, but it has marks or notes");
}

static bool check_one_file(const Sheets *sheets, FileView *file, Error *err)
{
    bool good;
    Arena *scratch = &sheets->check->work->scratch;
    if (!check_file(sheets->check, file, &good, err)) return false;
    for (int i = 0; i < file->sheet_count && good; i++) {
        SheetView view = view_of(sheets, file->sheets[i]);
        ArenaMark mark = arena_mark(scratch);
        bool done = work_goes_on(sheets->check->work, err) && check_drawing(&view, file, i, err);
        arena_rewind(scratch, mark);
        if (!done) return false;
    }
    return true;
}

static bool check_one_sheet(const Sheets *sheets, int sheet, Error *err)
{
    SheetView view = view_of(sheets, sheet);
    if (view.piece_count == 0)
        fault_add(sheets->check->faults, "sheet-empty", view.sheet->id, 0, 0, "no piece lies on this sheet");
    for (int line = 0; line < READ_LINES; line++)
        if (!view.sheet->files[line] && !check_undrawn(&view, (ReadLine)line, err)) return false;
    check_bare(&view);
    return check_copies(&view, err) && check_places(&view, err);
}

bool check_sheets(Check *check, Error *err)
{
    Arena *scratch = &check->work->scratch;
    FileView *files;
    int file_count;
    Sheets sheets = {.check = check, .inside = arena_new(scratch, unsigned char, check->kit->piece_count)};
    if (!sheets.inside) return error_memory(err);
    if (!check_files(check, &files, &file_count, err) || !pieces_by_sheet(check, &sheets.first, &sheets.pieces, err)) return false;
    check->measured.least_gap_mm = check->measured.looked_gap_mm = INFINITY;
    for (int i = 0; i < file_count; i++) {
        ArenaMark mark = arena_mark(scratch);
        bool done = work_goes_on(check->work, err) && check_one_file(&sheets, &files[i], err);
        arena_rewind(scratch, mark);
        if (!done) return false;
    }
    for (int i = 0; i < check->kit->sheet_count; i++) {
        ArenaMark mark = arena_mark(scratch);
        bool done = work_goes_on(check->work, err) && check_one_sheet(&sheets, i, err);
        arena_rewind(scratch, mark);
        if (!done) return false;
    }
    return true;
}

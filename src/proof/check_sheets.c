// check_sheets.c - the sheet files: there, of the right page, colour and name, and drawing what kit.json says.
#include "proof/check_sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define SHEET_FOLDER "sheets/"
#define TEST_SHEET "sheets/00-test-"
#define MM_PER_IN 25.4      // 1 in = 25.4 mm exactly: international yard and pound agreement, 1959
#define NAME_ALLOWED_MM 0.1 // what an importer that goes by the file's name may be off

// The whole text is a number with a unit of mm or none.
static bool width_is(const char *text, double expected)
{
    const char *at = text, *end = text + strlen(text);
    double value;
    return read_number(&at, end, &value) && (at == end || strcmp(at, "mm") == 0) && fabs(value - expected) <= 1e-6;
}

static void check_page(const SheetView *view, const ReadDrawing *d)
{
    const ReadSheet *sheet = view->sheet;
    const ReadPaper *paper = view->paper;
    Faults *faults = view->check->faults;
    if (!(fabs(d->width_mm - paper->size[0]) <= PROOF_TOLERANCE_MM &&
          fabs(d->height_mm - paper->size[1]) <= PROOF_TOLERANCE_MM))
        fault_add(faults, "page-size-wrong", sheet->id, 0, 0, "the page is %.3f x %.3f mm; paper %s is %.3f x %.3f mm",
                  d->width_mm, d->height_mm, paper->id, paper->size[0], paper->size[1]);
    if (!(fabs(d->view[0]) <= 1e-9 && fabs(d->view[1]) <= 1e-9 && fabs(d->view[2] - d->width_mm) <= 1e-6 &&
          fabs(d->view[3] - d->height_mm) <= 1e-6))
        fault_add(faults, "page-size-wrong", sheet->id, 0, 0, "the viewBox should be the page in mm");
    for (int i = 0; i < 4; i++)
        if (!(fabs(sheet->box[i] - paper->usable[i]) <= PROOF_TOLERANCE_MM))
            fault_add(faults, "drawn-box-wrong", sheet->id, 0, 0, "box_mm is not the usable area of paper %s",
                      paper->id);
}

static void check_colours(const SheetView *view, const ReadDrawing *d)
{
    char fill[8];
    uint32_t colour =
        view->paper->colour == 0xFFFFFF ? 0xFDFDFB : view->paper->colour; // pure white is invisible to some software
    const char *id = view->sheet->id;
    Faults *faults = view->check->faults;
    snprintf(fill, sizeof fill, "#%06x", (unsigned)colour);
    if (strcasecmp(d->fill[READ_CUT], fill) != 0)
        fault_add(faults, "colour-wrong", id, 0, 0, "the cut path is filled with \"%s\"; paper %s asks for %s",
                  d->fill[READ_CUT], view->paper->id, fill);
    if (d->stroke[READ_CUT][0] && strcmp(d->stroke[READ_CUT], "none") != 0)
        fault_add(faults, "colour-wrong", id, 0, 0, "the cut path should have no stroke; it has \"%s\"",
                  d->stroke[READ_CUT]);
    if (strcmp(d->rule[READ_CUT], "evenodd") != 0)
        fault_add(faults, "fill-rule-wrong", id, 0, 0, "the cut path's fill-rule should be evenodd");
    for (int line = READ_SCORE; line <= READ_PEN; line++) {
        const char *ours = line == READ_SCORE ? "#b4581a" : "#2f6f5e";
        if (!d->there[line]) continue;
        if (strcasecmp(d->stroke[line], ours) != 0 || strcmp(d->fill[line], "none") != 0 ||
            !width_is(d->stroke_width[line], 0.2))
            fault_add(faults, "colour-wrong", id, 0, 0, "the %s path should have stroke %s of width 0.2 and fill none",
                      read_line_name((ReadLine)line), ours);
    }
}

// "...-8x10.5in.svg": what an importer would be told.
static void check_name(const SheetView *view)
{
    const char *file = view->sheet->file, *dash = strrchr(file, '-'), *end = file + strlen(file);
    double width = 0.0, height = 0.0;
    const char *at = dash ? dash + 1 : end;
    bool good = read_number(&at, end, &width) && at < end && *at++ == 'x' && read_number(&at, end, &height) &&
                strcmp(at, "in.svg") == 0;
    const double *box = view->sheet->box;
    if (good && fabs(height * MM_PER_IN - box[3]) <= NAME_ALLOWED_MM &&
        fabs(width * MM_PER_IN - box[2]) <= NAME_ALLOWED_MM)
        return;
    fault_add(view->check->faults, "sheet-name-wrong", view->sheet->id, 0, 0,
              "the file's name should end in the drawn box, -%.4gx%.4gin.svg; it is %s", box[2] / MM_PER_IN,
              box[3] / MM_PER_IN, file);
}

static bool check_sheet(const SheetView *view, Error *err)
{
    ReadDrawing drawing;
    Check *check = view->check;
    bool good;
    const FileBytes *file = file_find(check->files, view->sheet->file);
    if (view->piece_count == 0)
        fault_add(check->faults, "sheet-empty", view->sheet->id, 0, 0, "no piece lies on this sheet");
    check_name(view);
    if (!file) {
        fault_add(check->faults, "file-missing", view->sheet->id, 0, 0, "%s is missing", view->sheet->file);
        return true;
    }
    if (!read_drawing(file, &check->work->scratch, check->faults, view->sheet->id, &good, &drawing, err)) return false;
    if (good) {
        check_page(view, &drawing);
        check_colours(view, &drawing);
        if (!check_drawing(view, &drawing, err)) return false;
    }
    return check_places(view, err);
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

// Each file below sheets/ belongs to one sheet; test sheets are nobody's.
static bool check_files(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    const char **names = arena_new(&check->work->scratch, const char *, kit->sheet_count);
    if (!names) return error_memory(err);
    for (int i = 0; i < kit->sheet_count; i++) names[i] = kit->sheets[i].file;
    if (kit->sheet_count > 1) qsort(names, (size_t)kit->sheet_count, sizeof *names, by_text);
    for (int i = 0; i < kit->sheet_count; i++) {
        if (i > 0 && strcmp(names[i - 1], names[i]) == 0)
            fault_add(check->faults, "file-twice", names[i], 0, 0, "two sheets have the same file");
        if (strncmp(names[i], SHEET_FOLDER, strlen(SHEET_FOLDER)) != 0 || strstr(names[i], ".."))
            fault_add(check->faults, "sheet-name-wrong", names[i], 0, 0, "a sheet's file should lie in sheets/");
    }
    for (int i = 0; i < check->files->count; i++) {
        const char *name = check->files->items[i].name;
        if (strncmp(name, SHEET_FOLDER, strlen(SHEET_FOLDER)) != 0 ||
            strncmp(name, TEST_SHEET, strlen(TEST_SHEET)) == 0)
            continue;
        if (kit->sheet_count == 0 || !bsearch(&name, names, (size_t)kit->sheet_count, sizeof *names, by_text))
            fault_add(check->faults, "file-extra", name, 0, 0, "%s belongs to no sheet of kit.json", name);
    }
    return true;
}

static void check_key_plan(Check *check)
{
    const FileBytes *file = file_find(check->files, "key-plan.svg");
    const char *problem;
    if (!file)
        fault_add(check->faults, "file-missing", "key-plan.svg", 0, 0, "key-plan.svg is missing");
    else if (!read_is_svg(file, &problem))
        fault_add(check->faults, "bad-file", "key-plan.svg", 0, 0, "key-plan.svg: %s", problem);
}

// Pieces by sheet: first[s] .. first[s + 1] - 1.
static bool pieces_by_sheet(Check *check, int **first, int **pieces, Error *err)
{
    const ReadKit *kit = check->kit;
    Arena *scratch = &check->work->scratch;
    *first = arena_new(scratch, int, kit->sheet_count + 1);
    *pieces = arena_new(scratch, int, kit->piece_count);
    int *next = arena_new(scratch, int, kit->sheet_count + 1);
    if (!*first || !*pieces || !next) return error_memory(err);
    for (int i = 0; i < kit->piece_count; i++) (*first)[kit->pieces[i].sheet + 1]++;
    for (int s = 0; s < kit->sheet_count; s++) next[s + 1] = (*first)[s + 1] += (*first)[s];
    for (int i = 0; i < kit->piece_count; i++) (*pieces)[next[kit->pieces[i].sheet]++] = i;
    return true;
}

bool check_sheets(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    int *first, *pieces;
    unsigned char *inside = arena_new(&check->work->scratch, unsigned char, kit->piece_count);
    if (!inside) return error_memory(err);
    if (!check_files(check, err) || !pieces_by_sheet(check, &first, &pieces, err)) return false;
    check_key_plan(check);
    check->measured.least_gap_mm = check->measured.looked_gap_mm = INFINITY;
    for (int i = 0; i < kit->sheet_count; i++) {
        SheetView view = {
            check, &kit->sheets[i], &kit->papers[kit->sheets[i].paper], pieces + first[i], first[i + 1] - first[i],
            inside};
        ArenaMark mark = arena_mark(&check->work->scratch);
        bool done = work_goes_on(check->work, err) && check_sheet(&view, err);
        arena_rewind(&check->work->scratch, mark);
        if (!done) return false;
    }
    return true;
}

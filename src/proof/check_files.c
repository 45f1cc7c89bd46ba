// check_files.c - the files for the cutter one by one: there, named, and of the right page, colours and groups; see
// check_sheet.h.
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
#define MAX_SHEETS 20000    // of one file: a house of letter paper
#define MAX_STEPS 500000000 // of a search that honest files end at once

// --- one file ---

static const ReadSheet *first_sheet(const Check *check, const FileView *file)
{
    return &check->kit->sheets[file->sheets[0]];
}

static const ReadPaper *paper_of(const Check *check, const ReadSheet *sheet)
{
    return &check->kit->papers[sheet->paper];
}

// The whole text is a number with a unit of mm or none.
static bool width_is(const char *text, double expected)
{
    const char *at = text, *end = text + strlen(text);
    double value;
    return read_number(&at, end, &value) && (at == end || strcmp(at, "mm") == 0) && fabs(value - expected) <= 1e-6;
}

// Sheets do not lie on one another; one other is named for each.
static bool check_apart(Check *check, const FileView *file, Error *err)
{
    const double *size = paper_of(check, first_sheet(check, file))->size;
    for (int i = 0; i < file->sheet_count; i++) {
        const ReadSheet *sheet = &check->kit->sheets[file->sheets[i]];
        if (i % 64 == 0 && !work_goes_on(check->work, err)) return false;
        for (int j = 0; j < i; j++) {
            const ReadSheet *other = &check->kit->sheets[file->sheets[j]];
            if (fabs(sheet->offset[0] - other->offset[0]) >= size[0] || fabs(sheet->offset[1] - other->offset[1]) >= size[1]) continue;
            fault_add(check->faults, "sheets-overlap", sheet->id, sheet->offset[0], sheet->offset[1],
                      "the sheet lies on sheet %s in %s", other->id, file->name);
            break;
        }
    }
    return true;
}

// The page is what the sheets span, which are all of one paper.
static void check_page(Check *check, const FileView *file)
{
    const ReadDrawing *d = &file->drawing;
    const ReadSheet *first = first_sheet(check, file);
    const ReadPaper *paper = paper_of(check, first);
    Faults *faults = check->faults;
    double size[2] = {0, 0};
    for (int i = 0; i < file->sheet_count; i++) {
        const ReadSheet *sheet = &check->kit->sheets[file->sheets[i]];
        for (int k = 0; k < 2; k++) size[k] = fmax(size[k], sheet->offset[k] + paper->size[k]);
        if (sheet->paper != first->paper)
            fault_add(faults, "paper-wrong", sheet->id, 0, 0, "the sheets of one file should be of one paper");
    }
    if (!(fabs(d->width_mm - size[0]) <= PROOF_TOLERANCE_MM && fabs(d->height_mm - size[1]) <= PROOF_TOLERANCE_MM))
        fault_add(faults, "page-size-wrong", first->id, 0, 0,
                  "the page is %.3f x %.3f mm; %d of paper %s should span %.3f x %.3f mm", d->width_mm, d->height_mm,
                  file->sheet_count, paper->id, size[0], size[1]);
    if (!(fabs(d->view[0]) <= 1e-9 && fabs(d->view[1]) <= 1e-9 && fabs(d->view[2] - d->width_mm) <= 1e-6 &&
          fabs(d->view[3] - d->height_mm) <= 1e-6))
        fault_add(faults, "page-size-wrong", first->id, 0, 0, "the viewBox should be the page in mm");
}

static void check_cut_colours(Check *check, const FileView *file, const ReadObject *object)
{
    char fill[8];
    const ReadSheet *sheet = first_sheet(check, file);
    const ReadPaper *paper = paper_of(check, sheet);
    uint32_t colour = paper->colour == 0xFFFFFF ? 0xFDFDFB : paper->colour; // pure white is invisible to some software
    Faults *faults = check->faults;
    snprintf(fill, sizeof fill, "#%06x", (unsigned)colour);
    if (strcasecmp(object->fill, fill) != 0)
        fault_add(faults, "colour-wrong", sheet->id, 0, 0, "a cut path is filled with \"%s\"; paper %s asks for %s",
                  object->fill, paper->id, fill);
    if (object->stroke[0] && strcmp(object->stroke, "none") != 0)
        fault_add(faults, "colour-wrong", sheet->id, 0, 0, "a cut path should have no stroke; it has \"%s\"",
                  object->stroke);
    if (strcmp(object->rule, "evenodd") != 0)
        fault_add(faults, "fill-rule-wrong", sheet->id, 0, 0, "a cut path's fill-rule should be evenodd");
}

static void check_colours(Check *check, const FileView *file)
{
    for (int i = 0; i < file->drawing.object_count; i++) {
        const ReadObject *object = &file->drawing.objects[i];
        const char *ours = object->line == READ_SCORE ? "#b4581a" : "#2f6f5e";
        bool is_corners = strcmp(object->group, "corners") == 0;
        if (object->line == READ_CUT) {
            check_cut_colours(check, file, object);
            continue;
        }
        bool good = is_corners ? strcasecmp(object->fill, ours) == 0 && (!object->stroke[0] || strcmp(object->stroke, "none") == 0)
                               : strcasecmp(object->stroke, ours) == 0 && strcmp(object->fill, "none") == 0 &&
                                     width_is(object->stroke_width, 0.2);
        if (!good)
            fault_add(check->faults, "colour-wrong", first_sheet(check, file)->id, 0, 0,
                      is_corners ? "corner marks of the %s lines should be filled with %s, without stroke"
                                 : "a %s path should have stroke %s of width 0.2 and fill none",
                      read_line_name(object->line), ours);
    }
}

// How many paths a line kind may have, and in which groups: where nobody asked for a group a piece, one path of all
// lines, and a second one for corner marks that are drawn with the line.
static void check_groups(Check *check, const FileView *file)
{
    const ReadDrawing *d = &file->drawing;
    const char *id = first_sheet(check, file)->id;
    int plain[READ_LINES] = {0}, corners[READ_LINES] = {0}, others = 0, unnamed = 0;
    for (int i = 0; i < d->object_count; i++) {
        bool is_plain = !d->objects[i].group[0], is_corners = strcmp(d->objects[i].group, "corners") == 0;
        plain[d->objects[i].line] += is_plain;
        corners[d->objects[i].line] += is_corners;
        others += !is_plain && !is_corners;
        unnamed += is_plain;
    }
    for (int line = 0; line < READ_LINES; line++)
        if (d->there[line] && !file->holds[line])
            fault_add(check->faults, "groups-wrong", id, 0, 0, "%s holds %s lines, which belong elsewhere", file->name,
                      read_line_name((ReadLine)line));
    if (check->kit->sheets_for == READ_FOR_PIECE) {
        if (unnamed > 0)
            fault_add(check->faults, "groups-wrong", id, 0, 0, "%s has %d paths that are in no piece's group", file->name, unnamed);
        return;
    }
    for (int line = 0; line < READ_LINES; line++) {
        int most = check->kit->sheets_for == READ_FOR_LINE && line != READ_CUT ? 1 : 0;
        if (plain[line] > 1 || corners[line] > most || others > 0)
            fault_add(check->faults, "groups-wrong", id, 0, 0, "%s should have one path of %s lines", file->name,
                      read_line_name((ReadLine)line));
    }
}

static int by_group(const void *a, const void *b)
{
    return strcmp((*(const ReadObject *const *)a)->group, (*(const ReadObject *const *)b)->group);
}

// A group's name is an id: it comes once in a file.
static bool check_group_names(Check *check, const FileView *file, Error *err)
{
    const ReadDrawing *d = &file->drawing;
    const ReadObject **objects = arena_new(&check->work->scratch, const ReadObject *, d->object_count);
    if (!objects) return error_memory(err);
    for (int i = 0; i < d->object_count; i++) objects[i] = &d->objects[i];
    qsort(objects, (size_t)d->object_count, sizeof *objects, by_group);
    for (int i = 1; i < d->object_count; i++)
        if (strcmp(objects[i - 1]->group, objects[i]->group) == 0)
            fault_add(check->faults, "groups-wrong", first_sheet(check, file)->id, 0, 0, "%s: the group \"%s\" holds more than one path",
                      file->name, objects[i]->group);
    return true;
}

// "...-8x10.5in.svg" or "...-8x10.5in-score.svg": what an importer would be told.
static void check_name(Check *check, const FileView *file)
{
    const char *name = file->name, *end = name + strlen(name), *dash = strrchr(name, '-');
    char after[24] = "in.svg";
    double low[2] = {INFINITY, INFINITY}, high[2] = {-INFINITY, -INFINITY}, width = 0.0, height = 0.0;
    if (check->kit->sheets_for == READ_FOR_LINE) {
        int line = file->holds[READ_CUT] ? READ_CUT : file->holds[READ_SCORE] ? READ_SCORE : READ_PEN;
        snprintf(after, sizeof after, "in-%s.svg", read_line_name((ReadLine)line));
        while (dash && dash > name && *--dash != '-') continue;
    }
    for (int i = 0; i < file->sheet_count; i++) {
        const ReadSheet *sheet = &check->kit->sheets[file->sheets[i]];
        for (int k = 0; k < 2; k++) {
            low[k] = fmin(low[k], sheet->offset[k] + sheet->box[k]);
            high[k] = fmax(high[k], sheet->offset[k] + sheet->box[k] + sheet->box[k + 2]);
        }
    }
    const char *at = dash ? dash + 1 : end;
    bool good = read_number(&at, end, &width) && at < end && *at++ == 'x' && read_number(&at, end, &height) &&
                strcmp(at, after) == 0;
    double box[2] = {high[0] - low[0], high[1] - low[1]};
    if (good && fabs(height * MM_PER_IN - box[1]) <= NAME_ALLOWED_MM && fabs(width * MM_PER_IN - box[0]) <= NAME_ALLOWED_MM)
        return;
    fault_add(check->faults, "sheet-name-wrong", first_sheet(check, file)->id, 0, 0,
              "the file's name should end in the drawn box, -%.4gx%.4g%s; it is %s", box[0] / MM_PER_IN, box[1] / MM_PER_IN,
              after, name);
}

// --- which sheet of its file a path lies on ---

static bool lies_on(const Check *check, const FileView *file, int index, Spot p)
{
    const ReadSheet *sheet = &check->kit->sheets[file->sheets[index]];
    const double *size = paper_of(check, sheet)->size;
    double x = p.x - sheet->offset[0], y = p.y - sheet->offset[1];
    return x >= 0 && y >= 0 && x < size[0] && y < size[1];
}

// By the middle of its box. Sheets are drawn one after the other, so that the last part's sheet is tried first.
static bool find_owners(Check *check, FileView *file, ReadLine line, Error *err)
{
    const ReadPath *path = &file->drawing.paths[line];
    int *owners = arena_new(&check->work->scratch, int, path->part_count), last = 0;
    int64_t steps = 0;
    if (!owners) return error_memory(err);
    file->owners[line] = owners;
    for (int i = 0; i < path->part_count && file->sheet_count > 1; i++) {
        ReadPath only = {.curves = path->curves + path->parts[i].first, .curve_count = path->parts[i].count};
        SpotBox box = measure_box(&only);
        Spot middle = {0.5 * (box.min.x + box.max.x), 0.5 * (box.min.y + box.max.y)};
        owners[i] = -1;
        if (i % 256 == 0 && !work_goes_on(check->work, err)) return false;
        for (int k = 0; k < file->sheet_count && owners[i] < 0; k++, steps++) {
            int index = (last + k) % file->sheet_count;
            if (lies_on(check, file, index, middle)) owners[i] = last = index;
        }
        if (steps > MAX_STEPS) return error_set(err, ERROR_INPUT, "a file has more sheets and paths than can be told apart");
        if (owners[i] < 0)
            fault_add(check->faults, "sheet-extra-path", first_sheet(check, file)->id, box.min.x, box.min.y,
                      "%s, %s: a path is drawn on none of its sheets", file->name, read_line_name(line));
    }
    return true;
}

bool check_file(Check *check, FileView *file, bool *good, Error *err)
{
    const ReadSheet *sheet = first_sheet(check, file);
    const FileBytes *bytes = file_find(check->files, file->name);
    *good = false;
    if (file->sheet_count > MAX_SHEETS)
        return error_set(err, ERROR_INPUT, "%s should hold at most %d sheets", file->name, MAX_SHEETS);
    check_name(check, file);
    if (!bytes) {
        fault_add(check->faults, "file-missing", sheet->id, 0, 0, "%s is missing", file->name);
        return true;
    }
    if (!read_drawing(bytes, &check->work->scratch, check->faults, sheet->id, good, &file->drawing, err)) return false;
    if (!*good) return true;
    check_page(check, file);
    if (!check_apart(check, file, err)) return false;
    check_colours(check, file);
    check_groups(check, file);
    if (check->kit->sheets_for == READ_FOR_PIECE && !check_group_names(check, file, err)) return false;
    for (int line = 0; line < READ_LINES; line++)
        if (!find_owners(check, file, (ReadLine)line, err)) return false;
    return true;
}

// --- all files ---

typedef struct NamedSheet {
    const char *file;
    int sheet;
} NamedSheet;

static int by_file(const void *a, const void *b)
{
    const NamedSheet *p = a, *q = b;
    int order = strcmp(p->file, q->file);
    return order ? order : (p->sheet > q->sheet) - (p->sheet < q->sheet);
}

// Sheets with the same file, neighbours in *out.
static bool group_by_file(Check *check, FileView *out, int *out_count, Error *err)
{
    const ReadKit *kit = check->kit;
    NamedSheet *named = arena_new(&check->work->scratch, NamedSheet, kit->sheet_count);
    int *sheets = arena_new(&check->work->scratch, int, kit->sheet_count);
    if (!named || !sheets) return error_memory(err);
    for (int i = 0; i < kit->sheet_count; i++) named[i] = (NamedSheet){kit->sheets[i].files[READ_CUT], i};
    if (kit->sheet_count > 1) qsort(named, (size_t)kit->sheet_count, sizeof *named, by_file);
    for (int i = 0; i < kit->sheet_count; i++) {
        sheets[i] = named[i].sheet;
        if (i == 0 || strcmp(named[i].file, named[i - 1].file) != 0)
            out[(*out_count)++] = (FileView){.name = named[i].file, .sheets = &sheets[i], .holds = {true, true, true}};
        out[*out_count - 1].sheet_count++;
    }
    return true;
}

static bool list_files(Check *check, FileView **out, int *out_count, Error *err)
{
    const ReadKit *kit = check->kit;
    int *sheets = arena_new(&check->work->scratch, int, kit->sheet_count);
    *out = arena_new(&check->work->scratch, FileView, READ_LINES * (size_t)kit->sheet_count);
    *out_count = 0;
    if (!sheets || !*out) return error_memory(err);
    if (kit->sheets_for == READ_FOR_LAYER) return group_by_file(check, *out, out_count, err);
    for (int i = 0; i < kit->sheet_count; i++) {
        sheets[i] = i;
        bool apart = kit->sheets_for == READ_FOR_LINE;
        for (int line = 0; line < (apart ? READ_LINES : 1); line++) {
            if (!kit->sheets[i].files[line]) continue;
            FileView *file = &(*out)[(*out_count)++];
            *file = (FileView){.name = kit->sheets[i].files[line], .sheets = &sheets[i], .sheet_count = 1};
            for (int k = 0; k < READ_LINES; k++) file->holds[k] = !apart || k == line;
        }
    }
    return true;
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

// A file to print is a PDF; what it shows is not read back.
static void check_print(Check *check, const ReadPaper *paper)
{
    const FileBytes *file = file_find(check->files, paper->print);
    if (!file)
        fault_add(check->faults, "file-missing", paper->id, 0, 0, "%s is missing", paper->print);
    else if (file->size_bytes < 5 || memcmp(file->bytes, "%PDF-", 5) != 0)
        fault_add(check->faults, "bad-file", paper->id, 0, 0, "%s is no PDF", paper->print);
}

// Each file below sheets/ is named once by kit.json; test sheets are nobody's.
static bool check_file_names(Check *check, const FileView *files, int file_count, Error *err)
{
    const ReadKit *kit = check->kit;
    int count = 0, copies = 0;
    for (int i = 0; i < kit->sheet_count; i++) copies += kit->sheets[i].copy_count;
    const char **names = arena_new(&check->work->scratch, const char *, file_count + kit->paper_count + copies);
    if (!names) return error_memory(err);
    for (int i = 0; i < file_count; i++) names[count++] = files[i].name;
    for (int i = 0; i < kit->sheet_count; i++)
        for (int k = 0; k < kit->sheets[i].copy_count; k++) names[count++] = kit->sheets[i].copies[k];
    for (int i = 0; i < kit->paper_count; i++) {
        if (!kit->papers[i].print) continue;
        names[count++] = kit->papers[i].print;
        check_print(check, &kit->papers[i]);
    }
    if (count > 1) qsort(names, (size_t)count, sizeof *names, by_text);
    for (int i = 0; i < count; i++) {
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
        if (count == 0 || !bsearch(&name, names, (size_t)count, sizeof *names, by_text))
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

bool check_files(Check *check, FileView **out, int *out_count, Error *err)
{
    if (!check->kit->recut_of) check_key_plan(check); // it is the whole kit's
    return list_files(check, out, out_count, err) && check_file_names(check, *out, *out_count, err);
}

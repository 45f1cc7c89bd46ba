// sheet_files.c - see sheet_files.h.
#include "kit/sheet_files.h"

#include "base/length.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *kit_for_word(KitFor sheets_for)
{
    switch (sheets_for) {
    case KIT_FOR_SHEET: return "sheet";
    case KIT_FOR_PIECE: return "piece";
    case KIT_FOR_LAYER: return "layer";
    case KIT_FOR_LINE: return "line";
    }
    return "";
}

bool kit_for_find(const char *word, KitFor *out)
{
    for (KitFor f = KIT_FOR_SHEET; f <= KIT_FOR_LINE; f++) {
        if (strcmp(kit_for_word(f), word) != 0) continue;
        *out = f;
        return true;
    }
    return false;
}

static const struct { const char *word; unsigned adds, takes; } FORMATS[] = {{"svg", 0, 0}, {"pdf", 0, KIT_WITHOUT_PDF}, {"dxf", KIT_DXF, 0}, {"hpgl", KIT_HPGL, 0}};

bool kit_formats_find(const char *words, unsigned *out)
{
    unsigned formats = KIT_WITHOUT_PDF;
    for (const char *at = words; ; at++) {
        size_t size = strcspn(at, ","), k = 0;
        while (k < 4 && !(strlen(FORMATS[k].word) == size && strncmp(at, FORMATS[k].word, size) == 0)) k++;
        if (k == 4) return false;
        formats = (formats | FORMATS[k].adds) & ~FORMATS[k].takes;
        at += size;
        if (!*at) break;
    }
    *out = formats;
    return true;
}

bool sheet_has_line(const Draft *draft, const DraftSheet *sheet, MarkLine line)
{
    if (line == MARK_CUT) return true; // outlines
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        for (int m = 0; m < piece->mark_count; m++)
            if (piece->marks[m]->line == line) return true;
    }
    for (int n = 0; n < sheet->note_count; n++)
        if (sheet->notes[n].line == line) return true;
    return false;
}

// --- names ---

void sheet_files_stem(const KitInput *input, int paper, char out[160])
{
    char name[64], word[64], height[NUMBER_MAX];
    text_safe_name(input->name, name, sizeof name);
    draft_paper_word(input, paper, word);
    number_format(height, input->stack->height_mm / MM_PER_INCH, 2);
    snprintf(out, 160, "sheets/%s-%.12sin-%s", name, height, word);
}

static const char *line_end(const DraftFile *file)
{
    if (!file->one_line) return "";
    switch (file->line) {
    case MARK_CUT: return "-cut";
    case MARK_SCORE: return "-score";
    case MARK_PEN: return "-pen";
    }
    return "";
}

static int digits_of(int number)
{
    int digits = 1;
    while (number >= 10) number /= 10, digits++;
    return digits;
}

// Numbers are as wide as their last one, so that a list of files is in order.
static void write_name(const Draft *draft, const DraftFile *file, const char *extension, char out[240])
{
    const DraftSheet *sheet = &draft->sheets[file->first_sheet];
    char stem[160], numbers[40], box_w[NUMBER_MAX], box_h[NUMBER_MAX];
    sheet_files_stem(draft->input, sheet->paper, stem);
    number_format(box_w, file->box_mm[2] / MM_PER_INCH, 3);
    number_format(box_h, file->box_mm[3] / MM_PER_INCH, 3);
    if (file->sheet_count > 1) snprintf(numbers, sizeof numbers, "1-to-%d", sheet->of);
    else snprintf(numbers, sizeof numbers, "%0*d-of-%d", digits_of(sheet->of), sheet->number, sheet->of);
    snprintf(out, 240, "%s-%s-%.12sx%.12sin%s.%s", stem, numbers, box_w, box_h, line_end(file), extension);
}

void sheet_copy_name(const Draft *draft, const DraftSheet *sheet, const char *extension, char out[240])
{
    DraftFile file = {.first_sheet = (int)(sheet - draft->sheets), .sheet_count = 1};
    paper_usable(&draft->input->papers[sheet->paper].paper, file.box_mm);
    write_name(draft, &file, extension, out);
}

// --- places ---

// Columns of sheets in rows: the whole should be about as wide as high, else a height typed with three decimals would
// not place the far end within a tenth of a millimetre.
static int columns_of(const Paper *paper, int count)
{
    int best = 1;
    double least = INFINITY;
    for (int columns = 1; columns <= count; columns++) {
        int rows = (count + columns - 1) / columns;
        double side = fmax(columns * (paper->width_mm + SHEET_FILES_APART_MM), rows * (paper->height_mm + SHEET_FILES_APART_MM));
        if (side < least) best = columns, least = side;
    }
    return best;
}

// The page that the sheets fill, and the drawn box of all their corner marks.
static void lay_out(Draft *draft, DraftFile *file)
{
    const Paper *paper = &draft->input->papers[draft->sheets[file->first_sheet].paper].paper;
    int columns = columns_of(paper, file->sheet_count), rows = (file->sheet_count + columns - 1) / columns;
    for (int i = 0; i < file->sheet_count; i++) {
        DraftSheet *sheet = &draft->sheets[file->first_sheet + i];
        sheet->offset_mm[0] = i % columns * (paper->width_mm + SHEET_FILES_APART_MM);
        sheet->offset_mm[1] = i / columns * (paper->height_mm + SHEET_FILES_APART_MM);
    }
    file->size_mm[0] = columns * (paper->width_mm + SHEET_FILES_APART_MM) - SHEET_FILES_APART_MM;
    file->size_mm[1] = rows * (paper->height_mm + SHEET_FILES_APART_MM) - SHEET_FILES_APART_MM;
    paper_usable(paper, file->box_mm);
    file->box_mm[2] += file->size_mm[0] - paper->width_mm;
    file->box_mm[3] += file->size_mm[1] - paper->height_mm;
}

static void add_file(Draft *draft, DraftFile file)
{
    DraftFile *out = &draft->files[draft->file_count++];
    *out = file;
    lay_out(draft, out);
    write_name(draft, out, "svg", out->name);
    if (file.one_line && file.line != MARK_CUT) return; // the sheet's file is the one with its cuts
    for (int i = 0; i < file.sheet_count; i++)
        snprintf(draft->sheets[file.first_sheet + i].file, sizeof draft->sheets[0].file, "%s", out->name);
}

bool sheet_files_make(Draft *draft, Arena *keep, Error *err)
{
    static const MarkLine LINES[] = {MARK_CUT, MARK_SCORE, MARK_PEN};
    draft->file_count = 0;
    draft->files = arena_new(keep, DraftFile, 3 * (size_t)draft->sheet_count);
    if (!draft->files) return error_memory(err);
    for (int s = 0, step; s < draft->sheet_count; s += step) {
        step = 1;
        switch (draft->input->options.sheets_for) {
        case KIT_FOR_LAYER:
            step = draft->sheets[s].of;
            add_file(draft, (DraftFile){.first_sheet = s, .sheet_count = step});
            break;
        case KIT_FOR_LINE:
            for (int k = 0; k < 3; k++)
                if (sheet_has_line(draft, &draft->sheets[s], LINES[k]))
                    add_file(draft, (DraftFile){.first_sheet = s, .sheet_count = 1, .one_line = true, .line = LINES[k]});
            break;
        case KIT_FOR_SHEET:
        case KIT_FOR_PIECE:
            add_file(draft, (DraftFile){.first_sheet = s, .sheet_count = 1});
            break;
        }
    }
    return true;
}

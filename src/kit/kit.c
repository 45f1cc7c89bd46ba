// kit.c - see kit.h. The story: draft (who lies where), notes in the waste, totals, then one writer a file.
#include "kit/kit.h"

#include "kit/board_pdf.h"
#include "kit/draft.h"
#include "kit/dxf.h"
#include "kit/guide.h"
#include "kit/guide_html.h"
#include "kit/json.h"
#include "kit/notes.h"
#include "kit/plan.h"
#include "kit/plotter.h"
#include "kit/print_sheet.h"
#include "kit/read_me.h"
#include "kit/rest.h"
#include "kit/sheet_files.h"
#include "kit/svg.h"
#include "kit/test_sheet.h"

#include <assert.h>

typedef enum Writer { WRITE_GUIDE, WRITE_GUIDE_HTML, WRITE_PLAN, WRITE_JSON, WRITE_READ_ME, WRITE_PRINT, WRITE_TEST, WRITE_BOARD, WRITE_SHEETS, WRITE_DXF, WRITE_PLOTTER } Writer;

typedef struct FileUnit {
    Writer writer;
    int index;      // of the paper to print, of the test sheet, of the file with sheets, of the sheet
    FileBytes file;
} FileUnit;

struct KitMaking {
    Draft draft;
    TestSheet *tests;
    int test_count;
    FileUnit *units;
    int unit_count;
};

bool kit_begin(const KitInput *input, Arena *own, Work *work, KitMaking **out, Error *err)
{
    *out = arena_new(own, KitMaking, 1);
    if (!*out) return error_memory(err);
    Draft *draft = &(*out)->draft;
    if (draft_make(input, own, work, draft, err) && board_make(draft, own, work, &draft->board, err)) return true;
    *out = NULL;
    return false;
}

int kit_note_count(const KitMaking *making)
{
    return making->draft.sheet_count;
}

bool kit_note(KitMaking *making, int unit, Arena *own, Work *work, Error *err)
{
    return work_goes_on(work, err) && notes_add(&making->draft, unit, own, work, err) && rest_find(&making->draft, unit, work, err);
}

static void add_unit(KitMaking *making, Writer writer, int index)
{
    making->units[making->unit_count++] = (FileUnit){.writer = writer, .index = index};
}

bool kit_plan(KitMaking *making, Arena *own, Error *err)
{
    Draft *draft = &making->draft;
    char name[240];
    draft_total(draft);
    if (!sheet_files_make(draft, own, err) || !test_sheets_make(draft, own, &making->tests, &making->test_count, err)) return false;
    making->units = arena_new(own, FileUnit, WRITE_PRINT + 1 + draft->input->paper_count + making->test_count + draft->file_count + 2 * draft->sheet_count);
    if (!making->units) return error_memory(err);
    if (draft->input->only_kit_json) {
        add_unit(making, WRITE_JSON, 0);
        return true;
    }
    for (int writer = draft->input->recut_of ? WRITE_JSON : WRITE_GUIDE; writer < WRITE_PRINT; writer++) add_unit(making, (Writer)writer, 0);
    for (int i = 0; i < draft->input->paper_count; i++)
        if (print_name(draft->input, i, name)) add_unit(making, WRITE_PRINT, i);
    for (int i = 0; i < making->test_count; i++) add_unit(making, WRITE_TEST, i);
    if (draft->board) add_unit(making, WRITE_BOARD, 0);
    for (int i = 0; i < draft->file_count; i++) add_unit(making, WRITE_SHEETS, i);
    for (int i = 0; i < draft->sheet_count && draft->input->options.formats & KIT_DXF; i++) add_unit(making, WRITE_DXF, i);
    for (int i = 0; i < draft->sheet_count && draft->input->options.formats & KIT_HPGL; i++) add_unit(making, WRITE_PLOTTER, i);
    return true;
}

int kit_file_count(const KitMaking *making)
{
    return making->unit_count;
}

bool kit_write(KitMaking *making, int unit, Arena *own, Work *work, Error *err)
{
    const Draft *draft = &making->draft;
    FileUnit *u = &making->units[unit];
    if (!work_goes_on(work, err)) return false;
    switch (u->writer) {
    case WRITE_GUIDE: return guide_pdf(draft, own, work, &u->file, err);
    case WRITE_GUIDE_HTML: return guide_html(draft, own, work, &u->file, err);
    case WRITE_PLAN: return plan_svg(draft, own, work, &u->file, err);
    case WRITE_JSON: return json_kit(draft, own, &u->file, err);
    case WRITE_READ_ME: return read_me(draft, making->tests, making->test_count, own, &u->file, err);
    case WRITE_TEST: return test_sheet_svg(draft, &making->tests[u->index], own, &u->file, err);
    case WRITE_PRINT: return print_paper(draft, u->index, own, work, &u->file, err);
    case WRITE_BOARD: return board_pdf(draft, own, work, &u->file, err);
    case WRITE_SHEETS: return svg_file(draft, &draft->files[u->index], own, &u->file, err);
    case WRITE_DXF: return dxf_sheet(draft, u->index, own, &u->file, err);
    case WRITE_PLOTTER: return plotter_sheet(draft, u->index, own, &u->file, err);
    }
    assert(!"no such writer");
    return false;
}

static bool copy_file(const FileBytes *from, Arena *keep, FileBytes *out, Error *err)
{
    *out = (FileBytes){arena_text(keep, from->name), arena_copy(keep, from->bytes, from->size_bytes, 1), from->size_bytes};
    return (out->name && out->bytes) || error_memory(err);
}

bool kit_end(const KitMaking *making, Arena *keep, FileSet *out, Error *err)
{
    *out = (FileSet){arena_new(keep, FileBytes, making->unit_count), 0};
    bool done = out->items || error_memory(err);
    for (int i = 0; done && i < making->unit_count; i++)
        done = copy_file(&making->units[i].file, keep, &out->items[out->count++], err);
    if (done) files_sort(out);
    else *out = (FileSet){NULL, 0};
    return done;
}

static bool run_all(KitMaking *making, Arena *own, Work *work, Error *err)
{
    for (int i = 0; i < kit_note_count(making); i++)
        if (!kit_note(making, i, own, work, err)) return false;
    if (!kit_plan(making, own, err)) return false;
    for (int i = 0; i < kit_file_count(making); i++)
        if (!kit_write(making, i, own, work, err)) return false;
    return true;
}

bool kit_make(const KitInput *input, Arena *keep, Work *work, FileSet *out, Error *err)
{
    *out = (FileSet){NULL, 0};
    KitMaking *making;
    return kit_begin(input, keep, work, &making, err) && run_all(making, keep, work, err) && kit_end(making, keep, out, err);
}

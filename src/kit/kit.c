// kit.c - see kit.h. The story: draft (who lies where), notes in the waste, totals, then one writer a file.
#include "kit/kit.h"

#include "kit/draft.h"
#include "kit/guide.h"
#include "kit/json.h"
#include "kit/notes.h"
#include "kit/plan.h"
#include "kit/print_sheet.h"
#include "kit/read_me.h"
#include "kit/sheet_files.h"
#include "kit/svg.h"
#include "kit/test_sheet.h"

static bool write_all(Draft *draft, Arena *keep, Work *work, FileSet *out, Error *err)
{
    if (!notes_add(draft, keep, work, err)) return false;
    draft_total(draft);
    if (!sheet_files_make(draft, keep, err)) return false;
    TestSheet *tests;
    int test_count;
    if (!test_sheets_make(draft, keep, &tests, &test_count, err)) return false;
    out->items = arena_new(keep, FileBytes, draft->file_count + draft->input->paper_count + test_count + 4);
    if (!out->items) return error_memory(err);
    for (int f = 0; f < draft->file_count; f++) {
        if (!work_goes_on(work, err) || !svg_file(draft, &draft->files[f], keep, &out->items[out->count], err)) return false;
        out->count++;
    }
    for (int p = 0; p < draft->input->paper_count; p++) {
        char name[240];
        if (!print_name(draft->input, p, name)) continue;
        if (!work_goes_on(work, err) || !print_paper(draft, p, keep, work, &out->items[out->count], err)) return false;
        out->count++;
    }
    for (int t = 0; t < test_count; t++) {
        if (!test_sheet_svg(draft, &tests[t], keep, &out->items[out->count], err)) return false;
        out->count++;
    }
    if (!read_me(draft, tests, test_count, keep, &out->items[out->count], err)) return false;
    out->count++;
    if (!work_goes_on(work, err) || !guide_pdf(draft, keep, work, &out->items[out->count], err)) return false;
    out->count++;
    if (!plan_svg(draft, keep, work, &out->items[out->count], err)) return false;
    out->count++;
    if (!work_goes_on(work, err) || !json_kit(draft, keep, &out->items[out->count], err)) return false;
    out->count++;
    files_sort(out);
    return true;
}

bool kit_make(const KitInput *input, Arena *keep, Work *work, FileSet *out, Error *err)
{
    *out = (FileSet){NULL, 0};
    Draft draft;
    if (draft_make(input, keep, work, &draft, err) && write_all(&draft, keep, work, out, err)) return true;
    *out = (FileSet){NULL, 0};
    return false;
}

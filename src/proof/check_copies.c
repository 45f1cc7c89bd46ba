// check_copies.c - sheets in other formats draw what kit.json says, each line once; see check_sheet.h.
// Both ways: nothing is drawn that is not wanted, nothing wanted is left out, and there are as many runs as there should be.
#include "proof/check_sheet.h"
#include "proof/read_copy.h"

#include <math.h>
#include <string.h>

#define STEP_MM 0.5             // between places that are looked at along a line
#define DXF_NEAR_MM 0.025       // 0.02 promised, and both sides flattened
#define PLOTTER_NEAR_MM 0.04    // half a unit each way, and the flat edges
#define TRAILING_NEAR 0.04      // of the blade offset: swings go in steps
#define CORNER_MARK_MM 3.0

typedef struct Wanted {         // what should be drawn with a line kind, in sheet mm
    Edges edges;
    int runs;
} Wanted;

// ---- what is wanted ----

static bool want_path(const SheetView *view, const ReadPath *path, const double *to_sheet, Wanted *out, Error *err)
{
    Arena *scratch = &view->check->work->scratch;
    for (int i = 0; i < path->part_count; i++)
        if (!measure_flatten(path->curves + path->parts[i].first, path->parts[i].count, to_sheet, STEP_MM, out->runs++, scratch, &out->edges, err))
            return false;
    return true;
}

static bool want_corner(const SheetView *view, double x, double y, double leg_x, double leg, Wanted *out, Error *err)
{
    const Spot at[4] = {{x, y}, {x + leg_x, y}, {x, y + leg}, {x, y}};
    ReadCurve sides[3];
    for (int i = 0; i < 3; i++) sides[i] = (ReadCurve){{at[i], at[i], at[i + 1], at[i + 1]}, true};
    return measure_flatten(sides, 3, NULL, STEP_MM, out->runs++, &view->check->work->scratch, &out->edges, err);
}

static bool want_line(const SheetView *view, ReadLine line, Wanted *out, Error *err)
{
    const ReadKit *kit = view->check->kit;
    double box[4];
    check_corners_box(view, box);
    double leg_x = box[2] < 0.0 ? -CORNER_MARK_MM : CORNER_MARK_MM;
    *out = (Wanted){0};
    for (int i = 0; i < view->piece_count; i++) {
        const ReadPiece *piece = &kit->pieces[view->pieces[i]];
        double place[6];
        check_drawn_place(view, piece, place);
        if (line == READ_CUT && !want_path(view, &piece->outline, place, out, err)) return false;
        for (int m = 0; m < piece->mark_count; m++)
            if (piece->marks[m].line == line && !want_path(view, &piece->marks[m].path, place, out, err)) return false;
    }
    for (int n = 0; n < view->sheet->note_count; n++)
        if (view->sheet->notes[n].line == line && !want_path(view, &view->sheet->notes[n].path, NULL, out, err)) return false;
    if (line != READ_CUT) return true;
    return want_corner(view, box[0], box[1], leg_x, CORNER_MARK_MM, out, err) &&
           want_corner(view, box[0] + box[2], box[1] + box[3], -leg_x, -CORNER_MARK_MM, out, err);
}

// ---- what is drawn ----

static bool drawn_edges(const CopyLines *lines, Arena *arena, Edges *out, Error *err)
{
    *out = (Edges){0};
    for (size_t r = 0; r < lines->run_count; r++) {
        const CopyRun *run = &lines->runs[r];
        for (int i = 0; i + 1 < run->count; i++) {
            ReadCurve side = {.is_line = true};
            side.p[0] = side.p[1] = lines->points[run->first + i];
            side.p[2] = side.p[3] = lines->points[run->first + i + 1];
            if (measure_gap(side.p[0], side.p[3]) > 0.0 && !measure_flatten(&side, 1, NULL, STEP_MM, (int)r, arena, out, err)) return false;
        }
    }
    return true;
}

// The first end of an edge that lies farther than allowed from all of the field; false when there is none.
static bool strays(const Edges *edges, const Field *field, double allowed_mm, Spot *at)
{
    for (size_t i = 0; i < edges->count; i++) {
        if (measure_distance(field, edges->items[i].a, 2.0 * allowed_mm, -1, NULL) <= allowed_mm) continue;
        *at = edges->items[i].a;
        return true;
    }
    return false;
}

static bool check_line(const SheetView *view, const char *name, const ReadCopy *copy, ReadLine line, double allowed_mm, Error *err)
{
    Arena *scratch = &view->check->work->scratch;
    Faults *faults = view->check->faults;
    const CopyLines *lines = &copy->lines[line];
    Wanted wanted;
    Edges drawn;
    Field wanted_field, drawn_field;
    Spot at;
    if (!want_line(view, line, &wanted, err) || !drawn_edges(lines, scratch, &drawn, err)) return false;
    if (wanted.runs != (int)lines->run_count)
        fault_add(faults, "copy-wrong", view->sheet->id, 0, 0, "%s draws %zu %s lines; the sheet has %d", name, lines->run_count,
                  read_line_name(line), wanted.runs);
    if (wanted.edges.count == 0 || drawn.count == 0) return true;
    if (!measure_field(wanted.edges.items, wanted.edges.count, scratch, &wanted_field, err) ||
        !measure_field(drawn.items, drawn.count, scratch, &drawn_field, err))
        return false;
    if (strays(&drawn, &wanted_field, allowed_mm, &at))
        fault_add(faults, "copy-wrong", view->sheet->id, at.x, at.y, "%s draws a %s line where the sheet has none", name, read_line_name(line));
    if (strays(&wanted.edges, &drawn_field, allowed_mm, &at))
        fault_add(faults, "copy-wrong", view->sheet->id, at.x, at.y, "%s lacks a %s line of the sheet", name, read_line_name(line));
    return true;
}

static bool ends_in(const char *name, const char *end)
{
    size_t size = strlen(name), with = strlen(end);
    return size > with && strcmp(name + size - with, end) == 0;
}

static bool check_copy(const SheetView *view, const char *name, Error *err)
{
    Check *check = view->check;
    Arena *scratch = &check->work->scratch;
    const FileBytes *file = file_find(check->files, name);
    const char *problem = NULL;
    bool is_dxf = ends_in(name, ".dxf"), is_plotter = ends_in(name, ".plt");
    double offset_mm = check->kit->blade_offset_mm, height_mm = view->paper->size[1];
    ReadCopy copy = {0};
    if (!file) {
        fault_add(check->faults, "file-missing", view->sheet->id, 0, 0, "%s is missing", name);
        return true;
    }
    if (!is_dxf && !is_plotter) problem = "a format that this program does not know";
    if (is_dxf && !read_dxf(file, height_mm, scratch, &copy, &problem, err)) return false;
    if (is_plotter && !read_plotter(file, height_mm, offset_mm, scratch, &copy, &problem, err)) return false;
    if (problem) {
        fault_add(check->faults, "bad-file", view->sheet->id, 0, 0, "%s has %s", name, problem);
        return true;
    }
    for (int line = 0; line < READ_LINES; line++) {
        double allowed_mm = is_dxf ? DXF_NEAR_MM : PLOTTER_NEAR_MM + (line == READ_CUT ? TRAILING_NEAR * offset_mm : 0.0);
        if (!check_line(view, name, &copy, (ReadLine)line, allowed_mm, err)) return false;
    }
    return true;
}

bool check_copies(const SheetView *view, Error *err)
{
    Arena *scratch = &view->check->work->scratch;
    for (int i = 0; i < view->sheet->copy_count; i++) {
        ArenaMark mark = arena_mark(scratch);
        bool done = work_goes_on(view->check->work, err) && check_copy(view, view->sheet->copies[i], err);
        arena_rewind(scratch, mark);
        if (!done) return false;
    }
    return true;
}

// check_sections.c - a finished piece that parts: every section is as small as asked, holds its own pieces alone, and meets
// its neighbours on straight lines; what goes across a line is listed as a bridge piece.
#include "proof/check.h"

#include <math.h>

#define ON_LINE_MM 0.01
#define OVERHANG_MM 6.0 // paper that reaches no farther across a line stays on its piece
#define BOX_ALLOWED_MM 0.01

#define OF_NONE (-2)    // of_piece: not listed yet
#define OF_BRIDGE (-1)

static double low_of(SpotBox box, int axis)
{
    return axis == 0 ? box.min.x : box.min.y;
}

static double high_of(SpotBox box, int axis)
{
    return axis == 0 ? box.max.x : box.max.y;
}

static bool goes_across(const ReadSections *sections, SpotBox box)
{
    for (int axis = 0; axis < 2; axis++)
        for (int i = 0; i < sections->line_count[axis]; i++) {
            double at = sections->line_mm[axis][i];
            if (at - low_of(box, axis) > OVERHANG_MM + ON_LINE_MM && high_of(box, axis) - at > OVERHANG_MM + ON_LINE_MM) return true;
        }
    return false;
}

static void find_cell(const ReadSections *sections, SpotBox box, int out[2])
{
    for (int axis = 0; axis < 2; axis++) {
        double middle = (low_of(box, axis) + high_of(box, axis)) / 2.0;
        out[axis] = 0;
        while (out[axis] < sections->line_count[axis] && sections->line_mm[axis][out[axis]] < middle) out[axis]++;
    }
}

static void check_lines(Check *check)
{
    const ReadSections *sections = &check->kit->sections;
    for (int axis = 0; axis < 2; axis++) {
        double before = 0.0, end = axis == 0 ? check->kit->width_mm : check->kit->height_mm;
        for (int i = 0; i < sections->line_count[axis]; i++) {
            double at = sections->line_mm[axis][i];
            if (!(at > before && at < end))
                fault_add(check->faults, "section-line-wrong", "sections", axis == 0 ? at : 0, axis == 0 ? 0 : at,
                          "%s lines should rise inside the finished piece; one is at %.3f mm", axis == 0 ? "upright" : "level", at);
            before = at;
        }
    }
    if (sections->line_count[0] + sections->line_count[1] == 0)
        fault_add(check->faults, "section-line-wrong", "sections", 0, 0, "there is no line that parts the piece");
}

static void list_piece(Check *check, int piece, int as, int *of_piece)
{
    if (of_piece[piece] != OF_NONE)
        fault_add(check->faults, "section-piece-twice", check->kit->pieces[piece].id, 0, 0,
                  "the piece is listed more than once in the sections");
    of_piece[piece] = as;
}

static void check_section(Check *check, int index, int *of_piece)
{
    const ReadSections *sections = &check->kit->sections;
    const ReadSection *section = &sections->items[index];
    SpotBox all = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    int cell[2] = {-1, -1};
    for (int i = 0; i < section->piece_count; i++) {
        const ReadPiece *piece = &check->kit->pieces[section->pieces[i]];
        SpotBox box = measure_box(&piece->outline);
        int own[2];
        list_piece(check, section->pieces[i], index, of_piece);
        if (goes_across(sections, box))
            fault_add(check->faults, "section-crossed", piece->id, box.min.x, box.min.y,
                      "the piece of section %s goes across a line, and is no bridge piece", section->id);
        find_cell(sections, box, own);
        if (i > 0 && (own[0] != cell[0] || own[1] != cell[1]))
            fault_add(check->faults, "section-wrong-piece", piece->id, box.min.x, box.min.y,
                      "the piece does not lie where the others of section %s do", section->id);
        if (i == 0) cell[0] = own[0], cell[1] = own[1];
        all = (SpotBox){{fmin(all.min.x, box.min.x), fmin(all.min.y, box.min.y)}, {fmax(all.max.x, box.max.x), fmax(all.max.y, box.max.y)}};
    }
    const double box[4] = {all.min.x, all.min.y, all.max.x - all.min.x, all.max.y - all.min.y};
    for (int k = 0; k < 4; k++)
        if (!(fabs(box[k] - section->box[k]) <= BOX_ALLOWED_MM)) {
            fault_add(check->faults, "section-box-wrong", section->id, section->box[0], section->box[1],
                      "box_mm is %.3f, %.3f, %.3f, %.3f; measured: %.3f, %.3f, %.3f, %.3f", section->box[0], section->box[1],
                      section->box[2], section->box[3], box[0], box[1], box[2], box[3]);
            break;
        }
    if (!(box[2] <= sections->asked[0] && box[3] <= sections->asked[1]))
        fault_add(check->faults, "section-too-large", section->id, all.min.x, all.min.y,
                  "the section takes %.1f x %.1f mm; %.1f x %.1f mm were asked for", box[2], box[3], sections->asked[0],
                  sections->asked[1]);
}

static void check_bridges(Check *check, int *of_piece)
{
    const ReadSections *sections = &check->kit->sections;
    for (int i = 0; i < sections->bridge_count; i++) {
        const ReadPiece *piece = &check->kit->pieces[sections->bridges[i]];
        SpotBox box = measure_box(&piece->outline);
        list_piece(check, sections->bridges[i], OF_BRIDGE, of_piece);
        if (!goes_across(sections, box))
            fault_add(check->faults, "bridge-crosses-nothing", piece->id, box.min.x, box.min.y,
                      "the bridge piece goes across no line that parts the piece");
    }
}

static bool is_on_line(const ReadSections *sections, const ReadPath *path)
{
    for (int axis = 0; axis < 2; axis++)
        for (int i = 0; i < sections->line_count[axis]; i++) {
            bool on = path->curve_count > 0;
            for (int c = 0; c < path->curve_count && on; c++)
                for (int k = 0; k < 4 && on; k++) {
                    Spot p = path->curves[c].p[k];
                    on = fabs((axis == 0 ? p.x : p.y) - sections->line_mm[axis][i]) <= ON_LINE_MM;
                }
            if (on) return true;
        }
    return false;
}

// Seams between two sections lie on their line, and what says that it does so does.
static void check_section_seams(Check *check, const int *of_piece)
{
    const ReadKit *kit = check->kit;
    for (int s = 0; s < kit->seam_count; s++) {
        const ReadSeam *seam = &kit->seams[s];
        int a = of_piece[seam->pieces[0]], b = of_piece[seam->pieces[1]];
        bool on = is_on_line(&kit->sections, &seam->path), between = a >= 0 && b >= 0 && a != b;
        Spot p = seam->path.curve_count > 0 ? seam->path.curves[0].p[0] : (Spot){0, 0};
        if (between && !on)
            fault_add(check->faults, "section-seam-off", seam->id, p.x, p.y,
                      "the seam between sections %s and %s does not lie on their line within %.2f mm", kit->sections.items[a].id,
                      kit->sections.items[b].id, ON_LINE_MM);
        else if (seam->on_section != (between || (seam->on_section && on)))
            fault_add(check->faults, "section-seam-untold", seam->id, p.x, p.y,
                      seam->on_section ? "the seam is said to lie on a line that parts the piece, and does not"
                                       : "the seam lies between two sections, and on_section does not say so");
        if (seam->on_section && seam->lap_of >= 0)
            fault_add(check->faults, "section-seam-lapped", seam->id, p.x, p.y, "the seam parts the piece, and has a lap");
        if (seam->on_section) check->measured.section_seam_count++;
    }
}

bool check_sections(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    if (!kit->parts) return true;
    ArenaMark mark = arena_mark(&check->work->scratch);
    int *of_piece = arena_new(&check->work->scratch, int, kit->piece_count);
    if (!of_piece) return error_memory(err);
    for (int i = 0; i < kit->piece_count; i++) of_piece[i] = OF_NONE;
    check_lines(check);
    for (int i = 0; i < kit->sections.count; i++) {
        if (!work_goes_on(check->work, err)) return false;
        check_section(check, i, of_piece);
    }
    check_bridges(check, of_piece);
    for (int i = 0; i < kit->piece_count; i++)
        if (of_piece[i] == OF_NONE && !kit->pieces[i].is_strip)
            fault_add(check->faults, "section-piece-missing", kit->pieces[i].id, 0, 0,
                      "the piece belongs to no section and is no bridge piece");
    check_section_seams(check, of_piece);
    arena_rewind(&check->work->scratch, mark);
    return work_goes_on(check->work, err);
}

// check_board.c - a backing board: everywhere inside the base by its inset, its panels no larger than the board at hand, none across a
// joint or a line that parts the piece; how much seam of the base runs along its joints is what is written.
#include "proof/check.h"

#include <math.h>

#define INSET_ALLOWED_MM 0.2    // offsets leave out details of a hundredth of their distance
#define PANEL_ALLOWED_MM 0.01
#define IN_PANEL_MM 1.0         // scraps of a square millimetre are no panels
#define CLEAR_MM 50.8           // nearer seams run along a joint ...
#define ALONG_SLOPE 0.57735     // ... within 30 degrees of its direction
#define ALONG_ALLOWED_MM 0.5    // curves of seams are flattened in different ways
#define ALONG_ALLOWED_SHARE 0.01

static bool lies_in_panel(const ReadBoard *board, Spot p)
{
    for (int i = 0; i < board->panel_count; i++) {
        const double *box = board->panels[i];
        if (p.x >= box[0] - IN_PANEL_MM && p.x <= box[0] + box[2] + IN_PANEL_MM && p.y >= box[1] - IN_PANEL_MM &&
            p.y <= box[1] + box[3] + IN_PANEL_MM)
            return true;
    }
    return false;
}

static bool check_outline(Check *check, Error *err)
{
    const ReadBoard *board = &check->kit->board;
    const Field *base = &check->layers[check->by_order[0]].field;
    Edges edges = {0};
    double look = board->inset_mm + 1.0, least = look;
    bool lost = false;
    if (!measure_flatten(board->outline.curves, board->outline.curve_count, NULL, CHECK_SPLIT_MM, 0, &check->work->scratch, &edges, err))
        return false;
    for (size_t i = 0; i < edges.count; i++) {
        Spot p = edges.items[i].a;
        double distance = measure_distance(base, p, look, -1, NULL);
        if (i % 256 == 0 && !work_goes_on(check->work, err)) return false;
        if (!measure_inside(base, p)) distance = -distance;
        if (!lost && !lies_in_panel(board, p)) {
            fault_add(check->faults, "board-panel-missing", "board", p.x, p.y, "a place of the board's edge lies in no panel");
            lost = true;
        }
        least = fmin(least, distance);
        if (distance >= board->inset_mm - INSET_ALLOWED_MM) continue;
        fault_add(check->faults, "board-outside", "board", p.x, p.y, "the board's edge lies %.2f mm inside the base; %.2f mm are promised",
                  distance, board->inset_mm);
        break;
    }
    check->measured.board_inset_mm = fmin(least, board->inset_mm);
    return true;
}

static void check_panel(Check *check, const double box[4])
{
    const ReadKit *kit = check->kit;
    const ReadBoard *board = &kit->board;
    if (!(box[2] <= board->size[0] + PANEL_ALLOWED_MM && box[3] <= board->size[1] + PANEL_ALLOWED_MM))
        fault_add(check->faults, "board-panel-too-large", "board", box[0], box[1], "a panel of %.1f x %.1f mm; the board at hand has %.1f x %.1f mm",
                  box[2], box[3], board->size[0], board->size[1]);
    for (int i = 0; i < board->joint_count; i++) {
        const double *j = board->joints[i];
        int axis = j[0] == j[2] ? 0 : 1;
        double at = j[axis], low = fmin(j[!axis], j[2 + !axis]), high = fmax(j[!axis], j[2 + !axis]);
        if (at - box[axis] <= PANEL_ALLOWED_MM || box[axis] + box[2 + axis] - at <= PANEL_ALLOWED_MM) continue;
        if (fmin(high, box[!axis] + box[2 + !axis]) - fmax(low, box[!axis]) <= PANEL_ALLOWED_MM) continue;
        fault_add(check->faults, "board-panel-crossed", "board", box[0], box[1], "a joint runs through a panel");
    }
    for (int axis = 0; axis < 2 && kit->parts; axis++)
        for (int i = 0; i < kit->sections.line_count[axis]; i++) {
            double at = kit->sections.line_mm[axis][i];
            if (at - box[axis] > PANEL_ALLOWED_MM && box[axis] + box[2 + axis] - at > PANEL_ALLOWED_MM)
                fault_add(check->faults, "board-panel-crossed", "board", box[0], box[1], "a line that parts the piece runs through a panel");
        }
}

static void clip(double a, double b, double low, double high, double *t0, double *t1)
{
    if (a == b) {
        if (a <= low || a >= high) *t1 = *t0;
        return;
    }
    *t0 = fmax(*t0, fmin((low - a) / (b - a), (high - a) / (b - a)));
    *t1 = fmin(*t1, fmax((low - a) / (b - a), (high - a) / (b - a)));
}

static double along_joint(const Edge *edge, const double joint[4])
{
    int axis = joint[0] == joint[2] ? 0 : 1;
    const double a[2] = {edge->a.x, edge->a.y}, b[2] = {edge->b.x, edge->b.y};
    double t0 = 0.0, t1 = 1.0;
    if (fabs(b[axis] - a[axis]) > ALONG_SLOPE * fabs(b[!axis] - a[!axis])) return 0.0;
    clip(a[axis], b[axis], joint[axis] - CLEAR_MM, joint[axis] + CLEAR_MM, &t0, &t1);
    clip(a[!axis], b[!axis], fmin(joint[!axis], joint[2 + !axis]), fmax(joint[!axis], joint[2 + !axis]), &t0, &t1);
    return t1 > t0 ? (t1 - t0) * fabs(b[!axis] - a[!axis]) : 0.0;
}

static bool is_section_line(const ReadKit *kit, const double joint[4])
{
    int axis = joint[0] == joint[2] ? 0 : 1;
    for (int i = 0; i < kit->sections.line_count[axis] && kit->parts; i++)
        if (fabs(kit->sections.line_mm[axis][i] - joint[axis]) <= PANEL_ALLOWED_MM) return true;
    return false;
}

static bool check_along(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    Edges edges = {0};
    double sum = 0.0;
    for (int s = 0; s < kit->seam_count; s++)
        if (kit->layers[kit->seams[s].layer].order == 0 && !kit->seams[s].on_section &&
            !measure_flatten(kit->seams[s].path.curves, kit->seams[s].path.curve_count, NULL, INFINITY, 0, &check->work->scratch, &edges, err))
            return false;
    for (int i = 0; i < kit->board.joint_count; i++) {
        if (!work_goes_on(check->work, err)) return false;
        for (size_t k = 0; k < edges.count && !is_section_line(kit, kit->board.joints[i]); k++)
            sum += along_joint(&edges.items[k], kit->board.joints[i]);
    }
    check->measured.board_along_mm = sum;
    if (!(fabs(sum - kit->board.along_mm) <= ALONG_ALLOWED_MM + ALONG_ALLOWED_SHARE * sum))
        fault_add(check->faults, "board-along-wrong", "board", 0, 0, "along_seams_mm is %.2f; measured: %.2f", kit->board.along_mm, sum);
    return true;
}

bool check_board(Check *check, Error *err)
{
    const ReadBoard *board = &check->kit->board;
    if (!check->kit->backed) return true;
    ArenaMark mark = arena_mark(&check->work->scratch);
    if (!file_find(check->files, board->file))
        fault_add(check->faults, "file-missing", board->file, 0, 0, "the file with the board's panels is missing");
    for (int i = 0; i < board->joint_count; i++) {
        const double *j = board->joints[i];
        if ((j[0] == j[2]) == (j[1] == j[3]))
            fault_add(check->faults, "board-joint-wrong", "board", j[0], j[1], "a joint of the board is neither upright nor level");
    }
    for (int i = 0; i < board->panel_count; i++) check_panel(check, board->panels[i]);
    bool done = check_outline(check, err) && check_along(check, err);
    arena_rewind(&check->work->scratch, mark);
    return done;
}

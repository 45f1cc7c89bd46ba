// board.c - see board.h.
#include "kit/board.h"

#include "shape/overlay.h"
#include "shape/parting.h"

#include <math.h>
#include <stdio.h>

#define CORNER_MM 0.1       // of round corners: far below what a knife cuts in board
#define ALONG_SLOPE 0.57735 // tangent of 30 degrees
#define MM_AN_INCH 25.4
#define LEAST_PANEL_MM2 1.0 // what is smaller is no panel

typedef struct SeamEdge { double at[2][2]; } SeamEdge; // of a base seam: x, y of both ends in mm

typedef struct Boarding {
    const Draft *draft;
    SeamEdge *edges;
    int edge_count;
    Box box;                // of the outline
    Board *out;
    size_t joint_room;
    Arena *keep;
    Work *work;
} Boarding;

// ---- seams beside joints ----

static bool take_edges(Boarding *b, Error *err)
{
    const LayerPieces *base = &b->draft->input->layer_pieces[0];
    int count = 0;
    for (int s = 0; s < base->seam_count; s++)
        for (int l = 0; l < base->seams[s].link_count; l++) count += link_point_count(&base->seams[s].links[l]);
    b->edges = arena_new(&b->work->scratch, SeamEdge, count);
    if (!b->edges) return error_memory(err);
    for (int s = 0; s < base->seam_count; s++)
        for (int l = 0; l < base->seams[s].link_count && !base->seams[s].on_section; l++) {
            const Link *link = &base->seams[s].links[l];
            for (int i = 0; i + 1 < link_point_count(link); i++) {
                Point p = link_point(&base->chains, link, i), q = link_point(&base->chains, link, i + 1);
                b->edges[b->edge_count++] = (SeamEdge){{{p.x / UM_PER_MM, p.y / UM_PER_MM}, {q.x / UM_PER_MM, q.y / UM_PER_MM}}};
            }
        }
    return true;
}

// Keeps of t0..t1 where a + t (b - a) lies between low and high.
static void clip(double a, double b, double low, double high, double *t0, double *t1)
{
    if (a == b) {
        if (a <= low || a >= high) *t1 = *t0;
        return;
    }
    double s = (low - a) / (b - a), t = (high - a) / (b - a);
    *t0 = fmax(*t0, fmin(s, t));
    *t1 = fmin(*t1, fmax(s, t));
}

// Length of the edge along a joint of an axis (0 = upright) at `at`, which goes from low to high.
static double edge_along_mm(const SeamEdge *edge, int axis, double at, double low, double high)
{
    double u0 = edge->at[0][axis], u1 = edge->at[1][axis], v0 = edge->at[0][!axis], v1 = edge->at[1][!axis], t0 = 0.0, t1 = 1.0;
    if (fabs(u1 - u0) > ALONG_SLOPE * fabs(v1 - v0)) return 0.0;
    clip(u0, u1, at - BOARD_CLEAR_MM, at + BOARD_CLEAR_MM, &t0, &t1);
    clip(v0, v1, low, high, &t0, &t1);
    return t1 > t0 ? (t1 - t0) * fabs(v1 - v0) : 0.0;
}

static double along_mm(const Boarding *b, int axis, double at, double low, double high)
{
    double sum = 0.0;
    for (int i = 0; i < b->edge_count; i++) sum += edge_along_mm(&b->edges[i], axis, at, low, high);
    return sum;
}

// ---- joints ----

typedef struct Charging {
    const Boarding *b;
    int axis;
    double from_mm, low_mm, high_mm; // where places begin; the joint's ends
} Charging;

static bool charge(void *data, const double *at_mm, int count, Work *work, double *out_in, Error *err)
{
    const Charging *c = data;
    for (int i = 0; i < count; i++) {
        if (i % 64 == 0 && !work_goes_on(work, err)) return false;
        out_in[i] = along_mm(c->b, c->axis, c->from_mm + at_mm[i], c->low_mm, c->high_mm) / MM_AN_INCH;
    }
    return true;
}

static bool add_joint(Boarding *b, int axis, double at, double low, double high, bool counts, Error *err)
{
    BoardJoint *joints = arena_grow(b->keep, b->out->joints, (size_t)b->out->joint_count, &b->joint_room, sizeof *joints);
    if (!joints) return error_memory(err);
    b->out->joints = joints;
    joints[b->out->joint_count++] = axis == 0 ? (BoardJoint){point_from_mm(at, low), point_from_mm(at, high)}
                                              : (BoardJoint){point_from_mm(low, at), point_from_mm(high, at)};
    if (counts) b->out->along_mm += along_mm(b, axis, at, low, high);
    return true;
}

// All places of one axis between the box's edges, those of sections among them; each joint goes from low to high.
static bool part_axis(Boarding *b, int axis, double low, double high, double **out, int *out_count, Error *err)
{
    const SectionPlan *plan = b->draft->input->sections;
    double end = (axis == 0 ? b->box.max.x : b->box.max.y) / UM_PER_MM, from = (axis == 0 ? b->box.min.x : b->box.min.y) / UM_PER_MM;
    int lines = plan ? plan->count[axis] : 0, n = 0;
    double *at = arena_new(b->keep, double, (lines + 1) * PARTING_MOST);
    if (!at) return error_memory(err);
    for (int i = 0; i <= lines; i++) {
        double to = i < lines ? plan->at[axis][i] / UM_PER_MM : end;
        if (to <= from) continue;
        bool is_line = to < end;
        Charging charging = {b, axis, from, low, high};
        Parting parting;
        if (to > end) to = end;
        if (!parting_choose(to - from, b->out->size_mm[axis], charge, &charging, b->keep, b->work, &parting, err)) return false;
        for (int k = 0; k < parting.count; k++) {
            at[n++] = from + parting.at_mm[k];
            if (!add_joint(b, axis, at[n - 1], low, high, true, err)) return false;
        }
        if (is_line) {
            at[n++] = to;
            if (!add_joint(b, axis, to, low, high, false, err)) return false;
        }
        from = to;
    }
    *out = at;
    *out_count = n;
    return true;
}

// ---- panels ----

static bool add_panel(Boarding *b, double x0, double y0, double x1, double y1, Error *err)
{
    Point corners[4] = {point_from_mm(x0, y0), point_from_mm(x1, y0), point_from_mm(x1, y1), point_from_mm(x0, y1)};
    Ring ring = {corners, 4};
    Rings cell = {&ring, 1};
    BoardPanel panel = {0};
    if (!overlay_rings(&b->out->outline, &cell, OVERLAY_INTERSECTION, b->keep, b->work, &panel.rings, err)) return false;
    if (panel.rings.count == 0 || rings_area_mm2(&panel.rings) < LEAST_PANEL_MM2) return true;
    panel.box = rings_box(&panel.rings);
    snprintf(panel.id, sizeof panel.id, "B%d", b->out->panel_count + 1);
    b->out->panels[b->out->panel_count++] = panel;
    return true;
}

static bool make_panels(Boarding *b, Error *err)
{
    double *rows = NULL, top = b->box.min.y / UM_PER_MM, bottom = b->box.max.y / UM_PER_MM;
    double left = b->box.min.x / UM_PER_MM, right = b->box.max.x / UM_PER_MM;
    int row_count = 0;
    if (!part_axis(b, 1, left, right, &rows, &row_count, err)) return false;
    b->out->panels = arena_new(b->keep, BoardPanel, (row_count + 1) * PARTING_MOST * PARTING_MOST);
    if (!b->out->panels) return error_memory(err);
    for (int r = 0; r <= row_count; r++) {
        double *columns = NULL, low = r > 0 ? rows[r - 1] : top, high = r < row_count ? rows[r] : bottom;
        int count = 0;
        if (!part_axis(b, 0, low, high, &columns, &count, err)) return false;
        for (int c = 0; c <= count; c++)
            if (!add_panel(b, c > 0 ? columns[c - 1] : left, low, c < count ? columns[c] : right, high, err)) return false;
    }
    return true;
}

static bool make(Boarding *b, const double size_mm[2], Board *out, Error *err)
{
    *out = (Board){.size_mm = {size_mm[0], size_mm[1]}, .outline = b->out ? b->out->outline : (Rings){0}};
    b->out = out;
    b->joint_room = 0;
    return make_panels(b, err);
}

// Of the two ways to lay the board the one with fewer panels, then with less seam along its joints.
static bool make_better(Boarding *b, Board *out, Error *err)
{
    const double *asked_mm = b->draft->input->options.board_mm, turned_mm[2] = {asked_mm[1], asked_mm[0]};
    Board first = {0}, second;
    const Rings *base = &b->draft->input->stack->layers[0].rings;
    if (!overlay_offset(base, -BOARD_INSET_MM, CORNER_MM, b->keep, b->work, &first.outline, err)) return false;
    if (first.outline.count == 0)
        return error_set(err, ERROR_JOB, "nothing of the base is wider than %.0f mm: a backing board would be seen", 2 * BOARD_INSET_MM);
    b->box = rings_box(&first.outline);
    b->out = &first;
    if (!make(b, asked_mm, &first, err)) return false;
    if (!make(b, turned_mm, &second, err)) return false;
    bool turned = second.panel_count < first.panel_count || (second.panel_count == first.panel_count && second.along_mm < first.along_mm);
    *out = turned ? second : first;
    return true;
}

bool board_make(const Draft *draft, Arena *keep, Work *work, const Board **out, Error *err)
{
    Boarding b = {.draft = draft, .box = box_empty(), .keep = keep, .work = work};
    *out = NULL;
    if (draft->input->options.board_mm[0] <= 0.0) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    Board *board = arena_new(keep, Board, 1);
    if (!board) return error_memory(err);
    bool fine = take_edges(&b, err) && make_better(&b, board, err);
    arena_rewind(&work->scratch, mark);
    if (fine) *out = board;
    return fine;
}

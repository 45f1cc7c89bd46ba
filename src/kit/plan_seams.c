// plan_seams.c - see plan_seams.h.
#include "kit/plan_seams.h"

#include "base/text.h"
#include "shape/cover.h"

#include <math.h>

#define HIDDEN_BY_MM 3.0    // of cover, as in docs/kit-format.md
#define SAMPLE_MM 1.0       // a change is found this exactly: a plan shows no more
#define TICK_EVERY_MM 4.0   // plan millimetres
#define TICK_HALF_MM 0.95

typedef struct Pen {
    Text seen, ticks, hidden;
    const double *matrix;
    double since_tick_mm;
    int state;              // 0 = lifted, 1 = seen, 2 = hidden
} Pen;

static void add_xy(Text *text, const char *command, double x, double y)
{
    text_add(text, text->size_bytes > 0 ? " " : "");
    text_add(text, command);
    text_number(text, x, 3);
    text_add(text, " ");
    text_number(text, y, 3);
}

static void add_ticks(Pen *pen, double ax, double ay, double bx, double by)
{
    double dx = bx - ax, dy = by - ay, length = sqrt(dx * dx + dy * dy);
    if (length == 0) return;
    double nx = -dy / length * TICK_HALF_MM, ny = dx / length * TICK_HALF_MM;
    double at = TICK_EVERY_MM - pen->since_tick_mm;
    for (; at <= length; at += TICK_EVERY_MM) {
        double x = ax + dx * at / length, y = ay + dy * at / length;
        add_xy(&pen->ticks, "M", x - nx, y - ny);
        add_xy(&pen->ticks, "L", x + nx, y + ny);
    }
    pen->since_tick_mm = length - (at - TICK_EVERY_MM);
}

// From a to b (finished mm), all seen or all hidden.
static void draw(Pen *pen, double ax, double ay, double bx, double by, bool hidden)
{
    const double *m = pen->matrix;
    double x0 = m[0] * ax + m[4], y0 = m[3] * ay + m[5], x1 = m[0] * bx + m[4], y1 = m[3] * by + m[5];
    Text *text = hidden ? &pen->hidden : &pen->seen;
    int state = hidden ? 2 : 1;
    if (pen->state != state) add_xy(text, "M", x0, y0);
    add_xy(text, "L", x1, y1);
    if (!hidden) add_ticks(pen, x0, y0, x1, y1);
    pen->state = state;
}

static bool is_hidden(const Cover *cover, double x_mm, double y_mm)
{
    if (cover->edge_count == 0) return false;
    Point p = point_from_mm(x_mm, y_mm);
    return cover_contains(cover, p) && cover_distance_mm(cover, p, HIDDEN_BY_MM) >= HIDDEN_BY_MM;
}

static void draw_edge(Pen *pen, const Cover *cover, Point a, Point b)
{
    double ax = a.x / UM_PER_MM, ay = a.y / UM_PER_MM, dx = b.x / UM_PER_MM - ax, dy = b.y / UM_PER_MM - ay;
    int steps = (int)(sqrt(dx * dx + dy * dy) / SAMPLE_MM) + 1, from = 0;
    bool state = is_hidden(cover, ax + dx * 0.5 / steps, ay + dy * 0.5 / steps);
    for (int i = 1; i <= steps; i++) {
        bool next = i < steps ? is_hidden(cover, ax + dx * (i + 0.5) / steps, ay + dy * (i + 0.5) / steps) : !state;
        if (next == state) continue;
        draw(pen, ax + dx * from / steps, ay + dy * from / steps, ax + dx * i / steps, ay + dy * i / steps, state);
        from = i;
        state = next;
    }
}

static void draw_seam(Pen *pen, const Cover *cover, const Chains *chains, const Seam *seam)
{
    pen->state = 0;
    pen->since_tick_mm = TICK_EVERY_MM / 2;
    for (int l = 0; l < seam->link_count; l++)
        for (int i = 1; i < link_point_count(&seam->links[l]); i++)
            draw_edge(pen, cover, link_point(chains, &seam->links[l], i - 1), link_point(chains, &seam->links[l], i));
}

static const char *path_of(Text *text)
{
    return text->size_bytes > 0 ? text->bytes : "";
}

bool plan_seams(const Draft *draft, const double matrix[6], Arena *keep, Work *work, PlanSeams *out, Error *err)
{
    const KitInput *input = draft->input;
    Pen pen = {text_make(keep), text_make(keep), text_make(keep), matrix, 0, 0};
    for (int l = 0; l < input->stack->layer_count; l++) {
        const LayerPieces *pieces = &input->layer_pieces[l];
        if (pieces->seam_count == 0) continue;
        ArenaMark mark = arena_mark(&work->scratch);
        Cover cover = {0};
        const Rings *rings = &input->stack->layers[l].cover;
        if (!work_goes_on(work, err) || (rings->count > 0 && !cover_make(rings, &work->scratch, &cover, err))) return false;
        for (int s = 0; s < pieces->seam_count; s++) draw_seam(&pen, &cover, &pieces->chains, &pieces->seams[s]);
        arena_rewind(&work->scratch, mark);
    }
    if (!text_is_whole(&pen.seen, err) || !text_is_whole(&pen.ticks, err) || !text_is_whole(&pen.hidden, err)) return false;
    *out = (PlanSeams){path_of(&pen.seen), path_of(&pen.ticks), path_of(&pen.hidden)};
    return true;
}

// hang.c - see hang.h.
#include "kit/hang.h"

#include "kit/shopping.h"

#include <math.h>

#define STEPS 60            // places that are tried across and down
#define LEAST_APART 0.125   // of the body's width: each point from the middle of weight
#define MOST_APART 0.34
#define ROOM_SHARE 0.02     // of the body's height: paper all round a point ...
#define ROOM_MM 15.0        // ... and at least this much, so that it does not tear out
#define PATCH_SHARE 0.06    // of the body's height: a patch is as large as that where there is room ...
#define PATCH_USUAL_MM 90.0 // ... and as a palm on what is small
#define PATCH_MOST_MM 200.0
#define PATCH_STEP_MM 3.0
#define PATCH_CLEAR_MM 5.0  // of every edge
#define PATCH_ROUND_MM 6.35
#define FLOOR_SHARE 0.01    // of the body's height: what is this near to its lowest point touches the floor

void hang_piece_middle(const Rings *rings, double out_mm[2])
{
    double sum = 0, x = 0, y = 0;
    Box box = rings_box(rings);
    double x0 = ((double)box.min.x + box.max.x) / 2, y0 = ((double)box.min.y + box.max.y) / 2;
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        for (int i = 0; i < ring->count; i++) {
            Point p = ring->points[i], q = ring->points[i + 1 < ring->count ? i + 1 : 0];
            double px = p.x - x0, py = p.y - y0, qx = q.x - x0, qy = q.y - y0, cross = px * qy - qx * py;
            sum += cross;
            x += (px + qx) * cross;
            y += (py + qy) * cross;
        }
    }
    out_mm[0] = (x0 + (sum != 0 ? x / (3 * sum) : 0)) / UM_PER_MM;
    out_mm[1] = (y0 + (sum != 0 ? y / (3 * sum) : 0)) / UM_PER_MM;
}

// --- bodies ---

static int body_of(const int *body, int piece)
{
    while (body[piece] != piece) piece = body[piece];
    return piece;
}

static void unite(int *body, int a, int b)
{
    a = body_of(body, a), b = body_of(body, b);
    if (a < b) body[b] = a;
    else body[a] = b;
}

static bool find_bodies(const Draft *draft, const GuideBelow *below, Arena *keep, Hang *out, Error *err)
{
    out->body = arena_new(keep, int, draft->piece_count);
    if (!out->body) return error_memory(err);
    for (int i = 0; i < draft->piece_count; i++) out->body[i] = i;
    for (int s = 0; s < draft->seam_count; s++) {
        const int *pair = draft->seams[s].source->pieces;
        int first = draft->layers[draft->seams[s].layer].first_piece;
        unite(out->body, first + pair[0], first + pair[1]);
    }
    for (int i = 0; i < draft->piece_count; i++)
        for (int k = 0; k < below[i].count; k++) unite(out->body, i, below[i].pieces[k]);
    for (int i = 0; i < draft->piece_count; i++) {
        out->body[i] = body_of(out->body, i);
        out->body_count += out->body[i] == i;
    }
    return true;
}

static double grams_of(const Draft *draft, int piece)
{
    const DraftPiece *of = &draft->pieces[piece];
    return of->area_mm2 * shopping_gsm(&draft->input->papers[draft->sheets[of->sheet].paper].paper) / 1e6;
}

static bool weigh(const Draft *draft, Work *work, Hang *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    double *grams = arena_new(&work->scratch, double, draft->piece_count);
    if (!grams) return error_memory(err);
    for (int i = 0; i < draft->piece_count; i++) grams[out->body[i]] += grams_of(draft, i);
    for (int i = 0; i < draft->piece_count; i++) {
        out->all_grams += grams[i];
        if (grams[i] > grams[out->main]) out->main = i;
    }
    out->grams = grams[out->main];
    arena_rewind(&work->scratch, mark);
    out->gsm_known = true;
    for (int p = 0; p < draft->input->paper_count; p++)
        out->gsm_known = out->gsm_known && draft->input->papers[p].paper.gsm > 0;
    out->box = box_empty();
    for (int i = 0; i < draft->piece_count; i++) {
        if (out->body[i] != out->main) continue;
        double middle[2], share = out->grams > 0 ? grams_of(draft, i) / out->grams : 0;
        hang_piece_middle(piece_cut(draft->pieces[i].source), middle);
        for (int k = 0; k < 2; k++) out->centre_mm[k] += share * middle[k];
        Box box = rings_box(&draft->pieces[i].source->rings);
        box_add(&out->box, box.min);
        box_add(&out->box, box.max);
    }
    return work_goes_on(work, err);
}

// --- points ---

static bool on_base(const Draft *draft, const Hang *hang, double x_mm, double y_mm)
{
    Point p = {(int32_t)lround(x_mm * UM_PER_MM), (int32_t)lround(y_mm * UM_PER_MM)};
    for (int i = 0; i < draft->layers[0].piece_count; i++) {
        int piece = draft->layers[0].first_piece + i;
        if (hang->body[piece] != hang->main) continue;
        const Rings *rings = &draft->pieces[piece].source->rings;
        Box box = rings_box(rings);
        if (p.x < box.min.x || p.x > box.max.x || p.y < box.min.y || p.y > box.max.y) continue;
        if (rings_contain(rings, p)) return true;
    }
    return false;
}

static double least_room_mm(const Hang *hang)
{
    return fmax(ROOM_MM, ROOM_SHARE * box_height_mm(hang->box));
}

// Paper all round it, as far as `room`.
static bool holds_within(const Draft *draft, const Hang *hang, double x_mm, double y_mm, double room)
{
    static const double ROUND[8][2] = {{1, 0}, {0.7071, 0.7071}, {0, 1}, {-0.7071, 0.7071}, {-1, 0}, {-0.7071, -0.7071}, {0, -1}, {0.7071, -0.7071}};
    if (!on_base(draft, hang, x_mm, y_mm)) return false;
    for (int k = 0; k < 8; k++)
        if (!on_base(draft, hang, x_mm + room * ROUND[k][0], y_mm + room * ROUND[k][1])) return false;
    return true;
}

static bool holds(const Draft *draft, const Hang *hang, double x_mm, double y_mm)
{
    return holds_within(draft, hang, x_mm, y_mm, least_room_mm(hang));
}

// As large as both places take it, rounded down to a quarter of an inch: grown step by step, so that no gap is jumped over.
static void find_patch(const Draft *draft, Hang *hang)
{
    double most = fmin(PATCH_MOST_MM, fmax(PATCH_USUAL_MM, PATCH_SHARE * box_height_mm(hang->box))) / 2;
    double radius = least_room_mm(hang);
    if (!hang->has_points || draft->input->stack->height_mm <= HANG_PATCHES_FROM_MM) return;
    for (bool fits = true; fits && radius + PATCH_STEP_MM <= most;) {
        for (int k = 0; k < 2; k++)
            fits = fits && holds_within(draft, hang, hang->points_mm[k][0], hang->points_mm[k][1], radius + PATCH_STEP_MM + PATCH_CLEAR_MM);
        if (fits) radius += PATCH_STEP_MM;
    }
    hang->patch_mm = floor(2 * radius / PATCH_ROUND_MM) * PATCH_ROUND_MM;
}

static void take_points(Hang *hang, double left_x, double left_y, double right_x, double right_y)
{
    hang->has_points = true;
    hang->points_mm[0][0] = left_x, hang->points_mm[0][1] = left_y;
    hang->points_mm[1][0] = right_x, hang->points_mm[1][1] = right_y;
}

// As far apart as a row takes them at one distance from the middle.
static bool find_level(const Draft *draft, Work *work, Hang *hang, Error *err)
{
    double w = box_width_mm(hang->box), h = box_height_mm(hang->box), top = hang->box.min.y / UM_PER_MM;
    for (int row = 1; row < STEPS && !hang->has_points; row++) {
        double y = top + h * row / STEPS;
        if (y >= hang->centre_mm[1]) break;
        if (!work_goes_on(work, err)) return false;
        for (double apart = MOST_APART * w; apart >= LEAST_APART * w && !hang->has_points; apart -= w / STEPS)
            if (holds(draft, hang, hang->centre_mm[0] - apart, y) && holds(draft, hang, hang->centre_mm[0] + apart, y))
                take_points(hang, hang->centre_mm[0] - apart, y, hang->centre_mm[0] + apart, y);
    }
    hang->is_level = hang->has_points;
    return true;
}

// The highest place on one side; of one height the one nearest to a quarter of the width from the middle.
static bool find_side(const Draft *draft, Work *work, Hang *hang, int side, double out[2], bool *found, Error *err)
{
    double w = box_width_mm(hang->box), h = box_height_mm(hang->box), top = hang->box.min.y / UM_PER_MM;
    *found = false;
    for (int row = 1; row < STEPS && !*found; row++) {
        double y = top + h * row / STEPS, nearest = INFINITY;
        if (y >= hang->centre_mm[1]) break;
        if (!work_goes_on(work, err)) return false;
        for (double apart = LEAST_APART * w; apart <= w; apart += w / STEPS) {
            double x = hang->centre_mm[0] + side * apart, off = fabs(apart - w / 4);
            if (off >= nearest || !holds(draft, hang, x, y)) continue;
            nearest = off;
            out[0] = x, out[1] = y;
            *found = true;
        }
    }
    return true;
}

static void find_floor(const Draft *draft, Hang *hang)
{
    double most = hang->box.max.y - FLOOR_SHARE * ((double)hang->box.max.y - hang->box.min.y);
    hang->stands_mm[0] = INFINITY, hang->stands_mm[1] = -INFINITY;
    for (int i = 0; i < draft->piece_count; i++) {
        if (hang->body[i] != hang->main) continue;
        const Rings *rings = &draft->pieces[i].source->rings;
        for (int r = 0; r < rings->count; r++)
            for (int k = 0; k < rings->items[r].count; k++) {
                Point p = rings->items[r].points[k];
                if (p.y < most) continue;
                hang->stands_mm[0] = fmin(hang->stands_mm[0], p.x / UM_PER_MM);
                hang->stands_mm[1] = fmax(hang->stands_mm[1], p.x / UM_PER_MM);
            }
    }
}

bool hang_find_bodies(const Draft *draft, const GuideBelow *below, Arena *keep, Work *work, Hang *out, Error *err)
{
    *out = (Hang){0};
    return find_bodies(draft, below, keep, out, err) && weigh(draft, work, out, err);
}

bool hang_find(const Draft *draft, const GuideBelow *below, Arena *keep, Work *work, Hang *out, Error *err)
{
    double left[2], right[2];
    bool found_left, found_right;
    if (!hang_find_bodies(draft, below, keep, work, out, err)) return false;
    find_floor(draft, out);
    if (!find_level(draft, work, out, err)) return false;
    if (out->has_points) return find_patch(draft, out), true;
    if (!find_side(draft, work, out, -1, left, &found_left, err) || !find_side(draft, work, out, 1, right, &found_right, err))
        return false;
    if (found_left && found_right) take_points(out, left[0], left[1], right[0], right[1]);
    find_patch(draft, out);
    return true;
}

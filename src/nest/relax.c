// relax.c - see relax.h.
#include "nest/relax.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#define SAMPLES_ANYWHERE 40     // places looked at in all sheets; fewer miss the only free one, more cost moves
#define SAMPLES_NEAR 20         // and within its own size round where it lies
#define SAMPLES_TOUCHING 16     // and along the sides of others
#define KEPT 3                  // of them are refined
#define ROUGH_STEP 0.20         // of its width: first step of refining, and where that ends
#define ROUGH_END 0.02
#define FINE_STEP 0.01
#define FINE_END 0.0005
#define STEP_UP 1.1             // after a step that helped
#define STEP_DOWN 0.5           // after one that did not
#define ANGLES_OF_8 3           // of 8 turns looked at: so many from all angles at which it fits,
#define NEAR_TURNS_OF_8 5       // so many less those near the turn now; the rest lay a side along the sheet
#define HALF_ANGLE (1.5707963 / SOLID_ANGLES / 2)
#define TURN_STEP 0.05          // tangent of half the first turn
#define WEIGHT_LEAST 1.2        // a pair in trouble weighs so many times more after a round: the least of them,
#define WEIGHT_MOST 2.0         // the worst of them
#define WEIGHT_DECAY 0.95       // and one that is free again
#define PROGRESS 0.98           // a round that is so much better is progress
#define STRIKES 3
#define ROOM_SLACK_MM 1e-7      // a piece as large as its sheet fits it

// --- where a cast may lie ---

typedef struct Room {
    double x0, y0, x1, y1;          // of the origin
    double least_sum, most_sum;     // of its x + y: corner marks
} Room;

static bool room_of(const Relax *relax, int sheet, const Cast *cast, Room *out)
{
    const Space *space = &relax->spaces[sheet];
    *out = (Room){-cast->hull_x0, -cast->hull_y0, space->width_mm - cast->hull_x1, space->height_mm - cast->hull_y1, -INFINITY, INFINITY};
    if (space->corner_mm > 0) {
        out->least_sum = space->corner_mm - cast->least_sum_mm;
        out->most_sum = relax->full_width_mm + relax->full_height_mm - space->corner_mm - cast->most_sum_mm;
    }
    if (out->x0 > out->x1 + ROOM_SLACK_MM || out->y0 > out->y1 + ROOM_SLACK_MM) return false;
    return out->x1 + out->y1 >= out->least_sum && out->x0 + out->y0 <= out->most_sum;
}

static double between(double v, double least, double most)
{
    return v < least ? least : v > most ? most : v;
}

// The nearest allowed place, or one near it.
static void into_room(const Room *room, double *x, double *y)
{
    *x = between(*x, room->x0, room->x1);
    *y = between(*y, room->y0, room->y1);
    double lacks = room->least_sum - *x - *y, over = *x + *y - room->most_sum;
    if (lacks > 0) {
        double by = fmin(lacks, room->y1 - *y);
        *y += by;
        *x += lacks - by;
    } else if (over > 0) {
        double by = fmin(over, *y - room->y0);
        *y -= by;
        *x -= over - by;
    }
}

// --- the table of pairs ---

static float *at(const Relax *relax, float *table, int i, int j)
{
    return &table[(size_t)i * (size_t)relax->count + (size_t)j];
}

static double overlap_of(const Relax *relax, const Cast *cast, double x, double y, int other)
{
    const Body *b = &relax->bodies[other];
    return cast_overlap(cast, x - b->pose.x, y - b->pose.y, &b->cast);
}

static void measure(Relax *relax, int i)
{
    Body *body = &relax->bodies[i];
    for (int j = 0; j < relax->count; j++) {
        if (j == i) continue;
        double now = relax->bodies[j].pose.sheet == body->pose.sheet ? overlap_of(relax, &body->cast, body->pose.x, body->pose.y, j) : 0;
        float *kept = at(relax, relax->overlap, i, j);
        *kept = *at(relax, relax->overlap, j, i) = (float)now;
    }
}

// Sums are taken anew each time: differences would leave crumbs that never become zero.
static void sum_up(Relax *relax)
{
    relax->total = 0;
    for (int i = 0; i < relax->count; i++) {
        double sum = 0;
        for (int j = 0; j < relax->count; j++) sum += (double)*at(relax, relax->overlap, i, j);
        relax->bodies[i].trouble = sum;
        relax->total += sum / 2;
    }
}

static bool in_trouble(const Relax *relax, int i)
{
    for (int j = 0; j < relax->count; j++)
        if (*at(relax, relax->overlap, i, j) > 0.0f) return true;
    return false;
}

static void settle_body(Relax *relax, int i, const Pose *pose)
{
    Body *body = &relax->bodies[i];
    if (body->cast.solid != body->solid || body->cast.cos != pose->turn.cos || body->cast.sin != pose->turn.sin)
        cast_turn(body->solid, pose->turn, &body->cast);
    body->pose = *pose;
    Room room;
    if (room_of(relax, pose->sheet, &body->cast, &room)) into_room(&room, &body->pose.x, &body->pose.y);
    body->x0 = body->pose.x + body->cast.x0, body->x1 = body->pose.x + body->cast.x1;
    body->y0 = body->pose.y + body->cast.y0, body->y1 = body->pose.y + body->cast.y1;
}

static void measure_all(Relax *relax)
{
    for (int i = 0; i < relax->count; i++) measure(relax, i);
    sum_up(relax);
}

// --- one piece looks for a place ---

typedef struct Look {           // one place, and what it costs
    Pose pose;
    double cost;
} Look;

static double cost_at(Relax *relax, int i, const Cast *cast, const Pose *pose, double limit)
{
    double sum = 0, x0 = pose->x + cast->x0, x1 = pose->x + cast->x1, y0 = pose->y + cast->y0, y1 = pose->y + cast->y1;
    int hint = relax->hint;
    for (int n = -1; n < relax->count; n++) {
        int j = n < 0 ? hint : n;
        const Body *b = &relax->bodies[j];
        if (b->x0 >= x1 || b->x1 <= x0 || b->y0 >= y1 || b->y1 <= y0 || b->pose.sheet != pose->sheet || j == i || (n == hint)) continue;
        double overlap = overlap_of(relax, cast, pose->x, pose->y, j);
        if (overlap <= 0) continue;
        sum += overlap * (double)*at(relax, relax->weight, i, j);
        if (sum < limit) continue;
        relax->hint = j;
        return sum;
    }
    return sum;
}

static Fit turned_by(Fit a, Fit b)
{
    Fit turn = {a.cos * b.cos - a.sin * b.sin, a.sin * b.cos + a.cos * b.sin};
    double length = sqrt(turn.cos * turn.cos + turn.sin * turn.sin);
    return (Fit){turn.cos / length, turn.sin / length};
}

// The turn whose half has this tangent: no library function whose last bit may differ is asked.
static Fit turn_of_tangent(double t)
{
    return (Fit){(1 - t * t) / (1 + t * t), 2 * t / (1 + t * t)};
}

static Fit any_turn(Relax *relax, const Solid *solid, Fit now)
{
    if (relax->free_turns) {
        uint32_t which = rng_below(&relax->rng, 8);
        if (which < ANGLES_OF_8 && solid->angle_count > 0) {
            double by = (2 * rng_unit(&relax->rng) - 1) * HALF_ANGLE;
            return turned_by(solid->angles[rng_below(&relax->rng, (uint32_t)solid->angle_count)], turn_of_tangent(by));
        }
        if (which < NEAR_TURNS_OF_8) return turned_by(now, turn_of_tangent((2 * rng_unit(&relax->rng) - 1) * TURN_STEP));
    }
    if (rng_below(&relax->rng, 4) == 0) return now;
    return solid->turns[rng_below(&relax->rng, (uint32_t)solid->turn_count)];
}

static void keep_look(Look *kept, const Look *look)
{
    int place = KEPT - 1;
    for (; place > 0 && kept[place - 1].cost > look->cost; place--) kept[place] = kept[place - 1];
    kept[place] = *look;
}

// One angle serves several places: turning costs more than looking.
static bool sample(Relax *relax, int i, bool near, Look *kept)
{
    const Body *body = &relax->bodies[i];
    Cast *cast = &relax->tried[0];
    Look look = {.pose = {.sheet = near ? body->pose.sheet : (int)rng_below(&relax->rng, (uint32_t)relax->sheet_count)}};
    look.pose.turn = any_turn(relax, body->solid, body->pose.turn);
    cast_turn(body->solid, look.pose.turn, cast);
    Room room;
    if (!room_of(relax, look.pose.sheet, cast, &room)) return false;
    for (int n = 0; n < 4; n++) {
        double u = rng_unit(&relax->rng), v = rng_unit(&relax->rng), reach = body->solid->diameter_mm;
        look.pose.x = near ? body->pose.x + (2 * u - 1) * reach : room.x0 + u * (room.x1 - room.x0);
        look.pose.y = near ? body->pose.y + (2 * v - 1) * reach : room.y0 + v * (room.y1 - room.y0);
        into_room(&room, &look.pose.x, &look.pose.y);
        look.cost = cost_at(relax, i, cast, &look.pose, kept[KEPT - 1].cost);
        if (look.cost < kept[KEPT - 1].cost) keep_look(kept, &look);
        if (kept[0].cost <= 0) return true;
    }
    return false;
}

static Dot turned_dot(Dot p, Fit turn)
{
    return (Dot){p.x * turn.cos - p.y * turn.sin, p.x * turn.sin + p.y * turn.cos};
}

// Laid along a side of another piece, that of a hole too, with both ends together in turn and slid along; where turns are not free,
// two corners meet. Random places and turns never lie so close.
static bool sample_touching(Relax *relax, int i, Look *kept)
{
    const Body *body = &relax->bodies[i], *other = &relax->bodies[rng_below(&relax->rng, (uint32_t)relax->count)];
    if (other == body || other->solid->side_count == 0 || body->solid->side_count == 0) return false;
    const Side *mine = &body->solid->sides[rng_below(&relax->rng, (uint32_t)body->solid->side_count)];
    const Side *its = &other->solid->sides[rng_below(&relax->rng, (uint32_t)other->solid->side_count)];
    Dot along = turned_dot(its->along, other->pose.turn), from = turned_dot(its->a, other->pose.turn), to = turned_dot(its->b, other->pose.turn);
    Look look = {.pose = {.sheet = other->pose.sheet, .turn = body->solid->turns[rng_below(&relax->rng, (uint32_t)body->solid->turn_count)]}};
    if (relax->free_turns)
        look.pose.turn = turned_by((Fit){-along.x, -along.y}, (Fit){mine->along.x, -mine->along.y});
    cast_turn(body->solid, look.pose.turn, &relax->tried[0]);
    Room room;
    if (!room_of(relax, look.pose.sheet, &relax->tried[0], &room)) return false;
    Dot a = turned_dot(mine->a, look.pose.turn), b = turned_dot(mine->b, look.pose.turn);
    for (int n = 0; n < 4; n++) {
        double u = n < 2 ? 0 : rng_unit(&relax->rng);
        Dot at = n % 2 == 0 ? to : from, end = n % 2 == 0 ? from : to, own = n % 2 == 0 ? a : b;
        look.pose.x = other->pose.x + at.x + u * (end.x - at.x) - own.x;
        look.pose.y = other->pose.y + at.y + u * (end.y - at.y) - own.y;
        into_room(&room, &look.pose.x, &look.pose.y);
        look.cost = cost_at(relax, i, &relax->tried[0], &look.pose, kept[KEPT - 1].cost);
        if (look.cost < kept[KEPT - 1].cost) keep_look(kept, &look);
        if (kept[0].cost <= 0) return true;
    }
    return false;
}

// A step to either side along one of four lines; the better of both when it helps.
static bool step_aside(Relax *relax, int i, double step, Look *look)
{
    static const double LINES[4][2] = {{1, 0}, {0, 1}, {0.7071067811865476, 0.7071067811865476}, {0.7071067811865476, -0.7071067811865476}};
    const double *line = LINES[rng_below(&relax->rng, 4)];
    Cast *cast = &relax->tried[0];
    Room room;
    if (!room_of(relax, look->pose.sheet, cast, &room)) return false;
    bool helps = false;
    Look from = *look;
    for (int sign = -1; sign <= 1; sign += 2) {
        Look next = from;
        next.pose.x += sign * step * line[0];
        next.pose.y += sign * step * line[1];
        into_room(&room, &next.pose.x, &next.pose.y);
        next.cost = cost_at(relax, i, cast, &next.pose, look->cost);
        if (next.cost >= look->cost) continue;
        *look = next;
        helps = true;
    }
    return helps;
}

static void swap_tried(Relax *relax)
{
    Cast kept = relax->tried[0];
    relax->tried[0] = relax->tried[1];
    relax->tried[1] = kept;
}

static bool turn_aside(Relax *relax, int i, double tangent, Look *look)
{
    const Solid *solid = relax->bodies[i].solid;
    for (int sign = -1; sign <= 1; sign += 2) {
        Look next = *look;
        next.pose.turn = turned_by(look->pose.turn, turn_of_tangent(sign * tangent));
        cast_turn(solid, next.pose.turn, &relax->tried[1]);
        Room room;
        if (!room_of(relax, next.pose.sheet, &relax->tried[1], &room)) continue;
        into_room(&room, &next.pose.x, &next.pose.y);
        next.cost = cost_at(relax, i, &relax->tried[1], &next.pose, look->cost);
        if (next.cost >= look->cost) continue;
        *look = next;
        swap_tried(relax);
        return true;
    }
    return false;
}

// Steps grow while they help and shrink when they do not; with free angles every fourth one is a turn.
static void refine(Relax *relax, int i, double from, double end, Look *look)
{
    const Solid *solid = relax->bodies[i].solid;
    cast_turn(solid, look->pose.turn, &relax->tried[0]);
    double step = from * solid->width_mm, least = end * solid->width_mm;
    double turn_share = 2 / (solid->diameter_mm + 1e-9); // a tangent that moves the rim by about one step
    while (step > least && look->cost > 0) {
        bool turning = relax->free_turns && rng_below(&relax->rng, 4) == 0;
        bool helps = turning ? turn_aside(relax, i, fmin(step * turn_share / 2, 0.5), look) : step_aside(relax, i, step, look);
        step *= helps ? STEP_UP : STEP_DOWN;
    }
}

static Look find_place(Relax *relax, int i, bool stays)
{
    const Body *body = &relax->bodies[i];
    Look kept[KEPT];
    for (int k = 0; k < KEPT; k++) kept[k] = (Look){body->pose, INFINITY};
    if (stays) {
        Look now = {body->pose, cost_at(relax, i, &body->cast, &body->pose, INFINITY)};
        keep_look(kept, &now);
    }
    for (int n = 0; n < SAMPLES_NEAR / 4 && stays; n++)
        if (sample(relax, i, true, kept)) return kept[0];
    for (int n = 0; n < SAMPLES_ANYWHERE / 4; n++)
        if (sample(relax, i, false, kept)) return kept[0];
    for (int n = 0; n < SAMPLES_TOUCHING / 4; n++)
        if (sample_touching(relax, i, kept)) return kept[0];
    for (int k = 0; k < KEPT && kept[k].cost < INFINITY; k++) {
        refine(relax, i, ROUGH_STEP, ROUGH_END, &kept[k]);
        if (kept[k].cost <= 0) return kept[k];
    }
    Look best = kept[0];
    for (int k = 1; k < KEPT; k++)
        if (kept[k].cost < best.cost) best = kept[k];
    refine(relax, i, FINE_STEP, FINE_END, &best);
    return best;
}

static void move_body(Relax *relax, int i, bool stays)
{
    Look look = find_place(relax, i, stays);
    relax->moves++;
    settle_body(relax, i, &look.pose);
    measure(relax, i);
}

void relax_place(Relax *relax, int body)
{
    move_body(relax, body, false);
    sum_up(relax);
}

void relax_throw(Relax *relax, int i)
{
    Pose pose = {.sheet = (int)rng_below(&relax->rng, (uint32_t)relax->sheet_count)};
    pose.turn = any_turn(relax, relax->bodies[i].solid, relax->bodies[i].pose.turn);
    pose.x = rng_unit(&relax->rng) * relax->full_width_mm;
    pose.y = rng_unit(&relax->rng) * relax->full_height_mm;
    settle_body(relax, i, &pose); // moves it inside
    measure(relax, i);
    sum_up(relax);
}

// --- rounds ---

static void shuffle(Relax *relax)
{
    for (int i = 0; i < relax->count; i++) relax->order[i] = i;
    for (int i = relax->count - 1; i > 0; i--) {
        int j = (int)rng_below(&relax->rng, (uint32_t)i + 1), kept = relax->order[i];
        relax->order[i] = relax->order[j];
        relax->order[j] = kept;
    }
}

static void weigh_anew(Relax *relax)
{
    size_t pairs = (size_t)relax->count * (size_t)relax->count;
    float worst = 0.0f;
    for (size_t k = 0; k < pairs; k++) worst = relax->overlap[k] > worst ? relax->overlap[k] : worst;
    if (worst <= 0.0f) return;
    for (size_t k = 0; k < pairs; k++) {
        float *weight = &relax->weight[k], share = relax->overlap[k] / worst;
        if (share > 0.0f) *weight *= (float)WEIGHT_LEAST + (float)(WEIGHT_MOST - WEIGHT_LEAST) * share;
        else *weight = *weight * (float)WEIGHT_DECAY > 1.0f ? *weight * (float)WEIGHT_DECAY : 1.0f;
    }
}

static bool one_round(Relax *relax, Work *work, Error *err)
{
    shuffle(relax);
    for (int n = 0; n < relax->count; n++) {
        if (!work_goes_on(work, err)) return false;
        if (in_trouble(relax, relax->order[n])) move_body(relax, relax->order[n], true);
    }
    sum_up(relax);
    return true;
}

static void keep_best(Relax *relax)
{
    relax_get(relax, relax->best);
    memcpy(relax->best_weight, relax->weight, (size_t)relax->count * (size_t)relax->count * sizeof *relax->weight);
}

static void back_to_best(Relax *relax)
{
    for (int i = 0; i < relax->count; i++) settle_body(relax, i, &relax->best[i]);
    memcpy(relax->weight, relax->best_weight, (size_t)relax->count * (size_t)relax->count * sizeof *relax->weight);
    measure_all(relax);
}

bool relax_separate(Relax *relax, int64_t most_moves, int patience, Work *work, bool *out, Error *err)
{
    int64_t end = relax->moves + most_moves;
    double best = relax->total;
    *out = false;
    keep_best(relax);
    for (int strike = 0; strike < STRIKES && relax->total > 0 && relax->moves < end; strike++) {
        double start = best;
        for (int idle = 0; idle < patience && relax->total > 0 && relax->moves < end; idle++) {
            if (!one_round(relax, work, err)) return false;
            weigh_anew(relax);
            if (relax->total >= best) continue;
            if (relax->total < PROGRESS * best) idle = -1;
            best = relax->total;
            keep_best(relax);
        }
        if (relax->total > 0) back_to_best(relax);
        if (best < PROGRESS * start) strike = -1;
    }
    *out = relax->total <= 0;
    return true;
}

// --- ends ---

// The k-th largest of the pieces by hull: a swap of small ones changes nothing much.
static int large_one(Relax *relax)
{
    int best = (int)rng_below(&relax->rng, (uint32_t)relax->count);
    for (int n = 0; n < 2; n++) {
        int other = (int)rng_below(&relax->rng, (uint32_t)relax->count);
        if (relax->bodies[other].solid->weight > relax->bodies[best].solid->weight) best = other;
    }
    return best;
}

void relax_swap(Relax *relax)
{
    if (relax->count < 2) return;
    int a = large_one(relax), b = large_one(relax);
    for (int n = 0; n < 8 && (a == b || relax->bodies[a].solid == relax->bodies[b].solid); n++) b = large_one(relax);
    if (a == b) return;
    Pose to_b = relax->bodies[a].pose, to_a = relax->bodies[b].pose;
    to_b.turn = relax->bodies[b].pose.turn;
    to_a.turn = relax->bodies[a].pose.turn;
    settle_body(relax, a, &to_a);
    settle_body(relax, b, &to_b);
    move_body(relax, a, true);
    move_body(relax, b, true);
    measure_all(relax);
}

void relax_get(const Relax *relax, Pose *out)
{
    for (int i = 0; i < relax->count; i++) out[i] = relax->bodies[i].pose;
}

void relax_forget_weights(Relax *relax)
{
    for (size_t k = 0; k < (size_t)relax->count * (size_t)relax->count; k++) relax->weight[k] = 1.0f;
}

void relax_set(Relax *relax, const Pose *poses)
{
    for (int i = 0; i < relax->count; i++) settle_body(relax, i, &poses[i]);
    relax_forget_weights(relax);
    measure_all(relax);
}

void relax_set_size(Relax *relax, int sheet, double width_mm, double height_mm)
{
    relax->spaces[sheet].width_mm = width_mm;
    relax->spaces[sheet].height_mm = height_mm;
    for (int i = 0; i < relax->count; i++) {
        if (relax->bodies[i].pose.sheet != sheet) continue;
        Pose pose = relax->bodies[i].pose;
        settle_body(relax, i, &pose);
    }
    measure_all(relax);
}

bool relax_open(const Solid *const *solids, const Pose *poses, int count, Space space, int sheet_count, uint64_t seed, Arena *keep,
                Relax *out, Error *err)
{
    assert(count > 0 && count <= RELAX_MOST && sheet_count > 0);
    size_t pairs = (size_t)count * (size_t)count;
    int most = 0;
    for (int i = 0; i < count; i++) most = solids[i]->corner_count > most ? solids[i]->corner_count : most;
    *out = (Relax){.count = count, .sheet_count = sheet_count, .rng = rng_make(seed), .full_width_mm = space.width_mm,
                   .full_height_mm = space.height_mm};
    out->bodies = arena_new(keep, Body, count);
    out->spaces = arena_new(keep, Space, sheet_count);
    out->weight = arena_new(keep, float, pairs);
    out->overlap = arena_new(keep, float, pairs);
    out->best_weight = arena_new(keep, float, pairs);
    out->best = arena_new(keep, Pose, count);
    out->order = arena_new(keep, int, count);
    if (!out->bodies || !out->spaces || !out->weight || !out->overlap || !out->best_weight || !out->best || !out->order)
        return error_memory(err);
    for (int t = 0; t < 2; t++)
        if (!cast_open(most, keep, &out->tried[t], err)) return false;
    for (int s = 0; s < sheet_count; s++) out->spaces[s] = space;
    for (int i = 0; i < count; i++) {
        out->bodies[i].solid = solids[i];
        if (!cast_open(solids[i]->corner_count, keep, &out->bodies[i].cast, err)) return false;
    }
    relax_set(out, poses);
    return true;
}

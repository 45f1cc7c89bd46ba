// match.c - where on each seam ticks and letters go; see match.h.
#include "mark/match.h"

#include "mark/match_place.h"

#include <math.h>
#include <stdlib.h>

#define TICK_HALF_MM 4.0       // on each side: long enough for the eye to see it straight
#define TICK_SHORT_MM 2.5      // where there is less room
#define FROM_END_MM 15.0       // of a tick from the end of what is covered: clear of those of seams that meet there
#define TWO_APART_MM 50.0      // what must be covered for two: nearer ones guide no better than one
#define END_SHARE 0.4          // of what is covered: where each of two ticks is looked for
#define PLACES_A_STRETCH 40.0  // more find narrow places better and cost time
#define STEP_MOST_MM 4.0
#define STEP_LEAST_MM 0.5
#define CHORD_MM 1.5           // on either side of a place: "straight across" is across this chord
#define TOUCH_MM 1e-9                  // stretches that end and begin at a point of the run are one

typedef struct Run { // a seam as a flat line
    Point *points;
    double *along_mm;
    int count;
} Run;

typedef struct Candidate {
    double at_mm, from_aim_mm;
    MatchPlace place;
} Candidate;

typedef struct Seat { // one seam at work
    const Seam *seam;
    int index;
    Run run;
    Candidate *candidates;
    size_t count, capacity;
    MatchSides sides;
    bool swapped; // the run has the second piece on its left
} Seat;

// ---- the seam as a line ----

static bool run_make(const Chains *chains, const Seam *seam, Arena *arena, Run *out)
{
    int most = 0;
    for (int i = 0; i < seam->link_count; i++) most += link_point_count(&seam->links[i]);
    *out = (Run){arena_new(arena, Point, most), arena_new(arena, double, most), 0};
    if (!out->points || !out->along_mm) return false;
    for (int i = 0; i < seam->link_count; i++)
        for (int k = 0; k < link_point_count(&seam->links[i]); k++) {
            Point p = link_point(chains, &seam->links[i], k);
            int n = out->count;
            if (n > 0 && point_equal(out->points[n - 1], p)) continue;
            out->along_mm[n] = n > 0 ? out->along_mm[n - 1] + point_distance_mm(out->points[n - 1], p) : 0.0;
            out->points[out->count++] = p;
        }
    return true;
}

static int edge_at(const Run *run, double at_mm)
{
    int low = 0, high = run->count - 2;
    while (low < high) {
        int middle = low + (high - low + 1) / 2;
        if (run->along_mm[middle] <= at_mm)
            low = middle;
        else
            high = middle - 1;
    }
    return low;
}

static Point run_point(const Run *run, double at_mm)
{
    int i = edge_at(run, at_mm);
    Point a = run->points[i], b = run->points[i + 1];
    double t = (at_mm - run->along_mm[i]) / (run->along_mm[i + 1] - run->along_mm[i]);
    t = fmin(fmax(t, 0.0), 1.0);
    return (Point){(int32_t)llround(a.x + t * ((double)b.x - a.x)), (int32_t)llround(a.y + t * ((double)b.y - a.y))};
}

// Straight across the run at a place, to its right.
static bool place_at(const Run *run, double at_mm, MatchPlace *out)
{
    double length_mm = run->along_mm[run->count - 1];
    Point a = run_point(run, fmax(at_mm - CHORD_MM, 0.0)), b = run_point(run, fmin(at_mm + CHORD_MM, length_mm));
    double x = (double)b.x - a.x, y = (double)b.y - a.y, length = sqrt(x * x + y * y);
    if (length == 0.0) return false;
    *out = (MatchPlace){run_point(run, at_mm), {-y / length, x / length}};
    return true;
}

// ---- places ----

// Keeps a place when at least the shortest tick fits there, whatever lines there are.
static bool try_candidate(Seat *seat, double at_mm, Arena *arena)
{
    static const MatchKind least = {TICK_SHORT_MM, -1, MATCH_UPRIGHT, true};
    MatchFit fit;
    Candidate candidate = {.at_mm = at_mm};
    if (!place_at(&seat->run, at_mm, &candidate.place)) return true;
    if (seat->swapped) candidate.place.across = (Way){-candidate.place.across.x, -candidate.place.across.y};
    if (!match_fits(&seat->sides, &least, &candidate.place, &fit)) return true;
    Candidate *room = arena_grow(arena, seat->candidates, seat->count, &seat->capacity, sizeof *room);
    if (!room) return false;
    seat->candidates = room;
    seat->candidates[seat->count++] = candidate;
    return true;
}

static bool try_stretch(Seat *seat, double from_mm, double to_mm, Arena *arena)
{
    double step = fmin(fmax((to_mm - from_mm) / PLACES_A_STRETCH, STEP_LEAST_MM), STEP_MOST_MM);
    int count = (int)((to_mm - from_mm) / step);
    double first = (from_mm + to_mm - count * step) / 2.0;
    for (int i = 0; i <= count; i++)
        if (!try_candidate(seat, first + i * step, arena)) return false;
    return true;
}

// The stretches of the seam that are hidden, one after the other.
static bool find_candidates(Seat *seat, Arena *arena)
{
    const Run *run = &seat->run;
    double from_mm = 0.0, to_mm = -1.0;
    for (int i = 0; i + 1 < run->count; i++) {
        SpanList spans;
        if (!spans_in(seat->sides.rooms[0].safe, run->points[i], run->points[i + 1], arena, &spans)) return false;
        double start = run->along_mm[i], length = run->along_mm[i + 1] - start;
        for (int k = 0; k < spans.count; k++) {
            double t0 = start + spans.items[k].t0 * length, t1 = start + spans.items[k].t1 * length;
            if (to_mm >= 0.0 && t0 <= to_mm + TOUCH_MM) {
                to_mm = t1;
                continue;
            }
            if (to_mm >= 0.0 && !try_stretch(seat, from_mm, to_mm, arena)) return false;
            from_mm = t0;
            to_mm = t1;
        }
    }
    return to_mm < 0.0 || try_stretch(seat, from_mm, to_mm, arena);
}

// The first side of a seam lies left or right of its run: one look is enough, and each candidate looks again.
static void find_sides(Seat *seat)
{
    const Run *run = &seat->run;
    for (int i = 1; i < 10; i++) {
        MatchPlace place;
        if (!place_at(run, run->along_mm[run->count - 1] * i / 10.0, &place)) continue;
        double x = place.across.x * UM_PER_MM, y = place.across.y * UM_PER_MM; // a millimetre
        Point right = {(int32_t)(place.p.x + x), (int32_t)(place.p.y + y)};
        Point left = {(int32_t)(place.p.x - x), (int32_t)(place.p.y - y)};
        const Cover *first = seat->sides.rooms[0].face, *second = seat->sides.rooms[1].face;
        if (cover_contains(first, left) && cover_contains(second, right)) return;
        seat->swapped = cover_contains(first, right) && cover_contains(second, left);
        if (seat->swapped) return;
    }
}

// ---- choice ----

static int by_aim(const void *a, const void *b)
{
    const Candidate *one = a, *two = b;
    if (one->from_aim_mm != two->from_aim_mm) return one->from_aim_mm < two->from_aim_mm ? -1 : 1;
    return (one->at_mm > two->at_mm) - (one->at_mm < two->at_mm);
}

static int by_place(const void *a, const void *b)
{
    const Candidate *one = a, *two = b;
    return (one->at_mm > two->at_mm) - (one->at_mm < two->at_mm);
}

// From the most welcome kind of mark to the last resort.
static const MatchKind kinds[] = {
    {TICK_HALF_MM, 0, MATCH_UPRIGHT, false},  {TICK_HALF_MM, 1, MATCH_UPRIGHT, false},
    {TICK_HALF_MM, 2, MATCH_UPRIGHT, false},  {TICK_SHORT_MM, 2, MATCH_UPRIGHT, false},
    {TICK_SHORT_MM, 2, MATCH_TURNED, false},  {TICK_SHORT_MM, 2, MATCH_UPRIGHT, true},
    {TICK_SHORT_MM, 2, MATCH_TURNED, true},   {TICK_HALF_MM, -1, MATCH_UPRIGHT, false},
    {TICK_SHORT_MM, -1, MATCH_UPRIGHT, false}, {TICK_SHORT_MM, -1, MATCH_UPRIGHT, true},
};

typedef struct Wanted { // a part of a seam, and where in it a mark is best
    double from_mm, to_mm, aim_mm;
} Wanted;

static const MatchKind *choose(Seat *seat, const Wanted *wanted, Work *work, MatchPlace *out_place, MatchFit *out_fit,
                               Error *err)
{
    for (size_t i = 0; i < seat->count; i++) {
        Candidate *c = &seat->candidates[i];
        bool inside = c->at_mm >= wanted->from_mm && c->at_mm <= wanted->to_mm;
        c->from_aim_mm = inside ? fabs(c->at_mm - wanted->aim_mm) : INFINITY;
    }
    qsort(seat->candidates, seat->count, sizeof *seat->candidates, by_aim);
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++)
        for (size_t i = 0; i < seat->count && isfinite(seat->candidates[i].from_aim_mm); i++) {
            if (i % 16 == 0 && !work_goes_on(work, err)) return NULL;
            if (!match_fits(&seat->sides, &kinds[k], &seat->candidates[i].place, out_fit)) continue;
            *out_place = seat->candidates[i].place;
            return &kinds[k];
        }
    return NULL;
}

static int wanted_of(Seat *seat, Wanted out[2])
{
    qsort(seat->candidates, seat->count, sizeof *seat->candidates, by_place);
    double first = seat->candidates[0].at_mm, last = seat->candidates[seat->count - 1].at_mm;
    double share = END_SHARE * (last - first);
    if (seat->run.along_mm[seat->run.count - 1] <= MATCH_LONG_MM || last - first < TWO_APART_MM) {
        out[0] = (Wanted){first, last, seat->candidates[seat->count / 2].at_mm};
        return 1;
    }
    out[0] = (Wanted){first, first + share, first + fmin(FROM_END_MM, share)};
    out[1] = (Wanted){last - share, last, last - fmin(FROM_END_MM, share)};
    return 2;
}

// ---- what was chosen ----

// Where a half tick begins.
static Point foot_of(Point p, Point end)
{
    double x = (double)end.x - p.x, y = (double)end.y - p.y, share = MATCH_OFF_MM * UM_PER_MM / sqrt(x * x + y * y);
    return point_from_mm((p.x + share * x) / UM_PER_MM, (p.y + share * y) / UM_PER_MM);
}

static bool side_path(const MatchPlace *place, const MatchFit *fit, int side, Arena *keep, Path *out)
{
    const Word *word = fit->word;
    int curves = word ? word->path.curve_count : 0, parts = word ? word->path.part_count : 0;
    *out = (Path){arena_new(keep, Curve, curves + 1), curves + 1, arena_new(keep, int, parts + 2), parts + 1, true};
    if (!out->curves || !out->first) return false;
    out->curves[0] = curve_line(foot_of(place->p, fit->ends[side]), fit->ends[side]);
    if (word) word_curves(word, fit->letters[side], &out->curves[1]);
    for (int i = 0; i <= parts; i++) out->first[i + 1] = 1 + (word ? word->path.first[i] : 0);
    return true;
}

static void tick_corners(const MatchPlace *place, Point end, double margin_mm, Point out[4])
{
    double m = margin_mm * UM_PER_MM, x = (double)end.x - place->p.x, y = (double)end.y - place->p.y;
    double n = sqrt(x * x + y * y), ax = x / n * m, ay = y / n * m; // along the tick; across it: (-ay, ax)
    const double four[4][2] = {{place->p.x - ax - ay, place->p.y - ay + ax}, {place->p.x - ax + ay, place->p.y - ay - ax},
                               {end.x + ax + ay, end.y + ay - ax}, {end.x + ax - ay, end.y + ay + ax}};
    for (int i = 0; i < 4; i++) out[i] = (Point){(int32_t)llround(four[i][0]), (int32_t)llround(four[i][1])};
}

// Where lines give way to one side of a mark: to its letters, or to a tick that stands alone.
static bool add_gaps(const MatchPlace *place, const MatchFit *fit, int side, int piece, Arena *keep, Gaps *gaps)
{
    Gap gap = {.piece = piece};
    if (!fit->word) {
        tick_corners(place, fit->ends[side], ROOM_APART_MM, gap.corners);
        return gaps_add(gaps, &gap, keep);
    }
    for (int i = 0; i < fit->word->letter_count; i++) {
        word_corners(fit->word, i, &fit->letters[side][i], ROOM_APART_MM, gap.corners);
        if (!gaps_add(gaps, &gap, keep)) return false;
    }
    return true;
}

static bool add_mark(const Seat *seat, const MatchKind *kind, const MatchPlace *place, const MatchFit *fit, Taken *taken,
                     Arena *keep, MatchMarks *out)
{
    MatchMark *room = arena_grow(keep, out->items, out->count, &out->capacity, sizeof *room);
    if (!room) return false;
    out->items = room;
    MatchMark *mark = &out->items[out->count++];
    *mark = (MatchMark){.seam = seat->index};
    for (int i = 0; i < 2; i++) {
        int piece = seat->seam->pieces[i];
        if (!side_path(place, fit, i, keep, &mark->sides[i]) ||
            !taken_add(&taken[piece], mark->sides[i].curves, mark->sides[i].curve_count, keep) ||
            (kind->over_lines && !add_gaps(place, fit, i, piece, keep, &out->gaps)))
            return false;
    }
    return true;
}

// ---- all seams ----

static bool words_make(const char *letters, const MarkOptions *options, Arena *arena, MatchSides *out, Error *err)
{
    const double sizes[MATCH_SIZES] = {options->letter_mm, (options->letter_mm + options->least_letter_mm) / 2.0,
                                       options->least_letter_mm};
    Word *words = arena_new(arena, Word, MATCH_SIZES);
    if (!words) return error_memory(err);
    for (int i = 0; i < MATCH_SIZES; i++)
        if (!word_make(letters, sizes[i], arena, &words[i], err)) return false;
    out->words = words;
    out->curves = arena_new(arena, Curve, words[0].path.curve_count); // the same letters have as many at any size
    return out->curves || error_memory(err);
}

static bool match_seam(Seat *seat, Taken *taken, Arena *own, Arena *keep, Work *work, MatchMarks *out, Error *err)
{
    Wanted wanted[2];
    size_t before = out->count;
    find_sides(seat);
    if (!find_candidates(seat, own)) return error_memory(err);
    int count = seat->count > 0 ? wanted_of(seat, wanted) : 0;
    for (int i = 0; i < count; i++) {
        MatchPlace place;
        MatchFit fit;
        const MatchKind *kind = choose(seat, &wanted[i], work, &place, &fit, err);
        if (!work_goes_on(work, err)) return false;
        if (kind && !add_mark(seat, kind, &place, &fit, taken, keep, out)) return error_memory(err);
    }
    out->unmarked_count += out->count == before;
    return (!seat->sides.rooms[0].failed && !seat->sides.rooms[1].failed) || error_memory(err);
}

static bool seat_make(const LayerPieces *pieces, int index, const Bounds *bounds, LineIndex *lines, const Taken *taken,
                      Arena *own, Work *work, Seat *seat, Error *err)
{
    *seat = (Seat){.seam = &pieces->seams[index], .index = index};
    for (int i = 0; i < 2; i++) {
        int piece = seat->seam->pieces[i];
        Room *room = &seat->sides.rooms[i];
        *room = (Room){.face = &bounds->faces[piece], .safe = &bounds->safe, .taken = &taken[piece],
                       .scratch = &work->scratch};
        if (!line_index_of(lines, piece, &room->lines, err)) return false;
    }
    return run_make(&pieces->chains, seat->seam, own, &seat->run) || error_memory(err);
}

static bool match_all(const LayerPieces *pieces, const char *const *letters, const Bounds *bounds, LineIndex *lines,
                      Taken *taken, const MarkOptions *options, Arena *own, Arena *keep, Work *work, MatchMarks *out, Error *err)
{
    for (int i = 0; i < pieces->seam_count; i++) {
        Seat seat;
        if (!work_goes_on(work, err) || !seat_make(pieces, i, bounds, lines, taken, own, work, &seat, err)) return false;
        if (seat.run.count < 2) {
            out->unmarked_count++;
            continue;
        }
        if (!words_make(letters[i], options, own, &seat.sides, err) || !match_seam(&seat, taken, own, keep, work, out, err))
            return false;
    }
    return true;
}

bool match_find(const LayerPieces *pieces, const char *const *letters, const Bounds *bounds, LineIndex *lines, Taken *taken,
                const MarkOptions *options, Arena *keep, Work *work, MatchMarks *out, Error *err)
{
    *out = (MatchMarks){0};
    if (bounds->safe.edge_count == 0) {
        out->unmarked_count = pieces->seam_count;
        return true;
    }
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    bool done = match_all(pieces, letters, bounds, lines, taken, options, &own, keep, work, out, err);
    arena_free(&own);
    return done;
}

// check_match.c - the marks that say which edges meet: each is one half of a tick whose other half begins as far
// beyond the seam and runs straight on, beside the same letters; and no two seams of a layer share a letter.
#include "proof/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FOOT_MM 0.1   // how far from the seam a half tick begins
#define STRAIGHT 0.01 // sine of the angle between two halves of a tick: far less than an eye sees in 4 mm
#define MATCH_MOST 1000 // halves of one seam: each is compared with each

typedef struct Half {
    const ReadSeam *seam;
    const ReadPiece *piece;
    const ReadPath *path;
    int tick;         // the part that is the half tick; -1 = none
    Spot foot, tip;   // of the tick: on the seam, and away from it
    bool paired;
} Half;

static int by_seam(const void *a, const void *b)
{
    const Half *one = a, *two = b;
    if (one->seam != two->seam) return one->seam < two->seam ? -1 : 1;
    return (one->path > two->path) - (one->path < two->path);
}

static Half *gather(const Check *check, int *out_count)
{
    const ReadKit *kit = check->kit;
    size_t count = 0;
    for (int i = 0; i < kit->piece_count; i++)
        for (int k = 0; k < kit->pieces[i].mark_count; k++) count += kit->pieces[i].marks[k].is_match;
    Half *halves = arena_new(&check->work->scratch, Half, count);
    *out_count = 0;
    for (int i = 0; halves && i < kit->piece_count; i++)
        for (int k = 0; k < kit->pieces[i].mark_count; k++) {
            const ReadMark *mark = &kit->pieces[i].marks[k];
            if (!mark->is_match) continue;
            halves[(*out_count)++] = (Half){.seam = &kit->seams[mark->seam], .piece = &kit->pieces[i], .path = &mark->path};
        }
    if (halves) qsort(halves, (size_t)*out_count, sizeof *halves, by_seam);
    return halves;
}

static Spot somewhere(const Half *half)
{
    return half->path->curve_count > 0 ? half->path->curves[0].p[0] : (Spot){0.0, 0.0};
}

// The straight stroke that begins beside the seam.
static void find_tick(Half *half, const Field *seam)
{
    half->tick = -1;
    for (int i = 0; i < half->path->part_count && half->tick < 0; i++) {
        const ReadPart *part = &half->path->parts[i];
        if (part->count != 1 || part->closed || !half->path->curves[part->first].is_line) continue;
        const ReadCurve *curve = &half->path->curves[part->first];
        for (int end = 0; end < 4 && half->tick < 0; end += 3) {
            if (fabs(measure_distance(seam, curve->p[end], 1.0, -1, NULL) - FOOT_MM) > PROOF_TOLERANCE_MM) continue;
            half->tick = i;
            half->foot = curve->p[end];
            half->tip = curve->p[3 - end];
        }
    }
}

static bool find_ticks(Check *check, Half *halves, int count, Error *err)
{
    Arena *scratch = &check->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Edges edges = {0};
    Field field;
    const ReadSeam *seam = halves[0].seam;
    if (!measure_flatten(seam->path.curves, seam->path.curve_count, NULL, INFINITY, 0, scratch, &edges, err) ||
        !measure_field(edges.items, edges.count, scratch, &field, err))
        return false;
    for (int i = 0; i < count; i++) {
        find_tick(&halves[i], &field);
        const ReadPiece *piece = halves[i].piece;
        Spot at = somewhere(&halves[i]);
        if (piece != &check->kit->pieces[seam->pieces[0]] && piece != &check->kit->pieces[seam->pieces[1]])
            fault_add(check->faults, "match-wrong-piece", seam->id, at.x, at.y,
                      "a match mark of the seam is on %s, which it does not join", piece->id);
        if (halves[i].tick < 0)
            fault_add(check->faults, "match-off-seam", seam->id, at.x, at.y,
                      "a match mark on %s has no tick that begins beside the seam", piece->id);
    }
    arena_rewind(scratch, mark);
    return true;
}

// ---- letters ----

typedef struct Extent { // of a stroke; the same however it is written
    double length, x0, y0, x1, y1;
} Extent;

static Extent extent_of(const ReadPath *path, int part)
{
    ReadPart whole = {.count = path->parts[part].count, .closed = path->parts[part].closed};
    const ReadPath only = {&path->curves[path->parts[part].first], whole.count, &whole, 1};
    SpotBox box = measure_box(&only);
    return (Extent){measure_length(&only), box.min.x, box.min.y, box.max.x, box.max.y};
}

// Where all letters begin.
static Spot letters_start(const Half *half)
{
    Spot start = {INFINITY, INFINITY};
    for (int i = 0; i < half->path->part_count; i++) {
        if (i == half->tick) continue;
        Extent extent = extent_of(half->path, i);
        start = (Spot){fmin(start.x, extent.x0), fmin(start.y, extent.y0)};
    }
    return start;
}

static bool same(double a, double b)
{
    return fabs(a - b) <= PROOF_TOLERANCE_MM;
}

static bool has_stroke(const Half *half, Spot start, const Extent *wanted)
{
    for (int i = 0; i < half->path->part_count; i++) {
        if (i == half->tick) continue;
        Extent e = extent_of(half->path, i);
        if (same(e.length, wanted->length) && same(e.x0 - start.x, wanted->x0) && same(e.y0 - start.y, wanted->y0) &&
            same(e.x1 - start.x, wanted->x1) && same(e.y1 - start.y, wanted->y1))
            return true;
    }
    return false;
}

static bool letters_agree(const Half *a, const Half *b)
{
    if (a->path->part_count != b->path->part_count) return false;
    Spot a_start = letters_start(a), b_start = letters_start(b);
    for (int i = 0; i < a->path->part_count; i++) {
        if (i == a->tick) continue;
        Extent e = extent_of(a->path, i);
        e = (Extent){e.length, e.x0 - a_start.x, e.y0 - a_start.y, e.x1 - a_start.x, e.y1 - a_start.y};
        if (!has_stroke(b, b_start, &e)) return false;
    }
    return true;
}

// ---- pairs ----

// Where the other half begins: as far beyond the seam, straight across it.
static Spot other_foot(const Half *half)
{
    double x = half->foot.x - half->tip.x, y = half->foot.y - half->tip.y, share = 2.0 * FOOT_MM / hypot(x, y);
    return (Spot){half->foot.x + share * x, half->foot.y + share * y};
}

static bool faces(const Half *half, const Half *other)
{
    return measure_gap(other_foot(half), other->foot) <= PROOF_TOLERANCE_MM;
}

static bool is_straight(const Half *a, const Half *b)
{
    double ax = a->tip.x - a->foot.x, ay = a->tip.y - a->foot.y, bx = b->tip.x - b->foot.x, by = b->tip.y - b->foot.y;
    double length = hypot(ax, ay) * hypot(bx, by);
    return length > 0.0 && ax * bx + ay * by < 0.0 && fabs(ax * by - ay * bx) <= STRAIGHT * length;
}

static void check_pair(Check *check, const Half *a, const Half *b)
{
    const ReadSeam *seam = a->seam;
    if (!is_straight(a, b))
        fault_add(check->faults, "match-crooked", seam->id, a->foot.x, a->foot.y,
                  "the tick on %s does not run straight on on %s", a->piece->id, b->piece->id);
    if (!letters_agree(a, b))
        fault_add(check->faults, "match-letters-differ", seam->id, a->foot.x, a->foot.y,
                  "the letters beside a tick differ between %s and %s", a->piece->id, b->piece->id);
    check->measured.match_count++;
}

static void check_halves(Check *check, Half *halves, int count)
{
    for (int i = 0; i < count; i++) {
        Half *a = &halves[i];
        for (int k = i + 1; k < count && !a->paired; k++) {
            Half *b = &halves[k];
            if (b->paired || b->piece == a->piece || a->tick < 0 || b->tick < 0) continue;
            if (!faces(a, b) && !faces(b, a)) continue; // one of them may be crooked
            a->paired = b->paired = true;
            check_pair(check, a, b);
        }
        if (!a->paired)
            fault_add(check->faults, "match-unpaired", a->seam->id, somewhere(a).x, somewhere(a).y,
                      "a half tick on %s has no other half", a->piece->id);
    }
    if (!halves[0].seam->letter)
        fault_add(check->faults, "match-letter-missing", halves[0].seam->id, 0, 0,
                  "the seam has match marks but no letter");
}

// ---- letters of a layer ----

static int by_layer_and_letter(const void *a, const void *b)
{
    const ReadSeam *one = *(const ReadSeam *const *)a, *two = *(const ReadSeam *const *)b;
    if (one->layer != two->layer) return one->layer < two->layer ? -1 : 1;
    int order = strcmp(one->letter, two->letter);
    return order ? order : (one > two) - (one < two);
}

static bool check_letters(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    int count = 0;
    const ReadSeam **seams = arena_new(&check->work->scratch, const ReadSeam *, kit->seam_count);
    if (!seams) return error_memory(err);
    for (int i = 0; i < kit->seam_count; i++)
        if (kit->seams[i].letter) seams[count++] = &kit->seams[i];
    qsort(seams, (size_t)count, sizeof *seams, by_layer_and_letter);
    for (int i = 1; i < count; i++)
        if (seams[i]->layer == seams[i - 1]->layer && strcmp(seams[i]->letter, seams[i - 1]->letter) == 0)
            fault_add(check->faults, "match-letter-twice", seams[i]->id, 0, 0,
                      "seams %s and %s of one layer are both called %s", seams[i - 1]->id, seams[i]->id, seams[i]->letter);
    return true;
}

bool check_matches(Check *check, Error *err)
{
    int count;
    ArenaMark mark = arena_mark(&check->work->scratch);
    Half *halves = gather(check, &count);
    if (!halves) return error_memory(err);
    for (int from = 0, to; from < count; from = to) {
        for (to = from + 1; to < count && halves[to].seam == halves[from].seam;) to++;
        if (!work_goes_on(check->work, err) || !find_ticks(check, &halves[from], to - from, err)) return false;
        if (to - from > MATCH_MOST)
            return error_set(err, ERROR_INPUT, "seam %s has more than %d match marks", halves[from].seam->id, MATCH_MOST);
        check_halves(check, &halves[from], to - from);
    }
    bool done = check_letters(check, err);
    arena_rewind(&check->work->scratch, mark);
    return done;
}

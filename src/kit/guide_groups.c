// guide_groups.c - see guide_groups.h.
#include "kit/guide_groups.h"

#include <math.h>
#include <string.h>

#define WOBBLE_WEIGHT 3.0 // of a line of seams that strays from straight, against halves of unlike size

typedef struct Dividing {
    GuideGroups *groups;
    int *mark;   // of each piece: -1 = not in the set, else its side
    int *root;   // of each piece: the least index it is connected to on its side
    int *size;   // pieces of that root
    int *best;   // the sides of the best line so far
} Dividing;

static double middle_mm(const GuideGroups *groups, int piece, bool y)
{
    Box box = rings_box(&groups->draft->pieces[groups->first_piece + piece].source->rings);
    return (y ? (double)box.min.y + box.max.y : (double)box.min.x + box.max.x) / 2 / UM_PER_MM;
}

bool guide_part_has(const GuidePart *part, int piece)
{
    for (int i = 0; i < part->count; i++)
        if (part->pieces[i] == piece) return true;
    return false;
}

bool guide_part_is_whole(const GuideGroups *groups, int part)
{
    return part + 1 == groups->part_count || groups->parts[part + 1].group != groups->parts[part].group;
}

int guide_group_size(const GuideGroups *groups, int group)
{
    int size = 0;
    for (int i = 0; i < groups->piece_count; i++) size += groups->group[i] == group;
    return size;
}

const char *guide_piece_name(const GuideGroups *groups, int piece)
{
    return groups->draft->pieces[groups->first_piece + piece].source->id;
}

int guide_group_largest(const GuideGroups *groups, int group)
{
    int best = group;
    const DraftPiece *pieces = &groups->draft->pieces[groups->first_piece];
    for (int i = 0; i < groups->piece_count; i++)
        if (groups->group[i] == group && pieces[i].area_mm2 > pieces[best].area_mm2) best = i;
    return best;
}

// The least index travels along seams between pieces with the same mark, -1 excepted.
static bool connect(const GuideGroups *groups, const int *mark, int *root, Work *work, Error *err)
{
    for (int i = 0; i < groups->piece_count; i++) root[i] = i;
    for (bool changed = true; changed;) {
        changed = false;
        if (!work_goes_on(work, err)) return false;
        for (int s = 0; s < groups->seam_count; s++) {
            const int *pair = groups->seams[s].source->pieces;
            int a = pair[0], b = pair[1];
            if (mark[a] < 0 || mark[a] != mark[b] || root[a] == root[b]) continue;
            root[a] = root[b] = root[a] < root[b] ? root[a] : root[b];
            changed = true;
        }
    }
    return true;
}

// --- one line ---

typedef struct Line {
    double x, y, dx, dy; // a point of it, its direction (of length 1)
} Line;

static bool line_of(const DraftSeam *seam, Line *out)
{
    if (seam->path.curve_count == 0) return false;
    Point a = seam->path.curves[0].p0, b = seam->path.curves[seam->path.curve_count - 1].p3;
    double dx = (double)b.x - a.x, dy = (double)b.y - a.y, length = sqrt(dx * dx + dy * dy);
    if (length < UM_PER_MM) return false;
    *out = (Line){a.x / UM_PER_MM, a.y / UM_PER_MM, dx / length, dy / length};
    return true;
}

static double beside(const Line *line, double x_mm, double y_mm)
{
    return line->dx * (y_mm - line->y) - line->dy * (x_mm - line->x);
}

// Pieces that the line cuts off from the rest of their side go over to the other side.
static bool divide_along(Dividing *d, const int *set, int count, const Line *line, Work *work, Error *err)
{
    for (int i = 0; i < count; i++)
        d->mark[set[i]] =
            beside(line, middle_mm(d->groups, set[i], false), middle_mm(d->groups, set[i], true)) > 0;
    if (!connect(d->groups, d->mark, d->root, work, err)) return false;
    memset(d->size, 0, (size_t)d->groups->piece_count * sizeof *d->size);
    for (int i = 0; i < count; i++) d->size[d->root[set[i]]]++;
    int main[2] = {-1, -1};
    for (int i = 0; i < count; i++) {
        int *of = &main[d->mark[set[i]]], root = d->root[set[i]];
        if (*of < 0 || d->size[root] > d->size[*of]) *of = root;
    }
    for (int i = 0; i < count; i++)
        if (d->root[set[i]] != main[d->mark[set[i]]]) d->mark[set[i]] = !d->mark[set[i]];
    return connect(d->groups, d->mark, d->root, work, err);
}

// How bad: the larger half's share, and how far the seams between the halves stray from the line. INFINITY = no division.
static double cost_of(const Dividing *d, const int *set, int count, const Line *line)
{
    int sides[2] = {0, 0}, roots[2] = {-1, -1};
    double x0 = INFINITY, y0 = INFINITY, x1 = -INFINITY, y1 = -INFINITY, length = 0, strayed = 0;
    for (int i = 0; i < count; i++) {
        int side = d->mark[set[i]], root = d->root[set[i]];
        if (roots[side] >= 0 && roots[side] != root) return INFINITY;
        roots[side] = root;
        sides[side]++;
        double x = middle_mm(d->groups, set[i], false), y = middle_mm(d->groups, set[i], true);
        x0 = fmin(x0, x), x1 = fmax(x1, x), y0 = fmin(y0, y), y1 = fmax(y1, y);
    }
    if (sides[0] == 0 || sides[1] == 0) return INFINITY;
    for (int s = 0; s < d->groups->seam_count; s++) {
        const DraftSeam *seam = &d->groups->seams[s];
        int a = d->mark[seam->source->pieces[0]], b = d->mark[seam->source->pieces[1]];
        if (a < 0 || b < 0 || a == b) continue;
        Box box = box_empty();
        for (int i = 0; i < seam->path.curve_count; i++) {
            box_add(&box, seam->path.curves[i].p0);
            box_add(&box, seam->path.curves[i].p3);
        }
        double x = ((double)box.min.x + box.max.x) / 2 / UM_PER_MM, y = ((double)box.min.y + box.max.y) / 2 / UM_PER_MM;
        length += seam->source->length_mm;
        strayed += seam->source->length_mm * fabs(beside(line, x, y));
    }
    double span_mm = fmax(1, fmax(x1 - x0, y1 - y0));
    return (double)(sides[0] > sides[1] ? sides[0] : sides[1]) / count +
           WOBBLE_WEIGHT * strayed / (fmax(length, 1e-9) * span_mm);
}

// --- parts ---

static bool find_best(Dividing *d, const int *set, int count, bool *found, Work *work, Error *err)
{
    double best = INFINITY;
    *found = false;
    for (int i = 0; i < d->groups->piece_count; i++) d->mark[i] = -1;
    for (int i = 0; i < count; i++) d->mark[set[i]] = 0;
    for (int s = 0; s < d->groups->seam_count; s++) {
        const int *pair = d->groups->seams[s].source->pieces;
        Line line;
        if (d->mark[pair[0]] < 0 || d->mark[pair[1]] < 0 || !line_of(&d->groups->seams[s], &line)) continue;
        if (!work_goes_on(work, err) || !divide_along(d, set, count, &line, work, err)) return false;
        double cost = cost_of(d, set, count, &line);
        if (!(cost < best - 1e-9)) continue;
        best = cost;
        *found = true;
        memcpy(d->best, d->mark, (size_t)d->groups->piece_count * sizeof *d->best);
    }
    return true;
}

// The index of the part that holds this set, after the parts it is united from.
static bool add_parts(Dividing *d, const int *set, int count, Arena *keep, Work *work, int *out, Error *err)
{
    GuidePart part = {d->groups->group[set[0]], arena_new(keep, int, count), count, -1, -1};
    bool found = false;
    if (!part.pieces) return error_memory(err);
    memcpy(part.pieces, set, (size_t)count * sizeof *set);
    if (count > GUIDE_PART_MOST && !find_best(d, set, count, &found, work, err)) return false;
    if (found) {
        int firsts = 0, seconds = 0;
        int *second = arena_new(&work->scratch, int, count);
        if (!second) return error_memory(err);
        for (int i = 0; i < count; i++) {
            bool with_first = d->best[set[i]] == d->best[set[0]];
            if (with_first) part.pieces[firsts++] = set[i];
            else second[seconds++] = set[i];
        }
        memcpy(part.pieces + firsts, second, (size_t)seconds * sizeof *second);
        if (!add_parts(d, part.pieces, firsts, keep, work, &part.first, err) ||
            !add_parts(d, part.pieces + firsts, seconds, keep, work, &part.second, err))
            return false;
    }
    *out = d->groups->part_count;
    d->groups->parts[d->groups->part_count++] = part;
    return true;
}

static bool divide_groups(GuideGroups *groups, Arena *keep, Work *work, Error *err)
{
    int count = groups->piece_count, part;
    Dividing d = {groups, arena_new(&work->scratch, int, count), arena_new(&work->scratch, int, count),
                  arena_new(&work->scratch, int, count), arena_new(&work->scratch, int, count)};
    int *set = arena_new(&work->scratch, int, count);
    groups->parts = arena_new(keep, GuidePart, 2 * (size_t)count); // a tree has fewer forks than ends
    if (!d.mark || !d.root || !d.size || !d.best || !set || !groups->parts) return error_memory(err);
    for (int g = 0; g < count; g++) {
        int size = 0;
        for (int i = 0; i < count; i++)
            if (groups->group[i] == g) set[size++] = i;
        if (size > 1 && !add_parts(&d, set, size, keep, work, &part, err)) return false;
    }
    return true;
}

bool guide_groups_make(const Draft *draft, int layer, Arena *keep, Work *work, GuideGroups *out, Error *err)
{
    const DraftLayer *from = &draft->layers[layer];
    *out = (GuideGroups){.draft = draft, .layer = layer, .first_piece = from->first_piece, .piece_count = from->piece_count,
                         .seams = arena_new(keep, DraftSeam, draft->seam_count), .seam_index = arena_new(keep, int, draft->seam_count),
                         .group = arena_new(keep, int, from->piece_count)};
    if (!out->seams || !out->seam_index) return error_memory(err);
    for (int s = 0; s < draft->seam_count; s++) {
        if (draft->seams[s].layer != layer || draft->seams[s].source->on_section) continue;
        out->seam_index[out->seam_count] = s;
        out->seams[out->seam_count++] = draft->seams[s];
    }
    ArenaMark mark = arena_mark(&work->scratch);
    int *same = arena_new(&work->scratch, int, from->piece_count); // all zero: one set
    bool done = out->group && same ? connect(out, same, out->group, work, err) && divide_groups(out, keep, work, err)
                                   : error_memory(err);
    arena_rewind(&work->scratch, mark);
    return done;
}

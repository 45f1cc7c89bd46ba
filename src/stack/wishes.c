// wishes.c - relations between colours, taken in the order of their weight as long as they go round in no circle; see
// wishes.h.
#include "stack/wishes.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

typedef struct Relation { // `over` lies over `under`
    int under, over;
    double length_mm; // of their common edge
} Relation;

typedef struct Relations { // all that follows from what was taken so far
    bool *holds;           // [under * count + over]
    int count;
} Relations;

// Takes a relation and all that follows from it; false when the opposite holds already.
static bool take(Relations *relations, int under, int over)
{
    int count = relations->count;
    bool *holds = relations->holds;
    if (under == over || holds[over * count + under]) return false;
    if (holds[under * count + over]) return true;
    for (int low = 0; low < count; low++) {
        if (low != under && !holds[low * count + under]) continue;
        holds[low * count + over] = true;
        for (int high = 0; high < count; high++)
            if (holds[over * count + high]) holds[low * count + high] = true;
    }
    return true;
}

// rank[colour]: place in the order, -1 for colours that are not in it.
static int *ranks_of(const int *order, int count, int colours, Arena *arena)
{
    int *rank = arena_new(arena, int, colours);
    for (int i = 0; rank && i < colours; i++) rank[i] = -1;
    for (int i = 0; rank && i < count; i++) rank[order[i]] = i;
    return rank;
}

static double *common_edges_mm(const Outlines *outlines, Arena *arena)
{
    int colours = outlines->colour_count;
    double *length_mm = arena_new(arena, double, (size_t)colours *(size_t)colours);
    for (int i = 0; length_mm && i < outlines->arc_count; i++) {
        int left = outlines->regions[outlines->arcs[i].left].label - 1,
            right = outlines->regions[outlines->arcs[i].right].label - 1;
        if (left < 0 || right < 0 || left == right) continue;
        Link whole = {i, 0, outlines->chains.items[i].point_count - 1};
        double length = link_length_mm(&outlines->chains, &whole);
        length_mm[left * colours + right] += length;
        length_mm[right * colours + left] += length;
    }
    return length_mm;
}

// Longest edge first; the pairs of ranks make the order total.
static int compare_relations(const void *a, const void *b)
{
    const Relation *p = a, *q = b;
    if (p->length_mm != q->length_mm) return p->length_mm > q->length_mm ? -1 : 1;
    if (p->under != q->under) return p->under < q->under ? -1 : 1;
    return p->over < q->over ? -1 : p->over > q->over;
}

// What the order says of each two colours that meet, as relations of ranks.
static bool keep_what_meets(const Outlines *outlines, const int *order, int count, Relations *relations, Arena *arena)
{
    double *length_mm = common_edges_mm(outlines, arena);
    Relation *all = arena_new(arena, Relation, (size_t)count *(size_t)count);
    if (!length_mm || !all) return false;
    int found = 0;
    for (int low = 0; low < count; low++)
        for (int high = low + 1; high < count; high++) {
            double length = length_mm[order[low] * outlines->colour_count + order[high]];
            if (length > 0.0) all[found++] = (Relation){low, high, length};
        }
    qsort(all, (size_t)found, sizeof *all, compare_relations);
    for (int i = 0; i < found; i++) (void)take(relations, all[i].under, all[i].over);
    return true;
}

// The lowest rank of those below which nothing remains is next.
static bool order_by(const Relations *relations, int *order, Arena *arena)
{
    int count = relations->count;
    bool *placed = arena_new(arena, bool, count);
    int *before = arena_copy(arena, order, (size_t)count, sizeof *before);
    if (!placed || !before) return false;
    for (int place = 0; place < count; place++) {
        int next = -1;
        for (int i = 0; i < count && next < 0; i++) {
            bool free = !placed[i];
            for (int low = 0; low < count && free; low++) free = placed[low] || !relations->holds[low * count + i];
            if (free) next = i;
        }
        placed[next] = true;
        order[place] = before[next];
    }
    return true;
}

// The middle of the longest arc between two colours, or else a place in the first one.
static void meeting_place(const Outlines *outlines, int a, int b, double out_mm[2])
{
    double longest = 0.0;
    Point place = {0, 0};
    for (int i = outlines->region_count - 1; i > 0; i--)
        if (outlines->regions[i].label == a + 1) place = outlines->regions[i].inside;
    for (int i = 0; i < outlines->arc_count; i++) {
        int left = outlines->regions[outlines->arcs[i].left].label - 1,
            right = outlines->regions[outlines->arcs[i].right].label - 1;
        if (!((left == a && right == b) || (left == b && right == a))) continue;
        const Chain *chain = &outlines->chains.items[i];
        Link whole = {i, 0, chain->point_count - 1};
        double length = link_length_mm(&outlines->chains, &whole);
        if (length <= longest) continue;
        longest = length;
        place = chain->points[chain->point_count / 2];
    }
    out_mm[0] = place.x / UM_PER_MM;
    out_mm[1] = place.y / UM_PER_MM;
}

typedef enum Fate {
    FATE_KEPT,
    FATE_NO_PAPER, // one of its colours is none of the picture's, or has no paper
    FATE_ITSELF,
    FATE_BASE,
    FATE_REVERSED, // a later wish says the opposite
    FATE_CIRCLE,   // later wishes together do
} Fate;

static bool is_reversed_later(const StackOptions *options, int wish)
{
    for (int i = wish + 1; i < options->order_count; i++)
        if (options->orders[i].over == options->orders[wish].under &&
            options->orders[i].under == options->orders[wish].over)
            return true;
    return false;
}

static Fate fate_of(const StackOptions *options, int wish, int base_colour, const int *rank, int colours,
                    Relations *relations)
{
    int over = options->orders[wish].over, under = options->orders[wish].under;
    if (over < 0 || under < 0 || over >= colours || under >= colours) return FATE_NO_PAPER;
    if (over == under) return FATE_ITSELF;
    if ((over != base_colour && rank[over] < 0) || (under != base_colour && rank[under] < 0)) return FATE_NO_PAPER;
    if (over == base_colour) return FATE_BASE;
    if (under == base_colour || take(relations, rank[under], rank[over])) return FATE_KEPT;
    return is_reversed_later(options, wish) ? FATE_REVERSED : FATE_CIRCLE;
}

static const char *name_of(const Outlines *outlines, int colour)
{
    bool is_there = colour >= 0 && colour < outlines->colour_count;
    return is_there ? outlines->colours[colour].name : "a colour that is not there";
}

static bool tell(const Outlines *outlines, OrderWish wish, Fate fate, Arena *keep, Work *work, Findings *findings,
                 Error *err)
{
    if (fate == FATE_KEPT) return true;
    const char *over = name_of(outlines, wish.over), *under = name_of(outlines, wish.under);
    ArenaMark mark = arena_mark(&work->scratch);
    Text text = text_make(&work->scratch);
    double at_mm[2];
    meeting_place(outlines, wish.over, wish.under, at_mm);
    text_printf(&text, "%s over %s: ", over, under);
    switch (fate) {
    case FATE_KEPT: break;
    case FATE_NO_PAPER: text_add(&text, "at least one of the two has no paper in this picture"); break;
    case FATE_ITSELF: text_add(&text, "a colour cannot lie over itself"); break;
    case FATE_BASE: text_printf(&text, "%s is the base, which always lies lowest", over); break;
    case FATE_REVERSED: text_printf(&text, "a later wish puts %s over %s", under, over); break;
    case FATE_CIRCLE: text_printf(&text, "later wishes together put %s over %s", under, over); break;
    }
    const char *kind = fate == FATE_NO_PAPER ? "edit-without-target" : "edit-not-kept";
    if (!text_is_whole(&text, err)) return false;
    if (!findings_add(findings, keep, kind, text.bytes, at_mm[0], at_mm[1])) return error_memory(err);
    arena_rewind(&work->scratch, mark);
    return true;
}

bool wishes_apply(const Outlines *outlines, const StackOptions *options, int base_colour, int *order, int count,
                  Arena *keep, Work *work, Findings *findings, Error *err)
{
    if (options->order_count == 0) return true;
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    int *rank = ranks_of(order, count, outlines->colour_count, scratch);
    Fate *fates = arena_new(scratch, Fate, options->order_count);
    Relations relations = {arena_new(scratch, bool, (size_t)count *(size_t)count), count};
    if (!rank || !fates || !relations.holds) return error_memory(err);
    for (int i = options->order_count - 1; i >= 0; i--) {
        if (!work_goes_on(work, err)) return false;
        fates[i] = fate_of(options, i, base_colour, rank, outlines->colour_count, &relations);
    }
    if (!keep_what_meets(outlines, order, count, &relations, scratch) || !order_by(&relations, order, scratch))
        return error_memory(err);
    for (int i = 0; i < options->order_count; i++)
        if (!tell(outlines, options->orders[i], fates[i], keep, work, findings, err)) return false;
    arena_rewind(scratch, mark);
    return true;
}

// ---- edge to edge ----

static bool meet(const Outlines *outlines, int a, int b)
{
    for (int i = 0; i < outlines->arc_count; i++) {
        int left = outlines->regions[outlines->arcs[i].left].label - 1,
            right = outlines->regions[outlines->arcs[i].right].label - 1;
        if ((left == a && right == b) || (left == b && right == a)) return true;
    }
    return false;
}

static bool has_paper(const int *rank, int colours, int base_colour, int colour)
{
    return colour >= 0 && colour < colours && (colour == base_colour || rank[colour] >= 0);
}

static bool tell_inlay(const Outlines *outlines, ColourPair pair, const char *kind, const char *reason, Arena *keep, Work *work,
                       Findings *findings, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Text text = text_make(&work->scratch);
    double at_mm[2];
    meeting_place(outlines, pair.a, pair.b, at_mm);
    text_printf(&text, "%s and %s edge to edge: %s", name_of(outlines, pair.a), name_of(outlines, pair.b), reason);
    if (!text_is_whole(&text, err)) return false;
    if (!findings_add(findings, keep, kind, text.bytes, at_mm[0], at_mm[1])) return error_memory(err);
    arena_rewind(&work->scratch, mark);
    return true;
}

bool wishes_tell_inlays(const Outlines *outlines, const StackOptions *options, int base_colour, const int *order, int count,
                        Arena *keep, Work *work, Findings *findings, Error *err)
{
    if (options->inlay_count == 0) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    int colours = outlines->colour_count, *rank = ranks_of(order, count, colours, &work->scratch);
    bool done = rank || error_memory(err);
    for (int i = 0; i < options->inlay_count && done; i++) {
        ColourPair pair = options->inlays[i];
        const char *reason = NULL, *kind = "edit-without-target";
        if (pair.a == pair.b) reason = "a colour has no edge with itself";
        else if (!has_paper(rank, colours, base_colour, pair.a) || !has_paper(rank, colours, base_colour, pair.b))
            reason = "at least one of the two has no paper in this picture";
        else if (!meet(outlines, pair.a, pair.b)) reason = "the two meet nowhere";
        else if (pair.a == base_colour || pair.b == base_colour) reason = "one of them is the base, which is solid under everything", kind = "edit-not-kept";
        done = !reason || tell_inlay(outlines, pair, kind, reason, keep, work, findings, err);
    }
    arena_rewind(&work->scratch, mark);
    return done;
}

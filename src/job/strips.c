// strips.c - see strips.h.
#include "job/strips.h"

#include "nest/leftover.h"
#include "shape/overlay.h"

#include <math.h>

static bool are_wanted(const Run *run)
{
    switch (run->options->settings->strips) {
    case STRIPS_USUAL: return run->out->stack.height_mm > BACKING_FROM_MM;
    case STRIPS_CUT:
    case STRIPS_HAND: return true;
    case STRIPS_NONE: break;
    }
    return false;
}

// What is cut of each strip, and its place on a sheet when it has one.
static bool make_pieces(KitStrips *strips, Arena *keep, Error *err)
{
    int count = strips->backing.count;
    strips->papers = arena_new(keep, int, count);
    strips->places = arena_new(keep, NestPlace, count);
    strips->pieces = arena_new(keep, Piece, count);
    if (!strips->papers || !strips->places || !strips->pieces) return error_memory(err);
    for (int i = 0; i < count; i++) {
        Piece *piece = &strips->pieces[i];
        Ring *ring = arena_new(keep, Ring, 1);
        if (!ring) return error_memory(err);
        *ring = (Ring){strips->backing.strips[i].corners, 4};
        piece->rings = piece->cut = (Rings){ring, 1};
        piece->fit = (Fit){1.0, 0.0};
        piece->area_mm2 = ring_area_mm2(ring);
        strips->papers[i] = -1;
        if (!area_from_rings(&piece->rings, &strips->chains, keep, &piece->face, err)) return false;
        piece->outline = piece->face;
    }
    return true;
}

// The paper in whose waste strips may lie: of the base, and cut anew; -1 = none.
static int paper_for_strips(const Run *run)
{
    for (int p = 0; p < run->out->paper_count; p++) {
        const KitPaper *paper = &run->out->papers[p];
        if (!paper->at_hand && !paper->paper.is_offcut && paper->piece_count > 0 && paper->layers[0] == 0) return p;
    }
    return -1;
}

// Of the strips without a place as many as find one; nothing that lies already moves.
static bool lay_rest(const Run *run, KitStrips *strips, Work *work, Error *err)
{
    int paper = paper_for_strips(run);
    if (paper < 0) return true;
    const KitPaper *entry = &run->out->papers[paper];
    const NestResult *nest = &entry->nest;
    NestOptions options = nest_defaults(&entry->paper);
    int laid = entry->piece_count, total = laid + strips->backing.count, rest = 0;
    NestItem *items = arena_new(&work->scratch, NestItem, total);
    NestPlace *places = arena_new(&work->scratch, NestPlace, total), *found = arena_new(&work->scratch, NestPlace, total);
    Leftover *rectangles = arena_new(&work->scratch, Leftover, strips->backing.count);
    if (!items || !places || !found || !rectangles) return error_memory(err);
    for (int i = 0; i < laid; i++) {
        const Piece *piece = &run->out->pieces[entry->layers[i]].pieces[entry->pieces[i]];
        items[i] = (NestItem){.rings = piece_cut(piece), .fit = piece->fit};
        places[i] = nest->places[i];
    }
    for (int i = 0; i < strips->backing.count; i++) {
        if (strips->papers[i] < 0) {
            rectangles[rest++].corners = strips->backing.strips[i].corners;
        } else {
            items[laid] = (NestItem){.rings = &strips->pieces[i].cut, .fit = strips->pieces[i].fit};
            places[laid++] = strips->places[i];
        }
    }
    const NestResult so_far = {.places = places, .sheet_count = nest->sheet_count};
    if (!leftover_lay(items, laid, &options, &so_far, rectangles, rest, work, found, err)) return false;
    for (int i = 0, k = 0; i < strips->backing.count; i++) {
        if (strips->papers[i] >= 0) continue;
        strips->places[i] = found[k++];
        strips->papers[i] = strips->places[i].sheet >= 0 ? paper : -1;
    }
    return true;
}

static bool same_strip(const BackingStrip *a, const BackingStrip *b)
{
    return point_equal(a->corners[0], b->corners[0]) && point_equal(a->corners[2], b->corners[2]);
}

// Strips of `from` that lie in `to` as well have the same place.
static void keep_places(const KitStrips *from, KitStrips *to)
{
    for (int i = 0; i < to->backing.count; i++)
        for (int k = 0; k < from->backing.count; k++) {
            if (from->papers[k] < 0 || !same_strip(&to->backing.strips[i], &from->backing.strips[k])) continue;
            to->papers[i] = from->papers[k];
            to->places[i] = from->places[k];
        }
}

static bool halve(const Run *run, const BackingOptions *options, const KitStrips *whole, const bool *marked, Arena *keep, Work *work,
                  KitStrips *out, Error *err)
{
    *out = (KitStrips){0};
    if (!backing_halve(&run->out->pieces[0], options, &whole->backing, marked, keep, work, &out->backing, err) || !make_pieces(out, keep, err))
        return false;
    keep_places(whole, out);
    return true;
}

// A half of it lies on a sheet.
static bool has_laid_half(const KitStrips *halves, const BackingStrip *whole)
{
    for (int i = 0; i < halves->backing.count; i++) {
        const Point *c = halves->backing.strips[i].corners, *w = whole->corners;
        if (halves->papers[i] >= 0 && (point_equal(c[0], w[0]) || point_equal(c[1], w[1]))) return true;
    }
    return false;
}

// Two for each strip that found no place, where at least one of them finds one.
static bool lay_halves(const Run *run, const BackingOptions *options, KitStrips *strips, Arena *keep, Work *work, Error *err)
{
    const KitStrips whole = *strips;
    KitStrips halves;
    bool any = false, all = true;
    bool *marked = arena_new(&work->scratch, bool, whole.backing.count);
    if (!marked) return error_memory(err);
    for (int i = 0; i < whole.backing.count; i++) any = (marked[i] = whole.papers[i] < 0) || any;
    if (!any) return true;
    if (!halve(run, options, &whole, marked, keep, work, &halves, err) || !lay_rest(run, &halves, work, err)) return false;
    for (int i = 0; i < whole.backing.count; i++) {
        bool wanted = marked[i] && has_laid_half(&halves, &whole.backing.strips[i]);
        all = all && wanted == marked[i];
        marked[i] = wanted;
    }
    *strips = halves;
    if (all) return true;
    if (!halve(run, options, &whole, marked, keep, work, strips, err)) return false;
    keep_places(&halves, strips);
    return true;
}

static bool make(const Run *run, KitStrips *strips, Arena *keep, Work *work, Error *err)
{
    Space space = paper_fit_space(&run->layer_papers[0]);
    BackingOptions options = backing_defaults(fmax(space.width_mm, space.height_mm));
    if (!backing_make(&run->out->stack.layers[0].rings, &run->out->pieces[0], &options, keep, work, &strips->backing, err)) return false;
    if (!make_pieces(strips, keep, err)) return false;
    if (run->options->settings->strips == STRIPS_HAND || strips->backing.count == 0) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    bool done = lay_rest(run, strips, work, err) && lay_halves(run, &options, strips, keep, work, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

bool strips_make(Run *run, Error *err)
{
    bool is_new;
    Kept *kept;
    run->kept.strips = NULL;
    run->out->strips = NULL;
    if (run->options->unrefined || !are_wanted(run)) return true;
    Hasher h = hasher_make("strips");
    hash_key(&h, run->kept.pieces[0]->key);
    int paper = paper_for_strips(run);
    hash_int(&h, paper);
    if (paper >= 0) hash_key(&h, run->kept.nests[paper]->key);
    if (paper >= 0) hash_paper(&h, &run->out->papers[paper].paper);
    hash_int(&h, run->options->settings->strips == STRIPS_HAND);
    if (!run_take(run, hasher_key(&h), sizeof(KitStrips), &kept, &is_new, err)) return false;
    if (is_new && !make(run, kept->value, &kept->arena, &run->work, err)) return false;
    run->kept.strips = kept;
    run->out->strips = kept->value;
    return true;
}

// seam.c - see seam.h: the layer is divided again without what could not be kept of the fixed seams, until all else is; then
// its seams get their laps.
#include "seam/seam.h"

#include "seam/attempt.h"
#include "seam/lap.h"
#include "seam/tell.h"

#include <string.h>

#define LOSSES 400 // stretches of fixed seams that are given up one by one; after that the layer is

SeamOptions seam_defaults(const Paper *paper)
{
    return (SeamOptions){
        .paper = *paper,
        .tries = 160,
        .hidden_by_mm = 3.0,
        .hidden_weight = 0.08,
        .piece_weight = 4.0,
        .stacked_weight = 0.4,
        .detail_weight = 4.0,
        .least_long_mm = 50.8,
        .least_wide_mm = 19.05,
        .least_neck_mm = 12.7,
        .lap_mm = 12.0,
    };
}

const Area *piece_outline(const Piece *piece)
{
    return piece->has_laps ? &piece->outline : &piece->face;
}

const Rings *piece_cut(const Piece *piece)
{
    return piece->has_laps ? &piece->cut : &piece->rings;
}

const char *seam_form_word(SeamForm form)
{
    switch (form) {
    case SEAM_BUTT: break;
    case SEAM_LAP: return "lap";
    }
    return "butt";
}

bool seam_form_find(const char *word, SeamForm *out)
{
    if (strcmp(word, "butt") == 0) *out = SEAM_BUTT;
    else if (strcmp(word, "lap") == 0) *out = SEAM_LAP;
    else return false;
    return true;
}

void layer_letter(int layer, char out[8])
{
    static const char letters[] = "ABCDEFGHJKLMNPQRSTUVWXYZ"; // I and O look like 1 and 0
    char back[8];
    int n = 0, at = 0;
    for (int rest = layer + 1; rest > 0 && n < 7; rest = (rest - 1) / 24) back[n++] = letters[(rest - 1) % 24];
    while (n > 0) out[at++] = back[--n];
    out[at] = 0;
}

typedef struct Dividing {
    AttemptInput input;
    Hiding hiding;
    Avoid avoid;
    FitMemo memo;
    bool *touches; // by fixed seam
    FixedLoss losses[LOSSES];
    Arena store;
} Dividing;

static bool prepare(Dividing *d, Error *err)
{
    const SeamOptions *options = d->input.options;
    const Layer *layer = &d->input.stack->layers[d->input.layer];
    d->touches = arena_new(&d->store, bool, options->wishes.fixed_count);
    if (!d->touches) return error_memory(err);
    d->input.hiding = &d->hiding;
    d->input.avoid = &d->avoid;
    d->input.memo = &d->memo;
    d->input.losses = d->losses;
    return hiding_make(&layer->cover, options->hidden_by_mm, &d->store, &d->hiding, err) &&
           avoid_make(&options->wishes, &d->store, &d->avoid, err) &&
           avoid_add_detail(options->detail, options->detail_weight, &d->store, &d->avoid, err) &&
           avoid_add_above(options->above, options->above_count, options->stacked_weight, &d->store, &d->avoid, err) &&
           memo_make(lap_space(options), &d->store, &d->memo, err);
}

static bool attempt_until_kept(Dividing *d, Arena *keep, Work *work, LayerPieces *out, Error *err)
{
    for (;;) {
        FixedLoss loss;
        ArenaMark mark = arena_mark(keep);
        if (!attempt_layer(&d->input, keep, work, d->touches, &loss, out, err)) return false;
        if (loss.fault == FIXED_KEPT) break;
        arena_rewind(keep, mark);
        if (d->input.loss_count == LOSSES)
            return error_set(err, ERROR_JOB,
                             "more than %d stretches of fixed seams cannot be kept; take some of them back", LOSSES);
        d->losses[d->input.loss_count++] = loss;
    }
    return tell_wishes(&d->input, d->touches, keep, work, out, err);
}

static bool divide(const Stack *stack, int layer, const SeamOptions *options, ChooseWay choose, Arena *keep, Work *work,
                   LayerPieces *out, Error *err)
{
    Dividing d = {.input = {.stack = stack, .layer = layer, .options = options, .choose = choose},
                  .store = arena_make(work->scratch.budget_bytes)};
    bool fine = prepare(&d, err) && attempt_until_kept(&d, keep, work, out, err) &&
                lap_seams(options, keep, work, out, err);
    arena_free(&d.store);
    if (!fine) *out = (LayerPieces){0};
    return fine;
}

// Whether a seam runs along one above at all; most often none does.
static bool runs_along_above(const Dividing *d, const LayerPieces *divided, Work *work)
{
    for (int s = 0; s < divided->seam_count; s++) {
        const Link *link = &divided->seams[s].links[0];
        if (divided->seams[s].on_section) continue; // it stays, and so does the one above
        for (int i = 0; i + 1 < link_point_count(link); i++) {
            Point a = link_point(&divided->chains, link, i), b = link_point(&divided->chains, link, i + 1);
            if (avoid_stacked_mm(&d->avoid, a, b, &work->scratch) != 0.0) return true;
        }
    }
    return false;
}

static bool settle(Dividing *d, const LayerPieces *divided, Arena *keep, Work *work, LayerPieces *out, Error *err)
{
    FixedLoss loss;
    d->input.draft = divided->draft;
    for (int i = 0; i < divided->draft->loss_count; i++) d->losses[d->input.loss_count++] = divided->draft->losses[i];
    if (!attempt_layer(&d->input, keep, work, d->touches, &loss, out, err)) return false;
    if (loss.fault != FIXED_KEPT) *d->input.changed = false;
    return !*d->input.changed ||
           (tell_wishes(&d->input, d->touches, keep, work, out, err) && lap_seams(d->input.options, keep, work, out, err));
}

bool seam_settle(const Stack *stack, int layer, const SeamOptions *options, const LayerPieces *divided, Arena *keep,
                 Work *work, LayerPieces *out, bool *changed, Error *err)
{
    Dividing d = {.input = {.stack = stack, .layer = layer, .options = options, .choose = CHOOSE_BEST, .changed = changed},
                  .store = arena_make(work->scratch.budget_bytes)};
    *changed = false;
    *out = (LayerPieces){0};
    if (!divided->draft || options->above_count == 0) return true;
    ArenaMark mark = arena_mark(keep);
    bool fine = prepare(&d, err);
    if (fine && runs_along_above(&d, divided, work)) fine = settle(&d, divided, keep, work, out, err);
    // What cannot be carried out stays as it was.
    if (!fine && err->kind == ERROR_JOB) {
        fine = true;
        *changed = false;
        *err = (Error){0};
    }
    arena_free(&d.store);
    if (!*changed) arena_rewind(keep, mark);
    if (!*changed) *out = (LayerPieces){0};
    return fine;
}

bool seam_lines(const LayerPieces *layers, int count, Arena *keep, const SeamLine **lines, int *line_count, Error *err)
{
    int room = 0;
    for (int i = 0; i < count; i++) room += layers[i].seam_count;
    SeamLine *items = arena_new(keep, SeamLine, room);
    *line_count = 0;
    *lines = items;
    if (!items) return error_memory(err);
    for (int i = 0; i < count; i++) {
        for (int s = 0; s < layers[i].seam_count; s++) {
            const Link *link = &layers[i].seams[s].links[0];
            Point *points = arena_new(keep, Point, link_point_count(link));
            if (!points) return error_memory(err);
            for (int k = 0; k < link_point_count(link); k++) points[k] = link_point(&layers[i].chains, link, k);
            items[(*line_count)++] = (SeamLine){points, link_point_count(link)};
        }
    }
    return true;
}

bool seam_divide(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work, LayerPieces *out,
                 Error *err)
{
    return divide(stack, layer, options, CHOOSE_BEST, keep, work, out, err);
}

bool seam_divide_grid(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work,
                      LayerPieces *out, Error *err)
{
    return divide(stack, layer, options, CHOOSE_GRID, keep, work, out, err);
}

bool seam_divide_joined_grid(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work,
                             LayerPieces *out, Error *err)
{
    return divide(stack, layer, options, CHOOSE_JOINED_GRID, keep, work, out, err);
}

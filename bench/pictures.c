// pictures.c - how right colours, regions and outlines are over many drawings: the table that outlines are judged by.
// Use:     pictures-bench SHARED_PICTURES [FOLDER] [--only WORD] [--every N] [--do WORDS] [--list] [--svg FOLDER] [--polygons FOLDER] [--again]
//          FOLDER is what tools/fetch-bench-pictures fills. --do takes some of: counts jpeg big offset corners curves variants;
//          jpeg counts in the JPEGs alone; small, when asked for, PNG at 160, 240, 320 and 400 px; survey, when asked for, at 400, 800 and 2048 px, PNG and JPEG of quality 60, 80 and 95.
//          --list prints every miss, not only the table; --svg draws outlines over the pictures that were missed or measured, and
//          with --list the largest missed area of each enlarged: the picture, the drawing, and ours.
//          With --again corners are those of the drawing itself, moved by a third of a sample: what the measure alone misses.
//          With --polygons corners are those of another program's polygons, a file a drawing (corners.h), as bench/beside.py writes them.
// Counts:  600 and 2048 px, and with `big` 4096 px, on white and on transparency, and JPEG of quality 75 with halved colour at 600 and
//          2048 px. Regions: 4-connected, 20 px and more, against the drawing without antialiasing; on a ground colour its
//          areas at the frame are ground. Right = within what pixels can tell (see Regions); "hairlines apart" = where parts thinner than 3 px may be
//          there or not; "to the letter" is counted too.
// Offset:  2048 px PNG and 600 px JPEG, 4 times 16 samples a pixel. Corners: 1024 px. Curves: 1024 px, the same points, joints and
//          tolerance with and without a shortest path, every fifth drawing.
// Variants: seeded, of 1024 px: hue turned, mirrored, scaled, padded, on a coloured ground, JPEG 60 to 95 with full colour. Their law is
//          that they have the regions of the unvaried picture in colours to match; against the drawing, which is stricter, they are counted too.
#include "art.h"
#include "pictures_judge.h"
#include "pictures_regions.h"

#include "base/rng.h"
#include "picture/jpeg_means.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

#define SHORTEST_EVERY 5    // the shortest path takes long
#define MOST_GROUPS 8

typedef struct Bench {
    const char *only, *what;
    int every;
    Judge judge;
    Tally groups[MOST_GROUPS];
    int group_count;
} Bench;

static bool does(const Bench *b, const char *word)
{
    return !b->what || strstr(b->what, word);
}

static Tally *tally_of(Bench *b, const char *group)
{
    for (int i = 0; i < b->group_count; i++)
        if (!strcmp(b->groups[i].group, group)) return &b->groups[i];
    if (b->group_count == MOST_GROUPS) return &b->groups[MOST_GROUPS - 1];
    Tally *t = &b->groups[b->group_count++];
    snprintf(t->group, sizeof t->group, "%s", group);
    return t;
}

static const Rendering ON_WHITE = {.has_ground = true, .ground = {255, 255, 255}};

static bool draw(const Art *art, Rendering how, int px, int quality, bool is_halved, Made *m)
{
    how.longest_px = px;
    *m = (Made){.good = false};
    return art_picture(art, &how, &m->picture) && (!quality || art_compress(&m->picture, quality, is_halved));
}

static bool truth_of(const Art *art, Rendering how, int px, int samples, Truth *t)
{
    how.longest_px = px;
    return art_truth(art, &how, samples, t);
}

static bool fine_truths(const Art *art, int px, Truth fine[FINE_TRUTHS])
{
    static const double places[FINE_TRUTHS][2] = {{-1.5, -0.5}, {-0.5, 1.5}, {0.5, -1.5}, {1.5, 0.5}}; // sixteenths of a pixel
    for (int i = 0; i < FINE_TRUTHS; i++) {
        Rendering how = ON_WHITE;
        for (int k = 0; k < 2; k++) how.shift_px[k] = places[i][k] / 16;
        if (!truth_of(art, how, px, 4, &fine[i])) return false;
    }
    return true;
}

static void run_kind(const Bench *b, const Art *art, int px, Kind kind, Truth *t, const Truth *fine, Tally *tally)
{
    Made m;
    char name[160];
    snprintf(name, sizeof name, "%s/%s-%d-%s", art->group, art->name, px, kind == KIND_JPEG ? "q75" : kind == KIND_ALPHA ? "alpha" : "white");
    Rendering how = kind == KIND_ALPHA ? (Rendering){.longest_px = 0} : ON_WHITE;
    if (!draw(art, how, px, kind == KIND_JPEG ? 75 : 0, true, &m)) return;
    separate(name, &m);
    t->has_ground = kind != KIND_ALPHA, t->colours[0] = ON_WHITE.ground;
    if (does(b, "counts") || (kind == KIND_JPEG && does(b, "jpeg"))) judge_counts(&b->judge, name, kind, t, &m, tally);
    if (fine->at) {
        Truth f[FINE_TRUTHS];
        memcpy(f, fine, sizeof f);
        for (int i = 0; i < FINE_TRUTHS; i++) f[i].has_ground = t->has_ground, f[i].colours[0] = t->colours[0];
        judge_offset(&b->judge, name, kind, f, &m, tally);
    }
    made_free(&m);
}

static void run_sizes(const Bench *b, const Art *art, Tally *tally)
{
    static const int sizes[] = {600, 2048, 4096};
    for (int i = 0; i < 3; i++) {
        int px = sizes[i];
        Truth t, fine[FINE_TRUTHS] = {{0}}, none = {0};
        if (px == 4096 && !does(b, "big")) continue;
        bool wants_offset = px < 4096 && does(b, "offset"), wants_counts = does(b, "counts") || (px < 4096 && does(b, "jpeg"));
        if (!wants_counts && !wants_offset) continue;
        if (!truth_of(art, ON_WHITE, px, 1, &t)) return;
        if (wants_offset && !fine_truths(art, px, fine)) return;
        bool wants_png = does(b, "counts") || wants_offset;
        if (wants_png) run_kind(b, art, px, KIND_WHITE, &t, px == 2048 ? fine : &none, tally);
        if (wants_png) run_kind(b, art, px, KIND_ALPHA, &t, px == 2048 ? fine : &none, tally);
        if (px < 4096) run_kind(b, art, px, KIND_JPEG, &t, px == 600 ? fine : &none, tally);
        free(t.at);
        for (int k = 0; k < FINE_TRUTHS; k++) free(fine[k].at);
    }
}

static void run_shapes(const Bench *b, const Art *art, int nth, Tally *tally)
{
    if (!does(b, "corners") && !does(b, "curves")) return;
    Made m;
    char name[160];
    snprintf(name, sizeof name, "%s/%s-1024-alpha", art->group, art->name);
    if (!draw(art, (Rendering){.longest_px = 0}, 1024, 0, false, &m)) return;
    separate(name, &m);
    Truth t;
    if (m.good && does(b, "corners") && truth_of(art, (Rendering){.longest_px = 0}, 1024, 8, &t)) {
        if (b->judge.polygons) judge_polygons(&b->judge, art, &t, tally);
        else if (b->judge.is_drawn_again) judge_drawn_again(art, &t, tally);
        else judge_corners(&b->judge, name, &t, &m, tally);
        free(t.at);
    }
    if (does(b, "curves") && nth % SHORTEST_EVERY == 0) judge_curves(&b->judge, name, &m, tally);
    made_free(&m);
}

// ---- variants ----

// A ground that is far from every colour of the drawing.
static Srgb8 far_ground(const Art *art, Rng *rng)
{
    Truth t;
    Srgb8 best = {255, 255, 255};
    double most = -1;
    if (!truth_of(art, ON_WHITE, 256, 1, &t)) return best;
    for (int i = 0; i < 24; i++) {
        Srgb8 c = {(uint8_t)rng_below(rng, 256), (uint8_t)rng_below(rng, 256), (uint8_t)rng_below(rng, 256)};
        double de00;
        (void)nearest_class(&t, c, &de00);
        if (de00 > most) most = de00, best = c;
    }
    free(t.at);
    return best;
}

static void run_variant(const Judge *judge, const Art *art, const char *law, Rendering how, int px, int quality, Tally *tally)
{
    Made m;
    Truth t;
    char name[192];
    snprintf(name, sizeof name, "%s/%s-%d %s", art->group, art->name, px, law);
    if (!draw(art, how, px, quality, false, &m)) return;
    if (!truth_of(art, how, px, 1, &t)) return;
    separate(name, &m);
    judge_counts(judge, name, KIND_VARIANT, &t, &m, tally);
    free(t.at);
    made_free(&m);
}

static bool count_unvaried(const Art *art, int out[ART_MOST_CLASSES])
{
    Made m;
    Truth t;
    Tally none = {.group = ""};
    const Judge silent = {.svg_folder = NULL};
    if (!draw(art, ON_WHITE, 1024, 0, false, &m) || !truth_of(art, ON_WHITE, 1024, 1, &t)) return false;
    separate(art->name, &m);
    judge_counts(&silent, art->name, KIND_WHITE, &t, &m, &none);
    memcpy(out, m.found, sizeof m.found);
    free(t.at);
    made_free(&m);
    return true;
}

static void run_variants(const Bench *b, const Art *art, uint64_t seed, Tally *tally)
{
    int unvaried[ART_MOST_CLASSES];
    if (!does(b, "variants") || !count_unvaried(art, unvaried)) return;
    Judge judge = b->judge;
    judge.unvaried = unvaried;
    Rng rng = rng_make(seed);
    char law[64];
    Rendering how = ON_WHITE;
    Art turned = art_with_hue_turned(art, rng_unit(&rng));
    run_variant(&judge, &turned, "hue turned", how, 1024, 0, tally);
    free(turned.svg);
    how.is_mirrored = true;
    run_variant(&judge, art, "mirrored", how, 1024, 0, tally);
    how = ON_WHITE;
    run_variant(&judge, art, "scaled", how, (int)(1024 * (0.6 + 1.1 * rng_unit(&rng))), 0, tally);
    how.pad_px = 1 + (int)rng_below(&rng, 200);
    snprintf(law, sizeof law, "padded by %d", how.pad_px);
    run_variant(&judge, art, law, how, 1024, 0, tally);
    how = ON_WHITE;
    how.ground = far_ground(art, &rng);
    snprintf(law, sizeof law, "on #%02x%02x%02x", how.ground.r, how.ground.g, how.ground.b);
    run_variant(&judge, art, law, how, 1024, 0, tally);
    int quality = 60 + (int)rng_below(&rng, 36);
    snprintf(law, sizeof law, "JPEG %d", quality);
    run_variant(&judge, art, law, ON_WHITE, 1024, quality, tally);
}

// ---- a survey ----

// Other sizes and qualities than those of the table, so that nothing is fitted to its own.
static void run_survey(const Bench *b, const Art *art, Tally *tally)
{
    static const int sizes[] = {400, 800, 2048}, qualities[] = {0, 60, 80, 95};
    if (!b->what || !does(b, "survey")) return;
    for (int i = 0; i < 3; i++) {
        Truth t;
        if (!truth_of(art, ON_WHITE, sizes[i], 1, &t)) return;
        for (int k = 0; k < 4; k++) {
            Made m;
            char name[192];
            snprintf(name, sizeof name, "%s/%s-%d-%s%d", art->group, art->name, sizes[i], qualities[k] ? "q" : "png", qualities[k]);
            if (!draw(art, ON_WHITE, sizes[i], qualities[k], true, &m)) continue;
            separate(name, &m);
            judge_counts(&b->judge, name, qualities[k] ? KIND_SURVEY : KIND_WHITE, &t, &m, tally);
            made_free(&m);
        }
        free(t.at);
    }
}

// Small clean pictures, in which a clear area may have few pixels.
static void run_small(const Bench *b, const Art *art, Tally *tally)
{
    static const int sizes[] = {160, 240, 320, 400};
    if (!b->what || !does(b, "small")) return;
    for (int i = 0; i < 4; i++)
        for (int alpha = 0; alpha < 2; alpha++) {
            Truth t;
            Made m;
            char name[192];
            snprintf(name, sizeof name, "%s/%s-%d-%s", art->group, art->name, sizes[i], alpha ? "alpha" : "white");
            Rendering how = alpha ? (Rendering){.longest_px = 0} : ON_WHITE;
            if (!truth_of(art, how, sizes[i], 1, &t)) return;
            if (draw(art, how, sizes[i], 0, false, &m)) {
                separate(name, &m);
                judge_counts(&b->judge, name, alpha ? KIND_ALPHA : KIND_WHITE, &t, &m, tally);
                made_free(&m);
            }
            free(t.at);
        }
}

static void run_list(Bench *b, const char *folder, const char *group)
{
    ArtList list = art_list(folder, group);
    for (int i = 0; i < list.count; i++) {
        Art *art = &list.items[i];
        if (i % b->every || (b->only && !strstr(art->name, b->only) && !strstr(art->group, b->only))) continue;
        Tally *tally = tally_of(b, art->group);
        run_sizes(b, art, tally);
        run_shapes(b, art, i, tally);
        run_variants(b, art, (uint64_t)i + 1, tally);
        run_small(b, art, tally);
        run_survey(b, art, tally);
        fflush(stdout);
    }
    art_free(&list);
}

int main(int argc, char **argv)
{
    Bench *b = calloc(1, sizeof *b);
    const char *shared = NULL, *fetched = NULL;
    b->every = 1;
    for (int i = 1; i < argc; i++) {
        if (!strcmp(argv[i], "--only") && i + 1 < argc) b->only = argv[++i];
        else if (!strcmp(argv[i], "--every") && i + 1 < argc) b->every = atoi(argv[++i]);
        else if (!strcmp(argv[i], "--do") && i + 1 < argc) b->what = argv[++i];
        else if (!strcmp(argv[i], "--svg") && i + 1 < argc) b->judge.svg_folder = argv[++i];
        else if (!strcmp(argv[i], "--polygons") && i + 1 < argc) b->judge.polygons = argv[++i];
        else if (!strcmp(argv[i], "--again")) b->judge.is_drawn_again = true;
        else if (!strcmp(argv[i], "--list")) b->judge.is_listed = true;
        else if (!shared) shared = argv[i];
        else fetched = argv[i];
    }
    if (!shared || b->every < 1 || VIPS_INIT(argv[0]))
        return puts("use: pictures-bench SHARED_PICTURES [FOLDER] [--only WORD] [--every N] [--do WORDS] [--list] [--svg FOLDER] [--polygons FOLDER] [--again]"), 2;
    vips_concurrency_set(1); // its workers were seen waiting for one another for ever on a loaded machine
    run_list(b, shared, "shared");
    if (fetched) run_list(b, fetched, NULL);
    for (int i = 0; i < b->group_count; i++) tally_print(&b->groups[i]);
    Tally all = tally_sum(b->groups, b->group_count);
    tally_print(&all);
    free(b);
    vips_shutdown();
    return 0;
}

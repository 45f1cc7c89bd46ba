// pictures.c - how right colours, regions and outlines are over many drawings: the table that outlines are judged by.
// Use:     pictures-bench SHARED_PICTURES [FOLDER] [--only WORD] [--every N] [--do WORDS] [--list] [--svg FOLDER] [--polygons FOLDER]
//          FOLDER is what tools/fetch-bench-pictures fills. --do takes some of: counts jpeg big offset corners curves variants;
//          jpeg counts in the JPEGs alone; small, when asked for, PNG at 160, 240, 320 and 400 px; survey, when asked for, at 400, 800 and 2048 px, PNG and JPEG of quality 60, 80 and 95.
//          --list prints every miss, not only the table; --svg draws outlines over the pictures that were missed or measured, and
//          with --list the largest missed area of each enlarged: the picture, the drawing, and ours.
//          With --polygons corners are those of another program's polygons, a file a drawing (corners.h), as bench/beside.py writes them.
// Counts:  600 and 2048 px, and with `big` 4096 px, on white and on transparency, and JPEG of quality 75 with halved colour at 600 and
//          2048 px. Regions: 4-connected, 20 px and more, against the drawing without antialiasing; on a ground colour its
//          areas at the frame are ground. Right = within what pixels can tell (see Regions); "hairlines apart" = where parts thinner than 3 px may be
//          there or not; "to the letter" is counted too.
// Offset:  2048 px PNG and 600 px JPEG, 4 times 16 samples a pixel. Corners: 1024 px. Curves: 1024 px, the same points, joints and
//          tolerance with and without a shortest path, every fifth drawing.
// Variants: seeded, of 1024 px: hue turned, mirrored, scaled, padded, on a coloured ground, JPEG 60 to 95 with full colour.
#include "art.h"
#include "corners.h"
#include "miss.h"
#include "offset.h"
#include "outline/trace.h"
#include "overlay.h"

#include "base/rng.h"
#include "picture/jpeg_means.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

#define LEAST_PX 20
#define NOBODY 255 // no class: ART_MOST_CLASSES are fewer
#define SAME_COLOUR_DE00 6.0    // a compressed colour this near to a true one is that colour, with an error
#define LISTED_DE00 0.6         // of a colour's error
#define HEIGHT_MM 812.8
#define TOLERANCE_PX 0.25   // 0.1 mm at 2.5 px a mm
#define AREA_LIMIT_PX 0.05  // the most that was asked
#define FINE_TRUTHS 4       // of 4 samples a side, each moved by a part of a sample: 16 places along rows and columns
#define SHORTEST_EVERY 5    // the shortest path takes long
#define MOST_GROUPS 8

typedef enum Kind { KIND_WHITE, KIND_ALPHA, KIND_JPEG, KIND_VARIANT, KIND_SURVEY, KIND_COUNT } Kind;

typedef struct Tally {
    char group[32];
    int64_t shaded[KIND_COUNT]; // said to have soft shading, which none of the drawings has
    int64_t pictures[KIND_COUNT], colours[KIND_COUNT], regions[KIND_COUNT], strict[KIND_COUNT], bare[KIND_COUNT];
    double worst_de00[KIND_COUNT];
    int64_t offsets[KIND_COUNT];
    double offset[KIND_COUNT], worst_offset[KIND_COUNT], area[KIND_COUNT];
    int64_t over[KIND_COUNT], told_over[KIND_COUNT], beyond_over[KIND_COUNT]; // area errors over the limit; of the picture; beyond it
    char worst_name[KIND_COUNT][192], area_name[KIND_COUNT][192];
    CornerScore corners;
    int64_t curves, shortest;
} Tally;

typedef struct Bench {
    const char *only, *what, *svg_folder, *polygons;
    int every;
    bool is_listed;
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

// ---- colours and regions ----

typedef struct Made {
    Arena keep;
    Work work;
    Picture picture;
    Separation separation;
    bool good;
} Made;

static void made_free(Made *m)
{
    arena_free(&m->keep);
    arena_free(&m->work.scratch);
    free(m->picture.rgba);
    jpeg_means_free(m->picture.means);
}

static void separate(const char *name, Made *m)
{
    Error err = {0};
    SeparationOptions o = separation_defaults();
    o.smallest_area_px = LEAST_PX;
    o.figure_height_mm = HEIGHT_MM;
    m->keep = arena_make(0);
    m->work = (Work){.scratch = arena_make(0)};
    m->good = separation_make(&m->picture, &o, &m->keep, &m->work, &m->separation, &err);
    if (!m->good) printf("    %s: %s\n", name, err.text);
}

static int nearest(const Truth *t, Srgb8 c, double *de00)
{
    int best = -1;
    *de00 = 1e9;
    for (int i = 1; i < t->count; i++)
        if (art_de00(t->colours[i], c) < *de00) best = i, *de00 = art_de00(t->colours[i], c);
    return best;
}

// The class that ground has in this separation: 0 where it is transparent, else that of its colour.
static int ground_class(const Truth *t, const Separation *s)
{
    double de00;
    if (!s->has_ground_colour) return 0;
    int at = nearest(t, s->ground_colour, &de00);
    return at > 0 && de00 < 3.0 ? at : 0;
}

// How many regions a class has: `strict` by the rule, and between `least` and `most` as far as pixels can tell. Areas near
// the limit may come out on either side of it, and what hangs together by a corner or a hairline is one or two.
typedef struct Regions {
    int strict[ART_MOST_CLASSES], least[ART_MOST_CLASSES], most[ART_MOST_CLASSES];
    int bare_least[ART_MOST_CLASSES], bare_most[ART_MOST_CLASSES]; // where hairlines may be there or not
} Regions;

typedef struct Flood { const uint8_t *label; int width, height, *stack; uint8_t *seen; } Flood;

// The area of the region at `start`, marked as seen. Connected over corners too when `corners`.
static int64_t flood(Flood *f, int start, bool corners, bool *at_frame)
{
    int depth = 0, first = 0;
    f->stack[depth++] = start;
    f->seen[start] = 1;
    *at_frame = false;
    while (first < depth) {
        int at = f->stack[first++], x = at % f->width, y = at / f->width;
        *at_frame |= x == 0 || y == 0 || x + 1 == f->width || y + 1 == f->height;
        for (int dy = -1; dy <= 1; dy++)
            for (int dx = -1; dx <= 1; dx++) {
                if ((dx && dy && !corners) || x + dx < 0 || y + dy < 0 || x + dx >= f->width || y + dy >= f->height) continue;
                int to = at + dy * f->width + dx;
                if (f->seen[to] || f->label[to] != f->label[at]) continue;
                f->seen[to] = 1;
                f->stack[depth++] = to;
            }
    }
    return depth;
}

// What no 3 x 3 pixels of one class cover belongs to nobody: hairlines, of which compression leaves a shade at most.
static void take_hairlines_away(uint8_t *label, int width, int height)
{
    size_t px = (size_t)width * (size_t)height;
    uint8_t *stays = calloc(px, 1);
    for (int y = 0; y + 3 <= height; y++)
        for (int x = 0; x + 3 <= width; x++) {
            const uint8_t *at = label + (size_t)y * (size_t)width + (size_t)x;
            bool even = true;
            for (int k = 1; k < 9 && even; k++) even = at[k / 3 * width + k % 3] == *at;
            for (int k = 0; k < 9 && even; k++) stays[(size_t)(y + k / 3) * (size_t)width + (size_t)(x + k % 3)] = 1;
        }
    for (size_t i = 0; i < px; i++)
        if (!stays[i]) label[i] = NOBODY;
    free(stays);
}

static void count_regions(const Truth *t, const Separation *s, bool corners, int64_t least_px, bool hairlines, int count[ART_MOST_CLASSES])
{
    int ground = ground_class(t, s);
    size_t px = (size_t)t->width * (size_t)t->height;
    uint8_t *label = malloc(px);
    for (size_t i = 0; i < px; i++) label[i] = t->has_ground && !t->at[i] ? (uint8_t)ground : t->at[i];
    if (!hairlines) take_hairlines_away(label, t->width, t->height);
    Flood f = {label, t->width, t->height, malloc(px * sizeof(int)), calloc(px, 1)};
    memset(count, 0, sizeof(int) * ART_MOST_CLASSES);
    for (size_t i = 0; i < px; i++) {
        if (f.seen[i] || label[i] == NOBODY) continue;
        bool at_frame;
        int64_t area_px = flood(&f, (int)i, corners, &at_frame);
        bool is_ground = label[i] == ground && (at_frame || !s->has_ground_colour);
        if (area_px >= least_px && !is_ground) count[label[i]]++;
    }
    free(label), free(f.stack), free(f.seen);
}

static void widen(const Truth *t, const int count[ART_MOST_CLASSES], int least[ART_MOST_CLASSES], int most[ART_MOST_CLASSES])
{
    for (int i = 0; i < t->count; i++) {
        if (count[i] < least[i]) least[i] = count[i];
        if (count[i] > most[i]) most[i] = count[i];
    }
}

static void expect_regions(const Truth *t, const Separation *s, Regions *out)
{
    int count[ART_MOST_CLASSES];
    count_regions(t, s, false, LEAST_PX, true, out->strict);
    memcpy(out->least, out->strict, sizeof out->least);
    memcpy(out->most, out->strict, sizeof out->most);
    for (int way = 0; way < 4; way++) {
        count_regions(t, s, way & 1, way & 2 ? LEAST_PX * 3 / 2 : LEAST_PX * 2 / 3, true, count);
        widen(t, count, out->least, out->most);
    }
    memcpy(out->bare_least, out->least, sizeof out->least);
    memcpy(out->bare_most, out->most, sizeof out->most);
    count_regions(t, s, false, LEAST_PX, false, count);
    widen(t, count, out->bare_least, out->bare_most);
}

static bool outline(const char *name, Made *m, Outlines *out)
{
    Error err = {0};
    OutlineOptions o = outline_defaults();
    o.figure_height_mm = HEIGHT_MM;
    if (m->good && outline_make(&m->picture, &m->separation, &o, &m->keep, &m->work, out, &err)) return true;
    if (m->good) printf("    %s: %s\n", name, err.text);
    return false;
}

static void draw_over(const Bench *b, const char *name, const Outlines *outlines, const Made *m)
{
    if (!b->svg_folder) return;
    const char *slash = strchr(name, '/');
    if (!overlay_write(outlines, &m->picture, b->svg_folder, slash ? slash + 1 : name)) printf("    %s: no overlay written\n", name);
}

typedef struct Stranger { int64_t area_px; int x, y; } Stranger;

// Regions of `here` that are mostly not there in `there`, to be looked at. Classes as in the truth.
static void list_strangers(const char *word, const Truth *t, const uint8_t *here, const uint8_t *there, Stranger *largest)
{
    int px = t->width * t->height;
    Flood f = {here, t->width, t->height, malloc((size_t)px * sizeof(int)), calloc((size_t)px, 1)};
    for (int i = 0; i < px; i++) {
        bool at_frame;
        if (f.seen[i]) continue;
        int64_t area_px = flood(&f, i, false, &at_frame), same = 0;
        for (int64_t k = 0; k < area_px; k++) same += there[f.stack[k]] == here[i];
        char hex[8] = "ground";
        if (here[i]) colour_hex(t->colours[here[i]], hex);
        if (area_px < LEAST_PX / 2 || 3 * same >= area_px) continue;
        if (area_px > largest->area_px) *largest = (Stranger){area_px, i % t->width, i / t->width};
        printf("        %s: %s, %lld px at %d, %d\n", word, hex, (long long)area_px, i % t->width, i / t->width);
    }
    free(f.stack), free(f.seen);
}

static void list_misses(const Bench *b, const char *name, const Truth *t, const Made *m)
{
    const Separation *s = &m->separation;
    size_t px = (size_t)t->width * (size_t)t->height;
    uint8_t class_of[256] = {0}, *ours = malloc(px), *theirs = malloc(px);
    double de00;
    class_of[0] = (uint8_t)ground_class(t, s);
    for (int i = 0; i < s->colour_count; i++) {
        bool is_ground = s->has_ground_colour && art_de00(s->colours[i].colour, s->ground_colour) < 1.0; // its enclosed areas
        class_of[i + 1] = is_ground ? class_of[0] : (uint8_t)nearest(t, s->colours[i].colour, &de00);
    }
    for (size_t i = 0; i < px; i++) ours[i] = class_of[s->label[i]], theirs[i] = t->has_ground && !t->at[i] ? class_of[0] : t->at[i];
    Stranger largest = {0};
    list_strangers("lost", t, theirs, ours, &largest);
    list_strangers("false", t, ours, theirs, &largest);
    if (b->svg_folder && largest.area_px > 0) {
        char path[1024];
        const char *slash = strchr(name, '/');
        snprintf(path, sizeof path, "%s/%s.miss.png", b->svg_folder, slash ? slash + 1 : name);
        if (!miss_draw(&m->picture, t, theirs, ours, largest.x, largest.y, path)) printf("    %s: no picture of the miss written\n", name);
    }
    free(ours), free(theirs);
}

static void list_off_colour(const Truth *t, int at, const SeparationColour *ours, double de00)
{
    char hex[2][8];
    colour_hex(t->colours[at], hex[0]), colour_hex(ours->colour, hex[1]);
    printf("        %s came out as %s, dE00 %.2f; %lld px\n", hex[0], hex[1], de00, (long long)ours->area_px);
}

static void judge_counts(const Bench *b, const char *name, Kind kind, const Truth *t, Made *m, Tally *tally)
{
    const Separation *s = &m->separation;
    Regions expected;
    int found[ART_MOST_CLASSES] = {0}, wrong = 0;
    double worst = 0, allowed = kind == KIND_WHITE || kind == KIND_ALPHA ? 0.5 : SAME_COLOUR_DE00;
    bool ours_foreign = false;
    tally->pictures[kind]++;
    if (!m->good) return;
    expect_regions(t, s, &expected);
    char text[4096] = "";
    size_t n = 0;
    for (int i = 0; i < s->colour_count; i++) {
        double de00;
        int at = nearest(t, s->colours[i].colour, &de00);
        int white = ground_class(t, s);
        if (s->has_ground_colour && art_de00(s->colours[i].colour, s->ground_colour) < 1.0) at = white, de00 = 0;
        if (de00 <= allowed) {
            worst = fmax(worst, de00), found[at] += s->colours[i].region_count;
            if (b->is_listed && de00 > LISTED_DE00) list_off_colour(t, at, &s->colours[i], de00);
        }
        else {
            char hex[8];
            colour_hex(s->colours[i].colour, hex);
            n += (size_t)snprintf(text + n, n < sizeof text ? sizeof text - n : 0, "; %s is no colour of it (%d regions, dE00 %.1f)", hex,
                                  s->colours[i].region_count, de00);
            wrong++, ours_foreign = true;
        }
    }
    bool regions_right = !ours_foreign, is_strict = regions_right, is_bare = regions_right;
    for (int i = 0; i < t->count; i++) {
        wrong += found[i] > 0 ? expected.most[i] == 0 : expected.least[i] > 0;
        is_strict &= found[i] == expected.strict[i];
        is_bare &= found[i] >= expected.bare_least[i] && found[i] <= expected.bare_most[i];
        if (found[i] >= expected.least[i] && found[i] <= expected.most[i]) continue;
        regions_right = false;
        char hex[8] = "ground";
        if (i) colour_hex(t->colours[i], hex);
        if (n < sizeof text) n += (size_t)snprintf(text + n, sizeof text - n, "; %s has %d of %d regions", hex, found[i], expected.strict[i]);
    }
    tally->colours[kind] += wrong == 0;
    tally->shaded[kind] += s->has_shading;
    if (b->is_listed && s->has_shading) printf("    %s: said to have soft shading\n", name);
    tally->regions[kind] += regions_right;
    tally->strict[kind] += is_strict;
    tally->bare[kind] += is_bare;
    tally->worst_de00[kind] = fmax(tally->worst_de00[kind], worst);
    if (b->is_listed && (wrong || !regions_right)) printf("    %s: %s%s%s\n", name, wrong ? "colours" : "regions", text, s->is_noisy ? " (noisy)" : "");
    if (b->is_listed && (wrong || !regions_right)) list_misses(b, name, t, m);
    Outlines outlines;
    if (b->svg_folder && (wrong || !regions_right) && outline(name, m, &outlines)) draw_over(b, name, &outlines, m);
    if (b->is_listed && kind == KIND_JPEG && worst > 1.0) printf("    %s: a colour is off by dE00 %.2f\n", name, worst);
}

// ---- outlines ----

static void judge_offset(const Bench *b, const char *name, Kind kind, const Truth *t, Made *m, Tally *tally)
{
    Outlines outlines;
    if (!outline(name, m, &outlines)) return;
    draw_over(b, name, &outlines, m);
    Offsets offsets = offset_measure(&outlines, &m->separation, kind == KIND_JPEG ? NULL : &m->picture, t, FINE_TRUTHS);
    tally->offsets[kind]++;
    tally->offset[kind] += offsets.mean_px;
    tally->over[kind] += offsets.worst_area_px > AREA_LIMIT_PX;
    tally->told_over[kind] += offsets.worst_told_px > AREA_LIMIT_PX;
    tally->beyond_over[kind] += offsets.worst_beyond_px > AREA_LIMIT_PX;
    if (b->is_listed)
        printf("    %s: offset mean %.3f worst colour %.3f, area %.3f px (the picture %.3f, beyond it %.3f), %lld px left out\n", name,
               offsets.mean_px, offsets.worst_px, offsets.worst_area_px, offsets.worst_told_px, offsets.worst_beyond_px,
               (long long)offsets.left_out_px);
    if (offsets.mean_px > tally->worst_offset[kind]) {
        tally->worst_offset[kind] = offsets.mean_px;
        snprintf(tally->worst_name[kind], sizeof tally->worst_name[kind], "%s", name);
    }
    if (offsets.worst_area_px > tally->area[kind]) {
        tally->area[kind] = offsets.worst_area_px;
        snprintf(tally->area_name[kind], sizeof tally->area_name[kind], "%s", name);
    }
}

static void add_score(CornerScore *sum, const CornerScore *one)
{
    sum->true_corners += one->true_corners, sum->found += one->found;
    sum->ours += one->ours, sum->false_ones += one->false_ones;
    sum->long_corners += one->long_corners, sum->long_found += one->long_found;
}

// Corners of another program's polygons, where there are any of this drawing.
static void judge_polygons(const Bench *b, const Art *art, const Truth *t, Tally *tally)
{
    CornerScore score;
    char path[1024];
    snprintf(path, sizeof path, "%s/%s-%s.txt", b->polygons, art->group, art->name);
    for (char *c = path + strlen(b->polygons) + 1; *c; c++)
        if (*c == '/') *c = '-';
    if (corners_measure_polygons(path, t, &score)) add_score(&tally->corners, &score);
}

static void judge_corners(const Bench *b, const char *name, const Truth *t, Made *m, Tally *tally)
{
    Outlines outlines;
    CornerScore score;
    if (!outline(name, m, &outlines) || !corners_measure(&outlines, t, NULL, &score)) return;
    draw_over(b, name, &outlines, m);
    add_score(&tally->corners, &score);
    if (!b->is_listed || (score.found == score.true_corners && !score.false_ones)) return;
    printf("    %s: corners %lld of %lld, %lld of %lld false\n", name, (long long)score.found, (long long)score.true_corners,
           (long long)score.false_ones, (long long)score.ours);
    (void)corners_measure(&outlines, t, stdout, &score);
}

static int64_t count_curves(const Made *m, const CrackMap *map, Work *work, bool fewest)
{
    Error err = {0};
    Trace trace;
    Pixels pixels = blend_prepare(&m->picture, &m->separation, false);
    if (!trace_prepare(&pixels, map, TOLERANCE_PX, work, &trace, &err)) return 0;
    trace.by_shortest_path = fewest;
    if (!trace_curves(&trace, work, &err)) return 0;
    int64_t sum = 0;
    for (int i = 0; i < map->arc_count; i++) sum += trace.arcs[i].curve_count;
    return sum;
}

static void judge_curves(const Bench *b, const char *name, Made *m, Tally *tally)
{
    CrackMap map;
    Error err = {0};
    if (!m->good || !arcs_find(m->separation.label, m->separation.width_px, m->separation.height_px, &m->keep, &m->work, &map, &err)) return;
    int64_t ours = count_curves(m, &map, &m->work, false), least = count_curves(m, &map, &m->work, true);
    tally->curves += ours, tally->shortest += least;
    if (b->is_listed) printf("    %s: %lld curves, %lld by shortest path\n", name, (long long)ours, (long long)least);
}

// ---- one drawing ----

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
    if (does(b, "counts") || (kind == KIND_JPEG && does(b, "jpeg"))) judge_counts(b, name, kind, t, &m, tally);
    if (fine->at) {
        Truth f[FINE_TRUTHS];
        memcpy(f, fine, sizeof f);
        for (int i = 0; i < FINE_TRUTHS; i++) f[i].has_ground = t->has_ground, f[i].colours[0] = t->colours[0];
        judge_offset(b, name, kind, f, &m, tally);
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
        if (b->polygons) judge_polygons(b, art, &t, tally);
        else judge_corners(b, name, &t, &m, tally);
        free(t.at);
    }
    if (does(b, "curves") && nth % SHORTEST_EVERY == 0) judge_curves(b, name, &m, tally);
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
        (void)nearest(&t, c, &de00);
        if (de00 > most) most = de00, best = c;
    }
    free(t.at);
    return best;
}

static void run_variant(const Bench *b, const Art *art, const char *law, Rendering how, int px, int quality, Tally *tally)
{
    Made m;
    Truth t;
    char name[192];
    snprintf(name, sizeof name, "%s/%s-%d %s", art->group, art->name, px, law);
    if (!draw(art, how, px, quality, false, &m)) return;
    if (!truth_of(art, how, px, 1, &t)) return;
    separate(name, &m);
    judge_counts(b, name, KIND_VARIANT, &t, &m, tally);
    free(t.at);
    made_free(&m);
}

static void run_variants(const Bench *b, const Art *art, uint64_t seed, Tally *tally)
{
    if (!does(b, "variants")) return;
    Rng rng = rng_make(seed);
    char law[64];
    Rendering how = ON_WHITE;
    Art turned = art_with_hue_turned(art, rng_unit(&rng));
    run_variant(b, &turned, "hue turned", how, 1024, 0, tally);
    free(turned.svg);
    how.is_mirrored = true;
    run_variant(b, art, "mirrored", how, 1024, 0, tally);
    how = ON_WHITE;
    run_variant(b, art, "scaled", how, (int)(1024 * (0.6 + 1.1 * rng_unit(&rng))), 0, tally);
    how.pad_px = 1 + (int)rng_below(&rng, 200);
    snprintf(law, sizeof law, "padded by %d", how.pad_px);
    run_variant(b, art, law, how, 1024, 0, tally);
    how = ON_WHITE;
    how.ground = far_ground(art, &rng);
    snprintf(law, sizeof law, "on #%02x%02x%02x", how.ground.r, how.ground.g, how.ground.b);
    run_variant(b, art, law, how, 1024, 0, tally);
    int quality = 60 + (int)rng_below(&rng, 36);
    snprintf(law, sizeof law, "JPEG %d", quality);
    run_variant(b, art, law, ON_WHITE, 1024, quality, tally);
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
            judge_counts(b, name, qualities[k] ? KIND_SURVEY : KIND_WHITE, &t, &m, tally);
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
                judge_counts(b, name, alpha ? KIND_ALPHA : KIND_WHITE, &t, &m, tally);
                made_free(&m);
            }
            free(t.at);
        }
}

// ---- the table ----

static Tally sum_of(const Bench *b)
{
    Tally all = {.group = "all"};
    for (int g = 0; g < b->group_count; g++) {
        const Tally *t = &b->groups[g];
        for (int k = 0; k < KIND_COUNT; k++) {
            all.shaded[k] += t->shaded[k], all.pictures[k] += t->pictures[k], all.colours[k] += t->colours[k], all.regions[k] += t->regions[k], all.strict[k] += t->strict[k], all.bare[k] += t->bare[k];
            all.worst_de00[k] = fmax(all.worst_de00[k], t->worst_de00[k]);
            all.offsets[k] += t->offsets[k], all.offset[k] += t->offset[k];
            all.over[k] += t->over[k], all.told_over[k] += t->told_over[k], all.beyond_over[k] += t->beyond_over[k];
            if (t->worst_offset[k] > all.worst_offset[k])
                all.worst_offset[k] = t->worst_offset[k], memcpy(all.worst_name[k], t->worst_name[k], sizeof all.worst_name[k]);
            if (t->area[k] > all.area[k]) all.area[k] = t->area[k], memcpy(all.area_name[k], t->area_name[k], sizeof all.area_name[k]);
        }
        add_score(&all.corners, &t->corners);
        all.curves += t->curves, all.shortest += t->shortest;
    }
    return all;
}

static double share(int64_t part, int64_t whole)
{
    return whole ? 100.0 * (double)part / (double)whole : 0.0;
}

static void print_tally(const Tally *t)
{
    static const char *const kinds[] = {"PNG on white", "PNG with alpha", "JPEG q75", "variants", "survey"};
    printf("\n%s\n", t->group);
    for (int k = 0; k < KIND_COUNT; k++) {
        if (t->pictures[k])
            printf("  %-15s colours right %lld of %lld (%.1f %%), worst dE00 %.2f; regions right %lld (%.1f %%), hairlines apart %lld (%.1f %%), %lld to the letter\n", kinds[k],
                   (long long)t->colours[k], (long long)t->pictures[k], share(t->colours[k], t->pictures[k]), t->worst_de00[k],
                   (long long)t->regions[k], share(t->regions[k], t->pictures[k]), (long long)t->bare[k], share(t->bare[k], t->pictures[k]), (long long)t->strict[k]);
        if (t->shaded[k]) printf("  %-15s said to have soft shading: %lld\n", kinds[k], (long long)t->shaded[k]);
        if (t->offsets[k])
            printf("  %-15s area error over %.2f px in %lld of %lld; the picture's own in %lld, beyond the picture's in %lld\n", kinds[k],
                   AREA_LIMIT_PX, (long long)t->over[k], (long long)t->offsets[k], (long long)t->told_over[k], (long long)t->beyond_over[k]);
        if (t->offsets[k])
            printf("  %-15s offset mean %.4f px, worst %.4f (%s); area worst colour %.4f (%s)\n", kinds[k], t->offset[k] / (double)t->offsets[k],
                   t->worst_offset[k], t->worst_name[k], t->area[k], t->area_name[k]);
    }
    if (t->corners.true_corners)
        printf("  corners found %lld of %lld (%.1f %%), false %lld of %lld (%.1f %%); with long sides %lld of %lld (%.1f %%)\n",
               (long long)t->corners.found, (long long)t->corners.true_corners, share(t->corners.found, t->corners.true_corners),
               (long long)t->corners.false_ones, (long long)t->corners.ours, share(t->corners.false_ones, t->corners.ours),
               (long long)t->corners.long_found, (long long)t->corners.long_corners,
               share(t->corners.long_found, t->corners.long_corners));
    if (t->shortest)
        printf("  curves %lld, by shortest path %lld: %.3f times\n", (long long)t->curves, (long long)t->shortest,
               (double)t->curves / (double)t->shortest);
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
        else if (!strcmp(argv[i], "--svg") && i + 1 < argc) b->svg_folder = argv[++i];
        else if (!strcmp(argv[i], "--polygons") && i + 1 < argc) b->polygons = argv[++i];
        else if (!strcmp(argv[i], "--list")) b->is_listed = true;
        else if (!shared) shared = argv[i];
        else fetched = argv[i];
    }
    if (!shared || b->every < 1 || VIPS_INIT(argv[0]))
        return puts("use: pictures-bench SHARED_PICTURES [FOLDER] [--only WORD] [--every N] [--do WORDS] [--list] [--svg FOLDER] [--polygons FOLDER]"), 2;
    run_list(b, shared, "shared");
    if (fetched) run_list(b, fetched, NULL);
    for (int i = 0; i < b->group_count; i++) print_tally(&b->groups[i]);
    Tally all = sum_of(b);
    print_tally(&all);
    free(b);
    vips_shutdown();
    return 0;
}

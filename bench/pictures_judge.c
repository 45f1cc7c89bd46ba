// pictures_judge.c - see pictures_judge.h.
#include "pictures_judge.h"

#include "miss.h"
#include "offset.h"
#include "outline/trace.h"
#include "overlay.h"
#include "pictures_regions.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SAME_COLOUR_DE00 6.0    // a compressed colour this near to a true one is that colour, with an error
#define LISTED_DE00 0.6         // of a colour's error
#define HEIGHT_MM 812.8
#define TOLERANCE_PX 0.25   // 0.1 mm at 2.5 px a mm

void made_free(Made *m)
{
    arena_free(&m->keep);
    arena_free(&m->work.scratch);
    free(m->picture.rgba);
}

void separate(const char *name, Made *m)
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

static bool outline(const char *name, Made *m, Outlines *out)
{
    Error err = {0};
    OutlineOptions o = outline_defaults();
    o.figure_height_mm = HEIGHT_MM;
    if (m->good && outline_make(&m->picture, &m->separation, &o, &m->keep, &m->work, out, &err)) return true;
    if (m->good) printf("    %s: %s\n", name, err.text);
    return false;
}

static void draw_over(const Judge *j, const char *name, const Outlines *outlines, const Made *m)
{
    if (!j->svg_folder) return;
    const char *slash = strchr(name, '/');
    if (!overlay_write(outlines, &m->picture, j->svg_folder, slash ? slash + 1 : name)) printf("    %s: no overlay written\n", name);
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

// The region that each pixel belongs to; of each region how many pixels, and the first.
typedef struct Parts { int count, *at, *area_px, *first; } Parts;

static Parts find_parts(const Truth *t, const uint8_t *label)
{
    size_t px = (size_t)t->width * (size_t)t->height;
    Parts p = {0, malloc(px * sizeof(int)), malloc(px * sizeof(int)), malloc(px * sizeof(int))};
    Flood f = {label, t->width, t->height, malloc(px * sizeof(int)), calloc(px, 1)};
    for (int i = 0; i < (int)px; i++) {
        bool at_frame;
        if (f.seen[i]) continue;
        p.first[p.count] = i;
        p.area_px[p.count] = (int)flood(&f, i, false, &at_frame);
        for (int k = 0; k < p.area_px[p.count]; k++) p.at[f.stack[k]] = p.count;
        p.count++;
    }
    free(f.stack), free(f.seen);
    return p;
}

static void parts_free(Parts *p) { free(p->at), free(p->area_px), free(p->first); }

// Where two parts come nearest to each other: the pixel of `to`, and how many pixels lie between.
static int nearest_place(const Truth *t, const Parts *p, int from, int to, int *apart)
{
    int px = t->width * t->height, count = 0, reached = 0;
    int *queue = malloc((size_t)px * sizeof(int)), *steps = malloc((size_t)px * sizeof(int));
    for (int i = 0; i < px; i++) {
        steps[i] = p->at[i] == from ? 0 : -1;
        if (!steps[i]) queue[count++] = i;
    }
    while (reached < count && p->at[queue[reached]] != to) {
        int at = queue[reached++], x = at % t->width, y = at / t->width;
        for (int k = 0; k < 9; k++) {
            int x2 = x + k % 3 - 1, y2 = y + k / 3 - 1, i = y2 * t->width + x2;
            if (x2 < 0 || y2 < 0 || x2 >= t->width || y2 >= t->height || steps[i] >= 0) continue;
            steps[i] = steps[at] + 1;
            queue[count++] = i;
        }
    }
    int at = queue[reached < count ? reached : 0];
    *apart = steps[at] - 1;
    free(queue), free(steps);
    return at;
}

// Two regions of `here` of which most lies in one region of `there`: told by the smaller one, and by where they are nearest.
static void list_joined(const char *word, const Truth *t, const uint8_t *here, const uint8_t *there)
{
    Parts a = find_parts(t, here), b = find_parts(t, there);
    int *holds = malloc((size_t)b.count * sizeof(int)), *shared = calloc((size_t)b.count, sizeof(int));
    for (int i = 0; i < b.count; i++) holds[i] = -1;
    for (int i = 0; i < a.count; i++) { // rescans the picture for each larger region: a lister may take its time
        if (a.area_px[i] < LEAST_PX) continue;
        int most = -1, px = t->width * t->height;
        memset(shared, 0, (size_t)b.count * sizeof(int));
        for (int k = a.first[i]; k < px; k++)
            if (a.at[k] == i && there[k] == here[k]) shared[b.at[k]]++;
        for (int k = 0; k < b.count; k++)
            if (shared[k] && (most < 0 || shared[k] > shared[most])) most = k;
        if (most < 0) continue;
        int other = holds[most], told = other >= 0 && a.area_px[other] < a.area_px[i] ? other : i;
        if (other < 0 || a.area_px[other] < a.area_px[i]) holds[most] = i;
        char hex[8] = "ground";
        if (here[a.first[i]]) colour_hex(t->colours[here[a.first[i]]], hex);
        if (other < 0) continue;
        int apart, near = nearest_place(t, &a, told == i ? other : i, told, &apart);
        printf("        %s: %s, %d px at %d, %d; %d px apart at %d, %d\n", word, hex, a.area_px[told], a.first[told] % t->width,
               a.first[told] / t->width, apart, near % t->width, near / t->width);
    }
    free(holds), free(shared), parts_free(&a), parts_free(&b);
}

static void list_misses(const Judge *j, const char *name, const Truth *t, const Made *m)
{
    const Separation *s = &m->separation;
    size_t px = (size_t)t->width * (size_t)t->height;
    uint8_t class_of[256] = {0}, *ours = malloc(px), *theirs = malloc(px);
    double de00;
    class_of[0] = (uint8_t)ground_class(t, s);
    for (int i = 0; i < s->colour_count; i++) {
        bool is_ground = s->has_ground_colour && art_de00(s->colours[i].colour, s->ground_colour) < 1.0; // its enclosed areas
        class_of[i + 1] = is_ground ? class_of[0] : (uint8_t)nearest_class(t, s->colours[i].colour, &de00);
    }
    for (size_t i = 0; i < px; i++) ours[i] = class_of[s->label[i]], theirs[i] = t->has_ground && !t->at[i] ? class_of[0] : t->at[i];
    Stranger largest = {0};
    list_strangers("lost", t, theirs, ours, &largest);
    list_strangers("false", t, ours, theirs, &largest);
    list_joined("joined", t, theirs, ours);
    list_joined("parted", t, ours, theirs);
    if (j->svg_folder && largest.area_px > 0) {
        char path[1024];
        const char *slash = strchr(name, '/');
        snprintf(path, sizeof path, "%s/%s.miss.png", j->svg_folder, slash ? slash + 1 : name);
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

void judge_counts(const Judge *j, const char *name, Kind kind, const Truth *t, Made *m, Tally *tally)
{
    const Separation *s = &m->separation;
    Regions expected;
    int *found = m->found, wrong = 0;
    memset(m->found, 0, sizeof m->found);
    double worst = 0, allowed = kind == KIND_WHITE || kind == KIND_ALPHA ? 0.5 : SAME_COLOUR_DE00;
    bool ours_foreign = false;
    tally->pictures[kind]++;
    if (!m->good) return;
    regions_expect(t, s, &expected);
    char text[4096] = "";
    size_t n = 0;
    for (int i = 0; i < s->colour_count; i++) {
        double de00;
        int at = nearest_class(t, s->colours[i].colour, &de00);
        int white = ground_class(t, s);
        if (s->has_ground_colour && art_de00(s->colours[i].colour, s->ground_colour) < 1.0) at = white, de00 = 0;
        if (de00 <= allowed) {
            worst = fmax(worst, de00), found[at] += s->colours[i].region_count;
            if (j->is_listed && de00 > LISTED_DE00) list_off_colour(t, at, &s->colours[i], de00);
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
    if (j->is_listed && s->has_shading) printf("    %s: said to have soft shading\n", name);
    bool is_as_before = j->unvaried && !ours_foreign && memcmp(found, j->unvaried, sizeof m->found) == 0;
    tally->lawful[kind] += regions_right || is_as_before;
    tally->regions[kind] += regions_right;
    tally->strict[kind] += is_strict;
    tally->bare[kind] += is_bare;
    tally->worst_de00[kind] = fmax(tally->worst_de00[kind], worst);
    if (j->is_listed && (wrong || !regions_right)) printf("    %s: %s%s%s\n", name, wrong ? "colours" : "regions", text, s->is_noisy ? " (noisy)" : "");
    if (j->is_listed && (wrong || !regions_right)) list_misses(j, name, t, m);
    Outlines outlines;
    if (j->svg_folder && (wrong || !regions_right) && outline(name, m, &outlines)) draw_over(j, name, &outlines, m);
    if (j->is_listed && kind == KIND_JPEG && worst > 1.0) printf("    %s: a colour is off by dE00 %.2f\n", name, worst);
}

void judge_offset(const Judge *j, const char *name, Kind kind, const Truth t[FINE_TRUTHS], Made *m, Tally *tally)
{
    Outlines outlines;
    if (!outline(name, m, &outlines)) return;
    draw_over(j, name, &outlines, m);
    Offsets offsets = offset_measure(&outlines, &m->separation, kind == KIND_JPEG ? NULL : &m->picture, t, FINE_TRUTHS);
    tally->offsets[kind]++;
    tally->offset[kind] += offsets.mean_px;
    tally->over[kind] += offsets.worst_area_px > AREA_LIMIT_PX;
    tally->told_over[kind] += offsets.worst_told_px > AREA_LIMIT_PX;
    tally->beyond_over[kind] += offsets.worst_beyond_px > AREA_LIMIT_PX;
    if (j->is_listed)
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

void judge_polygons(const Judge *j, const Art *art, const Truth *t, Tally *tally)
{
    CornerScore score;
    char path[1024];
    snprintf(path, sizeof path, "%s/%s-%s.txt", j->polygons, art->group, art->name);
    for (char *c = path + strlen(j->polygons) + 1; *c; c++)
        if (*c == '/') *c = '-';
    if (corners_measure_polygons(path, t, &score)) tally_add_corners(&tally->corners, &score);
}

void judge_drawn_again(const Art *art, const Truth *t, Tally *tally)
{
    CornerScore score;
    Truth again;
    double third = 1.0 / (3 * t->samples); // of a sample, in pixels
    Rendering how = {.longest_px = (t->width > t->height ? t->width : t->height) / t->samples, .shift_px = {third, -third}};
    if (!art_truth(art, &how, t->samples, &again)) return;
    if (corners_measure_truth(&again, t, &score)) tally_add_corners(&tally->corners, &score);
    free(again.at);
}

void judge_corners(const Judge *j, const char *name, const Truth *t, Made *m, Tally *tally)
{
    Outlines outlines;
    CornerScore score;
    if (!outline(name, m, &outlines) || !corners_measure(&outlines, t, NULL, &score)) return;
    draw_over(j, name, &outlines, m);
    tally_add_corners(&tally->corners, &score);
    if (!j->is_listed || (score.found == score.true_corners && !score.false_ones)) return;
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

void judge_curves(const Judge *j, const char *name, Made *m, Tally *tally)
{
    CrackMap map;
    Error err = {0};
    if (!m->good || !arcs_find(m->separation.label, m->separation.width_px, m->separation.height_px, &m->keep, &m->work, &map, &err)) return;
    int64_t ours = count_curves(m, &map, &m->work, false), least = count_curves(m, &map, &m->work, true);
    tally->curves += ours, tally->shortest += least;
    if (j->is_listed) printf("    %s: %lld curves, %lld by shortest path\n", name, (long long)ours, (long long)least);
}

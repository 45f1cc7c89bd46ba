// separation_laws.c - see separation_laws.h.
#include "separation_laws.h"

#include "base/text.h"
#include "separation/runs.h"

#include <math.h>
#include <string.h>

#define MOST_WISHES 12

// ---- cases ----

typedef struct Bytes {
    const uint8_t *data;
    size_t size, at;
} Bytes;

static uint8_t next_byte(Bytes *b)
{
    return b->at < b->size ? b->data[b->at++] : 0;
}

static const Srgb8 inks[8] = {{255, 255, 255}, {10, 10, 10},  {220, 30, 40},   {30, 60, 200},
                              {40, 160, 65},   {255, 190, 0}, {255, 243, 205}, {118, 10, 200}};

static Srgb8 next_colour(Bytes *b)
{
    uint8_t choice = next_byte(b);
    return choice < 240 ? inks[choice % 8] : (Srgb8){choice, next_byte(b), next_byte(b)};
}

static double next_place(Bytes *b) // from -0.5 to 1.6, or nowhere
{
    uint8_t value = next_byte(b);
    if (value > 250) return value == 251 ? NAN : value == 252 ? INFINITY : value == 253 ? -1e300 : 1e18;
    return (value - 60) / 120.0;
}

static bool next_wishes(Bytes *b, Arena *keep, SeparationWishes *out)
{
    PlaceWish *places = arena_new(keep, PlaceWish, MOST_WISHES);
    SameWish *same = arena_new(keep, SameWish, MOST_WISHES);
    Srgb8 *left_out = arena_new(keep, Srgb8, MOST_WISHES);
    int *turns = arena_new(keep, int, MOST_WISHES);
    TinyWish *tiny = arena_new(keep, TinyWish, MOST_WISHES);
    if (!places || !same || !left_out || !turns || !tiny) return false;
    *out =
        (SeparationWishes){.places = places, .same = same, .left_out = left_out, .left_out_turns = turns, .tiny = tiny};
    int count = next_byte(b) % (MOST_WISHES + 1);
    for (int turn = 0; turn < count; turn++) {
        switch (next_byte(b) % 6) {
        case 0:
        case 1:
            places[out->place_count].x = next_place(b);
            places[out->place_count].y = next_place(b);
            places[out->place_count].is_ground = next_byte(b) & 1;
            places[out->place_count++].turn = turn;
            break;
        case 2:
            same[out->same_count].colour = next_colour(b);
            same[out->same_count].as = next_colour(b);
            same[out->same_count++].turn = turn;
            break;
        case 3:
            left_out[out->left_out_count] = next_colour(b);
            turns[out->left_out_count++] = turn;
            break;
        default:
            tiny[out->tiny_count].x = next_place(b);
            tiny[out->tiny_count].y = next_place(b);
            tiny[out->tiny_count++].fate = (TinyFate)(next_byte(b) % 3);
            break;
        }
    }
    return true;
}

// Bytes: width, height, cell size, colours, flags, limit; a byte a cell; then the wishes.
bool separation_case_from_bytes(const uint8_t *data, size_t size, Arena *keep, Picture *picture,
                                SeparationOptions *options)
{
    if (size < 8) return false;
    Bytes b = {data, size, 0};
    int columns = 1 + next_byte(&b) % 16, rows = 1 + next_byte(&b) % 16;
    uint8_t size_choice = next_byte(&b);
    int cell = size_choice % 8 == 0 ? 1 : 3 + size_choice % 2; // cells of one pixel make a photograph, which is slow
    int colours = 2 + next_byte(&b) % 7;
    uint8_t flags = next_byte(&b), limit = next_byte(&b);
    *picture = (Picture){.width_px = columns * cell, .height_px = rows * cell, .rgba = NULL};
    picture->rgba = arena_new(keep, uint8_t, columns * rows * cell * cell * 4);
    if (!picture->rgba) return false;
    for (int i = 0; i < columns * rows; i++) {
        uint8_t choice = next_byte(&b) % (colours + 1);
        bool is_clear = choice == colours && flags & 1;
        Srgb8 ink = inks[choice == colours ? 0 : choice];
        for (int k = 0; k < cell * cell; k++) {
            int x = i % columns * cell + k % cell, y = i / columns * cell + k / cell;
            uint8_t *p = picture->rgba + (y * picture->width_px + x) * 4;
            p[0] = ink.r, p[1] = ink.g, p[2] = ink.b, p[3] = is_clear ? 0 : 255;
        }
    }
    *options = separation_defaults();
    options->figure_height_mm = 10.0 + 20.0 * (flags >> 4);
    if (flags & 2) options->smallest_area_px = 1 + limit;
    return next_wishes(&b, keep, &options->wishes);
}

// ---- laws ----

static const char *broken_map(const Separation *s, Work *work)
{
    int64_t area[256] = {0};
    int regions[256] = {0};
    Runs runs;
    Error err = {0};
    if (!runs_make(s->label, s->width_px, s->height_px, &work->scratch, work, &runs, &err)) return "a map has runs";
    for (int32_t i = 0; i < runs.part_count; i++) {
        area[runs.parts[i].label] += runs.parts[i].area_px;
        regions[runs.parts[i].label]++;
    }
    for (int i = s->colour_count + 1; i < 256; i++)
        if (area[i]) return "no label lies beyond the colours";
    if (s->colour_count < 1) return "something is cut";
    for (int i = 0; i < s->colour_count; i++) {
        if (s->colours[i].area_px != area[i + 1] || area[i + 1] == 0) return "areas are those of the map";
        if (s->colours[i].region_count != regions[i + 1]) return "regions are those of the map";
        if (i > 0 && s->colours[i - 1].area_px < s->colours[i].area_px) return "colours come by area";
        for (int k = 0; k < i; k++) {
            if (strcmp(s->colours[i].name, s->colours[k].name) == 0) return "names are unique";
            if (memcmp(&s->colours[i].colour, &s->colours[k].colour, sizeof(Srgb8)) == 0) return "colours are unique";
        }
    }
    return NULL;
}

static bool is_inside(const Separation *s, double x, double y)
{
    return x >= 0.0 && y >= 0.0 && x <= s->width_px && y <= s->height_px;
}

static const char *broken_box(const Separation *s)
{
    const double *boxes[2] = {s->box_px, s->wish_box_px};
    for (int i = 0; i < 2; i++) {
        const double *box = boxes[i];
        if (!is_inside(s, box[0], box[1]) || !is_inside(s, box[2], box[3])) return "a box lies in the picture";
        if (!(box[2] > box[0] && box[3] > box[1])) return "a box has a size";
    }
    return NULL;
}

static const char *broken_findings(const Separation *s)
{
    for (size_t i = 0; i < s->findings.count; i++) {
        const Finding *f = &s->findings.items[i];
        if (!is_inside(s, f->x_mm, f->y_mm)) return "a finding lies in the picture";
        if (!f->text[0] || !text_is_utf8(f->text, strlen(f->text))) return "a finding has a sentence";
    }
    return NULL;
}

static const char *broken_pen(const Separation *s)
{
    for (int i = 0; i < s->pen_detail_count; i++) {
        const PenDetail *pen = &s->pen_details[i];
        if (pen->point_count < 4 || pen->point_count % 2) return "a pen line has an even number of corners";
        double twice_area = 0.0;
        for (int k = 0; k < pen->point_count; k++) {
            const double *a = pen->xy_px + 2 * k, *b = pen->xy_px + 2 * ((k + 1) % pen->point_count);
            if (!is_inside(s, a[0], a[1]) || a[0] != floor(a[0]) || a[1] != floor(a[1]))
                return "a pen line runs on pixel corners";
            if ((a[0] == b[0]) == (a[1] == b[1]) || (a[0] == b[0]) == (k % 2 == 0))
                return "a pen line turns at each corner";
            twice_area += a[0] * b[1] - b[0] * a[1];
        }
        if (twice_area == 0.0) return "a pen line encloses something";
    }
    return NULL;
}

const char *separation_broken_law(const SeparationOptions *options, const Separation *s, Work *work)
{
    int wishes = options->wishes.place_count + options->wishes.same_count + options->wishes.left_out_count +
                 options->wishes.tiny_count;
    int noted = 0;
    for (size_t i = 0; i < s->findings.count; i++) noted += strncmp(s->findings.items[i].kind, "edit-", 5) == 0;
    if (noted > wishes) return "a wish is noted once";
    const char *broken = broken_map(s, work);
    if (!broken) broken = broken_box(s);
    if (!broken) broken = broken_findings(s);
    return broken ? broken : broken_pen(s);
}

static bool are_equal(const Separation *a, const Separation *b)
{
    if (a->colour_count != b->colour_count || a->findings.count != b->findings.count ||
        a->pen_detail_count != b->pen_detail_count || memcmp(a->box_px, b->box_px, sizeof a->box_px) != 0)
        return false;
    for (size_t i = 0; i < a->findings.count; i++)
        if (strcmp(a->findings.items[i].text, b->findings.items[i].text) != 0) return false;
    return memcmp(a->colours, b->colours, (size_t)a->colour_count * sizeof *a->colours) == 0 &&
           memcmp(a->label, b->label, (size_t)a->width_px * (size_t)a->height_px) == 0;
}

static const char *compare(const Picture *picture, const SeparationOptions *options, Arena *keep, Work *work)
{
    SeparationOptions plain = *options;
    plain.wishes = (SeparationWishes){0};
    Separation bare, first, second;
    Error err = {0};
    if (!separation_make(picture, &plain, keep, work, &bare, &err))
        return err.kind == ERROR_JOB && err.text[0] ? NULL : "a picture that cannot be cut is refused with a sentence";
    const char *broken = separation_broken_law(&plain, &bare, work);
    if (broken) return broken;
    if (memcmp(bare.box_px, bare.wish_box_px, sizeof bare.box_px) != 0) return "without wishes both boxes are one";
    if (!separation_make(picture, options, keep, work, &first, &err)) // clean-up may leave nothing
        return err.kind == ERROR_JOB && strstr(err.text, "smallest detail") ? NULL : "wishes are no errors";
    if (memcmp(bare.wish_box_px, first.wish_box_px, sizeof bare.box_px) != 0)
        return "no wish moves the places of wishes";
    broken = separation_broken_law(options, &first, work);
    if (broken) return broken;
    if (!separation_make(picture, options, keep, work, &second, &err)) return "what went once goes again";
    if (!are_equal(&first, &second)) return "wishes replayed give the same";
    if (!separation_make(picture, &plain, keep, work, &second, &err)) return "what went once goes again";
    return are_equal(&bare, &second) ? NULL : "wishes taken back leave nothing";
}

const char *separation_case_broken_law(const Picture *picture, const SeparationOptions *options)
{
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    const char *broken = compare(picture, options, &keep, &work);
    arena_free(&keep);
    arena_free(&work.scratch);
    return broken;
}

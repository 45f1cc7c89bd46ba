// Laws over seeded drawings and wishes.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation_laws.h"

#include <string.h>

#define ROUNDS 1200
#define MOST_BYTES 400

// Cells repeat the one before them mostly, so that areas come about.
static void random_bytes(Rng *rng, uint8_t *bytes)
{
    uint32_t repeats = 1 + rng_below(rng, 8);
    for (int i = 0; i < MOST_BYTES; i++)
        bytes[i] = i > 6 && i < 200 && rng_below(rng, repeats) ? bytes[i - 1] : (uint8_t)rng_next(rng);
}

static void any_wishes__keep_the_laws(void **state)
{
    (void)state;
    uint8_t bytes[MOST_BYTES];
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Rng rng = rng_make(seed);
        random_bytes(&rng, bytes);
        Arena keep = arena_make(0);
        Picture picture;
        SeparationOptions options;
        assert_true(separation_case_from_bytes(bytes, MOST_BYTES, &keep, &picture, &options));
        const char *broken = separation_case_broken_law(&picture, &options);
        if (broken) fail_msg("seed %d: broken: %s", (int)seed, broken);
        arena_free(&keep);
    }
}

typedef struct Case {
    Arena keep;
    Work work;
    Picture picture;
    SeparationOptions options;
    Separation s;
    bool good;
} Case;

static void make(Case *c)
{
    Error err = {0};
    c->good = separation_make(&c->picture, &c->options, &c->keep, &c->work, &c->s, &err);
}

static Case random_case(uint64_t seed, double smallest_area_px)
{
    Case c = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    uint8_t bytes[MOST_BYTES];
    Rng rng = rng_make(seed);
    random_bytes(&rng, bytes);
    bytes[0] |= 7, bytes[1] |= 7, bytes[2] = 3; // large enough for a figure; each cell has a flat core
    assert_true(separation_case_from_bytes(bytes, MOST_BYTES, &c.keep, &c.picture, &c.options));
    c.options.smallest_area_px = smallest_area_px;
    // ground all round, so that every seed has some
    for (int y = 0; y < c.picture.height_px; y++)
        for (int x = 0; x < c.picture.width_px; x++)
            if (x < 4 || y < 4 || x >= c.picture.width_px - 4 || y >= c.picture.height_px - 4)
                memset(c.picture.rgba + (y * c.picture.width_px + x) * 4, 255, 4);
    return c;
}

static void done(Case *c)
{
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
}

static Srgb8 colour_at(const Separation *s, int i)
{
    return s->label[i] ? s->colours[s->label[i] - 1].colour : (Srgb8){1, 2, 3};
}

// Whether each pixel has the label of its own colour: a pixel beside an edge may be taken for a blend, and then two
// pictures with unlike colours differ by more than a wish.
static bool is_exact(const Case *of)
{
    Case c = *of;
    c.options = separation_defaults();
    c.options.smallest_area_px = 1;
    c.keep = arena_make(0), c.work = (Work){.scratch = arena_make(0)};
    make(&c);
    bool exact = c.good;
    for (int i = 0; exact && i < c.picture.width_px * c.picture.height_px; i++) {
        Srgb8 colour = c.s.label[i] ? colour_at(&c.s, i) : c.s.ground_colour;
        bool is_clear = c.picture.rgba[i * 4 + 3] == 0;
        exact = is_clear ? c.s.label[i] == 0 : memcmp(&colour, c.picture.rgba + i * 4, 3) == 0;
    }
    done(&c);
    return exact;
}

static void repaint(Picture *picture, Srgb8 from, Srgb8 to)
{
    for (int i = 0; i < picture->width_px * picture->height_px; i++) {
        uint8_t *p = picture->rgba + i * 4;
        if (p[0] == from.r && p[1] == from.g && p[2] == from.b) p[0] = to.r, p[1] = to.g, p[2] = to.b;
    }
}

static void same__is_the_picture_painted_over(void **state)
{
    (void)state;
    int compared = 0;
    for (uint64_t seed = 1; seed <= 500; seed++) {
        Case c = random_case(10000 + seed, 1 + (double)(seed % 40));
        c.options.wishes = (SeparationWishes){0};
        make(&c);
        if (c.good && c.s.colour_count > 1) {
            Rng rng = rng_make(seed);
            uint32_t count = (uint32_t)c.s.colour_count;
            SameWish same = {.colour = c.s.colours[rng_below(&rng, count)].colour,
                             .as = c.s.colours[rng_below(&rng, count)].colour};
            if (seed % 4 == 0 && c.s.has_ground_colour) same.as = c.s.ground_colour;
            Case painted = random_case(10000 + seed, c.options.smallest_area_px);
            painted.options.wishes = (SeparationWishes){0};
            repaint(&painted.picture, same.colour, same.as);
            make(&painted);
            bool compares = is_exact(&c) && is_exact(&painted);
            c.options.wishes = (SeparationWishes){.same = &same, .same_count = 1};
            make(&c);
            if (painted.good && compares) { // one that leaves nothing to cut is refused, the wish is not kept
                assert_true(c.good);
                for (int i = 0; i < c.picture.width_px * c.picture.height_px; i++) {
                    Srgb8 a = colour_at(&c.s, i), b = colour_at(&painted.s, i);
                    if (memcmp(&a, &b, sizeof a) != 0) fail_msg("seed %d: pixel %d differs", (int)seed, i);
                }
                compared++;
            }
            done(&painted);
        }
        done(&c);
    }
    assert_true(compared > 150);
}

static void larger_picture__has_the_same_places(void **state)
{
    (void)state;
    int compared = 0;
    for (uint64_t seed = 1; seed <= 500; seed++) {
        Case small = random_case(20000 + seed, 1);
        // How far a part grows depends on the pixels, and so does where colours meet in one that is left out.
        small.options.wishes.tiny_count = small.options.wishes.left_out_count = 0;
        int width = small.picture.width_px, height = small.picture.height_px, times = 3;
        make(&small);
        bool compares = is_exact(&small);
        Case large = random_case(20000 + seed, 1);
        large.options.wishes = small.options.wishes;
        large.picture = (Picture){.width_px = width * times, .height_px = height * times, .rgba = arena_new(&large.keep, uint8_t, width * height * times * times * 4)};
        for (int i = 0; i < width * height * times * times; i++) {
            int x = i % (width * times) / times, y = i / (width * times) / times;
            memcpy(large.picture.rgba + i * 4, small.picture.rgba + (y * width + x) * 4, 4);
        }
        make(&large);
        if (compares) assert_int_equal(small.good, large.good);
        for (int i = 0; small.good && compares && i < width * height * times * times; i++) {
            int x = i % (width * times) / times, y = i / (width * times) / times;
            Srgb8 a = colour_at(&small.s, y * width + x), b = colour_at(&large.s, i);
            if (memcmp(&a, &b, sizeof a) != 0) fail_msg("seed %d: pixel %d, %d differs", (int)seed, x, y);
        }
        compared += small.good && compares && small.options.wishes.place_count > 0;
        done(&small);
        done(&large);
    }
    assert_true(compared > 100);
}

// Squared distance from a pixel to the nearest one with another label than `gone` that is no ground.
static int nearest_paper(const Case *before, int gone, int at)
{
    int width = before->s.width_px, best = INT32_MAX;
    for (int i = 0; i < width * before->s.height_px; i++) {
        int dx = i % width - at % width, dy = i / width - at / width, d = dx * dx + dy * dy;
        if (before->s.label[i] && before->s.label[i] != gone && d < best) best = d;
    }
    return best;
}

// In a convex area the wave is a straight line of sight; elsewhere what is near may lie round a corner. So the law is
// about pixels one away from some paper: they go to a colour that touches them.
static void left_out__only_its_pixels_change_and_go_to_what_touches_them(void **state)
{
    (void)state;
    int changed = 0, touching = 0;
    for (uint64_t seed = 1; seed <= 300; seed++) {
        Case before = random_case(40000 + seed, 1), after = random_case(40000 + seed, 1);
        before.options.wishes = (SeparationWishes){0};
        make(&before);
        int gone = before.good && before.s.colour_count > 1 ? 1 + (int)(seed % (uint64_t)before.s.colour_count) : 0;
        if (gone) {
            Srgb8 out = before.s.colours[gone - 1].colour;
            after.options.wishes = (SeparationWishes){.left_out = &out, .left_out_count = 1};
            make(&after);
            assert_true(after.good);
            int width = before.s.width_px, height = before.s.height_px;
            for (int i = 0; i < width * height; i++) {
                Srgb8 a = colour_at(&before.s, i), b = colour_at(&after.s, i);
                if (before.s.label[i] != gone) {
                    if (memcmp(&a, &b, sizeof a) != 0) fail_msg("seed %d: pixel %d changed", (int)seed, i);
                    continue;
                }
                assert_memory_not_equal(&b, &out, sizeof b);
                changed++;
                if (after.s.label[i] == 0 || nearest_paper(&before, gone, i) != 1) continue;
                bool is_beside = false;
                for (int k = 0; k < 4; k++) {
                    int x = i % width + (k == 0) - (k == 1), y = i / width + (k == 2) - (k == 3);
                    if (x < 0 || y < 0 || x >= width || y >= height) continue;
                    Srgb8 c = colour_at(&before.s, y * width + x);
                    is_beside |= memcmp(&b, &c, sizeof b) == 0;
                }
                if (!is_beside) fail_msg("seed %d: pixel %d skipped its neighbour", (int)seed, i);
                touching++;
            }
        }
        done(&before);
        done(&after);
    }
    assert_true(changed > 10000 && touching > 5000);
}

static void enlarged_parts__keep_their_neighbours_apart(void **state)
{
    (void)state;
    int grown = 0;
    for (uint64_t seed = 1; seed <= 500; seed++) {
        Case c = random_case(30000 + seed, 10 + (double)(seed % 60));
        c.options.wishes = (SeparationWishes){0};
        make(&c);
        if (!c.good) {
            done(&c);
            continue;
        }
        TinyWish wishes[16];
        int count = 0;
        const double *box = c.s.wish_box_px;
        for (size_t i = 0; i < c.s.findings.count && count < 16; i++) {
            const Finding *f = &c.s.findings.items[i];
            if (strcmp(f->kind, "speck-joined") == 0)
                wishes[count++] = (TinyWish){(f->x_mm - box[0]) / (box[3] - box[1]),
                                             (f->y_mm - box[1]) / (box[3] - box[1]), TINY_ENLARGE};
        }
        c.options.wishes = (SeparationWishes){.tiny = wishes, .tiny_count = count};
        make(&c);
        assert_true(c.good);
        const char *broken = separation_broken_law(&c.options, &c.s, &c.work);
        if (broken) fail_msg("seed %d: broken: %s", (int)seed, broken);
        for (size_t i = 0; i < c.s.findings.count; i++)
            assert_string_not_equal(c.s.findings.items[i].kind, "edit-without-target"); // each place as listed is found
        grown += count;
        done(&c);
    }
    assert_true(grown > 300);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_wishes__keep_the_laws),
        cmocka_unit_test(same__is_the_picture_painted_over),
        cmocka_unit_test(larger_picture__has_the_same_places),
        cmocka_unit_test(left_out__only_its_pixels_change_and_go_to_what_touches_them),
        cmocka_unit_test(enlarged_parts__keep_their_neighbours_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

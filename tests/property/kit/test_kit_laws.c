// Kit: laws over seeded random turns and orders of the hand-made kit.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "kit/draft.h"
#include "kit/measure_path.h"
#include "kit/notes.h"
#include "support/kit_case.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ROUNDS 20

// A turn from a Pythagorean triple, and a shift that keeps the ring (120 mm wide) on the sheet.
static void turn_ring(Made *made, Rng *rng)
{
    static const double TURNS[][2] = {{1, 0}, {0.6, 0.8}, {0.8, -0.6}, {-0.28, 0.96}, {0, -1}, {-1, 0}, {0.384615385, 0.923076923}};
    const double *t = TURNS[rng_below(rng, sizeof TURNS / sizeof TURNS[0])];
    double cx = 80 + 40 * rng_unit(rng), cy = 80 + 100 * rng_unit(rng);
    const double place[6] = {t[0], t[1], -t[1], t[0], cx - t[0] * 100 + t[1] * 150, cy - t[1] * 100 - t[0] * 150};
    for (int i = 0; i < 6; i++) made->kit.places[1][0].to_sheet[i] = floor(place[i] * 1e9 + 0.5) / 1e9;
}

static double note_distance_mm(const DraftNote *note, const DraftPiece *piece)
{
    double least = INFINITY;
    for (int c = 0; c < note->path.curve_count; c++)
        for (int end = 0; end < 2; end++) {
            Point p = end ? note->path.curves[c].p3 : note->path.curves[c].p0;
            for (int r = 0; r < piece->source->rings.count; r++) {
                const Ring *ring = &piece->source->rings.items[r];
                for (int i = 0; i < ring->count; i++) {
                    double a[2], b[2];
                    draft_on_sheet(piece, ring->points[i], a);
                    draft_on_sheet(piece, ring->points[(i + 1) % ring->count], b);
                    least = fmin(least, point_segment_distance_mm(p, point_from_mm(a[0], a[1]), point_from_mm(b[0], b[1])));
                }
            }
        }
    return least;
}

static void notes__lie_in_the_box_clear_of_the_piece_but_near_it(void **state)
{
    (void)state;
    int notes = 0;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Made *made = prepare();
        Rng rng = rng_make(seed);
        turn_ring(made, &rng);
        Draft draft;
        assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &draft, &made->err));
        for (int sheet = 0; sheet < draft.sheet_count; sheet++)
            assert_true(notes_add(&draft, sheet, &made->keep, &made->work, &made->err));
        const DraftSheet *sheet = &draft.sheets[2];
        for (int n = 0; n < sheet->note_count; n++, notes++) {
            const DraftNote *note = &sheet->notes[n];
            for (int c = 0; c < note->path.curve_count; c++) {
                Point p = note->path.curves[c].p3;
                if (p.x < 6350 || p.y < 6350 || p.x > 209550 || p.y > 273050) fail_msg("seed %d: a note leaves the box", (int)seed);
            }
            double d = note_distance_mm(note, &draft.pieces[2]);
            if (d < 1 || d > 20) fail_msg("seed %d: the note is %.3f mm from its piece", (int)seed, d);
        }
        drop(made);
    }
    assert_true(notes >= ROUNDS * 9 / 10);
}

// Reads the numbers of a path back, in the order they are written.
static int numbers_of(const char *d, double *out, int most)
{
    int count = 0;
    for (const char *c = d; *c && *c != '"' && count < most;) {
        char *end;
        double value = strtod(c, &end);
        if (end == c) c++;
        else out[count++] = value, c = end;
    }
    return count;
}

static void sheets__say_to_sheet_times_outline_within_half_a_micrometre(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Made *made = prepare();
        Rng rng = rng_make(seed);
        turn_ring(made, &rng);
        FileSet files;
        assert_true(kit_make(&made->kit.input, &made->keep, &made->work, &files, &made->err));
        const FileBytes *file = file_find(&files, "sheets/ring-11.81in-navy-1-of-1-8x10.5in.svg");
        assert_non_null(file);
        double found[200];
        int count = numbers_of(strstr(file->bytes, " d=\"") + 4, found, 200);
        // two corner marks of 3 points; the hole: M and 4 lines; the ring: M and 4 cubics
        assert_int_equal(count, 12 + 10 + 2 + 24);
        const double hole[5][2] = {{90, 140}, {90, 160}, {110, 160}, {110, 140}, {90, 140}};
        const double *m = made->kit.places[1][0].to_sheet;
        for (int i = 0; i < 5; i++) {
            double x = m[0] * hole[i][0] + m[2] * hole[i][1] + m[4], y = m[1] * hole[i][0] + m[3] * hole[i][1] + m[5];
            if (fabs(found[12 + 2 * i] - x) > 0.000501 || fabs(found[13 + 2 * i] - y) > 0.000501) fail_msg("seed %d, point %d", (int)seed, i);
        }
        drop(made);
    }
}

static void totals__do_not_change_with_turns(void **state)
{
    (void)state;
    double cut = 0, waste = 0;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Made *made = prepare();
        Rng rng = rng_make(seed);
        turn_ring(made, &rng);
        Draft draft;
        assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &draft, &made->err));
        draft_total(&draft);
        if (seed == 1) cut = draft.totals.cut_mm, waste = draft.totals.waste_percent;
        assert_true(draft.totals.cut_mm == cut && draft.totals.waste_percent == waste);
        drop(made);
    }
    // by hand: A1 150 + 200 + 200 and a flat arc of 150 mm chord and 11.25 mm rise (152.2); A2 700; the ring 377 and 80
    assert_true(fabs(cut - (550 + 152.2 + 700 + 377 + 80)) < 0.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(notes__lie_in_the_box_clear_of_the_piece_but_near_it),
        cmocka_unit_test(sheets__say_to_sheet_times_outline_within_half_a_micrometre),
        cmocka_unit_test(totals__do_not_change_with_turns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

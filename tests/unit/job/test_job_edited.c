// test_job_edited.c - what edits do to a job: in the kit, in findings, to memory, and lists of edits that make no sense. PM_ALL=1 makes more of them.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "support/job_case.h"

#include "base/rng.h"

#include <stdio.h>

static void job_update__names_and_papers_reach_the_kit(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    add(&u, (Edit){.kind = EDIT_NAME, .colour = colour_of_layer(&u, 0), .text = "night sky"});
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "a4"});
    assert_true(update(&u));
    assert_true(kit_says(&u.job, "\"name\": \"night sky\""));
    assert_true(kit_says(&u.job, "\"a4-night sky\""));
    end(&u);
}

static void job_update__what_cannot_be_done_is_a_finding_in_the_kit(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    FigurePoint beside[2] = {{5.0, 5.0}, {5.0, 6.0}};
    const Srgb8 none = {0, 255, 255};
    Srgb8 a = colour_of_layer(&u, 0), b = colour_of_layer(&u, 1);
    add(&u, (Edit){.kind = EDIT_BASE, .colour = none});
    add(&u, (Edit){.kind = EDIT_SEAM, .colour = none, .points = beside, .point_count = 2});
    add(&u, (Edit){.kind = EDIT_OVER, .colour = a, .other = b});
    add(&u, (Edit){.kind = EDIT_OVER, .colour = b, .other = a});
    add(&u, (Edit){.kind = EDIT_GROUND, .at = {50.0, 50.0}});
    add(&u, (Edit){.kind = EDIT_SAME, .colour = none, .other = a});
    add(&u, (Edit){.kind = EDIT_TINY, .at = {0.9, 0.9}, .fate = TINY_PEN});
    assert_true(update(&u));
    assert_true(has_finding(&u.job, "edit-without-target", "#00ffff as the base"));
    assert_true(has_finding(&u.job, "edit-without-target", "the fixed seam of #00ffff"));
    assert_true(has_finding(&u.job, "edit-not-kept", " over "));
    assert_true(kit_says(&u.job, "edit-without-target"));
    int told = 0;
    for (size_t i = 0; i < u.job.stack.findings.count; i++) told += strncmp(u.job.stack.findings.items[i].kind, "edit-", 5) == 0;
    assert_true(told >= 6); // each of them but one order
    end(&u);
}

static void job_update__a_thousand_edits_are_followed(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 2);
    Rng rng = rng_make(5);
    for (int i = 0; i < 1000; i++) {
        const EditKind kinds[] = {EDIT_NAME, EDIT_SAME, EDIT_SHEET, EDIT_OVER, EDIT_TINY, EDIT_LEAVE_OUT, EDIT_SEAM_FORBIDDEN};
        FigurePoint run[2] = {{rng_unit(&rng), rng_unit(&rng)}, {rng_unit(&rng), rng_unit(&rng)}};
        char name[16];
        snprintf(name, sizeof name, "c%d", i % 7);
        Edit edit = {.kind = kinds[i % 7], .points = run, .point_count = 2, .text = i % 7 == 2 ? "5x7" : name};
        edit.colour = edit.other = (Srgb8){(uint8_t)rng_below(&rng, 256), (uint8_t)rng_below(&rng, 256), (uint8_t)rng_below(&rng, 256)};
        add(&u, edit);
    }
    assert_true(update(&u) || u.err.kind == ERROR_JOB); // all may be left out; a sentence tells
    end(&u);
}

#define MANY_EDITS 60
#define MANY_EDITS_ALL 200

static void job_update__many_edits_hold_no_more_memory_than_twenty(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 2);
    u.settings.height_mm = 140.0; // few pieces: what counts is how often results are replaced
    size_t after_20 = 0;
    int edits = quick_or_all(MANY_EDITS, MANY_EDITS_ALL);
    for (int i = 0; i < edits; i++) { // an update for every two edits
        add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, i % u.job.stack.layer_count), .text = i % 2 ? "4x4in" : "5x7"});
        if (i % 10 == 9) add(&u, (Edit){.kind = EDIT_UNDERLAP, .mm = 4.0 + i / 10 % 3});
        if (i % 2) assert_true(update(&u));
        if (i == 19) after_20 = job_held_bytes(&u.job);
    }
    size_t after_all = job_held_bytes(&u.job);
    assert_true((double)after_all < 1.1 * (double)after_20);
    assert_true((double)after_all > 0.5 * (double)after_20);
    end(&u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job_update__names_and_papers_reach_the_kit),
        cmocka_unit_test(job_update__what_cannot_be_done_is_a_finding_in_the_kit),
        cmocka_unit_test(job_update__a_thousand_edits_are_followed),
        cmocka_unit_test(job_update__many_edits_hold_no_more_memory_than_twenty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// test_job_frozen.c - pieces that are cut already.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "support/job_case.h"

#include <stdio.h>

static const char *last_piece_id(const Job *job, int layer)
{
    return job->pieces[layer].pieces[job->pieces[layer].piece_count - 1].id;
}

static void job_freeze__a_frozen_piece_refuses_what_would_alter_it_until_it_is_let_go(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    char id[16];
    snprintf(id, sizeof id, "%s", last_piece_id(&u.job, 0));
    const char *ids[1] = {id};
    assert_true(job_freeze(&u.job, ids, 1, &u.keep, &u.edits, &u.err));
    assert_true(update(&u));
    const void *files = u.job.kit.items;

    u.settings.height_mm = 310.0;
    assert_false(update(&u));
    assert_int_equal(u.err.kind, ERROR_JOB);
    assert_non_null(strstr(u.err.text, id));
    u.settings.height_mm = undertaking_mm();

    add(&u, (Edit){.kind = EDIT_BORDER, .mm = 8.0});
    assert_false(update(&u));
    assert_non_null(strstr(u.err.text, id));
    u.edits.count = 1;

    add(&u, (Edit){.kind = EDIT_NAME, .colour = colour_of_layer(&u, 0), .text = "cut already"});
    assert_true(update(&u));
    assert_ptr_not_equal(u.job.kit.items, files);

    u.edits.count = 0; // undone: it may change again
    u.settings.height_mm = 310.0;
    assert_true(update(&u));
    end(&u);
}

// Its laps stay when butt seams are asked for, beside seams that have none then; and the proof holds.
static void job_freeze__a_piece_with_laps_keeps_them(void **state)
{
    (void)state;
    Undertaking u;
    int found = -1;
    begin(&u, 0);
    assert_true(settings_add_seams(&u.settings, "lap", &u.err));
    assert_true(update(&u));
    const LayerPieces *base = &u.job.pieces[0];
    for (int i = 0; i < base->piece_count; i++)
        if (base->pieces[i].has_laps) found = i;
    assert_true(found >= 0);
    char id[16];
    snprintf(id, sizeof id, "%s", base->pieces[found].id);
    const char *ids[1] = {id};
    assert_true(job_freeze(&u.job, ids, 1, &u.keep, &u.edits, &u.err));
    assert_non_null(u.edits.items[0].face);
    for (int form = 0; form < 2; form++) {
        Proof proof;
        int laps = 0;
        assert_true(settings_add_seams(&u.settings, form ? "butt" : "lap", &u.err));
        assert_true(update(&u));
        base = &u.job.pieces[0];
        for (int s = 0; s < base->seam_count; s++)
            laps += base->seams[s].form == SEAM_LAP && strcmp(base->pieces[base->seams[s].lap_of].id, id) == 0;
        assert_true(laps > 0);
        for (int s = 0; s < base->seam_count && form; s++)
            assert_true(base->seams[s].form == SEAM_BUTT || strcmp(base->pieces[base->seams[s].lap_of].id, id) == 0);
        assert_true(job_prove(&u.job.kit, 1, NULL, &u.keep, &proof, &u.err));
        if (proof.fault_count) fail_msg("%s", proof.text);
    }
    end(&u);
}

static void job_freeze__needs_pieces_that_are_there(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const char *ids[1] = {"Z99"};
    assert_false(job_freeze(&u.job, ids, 1, &u.keep, &u.edits, &u.err));
    assert_non_null(strstr(u.err.text, "Z99"));
    Job empty = {0};
    assert_false(job_freeze(&empty, ids, 1, &u.keep, &u.edits, &u.err));
    assert_int_equal(u.edits.count, 0);
    end(&u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job_freeze__a_frozen_piece_refuses_what_would_alter_it_until_it_is_let_go),
        cmocka_unit_test(job_freeze__a_piece_with_laps_keeps_them),
        cmocka_unit_test(job_freeze__needs_pieces_that_are_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

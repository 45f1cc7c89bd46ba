// test_job_moved.c - pieces that the maker lays elsewhere on the sheets.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "support/job_case.h"

static Edit place_edit(const JobPlaces *places, const char *piece, NestPlace to)
{
    Edit edit = {.kind = EDIT_PLACE, .colour = places->colour, .text = piece, .sheet = to.sheet + 1};
    memcpy(edit.to_sheet, to.to_sheet, sizeof edit.to_sheet);
    return edit;
}

static void job_places__a_piece_goes_where_the_edit_puts_it_and_the_kit_is_proved(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *marks = u.job.marks[1].marks, *pieces = u.job.pieces[1].pieces;
    int tried = 0;
    for (int p = 0; p < u.job.paper_count; p++)
        for (int i = 0; i < u.job.papers[p].piece_count; i++) {
            const char *id = u.job.pieces[u.job.papers[p].layers[i]].pieces[u.job.papers[p].pieces[i]].id;
            JobPlaces places;
            assert_true(job_places(&u.job, id, NULL, &u.keep, &places, &u.err));
            assert_true(places.paper == p && places.index == i);
            if (places.count == 0) continue;
            NestPlace wanted = places.items[places.count - 1];
            add(&u, place_edit(&places, id, wanted));
            assert_true(update(&u));
            assert_memory_equal(u.job.papers[p].nest.places[i].to_sheet, wanted.to_sheet, sizeof wanted.to_sheet);
            tried++;
        }
    assert_true(tried > 0);
    assert_false(has_finding(&u.job, "edit-not-kept", "its sheet"));
    assert_ptr_equal(u.job.marks[1].marks, marks); // seams and marks are taken over
    assert_ptr_equal(u.job.pieces[1].pieces, pieces);
    Proof proof;
    assert_true(job_prove(&u.job.kit, 1, NULL, &u.keep, &proof, &u.err));
    assert_int_equal(proof.fault_count, 0);
    end(&u);
}

static void job_places__what_cannot_be_kept_is_told(void **state)
{
    (void)state;
    Undertaking u;
    JobPlaces places;
    begin(&u, 0);
    assert_false(job_places(&u.job, "Z99", NULL, &u.keep, &places, &u.err));
    assert_int_equal(u.err.kind, ERROR_JOB);
    assert_true(job_places(&u.job, "A1", NULL, &u.keep, &places, &u.err));
    NestPlace now = u.job.papers[places.paper].nest.places[places.index], beyond = now;
    beyond.to_sheet[4] += 500.0;
    add(&u, place_edit(&places, "A1", beyond));
    beyond.sheet += 50;
    add(&u, place_edit(&places, "A1", beyond));
    add(&u, place_edit(&places, "A99", now));
    assert_true(update(&u));
    assert_true(has_finding(&u.job, "edit-not-kept", "it would not lie wholly on the sheet"));
    assert_true(has_finding(&u.job, "edit-not-kept", "its paper has no such sheet"));
    assert_true(has_finding(&u.job, "edit-without-target", "no such piece"));
    assert_memory_equal(&u.job.papers[places.paper].nest.places[places.index], &now, sizeof now);
    end(&u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job_places__a_piece_goes_where_the_edit_puts_it_and_the_kit_is_proved),
        cmocka_unit_test(job_places__what_cannot_be_kept_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

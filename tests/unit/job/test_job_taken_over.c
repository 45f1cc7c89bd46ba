// test_job_taken_over.c - what of a job is taken over when something changes, and what is computed again.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "support/job_case.h"

static void job_update__another_paper_redoes_its_layer_and_no_other(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *label = u.job.separation.label, *region = u.job.outlines.regions, *layer_list = u.job.stack.layers;
    const void *pieces[3] = {u.job.pieces[0].pieces, u.job.pieces[1].pieces, u.job.pieces[2].pieces};
    const void *marks[3] = {u.job.marks[0].marks, u.job.marks[1].marks, u.job.marks[2].marks};
    const void *places = u.job.papers[1].nest.places;
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "letter"});
    assert_true(update(&u));
    assert_string_equal(u.job.papers[0].paper.id, "letter");
    assert_ptr_equal(u.job.separation.label, label);
    assert_ptr_equal(u.job.outlines.regions, region);
    assert_ptr_equal(u.job.stack.layers, layer_list);
    assert_ptr_not_equal(u.job.pieces[0].pieces, pieces[0]);
    for (int layer = 1; layer < 3; layer++) {
        assert_ptr_equal(u.job.pieces[layer].pieces, pieces[layer]);
        assert_ptr_equal(u.job.marks[layer].marks, marks[layer]);
    }
    assert_ptr_equal(u.job.papers[1].nest.places, places);
    end(&u);
}

// A price is for the files to tell; a direction is not.
static void job_update__a_price_leaves_seams_marks_and_sheets(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "letter"});
    assert_true(update(&u));
    const void *pieces = u.job.pieces[0].pieces, *marks = u.job.marks[0].marks, *places = u.job.papers[0].nest.places, *files = u.job.kit.items;
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "letter,65lb,white-core,25 for 8.99"});
    assert_true(update(&u));
    assert_ptr_equal(u.job.pieces[0].pieces, pieces);
    assert_ptr_equal(u.job.marks[0].marks, marks);
    assert_ptr_equal(u.job.papers[0].nest.places, places);
    assert_ptr_not_equal(u.job.kit.items, files);
    assert_true(kit_says(&u.job, "\"cost\": 8.99"));
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "letter,65lb,white-core,25 for 8.99,grained"});
    assert_true(update(&u));
    assert_ptr_not_equal(u.job.pieces[0].pieces, pieces);
    assert_true(kit_says(&u.job, "\"direction\": \"grained\""));
    u.settings.has_cutter = cutter_parse("12x12,score,pen", &u.settings.cutter, &u.err);
    assert_true(update(&u));
    assert_true(kit_says(&u.job, "\"name\": \"12x12in\""));
    end(&u);
}

static void job_update__another_height_keeps_the_picture_alone(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *rgba = u.job.picture.rgba, *regions = u.job.outlines.regions;
    u.settings.height_mm = 254.0;
    assert_true(update(&u));
    assert_ptr_equal(u.job.picture.rgba, rgba);
    assert_ptr_not_equal(u.job.outlines.regions, regions);
    assert_true(u.job.stack.height_mm == 254.0);
    end(&u);
}

static void job_update__the_same_again_computes_nothing(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 1);
    const void *files = u.job.kit.items;
    size_t held = job_held_bytes(&u.job);
    assert_true(update(&u));
    assert_ptr_equal(u.job.kit.items, files);
    assert_int_equal(job_held_bytes(&u.job), held);
    end(&u);
}

static void job_update__another_page_or_price_makes_the_guide_again_and_nothing_before_it(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *pieces = u.job.pieces[0].pieces, *places = u.job.papers[0].nest.places, *files = u.job.kit.items;
    u.settings.kit.page = KIT_PAGE_A4;
    assert_true(update(&u));
    assert_ptr_not_equal(u.job.kit.items, files);
    files = u.job.kit.items;
    u.settings.papers[0].paper.pack_price = 3.5;
    assert_true(update(&u));
    assert_ptr_not_equal(u.job.kit.items, files);
    assert_ptr_equal(u.job.pieces[0].pieces, pieces);
    assert_ptr_equal(u.job.papers[0].nest.places, places);
    end(&u);
}

// Findings of seams and thin parts tell the name; the layers themselves do not.
static void job_update__a_name_leaves_the_layers_and_their_marks(void **state)
{
    (void)state;
    Undertaking u, fresh;
    begin(&u, 0);
    const void *layers = u.job.stack.layers, *pieces = u.job.pieces[1].pieces, *marks[2] = {u.job.marks[0].marks, u.job.marks[1].marks};
    add(&u, (Edit){.kind = EDIT_NAME, .colour = colour_of_layer(&u, 0), .text = "night sky"});
    assert_true(update(&u));
    assert_ptr_equal(u.job.stack.layers, layers);
    assert_ptr_equal(u.job.pieces[1].pieces, pieces);
    for (int layer = 0; layer < 2; layer++) assert_ptr_equal(u.job.marks[layer].marks, marks[layer]);
    assert_true(kit_says(&u.job, "\"name\": \"night sky\""));
    begin(&fresh, 0);
    job_free(&fresh.job);
    assert_true(job_create(&fresh.input, &fresh.job, &fresh.err));
    fresh.edits = u.edits;
    assert_true(update(&fresh));
    assert_null(files_differ(&fresh.job.kit, &u.job.kit));
    end(&fresh);
    end(&u);
}

static void job_update__another_form_of_the_files_writes_them_anew_and_nothing_else(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const LayerPieces *before = u.job.pieces;
    int pieces = before[0].piece_count;
    assert_true(kit_says(&u.job, "\"sheets_for\": \"sheet\""));
    u.settings.kit.sheets_for = KIT_FOR_LINE;
    assert_true(update(&u));
    assert_true(kit_says(&u.job, "\"sheets_for\": \"line\""));
    assert_int_equal(u.job.pieces[0].piece_count, pieces);
    u.settings.kit.sheets_for = KIT_FOR_LAYER;
    assert_true(update(&u));
    assert_true(kit_says(&u.job, "\"offset_mm\""));
    end(&u);
}

static void job_colours__finds_colours_by_name_and_an_update_takes_them_over(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    job_free(&u.job);
    assert_true(job_create(&u.input, &u.job, &u.err));
    assert_true(job_colours(&u.job, &u.settings, NULL, NULL, &u.err));
    assert_int_equal(u.job.kit.count, 0);
    Srgb8 colour;
    assert_true(job_find_colour(&u.job, u.job.separation.colours[1].name, &colour, &u.err));
    assert_memory_equal(&colour, &u.job.separation.colours[1].colour, sizeof colour);
    assert_true(job_find_colour(&u.job, "#102030", &colour, &u.err));
    assert_false(job_find_colour(&u.job, "plaid", &colour, &u.err));
    assert_int_equal(u.err.kind, ERROR_USAGE);
    assert_non_null(strstr(u.err.text, u.job.separation.colours[0].name));
    const void *label = u.job.separation.label;
    assert_true(update(&u));
    assert_ptr_equal(u.job.separation.label, label);
    end(&u);
}

static void job_colours__leaves_what_was_computed_for_the_next_update(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *files = u.job.kit.items, *label = u.job.separation.label, *regions = u.job.outlines.regions;
    size_t held = job_held_bytes(&u.job);
    Settings other = u.settings;
    other.smallest_area_px = 4000.0;
    for (int i = 0; i < 3; i++) {
        assert_true(job_colours(&u.job, i == 1 ? &other : &u.settings, NULL, NULL, &u.err));
        assert_int_equal(u.job.kit.count, 0);
        if (i != 1) assert_ptr_equal(u.job.separation.label, label);
        assert_true(job_held_bytes(&u.job) < 2 * held); // what is shared is counted once
    }
    assert_true(update(&u));
    assert_ptr_equal(u.job.outlines.regions, regions);
    assert_ptr_equal(u.job.kit.items, files);
    assert_int_equal(job_held_bytes(&u.job), held);
    end(&u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job_update__another_paper_redoes_its_layer_and_no_other),
        cmocka_unit_test(job_update__a_price_leaves_seams_marks_and_sheets),
        cmocka_unit_test(job_update__another_height_keeps_the_picture_alone),
        cmocka_unit_test(job_update__the_same_again_computes_nothing),
        cmocka_unit_test(job_update__another_page_or_price_makes_the_guide_again_and_nothing_before_it),
        cmocka_unit_test(job_update__a_name_leaves_the_layers_and_their_marks),
        cmocka_unit_test(job_update__another_form_of_the_files_writes_them_anew_and_nothing_else),
        cmocka_unit_test(job_colours__finds_colours_by_name_and_an_update_takes_them_over),
        cmocka_unit_test(job_colours__leaves_what_was_computed_for_the_next_update),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

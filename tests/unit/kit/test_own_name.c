// test_own_name.c - the kit's own names, and what only looks like them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "kit/own_name.h"
#include "support/kit_case.h"

static void own_name__knows_every_file_of_a_kit(void **state)
{
    (void)state;
    Made *made = prepare();
    make_files(made);
    assert_true(made->files.count > 5);
    for (int i = 0; i < made->files.count; i++)
        if (!kit_owns_name(made->files.items[i].name)) fail_msg("%s is not known", made->files.items[i].name);
    assert_true(kit_owns_name("proof.txt")); // written last, beside the others
    drop(made);
}

static void own_name__leaves_the_makers_names_alone(void **state)
{
    (void)state;
    static const char *const makers[] = {"notes.txt",
                                         "kit.json.bak",
                                         "Guide.pdf",
                                         "balloon-48in-navy-1-of-5-8x10.5in.svg", // not in sheets/
                                         "sheets/kit.json",
                                         "sheets/mine.svg",
                                         "sheets/00-test.svg",
                                         "sheets/balloon-48in-navy.svg",
                                         "sheets/balloon-8x10.5in.svg",
                                         "sheets/balloon-48in-navy-1-of-5-8x10.5in copy.svg",
                                         "sheets/balloon-48in-navy-1-of-5-8x10.5in (1).svg",
                                         "sheets/balloon-48in-navy-1-of-5-8x10.5in.svg/mine",
                                         "sheets",
                                         ""};
    for (size_t i = 0; i < sizeof makers / sizeof *makers; i++)
        if (kit_owns_name(makers[i])) fail_msg("\"%s\" is the maker's", makers[i]);
    assert_true(kit_owns_name("sheets/balloon-4.5in-dark-blue-1-of-5-8x10.5in.pdf"));
    assert_true(kit_owns_name("sheets/balloon-48in-navy-8x10.5in-cut.dxf"));
    assert_true(kit_owns_name("sheets/00-test-11x24in-10.5x23.5in.svg"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(own_name__knows_every_file_of_a_kit),
        cmocka_unit_test(own_name__leaves_the_makers_names_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

// test_messages.c - each question and each error: what is no message, what is asked wrongly, what is asked too early.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "support/desk_case.h"

static DeskCase c;

static int open_empty(void **state)
{
    (void)state;
    temp_folder_make();
    desk_case_open(&c, (DeskLock){0});
    return 0;
}

static int open_balloon(void **state)
{
    open_empty(state);
    lay_balloon(&c);
    return 0;
}

static int close_all(void **state)
{
    (void)state;
    desk_case_close(&c);
    temp_folder_remove();
    return 0;
}

// ---- what is no message ----

static void answer__what_is_no_message_is_a_usage_error_without_number(void **state)
{
    (void)state;
    static const char *const WRONG[] = {"", "{", "[]", "12", "null", "{\"ask\": 3}", "{\"ask\": \"state\", \"ask\": \"state\"}", "\xff\xfe", "{\"n\": 1}"};
    for (size_t i = 0; i < sizeof WRONG / sizeof WRONG[0]; i++) {
        json_t *reply = ask(&c, WRONG[i]);
        assert_true(json_is_false(json_object_get(reply, "ok")));
        assert_string_equal(text_at(json_object_get(reply, "error"), "kind"), "usage");
    }
}

static void answer__number_comes_back_as_it_was_sent(void **state)
{
    (void)state;
    assert_int_equal(json_integer_value(json_object_get(ask(&c, "{\"ask\": \"state\", \"n\": 9007199254740993}"), "n")), 9007199254740993);
    assert_int_equal(json_integer_value(json_object_get(ask(&c, "{\"ask\": \"nothing\", \"n\": -4}"), "n")), -4);
    assert_true(json_is_null(json_object_get(ask(&c, "{\"ask\": \"state\", \"n\": \"x\"}"), "n")));
}

static void answer__unknown_question_is_named(void **state)
{
    (void)state;
    ask_wrong(&c, "{\"ask\": \"colour-in\"}", "usage", "colour-in");
    ask_wrong(&c, "{\"ask\": \"sta\\u0000te\"}", "usage", "");
}

static void answer__message_over_the_limit_is_refused(void **state)
{
    (void)state;
    size_t size = DESK_LARGEST_MESSAGE + 1;
    char *bytes = malloc(size);
    memset(bytes, ' ', size);
    json_t *reply = ask_bytes(&c, bytes, size);
    assert_true(json_is_false(json_object_get(reply, "ok")));
    free(bytes);
}

static void answer__deep_nesting_is_refused(void **state)
{
    (void)state;
    char *bytes = malloc(100001);
    memset(bytes, '[', 100000);
    bytes[100000] = 0;
    ask_wrong(&c, bytes, "usage", "JSON");
    free(bytes);
}

// ---- an empty table ----

static void empty_table__state_has_nothing_but_what_is_missing(void **state)
{
    (void)state;
    json_t *s = state_of(&c);
    assert_true(json_is_null(json_object_get(s, "job")));
    assert_int_equal(json_array_size(json_object_get(s, "missing")), 3);
    assert_string_equal(text_at(s, "answer"), "none");
    assert_false(desk_work(c.desk));
}

static void empty_table__what_needs_a_picture_is_refused(void **state)
{
    (void)state;
    static const char *const NEED[] = {
        "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"4ft\"}}", "{\"ask\": \"strike\", \"id\": 1}", "{\"ask\": \"save-as\", \"name\": \"x\"}",
        "{\"ask\": \"compare\", \"papers\": [\"letter\"]}", "{\"ask\": \"find-places\", \"piece\": \"A1\"}", "{\"ask\": \"take\"}",
        "{\"ask\": \"tick\", \"piece\": \"A1\", \"mark\": \"cut\"}", "{\"ask\": \"next\"}",
    };
    for (size_t i = 0; i < sizeof NEED / sizeof NEED[0]; i++) ask_wrong(&c, NEED[i], "job", "no picture");
}

static void empty_table__views_are_empty(void **state)
{
    (void)state;
    static const char *const VIEWS[][2] = {{"picture", "regions"}, {"borders", "borders"}, {"layers", "layers"}, {"pieces", "pieces"},
                                           {"seams", "seams"},     {"sheets", "sheets"},   {"thin", "places"}};
    for (size_t i = 0; i < sizeof VIEWS / sizeof VIEWS[0]; i++) {
        char message[80];
        snprintf(message, sizeof message, "{\"ask\": \"view\", \"what\": \"%s\"}", VIEWS[i][0]);
        json_t *list = json_object_get(ask_ok(&c, message), VIEWS[i][1]);
        assert_true(json_is_array(list));
        assert_int_equal(json_array_size(list), 0);
    }
    assert_string_equal(text_at(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"proof\"}"), "text"), "");
    ask_wrong(&c, "{\"ask\": \"view\", \"what\": \"dust\"}", "usage", "dust");
    ask_wrong(&c, "{\"ask\": \"view\"}", "usage", "what");
    ask_wrong(&c, "{\"ask\": \"view\", \"what\": \"pieces\", \"layer\": \"B\"}", "usage", "layer B");
}

static void empty_table__there_is_no_file(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    FileBytes file;
    Error err = {0};
    assert_false(desk_file(c.desk, "kit.zip", &keep, &file, &err));
    assert_int_equal(err.kind, ERROR_NONE);
    arena_free(&keep);
}

// ---- pictures ----

static bool take(const char *name, const void *bytes, size_t size_bytes)
{
    Arena own = arena_make(0);
    Text reply = text_make(&own);
    Error err = {0};
    assert_true(desk_take_picture(c.desk, name, bytes, size_bytes, &reply, &err));
    bool done = json_is_true(json_object_get(take_reply(&c, &reply), "ok"));
    arena_free(&own);
    return done;
}

static void picture__what_is_none_is_refused_and_leaves_no_job(void **state)
{
    (void)state;
    assert_false(take("notes.txt", "some words, not a picture at all", 32));
    assert_string_equal(text_at(json_object_get(c.reply, "error"), "kind"), "input");
    assert_false(take("empty.png", "", 0));
    assert_int_equal(json_array_size(json_object_get(ask_ok(&c, "{\"ask\": \"jobs\"}"), "jobs")), 0);
}

static void picture__damaged_one_is_told_and_its_file_goes_with_the_next(void **state)
{
    (void)state;
    assert_true(take("torn.png", c.picture.bytes, c.picture.size_bytes / 2));
    desk_work(c.desk);
    assert_string_equal(json_string_value(state_at(&c, "error.kind")), "input");
    assert_true(json_is_null(state_at(&c, "error.line")));
    ask_ok(&c, "{\"ask\": \"demo\"}");
    json_t *jobs = json_object_get(ask_ok(&c, "{\"ask\": \"jobs\"}"), "jobs");
    assert_int_equal(json_array_size(jobs), 1);
    assert_string_equal(text_at(json_array_get(jobs, 0), "file"), "nordersand.pmason");
}

static void picture__names_from_outside_become_names_of_files(void **state)
{
    (void)state;
    assert_true(take("../../etc/My \"balloon\"\n\xff.png", c.picture.bytes, c.picture.size_bytes));
    assert_string_equal(json_string_value(state_at(&c, "job.file")), "My-balloon.pmason");
    assert_true(take("../../etc/My balloon.png", c.picture.bytes, c.picture.size_bytes));
    assert_string_equal(json_string_value(state_at(&c, "job.file")), "My-balloon-2.pmason");
    assert_int_equal(json_array_size(json_object_get(ask_ok(&c, "{\"ask\": \"jobs\"}"), "jobs")), 2);
}

// ---- changes ----

static void change__wrong_lines_are_told_and_none_is_kept(void **state)
{
    (void)state;
    static const char *const WRONG[][3] = {
        {"{\"ask\": \"change\"}", "usage", "line"},
        {"{\"ask\": \"change\", \"lines\": []}", "usage", "line"},
        {"{\"ask\": \"change\", \"line\": 3}", "usage", "object"},
        {"{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"4\"}}", "usage", "unit"},
        {"{\"ask\": \"change\", \"line\": {\"set\": \"heigth\", \"to\": \"4ft\"}}", "usage", "heigth"},
        {"{\"ask\": \"change\", \"line\": {\"edit\": \"fold\"}}", "input", "fold"},
        {"{\"ask\": \"change\", \"line\": {\"edit\": \"ground\", \"at_mm\": [1]}}", "usage", "millimetres"},
        {"{\"ask\": \"change\", \"line\": {\"edit\": \"ground\", \"at_mm\": [1e300, 0]}}", "usage", "millimetres"},
        {"{\"ask\": \"change\", \"line\": {\"edit\": \"seam\", \"colour\": \"#ffffff\", \"points_mm\": 4}}", "usage", "places"},
        {"{\"ask\": \"change\", \"lines\": [{\"set\": \"height\", \"to\": \"14in\"}, {\"set\": \"paper\", \"to\": \"cloth\"}]}", "usage", "cloth"},
    };
    for (size_t i = 0; i < sizeof WRONG / sizeof WRONG[0]; i++) ask_wrong(&c, WRONG[i][0], WRONG[i][1], WRONG[i][2]);
    assert_int_equal(json_array_size(state_at(&c, "docket")), 2);
    ask_wrong(&c, "{\"ask\": \"strike\", \"id\": 77}", "usage", "77");
    ask_wrong(&c, "{\"ask\": \"strike\", \"id\": \"1\"}", "usage", "id");
}

static void tick__wrong_ones_are_told(void **state)
{
    (void)state;
    ask_wrong(&c, "{\"ask\": \"tick\", \"piece\": \"Q9\", \"mark\": \"cut\"}", "job", "Q9");
    ask_wrong(&c, "{\"ask\": \"tick\", \"piece\": \"A1\", \"mark\": \"folded\"}", "usage", "folded");
    ask_wrong(&c, "{\"ask\": \"next\", \"hand\": \"Q9\"}", "job", "Q9");
    ask_wrong(&c, "{\"ask\": \"take\", \"open_with\": \"a hammer\"}", "usage", "hammer");
    ask_wrong(&c, "{\"ask\": \"compare\"}", "usage", "papers");
    ask_wrong(&c, "{\"ask\": \"compare\", \"papers\": [3]}", "usage", "words");
    ask_wrong(&c, "{\"ask\": \"compare\", \"papers\": [\"cloth\"]}", "usage", "cloth");
}

// ---- jobs ----

static void open_job__no_way_out_of_the_folder(void **state)
{
    (void)state;
    ask_wrong(&c, "{\"ask\": \"open-job\", \"file\": \"../shelf.sqlite\"}", "usage", "folder");
    ask_wrong(&c, "{\"ask\": \"open-job\", \"file\": \"nothing.pmason\"}", "input", "");
    ask_wrong(&c, "{\"ask\": \"open-job\", \"file\": \".pmason\"}", "usage", "folder");
    assert_string_equal(json_string_value(state_at(&c, "answer")), "whole"); // what was on the table stays
}

static void open_job__another_file_is_told_and_left_alone(void **state)
{
    (void)state;
    FILE *file = fopen(temp_path("jobs/letter.pmason"), "w");
    fputs("Dear aunt", file);
    fclose(file);
    ask_wrong(&c, "{\"ask\": \"open-job\", \"file\": \"letter.pmason\"}", "input", "");
    file = fopen(temp_path("jobs/letter.pmason"), "r");
    char text[32] = "";
    assert_non_null(fgets(text, sizeof text, file));
    fclose(file);
    assert_string_equal(text, "Dear aunt");
}

static void save_as__goes_on_under_the_new_name(void **state)
{
    (void)state;
    json_t *job = json_object_get(json_object_get(ask_ok(&c, "{\"ask\": \"save-as\", \"name\": \"For Ann\"}"), "state"), "job");
    assert_string_equal(text_at(job, "file"), "For-Ann.pmason");
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"edit\": \"border\", \"mm\": 5}}");
    assert_int_equal(json_array_size(state_at(&c, "docket")), 3);
    ask_ok(&c, "{\"ask\": \"open-job\", \"file\": \"nordersand.pmason\"}");
    assert_int_equal(json_array_size(state_at(&c, "docket")), 2);
}

// ---- shelf ----

static void shelf__papers_and_cutters_come_and_go(void **state)
{
    (void)state;
    json_t *shelf = ask_ok(&c, "{\"ask\": \"shelf-add\", \"paper\": \"5x7,250gsm\", \"name\": \"sky\", \"colour\": \"#4a86c5\", \"count\": 3}");
    json_t *paper = json_array_get(json_object_get(shelf, "papers"), 0);
    assert_string_equal(text_at(paper, "words"), "5x7,250gsm");
    assert_int_equal(json_integer_value(json_object_get(paper, "count")), 3);
    int id = (int)json_integer_value(json_object_get(paper, "id"));
    shelf = ask_ok(&c, "{\"ask\": \"shelf-add\", \"cutter\": \"12x24,score\"}");
    assert_int_equal(json_array_size(json_object_get(shelf, "cutters")), 1);
    char message[80];
    snprintf(message, sizeof message, "{\"ask\": \"shelf-remove\", \"id\": %d}", id);
    assert_int_equal(json_array_size(json_object_get(ask_ok(&c, message), "papers")), 0);
    ask_wrong(&c, message, "job", "");
    ask_wrong(&c, "{\"ask\": \"shelf-add\", \"paper\": \"cloth\"}", "usage", "cloth");
    ask_wrong(&c, "{\"ask\": \"shelf-add\"}", "usage", "paper");
    ask_wrong(&c, "{\"ask\": \"shelf-add\", \"paper\": \"a4\", \"count\": -7}", "usage", "count");
    ask_wrong(&c, "{\"ask\": \"shelf-add\", \"paper\": \"a4\", \"colour\": \"blue\"}", "usage", "blue");
    ask_wrong(&c, "{\"ask\": \"shelf-keep\"}", "job", "make the kit first");
}

static void shelf__is_in_hand_when_asked(void **state)
{
    (void)state;
    const char *match = "{\"ask\": \"change\", \"line\": {\"edit\": \"match\", \"colours\": \"shelf\"}}";
    ask_ok(&c, "{\"ask\": \"demo\"}");
    ask_wrong(&c, match, "job", "no paper");
    json_t *shelf = ask_ok(&c, "{\"ask\": \"shelf-add\", \"paper\": \"letter\", \"name\": \"sky\", \"colour\": \"#4a86c5\"}");
    int id = (int)json_integer_value(json_object_get(json_array_get(json_object_get(shelf, "papers"), 0), "id"));
    char message[80];
    ask_ok(&c, match);
    json_t *line = json_array_get(json_object_get(json_object_get(ask_ok(&c, "{\"ask\": \"state\"}"), "state"), "docket"), 0);
    char *said = json_dumps(line, 0);
    assert_non_null(said);
    assert_non_null(strstr(said, "sky"));
    free(said);
    snprintf(message, sizeof message, "{\"ask\": \"shelf-remove\", \"id\": %d}", id);
    ask_ok(&c, message);
}

static void shelf__counts_stand_in_the_bill(void **state)
{
    (void)state;
    json_t *buy = json_array_get(state_at(&c, "bill.buy"), 0);
    char message[160], colour[8];
    snprintf(colour, sizeof colour, "%s", text_at(buy, "colour"));
    assert_true(json_is_null(json_object_get(buy, "have")));
    snprintf(message, sizeof message, "{\"ask\": \"shelf-add\", \"paper\": \"5x7\", \"colour\": \"%s\", \"count\": 2}", colour);
    ask_ok(&c, message);
    ask_ok(&c, "{\"ask\": \"shelf-add\", \"paper\": \"a4\", \"colour\": \"#000000\", \"count\": 9}");
    buy = json_array_get(state_at(&c, "bill.buy"), 0);
    assert_int_equal(json_integer_value(json_object_get(buy, "have")), 2);
    assert_string_equal(text_at(buy, "on_shelf"), "5x7");
}

static const char *finding_of_last_line(void)
{
    json_t *docket = state_at(&c, "docket");
    return json_string_value(json_object_get(json_array_get(docket, json_array_size(docket) - 1), "finding"));
}

static void shelf__docket_line_says_what_the_shelf_has_not(void **state)
{
    (void)state;
    char message[160];
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"paper\", \"to\": \"letter\"}}");
    assert_null(finding_of_last_line());    // a shelf with nothing on it misses nothing
    ask_ok(&c, "{\"ask\": \"shelf-add\", \"paper\": \"a4,250gsm\", \"count\": 9}");
    assert_string_equal(finding_of_last_line(), "no letter lies on the shelf; there is a4");
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"paper\", \"to\": \"a4\"}}");
    assert_null(finding_of_last_line());
    snprintf(message, sizeof message, "{\"ask\": \"change\", \"line\": {\"edit\": \"sheet\", \"colour\": \"%s\", \"paper\": \"11x17\"}}",
             text_at(json_array_get(state_at(&c, "colours"), 0), "colour"));
    ask_ok(&c, message);
    assert_non_null(strstr(finding_of_last_line(), "11x17"));
    ask_ok(&c, "{\"ask\": \"shelf-add\", \"cutter\": \"12x12,score\"}");
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"cutter\", \"to\": \"12x24,score\"}}");
    assert_string_equal(finding_of_last_line(), "no such cutter stands on the shelf; there is 12x12,score");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(answer__what_is_no_message_is_a_usage_error_without_number, open_empty, close_all),
        cmocka_unit_test_setup_teardown(answer__number_comes_back_as_it_was_sent, open_empty, close_all),
        cmocka_unit_test_setup_teardown(answer__unknown_question_is_named, open_empty, close_all),
        cmocka_unit_test_setup_teardown(answer__message_over_the_limit_is_refused, open_empty, close_all),
        cmocka_unit_test_setup_teardown(answer__deep_nesting_is_refused, open_empty, close_all),
        cmocka_unit_test_setup_teardown(empty_table__state_has_nothing_but_what_is_missing, open_empty, close_all),
        cmocka_unit_test_setup_teardown(empty_table__what_needs_a_picture_is_refused, open_empty, close_all),
        cmocka_unit_test_setup_teardown(empty_table__views_are_empty, open_empty, close_all),
        cmocka_unit_test_setup_teardown(empty_table__there_is_no_file, open_empty, close_all),
        cmocka_unit_test_setup_teardown(picture__what_is_none_is_refused_and_leaves_no_job, open_empty, close_all),
        cmocka_unit_test_setup_teardown(picture__damaged_one_is_told_and_its_file_goes_with_the_next, open_empty, close_all),
        cmocka_unit_test_setup_teardown(picture__names_from_outside_become_names_of_files, open_empty, close_all),
        cmocka_unit_test_setup_teardown(change__wrong_lines_are_told_and_none_is_kept, open_balloon, close_all),
        cmocka_unit_test_setup_teardown(tick__wrong_ones_are_told, open_balloon, close_all),
        cmocka_unit_test_setup_teardown(open_job__no_way_out_of_the_folder, open_balloon, close_all),
        cmocka_unit_test_setup_teardown(open_job__another_file_is_told_and_left_alone, open_balloon, close_all),
        cmocka_unit_test_setup_teardown(save_as__goes_on_under_the_new_name, open_balloon, close_all),
        cmocka_unit_test_setup_teardown(shelf__is_in_hand_when_asked, open_empty, close_all),
        cmocka_unit_test_setup_teardown(shelf__papers_and_cutters_come_and_go, open_empty, close_all),
        cmocka_unit_test_setup_teardown(shelf__counts_stand_in_the_bill, open_balloon, close_all),
        cmocka_unit_test_setup_teardown(shelf__docket_line_says_what_the_shelf_has_not, open_balloon, close_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

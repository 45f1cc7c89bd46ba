// test_answers.c - a job on the table: what becomes known and when, changes and undoing, wishes in millimetres, pieces that
// are cut, the kit, comparisons, and what a newer change does to an older computation.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "support/desk_case.h"

#include <signal.h>
#include <sys/resource.h>

static DeskCase c;

static int open_balloon(void **state)
{
    (void)state;
    temp_folder_make();
    desk_case_open(&c, (DeskLock){0});
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

// Events after *after, up to `most`, as "answer:first kit:ready rest"; without those of work and saving.
static void gather_events(uint64_t *after, char *out, size_t room)
{
    out[0] = 0;
    Arena own = arena_make(0);
    for (;;) {
        Text text = text_make(&own);
        if (!desk_event(c.desk, *after, &text, after)) break;
        json_t *event = json_loads(text.bytes, 0, NULL);
        assert_non_null(event);
        const char *word = text_at(event, "event");
        size_t used = strlen(out);
        if (strcmp(word, "answer") == 0) snprintf(out + used, room - used, "answer:%s ", text_at(event, "answer"));
        else if (strcmp(word, "kit") == 0 || strcmp(word, "recut") == 0) snprintf(out + used, room - used, "%s:%s ", word, json_object_get(event, "ready") ? "ready" : "error");
        else if (strcmp(word, "work") != 0 && strcmp(word, "saved") != 0) snprintf(out + used, room - used, "%s ", word);
        json_decref(event);
    }
    arena_free(&own);
}

// ---- what becomes known ----

static void work__answers_come_in_their_order(void **state)
{
    (void)state;
    uint64_t after = desk_last_event(c.desk);
    char events[400];
    ask_ok(&c, "{\"ask\": \"demo\"}");
    assert_string_equal(json_string_value(state_at(&c, "answer")), "none");
    assert_true(json_is_true(state_at(&c, "work.busy")));
    assert_true(desk_work(c.desk));
    gather_events(&after, events, sizeof events);
    assert_string_equal(events, "answer:colours answer:first answer:whole answer:grid answer:offers rest ");
    assert_false(desk_work(c.desk));
}

static void state__tells_the_whole_of_a_whole_answer(void **state)
{
    (void)state;
    json_t *s = state_of(&c);
    assert_string_equal(text_at(s, "answer"), "whole");
    assert_true(json_is_false(json_object_get(s, "stale")));
    assert_string_equal(text_at(json_object_get(s, "settings"), "height"), "12 in");
    assert_true(json_array_size(json_object_get(s, "missing")) == 1);
    json_t *bill = json_object_get(s, "bill");
    assert_true(json_integer_value(json_object_get(bill, "sheets")) > 0);
    assert_true(json_number_value(json_object_get(bill, "cutting_minutes")) > 0.0);
    assert_non_null(strstr(text_at(bill, "says"), "pieces"));
    assert_true(json_is_object(json_object_get(bill, "plain_grid")));
    assert_float_equal(json_number_value(json_object_get(json_object_get(s, "finished_mm"), "height")), 304.8, 0.002);
    double share = 0.0;
    size_t i;
    json_t *item;
    json_array_foreach(json_object_get(s, "colours"), i, item) share += json_number_value(json_object_get(item, "share"));
    assert_float_equal(share, 1.0, 0.001);
}

static int count_of_view(const char *what, const char *list)
{
    char message[100];
    snprintf(message, sizeof message, "{\"ask\": \"view\", \"what\": \"%s\"}", what);
    return (int)json_array_size(json_object_get(ask_ok(&c, message), list));
}

static void views__agree_with_the_state(void **state)
{
    (void)state;
    assert_int_equal(count_of_view("pieces", "pieces"), (int)number_at(&c, "bill.pieces"));
    assert_int_equal(count_of_view("sheets", "sheets"), (int)number_at(&c, "bill.sheets"));
    assert_int_equal(count_of_view("layers", "layers"), (int)json_array_size(state_at(&c, "layers")));
    double visible = 0.0;
    size_t i;
    json_t *seam, *seams = json_object_get(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"seams\"}"), "seams");
    json_array_foreach(seams, i, seam) visible += json_number_value(json_object_get(seam, "visible_mm"));
    assert_float_equal(visible, number_at(&c, "bill.visible_seam_mm"), 0.1 * (double)(i + 1));
    json_t *pieces = json_object_get(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"pieces\", \"layer\": \"A\"}"), "pieces");
    assert_true(json_array_size(pieces) > 0);
    json_array_foreach(pieces, i, seam) assert_string_equal(text_at(seam, "layer"), "A");
}

// ---- changes ----

static void change__later_line_replaces_and_striking_brings_back(void **state)
{
    (void)state;
    json_t *ids = json_object_get(ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"14in\"}}"), "ids");
    int id = (int)json_integer_value(json_array_get(ids, 0));
    assert_string_equal(json_string_value(state_at(&c, "answer")), "none");
    assert_true(json_is_true(state_at(&c, "stale")));
    assert_true(json_is_true(json_object_get(json_array_get(state_at(&c, "docket"), 0), "replaced")));
    desk_work(c.desk);
    assert_float_equal(number_at(&c, "finished_mm.height"), 355.6, 0.002);
    char message[80];
    snprintf(message, sizeof message, "{\"ask\": \"strike\", \"id\": %d}", id);
    ask_ok(&c, message);
    desk_work(c.desk);
    assert_float_equal(number_at(&c, "finished_mm.height"), 304.8, 0.002);
    assert_null(json_object_get(json_array_get(state_at(&c, "docket"), 0), "replaced"));
    snprintf(message, sizeof message, "{\"ask\": \"strike\", \"id\": %d, \"struck\": false}", id);
    ask_ok(&c, message);
    desk_work(c.desk);
    assert_float_equal(number_at(&c, "finished_mm.height"), 355.6, 0.002);
}

static void change__impossible_one_tells_its_line_and_what_was_known_stays(void **state)
{
    (void)state;
    int pieces = (int)number_at(&c, "bill.pieces");
    json_t *ids = json_object_get(ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"edit\": \"border\", \"mm\": 500}}"), "ids");
    int id = (int)json_integer_value(json_array_get(ids, 0));
    desk_work(c.desk);
    assert_string_equal(json_string_value(state_at(&c, "error.kind")), "job");
    assert_int_equal((int)number_at(&c, "error.line"), id);
    assert_true(json_is_true(state_at(&c, "stale")));
    assert_int_equal((int)number_at(&c, "bill.pieces"), pieces);
    assert_false(json_is_true(state_at(&c, "work.busy")));
    ask_wrong(&c, "{\"ask\": \"take\"}", "job", "");
    char message[80];
    snprintf(message, sizeof message, "{\"ask\": \"strike\", \"id\": %d}", id);
    ask_ok(&c, message);
    desk_work(c.desk);
    assert_true(json_is_null(state_at(&c, "error")));
    assert_string_equal(json_string_value(state_at(&c, "answer")), "whole");
}

static void change__places_in_millimetres_become_fractions(void **state)
{
    (void)state;
    double left = number_at(&c, "figure_mm.left"), top = number_at(&c, "figure_mm.top"), height = number_at(&c, "figure_mm.height");
    char message[200];
    snprintf(message, sizeof message, "{\"ask\": \"change\", \"line\": {\"edit\": \"keep-clear\", \"points_mm\": [[%.3f, %.3f], [%.3f, %.3f], [10, 40]]}}",
             left, top, left + height / 2.0, top + height);
    ask_ok(&c, message);
    json_t *docket = state_at(&c, "docket");
    json_t *points = json_object_get(json_object_get(json_array_get(docket, json_array_size(docket) - 1), "line"), "points");
    assert_float_equal(json_number_value(json_array_get(json_array_get(points, 0), 0)), 0.0, 1e-5);
    assert_float_equal(json_number_value(json_array_get(json_array_get(points, 1), 0)), 0.5, 1e-5);
    assert_float_equal(json_number_value(json_array_get(json_array_get(points, 1), 1)), 1.0, 1e-5);
}

static void change__pinned_seam_names_its_line(void **state)
{
    (void)state;
    json_t *seams = json_object_get(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"seams\", \"layer\": \"A\"}"), "seams");
    assert_true(json_array_size(seams) > 0);
    json_t *ends = json_object_get(json_array_get(seams, 0), "ends");
    char line[400], *written = json_dumps(ends, 0), colour[8];
    snprintf(colour, sizeof colour, "%s", text_at(json_array_get(state_at(&c, "layers"), 0), "colour"));
    snprintf(line, sizeof line, "{\"ask\": \"change\", \"line\": {\"edit\": \"seam\", \"colour\": \"%s\", \"points_mm\": %s}}", colour, written);
    free(written);
    int id = (int)json_integer_value(json_array_get(json_object_get(ask_ok(&c, line), "ids"), 0));
    desk_work(c.desk);
    int pinned = 0;
    size_t i;
    json_t *seam;
    json_array_foreach(json_object_get(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"seams\", \"layer\": \"A\"}"), "seams"), i, seam)
        pinned += json_integer_value(json_object_get(seam, "pinned")) == id;
    assert_true(pinned >= 1);
}

static void change__wish_without_target_says_so_beside_its_line(void **state)
{
    (void)state;
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"edit\": \"leave-out\", \"colour\": \"#12ff01\"}}");
    desk_work(c.desk);
    json_t *docket = state_at(&c, "docket");
    assert_non_null(strstr(text_at(json_array_get(docket, json_array_size(docket) - 1), "finding"), "the picture has no"));
}

static void change__colour_that_counts_as_another_can_be_had_back(void **state)
{
    (void)state;
    json_t *colours = state_at(&c, "colours");
    char a[8], b[8], line[200];
    snprintf(a, sizeof a, "%s", text_at(json_array_get(colours, 1), "colour"));
    snprintf(b, sizeof b, "%s", text_at(json_array_get(colours, 0), "colour"));
    size_t before = json_array_size(colours);
    snprintf(line, sizeof line, "{\"ask\": \"change\", \"line\": {\"edit\": \"same\", \"colour\": \"%s\", \"as\": \"%s\"}}", a, b);
    ask_ok(&c, line);
    desk_work(c.desk);
    colours = state_at(&c, "colours");
    assert_int_equal(json_array_size(colours), before);
    json_t *gone = json_array_get(colours, before - 1);
    assert_string_equal(text_at(gone, "fate"), "same");
    assert_string_equal(text_at(gone, "same_as"), b);
    assert_true(json_integer_value(json_object_get(gone, "line")) > 0);
}

// ---- the disk ----

static void change__disk_that_refuses_is_told_and_nothing_changed(void **state)
{
    (void)state;
    struct rlimit before, none = {0};
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    none.rlim_max = before.rlim_max;
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &none), 0);
    json_t *reply = ask(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"20in\"}}");
    bool refused = json_is_false(json_object_get(reply, "ok")) && strcmp(text_at(json_object_get(reply, "error"), "kind"), "system") == 0;
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_true(refused);
    assert_int_equal(json_array_size(state_at(&c, "docket")), 2);
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"13in\"}}");
    assert_int_equal(json_array_size(state_at(&c, "docket")), 3);
}

static void job__is_as_it_was_when_it_is_opened_again(void **state)
{
    (void)state;
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"edit\": \"border\", \"mm\": 5}}");
    desk_work(c.desk);
    ask_ok(&c, "{\"ask\": \"tick\", \"piece\": \"A1\", \"mark\": \"glued\"}");
    desk_work(c.desk);
    int pieces = (int)number_at(&c, "bill.pieces");
    ask_ok(&c, "{\"ask\": \"open-job\", \"file\": \"nordersand.pmason\"}");
    assert_string_equal(json_string_value(state_at(&c, "ticks.A1")), "glued");
    desk_work(c.desk);
    assert_int_equal((int)number_at(&c, "bill.pieces"), pieces);
    assert_true(json_is_null(state_at(&c, "error")));
}

// ---- pieces that are cut ----

static char *dump_view(const char *what, const char *list)
{
    char message[100];
    snprintf(message, sizeof message, "{\"ask\": \"view\", \"what\": \"%s\"}", what);
    return json_dumps(json_object_get(ask_ok(&c, message), list), 0);
}

static void tick__cutting_moves_nothing(void **state)
{
    (void)state;
    char *before = dump_view("sheets", "sheets");
    ask_ok(&c, "{\"ask\": \"tick\", \"piece\": \"A2\", \"mark\": \"cut\"}");
    ask_ok(&c, "{\"ask\": \"tick\", \"piece\": \"A1\", \"mark\": \"cut\"}"); // at once: nobody waits for the first
    desk_work(c.desk);
    char *after = dump_view("sheets", "sheets");
    assert_string_equal(before, after);
    free(before);
    free(after);
    assert_string_equal(json_string_value(state_at(&c, "ticks.A2")), "cut");
}

static void tick__another_form_of_files_moves_nothing_either(void **state)
{
    (void)state;
    char *before = dump_view("sheets", "sheets");
    ask_ok(&c, "{\"ask\": \"tick\", \"piece\": \"A2\", \"mark\": \"cut\"}");
    ask_ok(&c, "{\"ask\": \"change\", \"lines\": [{\"set\": \"for\", \"to\": \"line\"}, {\"set\": \"page\", \"to\": \"a4\"}]}");
    ask_ok(&c, "{\"ask\": \"tick\", \"piece\": \"A1\", \"mark\": \"cut\"}");
    desk_work(c.desk);
    char *after = dump_view("sheets", "sheets");
    assert_string_equal(before, after);
    free(before);
    free(after);
}

static void tick__cut_piece_holds_until_it_is_spoiled(void **state)
{
    (void)state;
    ask_ok(&c, "{\"ask\": \"tick\", \"piece\": \"A1\", \"mark\": \"cut\"}");
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"13in\"}}");
    desk_work(c.desk);
    assert_non_null(strstr(json_string_value(state_at(&c, "error.text")), "A1"));
    ask_ok(&c, "{\"ask\": \"tick\", \"piece\": \"A1\", \"mark\": \"spoiled\"}");
    desk_work(c.desk);
    assert_true(json_is_null(state_at(&c, "error")));
    assert_float_equal(number_at(&c, "finished_mm.height"), 330.2, 0.002);
    assert_string_equal(json_string_value(state_at(&c, "ticks.A1")), "spoiled");
}

static void recut__what_is_spoiled_comes_once_more_and_proven(void **state)
{
    (void)state;
    ask_wrong(&c, "{\"ask\": \"recut\"}", "job", "spoiled");
    ask_wrong(&c, "{\"ask\": \"recut\", \"pieces\": \"A1\"}", "usage", "pieces");
    ask_wrong(&c, "{\"ask\": \"recut\", \"pieces\": [1]}", "usage", "pieces");
    ask_wrong(&c, "{\"ask\": \"recut\", \"pieces\": [\"A1\"], \"paper\": \"napkin\"}", "usage", "napkin");
    uint64_t after = desk_last_event(c.desk);
    char events[400];
    ask_ok(&c, "{\"ask\": \"tick\", \"piece\": \"A1\", \"mark\": \"spoiled\"}");
    ask_ok(&c, "{\"ask\": \"recut\"}");
    assert_true(json_is_true(state_at(&c, "recut.busy")));
    desk_work(c.desk);
    gather_events(&after, events, sizeof events);
    assert_non_null(strstr(events, "recut:ready"));
    assert_true(json_is_true(state_at(&c, "recut.ready")));
    assert_int_equal(json_array_size(state_at(&c, "recut.pieces")), 1);
    assert_false(json_is_true(state_at(&c, "kit.ready")));
    Arena keep = arena_make(0);
    FileBytes file;
    Error err = {0};
    assert_true(desk_file(c.desk, "recut.zip", &keep, &file, &err));
    assert_string_equal(file.name, "nordersand-12in-recut.zip");
    assert_memory_equal(file.bytes, "PK\3\4", 4);
    arena_free(&keep);
    ask_ok(&c, "{\"ask\": \"recut\", \"pieces\": [\"Q9\"]}");
    desk_work(c.desk);
    assert_non_null(strstr(json_string_value(state_at(&c, "recut.error.text")), "Q9"));
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"13in\"}}");
    assert_false(json_is_true(state_at(&c, "recut.ready"))); // its pieces are of another height
}

// What belongs on the table: pieces of the same layer to be joined with, or of lower layers to be glued on.
static int check_table(const json_t *reply, const char *piece)
{
    json_t *other, *table = json_object_get(reply, "table");
    bool joining = json_array_size(table) > 0 && json_string_value(json_array_get(table, 0))[0] == piece[0];
    size_t i;
    json_array_foreach(table, i, other) {
        assert_string_not_equal(json_string_value(other), piece);
        assert_true(joining ? json_string_value(other)[0] == piece[0] : json_string_value(other)[0] < piece[0]);
    }
    if (strncmp(text_at(reply, "says"), "Cut ", 4) == 0) assert_int_equal(i, 0);
    return (int)i;
}

static void next__goes_through_all_pieces_to_the_end(void **state)
{
    (void)state;
    char message[120], piece[16];
    int turns = 0, on_table = 0;
    for (; turns < 400; turns++) {
        json_t *reply = ask_ok(&c, "{\"ask\": \"next\"}");
        if (json_is_null(json_object_get(reply, "piece"))) break;
        assert_true(strlen(text_at(reply, "says")) > 5);
        snprintf(piece, sizeof piece, "%s", text_at(reply, "piece"));
        on_table += check_table(reply, piece);
        bool cut = strncmp(text_at(reply, "says"), "Cut ", 4) == 0;
        snprintf(message, sizeof message, "{\"ask\": \"tick\", \"piece\": \"%s\", \"mark\": \"%s\"}", piece, cut ? "cut" : "glued");
        ask_ok(&c, message);
        desk_work(c.desk);
    }
    assert_int_equal(turns >= (int)number_at(&c, "bill.pieces"), 1);
    assert_true(on_table > 0);
    assert_string_equal(text_at(ask_ok(&c, "{\"ask\": \"next\"}"), "says"), "Everything is in its place.");
    assert_non_null(strstr(text_at(ask_ok(&c, "{\"ask\": \"next\", \"hand\": \"A1\"}"), "says"), "A1 is in its place"));
}

// ---- where else a piece would lie ----

static void find_places__are_known_a_moment_later_and_their_line_puts_the_piece_there(void **state)
{
    (void)state;
    char ask[80], change[600], sheet[80];
    json_t *pieces = json_object_get(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"pieces\"}"), "pieces"), *places = NULL, *piece = NULL;
    size_t i;
    json_incref(pieces);
    json_array_foreach(pieces, i, piece) {
        snprintf(ask, sizeof ask, "{\"ask\": \"find-places\", \"piece\": \"%s\"}", text_at(piece, "id"));
        assert_true(json_is_null(json_object_get(ask_ok(&c, ask), "places")));
        assert_true(desk_work(c.desk));
        places = json_object_get(ask_ok(&c, ask), "places");
        assert_true(json_is_array(places));
        if (json_array_size(places) > 0) break;
    }
    assert_non_null(piece); // one of them has room elsewhere
    json_t *place = json_array_get(places, json_array_size(places) - 1);
    snprintf(sheet, sizeof sheet, "%s", text_at(place, "sheet"));
    char *line = json_dumps(json_object_get(place, "line"), JSON_COMPACT);
    snprintf(change, sizeof change, "{\"ask\": \"change\", \"line\": %s}", line);
    free(line);
    ask_ok(&c, change);
    assert_true(json_is_null(json_object_get(ask_ok(&c, ask), "places"))); // those were of the answer before
    desk_work(c.desk);
    json_t *again = json_object_get(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"pieces\"}"), "pieces");
    assert_string_equal(text_at(json_array_get(again, i), "id"), text_at(piece, "id"));
    assert_string_equal(text_at(json_array_get(again, i), "sheet"), sheet);
    json_decref(pieces);
    assert_int_equal(json_array_size(json_object_get(ask_ok(&c, "{\"ask\": \"find-places\", \"piece\": \"A1\"}"), "places")), 0);
    desk_work(c.desk);
    ask_ok(&c, "{\"ask\": \"find-places\", \"piece\": \"Z99\"}");
    desk_work(c.desk);
    assert_int_equal(json_array_size(json_object_get(ask_ok(&c, "{\"ask\": \"find-places\", \"piece\": \"Z99\"}"), "places")), 0);
}

// ---- the kit ----

static void take__kit_is_built_proved_and_handed_out(void **state)
{
    (void)state;
    uint64_t after = desk_last_event(c.desk);
    char events[400];
    ask_ok(&c, "{\"ask\": \"take\", \"open_with\": \"svg-objects\"}");
    assert_true(json_is_true(state_at(&c, "kit.busy")));
    desk_work(c.desk);
    gather_events(&after, events, sizeof events);
    assert_non_null(strstr(events, "kit:ready"));
    assert_string_equal(json_string_value(state_at(&c, "settings.for")), "piece");
    assert_true(json_is_true(state_at(&c, "kit.ready")));
    assert_non_null(strstr(text_at(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"proof\"}"), "text"), "piece"));
    Arena keep = arena_make(0);
    FileBytes file;
    Error err = {0};
    assert_true(desk_file(c.desk, "kit.zip", &keep, &file, &err));
    assert_string_equal(file.name, "nordersand-12in.zip");
    assert_memory_equal(file.bytes, "PK\3\4", 4);
    assert_true(desk_file(c.desk, "guide.pdf", &keep, &file, &err));
    assert_memory_equal(file.bytes, "%PDF", 4);
    assert_true(desk_file(c.desk, "proof.txt", &keep, &file, &err));
    assert_false(desk_file(c.desk, "../shelf.sqlite", &keep, &file, &err));
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"13in\"}}");
    assert_true(json_is_false(state_at(&c, "kit.ready")));
    assert_true(json_is_true(state_at(&c, "kit.older")));
    assert_true(desk_file(c.desk, "kit.zip", &keep, &file, &err)); // still the last one that was proved
    arena_free(&keep);
}

static void compare__rows_are_filled_and_the_best_named(void **state)
{
    (void)state;
    ask_ok(&c, "{\"ask\": \"compare\", \"papers\": [\"5x7\", \"letter\", \"5x7,grained\"], \"lines\": [{\"edit\": \"border\", \"mm\": 6}, {\"edit\": \"border\", \"mm\": 500}]}");
    assert_true(json_is_true(state_at(&c, "compare.busy")));
    desk_work(c.desk);
    int pieces = (int)number_at(&c, "bill.pieces");
    json_t *compare = state_at(&c, "compare"), *rows = json_object_get(compare, "rows");
    assert_true(json_is_false(json_object_get(compare, "busy")));
    assert_int_equal(json_array_size(rows), 5);
    json_t *small = json_array_get(rows, 0), *letter = json_array_get(rows, 1);
    assert_int_equal(json_integer_value(json_object_get(json_object_get(small, "totals"), "pieces")), pieces);
    assert_true(json_integer_value(json_object_get(json_object_get(letter, "totals"), "pieces")) <
                json_integer_value(json_object_get(json_object_get(small, "totals"), "pieces")));
    assert_true(json_array_size(json_object_get(letter, "best")) > 0);
    assert_int_equal(json_array_size(json_object_get(small, "best")), 0);
    assert_true(strlen(text_at(json_array_get(rows, 4), "error")) > 0);
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"edit\": \"border\", \"mm\": 5}}");
    assert_true(json_is_null(state_at(&c, "compare"))); // of an older docket
}

// ---- a newer change ----

static int changes_left;

// Whoever waits hears of the first answer and changes the docket while the rest is worked out.
static void change_meanwhile(void *context)
{
    (void)context;
    if (changes_left == 0) return;
    Arena own = arena_make(0);
    Text state = text_make(&own), reply = text_make(&own);
    Error err = {0};
    const char *question = "{\"ask\": \"state\"}", *change = "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"13in\"}}";
    assert_true(desk_answer(c.desk, question, strlen(question), &state, &err));
    if (strstr(state.bytes, "\"answer\": \"first\"")) {
        changes_left--;
        assert_true(desk_answer(c.desk, change, strlen(change), &reply, &err));
    }
    arena_free(&own);
}

static void work__newer_change_stops_the_older_computation(void **state)
{
    (void)state;
    temp_folder_make();
    desk_case_open(&c, (DeskLock){.wake = change_meanwhile});
    changes_left = 0;
    lay_balloon(&c);
    uint64_t after = desk_last_event(c.desk);
    char events[400];
    changes_left = 1;
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"16in\"}}");
    desk_work(c.desk);
    gather_events(&after, events, sizeof events);
    assert_string_equal(events, "answer:first answer:first answer:whole answer:grid answer:offers rest ");
    assert_float_equal(number_at(&c, "finished_mm.height"), 330.2, 0.002);
    desk_case_close(&c);
    temp_folder_remove();
}

static void work__nothing_is_begun_after_stopping(void **state)
{
    (void)state;
    ask_ok(&c, "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"16in\"}}");
    desk_stop(c.desk);
    assert_false(desk_work(c.desk));
    assert_string_equal(json_string_value(state_at(&c, "answer")), "none");
}

static void event__slow_reader_misses_the_oldest_alone(void **state)
{
    (void)state;
    for (int i = 0; i < 300; i++) {
        char message[100];
        snprintf(message, sizeof message, "{\"ask\": \"strike\", \"id\": 1, \"struck\": %s}", i % 2 ? "false" : "true");
        ask_ok(&c, message);
    }
    Arena own = arena_make(0);
    Text text = text_make(&own);
    uint64_t number = 0, newest = desk_last_event(c.desk);
    assert_true(desk_event(c.desk, 0, &text, &number));
    assert_true(number > 1 && number < newest);
    assert_false(desk_event(c.desk, newest, &text, &number));
    arena_free(&own);
}

#define ON_BALLOON(test) cmocka_unit_test_setup_teardown(test, open_balloon, close_all)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ON_BALLOON(work__answers_come_in_their_order),
        ON_BALLOON(state__tells_the_whole_of_a_whole_answer),
        ON_BALLOON(views__agree_with_the_state),
        ON_BALLOON(change__later_line_replaces_and_striking_brings_back),
        ON_BALLOON(change__impossible_one_tells_its_line_and_what_was_known_stays),
        ON_BALLOON(change__places_in_millimetres_become_fractions),
        ON_BALLOON(change__pinned_seam_names_its_line),
        ON_BALLOON(change__wish_without_target_says_so_beside_its_line),
        ON_BALLOON(change__colour_that_counts_as_another_can_be_had_back),
        ON_BALLOON(change__disk_that_refuses_is_told_and_nothing_changed),
        ON_BALLOON(job__is_as_it_was_when_it_is_opened_again),
        ON_BALLOON(tick__cutting_moves_nothing),
        ON_BALLOON(tick__another_form_of_files_moves_nothing_either),
        ON_BALLOON(tick__cut_piece_holds_until_it_is_spoiled),
        ON_BALLOON(recut__what_is_spoiled_comes_once_more_and_proven),
        ON_BALLOON(next__goes_through_all_pieces_to_the_end),
        ON_BALLOON(find_places__are_known_a_moment_later_and_their_line_puts_the_piece_there),
        ON_BALLOON(take__kit_is_built_proved_and_handed_out),
        ON_BALLOON(compare__rows_are_filled_and_the_best_named),
        cmocka_unit_test(work__newer_change_stops_the_older_computation),
        ON_BALLOON(work__nothing_is_begun_after_stopping),
        ON_BALLOON(event__slow_reader_misses_the_oldest_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

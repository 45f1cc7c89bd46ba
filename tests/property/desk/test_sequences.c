// test_sequences.c - seeded sequences of changes, strikes, ticks and questions: whatever was said in whatever order, and however often
// somebody worked meanwhile, the table is that of a desk that opens the job file anew.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "support/desk_case.h"

#include "base/rng.h"

#define SEQUENCES 3
#define MESSAGES 24

static DeskCase c;
static Rng rng;

static int below(int count)
{
    return (int)rng_below(&rng, (uint32_t)count);
}

// ---- what is said ----

static void say_setting(char *out, size_t room)
{
    static const char *const SETTINGS[][2] = {{"height", "11in"}, {"height", "30cm"}, {"height", "13in"}, {"paper", "5x7"}, {"paper", "letter"}, {"paper", "5x7,grained"},
                                              {"cutter", "12x12,score"}, {"marks", "score"}, {"for", "piece"}, {"page", "a4"}, {"colours", "3"}, {"colours", "0"}};
    int i = below((int)(sizeof SETTINGS / sizeof SETTINGS[0]));
    snprintf(out, room, "{\"ask\": \"change\", \"line\": {\"set\": \"%s\", \"to\": \"%s\"}}", SETTINGS[i][0], SETTINGS[i][1]);
}

static void a_colour(char out[8])
{
    json_t *colours = state_at(&c, "colours");
    size_t count = json_array_size(colours);
    snprintf(out, 8, "%s", count ? text_at(json_array_get(colours, (size_t)below((int)count)), "colour") : "#777777");
}

static void say_edit(char *out, size_t room)
{
    char a[8], b[8], line[240];
    a_colour(a);
    a_colour(b);
    switch (below(7)) {
    case 0: snprintf(line, sizeof line, "\"border\", \"mm\": %d", 2 + below(8)); break;
    case 1: snprintf(line, sizeof line, "\"same\", \"colour\": \"%s\", \"as\": \"%s\"", a, b); break;
    case 2: snprintf(line, sizeof line, "\"over\", \"colour\": \"%s\", \"other\": \"%s\"", a, b); break;
    case 3: snprintf(line, sizeof line, "\"name\", \"colour\": \"%s\", \"name\": \"sea\"", a); break;
    case 4: snprintf(line, sizeof line, "\"ground\", \"at_mm\": [%d, %d]", below(200), below(300)); break;
    case 5: snprintf(line, sizeof line, "\"seam\", \"colour\": \"%s\", \"points_mm\": [[-20, %d], [400, %d]]", a, 50 + below(200), 50 + below(200)); break;
    default: snprintf(line, sizeof line, "\"keep-clear\", \"points_mm\": [[%d, 20], [150, 60], [40, %d]]", below(100), 80 + below(90)); break;
    }
    snprintf(out, room, "{\"ask\": \"change\", \"line\": {\"edit\": %s}}", line);
}

static void say_strike(char *out, size_t room)
{
    json_t *docket = state_at(&c, "docket");
    size_t count = json_array_size(docket);
    json_t *line = json_array_get(docket, count ? (size_t)below((int)count) : 0);
    snprintf(out, room, "{\"ask\": \"strike\", \"id\": %lld, \"struck\": %s}", (long long)json_integer_value(json_object_get(line, "id")),
             below(3) ? "true" : "false");
}

static void say_tick(char *out, size_t room)
{
    static const char *const MARKS[] = {"cut", "cut", "taped", "glued", "spoiled", "none"};
    json_t *pieces = json_object_get(ask_ok(&c, "{\"ask\": \"view\", \"what\": \"pieces\"}"), "pieces");
    size_t count = json_array_size(pieces);
    snprintf(out, room, "{\"ask\": \"tick\", \"piece\": \"%s\", \"mark\": \"%s\"}",
             count ? text_at(json_array_get(pieces, (size_t)below((int)count)), "id") : "A1", MARKS[below(6)]);
}

static void say_something(void)
{
    char message[400];
    int kind = below(10);
    if (kind < 3) say_setting(message, sizeof message);
    else if (kind < 7) say_edit(message, sizeof message);
    else if (kind < 8) say_tick(message, sizeof message);
    else say_strike(message, sizeof message);
    ask(&c, message); // it may be refused: then nothing has happened
}

// ---- what must be the same ----

static const char *const KEYS[] = {"job", "missing", "docket", "settings", "answer", "error", "verdict", "colours", "ground", "finished_mm",
                                   "figure_mm", "layers", "bill", "findings", "ticks"};
#define KEY_COUNT (sizeof KEYS / sizeof KEYS[0])
static const char *const VIEWS[] = {"picture", "borders", "layers", "pieces", "seams", "sheets", "thin"};
#define VIEW_COUNT (sizeof VIEWS / sizeof VIEWS[0])

typedef struct Table { char *keys[KEY_COUNT], *views[VIEW_COUNT]; } Table;

static Table table_of(void)
{
    Table table;
    json_t *s = state_of(&c);
    for (size_t i = 0; i < KEY_COUNT; i++) table.keys[i] = json_dumps(json_object_get(s, KEYS[i]), JSON_ENCODE_ANY | JSON_SORT_KEYS);
    for (size_t i = 0; i < VIEW_COUNT; i++) {
        char message[80];
        snprintf(message, sizeof message, "{\"ask\": \"view\", \"what\": \"%s\"}", VIEWS[i]);
        json_t *reply = ask_ok(&c, message);
        json_object_del(reply, "version");
        table.views[i] = json_dumps(reply, JSON_SORT_KEYS);
    }
    return table;
}

static void check_same(const Table *a, const Table *b, unsigned seed)
{
    for (size_t i = 0; i < KEY_COUNT; i++) {
        if (strcmp(a->keys[i], b->keys[i]) != 0) print_error("seed %u, %s\n%.3000s\nopened anew\n%.3000s\n", seed, KEYS[i], a->keys[i], b->keys[i]);
        assert_string_equal(a->keys[i], b->keys[i]);
    }
    for (size_t i = 0; i < VIEW_COUNT; i++) {
        if (strcmp(a->views[i], b->views[i]) != 0) print_error("seed %u, view %s\n", seed, VIEWS[i]);
        assert_true(strcmp(a->views[i], b->views[i]) == 0);
    }
}

static void table_free(Table *table)
{
    for (size_t i = 0; i < KEY_COUNT; i++) free(table->keys[i]);
    for (size_t i = 0; i < VIEW_COUNT; i++) free(table->views[i]);
}

// The newest line that counts is struck out until the docket can be done; so there is something to compare.
static void mend(void)
{
    while (!json_is_null(state_at(&c, "error"))) {
        json_t *docket = state_at(&c, "docket");
        size_t i = json_array_size(docket);
        while (i > 0 && json_is_true(json_object_get(json_array_get(docket, i - 1), "struck"))) i--;
        assert_true(i > 0);
        char message[80];
        snprintf(message, sizeof message, "{\"ask\": \"strike\", \"id\": %lld}", (long long)json_integer_value(json_object_get(json_array_get(docket, i - 1), "id")));
        ask_ok(&c, message);
        desk_work(c.desk);
    }
}

static void run_sequence(unsigned seed)
{
    rng = rng_make(seed);
    temp_folder_make();
    desk_case_open(&c, (DeskLock){0});
    lay_balloon(&c);
    for (int i = 0; i < MESSAGES; i++) {
        say_something();
        if (below(5) == 0) desk_work(c.desk);
    }
    desk_work(c.desk);
    mend();
    Table lived = table_of();
    desk_case_close(&c);
    desk_case_open(&c, (DeskLock){0});
    ask_ok(&c, "{\"ask\": \"open-job\", \"file\": \"nordersand.pmason\"}");
    desk_work(c.desk);
    Table anew = table_of();
    check_same(&lived, &anew, seed);
    table_free(&lived);
    table_free(&anew);
    desk_case_close(&c);
    temp_folder_remove();
}

static void sequences__table_is_that_of_the_file_opened_anew(void **state)
{
    (void)state;
    const char *first = getenv("PM_FIRST_SEED"), *count = getenv("PM_SEQUENCES");
    unsigned seed = first ? (unsigned)atoi(first) : 1, end = seed + (unsigned)(count ? atoi(count) : SEQUENCES);
    print_message("seeds %u to %u\n", seed, end - 1);
    for (; seed < end; seed++) run_sequence(seed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(sequences__table_is_that_of_the_file_opened_anew)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

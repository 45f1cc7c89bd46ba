// shelf.c - papermason shelf: the maker's own papers and cutters, from the command line.
#include "commands.h"
#include "disk.h"

#include "base/write_json.h"
#include "store/kit_rests.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct ShelfRun {
    const Arguments *arguments;
    Shelf *shelf;
    Arena keep;
} ShelfRun;

static const char *word_at(const ShelfRun *run, int at)
{
    return at < run->arguments->word_count ? run->arguments->words[at] : NULL;
}

static bool want_words(const ShelfRun *run, int least, int most, const char *usage, Error *err)
{
    int count = run->arguments->word_count;
    return (count >= least && count <= most) || error_set(err, ERROR_USAGE, "it should be: papermason shelf %s", usage);
}

static bool read_number(const char *word, const char *called, double least, double *out, Error *err)
{
    if (number_parse(word, out) && *out >= least && *out <= 1e9 && *out == floor(*out)) return true;
    return error_set(err, ERROR_USAGE, "%s should be a whole number, not '%.40s'", called, word);
}

static bool print(const Text *text, Error *err)
{
    if (!text_is_whole(text, err)) return false;
    fwrite(text->bytes, 1, text->size_bytes, stdout);
    return true;
}

// ---- list ----

static const char *kind_word(ShelfKind kind)
{
    return kind == SHELF_PAPER ? "paper" : kind == SHELF_OFFCUT ? "offcut" : "cutter";
}

static void write_item(const ShelfItem *item, Text *text)
{
    char number[24], hex[8] = "";
    snprintf(number, sizeof number, "%lld", (long long)item->id);
    if (item->has_colour) colour_hex(item->colour, hex);
    text_printf(text, "%4s  %-6s  %s", number, kind_word(item->kind), item->words);
    if (item->name[0]) text_printf(text, "  %s", item->name);
    if (hex[0]) text_printf(text, "  %s", hex);
    if (item->count >= 0) text_printf(text, "  %d sheet%s", item->count, item->count == 1 ? "" : "s");
    text_add(text, "\n");
}

static void write_items_as_json(const ShelfList *list, Text *text)
{
    JsonWriter json = write_json_make(text);
    write_json_list(&json);
    for (int i = 0; i < list->count; i++) {
        const ShelfItem *item = &list->items[i];
        char hex[8];
        write_json_object(&json);
        write_json_key_number(&json, "number", (double)item->id, 0);
        write_json_key_string(&json, "kind", kind_word(item->kind));
        write_json_key_string(&json, "words", item->words);
        write_json_key_string(&json, "name", item->name);
        write_json_key(&json, "colour");
        if (item->has_colour) write_json_string(&json, (colour_hex(item->colour, hex), hex));
        else write_json_null(&json);
        write_json_key(&json, "count");
        if (item->count >= 0) write_json_number(&json, item->count, 0);
        else write_json_null(&json);
        write_json_end(&json);
    }
    write_json_end(&json);
}

static bool run_list(ShelfRun *run, Error *err)
{
    ShelfList list;
    Text text = text_make(&run->keep);
    if (!want_words(run, 1, 1, "list", err) || !shelf_read(run->shelf, &run->keep, &list, err)) return false;
    if (run->arguments->json) write_items_as_json(&list, &text);
    for (int i = 0; i < list.count && !run->arguments->json; i++) write_item(&list.items[i], &text);
    if (list.count == 0 && !run->arguments->json)
        text_add(&text, "The shelf is empty; put a paper there: papermason shelf add paper \"letter,250gsm\" --name navy --count 12\n");
    return print(&text, err);
}

// ---- change ----

static bool item_of(const ShelfRun *run, ShelfItem *out, Error *err)
{
    const char *kind = word_at(run, 1);
    double count = -1.0;
    *out = (ShelfItem){.words = word_at(run, 2), .name = run->arguments->name ? run->arguments->name : ""};
    if (strcmp(kind, "paper") == 0) out->kind = SHELF_PAPER;
    else if (strcmp(kind, "offcut") == 0) out->kind = SHELF_OFFCUT;
    else if (strcmp(kind, "cutter") == 0) out->kind = SHELF_CUTTER;
    else return error_set(err, ERROR_USAGE, "the shelf takes a paper, an offcut or a cutter, not '%.40s'", kind);
    out->has_colour = run->arguments->colour != NULL;
    if (out->has_colour && !edit_parse_colour(run->arguments->colour, &out->colour))
        return error_set(err, ERROR_USAGE, "--colour takes a value such as #1d2f5a, not '%.40s'", run->arguments->colour);
    if (run->arguments->count && !read_number(run->arguments->count, "--count", 0.0, &count, err)) return false;
    out->count = count > 1e6 ? 1000001 : (int)count; // the shelf says what is too much
    return true;
}

static bool run_add(ShelfRun *run, Error *err)
{
    ShelfItem item;
    int64_t id;
    if (!want_words(run, 3, 3, "add paper|offcut|cutter WORDS", err) || !item_of(run, &item, err) || !shelf_add(run->shelf, &item, &id, err)) return false;
    printf("%s %s is number %lld on the shelf.\n", kind_word(item.kind), item.words, (long long)id);
    return true;
}

static bool run_remove(ShelfRun *run, Error *err)
{
    double id = 0.0;
    if (!want_words(run, 2, 2, "remove NUMBER", err) || !read_number(word_at(run, 1), "NUMBER", 1.0, &id, err)) return false;
    return shelf_remove(run->shelf, (int64_t)id, err);
}

static bool run_count(ShelfRun *run, Error *err)
{
    double id = 0.0, count = 0.0;
    if (!want_words(run, 3, 3, "count NUMBER SHEETS", err) || !read_number(word_at(run, 1), "NUMBER", 1.0, &id, err) ||
        !read_number(word_at(run, 2), "SHEETS", 0.0, &count, err))
        return false;
    return shelf_set_count(run->shelf, (int64_t)id, count > 1e6 ? 1000001 : (int)count, err);
}

// ---- what a kit leaves ----

static bool run_keep(ShelfRun *run, Error *err)
{
    FileSet files;
    ShelfList rests;
    char shown[SHOWN_MAX];
    if (!want_words(run, 2, 2, "keep KIT", err) || !disk_read_kit(word_at(run, 1), &run->keep, &files, err)) return false;
    const FileBytes *file = file_find(&files, "kit.json");
    shown_path(word_at(run, 1), shown);
    if (!file) return error_set(err, ERROR_INPUT, "%s is no kit: it has no kit.json", shown);
    if (!kit_rests(file, shown, &run->keep, &rests, err)) return false;
    for (int i = 0; i < rests.count; i++) {
        int64_t id;
        if (!shelf_add(run->shelf, &rests.items[i], &id, err)) return false;
        printf("%s %s is number %lld on the shelf.\n", rests.items[i].name, rests.items[i].words, (long long)id);
    }
    if (rests.count == 0) printf("This kit leaves no rest that is worth keeping.\n");
    return true;
}

// ---- tables ----

static bool run_import(ShelfRun *run, Error *err)
{
    FileBytes file;
    int added;
    if (!want_words(run, 2, 2, "import FILE.csv", err) || !disk_read_file(word_at(run, 1), &run->keep, &file, err) ||
        !shelf_read_csv(run->shelf, file.bytes, file.size_bytes, &added, err))
        return false;
    printf("%d put on the shelf.\n", added);
    return true;
}

static bool run_export(ShelfRun *run, Error *err)
{
    ShelfList list;
    Text text = text_make(&run->keep);
    return want_words(run, 1, 1, "export > FILE.csv", err) && shelf_read(run->shelf, &run->keep, &list, err) &&
           shelf_write_csv(&list, &text, err) && print(&text, err);
}

static const struct { const char *word; bool (*run)(ShelfRun *run, Error *err); } WORDS[] = {
    {"list", run_list}, {"add", run_add}, {"remove", run_remove}, {"count", run_count}, {"keep", run_keep}, {"import", run_import}, {"export", run_export},
};

static bool run_word(ShelfRun *run, Error *err)
{
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++)
        if (strcmp(WORDS[i].word, run->arguments->subject) == 0) return WORDS[i].run(run, err);
    return error_set(err, ERROR_USAGE, "shelf knows list, add, remove, count, keep, import and export, not '%.40s'", run->arguments->subject);
}

bool command_shelf(const Arguments *arguments, const Session *session, Error *err)
{
    (void)session;
    ShelfRun run = {.arguments = arguments, .keep = arena_make(0)};
    const char *path = shelf_usual_path(&run.keep);
    bool done = path || error_set(err, ERROR_SYSTEM, "there is no place for the shelf: neither HOME nor XDG_DATA_HOME is set");
    done = done && shelf_open(path, &run.shelf, err) && run_word(&run, err);
    shelf_close(run.shelf);
    arena_free(&run.keep);
    return done;
}

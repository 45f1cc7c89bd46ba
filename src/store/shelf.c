// shelf.c - see shelf.h.
#include "store/shelf.h"

#include "job/edit.h"
#include "paper/cutter.h"
#include "store/database.h"
#include "store/shelf_csv.h"

#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define LONGEST_WORDS 200
#define LONGEST_NAME 60
#define LARGEST_COUNT 1000000

static const DatabaseKind KIND = {
    .application_id = 0x504d5348, // "PMSH"
    .version = 1,
    .called = "shelf",
    .schema = "CREATE TABLE item(id INTEGER PRIMARY KEY AUTOINCREMENT, kind TEXT NOT NULL, words TEXT NOT NULL, name TEXT NOT NULL,"
              " colour TEXT NOT NULL, count INTEGER NOT NULL);",
};

static const char *const KIND_WORDS[] = {"paper", "offcut", "cutter"};

struct Shelf {
    sqlite3 *db;
};

// ---- where it lies ----

const char *shelf_usual_path(Arena *keep)
{
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
    Text text = text_make(keep);
    if (data && data[0] == '/') text_printf(&text, "%s/papermason/shelf.sqlite", data); // a relative one is invalid: XDG base directories
    else if (home && home[0] == '/') text_printf(&text, "%s/.local/share/papermason/shelf.sqlite", home);
    return text.failed ? NULL : text.bytes;
}

static bool make_folders(const char *path, Error *err)
{
    char folder[PATH_MAX];
    if (snprintf(folder, sizeof folder, "%s", path) >= (int)sizeof folder) return error_set(err, ERROR_INPUT, "the path of the shelf is too long");
    for (char *slash = strchr(folder + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = 0;
        if (mkdir(folder, 0700) != 0 && errno != EEXIST)
            return error_set(err, ERROR_SYSTEM, "cannot make the folder %.200s for the shelf: %s", folder, strerror(errno));
        *slash = '/';
    }
    return true;
}

// Two programs may make it at once: the slower one finds it there, and takes it.
static bool create(const char *path, Error *err)
{
    char temporary[PATH_MAX];
    sqlite3 *db;
    Error taken = {0};
    if (snprintf(temporary, sizeof temporary, "%s.new-%ld", path, (long)getpid()) >= (int)sizeof temporary)
        return error_set(err, ERROR_INPUT, "the path of the shelf is too long");
    unlink(temporary);
    if (!make_folders(path, err) || !database_create(&KIND, temporary, &db, err)) return false;
    sqlite3_close(db);
    bool placed = database_place(&KIND, temporary, path, &taken);
    if (!placed) unlink(temporary);
    if (placed || taken.kind == ERROR_JOB) return true;
    *err = taken;
    return false;
}

bool shelf_open(const char *path, Shelf **out, Error *err)
{
    bool exists;
    sqlite3 *db;
    *out = NULL;
    if (!database_look(&KIND, path, &exists, err) || (!exists && !create(path, err)) || !database_open(&KIND, path, &db, err)) return false;
    *out = malloc(sizeof **out);
    if (!*out) {
        sqlite3_close(db);
        return error_memory(err);
    }
    (*out)->db = db;
    return true;
}

void shelf_close(Shelf *shelf)
{
    if (!shelf) return;
    sqlite3_close(shelf->db);
    free(shelf);
}

// ---- what may lie on it ----

static bool check_item(const ShelfItem *item, Error *err)
{
    Paper paper;
    Cutter cutter;
    if (strlen(item->words) > LONGEST_WORDS) return error_set(err, ERROR_USAGE, "these words are too long for the shelf: '%.40s...'", item->words);
    if (strlen(item->name) > LONGEST_NAME || !text_is_utf8(item->name, strlen(item->name)))
        return error_set(err, ERROR_USAGE, "a name on the shelf has at most %d bytes of UTF-8", LONGEST_NAME);
    for (const char *at = item->name; *at; at++)
        if ((unsigned char)*at < 32 || *at == 127) return error_set(err, ERROR_USAGE, "a name on the shelf has no control characters");
    if (item->count < -1 || item->count > LARGEST_COUNT)
        return error_set(err, ERROR_USAGE, "a count of %d sheets cannot be; 0 to %d", item->count, LARGEST_COUNT);
    return item->kind == SHELF_CUTTER ? cutter_parse(item->words, &cutter, err) : paper_parse(item->words, &paper, err);
}

static bool insert(Shelf *shelf, const ShelfItem *item, int64_t *id, Error *err)
{
    char hex[8] = "";
    if (item->has_colour) colour_hex(item->colour, hex);
    if (!check_item(item, err) ||
        !database_run(shelf->db, KIND.called, err, "INSERT INTO item(kind, words, name, colour, count) VALUES(?1, ?2, ?3, ?4, ?5)", "tttti",
                      KIND_WORDS[item->kind], item->words, item->name, hex, (int64_t)item->count))
        return false;
    *id = sqlite3_last_insert_rowid(shelf->db);
    return true;
}

bool shelf_add(Shelf *shelf, const ShelfItem *item, int64_t *id, Error *err)
{
    *id = 0;
    return insert(shelf, item, id, err);
}

static bool changed_one(Shelf *shelf, int64_t id, Error *err)
{
    return sqlite3_changes(shelf->db) == 1 || error_set(err, ERROR_JOB, "there is no number %lld on the shelf; papermason shelf list shows what is", (long long)id);
}

bool shelf_remove(Shelf *shelf, int64_t id, Error *err)
{
    return database_run(shelf->db, KIND.called, err, "DELETE FROM item WHERE id = ?1", "i", id) && changed_one(shelf, id, err);
}

bool shelf_set_count(Shelf *shelf, int64_t id, int count, Error *err)
{
    if (count < -1 || count > LARGEST_COUNT) return error_set(err, ERROR_USAGE, "a count of %d sheets cannot be; 0 to %d", count, LARGEST_COUNT);
    return database_run(shelf->db, KIND.called, err, "UPDATE item SET count = ?1 WHERE id = ?2", "ii", (int64_t)count, id) && changed_one(shelf, id, err);
}

// ---- reading ----

static bool find_kind(const char *word, ShelfKind *out)
{
    for (int i = 0; i <= SHELF_CUTTER; i++) {
        if (strcmp(word, KIND_WORDS[i]) != 0) continue;
        *out = (ShelfKind)i;
        return true;
    }
    return false;
}

static bool read_item(sqlite3_stmt *row, Arena *keep, ShelfItem *out, Error *err)
{
    const char *kind = database_text(row, 1, keep), *colour = database_text(row, 4, keep);
    *out = (ShelfItem){.id = sqlite3_column_int64(row, 0), .words = database_text(row, 2, keep), .name = database_text(row, 3, keep),
                       .count = sqlite3_column_int(row, 5)};
    if (!kind || !colour || !out->words || !out->name) return error_memory(err);
    out->has_colour = edit_parse_colour(colour, &out->colour);
    if (find_kind(kind, &out->kind)) return check_item(out, err);
    return error_set(err, ERROR_INPUT, "the shelf holds something that this program does not know: '%.40s'", kind);
}

bool shelf_read(Shelf *shelf, Arena *keep, ShelfList *out, Error *err)
{
    *out = (ShelfList){0};
    sqlite3_stmt *statement = database_ask(shelf->db, KIND.called, err,
        "SELECT id, kind, words, name, colour, count FROM item ORDER BY kind = 'cutter', kind = 'offcut', id", "");
    if (!statement) return false;
    size_t capacity = 0;
    int row = 0;
    bool fine = true;
    while (fine && (row = database_row(shelf->db, KIND.called, statement, err)) == 1) {
        ShelfItem *items = arena_grow(keep, out->items, (size_t)out->count, &capacity, sizeof *items);
        fine = (items || error_memory(err)) && read_item(statement, keep, &items[out->count], err);
        if (fine) out->items = items, out->count++;
    }
    sqlite3_finalize(statement);
    if (fine && row == 0) return true;
    *out = (ShelfList){0};
    return false;
}

// ---- as a table ----

static const char *const COLUMNS[] = {"kind", "words", "name", "colour", "count"};
#define COLUMN_COUNT 5

bool shelf_write_csv(const ShelfList *list, Text *text, Error *err)
{
    for (int i = 0; i < COLUMN_COUNT; i++) csv_add_field(text, COLUMNS[i], i == COLUMN_COUNT - 1);
    for (int i = 0; i < list->count; i++) {
        const ShelfItem *item = &list->items[i];
        char hex[8] = "", count[16] = "";
        if (item->has_colour) colour_hex(item->colour, hex);
        if (item->count >= 0) snprintf(count, sizeof count, "%d", item->count);
        const char *fields[COLUMN_COUNT] = {KIND_WORDS[item->kind], item->words, item->name, hex, count};
        for (int k = 0; k < COLUMN_COUNT; k++) csv_add_field(text, fields[k], k == COLUMN_COUNT - 1);
    }
    return text_is_whole(text, err);
}

static bool item_of_record(const CsvRecord *record, ShelfItem *out, Error *err)
{
    double count = -1.0;
    *out = (ShelfItem){.words = record->fields[1], .name = record->fields[2]};
    if (!find_kind(record->fields[0], &out->kind))
        return error_set(err, ERROR_INPUT, "kind should be paper, offcut or cutter, not '%.40s'", record->fields[0]);
    out->has_colour = record->fields[3][0];
    if (out->has_colour && !edit_parse_colour(record->fields[3], &out->colour))
        return error_set(err, ERROR_INPUT, "colour should be a value such as #1d2f5a, or nothing, not '%.40s'", record->fields[3]);
    bool counted = record->fields[4][0];
    if (counted && (!number_parse(record->fields[4], &count) || count < 0.0 || count > LARGEST_COUNT || count != floor(count)))
        return error_set(err, ERROR_INPUT, "count should be a whole number, or nothing, not '%.40s'", record->fields[4]);
    out->count = (int)count;
    return true;
}

static bool check_columns(const CsvRecord *record, Error *err)
{
    bool fine = record->count == COLUMN_COUNT;
    for (int i = 0; i < COLUMN_COUNT && fine; i++) fine = strcmp(record->fields[i], COLUMNS[i]) == 0;
    return fine || error_set(err, ERROR_INPUT, "the first line of the CSV should be kind,words,name,colour,count");
}

static bool read_records(Shelf *shelf, CsvReader *reader, Arena *own, int *added, Error *err)
{
    CsvRecord record;
    while (csv_next(reader, own, &record, err)) {
        ShelfItem item;
        int64_t id;
        bool done = record.count == COLUMN_COUNT || error_set(err, ERROR_INPUT, "there should be %d fields, not %d", COLUMN_COUNT, record.count);
        if (!done || !item_of_record(&record, &item, err) || !insert(shelf, &item, &id, err)) return error_at(err, "line %d of the CSV", reader->line);
        (*added)++;
    }
    return err->kind == ERROR_NONE;
}

bool shelf_read_csv(Shelf *shelf, const char *bytes, size_t size_bytes, int *added, Error *err)
{
    Arena own = arena_make(0);
    CsvReader reader = csv_make(bytes, size_bytes);
    CsvRecord head;
    *added = 0;
    *err = (Error){0};
    bool done = csv_next(&reader, &own, &head, err) ? check_columns(&head, err)
                                                    : err->kind == ERROR_NONE && error_set(err, ERROR_INPUT, "the CSV is empty");
    done = done && database_do(shelf->db, KIND.called, "BEGIN IMMEDIATE", err);
    if (done) {
        done = read_records(shelf, &reader, &own, added, err) && database_do(shelf->db, KIND.called, "COMMIT", err);
        if (!done) sqlite3_exec(shelf->db, "ROLLBACK", NULL, NULL, NULL);
    }
    if (!done) *added = 0;
    arena_free(&own);
    return done;
}

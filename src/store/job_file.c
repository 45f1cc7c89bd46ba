// job_file.c - see job_file.h.
#include "store/job_file.h"

#include "store/database.h"

#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const DatabaseKind KIND = {
    .application_id = 0x504d534e, // "PMSN"
    .version = JOB_FILE_VERSION,
    .called = "job file",
    .schema =
        "CREATE TABLE about(what TEXT PRIMARY KEY, is_ TEXT NOT NULL) WITHOUT ROWID;"
        "CREATE TABLE picture(id INTEGER PRIMARY KEY CHECK(id = 1), bytes BLOB NOT NULL);"
        "CREATE TABLE line(id INTEGER PRIMARY KEY AUTOINCREMENT, json TEXT NOT NULL, struck INTEGER NOT NULL DEFAULT 0);"
        "CREATE TABLE tick(piece TEXT PRIMARY KEY, mark TEXT NOT NULL) WITHOUT ROWID;",
};

struct JobFile {
    sqlite3 *db;
};

static const char *const TICK_WORDS[] = {"none", "cut", "taped", "glued", "spoiled"};

const char *tick_word(TickMark mark)
{
    return TICK_WORDS[mark];
}

bool tick_find(const char *word, TickMark *out)
{
    for (int i = 0; i <= TICK_SPOILED; i++) {
        if (strcmp(word, TICK_WORDS[i]) != 0) continue;
        *out = (TickMark)i;
        return true;
    }
    return false;
}

bool job_file_looks_like_one(const void *bytes, size_t size_bytes)
{
    return database_is_kind(&KIND, bytes, size_bytes);
}

// ---- making and opening ----

static bool wrap(sqlite3 *db, JobFile **out, Error *err)
{
    *out = malloc(sizeof **out);
    if (!*out) {
        sqlite3_close(db);
        return error_memory(err);
    }
    (*out)->db = db;
    return true;
}

static bool fill(sqlite3 *db, const char *name, const char *picture_name, const FileBytes *picture, Error *err)
{
    const char *called = KIND.called;
    return database_do(db, called, "BEGIN IMMEDIATE", err) &&
           database_run(db, called, err, "INSERT INTO about VALUES('name', ?1), ('picture', ?2)", "tt", name, picture_name) &&
           database_run(db, called, err, "INSERT INTO picture VALUES(1, ?1)", "b", picture) && database_do(db, called, "COMMIT", err);
}

// A new name is on the disk only when its folder is.
static bool sync_folder(const char *path, Error *err)
{
    char folder[PATH_MAX];
    snprintf(folder, sizeof folder, "%s", path);
    char *slash = strrchr(folder, '/');
    if (slash) slash[slash == folder] = 0;
    int file = open(slash ? folder : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    bool done = file >= 0 && fsync(file) == 0;
    if (file >= 0) close(file);
    return done || error_set(err, ERROR_SYSTEM, "the folder of the job file could not be written");
}

static bool temporary_name(const char *path, char out[PATH_MAX], Error *err)
{
    int size = snprintf(out, PATH_MAX, "%s.new-%ld", path, (long)getpid());
    return (size > 0 && size < PATH_MAX) || error_set(err, ERROR_INPUT, "the path of the job file is too long");
}

bool job_file_create(const char *path, const char *name, const char *picture_name, const FileBytes *picture, JobFile **out, Error *err)
{
    char temporary[PATH_MAX];
    sqlite3 *db = NULL;
    *out = NULL;
    if (!temporary_name(path, temporary, err)) return false;
    if (access(path, F_OK) == 0) return error_set(err, ERROR_JOB, "there is a job file of this name already; take another name");
    unlink(temporary);
    if (!database_create(&KIND, temporary, &db, err)) return false;
    bool filled = fill(db, name, picture_name, picture, err);
    sqlite3_close(db); // renamed while it is closed: SQLite knows its files by name
    bool done = filled && database_place(&KIND, temporary, path, err) && sync_folder(path, err) && job_file_open(path, out, err);
    if (!done) unlink(temporary);
    return done;
}

bool job_file_open(const char *path, JobFile **out, Error *err)
{
    sqlite3 *db;
    *out = NULL;
    return database_open(&KIND, path, &db, err) && wrap(db, out, err);
}

void job_file_close(JobFile *file)
{
    if (!file) return;
    sqlite3_close(file->db);
    free(file);
}

// ---- reading ----

static bool read_about(JobFile *file, const char *what, Arena *keep, const char **out, Error *err)
{
    sqlite3_stmt *statement = database_ask(file->db, KIND.called, err, "SELECT is_ FROM about WHERE what = ?1", "t", what);
    if (!statement) return false;
    int row = database_row(file->db, KIND.called, statement, err);
    *out = row == 1 ? database_text(statement, 0, keep) : "";
    sqlite3_finalize(statement);
    return row >= 0 && (*out || error_memory(err));
}

static bool read_picture(JobFile *file, Arena *keep, JobFileContent *out, Error *err)
{
    sqlite3_stmt *statement = database_ask(file->db, KIND.called, err, "SELECT bytes FROM picture WHERE id = 1", "");
    if (!statement) return false;
    int row = database_row(file->db, KIND.called, statement, err);
    bool done = row == 1;
    if (row == 0) error_set(err, ERROR_INPUT, "the job file has no picture in it; it is left as it is");
    if (done) {
        const void *bytes = sqlite3_column_blob(statement, 0);
        size_t size = (size_t)sqlite3_column_bytes(statement, 0);
        out->picture = (FileBytes){out->picture_name, arena_copy(keep, bytes ? bytes : "", size, 1), size};
        done = out->picture.bytes || error_memory(err);
    }
    sqlite3_finalize(statement);
    return done;
}

static bool add_line(sqlite3_stmt *statement, Arena *keep, Docket *docket, Error *err)
{
    const char *checked = NULL, *json = (const char *)sqlite3_column_text(statement, 1);
    if (!json || !docket_check(json, strlen(json), keep, &checked, err)) // the file may come from anywhere
        return error_at(err, "line %lld of the job file", (long long)sqlite3_column_int64(statement, 0));
    DocketLine *lines = arena_grow(keep, docket->lines, docket->count, &docket->capacity, sizeof *lines);
    if (!lines) return error_memory(err);
    docket->lines = lines;
    docket->lines[docket->count++] = (DocketLine){sqlite3_column_int64(statement, 0), checked, sqlite3_column_int(statement, 2) != 0};
    return true;
}

static bool read_docket(JobFile *file, Arena *keep, Docket *out, Error *err)
{
    sqlite3_stmt *statement = database_ask(file->db, KIND.called, err, "SELECT id, json, struck FROM line ORDER BY id", "");
    if (!statement) return false;
    int row = 0;
    bool fine = true;
    while (fine && (row = database_row(file->db, KIND.called, statement, err)) == 1) fine = add_line(statement, keep, out, err);
    sqlite3_finalize(statement);
    return fine && row == 0;
}

static bool add_tick(sqlite3_stmt *statement, size_t *capacity, Arena *keep, JobFileContent *out, Error *err)
{
    Tick tick = {database_text(statement, 0, keep), TICK_NONE};
    const char *word = (const char *)sqlite3_column_text(statement, 1);
    if (!word || !tick_find(word, &tick.mark)) return true; // of a program that knew another word: not ours to judge
    Tick *ticks = arena_grow(keep, out->ticks, (size_t)out->tick_count, capacity, sizeof *ticks);
    if (!ticks || !tick.piece) return error_memory(err);
    out->ticks = ticks;
    out->ticks[out->tick_count++] = tick;
    return true;
}

static bool read_ticks(JobFile *file, Arena *keep, JobFileContent *out, Error *err)
{
    sqlite3_stmt *statement = database_ask(file->db, KIND.called, err, "SELECT piece, mark FROM tick ORDER BY piece", "");
    if (!statement) return false;
    size_t capacity = 0;
    int row = 0;
    bool fine = true;
    while (fine && (row = database_row(file->db, KIND.called, statement, err)) == 1) fine = add_tick(statement, &capacity, keep, out, err);
    sqlite3_finalize(statement);
    return fine && row == 0;
}

bool job_file_read(JobFile *file, Arena *keep, JobFileContent *out, Error *err)
{
    *out = (JobFileContent){0};
    bool done = database_do(file->db, KIND.called, "BEGIN", err) && read_about(file, "name", keep, &out->name, err) &&
                read_about(file, "picture", keep, &out->picture_name, err) && read_picture(file, keep, out, err) &&
                read_docket(file, keep, &out->docket, err) && read_ticks(file, keep, out, err);
    sqlite3_exec(file->db, "ROLLBACK", NULL, NULL, NULL); // nothing was written
    if (!done) *out = (JobFileContent){0};
    return done;
}

// ---- changes: each is one transaction ----

bool job_file_add_line(JobFile *file, const char *json, int64_t *id, Error *err)
{
    *id = 0;
    if (!database_run(file->db, KIND.called, err, "INSERT INTO line(json) VALUES(?1)", "t", json)) return false;
    *id = sqlite3_last_insert_rowid(file->db);
    return true;
}

bool job_file_strike(JobFile *file, int64_t id, bool struck, Error *err)
{
    if (!database_run(file->db, KIND.called, err, "UPDATE line SET struck = ?1 WHERE id = ?2", "ii", (int64_t)struck, id)) return false;
    return sqlite3_changes(file->db) == 1 || error_set(err, ERROR_USAGE, "there is no line %lld in the docket", (long long)id);
}

bool job_file_tick(JobFile *file, const char *piece, TickMark mark, Error *err)
{
    if (mark == TICK_NONE) return database_run(file->db, KIND.called, err, "DELETE FROM tick WHERE piece = ?1", "t", piece);
    return database_run(file->db, KIND.called, err, "INSERT INTO tick VALUES(?1, ?2) ON CONFLICT(piece) DO UPDATE SET mark = ?2", "tt", piece,
                        tick_word(mark));
}

static bool rename_copy(const char *path, const char *name, Error *err)
{
    JobFile *copy;
    if (!job_file_open(path, &copy, err)) return false;
    bool done = database_run(copy->db, KIND.called, err, "UPDATE about SET is_ = ?1 WHERE what = 'name'", "t", name);
    job_file_close(copy);
    return done;
}

bool job_file_save_copy(JobFile *file, const char *path, const char *name, Error *err)
{
    char temporary[PATH_MAX];
    if (!temporary_name(path, temporary, err)) return false;
    if (access(path, F_OK) == 0) return error_set(err, ERROR_JOB, "there is a job file of this name already; take another name");
    unlink(temporary);
    bool done = database_run(file->db, KIND.called, err, "VACUUM INTO ?1", "t", temporary) && rename_copy(temporary, name, err) &&
                database_place(&KIND, temporary, path, err) && sync_folder(path, err);
    if (!done) unlink(temporary);
    return done;
}

// database.c - see database.h.
#include "store/database.h"

#include "base/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define HEADER_BYTES 100            // of an SQLite file
#define LARGEST_VALUE_BYTES 1000000000 // SQLite's own bound: a picture is smaller
#define WAIT_FOR_OTHERS_MS 2000

static uint32_t big_endian(const unsigned char *bytes)
{
    return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

bool database_is_kind(const DatabaseKind *kind, const void *first_bytes, size_t size_bytes)
{
    const unsigned char *bytes = first_bytes;
    return size_bytes >= 72 && memcmp(bytes, "SQLite format 3", 16) == 0 && big_endian(bytes + 68) == kind->application_id;
}

// ---- what a file is ----

static bool judge(const DatabaseKind *kind, const unsigned char *header, ssize_t size, Error *err)
{
    if (size < HEADER_BYTES || !database_is_kind(kind, header, (size_t)size))
        return error_set(err, ERROR_INPUT, "this is no %s of papermason's, or it is damaged; it is left as it is", kind->called);
    int version = (int)big_endian(header + 60);
    if (version < 1 || version > kind->version)
        return error_set(err, ERROR_INPUT, "this %s was made by a newer papermason (version %d, this program knows %d); it is left as it is; "
                         "take the newer program", kind->called, version, kind->version);
    return true;
}

bool database_look(const DatabaseKind *kind, const char *path, bool *exists, Error *err)
{
    unsigned char header[HEADER_BYTES] = {0};
    int file = open(path, O_RDONLY | O_CLOEXEC);
    *exists = file >= 0 || errno != ENOENT;
    if (file < 0)
        return !*exists || error_set(err, errno == EACCES ? ERROR_INPUT : ERROR_SYSTEM, "cannot open the %s: %s", kind->called, strerror(errno));
    ssize_t size = read(file, header, sizeof header);
    int why = errno;
    close(file);
    if (size < 0) return error_set(err, ERROR_INPUT, "cannot read the %s: %s", kind->called, strerror(why));
    return judge(kind, header, size, err);
}

// ---- opening ----

bool database_wrong(sqlite3 *db, const char *called, Error *err)
{
    int code = db ? sqlite3_errcode(db) : SQLITE_NOMEM;
    switch (code & 0xff) {
    case SQLITE_NOMEM: return error_memory(err);
    case SQLITE_FULL: return error_set(err, ERROR_SYSTEM, "the disk is full; the %s holds what it held before; make room and do it again", called);
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_CANTOPEN: return error_set(err, ERROR_SYSTEM, "the %s cannot be written where it is; copy it to a folder of your own", called);
    case SQLITE_BUSY:
    case SQLITE_LOCKED: return error_set(err, ERROR_SYSTEM, "the %s is in use by another program; close it there and do it again", called);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB: return error_set(err, ERROR_INPUT, "the %s is damaged; it is left as it is; take a copy of it from before", called);
    case SQLITE_TOOBIG: return error_set(err, ERROR_INPUT, "a value is too large for the %s", called);
    default: return error_set(err, ERROR_SYSTEM, "the %s cannot be used: %s", called, db ? sqlite3_errmsg(db) : "no memory");
    }
}

static bool prepare(sqlite3 *db, const char *called, Error *err)
{
    sqlite3_busy_timeout(db, WAIT_FOR_OTHERS_MS);
    sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_limit(db, SQLITE_LIMIT_LENGTH, LARGEST_VALUE_BYTES);
    return database_do(db, called, "PRAGMA trusted_schema=OFF; PRAGMA journal_mode=DELETE; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON", err);
}

static bool open_file(const DatabaseKind *kind, const char *path, int flags, sqlite3 **out, Error *err)
{
    *out = NULL;
    if (sqlite3_open_v2(path, out, flags | SQLITE_OPEN_NOMUTEX, NULL) == SQLITE_OK && prepare(*out, kind->called, err)) return true;
    if (err->kind == ERROR_NONE) database_wrong(*out, kind->called, err);
    sqlite3_close(*out);
    *out = NULL;
    return false;
}

bool database_create(const DatabaseKind *kind, const char *path, sqlite3 **out, Error *err)
{
    char marks[120];
    snprintf(marks, sizeof marks, "PRAGMA application_id=%u; PRAGMA user_version=%d", kind->application_id, kind->version);
    if (!open_file(kind, path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, out, err)) return false;
    if (database_do(*out, kind->called, marks, err) && database_do(*out, kind->called, kind->schema, err)) return true;
    sqlite3_close(*out);
    *out = NULL;
    unlink(path);
    return false;
}

// Every page is looked at once, so that damage shows before anything is written over it.
static bool check_whole(sqlite3 *db, const char *called, Error *err)
{
    sqlite3_stmt *statement = database_ask(db, called, err, "PRAGMA quick_check(1)", "");
    if (!statement) return false;
    int row = database_row(db, called, statement, err);
    const char *word = row == 1 ? (const char *)sqlite3_column_text(statement, 0) : NULL;
    bool whole = word && strcmp(word, "ok") == 0;
    if (row >= 0 && !whole) error_set(err, ERROR_INPUT, "the %s is damaged; it is left as it is; take a copy of it from before", called);
    sqlite3_finalize(statement);
    return whole;
}

bool database_open(const DatabaseKind *kind, const char *path, sqlite3 **out, Error *err)
{
    bool exists;
    *out = NULL;
    if (!database_look(kind, path, &exists, err)) return false;
    if (!exists) return error_set(err, ERROR_INPUT, "there is no such %s", kind->called);
    if (!open_file(kind, path, SQLITE_OPEN_READWRITE, out, err)) return false;
    if (check_whole(*out, kind->called, err)) return true;
    sqlite3_close(*out);
    *out = NULL;
    return false;
}

bool database_place(const DatabaseKind *kind, const char *from, const char *to, Error *err)
{
    bool moved = renameat2(AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE) == 0;
    if (!moved && (errno == EINVAL || errno == ENOSYS) && access(to, F_OK) != 0) moved = rename(from, to) == 0; // an old file system
    if (moved) return true;
    if (errno == EEXIST || access(to, F_OK) == 0) return error_set(err, ERROR_JOB, "there is a %s of this name already; take another name", kind->called);
    return error_set(err, ERROR_SYSTEM, "cannot write the %s: %s", kind->called, strerror(errno));
}

// ---- statements ----

bool database_do(sqlite3 *db, const char *called, const char *sql, Error *err)
{
    return sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK || database_wrong(db, called, err);
}

static bool bind(sqlite3_stmt *statement, const char *kinds, va_list args)
{
    bool fine = true;
    for (int i = 0; kinds[i] && fine; i++) {
        if (kinds[i] == 't') {
            fine = sqlite3_bind_text(statement, i + 1, va_arg(args, const char *), -1, SQLITE_TRANSIENT) == SQLITE_OK;
        } else if (kinds[i] == 'i') {
            fine = sqlite3_bind_int64(statement, i + 1, va_arg(args, int64_t)) == SQLITE_OK;
        } else {
            const FileBytes *file = va_arg(args, const FileBytes *);
            fine = sqlite3_bind_blob64(statement, i + 1, file->bytes, file->size_bytes, SQLITE_STATIC) == SQLITE_OK;
        }
    }
    return fine;
}

static sqlite3_stmt *ask(sqlite3 *db, const char *called, Error *err, const char *sql, const char *kinds, va_list args)
{
    sqlite3_stmt *statement = NULL;
    if (sqlite3_prepare_v2(db, sql, -1, &statement, NULL) == SQLITE_OK && bind(statement, kinds, args)) return statement;
    database_wrong(db, called, err);
    sqlite3_finalize(statement);
    return NULL;
}

sqlite3_stmt *database_ask(sqlite3 *db, const char *called, Error *err, const char *sql, const char *kinds, ...)
{
    va_list args;
    va_start(args, kinds);
    sqlite3_stmt *statement = ask(db, called, err, sql, kinds, args);
    va_end(args);
    return statement;
}

int database_row(sqlite3 *db, const char *called, sqlite3_stmt *statement, Error *err)
{
    int code = sqlite3_step(statement);
    if (code == SQLITE_ROW) return 1;
    if (code == SQLITE_DONE) return 0;
    database_wrong(db, called, err);
    return -1;
}

bool database_run(sqlite3 *db, const char *called, Error *err, const char *sql, const char *kinds, ...)
{
    va_list args;
    va_start(args, kinds);
    sqlite3_stmt *statement = ask(db, called, err, sql, kinds, args);
    va_end(args);
    if (!statement) return false;
    bool done = database_row(db, called, statement, err) >= 0;
    sqlite3_finalize(statement);
    return done;
}

const char *database_text(sqlite3_stmt *statement, int column, Arena *keep)
{
    const unsigned char *text = sqlite3_column_text(statement, column);
    return arena_text(keep, text ? (const char *)text : "");
}

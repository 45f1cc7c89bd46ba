// database.h - what job files and the shelf share: an SQLite file of ours, opened with care; statements without ceremony.
// Shape:   application_id and user_version (SQLite file format, sections 1.3.16 and 1.3.18: bytes 60..63 and 68..71 of the
//          file, big endian) tell what a file is before SQLite is let near it.
// Errors:  ERROR_INPUT: not a file of ours, damaged, of a newer program; it stays as it is. ERROR_SYSTEM: the disk refused.
#ifndef PM_STORE_DATABASE_H
#define PM_STORE_DATABASE_H

#include "base/arena.h"
#include "base/error.h"

#include <sqlite3.h>
#include <stdint.h>

typedef struct DatabaseKind {
    uint32_t application_id;
    int version;                // newest that this program knows; older ones are raised by `raise`
    const char *called;         // "job file", "shelf"
    const char *schema;         // of the newest version
} DatabaseKind;

// What the file of this path is. Absent: *exists is false and nothing is wrong.
MUST_USE bool database_look(const DatabaseKind *kind, const char *path, bool *exists, Error *err);
bool database_is_kind(const DatabaseKind *kind, const void *first_bytes, size_t size_bytes);    // 72 bytes are enough

// A new file under a name of its own; database_place then puts it where it belongs, without replacing anything.
MUST_USE bool database_create(const DatabaseKind *kind, const char *path, sqlite3 **out, Error *err);
MUST_USE bool database_open(const DatabaseKind *kind, const char *path, sqlite3 **out, Error *err);
// From one name to another in the same folder. ERROR_JOB when something is there already.
MUST_USE bool database_place(const DatabaseKind *kind, const char *from, const char *to, Error *err);

// The sentence for what SQLite refused; returns false.
bool database_wrong(sqlite3 *db, const char *called, Error *err);

MUST_USE bool database_do(sqlite3 *db, const char *called, const char *sql, Error *err);
// NULL and an error when it cannot be made ready. Values: 1, 2, ...; 't' text, 'i' int64, 'b' FileBytes pointer.
sqlite3_stmt *database_ask(sqlite3 *db, const char *called, Error *err, const char *sql, const char *kinds, ...);
// The next row: 1 a row, 0 none left, -1 an error. The caller finalizes.
int database_row(sqlite3 *db, const char *called, sqlite3_stmt *statement, Error *err);
MUST_USE bool database_run(sqlite3 *db, const char *called, Error *err, const char *sql, const char *kinds, ...); // no rows

// Column text, copied; "" for NULL.
const char *database_text(sqlite3_stmt *statement, int column, Arena *keep);

#endif

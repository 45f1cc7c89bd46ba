// job_file.h - NAME.pmason: one file with a job in it: the picture, the docket, ticks, and the papers it was meant for.
// Saved after every change: when a function returns, what it did is on the disk; a program that is killed at any moment
// loses at most the change that was being made.
// Shape:   SQLite (docs/job-file.md); application_id "PMSN", user_version JOB_FILE_VERSION.
// Errors:  ERROR_INPUT: not a job file, damaged, of a newer program; the file is left as it is, to the byte.
//          ERROR_SYSTEM: the disk refused (full, read-only); the file holds what it held before.
// Threads: one caller at a time.
#ifndef PM_STORE_JOB_FILE_H
#define PM_STORE_JOB_FILE_H

#include "base/files.h"
#include "store/docket.h"

#define JOB_FILE_VERSION 1

typedef enum TickMark { TICK_NONE, TICK_CUT, TICK_TAPED, TICK_GLUED, TICK_SPOILED } TickMark;

typedef struct Tick {
    const char *piece;          // "A7"
    TickMark mark;
} Tick;

typedef struct JobFileContent {
    const char *name;           // of the job, safe for file names
    const char *picture_name;   // printable
    FileBytes picture;
    Docket docket;
    Tick *ticks;
    int tick_count;
} JobFileContent;

typedef struct JobFile JobFile;

// A new file with this picture; where a file is there already it is an ERROR_JOB.
MUST_USE bool job_file_create(const char *path, const char *name, const char *picture_name, const FileBytes *picture,
                              JobFile **out, Error *err);
MUST_USE bool job_file_open(const char *path, JobFile **out, Error *err);
void job_file_close(JobFile *file);                     // NULL is fine

MUST_USE bool job_file_read(JobFile *file, Arena *keep, JobFileContent *out, Error *err);
// `json` is canonical (docket_check). *id is the new line's.
MUST_USE bool job_file_add_line(JobFile *file, const char *json, int64_t *id, Error *err);
MUST_USE bool job_file_strike(JobFile *file, int64_t id, bool struck, Error *err);
MUST_USE bool job_file_tick(JobFile *file, const char *piece, TickMark mark, Error *err);
// The same job under another path; the file goes on at the old one.
MUST_USE bool job_file_save_copy(JobFile *file, const char *path, const char *name, Error *err);

const char *tick_word(TickMark mark);                   // "cut"
bool tick_find(const char *word, TickMark *out);

// Whether the bytes that a file begins with are those of a job file (72 bytes do).
bool job_file_looks_like_one(const void *bytes, size_t size_bytes);

#endif

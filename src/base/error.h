// error.h - what went wrong, in one sentence for a maker.
// A function that can fail returns bool, takes `Error *err` last and is MUST_USE. On failure its `*out` is zeroed.
// Memory:  an Error is a plain struct with a fixed buffer, so that reporting a failure cannot fail.
#ifndef PM_BASE_ERROR_H
#define PM_BASE_ERROR_H

#include <stdbool.h>

#define MUST_USE __attribute__((warn_unused_result))
#define PRINTF_LIKE(format_at, args_at) __attribute__((format(printf, format_at, args_at)))

typedef enum ErrorKind {
    ERROR_NONE,
    ERROR_USAGE,     // the command is wrong
    ERROR_JOB,       // the job cannot be done as asked
    ERROR_INPUT,     // the input cannot be read, or is over a limit
    ERROR_PROOF,     // the kit does not hold what it promises
    ERROR_SYSTEM,    // memory, disk or the system refused
    ERROR_CANCELLED, // somebody asked to stop
} ErrorKind;

typedef struct Error {
    ErrorKind kind;
    char text[512];
} Error;

// Sets kind and text; always returns false, so that a check reads `return error_set(...)`. A text that is too long
// is cut at a whole UTF-8 character.
bool error_set(Error *err, ErrorKind kind, const char *format, ...) PRINTF_LIKE(3, 4);

// Sets ERROR_SYSTEM with the one sentence that tells of missing memory; returns false.
bool error_memory(Error *err);

// Puts "PLACE: " before the text of an error that is set already; returns false.
bool error_at(Error *err, const char *place_format, ...) PRINTF_LIKE(2, 3);

#endif

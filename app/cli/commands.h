// commands.h - one function a command: arguments -> job -> files; what it prints goes to standard output.
#ifndef PM_APP_COMMANDS_H
#define PM_APP_COMMANDS_H

#include "arguments.h"
#include "job/job.h"

typedef struct Session {
    const char *program;        // path of this program, for the decoding child
    const JobWatch *watch;
} Session;

MUST_USE bool command_build(const Arguments *arguments, const Session *session, Error *err);
MUST_USE bool command_colours(const Arguments *arguments, const Session *session, Error *err);
MUST_USE bool command_open(const Arguments *arguments, const Session *session, Error *err);     // app/open
MUST_USE bool command_compare(const Arguments *arguments, const Session *session, Error *err);
MUST_USE bool command_shelf(const Arguments *arguments, const Session *session, Error *err);
MUST_USE bool command_recut(const Arguments *arguments, const Session *session, Error *err);
MUST_USE bool command_prove(const Arguments *arguments, const Session *session, Error *err);

#endif

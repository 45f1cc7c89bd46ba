// arguments.h - what was typed, checked and in one struct.
#ifndef PM_APP_ARGUMENTS_H
#define PM_APP_ARGUMENTS_H

#include "changes.h"

#include "job/settings.h"

typedef enum Command { COMMAND_HELP, COMMAND_VERSION, COMMAND_BUILD, COMMAND_COLOURS, COMMAND_PROVE } Command;

typedef struct Arguments {
    Command command;
    Command help_for;       // COMMAND_HELP: which command's help; COMMAND_HELP itself = the overview
    const char *subject;    // the picture or the kit
    const char *out;        // -o, or NULL
    bool force, json;
    bool offers;            // what fewer pieces or fewer seams would come to is told as well
    Settings settings;
    Changes changes;        // what else is to be different, as edits
} Arguments;

// Errors: ERROR_USAGE, with what would be right.
MUST_USE bool arguments_parse(int argc, char **argv, Arguments *out, Error *err);

const char *help_text(Command command);

#endif

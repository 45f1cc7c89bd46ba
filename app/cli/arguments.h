// arguments.h - what was typed, checked and in one struct.
#ifndef PM_APP_ARGUMENTS_H
#define PM_APP_ARGUMENTS_H

#include "changes.h"

#include "job/settings.h"

typedef enum Command { COMMAND_HELP, COMMAND_VERSION, COMMAND_BUILD, COMMAND_COLOURS, COMMAND_PROVE, COMMAND_SHELF, COMMAND_COMPARE, COMMAND_OPEN, COMMAND_RECUT } Command;

#define ARGUMENTS_MOST_SETTINGS 256
#define ARGUMENTS_MOST_WORDS 256

typedef struct TypedSetting { const char *what, *option, *value; } TypedSetting;    // "height", "--height", "4ft"

typedef struct Arguments {
    Command command;
    Command help_for;       // COMMAND_HELP: which command's help; COMMAND_HELP itself = the overview
    const char *subject;    // the picture, the job file or the kit; of the shelf what to do: words[0]
    const char *words[ARGUMENTS_MOST_WORDS];    // all that are no options
    int word_count;
    const char *out;        // -o, or NULL
    bool force, json, zip;
    bool offers;            // what fewer pieces or fewer seams would come to is told as well
    Settings settings;      // the usual ones and what was typed
    TypedSetting typed[ARGUMENTS_MOST_SETTINGS];
    int typed_count;
    const char *name, *colour, *count;  // of what goes on the shelf, as typed, or NULL
    const char *but;        // what is not cut once more: a list, or NULL
    const char *papers;     // to compare
    double max_sheets, max_hours;   // limits, 0 = none
    bool drawer;            // what lies on the shelf is a limit
    int port;               // of the page; 0 = any
    bool no_browser;
    const char *jobs, *page_from;   // folders, or NULL
    Changes changes;        // what else is to be different, as edits
} Arguments;

// Errors: ERROR_USAGE, with what would be right.
MUST_USE bool arguments_parse(int argc, char **argv, Arguments *out, Error *err);

const char *help_text(Command command);

#endif

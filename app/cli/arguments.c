// arguments.c - one table of options for all commands; see arguments.h.
#include "arguments.h"
#include "page_size.h"

#include "base/text.h"
#include "job/settings_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ON(command) (1u << (command))

typedef bool (*TakeValue)(Arguments *arguments, const char *option, const char *value, Error *err);

typedef struct Option {
    const char *name, *short_name;  // short_name may be NULL
    unsigned commands;              // a bit for each command that knows it
    bool has_value;
    TakeValue take;                 // NULL: the option is an edit (changes.h)
} Option;

// Judged now; kept also as it was typed, since a job file's settings come first and are known only later.
static bool take_setting(Arguments *arguments, const char *option, const char *value, Error *err)
{
    const char *what = option + 2;
    if (arguments->typed_count == ARGUMENTS_MOST_SETTINGS)
        return error_set(err, ERROR_USAGE, "more than %d settings were typed", ARGUMENTS_MOST_SETTINGS);
    arguments->typed[arguments->typed_count++] = (TypedSetting){what, option, value};
    return settings_set(&arguments->settings, what, option, value, err);
}

static bool take_threads(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option;
    double count = 0.0;
    if (!number_parse(value, &count) || count < 1.0 || count > 16.0 || count != floor(count))
        return error_set(err, ERROR_USAGE, "--threads takes a whole number from 1 to 16, not '%.40s'", value);
    arguments->settings.threads = (int)count;
    return true;
}

static bool take_out(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option;
    if (!value[0]) return error_set(err, ERROR_USAGE, "-o needs the name of the kit's own folder");
    arguments->out = value;
    return true;
}

static bool take_name(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)err;
    arguments->name = value;
    return true;
}

static bool take_colour(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)err;
    arguments->colour = value;
    return true;
}

static bool take_count(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)err;
    arguments->count = value;
    return true;
}

static bool take_zip(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)value, (void)err;
    arguments->zip = true;
    return true;
}

static bool take_force(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)value, (void)err;
    arguments->force = true;
    return true;
}

static bool take_json(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)value, (void)err;
    arguments->json = true;
    return true;
}

static bool take_but(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)err;
    arguments->but = value;
    return true;
}

static bool take_papers(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)err;
    arguments->papers = value;
    return true;
}

static bool take_limit(Arguments *arguments, const char *option, const char *value, Error *err)
{
    double *out = strcmp(option, "--max-sheets") == 0 ? &arguments->max_sheets : &arguments->max_hours;
    if (number_parse(value, out) && *out >= 1.0 && *out <= 1e6) return true;
    return error_set(err, ERROR_USAGE, "%s takes a number of 1 or more, not '%.40s'", option, value);
}

static bool take_drawer(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)value, (void)err;
    arguments->drawer = true;
    return true;
}

static bool take_offers(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)value, (void)err;
    arguments->offers = true;
    return true;
}

static bool take_port(Arguments *arguments, const char *option, const char *value, Error *err)
{
    double port = 0.0;
    (void)option;
    if (!number_parse(value, &port) || port < 1.0 || port > 65535.0 || port != floor(port))
        return error_set(err, ERROR_USAGE, "--port takes a whole number from 1 to 65535, not '%.40s'", value);
    arguments->port = (int)port;
    return true;
}

static bool take_no_browser(Arguments *arguments, const char *option, const char *value, Error *err)
{
    (void)option, (void)value, (void)err;
    arguments->no_browser = true;
    return true;
}

static bool take_folder(Arguments *arguments, const char *option, const char *value, Error *err)
{
    if (!value[0]) return error_set(err, ERROR_USAGE, "%s needs the name of a folder", option);
    if (strcmp(option, "--jobs") == 0) arguments->jobs = value;
    else arguments->page_from = value;
    return true;
}

// Letters of layers are a setting, a colour is an edit.
static bool take_raised(Arguments *arguments, const char *option, const char *value, Error *err)
{
    if (strspn(value, "ABCDEFGHIJKLMNOPQRSTUVWXYZ,") == strlen(value)) return take_setting(arguments, option, value, err);
    return changes_add(&arguments->changes, option, value, err);
}

static const Option OPTIONS[] = {
    {"--height", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, take_setting},
    {"--paper", NULL, ON(COMMAND_BUILD) | ON(COMMAND_RECUT), true, take_setting},
    {"--border", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_setting},
    {"--stack", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_setting},
    {"--seams", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_setting},
    {"--board", NULL, ON(COMMAND_BUILD), true, take_setting},
    {"--sections", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_setting},
    {"--raised", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_raised},
    {"--hidden-from", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_setting},
    {"--strips", NULL, ON(COMMAND_BUILD), true, take_setting},
    {"--fewer", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_setting},
    {"--offers", NULL, ON(COMMAND_BUILD), false, take_offers},
    {"--cutter", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_setting},
    {"--marks", NULL, ON(COMMAND_BUILD), true, take_setting},
    {"--inset", NULL, ON(COMMAND_BUILD), true, take_setting},
    {"--for", NULL, ON(COMMAND_BUILD) | ON(COMMAND_RECUT), true, take_setting},
    {"--formats", NULL, ON(COMMAND_BUILD) | ON(COMMAND_RECUT), true, take_setting},
    {"--cut-from", NULL, ON(COMMAND_BUILD), true, take_setting},
    {"--overcut", NULL, ON(COMMAND_BUILD) | ON(COMMAND_RECUT), true, take_setting},
    {"--blade-offset", NULL, ON(COMMAND_BUILD) | ON(COMMAND_RECUT), true, take_setting},
    {"--page", NULL, ON(COMMAND_BUILD), true, take_setting},
    {"--colours", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, take_setting},
    {"--thicken", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, take_setting},
    {"--smallest", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, take_setting},
    {"--smallest-part", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, NULL},
    {"--smallest-hole", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, NULL},
    {"--same", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, NULL},
    {"--leave-out", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, NULL},
    {"--have", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, NULL},
    {"--ground", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, NULL},
    {"--paper-at", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, NULL},
    {"--base", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, NULL},
    {"--lines", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, NULL},
    {"--underlap", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE), true, NULL},
    {"--offcut", NULL, ON(COMMAND_BUILD), true, NULL},
    {"--edits", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS), true, NULL},
    {"--papers", NULL, ON(COMMAND_COMPARE), true, take_papers},
    {"--max-sheets", NULL, ON(COMMAND_COMPARE), true, take_limit},
    {"--max-hours", NULL, ON(COMMAND_COMPARE), true, take_limit},
    {"--drawer", NULL, ON(COMMAND_COMPARE), false, take_drawer},
    {"--but", NULL, ON(COMMAND_RECUT), true, take_but},
    {"--name", NULL, ON(COMMAND_SHELF) | ON(COMMAND_RECUT), true, take_name},
    {"--colour", NULL, ON(COMMAND_SHELF) | ON(COMMAND_RECUT), true, take_colour},
    {"--count", NULL, ON(COMMAND_SHELF), true, take_count},
    {"--port", NULL, ON(COMMAND_OPEN), true, take_port},
    {"--no-browser", NULL, ON(COMMAND_OPEN), false, take_no_browser},
    {"--jobs", NULL, ON(COMMAND_OPEN), true, take_folder},
    {"--page-from", NULL, ON(COMMAND_OPEN), true, take_folder},
    {"--threads", NULL, ON(COMMAND_BUILD) | ON(COMMAND_RECUT) | ON(COMMAND_COMPARE) | ON(COMMAND_OPEN), true, take_threads},
    {"--out", "-o", ON(COMMAND_BUILD) | ON(COMMAND_RECUT), true, take_out},
    {"--zip", NULL, ON(COMMAND_BUILD), false, take_zip},
    {"--force", NULL, ON(COMMAND_BUILD) | ON(COMMAND_RECUT), false, take_force},
    {"--json", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COMPARE) | ON(COMMAND_COLOURS) | ON(COMMAND_PROVE) | ON(COMMAND_SHELF) | ON(COMMAND_OPEN) | ON(COMMAND_RECUT), false, take_json},
};
#define OPTION_COUNT (sizeof OPTIONS / sizeof OPTIONS[0])

static const struct { const char *word; Command command; } COMMANDS[] = {
    {"build", COMMAND_BUILD}, {"colours", COMMAND_COLOURS}, {"prove", COMMAND_PROVE}, {"shelf", COMMAND_SHELF}, {"compare", COMMAND_COMPARE}, {"open", COMMAND_OPEN}, {"recut", COMMAND_RECUT},
};
#define COMMAND_COUNT (sizeof COMMANDS / sizeof COMMANDS[0])

static const char *command_word(Command command)
{
    for (size_t i = 0; i < COMMAND_COUNT; i++)
        if (COMMANDS[i].command == command) return COMMANDS[i].word;
    return "papermason";
}

static bool find_command(const char *word, Command *out, Error *err)
{
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        if (strcmp(word, COMMANDS[i].word) != 0) continue;
        *out = COMMANDS[i].command;
        return true;
    }
    return error_set(err, ERROR_USAGE, "there is no command '%.40s'; there are build, compare, open, colours, prove, recut and shelf (see papermason --help)", word);
}

// "--name", "-n" or "--name=value".
static bool is_option(const Option *option, const char *word, const char **value)
{
    size_t size = strlen(option->name);
    *value = NULL;
    if (option->short_name && strcmp(word, option->short_name) == 0) return true;
    if (strncmp(word, option->name, size) != 0) return false;
    if (word[size] == '=') *value = word + size + 1;
    return word[size] == 0 || word[size] == '=';
}

static bool take_option(Arguments *arguments, int argc, char **argv, int *at, Error *err)
{
    const char *word = argv[*at], *value = NULL;
    const char *command = command_word(arguments->command);
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        const Option *option = &OPTIONS[i];
        if (!is_option(option, word, &value)) continue;
        if (!(option->commands & ON(arguments->command)))
            return error_set(err, ERROR_USAGE, "%s does not take %s (see papermason %s --help)", command, option->name, command);
        if (!option->has_value && value) return error_set(err, ERROR_USAGE, "%s takes no value", option->name);
        if (option->has_value && !value) {
            if (*at + 1 == argc) return error_set(err, ERROR_USAGE, "%s needs a value (see papermason %s --help)", word, command);
            value = argv[++*at];
        }
        return option->take ? option->take(arguments, option->name, value, err) : changes_add(&arguments->changes, option->name, value, err);
    }
    return error_set(err, ERROR_USAGE, "%s does not know '%.40s' (see papermason %s --help)", command, word, command);
}

static bool wants_help(int argc, char **argv)
{
    for (int i = 1; i < argc && strcmp(argv[i], "--") != 0; i++)
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "-h") == 0) return true;
    return false;
}

static const char *subject_word(Command command)
{
    return command == COMMAND_PROVE || command == COMMAND_RECUT ? "kit" : command == COMMAND_OPEN ? "job" : "picture";
}

static bool check_whole(const Arguments *arguments, Error *err)
{
    const char *word = command_word(arguments->command);
    if (arguments->command == COMMAND_RECUT && arguments->word_count < 2)
        return error_set(err, ERROR_USAGE, "recut needs a kit and what to cut once more: papermason recut KIT A7 C2");
    if (arguments->subject || arguments->command == COMMAND_OPEN) return true;
    if (arguments->command == COMMAND_SHELF)
        return error_set(err, ERROR_USAGE, "shelf needs to know what to do: list, add, remove, count, keep, import or export (see papermason shelf --help)");
    return error_set(err, ERROR_USAGE, "%s needs a %s: papermason %s %s", word, subject_word(arguments->command), word,
                     arguments->command == COMMAND_PROVE ? "KIT" : "PICTURE");
}

static int most_words(Command command)
{
    if (command == COMMAND_SHELF) return 3;
    return command == COMMAND_RECUT ? ARGUMENTS_MOST_WORDS : 1;
}

static bool take_word(Arguments *arguments, const char *word, Error *err)
{
    int most = most_words(arguments->command);
    if (arguments->word_count == most)
        return most == 1 ? error_set(err, ERROR_USAGE, "%s takes one %s at a time", command_word(arguments->command), subject_word(arguments->command))
                         : error_set(err, ERROR_USAGE, "%s does not know what to do with '%.40s'", command_word(arguments->command), word);
    arguments->words[arguments->word_count++] = word;
    arguments->subject = arguments->words[0];
    return true;
}

static bool parse_command_line(int argc, char **argv, Arguments *out, Error *err)
{
    bool only_names = false;
    for (int i = 2; i < argc; i++) {
        if (!only_names && strcmp(argv[i], "--") == 0) {
            only_names = true;
        } else if (!only_names && argv[i][0] == '-' && argv[i][1]) {
            if (!take_option(out, argc, argv, &i, err)) return false;
        } else if (!take_word(out, argv[i], err)) {
            return false;
        }
    }
    return check_whole(out, err);
}

bool arguments_parse(int argc, char **argv, Arguments *out, Error *err)
{
    *out = (Arguments){.command = COMMAND_HELP, .help_for = COMMAND_HELP, .settings = settings_defaults()};
    out->settings.kit.page = page_size_of_place(page_size_locale());
    if (argc < 2)
        return error_set(err, ERROR_USAGE, "say what to do: papermason build PICTURE --height 4ft --paper letter (see papermason --help)");
    if (strcmp(argv[1], "--version") == 0) {
        out->command = COMMAND_VERSION;
        return true;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 || strcmp(argv[1], "help") == 0) return true;
    if (!find_command(argv[1], &out->command, err)) return false;
    if (wants_help(argc, argv)) {
        out->help_for = out->command;
        out->command = COMMAND_HELP;
        return true;
    }
    return parse_command_line(argc, argv, out, err);
}

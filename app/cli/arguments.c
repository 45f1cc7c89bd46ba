// arguments.c - one table of options for all commands; see arguments.h.
#include "arguments.h"
#include "page_size.h"

#include "base/length.h"
#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ON(command) (1u << (command))

typedef bool (*TakeValue)(Arguments *arguments, const char *value, Error *err);

typedef struct Option {
    const char *name, *short_name;  // short_name may be NULL
    unsigned commands;              // a bit for each command that knows it
    bool has_value;
    TakeValue take;                 // NULL: the option is an edit (changes.h)
} Option;

static bool take_height(Arguments *arguments, const char *value, Error *err)
{
    return length_parse(value, "--height", &arguments->settings.height_mm, err);
}

static bool take_border(Arguments *arguments, const char *value, Error *err)
{
    return length_parse(value, "--border", &arguments->settings.border_mm, err);
}

static bool take_paper(Arguments *arguments, const char *value, Error *err)
{
    return settings_add_paper(&arguments->settings, value, err);
}

static bool take_stack(Arguments *arguments, const char *value, Error *err)
{
    if (strcmp(value, "inlay") == 0) arguments->settings.way = STACK_INLAY;
    else if (strcmp(value, "underlap") == 0) arguments->settings.way = STACK_UNDERLAP;
    else return error_set(err, ERROR_USAGE, "--stack knows inlay and underlap, not '%.40s'", value);
    return true;
}

static bool take_line(Arguments *arguments, const char *value, Error *err)
{
    static const struct { const char *words; MarkLine lines[2]; int count; } WAYS[] = {
        {"score", {MARK_SCORE, MARK_SCORE}, 1}, {"pen", {MARK_PEN, MARK_PEN}, 1},
        {"score,pen", {MARK_SCORE, MARK_PEN}, 2}, {"pen,score", {MARK_PEN, MARK_SCORE}, 2},
    };
    for (size_t i = 0; i < sizeof WAYS / sizeof WAYS[0]; i++) {
        if (strcmp(value, WAYS[i].words) != 0) continue;
        arguments->settings.marks[0] = WAYS[i].lines[0];
        arguments->settings.marks[1] = WAYS[i].lines[1];
        arguments->settings.mark_count = WAYS[i].count;
        return true;
    }
    return error_set(err, ERROR_USAGE, "--marks knows score, pen, and both as score,pen or pen,score, not '%.40s'", value);
}

static bool take_cutter(Arguments *arguments, const char *value, Error *err)
{
    arguments->settings.has_cutter = cutter_parse(value, &arguments->settings.cutter, err);
    return arguments->settings.has_cutter;
}

static bool take_inset(Arguments *arguments, const char *value, Error *err)
{
    return length_parse(value, "--inset", &arguments->settings.inset_mm, err);
}

static bool take_for(Arguments *arguments, const char *value, Error *err)
{
    if (kit_for_find(value, &arguments->settings.kit.sheets_for)) return true;
    return error_set(err, ERROR_USAGE, "--for knows sheet, piece, layer and line, not '%.40s'", value);
}

static bool take_page(Arguments *arguments, const char *value, Error *err)
{
    if (strcmp(value, "letter") == 0) arguments->settings.kit.page = KIT_PAGE_LETTER;
    else if (strcmp(value, "a4") == 0) arguments->settings.kit.page = KIT_PAGE_A4;
    else return error_set(err, ERROR_USAGE, "--page knows letter and a4, not '%.40s'", value);
    return true;
}

static bool take_smallest(Arguments *arguments, const char *value, Error *err)
{
    size_t size = strlen(value);
    char digits[32] = "";
    double count = 0.0;
    bool in_pixels = size > 2 && size - 2 < sizeof digits && strcmp(value + size - 2, "px") == 0;
    if (in_pixels) memcpy(digits, value, size - 2);
    if (!in_pixels || !number_parse(digits, &count) || !isfinite(count) || count < 1.0 || count > 1e9)
        return error_set(err, ERROR_USAGE, "--smallest takes an area in pixels, such as 20px, not '%.40s'", value);
    arguments->settings.smallest_area_px = count;
    return true;
}

static bool take_colours(Arguments *arguments, const char *value, Error *err)
{
    double count = 0.0;
    if (!number_parse(value, &count) || count < 1.0 || count > SEPARATION_MAX_COLOURS || count != floor(count))
        return error_set(err, ERROR_USAGE, "--colours takes a whole number from 1 to %d, not '%.40s'", SEPARATION_MAX_COLOURS, value);
    arguments->settings.most_colours = (int)count;
    return true;
}

static bool take_thicken(Arguments *arguments, const char *value, Error *err)
{
    return length_parse(value, "--thicken", &arguments->settings.thicken_mm, err);
}

static bool take_threads(Arguments *arguments, const char *value, Error *err)
{
    double count = 0.0;
    if (!number_parse(value, &count) || count < 1.0 || count > 16.0 || count != floor(count))
        return error_set(err, ERROR_USAGE, "--threads takes a whole number from 1 to 16, not '%.40s'", value);
    arguments->settings.threads = (int)count;
    return true;
}

static bool take_out(Arguments *arguments, const char *value, Error *err)
{
    if (!value[0]) return error_set(err, ERROR_USAGE, "-o needs the name of the kit's own folder");
    arguments->out = value;
    return true;
}

static bool take_force(Arguments *arguments, const char *value, Error *err)
{
    (void)value, (void)err;
    arguments->force = true;
    return true;
}

static bool take_json(Arguments *arguments, const char *value, Error *err)
{
    (void)value, (void)err;
    arguments->json = true;
    return true;
}

static const Option OPTIONS[] = {
    {"--height", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, take_height},
    {"--paper", NULL, ON(COMMAND_BUILD), true, take_paper},
    {"--border", NULL, ON(COMMAND_BUILD), true, take_border},
    {"--stack", NULL, ON(COMMAND_BUILD), true, take_stack},
    {"--cutter", NULL, ON(COMMAND_BUILD), true, take_cutter},
    {"--marks", NULL, ON(COMMAND_BUILD), true, take_line},
    {"--inset", NULL, ON(COMMAND_BUILD), true, take_inset},
    {"--for", NULL, ON(COMMAND_BUILD), true, take_for},
    {"--page", NULL, ON(COMMAND_BUILD), true, take_page},
    {"--colours", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, take_colours},
    {"--thicken", NULL, ON(COMMAND_BUILD), true, take_thicken},
    {"--smallest", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, take_smallest},
    {"--smallest-part", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, NULL},
    {"--smallest-hole", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, NULL},
    {"--same", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, NULL},
    {"--leave-out", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, NULL},
    {"--have", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, NULL},
    {"--ground", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, NULL},
    {"--paper-at", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, NULL},
    {"--base", NULL, ON(COMMAND_BUILD), true, NULL},
    {"--underlap", NULL, ON(COMMAND_BUILD), true, NULL},
    {"--edits", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS), true, NULL},
    {"--threads", NULL, ON(COMMAND_BUILD), true, take_threads},
    {"--out", "-o", ON(COMMAND_BUILD), true, take_out},
    {"--force", NULL, ON(COMMAND_BUILD), false, take_force},
    {"--json", NULL, ON(COMMAND_BUILD) | ON(COMMAND_COLOURS) | ON(COMMAND_PROVE), false, take_json},
};
#define OPTION_COUNT (sizeof OPTIONS / sizeof OPTIONS[0])

static const struct { const char *word; Command command; } COMMANDS[] = {
    {"build", COMMAND_BUILD}, {"colours", COMMAND_COLOURS}, {"prove", COMMAND_PROVE},
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
    return error_set(err, ERROR_USAGE, "there is no command '%.40s'; there are build, colours and prove (see papermason --help)", word);
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
        return option->take ? option->take(arguments, value, err) : changes_add(&arguments->changes, option->name, value, err);
    }
    return error_set(err, ERROR_USAGE, "%s does not know '%.40s' (see papermason %s --help)", command, word, command);
}

static bool wants_help(int argc, char **argv)
{
    for (int i = 1; i < argc && strcmp(argv[i], "--") != 0; i++)
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "-h") == 0) return true;
    return false;
}

static bool check_whole(const Arguments *arguments, Error *err)
{
    const char *word = command_word(arguments->command);
    if (!arguments->subject)
        return error_set(err, ERROR_USAGE, "%s needs a %s: papermason %s %s", word,
                         arguments->command == COMMAND_PROVE ? "kit" : "picture", word,
                         arguments->command == COMMAND_PROVE ? "KIT" : "PICTURE");
    if (arguments->command == COMMAND_BUILD && arguments->settings.height_mm == 0.0)
        return error_set(err, ERROR_USAGE, "build needs the finished height: add for example --height 4ft");
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
        } else if (out->subject) {
            return error_set(err, ERROR_USAGE, "%s takes one %s at a time", command_word(out->command),
                             out->command == COMMAND_PROVE ? "kit" : "picture");
        } else {
            out->subject = argv[i];
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

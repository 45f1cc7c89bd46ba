// main.c - papermason: picks the command, shows progress on a terminal, turns an error into a sentence and an exit code.
#include "commands.h"

#include "picture/picture.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static atomic_bool stop_asked; // the one global: a signal handler can reach nothing else

static void ask_to_stop(int signal_number)
{
    (void)signal_number;
    if (atomic_exchange(&stop_asked, true)) _exit(130); // asked twice: at once
}

static void watch_signals(void)
{
    struct sigaction stop = {.sa_handler = ask_to_stop};
    sigaction(SIGINT, &stop, NULL);
    sigaction(SIGTERM, &stop, NULL);
    signal(SIGPIPE, SIG_IGN); // a reader that went away is an error of writing, not a reason to die half-way
    signal(SIGXFSZ, SIG_IGN); // a file that may not grow as well
}

static void show_stage(void *context, const char *stage)
{
    (void)context;
    fprintf(stderr, "\r%-28s\r%s ...", "", stage);
}

static void show_share(void *context, const char *stage, double share)
{
    (void)context;
    fprintf(stderr, "\r%-28s\r%2.0f %% %s ...", "", 100.0 * share, stage);
}

static void clear_stage(bool shown)
{
    if (shown) fprintf(stderr, "\r%-28s\r", "");
}

static int exit_code(ErrorKind kind)
{
    switch (kind) {
    case ERROR_NONE: return 0;
    case ERROR_JOB: return 1;
    case ERROR_USAGE: return 2;
    case ERROR_INPUT: return 3;
    case ERROR_PROOF: return 4;
    case ERROR_SYSTEM: return 5;
    case ERROR_CANCELLED: return 130; // as a shell reports a program that was interrupted
    }
    return 5;
}

static bool run(const Arguments *arguments, const Session *session, Error *err)
{
    switch (arguments->command) {
    case COMMAND_HELP: fputs(help_text(arguments->help_for), stdout); return true;
    case COMMAND_VERSION: puts("papermason " PM_VERSION); return true;
    case COMMAND_BUILD: return command_build(arguments, session, err);
    case COMMAND_COLOURS: return command_colours(arguments, session, err);
    case COMMAND_PROVE: return command_prove(arguments, session, err);
    case COMMAND_RECUT: return command_recut(arguments, session, err);
    case COMMAND_COMPARE: return command_compare(arguments, session, err);
    case COMMAND_SHELF: return command_shelf(arguments, session, err);
    case COMMAND_OPEN: return command_open(arguments, session, err);
    }
    return false;
}

static bool output_arrived(Error *err)
{
    if (fflush(stdout) == 0 && !ferror(stdout)) return true;
    return error_set(err, ERROR_SYSTEM, "the result could not be printed; is the disk full, or the reader gone?");
}

int main(int argc, char **argv)
{
    if (argc > 1 && strcmp(argv[1], PICTURE_CHILD_WORD) == 0) return picture_child_main(argc, argv);
    watch_signals();
    bool terminal = isatty(STDERR_FILENO) == 1;
    JobWatch watch = {.cancel = &stop_asked, .stage = terminal ? show_stage : NULL, .progress = terminal ? show_share : NULL};
    Session session = {.program = "/proc/self/exe", .watch = &watch};
    Arguments arguments;
    Error err = {0};
    bool done = arguments_parse(argc, argv, &arguments, &err);
    if (done && arguments.settings.threads == 0) {
        long cores = sysconf(_SC_NPROCESSORS_ONLN);
        arguments.settings.threads = cores < 1 ? 1 : cores > 16 ? 16 : (int)cores;
    }
    done = done && run(&arguments, &session, &err);
    clear_stage(terminal);
    done = done && output_arrived(&err);
    if (done) return 0;
    fprintf(stderr, "papermason: %s\n", err.text);
    return exit_code(err.kind);
}

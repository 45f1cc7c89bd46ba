// browser.c - see browser.h.
// Source:  xdg-open: freedesktop.org, xdg-utils.
#include "browser.h"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <unistd.h>

extern char **environ;

bool browser_open(const char *address)
{
    char *words[] = {"xdg-open", (char *)address, NULL};
    posix_spawn_file_actions_t files;
    posix_spawnattr_t attributes;
    sigset_t none;
    pid_t child;
    posix_spawn_file_actions_init(&files);
    posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, "/dev/null", O_WRONLY, 0); // what browsers say is no result of ours
    posix_spawn_file_actions_addopen(&files, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawnattr_init(&attributes);
    sigemptyset(&none);
    posix_spawnattr_setsigmask(&attributes, &none);
    posix_spawnattr_setpgroup(&attributes, 0); // Ctrl-C here ends the program, not the browser
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETPGROUP);
    bool done = posix_spawnp(&child, words[0], &files, &attributes, words, environ) == 0;
    posix_spawnattr_destroy(&attributes);
    posix_spawn_file_actions_destroy(&files);
    return done;
}

// kit_folder.c - see kit_folder.h.
#include "kit_folder.h"

#include "carry.h"
#include "disk.h"

#include "base/text.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define NAMES_TRIED 100
#define PLACES_TRIED 20             // others may come and go while we look for ours

// ---- what builds that were killed have left ----

// "kit.new-4711-0" -> 4711, "kit.new-4711-0.old" as well; 0 for all other names.
static long builder_of(const char *name, const char *kit, bool *is_old)
{
    size_t size = strlen(kit);
    char *end;
    if (strncmp(name, kit, size) != 0 || strncmp(name + size, ".new-", 5) != 0) return 0;
    const char *digits = name + size + 5;
    long pid = strtol(digits, &end, 10);
    if (*digits < '1' || *digits > '9' || *end != '-' || pid > INT_MAX) return 0;
    digits = end + 1;
    size = strspn(digits, "0123456789");
    *is_old = strcmp(digits + size, ".old") == 0;
    return size > 0 && (*is_old || digits[size] == 0) ? pid : 0;
}

// The number alone would not do: it is given again, and another machine or container that shares the disk counts anew.
static bool builder_lives(long pid, int parent, const char *name)
{
    if (kill((pid_t)pid, 0) == 0 || errno != ESRCH) return true;
    int folder = openat(parent, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    bool locked = folder < 0 || flock(folder, LOCK_EX | LOCK_NB) != 0;
    if (folder >= 0) close(folder);
    return locked;
}

// What is the maker's goes into the kit that is there now; false when there is none, or something had to stay.
static bool carry_between(int parent, const char *from_name, const char *to_name, char stays[CARRY_NAME_MAX])
{
    const int how = O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC;
    int from = openat(parent, from_name, how), to = openat(parent, to_name, how);
    bool is_kit = to >= 0 && faccessat(to, "kit.json", F_OK, 0) == 0;
    snprintf(stays, CARRY_NAME_MAX, "%s", "what is yours");
    bool good = from >= 0 && is_kit && carry_over(from, to, stays);
    if (from >= 0) close(from);
    if (to >= 0) close(to);
    return good;
}

// A kit that stood aside (see step_aside) and whose replacement never came goes back to its place. A kit that was being
// replaced may still hold what is the maker's.
static void tidy_up(int parent, const char *name, const char *kit, bool is_old)
{
    if (is_old && renameat2(parent, name, parent, kit, RENAME_NOREPLACE) == 0) return;
    if (is_old && faccessat(parent, kit, F_OK, AT_SYMLINK_NOFOLLOW) != 0) return;
    char stays[CARRY_NAME_MAX];
    (void)carry_between(parent, name, kit, stays); // what has to stay does so in its folder, which is left then
    carry_remove_kit(parent, name);
}

static void remove_left_overs(const char *target)
{
    char folder[PATH_MAX];
    const char *slash = strrchr(target, '/'), *kit = slash ? slash + 1 : target;
    if (strlen(target) + 2 > sizeof folder) return;
    snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - target) + 1 : 1, slash ? target : ".");
    DIR *entries = opendir(folder);
    for (struct dirent *entry; entries && (entry = readdir(entries));) {
        bool is_old;
        long pid = builder_of(entry->d_name, kit, &is_old);
        if (pid && !builder_lives(pid, dirfd(entries), entry->d_name)) tidy_up(dirfd(entries), entry->d_name, kit, is_old);
    }
    if (entries) closedir(entries);
}

// ---- the place ----

static bool is_empty_folder(const char *folder)
{
    DIR *entries = opendir(folder);
    if (!entries) return false;
    int names = 0;
    while (readdir(entries)) names++;
    closedir(entries);
    return names <= 2; // itself and its parent
}

// An empty folder or one with a kit.json may be replaced; anything else is somebody's own.
static bool is_replaceable(const char *folder)
{
    struct stat info;
    if (lstat(folder, &info) != 0 || !S_ISDIR(info.st_mode)) return false;
    Arena arena = arena_make(0);
    Text path = text_make(&arena);
    text_add(&path, folder);
    text_add(&path, "/kit.json");
    bool is_kit = !path.failed && access(path.bytes, F_OK) == 0;
    arena_free(&arena);
    return is_kit || is_empty_folder(folder);
}

static bool check_target(const char *target, bool replace, bool *is_there, Error *err)
{
    char shown[SHOWN_MAX];
    struct stat info;
    *is_there = lstat(target, &info) == 0;
    if (!*is_there) return errno == ENOENT || disk_cannot(err, ERROR_SYSTEM, "look at", target);
    shown_path(target, shown);
    if (!S_ISDIR(info.st_mode))
        return error_set(err, ERROR_JOB, "%s is there already and is not a folder; name another place with -o", shown);
    if (!replace)
        return error_set(err, ERROR_JOB, "%s is there already; replace it with --force, or name another place with -o", shown);
    if (!is_replaceable(target))
        return error_set(err, ERROR_JOB, "%s is not a kit, so it is not replaced; name another place with -o", shown);
    return true;
}

bool kit_folder_begin(const char *target, bool replace, Arena *keep, KitFolder *out, Error *err)
{
    *out = (KitFolder){.may_replace = replace, .lock = -1};
    size_t size = strlen(target);
    while (size > 1 && target[size - 1] == '/') size--;
    char *own = arena_new(keep, char, size + 1);
    char *temporary = arena_new(keep, char, size + 32);
    if (!own || !temporary) return error_memory(err);
    memcpy(own, target, size);
    remove_left_overs(own);
    if (!check_target(own, replace, &out->replaces, err)) return false;

    for (int i = 0; i < NAMES_TRIED; i++) {
        snprintf(temporary, size + 32, "%s.new-%d-%d", own, (int)getpid(), i);
        if (mkdir(temporary, 0777) == 0) {
            out->target = own;
            out->temporary = temporary;
            out->lock = open(temporary, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
            if (out->lock >= 0) (void)flock(out->lock, LOCK_EX | LOCK_NB); // where there are no locks the number must do
            return true;
        }
        if (errno != EEXIST) return disk_cannot(err, ERROR_SYSTEM, "make a folder beside", own);
    }
    return disk_cannot(err, ERROR_SYSTEM, "make a folder beside", own);
}

// ---- writing ----

static bool write_bytes(int file, const FileBytes *bytes)
{
    size_t done = 0;
    while (done < bytes->size_bytes) {
        ssize_t put = write(file, bytes->bytes + done, bytes->size_bytes - done);
        if (put < 0 && errno == EINTR) continue;
        if (put <= 0) return false;
        done += (size_t)put;
    }
    return true;
}

static bool write_file(const char *path, const FileBytes *bytes, Error *err)
{
    int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (file < 0) return disk_cannot(err, ERROR_SYSTEM, "write", path);
    bool done = write_bytes(file, bytes) && fsync(file) == 0;
    int why = errno;
    if (close(file) != 0 && done) {
        done = false;
        why = errno;
    }
    errno = why;
    return done || disk_cannot(err, ERROR_SYSTEM, "write", path);
}

// Makes the folders that lead to a file inside `folder`; the name's own part is left alone.
static bool make_folders(char *path, size_t folder_size, Error *err)
{
    for (char *p = path + folder_size + 1; (p = strchr(p, '/')); p++) {
        *p = 0;
        bool made = mkdir(path, 0777) == 0 || errno == EEXIST;
        if (!made) return disk_cannot(err, ERROR_SYSTEM, "make the folder", path);
        *p = '/';
    }
    return true;
}

bool kit_folder_write(const KitFolder *folder, const FileSet *files, const Work *work, Error *err)
{
    Arena arena = arena_make(0);
    bool done = true;
    for (int i = 0; i < files->count && done; i++) {
        Text path = text_make(&arena);
        text_add(&path, folder->temporary);
        text_add(&path, "/");
        text_add(&path, files->items[i].name);
        done = work_goes_on(work, err) && text_is_whole(&path, err) &&
               make_folders(path.bytes, strlen(folder->temporary), err) && write_file(path.bytes, &files->items[i], err);
    }
    arena_free(&arena);
    return done;
}

// ---- the exchange ----

// Where the file system can exchange nothing (that of many memory sticks): the old kit steps aside, and comes back when
// the new one cannot take its place. `temporary` then holds what has been replaced.
static bool step_aside(const KitFolder *folder)
{
    if (!folder->replaces) return rename(folder->temporary, folder->target) == 0;
    Arena arena = arena_make(0);
    Text aside = text_make(&arena);
    text_add(&aside, folder->temporary);
    text_add(&aside, ".old");
    bool done = !aside.failed && rename(folder->target, aside.bytes) == 0;
    if (done && rename(folder->temporary, folder->target) != 0) {
        int why = errno;
        rename(aside.bytes, folder->target);
        errno = why;
        done = false;
    }
    if (done) rename(aside.bytes, folder->temporary);
    arena_free(&arena);
    return done;
}

static bool exchange(const KitFolder *folder)
{
    unsigned how = folder->replaces ? RENAME_EXCHANGE : RENAME_NOREPLACE;
    if (renameat2(AT_FDCWD, folder->temporary, AT_FDCWD, folder->target, how) == 0) return true;
    return (errno == EINVAL || errno == ENOSYS) && step_aside(folder);
}

// What was there at the beginning may have gone meanwhile, and another kit may have come.
static bool put_in_place(KitFolder *folder)
{
    for (int i = 0; i < PLACES_TRIED; i++) {
        if (exchange(folder)) return true;
        int why = errno;
        bool has_gone = folder->replaces && why == ENOENT;
        bool has_come = !folder->replaces && why == EEXIST && folder->may_replace && is_replaceable(folder->target);
        errno = why;
        if (!has_gone && !has_come) return false;
        folder->replaces = has_come;
    }
    return false;
}

static bool check_makers_own(const KitFolder *folder, Error *err)
{
    const int how = O_RDONLY | O_DIRECTORY | O_CLOEXEC;
    char shown[SHOWN_MAX], inner[SHOWN_MAX], stays[CARRY_NAME_MAX];
    int old = open(folder->target, how), new = open(folder->temporary, how);
    bool fits = old < 0 || new < 0 || carry_would_fit(old, new, stays); // what cannot be opened is said when it is moved
    if (old >= 0) close(old);
    if (new >= 0) close(new);
    if (fits) return true;
    return error_set(err, ERROR_JOB, "%s in %s is your own, and the new kit needs its name; rename it, or name another place with -o",
                     shown_path(stays, inner), shown_path(folder->target, shown));
}

// `temporary` is the name of what was replaced.
static bool clear_replaced(KitFolder *folder, Error *err)
{
    char shown[SHOWN_MAX], inner[SHOWN_MAX], left[SHOWN_MAX], stays[CARRY_NAME_MAX];
    bool carried = carry_between(AT_FDCWD, folder->temporary, folder->target, stays);
    carry_remove_kit(AT_FDCWD, folder->temporary);
    const char *old = folder->temporary;
    struct stat info;
    carried |= lstat(old, &info) != 0; // nothing was left in it
    folder->temporary = NULL;
    kit_folder_abandon(folder);
    return carried || error_set(err, ERROR_SYSTEM, "the new kit is in %s, but %s could not be moved into it and is still in %s; move it yourself",
                                shown_path(folder->target, shown), shown_path(stays, inner), shown_path(old, left));
}

bool kit_folder_finish(KitFolder *folder, const Work *work, Error *err)
{
    char shown[SHOWN_MAX];
    if (!work_goes_on(work, err)) return false;
    if (folder->replaces && !check_makers_own(folder, err)) return false;
    if (!put_in_place(folder)) {
        if (errno == EEXIST || errno == ENOTEMPTY)
            return error_set(err, ERROR_JOB, "%s has appeared meanwhile; replace it with --force, or name another place with -o",
                             shown_path(folder->target, shown));
        return disk_cannot(err, ERROR_SYSTEM, "put the kit in its place", folder->target);
    }
    // `temporary` is now the name of what was replaced. Somebody's own that took the kit's place meanwhile goes back.
    if (folder->replaces && !is_replaceable(folder->temporary) && exchange(folder))
        return error_set(err, ERROR_JOB, "%s has changed meanwhile and is no kit, so it is not replaced; name another place with -o",
                         shown_path(folder->target, shown));
    if (folder->replaces) return clear_replaced(folder, err);
    folder->temporary = NULL;
    kit_folder_abandon(folder);
    return true;
}

void kit_folder_abandon(KitFolder *folder)
{
    if (folder->temporary) carry_remove_kit(AT_FDCWD, folder->temporary);
    if (folder->target && folder->lock >= 0) close(folder->lock);
    *folder = (KitFolder){.target = folder->target, .lock = -1};
}

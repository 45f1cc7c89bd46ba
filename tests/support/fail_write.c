// fail_write.c - a disk that refuses once, for a program that knows nothing of it: a library for LD_PRELOAD.
// Calls that change the disk (write, pwrite, fsync, mkdir, open with O_CREAT, close of what was so opened, rename, unlink)
// are counted from 0. Environment:
//   FAIL_AT     number of the call that fails: half of a write is done, everything else not at all
//   FAIL_MARK   a file that is made when that call has been reached, with the call's name in it
//   FAIL_CHILD  set: count in the decoding child, and only there; else in the program, and only there
//   FAIL_KILL   set: instead of failing, that call ends the program as kill -9 does
//   FAIL_EXCHANGE  set: folders cannot be exchanged in one step, as on many memory sticks
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#define MOST_FILES 1024

static atomic_long counted;
static atomic_bool created[MOST_FILES]; // by descriptor

static void *next(const char *name)
{
    void *function = dlsym(RTLD_NEXT, name);
    if (!function) abort();
    return function;
}

static bool is_child(void)
{
    char words[4096];
    int file = (int)syscall(SYS_openat, AT_FDCWD, "/proc/self/cmdline", O_RDONLY);
    long size = syscall(SYS_read, file, words, sizeof words - 1);
    syscall(SYS_close, file);
    if (size <= 0) return false;
    words[size] = 0;
    size_t first = strlen(words) + 1;
    return first < (size_t)size && strcmp(words + first, "--decode-child") == 0;
}

static bool fails_now(const char *name)
{
    const char *at = getenv("FAIL_AT"), *mark = getenv("FAIL_MARK");
    if (!at || is_child() != (getenv("FAIL_CHILD") != NULL)) return false;
    if (atomic_fetch_add(&counted, 1) != strtol(at, NULL, 10)) return false;
    if (mark) {
        int file = (int)syscall(SYS_openat, AT_FDCWD, mark, O_WRONLY | O_CREAT, 0666);
        if (syscall(SYS_write, file, name, strlen(name)) < 0) abort();
        syscall(SYS_close, file);
    }
    if (getenv("FAIL_KILL")) raise(SIGKILL);
    return true;
}

static int refuse(int why)
{
    errno = why;
    return -1;
}

ssize_t write(int file, const void *bytes, size_t size)
{
    ssize_t (*real)(int, const void *, size_t) = next("write");
    if (!fails_now("write")) return real(file, bytes, size);
    if (real(file, bytes, size / 2) < 0) return -1;
    return refuse(ENOSPC);
}

ssize_t pwrite64(int file, const void *bytes, size_t size, off64_t at)
{
    ssize_t (*real)(int, const void *, size_t, off64_t) = next("pwrite64");
    return fails_now("pwrite") ? refuse(ENOSPC) : real(file, bytes, size, at);
}

int fsync(int file)
{
    int (*real)(int) = next("fsync");
    return fails_now("fsync") ? refuse(EIO) : real(file);
}

int mkdir(const char *path, mode_t mode)
{
    int (*real)(const char *, mode_t) = next("mkdir");
    return fails_now("mkdir") ? refuse(ENOSPC) : real(path, mode);
}

int open64(const char *path, int flags, ...)
{
    int (*real)(const char *, int, ...) = next("open64");
    if (!(flags & O_CREAT)) return real(path, flags);
    va_list args;
    va_start(args, flags);
    int mode = va_arg(args, int);
    va_end(args);
    if (fails_now("open")) return refuse(ENOSPC);
    int file = real(path, flags, mode);
    if (file >= 0 && file < MOST_FILES) atomic_store(&created[file], true);
    return file;
}

int close(int file)
{
    int (*real)(int) = next("close");
    bool ours = file >= 0 && file < MOST_FILES && atomic_exchange(&created[file], false);
    int result = real(file);
    return ours && fails_now("close") ? refuse(EIO) : result;
}

int renameat2(int from_folder, const char *from, int to_folder, const char *to, unsigned flags)
{
    int (*real)(int, const char *, int, const char *, unsigned) = next("renameat2");
    if (flags && getenv("FAIL_EXCHANGE")) return refuse(EINVAL);
    return fails_now("rename") ? refuse(EIO) : real(from_folder, from, to_folder, to, flags);
}

int rename(const char *from, const char *to)
{
    int (*real)(const char *, const char *) = next("rename");
    return fails_now("rename") ? refuse(EIO) : real(from, to);
}

int renameat(int from_folder, const char *from, int to_folder, const char *to)
{
    int (*real)(int, const char *, int, const char *) = next("renameat");
    return fails_now("rename") ? refuse(EIO) : real(from_folder, from, to_folder, to);
}

int unlinkat(int folder, const char *name, int flags)
{
    int (*real)(int, const char *, int) = next("unlinkat");
    return fails_now("unlink") ? refuse(EIO) : real(folder, name, flags);
}

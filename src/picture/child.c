// child.c - see child.h. A file that makes a decoder crash, hang or ask for all memory costs one child, nothing else.
#include "picture/child.h"

#include "picture/jpeg_means.h"
#include "picture/raster_read.h"

#include <errno.h>
#include <fcntl.h>
#include <malloc.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#define CHILD_IN_FD 3
#define CHILD_OUT_FD 4
#define CHILD_LIFE_FD 5
#define ANSWER_MAGIC 0x504d4331u         // "PMC1"
#define HEADER_MAGIC 0x504d4330u         // not the answer yet: the size of what is being read
#define BASE_ADDRESS_BYTES (300.0 * 1e6) // the program, its libraries and their tables
#define ADDRESS_BYTES_PER_PX 10.0        // two copies of 4 bytes (one more while a picture is turned), rows in work
#define BASE_CPU_S 20.0
#define CPU_S_PER_MPX 2.0 // some fifty times what a slow machine needs
#define WAIT_FOR_CPU 3.0 // seconds waited for each second of work allowed: the machine may be busy
#define POLL_MS 10

#if defined(__SANITIZE_ADDRESS__)
#define UNDER_SANITIZER 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define UNDER_SANITIZER 1
#endif
#endif
#ifndef UNDER_SANITIZER
#define UNDER_SANITIZER 0
#endif

extern char **environ;

typedef struct ChildAnswer {
    uint32_t magic;
    int32_t width_px, height_px; // 0 when the picture could not be read
    int32_t error_kind;
    BlockMeans means[PICTURE_MEANS]; // without their multiples, which come after the pixels; a step of 0: there are none
    char text[512];
} ChildAnswer;

// ---- the child's side ----

static void limit_resource(int which, double amount)
{
    struct rlimit limit;
    if (getrlimit(which, &limit)) return;
    rlim_t wanted = (rlim_t)amount;
    if (limit.rlim_max != RLIM_INFINITY && wanted > limit.rlim_max) wanted = limit.rlim_max;
    limit.rlim_cur = wanted; // the hard limit stays: the second, larger limit is set once the header is known
    (void)setrlimit(which, &limit);
}

static void limit_address_space(double px)
{
    // Sanitizers reserve terabytes of address space and stop at once under a limit.
    if (!UNDER_SANITIZER) limit_resource(RLIMIT_AS, BASE_ADDRESS_BYTES + ADDRESS_BYTES_PER_PX * px);
}

static bool write_all(int fd, const void *bytes, size_t size_bytes, off_t at)
{
    const char *from = bytes;
    while (size_bytes) {
        ssize_t done = pwrite(fd, from, size_bytes, at);
        if (done < 0 && errno == EINTR) continue;
        if (done <= 0) return false;
        from += done, at += done, size_bytes -= (size_t)done;
    }
    return true;
}

static bool send_pixels(void *taker, const Picture *decoded, Error *err)
{
    ChildAnswer *answer = taker;
    size_t size_bytes = (size_t)decoded->width_px * (size_t)decoded->height_px * 4;
    off_t at = (off_t)sizeof *answer;
    if (!write_all(CHILD_OUT_FD, decoded->rgba, size_bytes, at)) return error_set(err, ERROR_SYSTEM, "not enough memory for the picture's pixels");
    at += (off_t)size_bytes;
    for (int i = 0; picture_has_means(decoded) && i < PICTURE_MEANS; i++) {
        size_bytes = block_means_count(&decoded->means[i]) * sizeof(int16_t);
        if (!write_all(CHILD_OUT_FD, decoded->means[i].multiples, size_bytes, at)) return error_set(err, ERROR_SYSTEM, "not enough memory for the means of the picture's blocks");
        at += (off_t)size_bytes;
        answer->means[i] = decoded->means[i];
        answer->means[i].multiples = NULL;
    }
    answer->width_px = decoded->width_px;
    answer->height_px = decoded->height_px;
    return true;
}

static bool decode_for_parent(double limit_px, ChildAnswer *answer, Error *err)
{
    struct stat in;
    if (fstat(CHILD_IN_FD, &in)) return error_set(err, ERROR_SYSTEM, "the decoder was started without a picture");
    size_t size_bytes = (size_t)in.st_size;
    const void *bytes = size_bytes ? mmap(NULL, size_bytes, PROT_READ, MAP_PRIVATE, CHILD_IN_FD, 0) : "";
    if (bytes == MAP_FAILED) return error_memory(err);
    RasterSize size;
    limit_resource(RLIMIT_CPU, BASE_CPU_S);
    double claimed_px = fmin(raster_claimed_px(bytes, size_bytes), limit_px);
    limit_address_space(claimed_px + (double)size_bytes / ADDRESS_BYTES_PER_PX);
    if (!raster_library_start(err)) return false;
    if (!raster_read_header(bytes, size_bytes, limit_px, &size, err)) return false;
    double px = (double)size.width_px * size.height_px;
    limit_address_space(px + claimed_px + (double)size_bytes / ADDRESS_BYTES_PER_PX);
    limit_resource(RLIMIT_CPU, BASE_CPU_S + CPU_S_PER_MPX * px / 1e6);
    ChildAnswer header = {.magic = HEADER_MAGIC, .width_px = size.width_px, .height_px = size.height_px};
    if (!write_all(CHILD_OUT_FD, &header, sizeof header, 0)) return error_memory(err);
    return raster_read(bytes, size_bytes, limit_px, send_pixels, answer, err);
}

int picture_child_main(int argc, char **argv)
{
    prctl(PR_SET_PDEATHSIG, SIGKILL); // nobody would read the answer
    mallopt(M_ARENA_MAX, 1);          // each arena reserves 64 MB of address space
    struct rlimit no_core = {0, 0};
    (void)setrlimit(RLIMIT_CORE, &no_core);
    double limit_px = argc > 2 ? strtod(argv[2], NULL) : PICTURE_DEFAULT_LIMIT_PX;
    ChildAnswer answer = {.magic = ANSWER_MAGIC};
    Error err = {0};
    if (!decode_for_parent(limit_px, &answer, &err)) {
        answer.width_px = answer.height_px = 0;
        answer.error_kind = (int32_t)err.kind;
        snprintf(answer.text, sizeof answer.text, "%s", err.text);
    }
    return write_all(CHILD_OUT_FD, &answer, sizeof answer, 0) ? 0 : 1;
}

// ---- the parent's side ----

typedef struct Descriptors {
    int in, out, life_read, life_write;
} Descriptors;

static void close_one(int *fd)
{
    if (*fd >= 0) close(*fd);
    *fd = -1;
}

static void descriptors_close(Descriptors *d)
{
    close_one(&d->in);
    close_one(&d->out);
    close_one(&d->life_read);
    close_one(&d->life_write);
}

// Moves a descriptor above the child's numbers, so that putting one in place never overwrites another.
static int above_child_numbers(int fd)
{
    if (fd < 0) return -1;
    int moved = fcntl(fd, F_DUPFD_CLOEXEC, 16);
    close(fd);
    return moved;
}

static bool descriptors_open(const void *bytes, size_t size_bytes, Descriptors *d)
{
    int life[2] = {-1, -1};
    *d = (Descriptors){-1, -1, -1, -1};
    if (pipe2(life, O_CLOEXEC)) return false;
    d->life_read = above_child_numbers(life[0]);
    d->life_write = above_child_numbers(life[1]);
    d->in = above_child_numbers(memfd_create("picture", MFD_CLOEXEC));
    d->out = above_child_numbers(memfd_create("pixels", MFD_CLOEXEC));
    return d->life_read >= 0 && d->life_write >= 0 && d->in >= 0 && d->out >= 0 &&
           write_all(d->in, bytes, size_bytes, 0);
}

// The keyboard's wish to stop reaches the whole group of processes. It is for the parent to answer it: a child that died
// of it would look like one that crashed.
static bool keep_signals_off(posix_spawnattr_t *attributes)
{
    sigset_t signals;
    sigemptyset(&signals);
    sigaddset(&signals, SIGINT);
    sigaddset(&signals, SIGTERM);
    return !posix_spawnattr_setsigmask(attributes, &signals) &&
           !posix_spawnattr_setflags(attributes, POSIX_SPAWN_SETSIGMASK);
}

static bool start_child(const PictureOptions *options, const Descriptors *d, pid_t *pid)
{
    char limit[32], word[] = PICTURE_CHILD_WORD;
    snprintf(limit, sizeof limit, "%.0f", options->limit_px);
    char *argv[] = {(char *)(uintptr_t)options->child_program, word, limit, NULL};
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    if (posix_spawn_file_actions_init(&actions)) return false;
    if (posix_spawnattr_init(&attributes)) {
        posix_spawn_file_actions_destroy(&actions);
        return false;
    }
    bool ready = keep_signals_off(&attributes) &&
                 !posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDWR, 0) &&
                 !posix_spawn_file_actions_adddup2(&actions, 0, 1) &&
                 !posix_spawn_file_actions_adddup2(&actions, 0, 2) && // what the libraries print is not for makers
                 !posix_spawn_file_actions_adddup2(&actions, d->in, CHILD_IN_FD) &&
                 !posix_spawn_file_actions_adddup2(&actions, d->out, CHILD_OUT_FD) &&
                 !posix_spawn_file_actions_adddup2(&actions, d->life_write, CHILD_LIFE_FD) &&
                 !posix_spawn(pid, options->child_program, &actions, &attributes, argv, environ);
    posix_spawnattr_destroy(&attributes);
    posix_spawn_file_actions_destroy(&actions);
    return ready;
}

static bool read_all(int fd, void *bytes, size_t size_bytes, off_t at)
{
    char *to = bytes;
    while (size_bytes) {
        ssize_t done = pread(fd, to, size_bytes, at);
        if (done < 0 && errno == EINTR) continue;
        if (done <= 0) return false;
        to += done, at += done, size_bytes -= (size_t)done;
    }
    return true;
}

// How long to wait for the child: a limit of processor time does not stop one that sleeps.
static double allowed_s(const PictureOptions *options, int out_fd)
{
    ChildAnswer header;
    if (options->wait_s > 0.0) return options->wait_s;
    bool is_there = read_all(out_fd, &header, sizeof header, 0) && header.magic == HEADER_MAGIC;
    double px = is_there ? fmin((double)header.width_px * header.height_px, options->limit_px) : 0.0;
    return WAIT_FOR_CPU * (BASE_CPU_S + CPU_S_PER_MPX * fmax(px, 0.0) / 1e6);
}

// Waits until the child's end of the pipe closes; kills the child when the work is to stop, or when it takes too long.
static bool wait_for_child(pid_t pid, const Descriptors *d, const PictureOptions *options, const char *name, Work *work,
                           int *status, Error *err)
{
    bool goes_on = true;
    struct pollfd life = {.fd = d->life_read, .events = POLLIN};
    for (int polls = 0; goes_on; polls++) { // each takes POLL_MS at least: no clock is needed
        int ready = poll(&life, 1, POLL_MS);
        if (ready > 0) break;
        double waited_s = polls * (POLL_MS / 1000.0);
        goes_on = work_goes_on(work, err);
        if (goes_on && waited_s > allowed_s(options, d->out))
            goes_on = error_set(err, ERROR_INPUT, "%s: reading this picture took more than %.0f s; open it in a paint "
                                "program and save it anew as PNG", name, waited_s);
        if (!goes_on) kill(pid, SIGKILL);
    }
    while (waitpid(pid, status, 0) < 0 && errno == EINTR) {
    }
    return goes_on;
}

// Whether there are any and of what shape is the child's word, and not believed.
static bool take_means(int out_fd, const ChildAnswer *answer, off_t at, const char *name, Arena *keep, Picture *out, Error *err)
{
    if (answer->means[0].step == 0) return true;
    for (int i = 0; i < PICTURE_MEANS; i++) {
        BlockMeans m = answer->means[i];
        if (!block_means_fit(&m, out->width_px, out->height_px)) return error_set(err, ERROR_SYSTEM, "%s: the decoder answered with blocks that do not fit the picture", name);
        size_t count = block_means_count(&m), size_bytes = count * sizeof *m.multiples;
        m.multiples = arena_new(keep, int16_t, count);
        if (!m.multiples) return error_memory(err);
        if (!read_all(out_fd, m.multiples, size_bytes, at)) return error_set(err, ERROR_SYSTEM, "%s: the decoder's answer was cut off; is the memory full?", name);
        at += (off_t)size_bytes;
        out->means[i] = m;
    }
    return true;
}

static bool take_answer(int out_fd, int status, const char *name, double limit_px, Arena *keep, Picture *out,
                        Error *err)
{
    ChildAnswer answer;
    if (!read_all(out_fd, &answer, sizeof answer, 0) || answer.magic != ANSWER_MAGIC) {
        if (WIFEXITED(status))
            return error_set(err, ERROR_SYSTEM,
                             "%s: the decoding program ended without an answer (code %d); install "
                             "the program again",
                             name, WEXITSTATUS(status));
        return error_set(err, ERROR_INPUT,
                         "%s: reading this picture failed badly (signal %d); open it in a paint "
                         "program and save it as a new PNG",
                         name, WTERMSIG(status));
    }
    answer.text[sizeof answer.text - 1] = 0;
    if (answer.width_px <= 0 || answer.height_px <= 0)
        return error_set(err, answer.error_kind == ERROR_SYSTEM ? ERROR_SYSTEM : ERROR_INPUT, "%s: %s", name,
                         answer.text);
    double px = (double)answer.width_px * answer.height_px;
    if (px > limit_px) return error_set(err, ERROR_SYSTEM, "%s: the decoder answered with a wrong size", name);
    size_t size_bytes = (size_t)answer.width_px * (size_t)answer.height_px * 4;
    uint8_t *rgba = arena_new(keep, uint8_t, size_bytes);
    if (!rgba) return error_memory(err);
    if (!read_all(out_fd, rgba, size_bytes, (off_t)sizeof answer))
        return error_set(err, ERROR_SYSTEM, "%s: the decoder's answer was cut off; is the memory full?", name);
    Picture picture = {.width_px = answer.width_px, .height_px = answer.height_px, .rgba = rgba};
    if (!take_means(out_fd, &answer, (off_t)(sizeof answer + size_bytes), name, keep, &picture, err)) return false;
    *out = picture;
    return true;
}

bool child_read(const void *bytes, size_t size_bytes, const char *name, const PictureOptions *options, Arena *keep,
                Work *work, Picture *out, Error *err)
{
    Descriptors d;
    pid_t pid = 0;
    int status = 0;
    bool good = false;
    if (!descriptors_open(bytes, size_bytes, &d)) {
        error_set(err, ERROR_SYSTEM, "%s: no memory or no descriptors left to read the picture", name);
    } else if (!start_child(options, &d, &pid)) {
        error_set(err, ERROR_SYSTEM, "%s: the decoding program \"%s\" could not be started", name,
                  options->child_program);
    } else {
        close_one(&d.life_write);
        good = wait_for_child(pid, &d, options, name, work, &status, err) && work_goes_on(work, err) &&
               take_answer(d.out, status, name, options->limit_px, keep, out, err);
    }
    descriptors_close(&d);
    return good;
}

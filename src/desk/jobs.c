// jobs.c - jobs come onto the table: from a picture, from the maker's folder, from a path; and are kept under another name.
#include "desk/jobs.h"

#include "desk/answer.h"
#include "desk/change.h"
#include "desk/ticks.h"

#include "picture/drawing.h"
#include "store/read_whole.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#define JOB_END ".pmason"
#define JOBS_LISTED 500

// ---- names ----

// A name from outside as it can be shown: control characters and what is no UTF-8 become '?'.
static const char *printable(const char *name, Arena *keep)
{
    char *out = arena_text(keep, name && name[0] ? name : "picture");
    bool whole = out && text_is_utf8(out, strlen(out));
    for (char *c = out; c && *c; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f || ((unsigned char)*c >= 0x80 && !whole)) *c = '?';
    if (out && strlen(out) > 150) {
        size_t size = 150;
        while (((unsigned char)out[size] & 0xc0) == 0x80) size--;
        out[size] = 0;
    }
    return out;
}

// "pictures/My balloon.png" -> "My-balloon"
static void safe_stem(const char *name, char out[64])
{
    char stem[256];
    const char *slash = strrchr(name, '/');
    snprintf(stem, sizeof stem, "%s", slash ? slash + 1 : name);
    char *dot = strrchr(stem, '.');
    if (dot && dot != stem) *dot = 0;
    text_safe_name(stem, out, 64);
}

static bool make_folder(const char *path, Error *err)
{
    char part[PATH_MAX];
    if ((size_t)snprintf(part, sizeof part, "%s", path) >= sizeof part) return error_set(err, ERROR_SYSTEM, "the name of the folder for jobs is too long");
    for (char *at = part + 1; *at; at++) {
        if (*at != '/') continue;
        *at = 0;
        if (mkdir(part, 0700) != 0 && errno != EEXIST) break;
        *at = '/';
    }
    struct stat info;
    if ((mkdir(part, 0700) == 0 || errno == EEXIST) && stat(part, &info) == 0 && S_ISDIR(info.st_mode)) return true;
    return error_set(err, ERROR_SYSTEM, "the folder for jobs cannot be made: %.200s: %s", path, strerror(errno));
}

// FOLDER/NAME.pmason, or NAME-2.pmason ... where there is one already.
static bool free_path(const Desk *desk, const char *name, Arena *keep, const char **out, Error *err)
{
    if (!make_folder(desk->options.job_folder, err)) return false;
    for (int n = 1; n < 10000; n++) {
        char number[8] = "";
        if (n > 1) snprintf(number, sizeof number, "-%d", n);
        Text text = text_make(keep);
        text_printf(&text, "%s/%s%s" JOB_END, desk->options.job_folder, name, number);
        if (!text_is_whole(&text, err)) return false;
        *out = text.bytes;
        if (access(text.bytes, F_OK) != 0) return true;
    }
    return error_set(err, ERROR_SYSTEM, "there are too many jobs called %s; take some of them out of %.200s", name, desk->options.job_folder);
}

// ---- onto the table ----

static bool make_source(JobFile *file, Source **out, JobFileContent *content, Error *err)
{
    Arena arena = arena_make(0);
    Source *source = arena_new(&arena, Source, 1);
    *out = source;
    if (!source) return error_memory(err);
    *source = (Source){.arena = arena, .users = 1};
    if (job_file_read(file, &source->arena, content, err)) {
        source->picture = (FileBytes){content->picture_name, content->picture.bytes, content->picture.size_bytes};
        source->kit_name = content->name;
        return true;
    }
    source_release(source);
    *out = NULL;
    return false;
}

static bool take_content(Desk *desk, const char *path, const JobFileContent *content, Error *err)
{
    desk->path = arena_text(&desk->job_arena, path);
    desk->name = arena_text(&desk->job_arena, content->name);
    if (!desk->path || !desk->name) return error_memory(err);
    for (size_t i = 0; i < content->docket.count; i++) {
        const DocketLine *line = &content->docket.lines[i];
        if (!table_add_line(desk, line->id, line->json, line->struck, err)) return false;
    }
    for (int i = 0; i < content->tick_count; i++)
        if (!ticks_keep(desk, content->ticks[i].piece, content->ticks[i].mark, err)) return false;
    return true;
}

// Takes the file over, also when it fails.
static bool lay(Desk *desk, JobFile *file, const char *path, Error *err)
{
    Source *source;
    JobFileContent content;
    if (!make_source(file, &source, &content, err)) {
        job_file_close(file);
        return false;
    }
    table_clear(desk);
    desk->file = file;
    table_lock(desk);
    source->job = ++desk->job_count;
    desk->source = source;
    table_unlock(desk);
    if (take_content(desk, path, &content, err) && table_changed(desk, 0, true, err)) return true;
    table_clear(desk);
    return false;
}

// ---- pictures ----

// The first bytes of what can be read: a slip of the hand is told before a job is made of it.
static bool looks_like_picture(const void *bytes, size_t size_bytes)
{
    static const struct { size_t at; const char *bytes; size_t size_bytes; } BEGINNINGS[] = {
        {0, "\x89PNG\r\n\x1a\n", 8}, {0, "\xff\xd8\xff", 3}, {0, "GIF8", 4}, {0, "II*\0", 4}, {0, "MM\0*", 4},
        {0, "II+\0", 4}, {0, "MM\0+", 4}, {8, "WEBP", 4}, {4, "ftyp", 4},
    };
    for (size_t i = 0; i < sizeof BEGINNINGS / sizeof BEGINNINGS[0]; i++)
        if (size_bytes >= BEGINNINGS[i].at + BEGINNINGS[i].size_bytes &&
            memcmp((const char *)bytes + BEGINNINGS[i].at, BEGINNINGS[i].bytes, BEGINNINGS[i].size_bytes) == 0)
            return true;
    return false;
}

static bool make_job(Desk *desk, const char *name, const void *bytes, size_t size_bytes, Arena *arena, Error *err)
{
    const char *shown = printable(name, arena), *path;
    char safe[64];
    JobFile *file;
    if (!shown) return error_memory(err);
    safe_stem(shown, safe);
    FileBytes picture = {shown, bytes, size_bytes};
    return free_path(desk, safe, arena, &path, err) && job_file_create(path, safe, shown, &picture, &file, err) && lay(desk, file, path, err);
}

// ---- jobs from elsewhere ----

static bool read_copy(const char *path, Arena *keep, FileBytes *out, Error *err)
{
    struct stat info;
    int file = open(path, O_RDONLY | O_CLOEXEC);
    bool done = file >= 0 && fstat(file, &info) == 0;
    size_t size = 0;
    const char *bytes = done ? read_whole(file, (size_t)info.st_size, keep, &size) : NULL;
    if (file >= 0) close(file);
    *out = (FileBytes){.bytes = bytes, .size_bytes = size};
    if (done && !bytes) return error_memory(err);
    return (done && size == (size_t)info.st_size) || error_set(err, ERROR_SYSTEM, "the copy of the job cannot be read again: %s", strerror(errno));
}

static bool write_whole(const char *path, const void *bytes, size_t size_bytes, Error *err)
{
    int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    bool done = file >= 0;
    for (size_t at = 0; done && at < size_bytes;) {
        ssize_t got = write(file, (const char *)bytes + at, size_bytes - at);
        if (got < 0 && errno == EINTR) continue;
        done = got > 0;
        at += done ? (size_t)got : 0;
    }
    done = done && fsync(file) == 0;
    int why = errno;
    if (file >= 0) close(file);
    return done || error_set(err, ERROR_SYSTEM, "the job cannot be kept in the folder for jobs: %s; make room on the disk, or name another folder", strerror(why));
}

// A job file from another machine is kept in the folder first; one that cannot be opened leaves nothing there.
static bool take_job(Desk *desk, const char *name, const void *bytes, size_t size_bytes, Arena *arena, Error *err)
{
    const char *shown = printable(name, arena), *path;
    char safe[64];
    if (!shown) return error_memory(err);
    safe_stem(shown, safe);
    if (!free_path(desk, safe, arena, &path, err)) return false;
    if (write_whole(path, bytes, size_bytes, err) && jobs_open_path(desk, path, err)) return true;
    unlink(path);
    return false;
}

// The job as one file, for another machine.
bool jobs_copy(Desk *desk, Arena *keep, FileBytes *out, Error *err)
{
    Text path = text_make(keep), name = text_make(keep);
    if (!has_job(desk, err)) return false;
    text_printf(&path, "%s/.copy-%d" JOB_END, desk->options.job_folder, (int)getpid());
    text_printf(&name, "%s" JOB_END, desk->name);
    if (!text_is_whole(&path, err) || !text_is_whole(&name, err)) return false;
    unlink(path.bytes); // of a program that was killed
    bool done = job_file_save_copy(desk->file, path.bytes, desk->name, err) && read_copy(path.bytes, keep, out, err);
    unlink(path.bytes);
    out->name = name.bytes;
    return done;
}

bool jobs_take_picture(Desk *desk, const char *name, const void *bytes, size_t size_bytes, Error *err)
{
    Arena own = arena_make(0);
    if (job_file_looks_like_one(bytes, size_bytes)) {
        bool taken = take_job(desk, name, bytes, size_bytes, &own, err);
        arena_free(&own);
        return taken;
    }
    if (size_bytes > DESK_LARGEST_PICTURE)
        return error_set(err, ERROR_INPUT, "the picture has %zu MB, more than the %zu MB that are taken; make it smaller", size_bytes >> 20, DESK_LARGEST_PICTURE >> 20);
    if (!drawing_check(bytes, size_bytes, err)) return false;
    if (!looks_like_picture(bytes, size_bytes))
        return error_set(err, ERROR_INPUT, "this is not a picture that can be read; PNG, JPEG, WebP, TIFF, GIF and HEIC work");
    Arena arena = arena_make(0);
    bool done = make_job(desk, name, bytes, size_bytes, &arena, err);
    arena_free(&arena);
    return done;
}

bool answer_demo(Desk *desk, const Message *message, Text *reply, Error *err)
{
    (void)message;
    if (!desk->options.demo_bytes) return error_set(err, ERROR_SYSTEM, "this program has no demo picture");
    return jobs_take_picture(desk, "nordersand.png", desk->options.demo_bytes, desk->options.demo_size_bytes, err) &&
           state_write(desk, reply, err);
}

bool jobs_open_path(Desk *desk, const char *path, Error *err)
{
    JobFile *file;
    return job_file_open(path, &file, err) && lay(desk, file, path, err);
}

// ---- the folder ----

typedef struct Entry {
    const char *file;
    time_t when;
} Entry;

static int newest_first(const void *a, const void *b)
{
    const Entry *p = a, *q = b;
    if (p->when != q->when) return p->when > q->when ? -1 : 1;
    return strcmp(p->file, q->file);
}

static bool ends_as_job(const char *name)
{
    size_t size = strlen(name), end = strlen(JOB_END);
    return size > end && strcmp(name + size - end, JOB_END) == 0 && name[0] != '.' && text_is_utf8(name, size);
}

static bool list_jobs(const Desk *desk, Arena *arena, Entry **out, size_t *out_count, Error *err)
{
    size_t capacity = 0;
    *out = NULL;
    *out_count = 0;
    DIR *folder = opendir(desk->options.job_folder);
    if (!folder) return errno == ENOENT || error_set(err, ERROR_SYSTEM, "the folder for jobs cannot be read: %.200s: %s", desk->options.job_folder, strerror(errno));
    bool done = true;
    for (struct dirent *entry; done && (entry = readdir(folder));) {
        struct stat info;
        if (!ends_as_job(entry->d_name) || fstatat(dirfd(folder), entry->d_name, &info, 0) != 0 || !S_ISREG(info.st_mode)) continue;
        Entry *entries = arena_grow(arena, *out, *out_count, &capacity, sizeof *entries);
        const char *name = arena_text(arena, entry->d_name);
        done = (entries && name) || error_memory(err);
        if (!done) break;
        *out = entries;
        entries[(*out_count)++] = (Entry){name, info.st_mtime};
    }
    closedir(folder);
    if (done && *out_count > 0) qsort(*out, *out_count, sizeof **out, newest_first);
    return done;
}

bool answer_jobs(Desk *desk, const Message *message, Text *reply, Error *err)
{
    Entry *entries;
    size_t count;
    if (!list_jobs(desk, message->arena, &entries, &count, err)) return false;
    text_add(reply, ", \"jobs\": [");
    for (size_t i = 0; i < count && i < JOBS_LISTED; i++) {
        char name[300], when[32] = "";
        struct tm utc;
        snprintf(name, sizeof name, "%.*s", (int)(strlen(entries[i].file) - strlen(JOB_END)), entries[i].file);
        if (gmtime_r(&entries[i].when, &utc)) strftime(when, sizeof when, "%Y-%m-%dT%H:%M:%SZ", &utc);
        text_add(reply, i ? ",\n{\"file\": " : "\n{\"file\": ");
        reply_string(reply, entries[i].file);
        reply_key(reply, "name");
        reply_string(reply, name);
        text_printf(reply, ", \"when\": \"%s\"}", when);
    }
    text_add(reply, "]");
    return true;
}

// A file of the folder, by its plain name.
static bool path_of(const Desk *desk, const char *file, Arena *arena, const char **out, Error *err)
{
    if (strchr(file, '/') || !ends_as_job(file)) return error_set(err, ERROR_USAGE, "\"%.60s\" is no job of this folder", file);
    Text text = text_make(arena);
    text_printf(&text, "%s/%s", desk->options.job_folder, file);
    *out = text.bytes;
    return text_is_whole(&text, err);
}

bool answer_open_job(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char *file, *path = NULL;
    return message_text(message, "file", &file, err) && path_of(desk, file, message->arena, &path, err) &&
           jobs_open_path(desk, path, err) && state_write(desk, reply, err);
}

// The copy is what lies on the table from now on.
bool answer_save_as(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char *name, *path = NULL;
    char safe[64];
    if (!has_job(desk, err) || !message_text(message, "name", &name, err)) return false;
    text_safe_name(name, safe, sizeof safe);
    return free_path(desk, safe, message->arena, &path, err) && job_file_save_copy(desk->file, path, safe, err) &&
           jobs_open_path(desk, path, err) && state_write(desk, reply, err);
}

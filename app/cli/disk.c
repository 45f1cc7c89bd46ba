// disk.c - see disk.h.
#include "disk.h"

#include "base/text.h"
#include "store/read_whole.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define KIT_MAX_FILES 20000         // far above the sheets of any piece; a wrong folder is noticed early
#define KIT_LARGEST_BYTES ((size_t)1 << 30)

const char *shown_path(const char *path, char out[SHOWN_MAX])
{
    size_t size = strlen(path);
    bool cut = size >= SHOWN_MAX;
    const char *from = cut ? path + size - (SHOWN_MAX - 4) : path;
    bool whole = text_is_utf8(from, strlen(from));
    char *to = out;
    if (cut) to = stpcpy(to, "...");
    for (; *from; from++) {
        unsigned char c = (unsigned char)*from;
        *to++ = (c < 32 || c == 127 || (c >= 128 && !whole)) ? '?' : (char)c;
    }
    *to = 0;
    return out;
}

// What to do about it. ERROR_INPUT is about something that is read, all else about the kit's place.
static const char *advice(ErrorKind kind, int why)
{
    bool reads = kind == ERROR_INPUT;
    switch (why) {
    case ENOENT:
    case ENOTDIR:
        return reads ? "look at its name and its folder once more" : "make the folder that it should be in";
    case EACCES:
    case EPERM:
    case EROFS:
        return reads ? "get leave to read it, or copy it to a folder of yours" : "name a place of your own with -o";
    case ENOSPC:
    case EDQUOT:
        return "make room on the disk, or name a place on another one with -o";
    case ENAMETOOLONG:
    case ELOOP:
        return reads ? "give it a shorter name" : "name a shorter place with -o";
    default:
        return reads ? "try again, or copy it to another disk first" : "try again, or name another place with -o";
    }
}

bool disk_cannot(Error *err, ErrorKind kind, const char *what, const char *path)
{
    char shown[SHOWN_MAX];
    int why = errno;
    return error_set(err, kind, "cannot %s %s: %s; %s", what, shown_path(path, shown), strerror(why), advice(kind, why));
}

static bool read_plain(int file, const char *path, Arena *keep, FileBytes *out, Error *err)
{
    char shown[SHOWN_MAX];
    struct stat info;
    if (fstat(file, &info) != 0) return disk_cannot(err, ERROR_INPUT, "read", path);
    if (S_ISDIR(info.st_mode)) return error_set(err, ERROR_INPUT, "%s is a folder; name a file", shown_path(path, shown));
    if (!S_ISREG(info.st_mode)) return error_set(err, ERROR_INPUT, "%s is not a plain file; name a file on disk", shown_path(path, shown));
    if ((size_t)info.st_size > DISK_LARGEST_FILE_BYTES)
        return error_set(err, ERROR_INPUT, "%s has %lld MB, more than the %d MB that are read; use a smaller file",
                         shown_path(path, shown), (long long)info.st_size >> 20, (int)(DISK_LARGEST_FILE_BYTES >> 20));
    size_t size = (size_t)info.st_size, done;
    const char *bytes = read_whole(file, size, keep, &done);
    if (!bytes) return error_memory(err);
    if (done < size && errno != 0) return disk_cannot(err, ERROR_INPUT, "read", path);
    *out = (FileBytes){.name = path, .bytes = bytes, .size_bytes = done}; // shorter than it was: its reader judges what is there
    return true;
}

bool disk_read_file(const char *path, Arena *keep, FileBytes *out, Error *err)
{
    *out = (FileBytes){0};
    int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK); // a pipe without writer must not hold us
    if (file < 0) return disk_cannot(err, ERROR_INPUT, "read", path);
    bool done = read_plain(file, path, keep, out, err);
    close(file);
    return done;
}

typedef struct Gathered {
    FileBytes *items;
    size_t count, capacity, size_bytes;
} Gathered;

static bool gather_folder(const char *folder, const char *prefix, int depth, Arena *keep, Gathered *all, Error *err);

static bool gather_entry(const char *folder, const char *name, const char *prefix, int depth, Arena *keep, Gathered *all,
                         Error *err)
{
    Text path = text_make(keep), inner = text_make(keep);
    text_add(&path, folder);
    text_add(&path, "/");
    text_add(&path, name);
    text_add(&inner, prefix);
    text_add(&inner, name);
    if (!text_is_whole(&path, err) || !text_is_whole(&inner, err)) return false;

    struct stat info;
    if (lstat(path.bytes, &info) != 0) return disk_cannot(err, ERROR_INPUT, "read", path.bytes);
    if (S_ISDIR(info.st_mode)) {
        if (depth == 2) return true;
        text_add(&inner, "/");
        return text_is_whole(&inner, err) && gather_folder(path.bytes, inner.bytes, depth + 1, keep, all, err);
    }
    if (!S_ISREG(info.st_mode)) return true;
    char shown[SHOWN_MAX];
    if (all->count == KIT_MAX_FILES || all->size_bytes > KIT_LARGEST_BYTES)
        return error_set(err, ERROR_INPUT, "%s holds far more than a kit does; name the kit's own folder",
                         shown_path(folder, shown));
    FileBytes *items = arena_grow(keep, all->items, all->count, &all->capacity, sizeof *items);
    if (!items) return error_memory(err);
    all->items = items;
    if (!disk_read_file(path.bytes, keep, &items[all->count], err)) return false;
    items[all->count].name = inner.bytes;
    all->size_bytes += items[all->count++].size_bytes;
    return true;
}

static bool gather_folder(const char *folder, const char *prefix, int depth, Arena *keep, Gathered *all, Error *err)
{
    DIR *entries = opendir(folder);
    if (!entries) return disk_cannot(err, ERROR_INPUT, "open the folder", folder);
    bool done = true;
    for (struct dirent *entry; done && (entry = readdir(entries));) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0) continue;
        done = gather_entry(folder, entry->d_name, prefix, depth, keep, all, err);
    }
    closedir(entries);
    return done;
}

bool disk_read_kit(const char *folder, Arena *keep, FileSet *out, Error *err)
{
    *out = (FileSet){0};
    Gathered all = {0};
    if (!gather_folder(folder, "", 0, keep, &all, err)) return false;
    *out = (FileSet){.items = all.items, .count = (int)all.count};
    files_sort(out);
    if (file_find(out, "kit.json")) return true;
    char shown[SHOWN_MAX];
    return error_set(err, ERROR_INPUT, "there is no kit.json in %s; name the folder of a kit", shown_path(folder, shown));
}

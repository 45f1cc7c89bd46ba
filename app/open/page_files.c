// page_files.c - see page_files.h.
#include "page_files.h"

#include "embedded.h"

#include "base/text.h"
#include "store/read_whole.h"

#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define LARGEST_BYTES ((off_t)16 << 20)

const char *page_type(const char *name)
{
    static const struct { const char *end, *type; } TYPES[] = {
        {".html", "text/html; charset=utf-8"}, {".js", "text/javascript; charset=utf-8"}, {".css", "text/css; charset=utf-8"},
        {".svg", "image/svg+xml"}, {".json", "application/json"}, {".png", "image/png"}, {".ico", "image/x-icon"},
        {".pdf", "application/pdf"}, {".zip", "application/zip"}, {".txt", "text/plain; charset=utf-8"}, {".woff2", "font/woff2"},
    };
    size_t size = strlen(name);
    for (size_t i = 0; i < sizeof TYPES / sizeof TYPES[0]; i++) {
        size_t end = strlen(TYPES[i].end);
        if (size > end && strcmp(name + size - end, TYPES[i].end) == 0) return TYPES[i].type;
    }
    return "application/octet-stream";
}

// Plain names alone, parted by '/': no "..", no hidden file, no empty part.
static bool is_plain(const char *name)
{
    for (const char *part = name;; part++) {
        size_t size = strcspn(part, "/");
        if (size == 0 || part[0] == '.') return false;
        for (size_t i = 0; i < size; i++)
            if ((unsigned char)part[i] <= 0x20 || part[i] == '\\' || (unsigned char)part[i] >= 0x7f) return false;
        part += size;
        if (!*part) return true;
    }
}

static bool from_program(const char *name, Arena *keep, FileBytes *out, bool *out_found, Error *err)
{
    for (const EmbeddedFile *file = page_files; file->name; file++) {
        if (strcmp(file->name, name) != 0) continue;
        *out = (FileBytes){file->name, arena_copy(keep, file->bytes, file->size_bytes, 1), file->size_bytes};
        *out_found = true;
        return out->bytes || error_memory(err);
    }
    return true;
}

// Opens part by part without following links.
static int open_below(const char *folder, const char *name)
{
    int at = open(folder, O_PATH | O_DIRECTORY | O_CLOEXEC);
    while (at >= 0) {
        char part[256];
        size_t size = strcspn(name, "/");
        bool last = name[size] == 0;
        if (size >= sizeof part) break;
        memcpy(part, name, size);
        part[size] = 0;
        int next = openat(at, part, (last ? O_RDONLY | O_NONBLOCK : O_PATH | O_DIRECTORY) | O_NOFOLLOW | O_CLOEXEC);
        close(at);
        if (last || next < 0) return next;
        at = next;
        name += size + 1;
    }
    if (at >= 0) close(at);
    return -1;
}

static bool from_folder(const char *folder, const char *name, Arena *keep, FileBytes *out, bool *out_found, Error *err)
{
    struct stat info;
    int file = open_below(folder, name);
    if (file < 0) return true;
    if (fstat(file, &info) != 0 || !S_ISREG(info.st_mode) || info.st_size > LARGEST_BYTES) {
        close(file);
        return true;
    }
    size_t size;
    const char *bytes = read_whole(file, (size_t)info.st_size, keep, &size);
    close(file);
    *out = (FileBytes){arena_text(keep, name), bytes, size};
    *out_found = bytes && out->name;
    return *out_found || error_memory(err);
}

bool page_file(const char *folder, const char *path, Arena *keep, FileBytes *out, bool *out_found, Error *err)
{
    const char *name = strcmp(path, "/") == 0 ? "index.html" : path + 1;
    *out = (FileBytes){0};
    *out_found = false;
    if (path[0] != '/' || !is_plain(name)) return true;
    return folder ? from_folder(folder, name, keep, out, out_found, err) : from_program(name, keep, out, out_found, err);
}

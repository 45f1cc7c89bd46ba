// kit_zip.c - see kit_zip.h.
#include "kit_zip.h"

#include "disk.h"

#include "base/text.h"
#include "store/zip.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define LOCAL_HEADER_BYTES 30   // before the first name: APPNOTE 4.3.7
#define NAME_SIZE_AT 26

// The folder's own name, which all names in the zip begin with. One that is no name ("..", bytes of no script) becomes "kit".
static bool folder_name(const char *folder, Arena *keep, const char **out, Error *err)
{
    size_t size = strlen(folder);
    while (size > 0 && folder[size - 1] == '/') size--;
    size_t from = size;
    while (from > 0 && folder[from - 1] != '/') from--;
    Text name = text_make(keep);
    text_add_bytes(&name, folder + from, size - from);
    bool is_name = name.size_bytes > 0 && strcmp(name.bytes, ".") != 0 && strcmp(name.bytes, "..") != 0 && text_is_utf8(name.bytes, name.size_bytes);
    *out = is_name ? name.bytes : "kit";
    return text_is_whole(&name, err);
}

// The zip's first name lies in such a folder.
static bool is_ours(const char *path, const char *name)
{
    unsigned char head[LOCAL_HEADER_BYTES + 256] = {0};
    int file = open(path, O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
    ssize_t got = file >= 0 ? read(file, head, sizeof head) : -1;
    if (file >= 0) close(file);
    size_t size = strlen(name), first = head[NAME_SIZE_AT] | (size_t)head[NAME_SIZE_AT + 1] << 8;
    return got > (ssize_t)(LOCAL_HEADER_BYTES + size) && memcmp(head, "PK\3\4", 4) == 0 && first > size &&
           memcmp(head + LOCAL_HEADER_BYTES, name, size) == 0 && head[LOCAL_HEADER_BYTES + size] == '/';
}

static bool check_place(const char *path, const char *name, bool replace, Error *err)
{
    struct stat info;
    char shown[SHOWN_MAX];
    if (lstat(path, &info) != 0) return errno == ENOENT || disk_cannot(err, ERROR_SYSTEM, "look at", path);
    shown_path(path, shown);
    if (!replace) return error_set(err, ERROR_JOB, "%s is there already; replace it with --force, or name another place with -o", shown);
    if (!S_ISREG(info.st_mode) || !is_ours(path, name))
        return error_set(err, ERROR_JOB, "%s is not a zip of this kit, so it is not replaced; move it, or name another place with -o", shown);
    return true;
}

bool kit_zip_begin(const char *folder, bool replace, Arena *keep, const char **out_path, Error *err)
{
    size_t size = strlen(folder);
    const char *name;
    Text path = text_make(keep);
    while (size > 1 && folder[size - 1] == '/') size--;
    text_add_bytes(&path, folder, size);
    text_add(&path, ".zip");
    *out_path = path.bytes;
    return text_is_whole(&path, err) && folder_name(folder, keep, &name, err) && check_place(path.bytes, name, replace, err);
}

static bool write_whole(const char *path, const FileBytes *zip)
{
    int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    size_t done = 0;
    if (file < 0) return false;
    while (done < zip->size_bytes) {
        ssize_t put = write(file, zip->bytes + done, zip->size_bytes - done);
        if (put < 0 && errno == EINTR) continue;
        if (put <= 0) break;
        done += (size_t)put;
    }
    bool good = done == zip->size_bytes && fsync(file) == 0;
    int why = errno;
    good = close(file) == 0 && good;
    if (!good) errno = why;
    return good;
}

static bool put_in_place(const char *from, const char *path, bool replace)
{
    if (replace) return rename(from, path) == 0;
    if (renameat2(AT_FDCWD, from, AT_FDCWD, path, RENAME_NOREPLACE) == 0) return true;
    return (errno == EINVAL || errno == ENOSYS) && link(from, path) == 0 && unlink(from) == 0; // where nothing can be told apart in one step
}

bool kit_zip_write(const char *folder, const char *path, bool replace, const FileSet *files, Arena *keep, Error *err)
{
    const char *name;
    FileBytes zip;
    Text beside = text_make(keep);
    text_printf(&beside, "%s.new-%ld", path, (long)getpid());
    if (!folder_name(folder, keep, &name, err) || !text_is_whole(&beside, err) || !zip_make(files, name, keep, &zip, err)) return false;
    bool written = write_whole(beside.bytes, &zip);
    if (written && check_place(path, name, replace, err) && put_in_place(beside.bytes, path, replace)) return true;
    int why = errno;
    unlink(beside.bytes);
    errno = why;
    return err->kind == ERROR_NONE ? disk_cannot(err, ERROR_SYSTEM, written ? "put the zip in its place" : "write", path) : false;
}

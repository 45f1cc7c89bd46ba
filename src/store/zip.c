// zip.c - see zip.h.
#include "store/zip.h"

#include "base/text.h"

#include <archive.h>
#include <archive_entry.h>
#include <string.h>

static la_ssize_t take_bytes(struct archive *archive, void *context, const void *bytes, size_t size_bytes)
{
    Text *text = context;
    text_add_bytes(text, bytes, size_bytes);
    if (!text->failed) return (la_ssize_t)size_bytes;
    archive_set_error(archive, -1, "no memory");
    return -1;
}

static bool add_file(struct archive *archive, struct archive_entry *entry, const char *folder, const FileBytes *file, Arena *own, Error *err)
{
    Text path = text_make(own);
    text_printf(&path, "%s/%s", folder, file->name);
    if (!text_is_whole(&path, err)) return false;
    archive_entry_clear(entry);
    archive_entry_set_pathname_utf8(entry, path.bytes);
    archive_entry_set_size(entry, (la_int64_t)file->size_bytes);
    archive_entry_set_filetype(entry, AE_IFREG);
    archive_entry_set_perm(entry, 0644); // no time: it becomes the first that a zip can say, in any time zone
    return archive_write_header(archive, entry) == ARCHIVE_OK &&
           archive_write_data(archive, file->bytes, file->size_bytes) == (la_ssize_t)file->size_bytes &&
           archive_write_finish_entry(archive) == ARCHIVE_OK;
}

static bool fill(struct archive *archive, const FileSet *files, const char *folder, Text *text, Arena *own, Error *err)
{
    struct archive_entry *entry = archive_entry_new2(archive);
    bool done = entry && archive_write_set_format_zip(archive) == ARCHIVE_OK &&
                archive_write_set_options(archive, "zip:hdrcharset=UTF-8") == ARCHIVE_OK &&
                archive_write_open2(archive, text, NULL, take_bytes, NULL, NULL) == ARCHIVE_OK;
    for (int i = 0; i < files->count && done; i++) done = add_file(archive, entry, folder, &files->items[i], own, err);
    done = done && archive_write_close(archive) == ARCHIVE_OK;
    archive_entry_free(entry);
    return done;
}

bool zip_make(const FileSet *files, const char *folder, Arena *keep, FileBytes *out, Error *err)
{
    *out = (FileBytes){0};
    Arena own = arena_make(0);
    Text text = text_make(keep);
    struct archive *archive = archive_write_new();
    if (!archive) return error_memory(err);
    // The last block is not filled up: a zip ends where it ends.
    archive_write_set_bytes_per_block(archive, 0);
    Error why = {0};
    bool done = fill(archive, files, folder, &text, &own, &why);
    if (!done && text.failed) error_memory(&why);
    if (!done && why.kind == ERROR_NONE) error_set(&why, ERROR_SYSTEM, "the zip could not be made: %.200s", archive_error_string(archive) ? archive_error_string(archive) : "no memory");
    archive_write_free(archive);
    arena_free(&own);
    if (!done) *err = why;
    else *out = (FileBytes){"kit.zip", text.bytes, text.size_bytes};
    return done;
}

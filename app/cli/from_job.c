// from_job.c - see from_job.h.
#include "from_job.h"
#include "disk.h"

#include "job/settings_words.h"
#include "store/job_file.h"

#include <stdio.h>
#include <string.h>

// "pictures/My balloon.png" -> "My-balloon"
static bool name_from_path(const char *path, Arena *keep, const char **out, Error *err)
{
    const char *slash = strrchr(path, '/');
    char stem[256], safe[64];
    snprintf(stem, sizeof stem, "%s", slash ? slash + 1 : path);
    char *dot = strrchr(stem, '.');
    if (dot && dot != stem) *dot = 0;
    text_safe_name(stem, safe, sizeof safe);
    *out = arena_text(keep, safe);
    return *out || error_memory(err);
}

static bool apply_typed(const Arguments *arguments, Settings *settings, Error *err)
{
    for (int i = 0; i < arguments->typed_count; i++)
        if (!settings_set(settings, arguments->typed[i].what, arguments->typed[i].option, arguments->typed[i].value, err)) return false;
    return true;
}

static bool read_job(const Arguments *arguments, Arena *keep, BuildSource *out, Error *err)
{
    JobFile *file = NULL;
    JobFileContent content;
    char shown[SHOWN_MAX];
    int64_t wrong;
    bool done = job_file_open(arguments->subject, &file, err) && job_file_read(file, keep, &content, err);
    job_file_close(file);
    if (!done) return error_at(err, "%s", shown_path(arguments->subject, shown));
    KitPage page = arguments->settings.kit.page; // what is usual here, until the job or the command says otherwise
    bool has_page = docket_says(&content.docket, "page");
    if (!docket_replay(&content.docket, keep, &out->settings, &out->edits, &wrong, err))
        return error_at(err, "line %lld of %s", (long long)wrong, shown_path(arguments->subject, shown));
    if (!has_page) out->settings.kit.page = page;
    out->settings.threads = arguments->settings.threads;
    out->picture = content.picture;
    out->shown_name = content.picture_name;
    out->name = content.name;
    out->cut_last = docket_cut_last(&content.docket) && arguments->changes.count == 0;
    for (int i = 0; i < arguments->typed_count; i++) out->cut_last = out->cut_last && !docket_alters(false, EDIT_KIND_COUNT, arguments->typed[i].what);
    return apply_typed(arguments, &out->settings, err);
}

bool build_source(const Arguments *arguments, Arena *keep, BuildSource *out, Error *err)
{
    FileBytes file;
    char shown[SHOWN_MAX];
    *out = (BuildSource){.settings = arguments->settings};
    if (!disk_read_file(arguments->subject, keep, &file, err)) return false;
    if (job_file_looks_like_one(file.bytes, file.size_bytes)) {
        if (!read_job(arguments, keep, out, err)) return false;
    } else {
        out->picture = file;
        out->shown_name = arena_text(keep, shown_path(arguments->subject, shown));
        if (!out->shown_name) return error_memory(err);
        if (!name_from_path(arguments->subject, keep, &out->name, err)) return false;
    }
    if (out->settings.height_mm == 0.0) return error_set(err, ERROR_USAGE, "build needs the finished height: add for example --height 4ft");
    return true;
}

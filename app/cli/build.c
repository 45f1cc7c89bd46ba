// build.c - papermason build: the whole job, from a picture to a proven kit in its place.
#include "commands.h"
#include "disk.h"
#include "from_job.h"
#include "kit_folder.h"

#include "base/length.h"
#include "base/write_json.h"
#include "job/freeze.h"
#include "proof/read_json.h"

#include <stdio.h>
#include <string.h>

typedef struct Build {
    const Arguments *arguments;
    const Session *session;
    Arena keep;
    Job job;
    KitFolder folder;
    BuildSource source;
    const char *target;
} Build;

static bool choose_target(Build *build, Error *err)
{
    if (build->arguments->out) {
        build->target = build->arguments->out;
        return true;
    }
    Text text = text_make(&build->keep);
    text_printf(&text, "%s-", build->source.name);
    text_number(&text, build->source.settings.height_mm / MM_PER_INCH, 2);
    text_add(&text, "in");
    build->target = text.bytes;
    return text_is_whole(&text, err);
}

static bool join_edits(const EditList *first, const EditList *second, Arena *keep, EditList *out, Error *err)
{
    *out = (EditList){0};
    for (size_t i = 0; i < first->count; i++)
        if (!edits_add(out, &first->items[i], keep, err)) return false;
    for (size_t i = 0; i < second->count; i++)
        if (!edits_add(out, &second->items[i], keep, err)) return false;
    return true;
}

// Pieces that are cut are in the answer that they were taken from; else they are held fast.
static bool update(Build *build, const EditList *all, Error *err)
{
    EditList loose;
    const Settings *settings = &build->source.settings;
    const JobWatch *watch = build->session->watch;
    if (build->source.cut_last) {
        if (!edits_without_frozen(all, &build->keep, &loose, err)) return false;
        if (job_update(&build->job, settings, &loose, watch, err) && freeze_check(all, settings->height_mm, &build->job.kit, err)) return true;
        if (err->kind != ERROR_JOB) return false;
        *err = (Error){0};
    }
    return job_update(&build->job, settings, all, watch, err);
}

static bool compute(Build *build, Error *err)
{
    EditList edits, all;
    const BuildSource *source = &build->source;
    const JobWatch *watch = build->session->watch;
    JobInput input = {source->picture.bytes, source->picture.size_bytes, source->shown_name, source->name, build->session->program};
    return job_create(&input, &build->job, err) &&
           changes_to_edits(&build->arguments->changes, &build->job, &source->settings, watch, &build->keep, &edits, err) &&
           join_edits(&source->edits, &edits, &build->keep, &all, err) && update(build, &all, err);
}

// The proof is made from what is on the disk now, not from what we meant to write.
static bool write_and_prove(Build *build, Error *err)
{
    FileSet written;
    Proof proof;
    Work work = {.cancel = build->session->watch->cancel};
    if (!kit_folder_write(&build->folder, &build->job.kit, &work, err)) return false;
    if (!disk_read_kit(build->folder.temporary, &build->keep, &written, err)) return false;
    if (!job_prove(&written, build->source.settings.threads, build->session->watch, &build->keep, &proof, err)) return false;
    if (proof.fault_count > 0)
        return error_set(err, ERROR_PROOF, "the kit did not pass its proof, so it is not handed out: %s: %s (%d fault%s); please report this picture and these settings",
                         proof.faults[0].where, proof.faults[0].text, proof.fault_count, proof.fault_count == 1 ? "" : "s");
    FileBytes text = {"proof.txt", proof.text, strlen(proof.text)};
    FileSet last = {&text, 1};
    return kit_folder_write(&build->folder, &last, &work, err) && kit_folder_finish(&build->folder, &work, err);
}

static double number_at(const json_t *object, const char *key)
{
    return json_number_value(json_object_get(object, key));
}

// Minutes as a maker says them: "40 min", "3 h".
static void add_time(Text *text, double minutes)
{
    if (minutes < 90.0) {
        text_number(text, minutes < 10.0 ? minutes : 5.0 * (int)(minutes / 5.0 + 0.5), 0);
        text_add(text, " min");
    } else {
        text_number(text, 0.5 * (int)(minutes / 30.0 + 0.5), 1);
        text_add(text, " h");
    }
}

static void add_count(Text *text, double count, const char *one)
{
    text_number(text, count, 0);
    text_printf(text, " %s%s", one, count == 1.0 ? "" : "s");
}

// The first one that is about something to be seen; crumbs of the raster lead only where there is nothing else.
static size_t first_to_tell(const json_t *findings)
{
    for (size_t i = 0; i < json_array_size(findings); i++)
        if (strcmp(json_string_value(json_object_get(json_array_get(findings, i), "kind")), "specks-joined") != 0)
            return i;
    return 0;
}

static void write_findings(const json_t *findings, Text *text)
{
    size_t count = json_array_size(findings);
    if (count == 0) return;
    add_count(text, (double)count, "finding");
    text_add(text, count == 1 ? " in kit.json, with its place: " : " in kit.json, with their places; the first: ");
    text_add(text, json_string_value(json_object_get(json_array_get(findings, first_to_tell(findings)), "text")));
    text_add(text, ".\n");
}

static void write_summary(const Build *build, const json_t *kit, Text *text)
{
    const json_t *totals = json_object_get(kit, "totals");
    char height[32];
    length_format_inches(build->source.settings.height_mm, height);
    text_printf(text, "%s, %s tall: ", build->source.name, height);
    add_count(text, number_at(totals, "sheets"), "sheet");
    add_count((text_add(text, " of "), text), (double)json_array_size(json_object_get(kit, "papers")), "paper");
    add_count((text_add(text, ", "), text), number_at(totals, "pieces"), "piece");
    text_add(text, ", ");
    text_number(text, number_at(totals, "visible_seam_mm") / MM_PER_INCH, 0);
    text_add(text, " in of seam in sight; about ");
    add_time(text, number_at(totals, "cutting_minutes"));
    text_add(text, " of cutting and ");
    add_time(text, number_at(totals, "assembly_minutes"));
    text_add(text, " of putting together");
    if (json_is_number(json_object_get(totals, "cost"))) {
        text_add(text, "; the paper to buy costs ");
        text_number(text, number_at(totals, "cost"), 2);
    }
    text_add(text, ".\n");
    write_findings(json_object_get(kit, "findings"), text);
    char shown[SHOWN_MAX];
    text_printf(text, "The kit passed its proof and is in %s/ : read READ-ME-FIRST.txt, then guide.pdf; key-plan.svg shows the whole piece.\n",
                shown_path(build->folder.target, shown));
}

static void write_totals(const Build *build, const json_t *kit, Text *text)
{
    JsonWriter json = write_json_make(text);
    write_json_object(&json);
    write_json_key_string(&json, "kit", build->folder.target);
    write_json_key(&json, "totals");
    write_json_object(&json);
    const char *key;
    json_t *value;
    json_object_foreach(json_object_get(kit, "totals"), key, value) {
        write_json_key(&json, key);
        if (json_is_number(value)) write_json_number(&json, json_number_value(value), 2);
        else write_json_null(&json);
    }
    write_json_end(&json);
    write_json_end(&json);
}

static bool report(Build *build, Error *err)
{
    const FileBytes *file = file_find(&build->job.kit, "kit.json");
    const json_t *kit = NULL;
    json_error_t problem;
    if (!file || !read_json(file->bytes, file->size_bytes, &build->keep, &kit, &problem, err)) return false;
    Text text = text_make(&build->keep);
    if (build->arguments->json) write_totals(build, kit, &text);
    else write_summary(build, kit, &text);
    if (!text_is_whole(&text, err)) return false;
    fwrite(text.bytes, 1, text.size_bytes, stdout);
    return true;
}

bool command_build(const Arguments *arguments, const Session *session, Error *err)
{
    Build build = {.arguments = arguments, .session = session, .keep = arena_make(0)};
    bool done = build_source(arguments, &build.keep, &build.source, err) && settings_check(&build.source.settings, err) && choose_target(&build, err) &&
                kit_folder_begin(build.target, arguments->force, &build.keep, &build.folder, err) &&
                compute(&build, err) && write_and_prove(&build, err) && report(&build, err);
    kit_folder_abandon(&build.folder);
    job_free(&build.job);
    arena_free(&build.keep);
    return done;
}

// build.c - papermason build: the whole job, from a picture to a proven kit in its place.
#include "commands.h"
#include "disk.h"
#include "from_job.h"
#include "hand_out.h"
#include "kit_zip.h"
#include "totals.h"

#include "base/length.h"
#include "base/write_json.h"
#include "job/freeze.h"
#include "job/say.h"

#include <stdio.h>
#include <string.h>

typedef struct Build {
    const Arguments *arguments;
    const Session *session;
    Arena keep;
    Job job;
    JobOffers offers;
    KitFolder folder;
    BuildSource source;
    const char *target, *zip;       // zip: NULL where none is wanted
} Build;

static bool choose_target(Build *build, Error *err)
{
    if (build->arguments->out) {
        build->target = build->arguments->out;
        return true;
    }
    Text text = text_make(&build->keep);
    say_kit_folder(&text, build->source.name, build->source.settings.height_mm);
    build->target = text.bytes;
    return text_is_whole(&text, err);
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
           source_join_edits(source, &edits, &build->keep, &all, err) && update(build, &all, err) &&
           (!build->arguments->offers || job_offers(&build->job, &source->settings, &all, watch, &build->offers, err));
}

static bool write_and_prove(Build *build, Error *err)
{
    FileSet all;
    return hand_out(&build->folder, &build->job.kit, build->source.settings.threads, build->session->watch, &build->keep, &all, err) &&
           (!build->zip || kit_zip_write(build->target, build->zip, build->arguments->force, &all, &build->keep, err));
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
    totals_add_count(text, (double)count, "finding");
    text_add(text, count == 1 ? " in kit.json, with its place: " : " in kit.json, with their places; the first: ");
    text_add(text, json_string_value(json_object_get(json_array_get(findings, first_to_tell(findings)), "text")));
    text_add(text, ".\n");
}

// How a build says that it wants this: "with --fewer pieces", "without --fewer".
static void add_way(Text *text, Fewer fewer, bool first)
{
    if (fewer == FEWER_NEITHER) text_add(text, first ? "Without --fewer" : "without --fewer");
    else text_printf(text, "%s --fewer %s", first ? "With" : "with", fewer_word(fewer));
}

// "With --fewer pieces 59 pieces would show 18 in more of seam; with --fewer seams 64 pieces would show 12 in less."
static void write_offers(const JobOffers *offers, Text *text)
{
    int told = 0;
    for (int i = 0; i < offers->count; i++) {
        const JobOffer *offer = &offers->items[i];
        if (!offer->is_worth_telling) continue;
        if (told > 0) text_add(text, "; ");
        add_way(text, offer->fewer, told++ == 0);
        say_offer((text_add(text, " "), text), offer, &offers->now);
    }
    text_add(text, told > 0 ? ".\n" : "No offer: --fewer would bring neither fewer pieces nor clearly less seam in sight.\n");
}

static void write_summary(const Build *build, const json_t *kit, Text *text)
{
    const json_t *totals = json_object_get(kit, "totals");
    char height[32];
    length_format_inches(build->source.settings.height_mm, height);
    text_printf(text, "%s, %s tall: ", build->source.name, height);
    totals_add_count(text, totals_number(totals, "sheets"), "sheet");
    totals_add_count((text_add(text, " of "), text), (double)json_array_size(json_object_get(kit, "papers")), "paper");
    totals_add_count((text_add(text, ", "), text), totals_number(totals, "pieces"), "piece");
    text_add(text, ", ");
    text_number(text, totals_number(totals, "visible_seam_mm") / MM_PER_INCH, 0);
    text_add(text, " in of seam in sight; about ");
    say_minutes(text, totals_number(totals, "cutting_minutes"));
    text_add(text, " of cutting and ");
    say_minutes(text, totals_number(totals, "assembly_minutes"));
    text_add(text, " of putting together");
    if (totals_has(totals, "cost")) {
        text_add(text, "; the paper to buy costs ");
        text_number(text, totals_number(totals, "cost"), 2);
    }
    text_add(text, ".\n");
    if (build->arguments->offers) write_offers(&build->offers, text);
    write_findings(json_object_get(kit, "findings"), text);
    char shown[SHOWN_MAX];
    text_printf(text, "The kit passed its proof and is in %s/ : read READ-ME-FIRST.txt, then guide.pdf; key-plan.svg shows the whole piece.\n",
                shown_path(build->folder.target, shown));
    if (build->zip) text_printf(text, "The same as one file, to be passed on: %s\n", shown_path(build->zip, shown));
}

static void write_offer_list(const JobOffers *offers, JsonWriter *json)
{
    write_json_key(json, "offers");
    write_json_list(json);
    for (int i = 0; i < offers->count; i++) {
        write_json_object(json);
        write_json_key_string(json, "fewer", fewer_word(offers->items[i].fewer));
        write_json_key_number(json, "pieces", offers->items[i].pieces, 0);
        write_json_key_number(json, "visible_seam_mm", offers->items[i].visible_mm, 1);
        write_json_key(json, "worth_telling");
        write_json_bool(json, offers->items[i].is_worth_telling);
        write_json_end(json);
    }
    write_json_end(json);
}

static void write_totals(const Build *build, const json_t *kit, Text *text)
{
    JsonWriter json = write_json_make(text);
    write_json_object(&json);
    write_json_key_string(&json, "kit", build->folder.target);
    if (build->zip) write_json_key_string(&json, "zip", build->zip);
    write_json_key(&json, "totals");
    totals_write(json_object_get(kit, "totals"), &json);
    if (build->arguments->offers) write_offer_list(&build->offers, &json);
    write_json_end(&json);
}

static bool report(Build *build, Error *err)
{
    const json_t *kit;
    if (!totals_read(&build->job.kit, &build->keep, &kit, err)) return false;
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
                (!arguments->zip || kit_zip_begin(build.target, arguments->force, &build.keep, &build.zip, err)) &&
                kit_folder_begin(build.target, arguments->force, &build.keep, &build.folder, err) &&
                compute(&build, err) && write_and_prove(&build, err) && report(&build, err);
    kit_folder_abandon(&build.folder);
    job_free(&build.job);
    arena_free(&build.keep);
    return done;
}

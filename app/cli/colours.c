// colours.c - papermason colours: what is found before anything is cut.
#include "commands.h"
#include "disk.h"

#include "base/write_json.h"
#include "separation/verdict.h"

#include <stdio.h>

#define DEFAULT_SMALLEST_AREA_PX 20.0 // without a height only pixels can be judged; smaller areas are hairline slits

static int64_t cut_area_px(const Separation *separation)
{
    int64_t sum = 0;
    for (int i = 0; i < separation->colour_count; i++) sum += separation->colours[i].area_px;
    return sum;
}

static void write_list(const Separation *separation, Text *text)
{
    double whole = (double)cut_area_px(separation);
    JsonWriter json = write_json_make(text);
    char hex[8];
    write_json_object(&json);
    write_json_key(&json, "colours");
    write_json_list(&json);
    for (int i = 0; i < separation->colour_count; i++) {
        const SeparationColour *colour = &separation->colours[i];
        colour_hex(colour->colour, hex);
        write_json_object(&json);
        write_json_key_string(&json, "colour", hex);
        write_json_key_string(&json, "name", colour->name);
        write_json_key_number(&json, "share", (double)colour->area_px / whole, 4);
        write_json_key_number(&json, "regions", colour->region_count, 0);
        write_json_end(&json);
    }
    write_json_end(&json);
    write_json_key(&json, "ground");
    if (separation->has_ground_colour) {
        colour_hex(separation->ground_colour, hex);
        write_json_string(&json, hex);
    } else {
        write_json_null(&json);
    }
    write_json_end(&json);
}

static void write_table(const Separation *separation, double height_mm, Text *text)
{
    verdict_say(separation, height_mm, text);
    text_add(text, "\n");
    double whole = (double)cut_area_px(separation);
    char hex[8];
    for (int i = 0; i < separation->colour_count; i++) {
        const SeparationColour *colour = &separation->colours[i];
        colour_hex(colour->colour, hex);
        text_printf(text, "%s  %-16s", hex, colour->name);
        char share[NUMBER_MAX];
        text_printf(text, "%6s %%", number_format(share, 100.0 * (double)colour->area_px / whole, 1));
        text_printf(text, "  %d area%s\n", colour->region_count, colour->region_count == 1 ? "" : "s");
    }
    if (separation->has_ground_colour) {
        colour_hex(separation->ground_colour, hex);
        text_printf(text, "%s  ground, not cut\n", hex);
    } else if (cut_area_px(separation) < (int64_t)separation->width_px * separation->height_px) {
        text_add(text, "what is transparent is the ground and is not cut\n");
    } else {
        text_add(text, "there is no ground: everything is cut\n");
    }
    for (size_t i = 0; i < separation->findings.count; i++)
        text_printf(text, "finding: %s\n", separation->findings.items[i].text);
}

bool command_colours(const Arguments *arguments, const Session *session, Error *err)
{
    Arena keep = arena_make(0);
    Job job = {0};
    FileBytes file;
    char shown[SHOWN_MAX];
    Settings settings = arguments->settings;
    if (settings.height_mm == 0.0 && settings.smallest_area_px == 0.0) settings.smallest_area_px = DEFAULT_SMALLEST_AREA_PX;

    bool done = disk_read_file(arguments->subject, &keep, &file, err);
    if (done) {
        EditList edits;
        JobInput input = {file.bytes, file.size_bytes, shown_path(arguments->subject, shown), "picture", session->program};
        done = job_create(&input, &job, err) &&
               changes_to_edits(&arguments->changes, &job, &settings, session->watch, &keep, &edits, err) &&
               job_colours(&job, &settings, &edits, session->watch, err);
    }
    if (done) {
        Text text = text_make(&keep);
        if (arguments->json) write_list(&job.separation, &text);
        else write_table(&job.separation, settings.smallest_area_px > 0.0 ? 0.0 : settings.height_mm, &text);
        done = text_is_whole(&text, err);
        if (done) fwrite(text.bytes, 1, text.size_bytes, stdout);
    }
    job_free(&job);
    arena_free(&keep);
    return done;
}

// recut.c - papermason recut: some pieces of a kit once more, as a proven folder beside it.
#include "commands.h"
#include "disk.h"
#include "hand_out.h"
#include "totals.h"

#include "base/write_json.h"
#include "job/edit.h"
#include "job/recut.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define MOST_FOLDERS 1000   // of recuts beside one kit
#define MOST_BUT 512

typedef struct Recutting {
    const Arguments *arguments;
    const Session *session;
    Arena keep;
    FileSet kit;
    Recut recut;
    KitFolder folder;
    const char *target;
} Recutting;

// The kit is whole, or nothing is made of it.
static bool read_kit(Recutting *r, Error *err)
{
    Proof proof;
    char shown[SHOWN_MAX];
    const Arguments *arguments = r->arguments;
    if (!disk_read_kit(arguments->subject, &r->keep, &r->kit, err) ||
        !job_prove(&r->kit, arguments->settings.threads, r->session->watch, &r->keep, &proof, err))
        return false;
    return proof.fault_count == 0 || error_set(err, ERROR_PROOF, "the kit %s does not hold what it promises (first: %s, %s); build it again",
                                               shown_path(arguments->subject, shown), proof.faults[0].where, proof.faults[0].text);
}

// "A1,A2, A5" -> its names.
static bool split_list(const char *list, Arena *keep, const char **names, int *count, Error *err)
{
    char *copy = arena_text(keep, list ? list : "");
    if (!copy) return error_memory(err);
    char *rest = NULL;
    for (char *name = strtok_r(copy, ", ", &rest); name; name = strtok_r(NULL, ", ", &rest)) {
        if (*count == MOST_BUT) return error_set(err, ERROR_USAGE, "--but takes at most %d names", MOST_BUT);
        names[(*count)++] = name;
    }
    return true;
}

static bool typed(const Arguments *arguments, const char *what)
{
    for (int i = 0; i < arguments->typed_count; i++)
        if (strcmp(arguments->typed[i].what, what) == 0) return true;
    return false;
}

static bool wish_of(const Arguments *arguments, const char **but, Srgb8 *colour, Arena *keep, RecutWish *out, Error *err)
{
    const Settings *settings = &arguments->settings;
    *out = (RecutWish){.names = arguments->words + 1, .name_count = arguments->word_count - 1, .but = but, .colour_name = arguments->name};
    if (settings->paper_count > 1 || (settings->paper_count == 1 && settings->papers[0].layer[0]))
        return error_set(err, ERROR_USAGE, "recut takes one --paper, for all its pieces");
    if (settings->paper_count == 1) out->paper = &settings->papers[0].paper;
    if (arguments->colour) {
        if (!edit_parse_colour(arguments->colour, colour)) return error_set(err, ERROR_USAGE, "--colour takes a value like #1d2f5a, not '%.40s'", arguments->colour);
        out->colour = colour;
    } else if (arguments->name) {
        return error_set(err, ERROR_USAGE, "--name is what another colour is called: add --colour");
    }
    if (typed(arguments, "for") || typed(arguments, "formats") || typed(arguments, "overcut") || typed(arguments, "blade-offset")) out->options = &settings->kit;
    return split_list(arguments->but, keep, but, &out->but_count, err);
}

static bool make(Recutting *r, Error *err)
{
    RecutWish wish;
    Srgb8 colour;
    const char **but = arena_new(&r->keep, const char *, MOST_BUT);
    if (!but) return error_memory(err);
    return wish_of(r->arguments, but, &colour, &r->keep, &wish, err) && recut_make(&r->kit, &wish, r->session->watch->cancel, &r->keep, &r->recut, err);
}

// KIT-recut, or the first of KIT-recut-2, KIT-recut-3 ... that is free.
static bool choose_target(Recutting *r, Error *err)
{
    const char *kit = r->arguments->subject;
    size_t size = strlen(kit);
    while (size > 1 && kit[size - 1] == '/') size--;
    for (int n = 1; n <= MOST_FOLDERS && !r->arguments->out; n++) {
        Text text = text_make(&r->keep);
        text_printf(&text, "%.*s-recut", (int)size, kit);
        if (n > 1) text_printf(&text, "-%d", n);
        if (!text_is_whole(&text, err)) return false;
        r->target = text.bytes;
        if (r->arguments->force || access(r->target, F_OK) != 0) return true;
    }
    if (r->arguments->out) r->target = r->arguments->out;
    return true;
}

static bool report(Recutting *r, Error *err)
{
    const json_t *kit;
    char shown[SHOWN_MAX];
    Text text = text_make(&r->keep);
    if (!totals_read(&r->recut.files, &r->keep, &kit, err)) return false;
    if (r->arguments->json) {
        JsonWriter json = write_json_make(&text);
        write_json_object(&json);
        write_json_key_string(&json, "kit", r->folder.target);
        write_json_key(&json, "totals");
        totals_write(json_object_get(kit, "totals"), &json);
        write_json_end(&json);
    } else {
        totals_add_count(&text, r->recut.piece_count, "piece");
        totals_add_count((text_add(&text, " once more on "), &text), r->recut.sheet_count, "sheet");
        text_printf(&text, ", as they were to the byte; proven, and in %s/ : read READ-ME-FIRST.txt.\n", shown_path(r->folder.target, shown));
    }
    if (!text_is_whole(&text, err)) return false;
    fwrite(text.bytes, 1, text.size_bytes, stdout);
    return true;
}

bool command_recut(const Arguments *arguments, const Session *session, Error *err)
{
    Recutting r = {.arguments = arguments, .session = session, .keep = arena_make(0)};
    bool done = choose_target(&r, err) && read_kit(&r, err) && make(&r, err) && kit_folder_begin(r.target, arguments->force, &r.keep, &r.folder, err) &&
                hand_out(&r.folder, &r.recut.files, arguments->settings.threads, session->watch, &r.keep, NULL, err) && report(&r, err);
    kit_folder_abandon(&r.folder);
    arena_free(&r.keep);
    return done;
}

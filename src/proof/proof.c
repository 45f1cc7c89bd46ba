// proof.c - the story of a proof: read everything back, check it, say what was proved.
#include "proof/proof.h"

#include "base/text.h"
#include "proof/check.h"

#include <math.h>
#include <string.h>

#define MM2_PER_IN2 645.16 // 25.4 mm x 25.4 mm
#define MM_PER_IN 25.4

static const char not_the_cutter[] = "This was measured in the written files. It does not prove the cutter: cut one small "
                                     "sheet first and measure it.\n";

static void say_layers(Text *t, const Check *check)
{
    const Measured *m = &check->measured;
    text_printf(t, "Layers   %d, made up of %d faces: ", check->kit->layer_count, m->face_count);
    text_number(t, m->layer_area_mm2 / MM2_PER_IN2, 1);
    text_add(t, " in2 (");
    text_number(t, m->layer_area_mm2 / 1e6, 4);
    text_add(t, " m2) of paper shape, no place of it uncovered, none covered twice.\n         Faces and outlines "
                "differ by at most ");
    text_number(t, m->largest_offset_mm, 4);
    text_add(t, " mm (");
    text_number(t, PROOF_TOLERANCE_MM, 2);
    text_add(t, " mm allowed), looked at on lines ");
    text_number(t, MEASURE_STEP_MM, 1);
    text_add(t, " mm apart.\n");
}

static void say_sheets(Text *t, const Check *check)
{
    const Measured *m = &check->measured;
    text_printf(
        t,
        "Sheets   %d with %d pieces: each is drawn once, inside the usable area, clear of the corner marks.\n         ",
        check->kit->sheet_count, check->kit->piece_count);
    if (m->least_gap_mm < m->looked_gap_mm) {
        text_add(t, "The two nearest pieces are ");
        text_number(t, m->least_gap_mm, 2);
        text_add(t, " mm apart.\n");
    } else {
        text_add(t, "No two pieces are nearer than ");
        text_number(t, isfinite(m->looked_gap_mm) ? m->looked_gap_mm : 0.0, 2);
        text_add(t, " mm.\n");
    }
}

static void say_lengths(Text *t, const char *before, double mm, const char *after)
{
    text_add(t, before);
    text_number(t, mm / MM_PER_IN, 1);
    text_add(t, " in (");
    text_number(t, mm, 1);
    text_add(t, " mm)");
    text_add(t, after);
}

static void say_rest(Text *t, const Check *check)
{
    const Measured *m = &check->measured;
    if (m->drawn_count > 0)
        text_printf(t, "Marks    %d, each on its piece; %d drawn by pen stay in sight, the others are covered in the end.\n",
                    m->mark_count, m->drawn_count);
    else
        text_printf(t, "Marks    %d, each on its piece and covered in the end.\n", m->mark_count);
    if (m->match_count > 0)
        text_printf(t, "         %d match ticks: the halves of each meet, with the same letters on both sides.\n", m->match_count);
    text_printf(t, "Seams    %d, each shared by its two pieces to the last digit: ", check->kit->seam_count);
    say_lengths(t, "", m->seam_mm, ", ");
    say_lengths(t, "", m->visible_mm, " of it in sight.\n");
    text_add(t, "Numbers  computed again: finished size ");
    text_number(t, check->kit->width_mm, 3);
    text_add(t, " x ");
    text_number(t, check->kit->height_mm, 3);
    text_add(t, " mm, ");
    say_lengths(t, "cuts ", m->totals.cut_mm, ", ");
    text_number(t, m->totals.waste_percent, 1);
    text_add(t, " % waste,\n         ");
    text_number(t, m->totals.cutting_minutes, 1);
    text_add(t, " min cutting, ");
    text_number(t, m->totals.assembly_minutes, 1);
    text_add(t, " min putting together.\n");
}

static bool say(const Check *check, Arena *keep, const char **out, Error *err)
{
    const Faults *faults = check->faults;
    Text t = text_make(keep);
    text_printf(&t, "Proof of %s: ", check->kit->name[0] ? check->kit->name : "a kit");
    if (faults->count == 0) {
        text_add(&t, "the kit holds what it promises.\n\n");
        say_layers(&t, check);
        say_sheets(&t, check);
        say_rest(&t, check);
        text_add(&t, "\n");
        text_add(&t, not_the_cutter);
    } else {
        text_printf(&t, "the kit does not hold what it promises; do not cut it. %d fault%s found.\n\n", faults->count,
                    faults->count == 1 ? "" : "s");
        for (int i = 0; i < faults->kept_count; i++)
            text_printf(&t, "%s at %s: %s\n", faults->items[i].kind, faults->items[i].where, faults->items[i].text);
        if (faults->count > faults->kept_count)
            text_printf(&t, "... and %d more\n", faults->count - faults->kept_count);
    }
    *out = t.bytes;
    return text_is_whole(&t, err);
}

typedef bool CheckPart(Check *check, Error *err);

// Runs one check; a limit that hostile data meets becomes a fault and ends the proof.
static bool run_part(Check *check, CheckPart *part, bool *go_on, Error *err)
{
    if (part(check, err)) return true;
    if (err->kind != ERROR_INPUT) return false;
    fault_add(check->faults, "too-large", "kit.json", 0, 0, "%s", err->text);
    *err = (Error){0};
    *go_on = false;
    return true;
}

static bool read_part(Check *check, ReadKit *kit, bool *go_on, Error *err)
{
    const FileBytes *file = file_find(check->files, "kit.json");
    if (!file)
        fault_add(check->faults, "file-missing", "kit.json", 0, 0, "kit.json is missing");
    else if (!read_kit(file, &check->work->scratch, check->faults, kit, err))
        return false;
    *go_on = check->faults->count == 0; // what is not whole cannot be measured
    return true;
}

// The text that lies in the kit is the one that this proof writes.
static void compare_text(Check *check, const char *text)
{
    const FileBytes *old = file_find(check->files, "proof.txt");
    if (!old || check->faults->count > 0) return;
    if (old->size_bytes != strlen(text) || memcmp(old->bytes, text, old->size_bytes) != 0)
        fault_add(check->faults, "proof-differs", "proof.txt", 0, 0,
                  "proof.txt is not what this proof says of the kit");
}

static bool prove(Check *check, ReadKit *kit, Arena *keep, const char **text, Error *err)
{
    static CheckPart *const first[] = {check_names};
    static CheckPart *const rest[] = {check_layers, check_laps, check_seams, check_marks, check_matches,
                                      check_sheets, check_numbers};
    bool go_on = true;
    if (!read_part(check, kit, &go_on, err)) return false;
    for (size_t i = 0; i < sizeof first / sizeof *first && go_on; i++)
        if (!run_part(check, first[i], &go_on, err)) return false;
    for (int i = 0; i < kit->layer_count && go_on; i++)
        go_on = check->by_order[i] >= 0; // heights are needed from here on
    for (size_t i = 0; i < sizeof rest / sizeof *rest && go_on && kit->layer_count > 0; i++)
        if (!run_part(check, rest[i], &go_on, err)) return false;
    if (!say(check, keep, text, err)) return false;
    compare_text(check, *text);
    return check->faults->count == 0 || say(check, keep, text, err);
}

bool proof_kit(const FileSet *files, Arena *keep, Work *work, Proof *out, Error *err)
{
    *out = (Proof){0};
    Faults faults;
    ReadKit kit = {.name = ""};
    const char *text = NULL;
    if (!work_goes_on(work, err) || !faults_make(keep, &faults, err)) return false;
    ArenaMark mark = arena_mark(&work->scratch);
    Check check = {.files = files, .kit = &kit, .work = work, .faults = &faults};
    bool done = prove(&check, &kit, keep, &text, err);
    arena_rewind(&work->scratch, mark);
    if (!done) return false;
    *out = (Proof){.faults = faults.items, .fault_count = faults.count, .kept_count = faults.kept_count, .text = text};
    return true;
}

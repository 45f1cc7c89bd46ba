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
        check->kit->sheet_count, (int)m->totals.pieces);
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
    if (m->lap_count > 0)
        text_printf(t, "         %d of them have laps, each under the piece that it is glued to, clear of the layer's edge and of one "
                       "another.\n", m->lap_count);
    if (check->kit->parts)
        text_printf(t, "Sections %d, each no larger than asked: %d seams lie on the lines between them, to a hundredth of a mm; %d bridge "
                       "piece%s across.\n", check->kit->sections.count, m->section_seam_count, check->kit->sections.bridge_count,
                    check->kit->sections.bridge_count == 1 ? " goes" : "s go");
    if (m->strip_count > 0)
        text_printf(t, "Strips   %d, each behind its seam, at least 3 mm inside the edge of its layer, clear of the others.\n", m->strip_count);
    if (m->hidden_count > 0)
        text_printf(t, "Hidden   %d piece%s cut from any card: higher layers cover each, by 3 mm and more.\n", m->hidden_count,
                    m->hidden_count == 1 ? " is" : "s are");
    if (m->foam_count > 0)
        text_printf(t, "Foam     %d squares, each under its piece, 4 mm from the edge at any turn, clear of the others.\n", m->foam_count);
    if (check->kit->backed) {
        text_printf(t, "Board    %d panels, at least ", check->kit->board.panel_count);
        text_number(t, m->board_inset_mm, 1);
        text_add(t, " mm inside the edge of the base; ");
        text_number(t, m->board_along_mm, 0);
        text_add(t, " mm of seams run along its joints.\n");
    }
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
    const Measured *m = &check->measured;
    Text t = text_make(keep);
    text_printf(&t, "Proof of %s: ", check->kit->name[0] ? check->kit->name : "a kit");
    if (faults->count == 0) {
        text_add(&t, "the kit holds what it promises.\n\n");
        if (check->kit->recut_of)
            text_printf(&t, "Recut    %.0f of the %d pieces of %s lie on sheets here; layers, marks and seams are proved of all.\n",
                        m->totals.pieces, check->kit->piece_count, check->kit->recut_of);
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

// A limit that hostile data meets becomes a fault and ends the proof.
static bool part_ended(Check *check, bool done, bool *go_on, Error *err)
{
    if (done) return true;
    if (err->kind != ERROR_INPUT) return false;
    fault_add(check->faults, "too-large", "kit.json", 0, 0, "%s", err->text);
    *err = (Error){0};
    *go_on = false;
    return true;
}

static bool run_part(Check *check, CheckPart *part, bool *go_on, Error *err)
{
    return part_ended(check, part(check, err), go_on, err);
}

static bool run_layer(Check *check, int layer, bool *go_on, Error *err)
{
    return part_ended(check, check_layer(check, layer, err), go_on, err);
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

// ---- units: a layer each, the marks, the sheets ----

typedef enum UnitKind { UNIT_MARKS, UNIT_SHEETS, UNIT_LAYER } UnitKind;

typedef struct ProofUnit {
    UnitKind kind;
    int layer;
    Check check;        // its own faults and measures; fields and heights are shared
    Faults faults;
    bool go_on;
} ProofUnit;

struct ProofMaking {
    Check check;
    ReadKit kit;
    Faults faults;
    ProofUnit *units;
    int unit_count;
    bool go_on;
};

static void add_unit(ProofMaking *making, UnitKind kind, int layer)
{
    making->units[making->unit_count++] = (ProofUnit){.kind = kind, .layer = layer};
}

static bool plan_units(ProofMaking *making, Arena *own, Error *err)
{
    const ReadKit *kit = &making->kit;
    for (int i = 0; i < kit->layer_count && making->go_on; i++)
        making->go_on = making->check.by_order[i] >= 0; // heights are needed from here on
    if (kit->layer_count == 0) making->go_on = false;
    if (making->go_on && !run_part(&making->check, check_papers, &making->go_on, err)) return false;
    if (making->go_on && !run_part(&making->check, check_fields, &making->go_on, err)) return false;
    if (!making->go_on) return true;
    making->units = arena_new(own, ProofUnit, kit->layer_count + 2);
    if (!making->units) return error_memory(err);
    add_unit(making, UNIT_MARKS, 0);
    for (int i = 0; i < kit->layer_count; i++) add_unit(making, UNIT_LAYER, making->check.by_order[i]);
    add_unit(making, UNIT_SHEETS, 0);
    return true;
}

// What a check finds stays in its scratch until the end: it works in `own`.
static Work lend(const Work *work, const Arena *own)
{
    Work lent = *work;
    lent.scratch = *own;
    return lent;
}

static bool begin(ProofMaking *making, Arena *own, Error *err)
{
    Check *check = &making->check;
    making->go_on = true;
    return read_part(check, &making->kit, &making->go_on, err) &&
           (!making->go_on || run_part(check, check_names, &making->go_on, err)) && plan_units(making, own, err);
}

bool proof_begin(const FileSet *files, Arena *own, Work *work, ProofMaking **out, Error *err)
{
    ProofMaking *making = *out = arena_new(own, ProofMaking, 1);
    if (!making || !faults_make(own, &making->faults, err)) return error_memory(err);
    Work lent = lend(work, own);
    making->kit.name = "";
    making->check = (Check){.files = files, .kit = &making->kit, .work = &lent, .faults = &making->faults};
    bool done = work_goes_on(work, err) && begin(making, &lent.scratch, err);
    *own = lent.scratch;
    return done;
}

int proof_unit_count(const ProofMaking *making)
{
    return making->unit_count;
}

static bool run_unit(ProofUnit *unit, Error *err)
{
    Check *check = &unit->check;
    switch (unit->kind) {
    case UNIT_MARKS:
        return run_part(check, check_marks, &unit->go_on, err) &&
               (!unit->go_on || run_part(check, check_matches, &unit->go_on, err));
    case UNIT_SHEETS: return run_part(check, check_sheets, &unit->go_on, err);
    case UNIT_LAYER: return run_layer(check, unit->layer, &unit->go_on, err);
    }
    return false;
}

bool proof_unit(ProofMaking *making, int index, Arena *own, Work *work, Error *err)
{
    ProofUnit *unit = &making->units[index];
    unit->go_on = true;
    if (!faults_make(own, &unit->faults, err)) return false;
    Work lent = lend(work, own);
    unit->check = making->check;
    unit->check.work = &lent;
    unit->check.faults = &unit->faults;
    bool done = run_unit(unit, err);
    *own = lent.scratch;
    return done;
}

// ---- the end: everything in the order of the checks ----

static void join_measured(const ProofUnit *unit, Measured *all)
{
    const Measured *m = &unit->check.measured;
    switch (unit->kind) {
    case UNIT_MARKS:
        all->mark_count = m->mark_count;
        all->drawn_count = m->drawn_count;
        all->match_count = m->match_count;
        break;
    case UNIT_SHEETS:
        all->least_gap_mm = m->least_gap_mm;
        all->looked_gap_mm = m->looked_gap_mm;
        all->note_count = m->note_count;
        break;
    case UNIT_LAYER:
        all->layer_area_mm2 += m->layer_area_mm2;
        all->largest_offset_mm = fmax(all->largest_offset_mm, m->largest_offset_mm);
        all->face_count += m->face_count;
        break;
    }
}

static void join(ProofMaking *making, UnitKind kind)
{
    for (int i = 0; i < making->unit_count && making->go_on; i++) {
        const ProofUnit *unit = &making->units[i];
        if (unit->kind != kind) continue;
        faults_join(&making->faults, &unit->faults);
        join_measured(unit, &making->check.measured);
        making->go_on = unit->go_on;
    }
}

static bool conclude(ProofMaking *making, Error *err)
{
    Check *check = &making->check;
    join(making, UNIT_LAYER);
    if (making->go_on && !run_part(check, check_laps, &making->go_on, err)) return false;
    if (making->go_on && !run_part(check, check_foam, &making->go_on, err)) return false;
    if (making->go_on && !run_part(check, check_strips, &making->go_on, err)) return false;
    if (making->go_on && !run_part(check, check_seams, &making->go_on, err)) return false;
    if (making->go_on && !run_part(check, check_sections, &making->go_on, err)) return false;
    if (making->go_on && !run_part(check, check_hidden, &making->go_on, err)) return false;
    if (making->go_on && !run_part(check, check_board, &making->go_on, err)) return false;
    join(making, UNIT_MARKS);
    join(making, UNIT_SHEETS);
    return !making->go_on || run_part(check, check_numbers, &making->go_on, err);
}

static bool finish(ProofMaking *making, Arena *keep, Proof *out, Error *err)
{
    const char *text;
    Faults *faults = &making->faults;
    if (!conclude(making, err) || !say(&making->check, keep, &text, err)) return false;
    compare_text(&making->check, text);
    if (faults->count > 0 && !say(&making->check, keep, &text, err)) return false;
    Fault *kept = arena_copy(keep, faults->items, (size_t)faults->kept_count, sizeof *kept);
    if (!kept) return error_memory(err);
    *out = (Proof){.faults = kept, .fault_count = faults->count, .kept_count = faults->kept_count, .text = text};
    return true;
}

bool proof_end(ProofMaking *making, Arena *keep, Arena *own, Work *work, Proof *out, Error *err)
{
    *out = (Proof){0};
    Work lent = lend(work, own);
    making->check.work = &lent;
    bool done = finish(making, keep, out, err);
    *own = lent.scratch;
    return done;
}

static bool run_all(ProofMaking *making, Work *work, Error *err)
{
    for (int i = 0; i < making->unit_count; i++)
        if (!proof_unit(making, i, &work->scratch, work, err)) return false;
    return true;
}

bool proof_kit(const FileSet *files, Arena *keep, Work *work, Proof *out, Error *err)
{
    *out = (Proof){0};
    ProofMaking *making;
    ArenaMark mark = arena_mark(&work->scratch);
    bool done = proof_begin(files, &work->scratch, work, &making, err) && run_all(making, work, err) &&
                proof_end(making, keep, &work->scratch, work, out, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

bool proof_hands_out(const Proof *proof, Error *err)
{
    if (proof->fault_count == 0) return true;
    return error_set(err, ERROR_PROOF, "the kit did not pass its proof, so it is not handed out: %s: %s (%d fault%s); please report this picture and these settings",
                     proof->faults[0].where, proof->faults[0].text, proof->fault_count, proof->fault_count == 1 ? "" : "s");
}

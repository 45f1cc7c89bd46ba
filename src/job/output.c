// output.c - see output.h.
#include "job/output.h"

#include "job/freeze.h"

// The maker's own edits come first among the findings.
bool output_findings(Run *run, Error *err)
{
    Stack *stack = &run->out->stack;
    Findings all = {0}, none = {0};
    const Findings *thin = run->kept.thin ? run->kept.thin->value : &none;
    const Findings *hinges = run->kept.hinges ? run->kept.hinges->value : &none;
    const Findings *narrow = run->out->foam ? &run->out->foam->findings : &none;
    const Findings *parts[5] = {&run->replay.findings, &stack->findings, hinges, narrow, thin};
    for (int k = 0; k < 5; k++)
        for (size_t i = 0; i < parts[k]->count; i++) {
            const Finding *f = &parts[k]->items[i];
            if (!findings_add(&all, &run->version->arena, f->kind, f->text, f->x_mm, f->y_mm)) return error_memory(err);
        }
    stack->findings = all;
    return true;
}

// ---- the kit ----

static void hash_cutter(Hasher *h, const Settings *settings)
{
    const Cutter *cutter = &settings->cutter;
    hash_int(h, settings->has_cutter);
    if (!settings->has_cutter) return;
    hash_text(h, cutter->name);
    hash_int(h, cutter->is_roll << 2 | cutter->score << 1 | cutter->pen);
    for (int i = 0; i < 2; i++) hash_double(h, cutter->mat_mm[i]);
    for (int i = 0; i < 4; i++) hash_double(h, cutter->loss_mm[i]);
}

static bool has_kit_json_alone(const Run *run)
{
    return run->options->only_kit_json || run->options->only_numbers;
}

static Key kit_key(const Run *run)
{
    Hasher h = hasher_make(has_kit_json_alone(run) ? "kit.json" : "files");
    const Stack *stack = &run->out->stack;
    hash_text(&h, run->job->input.kit_name);
    hash_key(&h, run->stack_key);
    hash_names(&h, stack->colours, stack->colour_count);
    for (int layer = 0; layer < stack->layer_count; layer++) {
        hash_key(&h, run->kept.pieces[layer]->key);
        hash_key(&h, run->kept.marks[layer]->key);
        hash_paper(&h, &run->layer_papers[layer]);
    }
    hash_cutter(&h, run->options->settings);
    for (int k = 0; k < 2; k++) hash_double(&h, run->options->settings->sections_mm[k]);
    hash_kit_options(&h, &run->options->settings->kit);
    for (int paper = 0; paper < run->out->paper_count; paper++) hash_int(&h, run->out->papers[paper].is_any);
    for (int paper = 0; paper < run->out->paper_count; paper++) hash_key(&h, run->kept.nests[paper]->key);
    hash_int(&h, run->kept.foam != NULL);
    if (run->kept.foam) hash_key(&h, run->kept.foam->key);
    hash_int(&h, run->kept.strips != NULL);
    if (run->kept.strips) hash_key(&h, run->kept.strips->key);
    for (size_t i = 0; i < stack->findings.count; i++) {
        hash_text(&h, stack->findings.items[i].kind);
        hash_text(&h, stack->findings.items[i].text);
        hash_double(&h, stack->findings.items[i].x_mm);
        hash_double(&h, stack->findings.items[i].y_mm);
    }
    return hasher_key(&h);
}

static bool note_unit(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    return kit_note(run->making.kit, unit, &run->units.arenas[unit], work, err);
}

static bool file_unit(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    return kit_write(run->making.kit, unit, &run->units.arenas[kit_note_count(run->making.kit) + unit], work, err);
}

static bool make_kit(Run *run, const KitInput *input, Arena *keep, FileSet *out, Error *err)
{
    if (!kit_begin(input, &run->own, &run->work, &run->making.kit, err)) return false;
    int notes = kit_note_count(run->making.kit);
    if (!run_open_arenas(run, notes, err) || !run_units(run, notes, note_unit, 0.0, 0.3, err) ||
        !kit_plan(run->making.kit, &run->own, err))
        return false;
    int files = kit_file_count(run->making.kit);
    return run_open_arenas(run, files, err) && run_units(run, files, file_unit, 0.3, 1.0, err) &&
           kit_end(run->making.kit, keep, out, err);
}

bool output_kit(Run *run, Error *err)
{
    if (!run_begin(run, STAGE_FILES, err)) return false;
    KitInput input = {
        .name = run->job->input.kit_name,
        .stack = &run->out->stack,
        .layer_pieces = run->out->pieces,
        .layer_marks = run->out->marks,
        .papers = run->out->papers,
        .paper_count = run->out->paper_count,
        .strips = run->out->strips,
        .foam = run->out->foam,
        .cutter = run->options->settings->has_cutter ? &run->options->settings->cutter : NULL,
        .sections = run->out->sections,
        .options = run->options->settings->kit,
        .only_kit_json = has_kit_json_alone(run),
    };
    Kept *kept;
    bool is_new;
    if (!run_take(run, kit_key(run), sizeof(FileSet), &kept, &is_new, err)) return false;
    if (is_new && !make_kit(run, &input, &kept->arena, kept->value, err)) return false;
    run->out->kit = *(FileSet *)kept->value;
    if (!freeze_check(run->options->edits, run->options->settings->height_mm, &run->out->kit, err)) return false;
    run_tell_share(run, 1.0);
    return true;
}

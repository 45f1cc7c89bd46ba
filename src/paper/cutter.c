// cutter.c - see cutter.h.
#include "paper/cutter.h"

#include "base/length.h"
#include "base/text.h"
#include "paper/size.h"
#include "paper/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MOST_LOSS_MM 200.0     // at one edge; more is a slip of the finger
#define LEAST_USABLE_MM 12.7   // of a sheet's side: what the allowance leaves of the smallest paper
#define LEAST_MAT_MM 25.4
#define ON_MAT_MM 0.01         // 12 in and 304.8 mm are the same

typedef enum Kind { KIND_SCORE, KIND_PEN, KIND_LOSS } Kind;

static bool unknown(const char *item, Error *err)
{
    char shown[48];
    return error_set(err, ERROR_USAGE,
                     "a cutter's \"%s\" is not known; a mat such as 12x24 or \"roll 12in\", then score, pen and \"loss 6mm\" (or four: "
                     "left, top, right, bottom) work",
                     words_shown(item, shown));
}

// ---- the mat ----

static bool take_roll(Cutter *cutter, const char *width, Error *err)
{
    cutter->is_roll = true;
    if (!length_parse(width, "the roll's width", &cutter->mat_mm[0], err)) return false;
    char number[NUMBER_MAX];
    snprintf(cutter->name, sizeof cutter->name, "roll of %.12sin", number_format(number, cutter->mat_mm[0] / MM_PER_INCH, 3));
    return true;
}

static bool take_mat(Cutter *cutter, char *item, Error *err)
{
    SheetSize size;
    const char *roll = words_after(item, "roll");
    if (roll && !take_roll(cutter, roll, err)) return false;
    if (!roll) {
        words_join(item);
        if (!size_parse(item, "mat", &size, err)) return false;
        cutter->mat_mm[0] = size.width_mm;
        cutter->mat_mm[1] = size.height_mm;
        snprintf(cutter->name, sizeof cutter->name, "%s", size.name);
    }
    if (cutter->mat_mm[0] >= LEAST_MAT_MM && (cutter->is_roll || cutter->mat_mm[1] >= LEAST_MAT_MM)) return true;
    return error_set(err, ERROR_USAGE, "a cutter for sheets of less than an inch is none; give its mat, as in 12x12");
}

// ---- loss ----

static bool is_zero(const char *length)
{
    static const char *const UNITS[] = {"", "mm", "cm", "in"};
    size_t digits = strspn(length, "0.");
    if (digits == 0 || length[0] == '.') return false;
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++)
        if (strcmp(length + digits, UNITS[i]) == 0) return true;
    return false;
}

static bool one_loss(const char *length, double *out_mm, Error *err)
{
    char shown[48];
    *out_mm = 0.0;
    if (is_zero(length)) return true;
    if (!length_parse(length, "a cutter's loss", out_mm, err)) return false;
    if (*out_mm <= MOST_LOSS_MM) return true;
    return error_set(err, ERROR_USAGE, "a cutter that loses %s at an edge is none; up to %.0f mm work", words_shown(length, shown), MOST_LOSS_MM);
}

// One length for all edges, or four.
static bool take_loss(Cutter *cutter, const char *item, Error *err)
{
    int count = 0;
    for (const char *at = item; *at;) {
        char length[WORDS_ITEM_MAX];
        size_t size = strcspn(at, " ");
        snprintf(length, sizeof length, "%.*s", (int)size, at);
        if (count == 4 || !one_loss(length, &cutter->loss_mm[count], err)) return count == 4 ? unknown(item, err) : false;
        count++;
        at += size + (at[size] == ' ');
    }
    if (count != 1 && count != 4) return unknown(item, err);
    for (int i = 1; i < 4 && count == 1; i++) cutter->loss_mm[i] = cutter->loss_mm[0];
    return true;
}

// ---- the whole ----

static bool take_item(Cutter *cutter, const char *item, unsigned *said, Error *err)
{
    const char *loss = words_after(item, "loss ");
    Kind kind = loss ? KIND_LOSS : strcmp(item, "pen") == 0 ? KIND_PEN : KIND_SCORE;
    if (kind == KIND_SCORE && strcmp(item, "score") != 0) return unknown(item, err);
    if (*said & 1u << kind) return error_set(err, ERROR_USAGE, "cutter %s was told its %s twice", cutter->name, loss ? "loss" : item);
    *said |= 1u << kind;
    cutter->score = cutter->score || kind == KIND_SCORE;
    cutter->pen = cutter->pen || kind == KIND_PEN;
    return kind != KIND_LOSS || take_loss(cutter, loss, err);
}

bool cutter_parse(const char *word, Cutter *out, Error *err)
{
    *out = (Cutter){0};
    Cutter cutter = {0};
    unsigned said = 0;
    const char *rest = word;
    for (int i = 0; i < 4; i++) cutter.loss_mm[i] = PAPER_ALLOWANCE_MM / 2;
    for (bool is_mat = true; rest; is_mat = false) {
        char item[WORDS_ITEM_MAX];
        const char *as_written = rest;
        if (!words_next(&rest, item)) return unknown(as_written, err);
        if (is_mat ? !take_mat(&cutter, item, err) : !take_item(&cutter, item, &said, err)) return false;
    }
    *out = cutter;
    return true;
}

// ---- papers on it ----

static bool lies_on(const Cutter *cutter, double width_mm, double height_mm)
{
    return width_mm <= cutter->mat_mm[0] + ON_MAT_MM && (cutter->is_roll || height_mm <= cutter->mat_mm[1] + ON_MAT_MM);
}

static bool lies_either_way(const Cutter *cutter, double width_mm, double height_mm)
{
    return lies_on(cutter, width_mm, height_mm) || lies_on(cutter, height_mm, width_mm);
}

// The largest sheet that straight cuts leave of the paper for the mat.
static void cut_down(const Cutter *cutter, const Paper *paper, char out[SIZE_NAME_MAX])
{
    double w = paper->width_mm, h = paper->height_mm, longest = cutter->is_roll ? INFINITY : cutter->mat_mm[1];
    double upright[2] = {fmin(w, cutter->mat_mm[0]), fmin(h, longest)}, turned[2] = {fmin(w, longest), fmin(h, cutter->mat_mm[0])};
    const double *best = turned[0] * turned[1] > upright[0] * upright[1] ? turned : upright;
    size_name(best[0], best[1], out);
}

static bool does_not_fit(const Cutter *cutter, const Paper *paper, Error *err)
{
    static const char *const COMMON[] = {"letter", "a4", "legal", "12x12", "tabloid", "a3", "12x24"};
    char papers[120] = "", smaller[SIZE_NAME_MAX];
    for (size_t i = 0; i < sizeof COMMON / sizeof COMMON[0]; i++) {
        SheetSize size;
        Error none;
        if (!size_parse(COMMON[i], "paper", &size, &none) || !lies_either_way(cutter, size.width_mm, size.height_mm)) continue;
        size_t used = strlen(papers);
        snprintf(papers + used, sizeof papers - used, "%s%s", used > 0 ? ", " : "", COMMON[i]);
    }
    cut_down(cutter, paper, smaller);
    return error_set(err, ERROR_JOB, "paper %s is too large for the cutter (%s); %s%s%s cut from it would do", paper->id, cutter->name,
                     papers, papers[0] ? " or " : "", smaller);
}

bool cutter_take_paper(const Cutter *cutter, Paper *paper, Error *err)
{
    const double *loss = cutter->loss_mm;
    double across_mm = fmax(loss[1], loss[3]), along_mm = fmax(loss[0], loss[2]);
    const double turned[4] = {across_mm, along_mm, across_mm, along_mm};
    if (!lies_either_way(cutter, paper->width_mm, paper->height_mm)) return does_not_fit(cutter, paper, err);
    if (!lies_on(cutter, paper->width_mm, paper->height_mm)) loss = turned;
    paper->has_loss = true;
    for (int i = 0; i < 4; i++) paper->loss_mm[i] = loss[i];
    double box[4];
    paper_usable(paper, box);
    if (box[2] >= LEAST_USABLE_MM && box[3] >= LEAST_USABLE_MM) return true;
    return error_set(err, ERROR_JOB, "the cutter's loss leaves nothing to cut from of paper %s; a larger paper or a smaller loss would work",
                     paper->id);
}

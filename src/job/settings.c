// settings.c - see settings.h.
#include "job/settings.h"

#include "job/tools.h"
#include "picture/picture.h"
#include "kit/board.h"
#include "seam/section.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>
#include <string.h>

Settings settings_defaults(void)
{
    return (Settings){
        .way = STACK_UNDERLAP,
        .limit_px = PICTURE_DEFAULT_LIMIT_PX,
        .threads = 0,
    };
}

// "A=..." names a layer: letters only, at most two, before the sign.
static const char *split_layer(const char *word, char out_layer[8])
{
    out_layer[0] = 0;
    const char *sign = strchr(word, '=');
    if (!sign || sign == word || sign - word > 2) return word;
    for (const char *p = word; p < sign; p++) {
        if (!isalpha((unsigned char)*p)) return word;
        out_layer[p - word] = (char)toupper((unsigned char)*p);
    }
    out_layer[sign - word] = 0;
    return sign + 1;
}

bool settings_add_paper(Settings *settings, const char *word, Error *err)
{
    PaperChoice choice = {0};
    const char *size = split_layer(word, choice.layer);
    if (!paper_parse(size, &choice.paper, err)) return false;
    for (int i = 0; i < settings->paper_count; i++) {
        if (strcmp(settings->papers[i].layer, choice.layer) != 0) continue;
        settings->papers[i] = choice;
        return true;
    }
    if (settings->paper_count == SETTINGS_MAX_PAPERS)
        return error_set(err, ERROR_USAGE, "--paper was given more than %d times; one for each layer is enough",
                         SETTINGS_MAX_PAPERS);
    settings->papers[settings->paper_count++] = choice;
    return true;
}

bool settings_add_seams(Settings *settings, const char *word, Error *err)
{
    SeamChoice choice = {0};
    const char *form = split_layer(word, choice.layer);
    if (!seam_form_find(form, &choice.form))
        return error_set(err, ERROR_USAGE, "--seams knows butt and lap, and those of one layer as A=lap, not '%.40s'", word);
    for (int i = 0; i < settings->seam_count; i++) {
        if (strcmp(settings->seams[i].layer, choice.layer) != 0) continue;
        settings->seams[i] = choice;
        return true;
    }
    if (settings->seam_count == SETTINGS_MAX_PAPERS)
        return error_set(err, ERROR_USAGE, "--seams was given more than %d times; one for each layer is enough",
                         SETTINGS_MAX_PAPERS);
    settings->seams[settings->seam_count++] = choice;
    return true;
}

bool strips_way_find(const char *word, StripsWay *out)
{
    static const struct { const char *word; StripsWay way; } WAYS[] = {{"cut", STRIPS_CUT}, {"hand", STRIPS_HAND}, {"none", STRIPS_NONE}};
    for (size_t i = 0; i < sizeof WAYS / sizeof WAYS[0]; i++) {
        if (strcmp(word, WAYS[i].word) != 0) continue;
        *out = WAYS[i].way;
        return true;
    }
    return false;
}

bool settings_set_raised(Settings *settings, const char *words, Error *err)
{
    settings->raised_count = 0;
    for (const char *at = words; *at;) {
        size_t size = strcspn(at, ",");
        int layer = 0;
        char letter[8] = "";
        for (; layer < SETTINGS_MAX_PAPERS; layer++) {
            layer_letter(layer, letter);
            if (strlen(letter) == size && strncmp(at, letter, size) == 0) break;
        }
        if (layer == SETTINGS_MAX_PAPERS || settings->raised_count == SETTINGS_MAX_PAPERS)
            return error_set(err, ERROR_USAGE, "--raised takes letters of layers, such as E,F, or a colour, not '%.40s'", words);
        settings->raised[settings->raised_count++] = layer;
        at += size + (at[size] == ',');
    }
    return true;
}

// Papers that cannot lie on the cutter, and tools that it lacks.
static bool check_cutter(const Settings *settings, Error *err)
{
    Tools tools;
    for (int i = 0; settings->has_cutter && i < settings->paper_count; i++) {
        Paper paper = settings->papers[i].paper;
        if (!cutter_take_paper(&settings->cutter, &paper, err)) return false;
    }
    return tools_choose(settings, &tools, err);
}

bool settings_check(const Settings *settings, Error *err)
{
    double height_mm = settings->height_mm;
    if (!isfinite(height_mm) || height_mm < SETTINGS_LEAST_HEIGHT_MM || height_mm > SETTINGS_LARGEST_HEIGHT_MM)
        return error_set(err, ERROR_JOB, "a height of %.6g mm cannot be made; ask for %.0f mm to %.0f m", height_mm,
                         SETTINGS_LEAST_HEIGHT_MM, SETTINGS_LARGEST_HEIGHT_MM / 1000.0);
    double border_mm = settings->border_mm;
    if (!isfinite(border_mm) || border_mm < 0.0 || border_mm > height_mm / 4.0)
        return error_set(err, ERROR_JOB, "a border of %.6g mm does not go with a height of %.6g mm; ask for at most %.4g mm",
                         border_mm, height_mm, height_mm / 4.0);
    double inset_mm = settings->inset_mm;
    bool good_inset = inset_mm == 0.0 || (inset_mm >= SETTINGS_LEAST_INSET_MM && inset_mm <= SETTINGS_LARGEST_INSET_MM);
    if (!good_inset)
        return error_set(err, ERROR_JOB, "placement lines %.6g mm inside the next layer's edge cannot be made; %.1f mm to %.0f mm work",
                         inset_mm, SETTINGS_LEAST_INSET_MM, SETTINGS_LARGEST_INSET_MM);
    double thicken_mm = settings->thicken_mm;
    if (!isfinite(thicken_mm) || thicken_mm < 0.0 || thicken_mm > height_mm / 10.0)
        return error_set(err, ERROR_JOB, "a width of %.6g mm for thin parts does not go with a height of %.6g mm; ask for at most %.4g mm",
                         thicken_mm, height_mm, height_mm / 10.0);
    for (int k = 0; k < 2; k++)
        if (settings->sections_mm[k] != 0.0 && !(settings->sections_mm[k] >= SECTION_LEAST_MM))
            return error_set(err, ERROR_JOB, "sections of %.0f x %.0f mm are too small; each side should be %.0f mm or more",
                             settings->sections_mm[0], settings->sections_mm[1], SECTION_LEAST_MM);
    for (int k = 0; k < 2; k++)
        if (settings->kit.board_mm[k] != 0.0 && !(settings->kit.board_mm[k] >= BOARD_LEAST_MM))
            return error_set(err, ERROR_JOB, "boards of %.0f x %.0f mm are too small; each side should be %.0f mm or more",
                             settings->kit.board_mm[0], settings->kit.board_mm[1], BOARD_LEAST_MM);
    if (!settings_paper(settings, 0))
        return error_set(err, ERROR_USAGE, "no paper is named for the layers; add for example --paper letter");
    return check_cutter(settings, err);
}

const Paper *settings_paper(const Settings *settings, int layer)
{
    char letter[8];
    layer_letter(layer, letter);
    const Paper *common = NULL;
    for (int i = 0; i < settings->paper_count; i++) {
        if (strcmp(settings->papers[i].layer, letter) == 0) return &settings->papers[i].paper;
        if (!settings->papers[i].layer[0]) common = &settings->papers[i].paper;
    }
    return common;
}

SeamForm settings_seams(const Settings *settings, int layer, bool *named)
{
    char letter[8];
    layer_letter(layer, letter);
    SeamForm form = SEAM_BUTT;
    *named = false;
    for (int i = 0; i < settings->seam_count; i++) {
        bool own = strcmp(settings->seams[i].layer, letter) == 0;
        if (own || (!*named && !settings->seams[i].layer[0])) form = settings->seams[i].form;
        *named = *named || own;
    }
    return form;
}

// settings.c - see settings.h.
#include "job/settings.h"

#include "picture/picture.h"
#include "seam/seam.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>
#include <string.h>

Settings settings_defaults(void)
{
    return (Settings){
        .way = STACK_UNDERLAP,
        .line = MARK_SCORE,
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
    double thicken_mm = settings->thicken_mm;
    if (!isfinite(thicken_mm) || thicken_mm < 0.0 || thicken_mm > height_mm / 10.0)
        return error_set(err, ERROR_JOB, "a width of %.6g mm for thin parts does not go with a height of %.6g mm; ask for at most %.4g mm",
                         thicken_mm, height_mm, height_mm / 10.0);
    if (!settings_paper(settings, 0))
        return error_set(err, ERROR_USAGE, "no paper is named for the layers; add for example --paper letter");
    return true;
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

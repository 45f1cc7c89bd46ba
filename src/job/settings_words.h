// settings_words.h - one setting by its name and in the maker's words: "height" "4ft", as the command line, the page and
// job files know it.
//   height, border, inset, thicken: lengths; thicken 0 = off     stack:   inlay, underlap
//   paper:   words of a paper, "A=" before them for a layer      for:     sheet, piece, layer, line
//   cutter:  words of a cutter                                   page:    letter, a4
//   marks:   score, pen, or both with a comma                    colours: 1 .. 64; 0 = as many as the picture has
//   formats: svg, pdf, dxf, hpgl with commas              overcut, blade-offset: lengths; 0 = none
//   seams:   butt, lap, "A=" before it for a layer         fewer:   pieces, seams, neither
//   smallest: an area in pixels, "20px"                   cut-from: front, back
// Errors:  ERROR_USAGE; the text calls the setting what the caller calls it ("--height").
#ifndef PM_JOB_SETTINGS_WORDS_H
#define PM_JOB_SETTINGS_WORDS_H

#include "job/settings.h"

bool settings_know(const char *what);   // whether there is a setting of this name

MUST_USE bool settings_set(Settings *settings, const char *what, const char *called, const char *value, Error *err);

#endif

// markup.h - words inside SVG and HTML.
#ifndef PM_KIT_MARKUP_H
#define PM_KIT_MARKUP_H

#include "base/text.h"

// The words as text or as an attribute's value in double quotes: & < > " are escaped, so that a name is never markup.
void markup_add(Text *text, const char *words);

#endif

// page_size.c - see page_size.h.
#include "page_size.h"

#include <stdlib.h>
#include <string.h>

const char *page_size_locale(void)
{
    static const char *const NAMES[] = {"LC_ALL", "LC_PAPER", "LANG"};
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++) {
        const char *value = getenv(NAMES[i]);
        if (value && value[0]) return value;
    }
    return NULL;
}

KitPage page_size_of_place(const char *locale)
{
    static const char LETTER[][3] = {"BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"};
    const char *country = locale ? strchr(locale, '_') : NULL;
    if (!country || strlen(country) < 3) return KIT_PAGE_LETTER;
    for (size_t i = 0; i < sizeof LETTER / sizeof LETTER[0]; i++)
        if (strncmp(country + 1, LETTER[i], 2) == 0) return KIT_PAGE_LETTER;
    return KIT_PAGE_A4;
}

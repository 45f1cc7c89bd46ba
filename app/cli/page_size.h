// page_size.h - which pages the guide gets when nobody chose: what is usual in the country that the locale names.
// Source:  letter is usual in the USA, Canada, Mexico and some countries near them: Unicode CLDR, territories whose
//          measurementData has paperSize "US-Letter" (list from memory); all others use A4 (ISO 216).
#ifndef PM_APP_PAGE_SIZE_H
#define PM_APP_PAGE_SIZE_H

#include "kit/kit.h"

// The system's word on it: the first of LC_ALL, LC_PAPER and LANG that is set (POSIX, environment variables); or NULL.
const char *page_size_locale(void);

// "de_DE.UTF-8" -> A4, "en_US" -> letter; no country, "C", "POSIX" and NULL -> letter.
KitPage page_size_of_place(const char *locale);

#endif

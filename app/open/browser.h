// browser.h - shows an address in the maker's browser.
#ifndef PM_APP_BROWSER_H
#define PM_APP_BROWSER_H

#include <stdbool.h>

// False when the system has no way to; nobody waits for the browser.
bool browser_open(const char *address);

#endif

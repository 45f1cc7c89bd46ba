// embedded.h - what the program carries: the page, and the demo's picture.
#ifndef PM_APP_EMBEDDED_H
#define PM_APP_EMBEDDED_H

#include "base/embedded.h"

extern const EmbeddedFile page_files[], demo_files[];

#endif

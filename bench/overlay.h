// overlay.h - outlines drawn on the picture they were read from, to be looked at enlarged.
#ifndef PM_BENCH_OVERLAY_H
#define PM_BENCH_OVERLAY_H

#include "outline/outline.h"

// FOLDER/NAME.png and FOLDER/NAME.svg over it: cubics magenta, lines teal, joints blue, the ends of arcs red.
bool overlay_write(const Outlines *outlines, const Picture *picture, const char *folder, const char *name);

#endif

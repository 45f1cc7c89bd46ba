// say.c - see say.h.
#include "job/say.h"

#include "base/length.h"

#include <math.h>

void say_minutes(Text *text, double minutes)
{
    if (minutes < 87.5) { // 90 min are 1.5 h
        text_number(text, minutes < 10.0 ? minutes : 5.0 * (int)(minutes / 5.0 + 0.5), 0);
        text_add(text, " min");
    } else {
        text_number(text, 0.5 * (int)(minutes / 30.0 + 0.5), 1);
        text_add(text, " h");
    }
}

void say_offer(Text *text, const JobOffer *offer, const JobOffer *now)
{
    double more_in = (offer->visible_mm - now->visible_mm) / MM_PER_INCH;
    text_printf(text, "%d piece%s would show ", offer->pieces, offer->pieces == 1 ? "" : "s");
    if (fabs(more_in) < 0.5) {
        text_add(text, "as much seam");
        return;
    }
    text_number(text, fabs(more_in), 0);
    text_add(text, more_in > 0.0 ? " in more of seam" : " in less of seam");
}

void say_kit_folder(Text *text, const char *name, double height_mm)
{
    text_printf(text, "%s-", name);
    text_number(text, height_mm / MM_PER_INCH, 2);
    text_add(text, "in");
}

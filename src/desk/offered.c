// offered.c - see offered.h.
#include "desk/offered.h"

#include "base/length.h"

#include <math.h>

bool offered_work(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, int64_t shape, Offered *out)
{
    Error err = {0};
    *out = (Offered){.shape = shape};
    if (job_offers(job, settings, edits, watch, &out->offers, &err)) return true;
    out->offers.count = 0;
    return err.kind != ERROR_CANCELLED;
}

// "59 pieces would show 18 in more"
static void say(const JobOffer *offer, const JobOffer *now, Text *text)
{
    double more_in = (offer->visible_mm - now->visible_mm) / MM_PER_INCH;
    text_printf(text, "%d piece%s would show ", offer->pieces, offer->pieces == 1 ? "" : "s");
    if (fabs(more_in) < 0.5) {
        text_add(text, "as much seam");
    } else {
        text_number(text, fabs(more_in), 0);
        text_add(text, more_in > 0.0 ? " in more of seam" : " in less of seam");
    }
}

bool offered_write(const Offered *offered, JsonWriter *json, Arena *own, Error *err)
{
    const JobOffers *offers = &offered->offers;
    write_json_list(json);
    for (int i = 0; i < offers->count; i++) {
        const JobOffer *offer = &offers->items[i];
        if (!offer->is_worth_telling) continue;
        Text says = text_make(own);
        say(offer, &offers->now, &says);
        if (!text_is_whole(&says, err)) return false;
        write_json_object(json);
        write_json_key_string(json, "says", says.bytes);
        write_json_key(json, "line");
        write_json_object(json);
        write_json_key_string(json, "edit", "fewer");
        write_json_key_string(json, "of", fewer_word(offer->fewer));
        write_json_end(json);
        write_json_end(json);
    }
    write_json_end(json);
    return true;
}

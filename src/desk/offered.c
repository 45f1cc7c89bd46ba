// offered.c - see offered.h.
#include "desk/offered.h"

#include "job/say.h"

bool offered_work(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, int64_t shape, Offered *out)
{
    Error err = {0};
    *out = (Offered){.shape = shape};
    if (job_offers(job, settings, edits, watch, &out->offers, &err)) return true;
    out->offers.count = 0;
    return err.kind != ERROR_CANCELLED;
}

bool offered_write(const Offered *offered, JsonWriter *json, Arena *own, Error *err)
{
    const JobOffers *offers = &offered->offers;
    write_json_list(json);
    for (int i = 0; i < offers->count; i++) {
        const JobOffer *offer = &offers->items[i];
        if (!offer->is_worth_telling) continue;
        Text says = text_make(own);
        say_offer(&says, offer, &offers->now);
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

// prove.c - papermason prove: a kit checked again, from its files.
#include "commands.h"
#include "disk.h"

#include "base/write_json.h"

#include <stdio.h>

static void write_report(const Proof *proof, Text *text)
{
    JsonWriter json = write_json_make(text);
    write_json_object(&json);
    write_json_key(&json, "proved");
    write_json_bool(&json, proof->fault_count == 0);
    write_json_key_number(&json, "fault_count", proof->fault_count, 0);
    write_json_key(&json, "faults");
    write_json_list(&json);
    for (int i = 0; i < proof->kept_count; i++) {
        const Fault *fault = &proof->faults[i];
        write_json_object(&json);
        write_json_key_string(&json, "kind", fault->kind);
        write_json_key_string(&json, "where", fault->where);
        write_json_key_string(&json, "text", fault->text);
        write_json_key(&json, "at_mm");
        write_json_list_inline(&json);
        write_json_number(&json, fault->x_mm, 3);
        write_json_number(&json, fault->y_mm, 3);
        write_json_end(&json);
        write_json_end(&json);
    }
    write_json_end(&json);
    write_json_end(&json);
}

bool command_prove(const Arguments *arguments, const Session *session, Error *err)
{
    Arena keep = arena_make(0);
    FileSet files;
    Proof proof = {0};
    char shown[SHOWN_MAX];
    bool done = disk_read_kit(arguments->subject, &keep, &files, err) &&
                job_prove(&files, arguments->settings.threads, session->watch, &keep, &proof, err);
    if (done) {
        Text text = text_make(&keep);
        if (arguments->json) write_report(&proof, &text);
        else text_add(&text, proof.text);
        done = text_is_whole(&text, err);
        if (done) fwrite(text.bytes, 1, text.size_bytes, stdout);
    }
    if (done && proof.fault_count > 0)
        done = error_set(err, ERROR_PROOF, "the kit %s does not hold what it promises (%d fault%s; first: %s, %s); make it again before cutting",
                         shown_path(arguments->subject, shown), proof.fault_count, proof.fault_count == 1 ? "" : "s",
                         proof.faults[0].where, proof.faults[0].text);
    arena_free(&keep);
    return done;
}

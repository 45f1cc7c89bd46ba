// recut.c - see recut.h.
#include "desk/recut.h"

#include "desk/answer.h"
#include "desk/change.h"
#include "desk/pack.h"
#include "job/recut.h"
#include "job/say.h"

#include <string.h>

// ---- asked for ----

static bool add_names(const json_t *pieces, RecutOrder *order, Error *err)
{
    size_t i;
    json_t *item;
    json_array_foreach(pieces, i, item) {
        const char *name = json_string_value(item);
        if (!name || strlen(name) >= sizeof ((ShownPiece *)0)->id) return error_set(err, ERROR_USAGE, "\"pieces\" should be a list of names: [\"A7\", \"C2\"]");
        order->names[order->count++] = arena_text(&order->arena, name);
        if (!order->names[order->count - 1]) return error_memory(err);
    }
    return true;
}

// What is said, or all that is ticked as spoiled.
static bool fill_order(const Desk *desk, const Message *message, RecutOrder *order, Error *err)
{
    const char *paper;
    const json_t *pieces = message_value(message, "pieces");
    if (pieces && !json_is_array(pieces)) return error_set(err, ERROR_USAGE, "\"pieces\" should be a list of names: [\"A7\", \"C2\"]");
    if (!message_text_or_none(message, "paper", &paper, err)) return false;
    Paper unused;
    if (paper && !paper_parse(paper, &unused, err)) return false;
    if (paper && !(order->paper = arena_text(&order->arena, paper))) return error_memory(err);
    order->names = arena_new(&order->arena, const char *, json_array_size(pieces) + (size_t)desk->tick_count);
    if (!order->names) return error_memory(err);
    if (!add_names(pieces, order, err)) return false;
    for (int i = 0; i < desk->tick_count && !pieces; i++) {
        if (desk->ticks[i].mark != TICK_SPOILED) continue;
        order->names[order->count++] = arena_text(&order->arena, desk->ticks[i].piece);
        if (!order->names[order->count - 1]) return error_memory(err);
    }
    return order->count > 0 || error_set(err, ERROR_JOB, "no piece is ticked as spoiled; tick those that are to be cut once more");
}

static bool make_order(const Desk *desk, const Message *message, RecutOrder **out, Error *err)
{
    Arena arena = arena_make(0);
    RecutOrder *order = *out = arena_new(&arena, RecutOrder, 1);
    if (!order) return error_memory(err);
    *order = (RecutOrder){.arena = arena};
    if (fill_order(desk, message, order, err)) return true;
    recut_order_free(order);
    *out = NULL;
    return false;
}

bool answer_recut(Desk *desk, const Message *message, Text *reply, Error *err)
{
    RecutOrder *order;
    (void)reply;
    if (!has_job(desk, err) || !make_order(desk, message, &order, err)) return false;
    table_lock(desk);
    bool possible = desk->error.kind == ERROR_NONE;
    if (possible) {
        recut_order_free(desk->recut_order);
        desk->recut_order = order;
        desk->recut_error = (Error){0};
        if (desk->is_patient) atomic_store(&desk->cancel, true);
        desk->version++;
    } else {
        error_set(err, desk->error.kind, "%s", desk->error.text);
    }
    table_unlock(desk);
    if (!possible) recut_order_free(order);
    table_wake(desk);
    return possible;
}

// ---- worked out ----

static bool copy_names(Kit *kit, const RecutOrder *order, Error *err)
{
    kit->names = arena_new(&kit->arena, const char *, order->count);
    if (!kit->names) return error_memory(err);
    for (int i = 0; i < order->count; i++)
        if (!(kit->names[kit->name_count++] = arena_text(&kit->arena, order->names[i]))) return error_memory(err);
    return true;
}

static bool fill(Kit *kit, const Job *job, const RecutOrder *order, const Wish *wish, int threads, const JobWatch *watch, Error *err)
{
    Recut recut;
    Proof proof;
    Paper paper;
    RecutWish asked = {.names = order->names, .name_count = order->count, .paper = order->paper ? &paper : NULL};
    Text folder = text_make(&kit->arena);
    if (order->paper && !paper_parse(order->paper, &paper, err)) return false;
    say_kit_folder(&folder, wish->source->kit_name, wish->settings.height_mm);
    text_add(&folder, "-recut");
    return text_is_whole(&folder, err) && recut_make(&job->kit, &asked, watch->cancel, &kit->arena, &recut, err) &&
           job_prove(&recut.files, threads, watch, &kit->arena, &proof, err) && proof_hands_out(&proof, err) &&
           copy_names(kit, order, err) && kit_pack(kit, &recut.files, proof.text, folder.bytes, err);
}

bool recut_work(const Job *job, const RecutOrder *order, const Wish *wish, int threads, const JobWatch *watch, Kit **out, Error *err)
{
    Arena arena = arena_make(0);
    Kit *kit = *out = arena_new(&arena, Kit, 1);
    if (!kit) return error_memory(err);
    *kit = (Kit){.arena = arena, .users = 1, .revision = wish->shape, .job = wish->source->job};
    if (fill(kit, job, order, wish, threads, watch, err)) return true;
    kit_release(kit);
    *out = NULL;
    return false;
}

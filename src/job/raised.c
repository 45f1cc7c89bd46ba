// raised.c - see raised.h.
#include "job/raised.h"

static Key foam_key(const Run *run)
{
    const Stack *stack = &run->out->stack;
    Hasher h = hasher_make("foam squares");
    hash_names(&h, stack->colours, stack->colour_count); // findings tell them
    for (int layer = 0; layer < stack->layer_count; layer++) {
        hash_int(&h, stack->layers[layer].asked_raised << 1 | stack->layers[layer].raised);
        hash_int(&h, stack->layers[layer].colour);
        hash_key(&h, run->kept.pieces[layer]->key);
    }
    return hasher_key(&h);
}

bool raised_make(Run *run, Error *err)
{
    const Stack *stack = &run->out->stack;
    bool any = false, is_new;
    Kept *kept;
    run->kept.foam = NULL;
    run->out->foam = NULL;
    for (int layer = 0; layer < stack->layer_count; layer++) any = any || stack->layers[layer].raised;
    if (run->options->unrefined || !any) return true;
    if (!run_take(run, foam_key(run), sizeof(Foam), &kept, &is_new, err)) return false;
    if (is_new && !foam_make(stack, run->out->pieces, &kept->arena, &run->work, kept->value, err)) return false;
    run->kept.foam = kept;
    run->out->foam = kept->value;
    return true;
}

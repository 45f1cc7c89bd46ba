// check_names.c - what kit.json says of itself without any geometry: orders, letters, ids, colours, papers.
#include "proof/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// A, B, ... Z without I and O, then AA, AB, ...
static void letter_of(int order, char out[8])
{
    static const char letters[] = "ABCDEFGHJKLMNPQRSTUVWXYZ";
    const int base = (int)sizeof letters - 1;
    char reversed[8];
    int n = 0;
    for (int k = order; k >= 0 && n < 7; k = k / base - 1) reversed[n++] = letters[k % base];
    for (int i = 0; i < n; i++) out[i] = reversed[n - 1 - i];
    out[n] = '\0';
}

static bool order_layers(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    check->by_order = arena_new(&check->work->scratch, int, kit->layer_count);
    if (!check->by_order) return error_memory(err);
    for (int i = 0; i < kit->layer_count; i++) check->by_order[i] = -1;
    for (int i = 0; i < kit->layer_count; i++) {
        const ReadLayer *layer = &kit->layers[i];
        if (layer->order >= kit->layer_count || check->by_order[layer->order] >= 0)
            fault_add(check->faults, "order-wrong", layer->id, 0, 0,
                      "the orders of the layers should be 0 to %d, each once; this one is %d", kit->layer_count - 1,
                      layer->order);
        else
            check->by_order[layer->order] = i;
    }
    return true;
}

static void check_layer_names(Check *check)
{
    const ReadKit *kit = check->kit;
    for (int i = 0; i < kit->layer_count; i++) {
        const ReadLayer *layer = &kit->layers[i];
        char letter[8];
        letter_of(layer->order, letter);
        if (strcmp(layer->id, letter) != 0)
            fault_add(check->faults, "letter-wrong", layer->id, 0, 0, "the layer of order %d should be %s",
                      layer->order, letter);
        if (layer->base != (layer->order == 0))
            fault_add(check->faults, "base-wrong", layer->id, 0, 0,
                      "the layer of order 0, and no other, should be the base");
        if (layer->paper_count == 0 && !kit->recut_of)
            fault_add(check->faults, "layer-without-paper", layer->id, 0, 0, "the layer names no paper");
        for (int k = 0; k < layer->paper_count; k++)
            if (kit->papers[layer->papers[k]].colour != layer->colour && !kit->papers[layer->papers[k]].is_any &&
                !kit->recut_of) // what is cut once more may come from another
                fault_add(check->faults, "colour-differs", layer->id, 0, 0, "the layer is #%06x, its paper %s is #%06x",
                          (unsigned)layer->colour, kit->papers[layer->papers[k]].id,
                          (unsigned)kit->papers[layer->papers[k]].colour);
    }
}

// "A7": the layer's letter and a number from 1 on; -1 when it is something else.
static int number_of_piece(const char *id, const char *letter)
{
    size_t n = strlen(letter);
    if (strncmp(id, letter, n) != 0) return -1;
    const char *digits = id + n;
    size_t count = strspn(digits, "0123456789");
    return count == 0 || count > 6 || digits[count] != '\0' || digits[0] == '0' ? -1 : atoi(digits);
}

static bool check_piece_names(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    int *pieces = arena_new(&check->work->scratch, int, kit->layer_count);
    if (!pieces) return error_memory(err);
    for (int i = 0; i < kit->piece_count; i++)
        if (kit->pieces[i].layer >= 0) pieces[kit->pieces[i].layer]++;
    for (int i = 0; i < kit->piece_count; i++) {
        const ReadPiece *piece = &kit->pieces[i];
        if (piece->is_strip) continue;
        const ReadLayer *layer = &kit->layers[piece->layer];
        int number = number_of_piece(piece->id, layer->id);
        if (number < 1 || number > pieces[piece->layer]) // ids are unique, so that each number comes once
            fault_add(check->faults, "letter-wrong", piece->id, 0, 0, "the %d pieces of layer %s should be %s1 to %s%d",
                      pieces[piece->layer], layer->id, layer->id, layer->id, pieces[piece->layer]);
        if (piece->sheet < 0) continue;
        int paper = kit->sheets[piece->sheet].paper;
        bool known = false;
        for (int k = 0; k < layer->paper_count; k++) known = known || layer->papers[k] == paper;
        if (!known)
            fault_add(check->faults, "paper-wrong", piece->id, 0, 0,
                      "the piece lies on paper %s, which is none of layer %s", kit->papers[paper].id, layer->id);
    }
    for (int i = 0; i < kit->layer_count; i++)
        if (pieces[i] == 0)
            fault_add(check->faults, "layer-without-piece", kit->layers[i].id, 0, 0, "the layer has no piece");
    return true;
}

static void check_seam_names(Check *check)
{
    const ReadKit *kit = check->kit;
    for (int i = 0; i < kit->seam_count; i++) {
        const ReadSeam *seam = &kit->seams[i];
        const char *layer = kit->layers[seam->layer].id;
        size_t n = strlen(layer);
        bool good = strncmp(seam->id, layer, n) == 0 && strncmp(seam->id + n, "-s", 2) == 0 &&
                    seam->id[n + 2] != '\0' && strspn(seam->id + n + 2, "0123456789") == strlen(seam->id + n + 2);
        if (!good)
            fault_add(check->faults, "letter-wrong", seam->id, 0, 0,
                      "a seam of layer %s should be called %s-s1, %s-s2 ...", layer, layer, layer);
        for (int k = 0; k < 2; k++)
            if (kit->pieces[seam->pieces[k]].layer != seam->layer)
                fault_add(check->faults, "seam-wrong-piece", seam->id, 0, 0, "piece %s is not of layer %s",
                          kit->pieces[seam->pieces[k]].id, layer);
    }
}

static void check_usable(Check *check)
{
    for (int i = 0; i < check->kit->paper_count; i++) {
        const ReadPaper *p = &check->kit->papers[i];
        const double *u = p->usable, hair = 1e-6;
        if (u[2] <= 0.0 || u[3] <= 0.0 || u[0] + u[2] > p->size[0] + hair || u[1] + u[3] > p->size[1] + hair)
            fault_add(check->faults, "usable-wrong", p->id, 0, 0,
                      "the usable area should lie on the sheet of %.3f x %.3f mm", p->size[0], p->size[1]);
    }
}

bool check_names(Check *check, Error *err)
{
    if (check->kit->layer_count == 0)
        fault_add(check->faults, "bad-file", "layers", 0, 0, "kit.json: there is no layer");
    if (!order_layers(check, err)) return false;
    check_layer_names(check);
    check_usable(check);
    check_seam_names(check);
    return check_piece_names(check, err);
}

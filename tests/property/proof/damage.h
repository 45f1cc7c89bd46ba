// damage.h - seeded ways to spoil a kit, each with the fault that a proof should name.
#ifndef PM_PROPERTY_DAMAGE_H
#define PM_PROPERTY_DAMAGE_H

#include "kit_edit.h"

typedef struct Expected {
    char kind[3][32]; // one of these kinds ...
    char where[64];   // ... at this place (a pair "A1+A2" names both)
} Expected;

// Spoils the kit; false when it has nothing to spoil in this way (another seed or kind may).
typedef bool Damage(EditKit *kit, Rng *rng, Expected *expected);

typedef struct NamedDamage {
    const char *name;
    Damage *spoil;
} NamedDamage;
extern const NamedDamage json_damages[], sheet_damages[], form_damages[];
extern const int json_damage_count, sheet_damage_count, form_damage_count;

void expect(Expected *expected, const char *kind, const char *where);
json_t *any_item(const EditKit *kit, Rng *rng, const char *key);
// damage_paper.c
Damage direction_given, line_refused, tool_lost, loss_edited, mat_shrunk, purchase_edited, pack_edited, board_edited, offcut_said, property_removed;
// damage_laps.c
Damage lap_pulled_out, lap_cut_off, lap_given_to_the_other, lap_of_nobody, lap_seam_called_butt, butt_seam_called_lap, face_cut_into;

json_t *sheet_of(const EditKit *kit, const json_t *piece);
const char *first_of_file(const EditKit *kit, const json_t *sheet); // the id that a fault of the whole file is named by

#endif

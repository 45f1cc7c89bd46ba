// separation.h - the door: Picture -> Separation, one label a pixel.
// Shape:   label[y * width_px + x]: 0 = ground (not cut), i + 1 = colours[i]. All pixels of a flat colour have its label;
//          edge pixels have the label whose share of the pixel is largest, among the labels that touch there.
//          Regions are 4-connected areas of one label.
// Units:   pixels; findings' places are pixels here.
// Errors:  ERROR_JOB: nothing but ground, one colour only, no flat colour found.
#ifndef PM_SEPARATION_SEPARATION_H
#define PM_SEPARATION_SEPARATION_H

#include "base/finding.h"
#include "picture/picture.h"
#include "separation/colour.h"

#define SEPARATION_MAX_COLOURS 64

typedef struct SeparationColour {
    Srgb8 colour;
    char name[32];          // plain word, unique in this picture ("grey", "grey b"), or a paper's
    int64_t area_px;        // pixels with this label
    int region_count;
} SeparationColour;

// What the maker says of a place or a colour. Replayed after the automatic decisions, before specks are judged, by
// `turn` (the place in the maker's list); wishes of one turn: same, places, left out. Tiny parts come last.
// A wish without target becomes a finding "edit-without-target", one that an earlier one contradicts or that cannot be
// kept "edit-not-kept"; one that holds already is kept silently. None makes an error, and none leaves nothing to cut.
// Places are fractions of wish_box_px's height from its top left corner, so that they hold at any size and no wish
// moves another. Colours: the nearest one of the picture within dE00 3.
typedef enum TinyFate { TINY_KEEP, TINY_ENLARGE, TINY_PEN } TinyFate;

// The area of one colour at this place is ground, or is paper: of its own colour, of the ground's; of white where it is
// transparent.
typedef struct PlaceWish { double x, y; bool is_ground; int turn; } PlaceWish;

// The picture as if `colour` had been painted `as`; so what then has the ground's colour and touches it is ground.
typedef struct SameWish { Srgb8 colour, as; int turn; } SameWish;

// For the tiny part at this place as a finding lists it. Keep: it stays. Enlarge: it grows into its neighbours until it
// can be handled, but never touches an area of its colour or leaves the figure's box. Pen: it joins and is drawn.
typedef struct TinyWish { double x, y; TinyFate fate; } TinyWish;

// A paper in hand: each colour of the picture is cut from the nearest of them, after all other wishes (match.h).
typedef struct NamedColour { Srgb8 colour; char name[32]; } NamedColour;

typedef struct SeparationWishes {
    const PlaceWish *places;
    int place_count;
    const SameWish *same;
    int same_count;
    const Srgb8 *left_out;      // each pixel goes to the nearest colour round its area; to ground where nothing else is
    const int *left_out_turns;  // NULL = all 0
    int left_out_count;
    const TinyWish *tiny;
    int tiny_count;
    const NamedColour *papers;  // at most SEPARATION_MAX_COLOURS, no colour twice; none: the picture's own colours stay
    int paper_count;
} SeparationWishes;

// What became of a colour of the picture when papers were in hand.
typedef struct ColourMatch { Srgb8 from; int colour; } ColourMatch;

// A tiny part that the maker wants drawn by pen instead of cut: one closed line of its outline, in pixels, on pixel
// corners. A part with holes has one for each.
typedef struct PenDetail {
    Srgb8 colour;
    double *xy_px;              // point_count pairs
    int point_count;
} PenDetail;

typedef struct Separation {
    int width_px, height_px;
    uint8_t *label;
    uint8_t *repainted;         // 1 where a part was made thicker: the picture does not show that edge; NULL = nowhere
    SeparationColour *colours;  // by area, largest first; ties by colour value
    int colour_count;
    bool has_ground_colour;     // false: the ground is transparency
    Srgb8 ground_colour;
    bool hard_edged;            // edges without blends: points stay on crack middles in `outline`
    bool is_noisy;              // compression noise: outline allows more
    double box_px[4];           // x0, y0, x1, y1 of all non-ground pixels after the wishes, before clean-up: it fixes the scale
    double wish_box_px[4];      // the same without any wish: what places of wishes refer to
    double edge_px;             // mean width of the blends along edges: about 1 in clean art, more where it is blurred
    bool is_photo;              // not flat: reduced to a few colours
    bool has_shading;           // flat, but for soft shading somewhere: a finding tells where
    int gone_count;             // specks that joined a neighbour and that somebody would miss
    Findings findings;          // specks that joined a neighbour; neighbours hardly to be told apart ...
    ColourMatch *matches;       // of the picture's colours to `colours`; none without papers in hand
    int match_count;
    PenDetail *pen_details;
    int pen_detail_count;
} Separation;

typedef struct SeparationOptions {
    double figure_height_mm;    // of the finished figure without border; with it the two sizes below are judged
    double smallest_part_mm;    // a coloured region inside a circle of this diameter is a speck (8)
    double smallest_hole_mm;    // the same for a hole or a notch of ground, and for the colour that shows through as base (4)
    double smallest_area_px;    // > 0: judge specks by area in pixels instead (fewer pixels than this = speck)
    double same_de00;           // colours nearer than this are one (3)
    double least_width_mm;      // > 0: thin parts of colours grow to this width
    int most_colours;           // of what is cut, the ground apart; 0 = as many as there are
    SeparationWishes wishes;    // none by default
} SeparationOptions;

SeparationOptions separation_defaults(void);

MUST_USE bool separation_make(const Picture *picture, const SeparationOptions *options, Arena *keep, Work *work,
                              Separation *out, Error *err);

#endif

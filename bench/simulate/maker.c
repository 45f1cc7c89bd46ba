// maker.c - errors drawn at random; see maker.h.
#include "simulate/maker.h"

#include <math.h>

#define TWO_SIDED_95 1.96 // deviations that 95 % of a normal distribution keep

Motion motion_none(void)
{
    return (Motion){1.0, 0.0, 0.0, 0.0};
}

Motion motion_about(Spot centre, Spot shift, double tan_turn)
{
    double c = 1.0 / sqrt(1.0 + tan_turn * tan_turn), s = tan_turn * c;
    return (Motion){c, s, centre.x + shift.x - c * centre.x + s * centre.y,
                    centre.y + shift.y - s * centre.x - c * centre.y};
}

Motion motion_after(Motion first, Motion then)
{
    Spot moved = motion_apply(then, (Spot){first.x, first.y});
    return (Motion){then.c * first.c - then.s * first.s, then.s * first.c + then.c * first.s, moved.x, moved.y};
}

Spot motion_apply(Motion m, Spot p)
{
    return (Spot){m.c * p.x - m.s * p.y + m.x, m.s * p.x + m.c * p.y + m.y};
}

Spot motion_undo(Motion m, Spot p)
{
    double x = p.x - m.x, y = p.y - m.y;
    return (Spot){m.c * x + m.s * y, m.c * y - m.s * x};
}

double maker_normal(Rng *rng)
{
    double sum = -6.0;
    for (int i = 0; i < 12; i++) sum += rng_unit(rng);
    return sum;
}

// A direction: a point of the unit disc, drawn until it is one, pushed out to the circle.
static Spot direction(Rng *rng)
{
    for (;;) {
        double x = 2.0 * rng_unit(rng) - 1.0, y = 2.0 * rng_unit(rng) - 1.0, square = x * x + y * y;
        if (square > 1.0 || square < 1e-6) continue;
        return (Spot){x / sqrt(square), y / sqrt(square)};
    }
}

Spot maker_shift(ErrorLaw law, double size_mm, Rng *rng)
{
    Spot d = law == LAW_SIZE ? direction(rng) : (Spot){maker_normal(rng) / TWO_SIDED_95, maker_normal(rng) / TWO_SIDED_95};
    return (Spot){size_mm * d.x, size_mm * d.y};
}

Motion maker_placing(const MakerErrors *errors, Spot centre, double reach_mm, Rng *rng)
{
    Spot shift = maker_shift(errors->law, errors->hand_mm, rng);
    double turn = errors->law == LAW_SIZE ? (rng_unit(rng) < 0.5 ? -1.0 : 1.0) : maker_normal(rng) / TWO_SIDED_95;
    return motion_about(centre, shift, reach_mm > 0.0 ? turn * errors->turn_mm / reach_mm : 0.0);
}

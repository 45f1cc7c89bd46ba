#!/usr/bin/env python3
"""voronoi.py SEED - prints an SVG of cells in flat colours, neighbours unlike, without outlines.

Cells of seeded points, cut out of the frame by the half planes between them. Each cell is drawn as it is among the points
up to its own: what comes later lies on top, so that antialiasing shows no ground between two cells. Some pictures stand free
on the ground.
Source: G. Voronoi, "Nouvelles applications des parametres continus a la theorie des formes quadratiques",
J. reine angew. Math. 133 (1908); half planes: common practice.
"""
import random
import sys

SIDE = 1000.0
LEAST_APART = 60.0  # of two seeds' places: smaller cells would be specks at 600 px


def half_plane(polygon, a, b):
    """The part of polygon = [(x, y, neighbour of the edge that starts here)] that lies nearer to a than to b."""
    def off(p):
        return (p[0] - (a[0] + b[0]) / 2) * (b[0] - a[0]) + (p[1] - (a[1] + b[1]) / 2) * (b[1] - a[1])
    out = []
    for i, p in enumerate(polygon):
        q = polygon[(i + 1) % len(polygon)]
        dp, dq = off(p), off(q)
        if dp <= 0:
            out.append(p)
        if (dp < 0 < dq) or (dq < 0 < dp):
            t = dp / (dp - dq)
            out.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]), b if dq > 0 else p[2]))
    return out


def cells(some, sites):
    frame = [(0, 0, None), (SIDE, 0, None), (SIDE, SIDE, None), (0, SIDE, None)]
    for a in some:
        polygon = frame
        for b in sites:
            if b != a:
                polygon = half_plane(polygon, a, b)
        yield polygon


def places(rng, count):
    sites = []
    for _ in range(100 * count):
        p = (rng.random() * SIDE, rng.random() * SIDE)
        if all((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 >= LEAST_APART ** 2 for q in sites):
            sites.append(p)
        if len(sites) == count:
            break
    return sites


def papers(rng, count):
    """Colours far apart in every channel's grid of 60 codes."""
    grid = [(r, g, b) for r in range(10, 251, 60) for g in range(10, 251, 60) for b in range(10, 251, 60)]
    rng.shuffle(grid)
    return ["#%02x%02x%02x" % c for c in grid[:count]]


def picture(seed):
    rng = random.Random(seed)
    sites = places(rng, rng.randrange(12, 60))
    colours = papers(rng, rng.randrange(7, 11))
    polygons = list(cells(sites, sites))
    is_free = seed % 3 == 0  # the cells at the frame are ground: those come first, so that nothing lies under them
    ground = [is_free and any(p[2] is None for p in polygon) for polygon in polygons]
    order = sorted(range(len(sites)), key=lambda i: not ground[i])
    colour_of = {}
    parts = ["<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 1000 1000'>"]
    drawn = []
    for i in order:
        taken = {colour_of[p[2]] for p in polygons[i] if p[2] in colour_of}
        free = [c for c in colours if c not in taken] or colours
        colour_of[sites[i]] = free[rng.randrange(len(free))]
        drawn.append(sites[i])
        if ground[i]:
            continue
        polygon = next(cells([sites[i]], drawn))
        shape = "L".join("%.3f %.3f" % p[:2] for p in polygon)
        parts.append("<path fill='%s' d='M%sZ'/>" % (colour_of[sites[i]], shape))
    parts.append("</svg>\n")
    return "\n".join(parts)


if __name__ == "__main__":
    print(picture(int(sys.argv[1])), end="")

"""Reads kits with nothing but the standard library: an outside pair of eyes for the end-to-end tests."""

import json
import math
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

SVG = "{http://www.w3.org/2000/svg}"
TOKEN = re.compile(r"[MLCZ]|-?[0-9.]+(?:[eE][-+]?[0-9]+)?")


def read_kit(folder):
    return json.loads((Path(folder) / "kit.json").read_text())


def path_rings(path, steps=24):
    """Rings (or strokes) of points from absolute M L C Z path data; cubics by their Bernstein form."""
    tokens = TOKEN.findall(path)
    rings, at, i = [], None, 0

    def number():
        nonlocal i
        i += 1
        return float(tokens[i - 1])

    while i < len(tokens):
        word = tokens[i]
        i += 1
        if word == "M":
            at = (number(), number())
            rings.append([at])
        elif word == "L":
            while i < len(tokens) and tokens[i] not in "MLCZ":
                at = (number(), number())
                rings[-1].append(at)
        elif word == "C":
            while i < len(tokens) and tokens[i] not in "MLCZ":
                b, c, d = (number(), number()), (number(), number()), (number(), number())
                for k in range(1, steps + 1):
                    t = k / steps
                    u = 1 - t
                    rings[-1].append(tuple(u * u * u * at[n] + 3 * u * u * t * b[n] + 3 * u * t * t * c[n] + t * t * t * d[n]
                                           for n in (0, 1)))
                at = d
        elif word == "Z":
            at = rings[-1][0]
        else:
            raise ValueError(word)
    return rings


def transformed(rings, matrix):
    a, b, c, d, e, f = matrix
    return [[(a * x + c * y + e, b * x + d * y + f) for x, y in ring] for ring in rings]


def box(rings):
    xs = [p[0] for ring in rings for p in ring]
    ys = [p[1] for ring in rings for p in ring]
    return min(xs), min(ys), max(xs), max(ys)


def sheet_paths(svg_file):
    """All path data of a sheet by group id, and the root element."""
    root = ElementTree.parse(svg_file).getroot()
    groups = {}
    for group in root.iter(SVG + "g"):
        groups[group.get("id")] = [path.get("d") for path in group.iter(SVG + "path")]
    return root, groups


def distance_to_rings(point, rings):
    best = math.inf
    for ring in rings:
        for a, b in zip(ring, ring[1:] + ring[:1]):
            dx, dy = b[0] - a[0], b[1] - a[1]
            square = dx * dx + dy * dy
            t = 0 if square == 0 else max(0, min(1, ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / square))
            best = min(best, math.hypot(point[0] - a[0] - t * dx, point[1] - a[1] - t * dy))
    return best

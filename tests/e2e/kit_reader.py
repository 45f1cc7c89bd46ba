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


class DrawnObject:
    """One path of a sheet file, with what an importer may look at or forget."""

    def __init__(self, element, groups):
        self.groups = groups  # ids of the groups that it lies in, outermost first
        self.data = element.get("d")
        self.fill = element.get("fill", "black")
        self.stroke = element.get("stroke", "none")
        self.stroke_width = float(element.get("stroke-width", "1")) if self.stroke != "none" else 0.0
        self.rings = path_rings(self.data)

    @property
    def colour(self):
        return self.fill if self.fill != "none" else self.stroke


def drawn_objects(svg_file):
    """All paths of a file in its order."""
    objects = []

    def walk(element, groups):
        for child in element:
            if child.tag == SVG + "g":
                walk(child, groups + [child.get("id")])
            elif child.tag == SVG + "path":
                objects.append(DrawnObject(child, groups))

    walk(ElementTree.parse(svg_file).getroot(), [])
    return objects


class NearPoints:
    """Finds whether some place of the lines through the points lies within a tenth of a millimetre in both directions."""

    def __init__(self, rings):
        self.rings = [list(ring) for ring in rings]
        self.cells = {}
        for ring in self.rings:
            for x, y in ring:
                self.cells.setdefault((round(x), round(y)), []).append((x, y))

    def has(self, x, y, reach=0.1):
        if any(abs(px - x) < reach and abs(py - y) < reach
               for i in (-1, 0, 1) for j in (-1, 0, 1)
               for px, py in self.cells.get((round(x) + i, round(y) + j), [])):
            return True
        # Whoever writes a drawing may make one of two lines that go straight on, with points elsewhere on it.
        return any(self.is_on(x, y, a, b, reach) for ring in self.rings for a, b in zip(ring, ring[1:] + ring[:1]))

    @staticmethod
    def is_on(x, y, a, b, reach):
        dx, dy = b[0] - a[0], b[1] - a[1]
        length2 = dx * dx + dy * dy
        t = 0 if length2 == 0 else min(1, max(0, ((x - a[0]) * dx + (y - a[1]) * dy) / length2))
        return abs(a[0] + t * dx - x) < reach and abs(a[1] + t * dy - y) < reach

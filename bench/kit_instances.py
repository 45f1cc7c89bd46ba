"""The pieces of a kit, as instances for nest-bench: one file a paper.

    bench/kit_instances.py KIT FOLDER

Each file is of the sheets kind (sheet, items), with three keys more: gap_mm, corner_mm (legs of the corner marks) and an item's
holes. Curves are flattened, millimetres with three decimals.
"""
import json
import re
import sys
from pathlib import Path

STEPS = 8


def rings_of(path):
    rings, ring = [], []
    for kind, rest in re.findall(r"([MLCZ])([^MLCZ]*)", path):
        numbers = [float(n) for n in re.findall(r"-?[\d.]+", rest)]
        if kind == "Z":
            rings.append(ring)
            ring = []
        elif kind in "ML":
            ring += list(zip(numbers[::2], numbers[1::2]))
        else:
            for i in range(0, len(numbers), 6):
                a, b, c, d = ring[-1], numbers[i:i + 2], numbers[i + 2:i + 4], numbers[i + 4:i + 6]
                for k in range(1, STEPS + 1):
                    t = k / STEPS
                    ring.append(tuple((1 - t) ** 3 * a[n] + 3 * (1 - t) ** 2 * t * b[n] + 3 * (1 - t) * t * t * c[n] + t ** 3 * d[n]
                                      for n in (0, 1)))
    return rings


def area(ring):
    return sum(ring[k - 1][0] * ring[k][1] - ring[k][0] * ring[k - 1][1] for k in range(len(ring))) / 2


def rounded(ring):
    out = []
    for x, y in ring:
        p = [round(x, 3), round(y, 3)]
        if not out or out[-1] != p:
            out.append(p)
    if out[0] == out[-1]:
        out.pop()
    return out if area(out) > 0 else out[::-1]


def main():
    kit = json.loads((Path(sys.argv[1]) / "kit.json").read_text())
    folder = Path(sys.argv[2])
    paper_of = {sheet["id"]: sheet["paper"] for sheet in kit["sheets"]}
    for paper in kit["papers"]:
        items = []
        for piece in kit["pieces"]:
            if paper_of[piece["sheet"]] != paper["id"]:
                continue
            rings = sorted((rounded(ring) for ring in rings_of(piece["outline"])), key=area, reverse=True)
            x0, y0 = min(p[0] for p in rings[0]), min(p[1] for p in rings[0])
            moved = [[[round(x - x0, 3), round(y - y0, 3)] for x, y in ring] for ring in rings]
            items.append({"id": len(items), "demand": 1, "outline": moved[0], "holes": moved[1:]})
        if not items:
            continue
        name = "kit_" + kit["name"] + "_" + paper["id"].replace(" ", "-")
        data = {"name": name, "sheet": paper["usable_mm"][2:], "gap_mm": 3, "corner_mm": 3, "items": items}
        (folder / (name + ".json")).write_text(json.dumps(data, separators=(",", ":")).replace('{"id"', '\n{"id"') + "\n")


main()

"""Lap seams and hinges, measured in kit.json by other code than the program's."""

import json
import math
import re
import statistics
import unittest

import kit_reader
from support import ROOT, ProgramTest, main

DEMO = ROOT / "demo" / "nordersand.png"
REACH_MM, LAP_REACH_MM = 12.0, 11.0  # of what bridges a seam: docs/kit-format.md


class Shape:
    """Rings with an even-odd inside; edges in bands of y, since most are far off."""

    def __init__(self, path):
        self.edges, self.bands = [], {}
        for ring in kit_reader.path_rings(path, steps=12):
            for a, b in zip(ring, ring[1:] + ring[:1]):
                if a[1] != b[1]:
                    self.edges.append((a, b))
        for i, (a, b) in enumerate(self.edges):
            for band in range(int(min(a[1], b[1]) // 10), int(max(a[1], b[1]) // 10) + 1):
                self.bands.setdefault(band, []).append(i)
        xs = [p[0] for edge in self.edges for p in edge]
        ys = [p[1] for edge in self.edges for p in edge]
        self.box = min(xs), min(ys), max(xs), max(ys)

    def holds(self, x, y):
        if not (self.box[0] <= x <= self.box[2] and self.box[1] <= y <= self.box[3]):
            return False
        inside = False
        for i in self.bands.get(int(y // 10), ()):
            (x0, y0), (x1, y1) = self.edges[i]
            if (y0 > y) != (y1 > y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0):
                inside = not inside
        return inside


def along(path, step):
    """Places of a seam with the direction square to it: (x, y, nx, ny)."""
    for run in kit_reader.path_rings(path):
        for a, b in zip(run, run[1:]):
            length = math.dist(a, b)
            count = max(1, round(length / step))
            for k in range(count):
                t = (k + 0.5) / count
                yield (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), -(b[1] - a[1]) / length, (b[0] - a[0]) / length)


class Laps(ProgramTest):
    def build(self, *words):
        result = self.run_program("build", str(DEMO), "-o", "kit", "--force", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        return kit_reader.read_kit(self.folder / "kit")

    def shapes(self, kit):
        faces = {piece["id"]: Shape(piece.get("face", piece["outline"])) for piece in kit["pieces"]}
        return faces, {piece["id"]: Shape(piece["outline"]) for piece in kit["pieces"] if "face" in piece}

    def test_laps_lie_under_their_neighbours(self):
        kit = self.build("--height", "32in", "--paper", "letter", "--seams", "lap")
        faces, cuts = self.shapes(kit)
        layers = {layer["id"]: Shape(layer["outline"]) for layer in kit["layers"]}
        laps = [seam for seam in kit["seams"] if seam["form"] == "lap"]
        base = [seam for seam in kit["seams"] if seam["layer"] == "A"]
        self.assertGreater(sum(seam["length_mm"] for seam in laps), 0.9 * sum(seam["length_mm"] for seam in base))
        self.assertEqual({seam["layer"] for seam in laps}, {"A"})  # nothing covers the other layers
        told = [finding["text"] for finding in kit["findings"] if finding["kind"] == "lap-left-out"]
        for seam in (seam for seam in base if seam["form"] == "butt"):
            self.assertLess(seam["length_mm"], 50, seam["id"])  # no room between its ends
            self.assertTrue(any(text.startswith("layer A:") and re.search(rf"\b{seam['id']}\b", text) for text in told), seam["id"])
        for layer in {seam["layer"] for seam in kit["seams"]} - {"A"}:
            self.assertTrue(any(text.startswith(f"layer {layer} ") for text in told), layer)
        widths = []
        for seam in laps:
            self.assertIn(seam["lap_of"], seam["pieces"])
            other = seam["pieces"][1 - seam["pieces"].index(seam["lap_of"])]
            deep = [self.depth(place, cuts[seam["lap_of"]], faces[seam["lap_of"]], faces[other], layers["A"]) for place in along(seam["path"], 6)]
            self.assertGreater(sum(width >= 5.5 for width in deep), 0.4 * len(deep), seam["id"])
            widths += deep
        self.assertAlmostEqual(statistics.median(widths), 12.0, delta=0.6)
        self.assertLess(max(widths), 12.6)

    def depth(self, place, cut, face, other, layer):
        """How far the lap reaches at a place of its seam; every step of it is under the neighbour and clear of the layer's edge."""
        x, y, nx, ny = place
        side = 1 if other.holds(x + 0.3 * nx, y + 0.3 * ny) else -1
        deep = 0.0
        for k in range(1, 30):
            reach = 0.5 * k
            px, py = x + side * reach * nx, y + side * reach * ny
            if not cut.holds(px, py) or face.holds(px, py):
                break
            deep = reach
            self.assertTrue(other.holds(px, py), (px, py))
            for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                self.assertTrue(layer.holds(px + dx, py + dy), (px, py))
        return deep

    def test_laps_on_one_another_are_found(self):
        kit = self.build("--height", "32in", "--paper", "letter", "--seams", "lap")
        pieces = {piece["id"]: piece for piece in kit["pieces"]}
        laps = [seam for seam in kit["seams"] if seam["form"] == "lap"]
        under = {}
        for seam in laps:
            under.setdefault(seam["pieces"][1 - seam["pieces"].index(seam["lap_of"])], []).append(seam)
        other, (first, second) = next((other, seams[:2]) for other, seams in sorted(under.items())
                                      if len(seams) > 1 and seams[0]["lap_of"] != seams[1]["lap_of"])
        faces, _ = self.shapes(kit)
        x, y, nx, ny = list(along(first["path"], 1e9))[0]
        side = 1 if faces[other].holds(x + 0.3 * nx, y + 0.3 * ny) else -1
        x, y = x + 4 * side * nx, y + 4 * side * ny  # in the lap of the first: the second gets a scrap of paper there
        pieces[second["lap_of"]]["outline"] += " M" + " L".join(f"{x + dx:.3f} {y + dy:.3f}" for dx, dy in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))) + " Z"
        (self.folder / "kit" / "kit.json").write_text(json.dumps(kit))
        result = self.run_program("prove", "kit")
        self.assertEqual(result.returncode, 4)
        said = (result.stdout + result.stderr).decode()
        self.assertIn("laps-overlap", said)
        for seam in (first, second):
            self.assertRegex(said, rf"laps-overlap at [A-Z0-9+]*\b{seam['lap_of']}\b")

    def test_words_that_cannot_be_done(self):
        for words, code, said in ((("B=lap",), 1, "nothing covers layer B"), (("Q=lap",), 1, "names a layer that is not there"),
                                  (("wavy",), 2, "butt and lap"), (("A=",), 2, "butt and lap")):
            result = self.run_program("build", str(DEMO), "--height", "24in", "--paper", "letter", "--seams", *words)
            self.assertEqual(result.returncode, code, words)
            self.assertIn(said, result.stderr.decode())

    def test_one_layer_alone(self):
        kit = self.build("--height", "24in", "--paper", "letter", "--seams", "lap", "--seams", "A=butt")
        self.assertEqual({seam["form"] for seam in kit["seams"]}, {"butt"})
        kit = self.build("--height", "24in", "--paper", "letter", "--seams", "A=lap")
        self.assertIn("lap", {seam["form"] for seam in kit["seams"] if seam["layer"] == "A"})
        self.assertNotIn("lap-left-out", [finding["kind"] for finding in kit["findings"] if "nothing covers" in finding["text"]])

    def test_hinges_are_bridged_as_little_as_they_say(self):
        for words in (("--height", "5ft", "--paper", "letter"), ("--height", "5ft", "--paper", "letter", "--seams", "lap"),
                      ("--height", "20in", "--paper", "a5")):
            kit = self.build(*words)
            faces, cuts = self.shapes(kit)
            above = [faces[piece["id"]] for piece in kit["pieces"] if piece["layer"] != "A"]
            seams = {seam["id"]: seam for seam in kit["seams"] if seam["layer"] == "A"}
            shares = {name: self.bridged(seam, above, cuts) for name, seam in seams.items()}
            hinges = [finding for finding in kit["findings"] if finding["kind"] == "hinge"]
            self.assertGreater(len(hinges), 0, words)
            for finding in hinges:
                names = finding["text"].split(" cross")[0].replace(" and ", ", ").split(", ")
                if any("more" in name for name in names):
                    continue
                length = sum(seams[name]["length_mm"] for name in names)
                bridged = sum(seams[name]["length_mm"] * shares[name] for name in names)
                self.assertIn(f"{length:.0f} mm in all", finding["text"])
                self.assertLess(bridged / length, 0.5 + 2.0 / length)
                told = float(finding["text"].split("bridges ")[1].split(" %")[0])
                self.assertAlmostEqual(told, 100 * bridged / length, delta=1 + 200 / length)

    def bridged(self, seam, above, cuts):
        found, count = 0, 0
        for x, y, nx, ny in along(seam["path"], 0.5):
            count += 1
            ways = [(shape, REACH_MM) for shape in above if shape.holds(x, y)]
            if seam["form"] == "lap":
                ways.append((cuts[seam["lap_of"]], LAP_REACH_MM))
            found += any(all(shape.holds(x + k / 8 * reach * nx, y + k / 8 * reach * ny) for k in range(-8, 9)) for shape, reach in ways)
        return found / count


if __name__ == "__main__":
    main()

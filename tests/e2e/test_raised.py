"""Raised layers: squares under their pieces, layers below that reach farther, and proofs that name what is spoiled."""

import json
import math
import unittest

import kit_reader
from support import ROOT, ProgramTest, main

DEMO = ROOT / "demo" / "nordersand.png"


class Raised(ProgramTest):
    def build(self, *words):
        result = self.run_program("build", str(DEMO), "--height", "23in", "--paper", "letter", "-o", "kit", "--force", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        return kit_reader.read_kit(self.folder / "kit")

    def test_squares_lie_under_their_pieces(self):
        kit = self.build("--raised", "C,E")
        raised = {layer["id"] for layer in kit["layers"] if layer.get("raised")}
        self.assertTrue({"C", "E"} <= raised)
        self.assertEqual(kit["foam"], {"square_mm": 12, "height_mm": 3})
        count = 0
        for piece in kit["pieces"]:
            rings = kit_reader.path_rings(piece["outline"])
            for k, place in enumerate(piece.get("foam_mm", [])):
                self.assertIn(piece["layer"], raised)
                self.assertGreater(kit_reader.distance_to_rings(place, rings), 12.48, piece["id"])
                for other in piece["foam_mm"][:k]:
                    self.assertGreater(math.dist(place, other), 16.9)
                count += 1
        self.assertGreater(count, 10)
        self.assertEqual(kit["totals"]["foam_squares"], count)
        flat = self.build()
        areas = [{layer["id"]: layer["area_mm2"] for layer in one["layers"]} for one in (flat, kit)]
        self.assertEqual(areas[0].keys(), areas[1].keys())
        self.assertFalse(any("raised" in layer for layer in flat["layers"]))
        for layer in areas[0]:
            self.assertGreaterEqual(areas[1][layer], areas[0][layer] - 1.0) # an underlap grows, if anything

    def test_a_colour_may_be_named_as_well(self):
        kit = self.build("--raised", "red")
        self.assertTrue(next(layer for layer in kit["layers"] if layer["name"] == "red")["raised"])

    def test_what_cannot_be_raised_is_said(self):
        for value, code, words in (("A", 1, b"layer A is the base"), ("X", 1, b"is not there"), ("C;E", 2, b"there is no colour"), ("", 2, b"")):
            result = self.run_program("build", str(DEMO), "--height", "23in", "--paper", "letter", "-o", "kit", "--raised", value)
            self.assertIn(result.returncode, (0,) if value == "" else (code,), (value, result.stderr))
            self.assertIn(words, result.stderr)

    def test_what_is_spoiled_is_named(self):
        self.build("--raised", "E")
        (self.folder / "kit" / "proof.txt").unlink()
        whole = (self.folder / "kit" / "kit.json").read_text()

        def spoil(change):
            kit = json.loads(whole)
            change(kit, [piece for piece in kit["pieces"] if len(piece.get("foam_mm", [])) > 1])
            (self.folder / "kit" / "kit.json").write_text(json.dumps(kit))
            result = self.run_program("prove", "kit")
            self.assertEqual(result.returncode, 4)
            return (result.stdout + result.stderr).decode()

        def shift(kit, pieces):
            pieces[0]["foam_mm"][0][0] += 500

        def stack(kit, pieces):
            pieces[0]["foam_mm"][1] = pieces[0]["foam_mm"][0]

        def flatten(kit, pieces):
            for layer in kit["layers"]:
                layer.pop("raised", None)

        def lose(kit, pieces):
            pieces[0]["foam_mm"].pop()

        for change, kind in ((shift, "foam-off-piece"), (stack, "foam-overlaps"), (flatten, "foam-not-raised"), (lose, "number-wrong at totals.foam_squares")):
            self.assertIn(kind, spoil(change))


if __name__ == "__main__":
    main()

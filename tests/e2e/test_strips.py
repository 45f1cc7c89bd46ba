"""Backing strips: where they lie, which are cut, and that a proof names what is spoiled of them."""

import json
import math
import shutil
import unittest

import kit_reader
from support import ROOT, ProgramTest, main

DEMO = ROOT / "demo" / "nordersand.png"


def corners(piece):
    ring = kit_reader.path_rings(piece["outline"])[0]
    return ring[:-1] if ring[0] == ring[-1] else ring


def strips_of(kit):
    return [piece for piece in kit["pieces"] if piece["kind"] == "strip"]


class Strips(ProgramTest):
    def build(self, *words):
        result = self.run_program("build", str(DEMO), "-o", "kit", "--force", "--json", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        return kit_reader.read_kit(self.folder / "kit")

    def test_strips_are_cut_above_24_in_from_what_sheets_leave(self):
        kit = self.build("--height", "36in", "--paper", "letter")
        strips, seams = strips_of(kit), {seam["id"]: seam for seam in kit["seams"]}
        self.assertGreater(len(strips), 5)
        self.assertEqual(kit["totals"]["strips"], len(strips))
        self.assertEqual(kit["totals"]["pieces"], len(kit["pieces"]) - len(strips))
        base = kit_reader.path_rings(kit["layers"][0]["outline"])
        for strip in strips:
            points = corners(strip)
            self.assertEqual(len(points), 4, strip["id"])
            for p, q in zip(points, points[1:] + points[:1]):
                for at in (p, ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)):
                    self.assertGreater(kit_reader.distance_to_rings(at, base), 2.99, strip["id"])
            self.assertLess(abs(min(math.dist(points[0], points[1]), math.dist(points[1], points[2])) - 25.6), 6.5)
            seam = seams[strip["seam"]]
            self.assertEqual(seam["layer"], "A")
            self.assertTrue(strip["id"].startswith("A-" + seam["letter"]), strip["id"])
            self.assertEqual([mark["kind"] for mark in strip["marks"]], ["label"])
        without = self.build("--height", "36in", "--paper", "letter", "--strips", "none")
        self.assertEqual(len(without["sheets"]), len(kit["sheets"])) # never a sheet of their own
        self.assertEqual(strips_of(without), [])
        faces = [piece for piece in kit["pieces"] if piece["kind"] == "face"]
        self.assertEqual([piece["to_sheet"] for piece in faces], [piece["to_sheet"] for piece in without["pieces"]])

    def test_small_pieces_have_them_when_asked(self):
        self.assertEqual(strips_of(self.build("--height", "20in", "--paper", "letter")), [])
        self.assertGreater(len(strips_of(self.build("--height", "20in", "--paper", "letter", "--strips", "cut"))), 0)
        self.assertEqual(strips_of(self.build("--height", "36in", "--paper", "letter", "--strips", "hand")), [])
        result = self.run_program("build", str(DEMO), "--height", "20in", "--paper", "letter", "--strips", "glue")
        self.assertEqual(result.returncode, 2)
        self.assertIn(b"--strips knows cut, hand and none, not 'glue'", result.stderr)

    def test_other_forms_of_sheets_have_strips_too(self):
        for words in (("--for", "piece", "--marks", "pen"), ("--for", "line"), ("--for", "layer", "--formats", "svg,dxf,hpgl")):
            self.build("--height", "25in", "--paper", "letter,grained", *words) # each is proved before it is handed out
            self.assertEqual(self.run_program("prove", "kit").returncode, 0)

    def test_what_is_spoiled_is_named(self):
        self.build("--height", "36in", "--paper", "letter")
        (self.folder / "kit" / "proof.txt").unlink()
        whole = (self.folder / "kit" / "kit.json").read_text()
        faults = []

        def spoil(change):
            kit = json.loads(whole)
            strips = strips_of(kit)
            change(kit, strips)
            (self.folder / "kit" / "kit.json").write_text(json.dumps(kit))
            result = self.run_program("prove", "kit")
            self.assertEqual(result.returncode, 4)
            return result.stdout.decode() + result.stderr.decode()

        def path(points):
            return "M" + " L".join(f"{x:.3f} {y:.3f}" for x, y in points + points[:1]) + " Z"

        def shifted(strip, dx, dy):
            strip["outline"] = path([(x + dx, y + dy) for x, y in corners(strip)])

        said = spoil(lambda kit, strips: shifted(strips[0], 4000, 0))
        self.assertIn("strip-visible at " + strips_of(json.loads(whole))[0]["id"], said)
        self.assertIn("strip-off-seam", said)
        said = spoil(lambda kit, strips: strips[1].update(outline=strips[0]["outline"]))
        self.assertIn("strips-overlap", said)
        said = spoil(lambda kit, strips: strips[0].update(seam=[s["id"] for s in kit["seams"] if s["layer"] != "A"][0]))
        self.assertIn("strip-off-seam", said)
        said = spoil(lambda kit, strips: strips[0].update(seam="A-s999"))
        self.assertIn("unknown-id", said)
        said = spoil(lambda kit, strips: kit["totals"].update(strips=kit["totals"]["strips"] + 1))
        self.assertIn("number-wrong at totals.strips", said)
        said = spoil(lambda kit, strips: strips[0]["marks"][0].update(path="M0 0 L5 5"))
        self.assertIn("mark-off-piece", said)


if __name__ == "__main__":
    main()

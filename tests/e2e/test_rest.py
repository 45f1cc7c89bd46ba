"""What is left of a paper's last sheet: clear of all that is cut, worth keeping, and kept."""

import json
import math
import os

import kit_reader
from support import ROOT, ProgramTest, main

DEMO = ROOT / "demo" / "nordersand.png"
LEAST_MM = 63.5


def crosses(rest, gap, ring):
    """Some point of the ring's edges, looked at every half millimetre, is nearer to the rest than the gap."""
    x, y, w, h = rest
    for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1]):
        steps = max(1, int(max(abs(bx - ax), abs(by - ay)) / 0.5))
        for k in range(steps):
            px, py = ax + (bx - ax) * k / steps, ay + (by - ay) * k / steps
            if math.hypot(max(x - px, px - x - w, 0), max(y - py, py - y - h, 0)) < gap:
                return True
    return False


class Rest(ProgramTest):
    def build(self, *words):
        result = self.run_program("build", str(DEMO), "--height", "32in", "-o", "kit", "--force", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        return kit_reader.read_kit(self.folder / "kit")

    def prove(self, kit):
        (self.folder / "kit" / "kit.json").write_text(json.dumps(kit))
        (self.folder / "kit" / "proof.txt").unlink(missing_ok=True)
        result = self.run_program("prove", "kit")
        return result.returncode, (result.stdout + result.stderr).decode()

    def test_rests_are_clear_and_along_the_edge(self):
        kit = self.build("--paper", "12x12,250gsm,grained")
        papers = {p["id"]: p for p in kit["papers"]}
        rests = [s for s in kit["sheets"] if "rest_mm" in s]
        self.assertTrue(rests)
        last = {s["paper"]: s["id"] for s in kit["sheets"]}
        for sheet in rests:
            paper, (x, y, w, h) = papers[sheet["paper"]], sheet["rest_mm"]
            self.assertEqual(last[sheet["paper"]], sheet["id"], "of the last sheet alone")
            self.assertGreaterEqual(min(w, h), LEAST_MM)
            self.assertTrue(x == 0 or y == 0 or abs(x + w - paper["size_mm"][0]) < 0.01 or abs(y + h - paper["size_mm"][1]) < 0.01)
            for piece in kit["pieces"]:
                if piece["sheet"] == sheet["id"]:
                    for ring in kit_reader.transformed(kit_reader.path_rings(piece["outline"]), piece["to_sheet"]):
                        self.assertFalse(crosses(sheet["rest_mm"], paper["gap_mm"] - 0.01, ring), piece["id"])

    def test_the_proof_finds_one_that_is_not(self):
        kit = self.build("--paper", "12x12")
        sheet = next(s for s in kit["sheets"] if "rest_mm" in s)
        right = list(sheet["rest_mm"])
        size = next(p for p in kit["papers"] if p["id"] == sheet["paper"])["size_mm"]
        for wrong in ([0, 0, *size], [right[0], right[1], size[0] + 1 - right[0], right[3]], [right[0], right[1], 0, right[3]]):
            sheet["rest_mm"] = wrong
            code, text = self.prove(kit)
            self.assertEqual(code, 4)
            self.assertIn("rest-not-clear", text)
        sheet["rest_mm"] = right
        self.assertEqual(self.prove(kit)[0], 0)

    def test_the_shelf_keeps_them_as_offcuts(self):
        kit = self.build("--paper", "12x12,250gsm,grained")
        rests = [s for s in kit["sheets"] if "rest_mm" in s]
        env = {**os.environ, "XDG_DATA_HOME": str(self.folder / "data")}
        result = self.run_program("shelf", "keep", "kit", env=env)
        self.assertEqual(result.returncode, 0, result.stderr)
        shelf = json.loads(self.run_program("shelf", "list", "--json", env=env).stdout)
        self.assertEqual(len(shelf), len(rests))
        for item in shelf:
            self.assertEqual((item["kind"], item["count"]), ("offcut", 1))
            self.assertIn("250gsm,grained", item["words"])
        result = self.run_program("shelf", "keep", "nowhere", env=env)
        self.assertEqual(result.returncode, 3, result.stderr)


if __name__ == "__main__":
    main()

"""--cut-from back: files mirrored for paper that lies face down on the mat."""

import json
import re

import kit_reader
from support import ProgramTest, main, target_picture

NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")


def cut_points(svg):
    """The coordinates of the compound cut path, in pairs."""
    data = re.search(r'<g id="cut">\s*<path [^>]* d="([^"]*)"', svg).group(1)
    numbers = [float(n) for n in NUMBERS.findall(data)]
    return list(zip(numbers[::2], numbers[1::2]))


class FromBack(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("target.png", target_picture())

    def build(self, name, *more, code=0):
        result = self.run_program("build", "target.png", "--height", "14in", "--formats", "svg,pdf,dxf,hpgl", "-o", name, *more)
        self.assertEqual(result.returncode, code, result.stderr)
        return self.folder / name if code == 0 else result.stderr.decode()

    def both(self, *more):
        # A paper that takes no lines is planned the same way: its kit is the back's, seen from the front.
        return self.build("front", "--paper", "letter,no-score,no-pen", *more), self.build("back", "--paper", "letter,no-score,no-pen", "--cut-from", "back", *more)

    def test_every_sheet_is_the_mirror_of_that_cut_from_the_front(self):
        front, back = self.both()
        names = sorted(path.name for path in (front / "sheets").glob("target-*.svg"))
        self.assertEqual(names, sorted(path.name for path in (back / "sheets").glob("target-*.svg")))
        self.assertGreater(len(names), 2)
        x, _, w, _ = kit_reader.read_kit(back)["papers"][0]["usable_mm"]
        middle = x + w / 2
        for name in names:
            one, other = (cut_points((kit / "sheets" / name).read_text()) for kit in (front, back))
            self.assertEqual(len(one), len(other))
            differ = 0
            for (x, y), (u, v) in zip(one, other):  # the corner marks too: the nest keeps clear of their corners
                self.assertAlmostEqual(u, 2 * middle - x, delta=0.0011)
                self.assertAlmostEqual(v, y, delta=0.0011)
                differ += abs(u - x) > 1
            self.assertGreater(differ, 0)

    def test_kit_json_tells_it_and_all_else_stays(self):
        front, back = self.both()
        a, b = (json.loads((kit / "kit.json").read_text()) for kit in (front, back))
        self.assertEqual(b.pop("cut_from"), "back")
        self.assertNotIn("cut_from", a)
        for key in a:
            if key != "findings":
                self.assertEqual(a[key], b[key], key)
        self.assertIn("cut from the back", json.dumps(b["findings"]))
        self.assertIn("FACE DOWN", (back / "READ-ME-FIRST.txt").read_text())
        self.assertNotIn("FACE DOWN", (front / "READ-ME-FIRST.txt").read_text())
        for path in (front / "sheets").glob("*-print-*.pdf"):
            self.assertEqual(path.read_bytes(), (back / "sheets" / path.name).read_bytes())  # for scissors, from the front

    def test_every_form_of_files_proves_and_no_line_is_drawn(self):
        for form in ("sheet", "piece", "layer", "line"):
            kit = self.build(form, "--paper", "letter", "--cut-from", "back", "--for", form, "--blade-offset", "0.3mm")
            self.assertEqual(self.run_program("prove", form).returncode, 0)
            self.assertFalse([piece["id"] for piece in kit_reader.read_kit(kit)["pieces"] if piece["marks"]])
            for path in (kit / "sheets").glob("*.svg"):
                self.assertNotRegex(path.read_text(), r'id="(score|pen)"')

    def test_the_proof_sees_files_the_wrong_way_round(self):
        front, back = self.both()
        name = next((front / "sheets").glob("target-*-1-of-*.svg")).name
        (back / "sheets" / name).write_bytes((front / "sheets" / name).read_bytes())
        self.assertEqual(self.run_program("prove", "back").returncode, 4)
        for copy in ("dxf", "plt"):
            _, back = self.both("--force")
            name = next((back / "sheets").glob(f"target-*-1-of-*.{copy}")).name
            (back / "sheets" / name).write_bytes((front / "sheets" / name).read_bytes())
            self.assertEqual(self.run_program("prove", "back").returncode, 4, copy)
        _, back = self.both("--force")
        text = (back / "kit.json").read_text()
        (back / "kit.json").write_text(text.replace('"cut_from": "back"', '"cut_from": "front"'))
        self.assertEqual(self.run_program("prove", "back").returncode, 4)
        (back / "kit.json").write_text(text.replace('"cut_from": "back"', '"cut_from": "side"'))
        self.assertEqual(self.run_program("prove", "back").returncode, 4)

    def test_what_cannot_be_is_told(self):
        self.assertIn("--marks", self.build("kit", "--paper", "letter", "--cut-from", "back", "--marks", "score", code=1))
        self.assertIn("front and back", self.build("kit", "--paper", "letter", "--cut-from", "below", code=2))
        self.assertEqual(self.names(), ["target.png"])


if __name__ == "__main__":
    main()

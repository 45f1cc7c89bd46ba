"""A finished piece that parts: kit.json measured by other code than the program's, damages that the proof finds."""

import json

import kit_reader
from support import ROOT, ProgramTest, main

DEMO = ROOT / "demo" / "nordersand.png"
OVERHANG_MM = 6.0  # docs/kit-format.md
IN = 25.4


def box_of(path):
    points = [p for ring in kit_reader.path_rings(path, steps=24) for p in ring]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def across(sections, box):
    for axis, key in ((0, "upright_mm"), (1, "level_mm")):
        for at in sections[key]:
            if at - box[axis] > OVERHANG_MM and box[axis + 2] - at > OVERHANG_MM:
                return True
    return False


class Sections(ProgramTest):
    def build(self, *words):
        result = self.run_program("build", str(DEMO), "--paper", "A=11x24", "--paper", "letter", "-o", "kit", "--force", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        return json.loads((self.folder / "kit" / "kit.json").read_text())

    def prove(self, kit):
        (self.folder / "kit" / "kit.json").write_text(json.dumps(kit))
        (self.folder / "kit" / "proof.txt").unlink(missing_ok=True)
        result = self.run_program("prove", "kit")
        return result.returncode, (result.stdout + result.stderr).decode()

    def test_layers_part_on_common_lines(self):
        kit = self.build("--height", "6ft", "--sections", "36x30in")
        sections = kit["sections"]
        self.assertEqual(sorted(sections["asked_mm"]), [30 * IN, 36 * IN])
        pieces = {piece["id"]: piece for piece in kit["pieces"] if piece["kind"] == "face"}
        part_of = {name: part["id"] for part in sections["parts"] for name in part["pieces"]}
        self.assertEqual(set(pieces), set(part_of) | set(sections["bridges"]))
        for name, piece in pieces.items():
            self.assertEqual(across(sections, box_of(piece["outline"])), name in sections["bridges"], name)
        for part in sections["parts"]:
            boxes = [box_of(pieces[name]["outline"]) for name in part["pieces"]]
            low, high = [min(b[k] for b in boxes) for k in (0, 1)], [max(b[k] for b in boxes) for k in (2, 3)]
            for k in (0, 1):
                self.assertAlmostEqual(part["box_mm"][k], low[k], delta=0.05)
                self.assertLessEqual(high[k] - low[k], sections["asked_mm"][k] + 0.05)
        on_lines = 0
        for seam in kit["seams"]:
            ends = {part_of.get(name) for name in seam["pieces"]}
            if None in ends or len(ends) == 1:
                continue
            self.assertTrue(seam["on_section"], seam["id"])
            self.assertEqual(seam["form"], "butt")
            points = [p for run in kit_reader.path_rings(seam["path"]) for p in run]
            off = min(max(abs(p[axis] - at) for p in points) for axis, key in ((0, "upright_mm"), (1, "level_mm")) for at in sections[key])
            self.assertLessEqual(off, 0.01, seam["id"])
            on_lines += 1
        self.assertGreater(on_lines, 10)
        said = (self.folder / "kit" / "proof.txt").read_text()
        self.assertIn(f"Sections {len(sections['parts'])}", said)

    def test_damages_are_found(self):
        kit = self.build("--height", "4ft", "--sections", "36x30in")

        def damaged(change, kind):
            copy = json.loads(json.dumps(kit))
            change(copy, copy["sections"])
            code, said = self.prove(copy)
            self.assertEqual(code, 4, kind)
            self.assertIn(kind, said)

        seam = next(s for s in kit["seams"] if s.get("on_section"))
        damaged(lambda k, s: s["level_mm"].__setitem__(0, s["level_mm"][0] + 0.05), "section-seam-off")
        damaged(lambda k, s: s["upright_mm"].append(kit["finished_mm"]["width"] + 1), "section-line-wrong")
        damaged(lambda k, s: s["asked_mm"].__setitem__(0, 400.0), "section-too-large")
        damaged(lambda k, s: s["parts"][0]["box_mm"].__setitem__(2, s["parts"][0]["box_mm"][2] - 0.5), "section-box-wrong")
        damaged(lambda k, s: s["parts"][1]["pieces"].append(s["parts"][0]["pieces"].pop()), "section-wrong-piece")
        damaged(lambda k, s: s["parts"][0]["pieces"].pop(), "section-piece-missing")
        damaged(lambda k, s: s["bridges"].append(s["parts"][0]["pieces"][0]), "section-piece-twice")
        damaged(lambda k, s: s["bridges"].append(s["parts"][0]["pieces"].pop()), "bridge-crosses-nothing")
        damaged(lambda k, s: next(x for x in k["seams"] if x["id"] == seam["id"]).pop("on_section"), "section-seam-untold")
        damaged(lambda k, s: next(x for x in k["seams"] if not x.get("on_section")).update(on_section=True), "section-seam-untold")
        if kit["sections"]["bridges"]:
            damaged(lambda k, s: s["parts"][0]["pieces"].append(s["bridges"].pop()), "section-crossed")
        damaged(lambda k, s: s.pop("parts"), "parts")
        code, said = self.prove({key: value for key, value in kit.items() if key != "sections"})
        self.assertEqual(code, 0, said)  # a kit of an earlier writer has none

    def test_laps_keep_off_the_lines(self):
        kit = self.build("--height", "4ft", "--sections", "36x30in", "--seams", "lap")
        self.assertIn("lap", {seam["form"] for seam in kit["seams"]})
        self.assertEqual({seam["form"] for seam in kit["seams"] if seam.get("on_section")}, {"butt"})

    def test_what_fits_does_not_part(self):
        kit = self.build("--height", "24in", "--sections", "36x30in")
        self.assertNotIn("sections", kit)
        self.assertEqual(kit, self.build("--height", "24in"))

    def test_a_board_stays_inside_the_base(self):
        for words in ((), ("--sections", "36x30in")):
            kit = self.build("--height", "4ft", "--board", "24x36in", *words)
            board = kit["board"]
            self.assertEqual(sorted(board["size_mm"]), [609.6, 914.4])
            self.assertTrue((self.folder / "kit" / board["file"]).read_bytes().startswith(b"%PDF-"))
            base = box_of(next(layer["outline"] for layer in kit["layers"] if layer["base"]))
            box = box_of(board["outline"])
            for low, high in ((base[0], box[0]), (base[1], box[1]), (box[2], base[2]), (box[3], base[3])):
                self.assertGreater(high - low, 14.7)  # a sharp tip draws back farther
            lines = kit["sections"] if words else {"upright_mm": [], "level_mm": []}
            for panel in board["panels"]:
                x, y, w, h = panel["box_mm"]
                self.assertTrue(w <= board["size_mm"][0] + 0.01 and h <= board["size_mm"][1] + 0.01, panel)
                self.assertFalse(any(x + 0.01 < at < x + w - 0.01 for at in lines["upright_mm"]), panel)
                self.assertFalse(any(y + 0.01 < at < y + h - 0.01 for at in lines["level_mm"]), panel)
            self.assertLess(board["along_seams_mm"], 60)

            def damaged(change, kind):
                copy = json.loads(json.dumps(kit))
                change(copy["board"])
                code, said = self.prove(copy)
                self.assertEqual(code, 4, kind)
                self.assertIn(kind, said)

            damaged(lambda b: b.update(outline=next(layer["outline"] for layer in kit["layers"] if layer["base"])), "board-outside")
            damaged(lambda b: b["size_mm"].__setitem__(0, 200.0), "board-panel-too-large")
            damaged(lambda b: b["panels"][0]["box_mm"].__setitem__(0, b["panels"][0]["box_mm"][0] + 100), "board-panel-missing")
            damaged(lambda b: b["panels"].pop(), "board-panel-missing")
            middle = board["panels"][0]["box_mm"][0] + board["panels"][0]["box_mm"][2] / 2
            damaged(lambda b: b["joints"].append([middle, 0, middle, kit["finished_mm"]["height"]]), "board-panel-crossed")
            damaged(lambda b: b["joints"].append([0, 500, 300, 501]), "board-joint-wrong")
            damaged(lambda b: b.update(along_seams_mm=b["along_seams_mm"] + 20), "board-along-wrong")
            damaged(lambda b: b.update(file="other.pdf"), "file-missing")
            damaged(lambda b: b["joints"][0].pop(), "joints")

    def test_words_that_cannot_be_done(self):
        result = self.run_program("build", str(DEMO), "--height", "6ft", "--paper", "letter", "--board", "2x2in")
        self.assertEqual(result.returncode, 1)
        self.assertIn("boards of 51 x 51 mm are too small", result.stderr.decode())
        for words, code, said in (("36", 2, "36x30in"), ("36x", 2, "--sections"), ("x30in", 2, "--sections"), ("36inx30", 2, "--sections"), ("ax30in", 2, "--sections"),
                                  ("2x2in", 1, "too small"), ("-3x30in", 2, "--sections"), ("1e9x30in", 2, "--sections")):
            result = self.run_program("build", str(DEMO), "--height", "6ft", "--paper", "letter", "--sections", words)
            self.assertEqual(result.returncode, code, (words, result.stderr))
            self.assertIn(said, result.stderr.decode())


if __name__ == "__main__":
    main()

"""Sheets of several sizes: offcuts save sheets, and pieces lie where edits put them; each kit is proved again."""

import json
from collections import Counter

import kit_reader
from support import BLUE, CLEAR, RED, ROOT, ProgramTest, main, png_bytes

try:
    import jsonschema
    SCHEMA = jsonschema.Draft202012Validator(json.loads((ROOT / "docs" / "kit.schema.json").read_text()))
except ImportError:
    SCHEMA = None  # said by a test of papers

NAVY, CRIMSON = "#1e32a0", "#c81e28"


def discs_picture(width=160, height=160):
    """A blue square with five red discs in it."""
    middles = [(40, 40), (120, 40), (80, 80), (40, 120), (120, 120)]

    def pixel(x, y):
        if not (5 <= x < 155 and 5 <= y < 155):
            return CLEAR
        return RED if any((x - a) ** 2 + (y - b) ** 2 < 24**2 for a, b in middles) else BLUE

    return png_bytes(width, height, pixel)


class Offcuts(ProgramTest):
    def kit(self, *words, folder="kit"):
        picture = self.write("discs.png", discs_picture())
        result = self.run_program("build", str(picture), "--height", "14in", "--paper", "letter,25 for 5.00", "-o", folder, "--force", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        proved = self.run_program("prove", folder)
        self.assertEqual(proved.returncode, 0, proved.stdout + proved.stderr)
        kit = kit_reader.read_kit(self.folder / folder)
        if SCHEMA:
            self.assertEqual([error.message for error in SCHEMA.iter_errors(kit)], [])
        return kit

    def sheets(self, kit, colour):
        """Sheets of a colour: of bought paper, and offcuts by id of their paper."""
        used = Counter(sheet["paper"] for sheet in kit["sheets"])
        papers = [paper for paper in kit["papers"] if paper["colour"] == colour]
        return sum(used[p["id"]] for p in papers if not p.get("offcut")), {p["id"]: used[p["id"]] for p in papers if p.get("offcut")}

    def bytes_of(self, folder):
        root = self.folder / folder
        return {str(path.relative_to(root)): path.read_bytes() for path in sorted(root.rglob("*")) if path.is_file()}

    def test_offcuts_save_the_sheets_that_they_can_and_are_not_bought(self):
        plain = self.kit()
        bought, none = self.sheets(plain, CRIMSON)
        self.assertEqual(none, {})
        kit = self.kit("--offcut", f"{CRIMSON}=6x9*3", "--offcut", f"{CRIMSON}=2x2")
        left, offcuts = self.sheets(kit, CRIMSON)
        self.assertLess(left, bought)
        self.assertEqual(set(offcuts), {"6x9in-red"})
        self.assertLessEqual(offcuts["6x9in-red"], 3)
        paper = next(p for p in kit["papers"] if p["id"] == "6x9in-red")
        self.assertEqual(paper["to_buy"], {"spares": 0, "sheets": 0, "boards": None, "packs": None, "cost": 0})
        self.assertIsNone(paper["price"])
        self.assertEqual(self.sheets(kit, NAVY), self.sheets(plain, NAVY))
        self.assertEqual([s["path"] for s in kit["seams"]], [s["path"] for s in plain["seams"]])
        self.assertLessEqual(kit["totals"]["cost"], plain["totals"]["cost"])
        self.assertEqual(list((self.folder / "kit/sheets").glob("00-test-6x9*")), [])
        self.assertIn("offcuts that you have", (self.folder / "kit/READ-ME-FIRST.txt").read_text())

    def test_what_saves_no_sheet_is_left_alone(self):
        plain = self.kit(folder="plain")
        kit = self.kit("--offcut", f"{NAVY}=2x2*5", "--offcut", f"{NAVY}=6x9*0")
        self.assertEqual(self.sheets(kit, NAVY), self.sheets(plain, NAVY))
        self.assertEqual([p["to_sheet"] for p in kit["pieces"]], [p["to_sheet"] for p in plain["pieces"]])

    def test_threads_do_not_show(self):
        words = ("--offcut", f"{CRIMSON}=6x9*2", "--offcut", f"{NAVY}=6x9*2", "--offcut", f"{NAVY}=5x7")
        self.kit(*words, "--threads", "1", folder="one")
        self.kit(*words, "--threads", "2", folder="two")
        self.assertEqual(self.bytes_of("one"), self.bytes_of("two"))

    def test_what_cannot_be_is_told(self):
        heavy = self.kit("--paper", "letter,65lb", "--offcut", f"{CRIMSON}=6x9,300gsm", "--offcut", "#00ff00=6x9")
        told = {f["kind"]: f["text"] for f in heavy["findings"] if f["kind"].startswith("edit-")}
        self.assertIn("its weight is not that of the colour's paper", told["edit-not-kept"])
        self.assertIn("no such colour", told["edit-without-target"])
        for word in ("red", "red=", "=6x9", "red=6x9*", "red=6x9*1.5", "red=6x9*-1", "red=bedsheet"):
            result = self.run_program("build", "discs.png", "--height", "14in", "--paper", "letter", "-o", "kit", "--force", "--offcut", word)
            self.assertEqual(result.returncode, 2, word)

    def test_a_piece_lies_where_the_edit_puts_it(self):
        plain = self.kit()
        piece = next(p for p in plain["pieces"] if p["id"] == "B1")
        number = int(piece["sheet"].rsplit("-", 1)[1])
        count = sum(s["paper"] == "letter-red" for s in plain["sheets"])
        edit = {"edit": "place", "colour": CRIMSON, "piece": "B1", "sheet": count + 1, "to_sheet": piece["to_sheet"]}
        self.write("edits.json", json.dumps([edit]).encode())
        kit = self.kit("--edits", str(self.folder / "edits.json"))
        moved = next(p for p in kit["pieces"] if p["id"] == "B1")
        self.assertEqual(moved["to_sheet"], piece["to_sheet"])
        self.assertEqual(sum(s["paper"] == "letter-red" for s in kit["sheets"]), count + 1)
        edit["sheet"], edit["to_sheet"][4] = number, edit["to_sheet"][4] + 999
        self.write("edits.json", json.dumps([edit]).encode())
        kit = self.kit("--edits", str(self.folder / "edits.json"))
        told = [f["text"] for f in kit["findings"] if f["kind"] == "edit-not-kept"]
        self.assertEqual(told, [f"the piece B1 of red on its sheet {number}: it would not lie wholly on the sheet"])


if __name__ == "__main__":
    main()

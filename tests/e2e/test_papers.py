"""Papers and cutters as makers have them: each kit is proved again, and what it says is what was asked."""

import math
import unittest

import kit_reader
import test_bad_input
from support import ROOT, ProgramTest, main, target_picture

try:
    import json
    import jsonschema
    SCHEMA = jsonschema.Draft202012Validator(json.loads((ROOT / "docs" / "kit.schema.json").read_text()))
except ImportError:
    SCHEMA = None  # said by a test of its own


def lines_of(kit, paper_id):
    """The lines that are made on a paper: of marks and of notes."""
    sheets = {sheet["id"] for sheet in kit["sheets"] if sheet["paper"] == paper_id}
    marks = [mark["line"] for piece in kit["pieces"] if piece["sheet"] in sheets for mark in piece["marks"]]
    notes = [note["line"] for sheet in kit["sheets"] if sheet["id"] in sheets for note in sheet["notes"]]
    return set(marks + notes)


def kinds(kit):
    return [finding["kind"] for finding in kit["findings"]]


class Papers(ProgramTest):
    def kit(self, *words, height="20in"):
        picture = self.write("oval.png", target_picture())
        result = self.run_program("build", str(picture), "--height", height, "-o", "kit", "--force", *words)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.said = result.stderr.decode() + result.stdout.decode()
        proved = self.run_program("prove", "kit")
        self.assertEqual(proved.returncode, 0, proved.stdout + proved.stderr)
        kit = kit_reader.read_kit(self.folder / "kit")
        if SCHEMA:
            self.assertEqual([error.message for error in SCHEMA.iter_errors(kit)], [])
        self.check_purchase(kit)
        return kit

    def check_purchase(self, kit):
        """By other code than the program's: spares, boards, packs, cost."""
        total = 0
        for paper in kit["papers"]:
            used = sum(sheet["paper"] == paper["id"] for sheet in kit["sheets"])
            buy, pack, board, size = paper["to_buy"], paper["pack"], paper["board_mm"], paper["size_mm"]
            self.assertEqual(buy["spares"], max(1, math.ceil(used / 10)))
            self.assertEqual(buy["sheets"], used + buy["spares"])
            units = buy["sheets"]
            if board:
                ways = [int((board[0] + 0.01) // w) * int((board[1] + 0.01) // h) for w, h in (size, size[::-1])]
                units = math.ceil(units / max(ways))
            self.assertEqual(buy["boards"], units if board else None)
            if pack and pack["count"] > 1:
                units = math.ceil(units / pack["count"])
                self.assertEqual(buy["packs"], units)
            else:
                self.assertIsNone(buy["packs"])
            if pack and pack["price"] is not None:
                self.assertAlmostEqual(buy["cost"], units * pack["price"], delta=0.0051)
                total = None if total is None else total + buy["cost"]
            else:
                self.assertIsNone(buy["cost"])
                total = None
        if total is None:
            self.assertIsNone(kit["totals"]["cost"])
        else:
            self.assertAlmostEqual(kit["totals"]["cost"], total, delta=0.001)

    def check_turns(self, kit, allowed):
        for piece in kit["pieces"]:
            self.assertIn(piece["to_sheet"][:4], allowed, piece["id"])

    def test_nothing_said_is_as_before(self):
        kit = self.kit("--paper", "letter")
        self.assertIsNone(kit["cutter"])
        for paper in kit["papers"]:
            self.assertEqual((paper["direction"], paper["takes"], paper["gsm"], paper["pack"], paper["price"]),
                             ("plain", ["score", "pen"], None, None, None))
            self.assertEqual(lines_of(kit, paper["id"]), {"score"})
            self.assertEqual(paper["gap_mm"], 3)

    def test_textured_paper_is_never_turned(self):
        kit = self.kit("--paper", "letter,textured")
        self.assertGreater(len(kit["pieces"]), 4)
        self.check_turns(kit, [[1, 0, 0, 1]])
        self.assertEqual({paper["gap_mm"] for paper in kit["papers"]}, {5})

    def test_grained_paper_is_turned_by_halves(self):
        kit = self.kit("--paper", "letter,grained")
        self.check_turns(kit, [[1, 0, 0, 1], [-1, 0, 0, -1]])
        self.assertEqual({paper["direction"] for paper in kit["papers"]}, {"grained"})

    def test_board_lies_farther_apart(self):
        kit = self.kit("--paper", "12x12,401gsm", "--paper", "B=12x12,400gsm")
        self.assertEqual([paper["gap_mm"] for paper in kit["papers"]], [5, 3])

    def test_a_cutter_takes_its_share_of_each_edge(self):
        kit = self.kit("--paper", "letter,no-pen", "--cutter", "12x12,score,loss 5mm 6mm 10mm 20mm")
        self.assertEqual(kit["cutter"], {"name": "12x12in", "mat_mm": [304.8, 304.8], "loss_mm": [5, 6, 10, 20], "tools": ["score"]})
        for sheet in kit["sheets"]:
            self.assertEqual(sheet["box_mm"], [5, 6, 200.9, 253.4])
            groups = kit_reader.sheet_paths(self.folder / "kit" / sheet["file"])[1]
            rings = [ring for path in groups["cut"] for ring in kit_reader.path_rings(path)]
            for found, wanted in zip(kit_reader.box(rings), (5, 6, 205.9, 259.4)):  # the corner marks reach the box's corners
                self.assertAlmostEqual(found, wanted, delta=0.0015)

    def test_a_sheet_that_lies_turned_on_the_mat(self):
        kit = self.kit("--paper", "14x8.5", "--cutter", "9x24,pen,loss 5mm 6mm 10mm 20mm")
        self.assertEqual({tuple(paper["usable_mm"]) for paper in kit["papers"]}, {(20, 10, 315.6, 195.9)})

    def test_a_roll_takes_any_length(self):
        kit = self.kit("--paper", "12x30", "--cutter", "roll 12in,pen,loss 0 10mm 0 10mm")
        self.assertEqual(kit["cutter"]["mat_mm"], [304.8, None])
        self.assertEqual({tuple(paper["usable_mm"]) for paper in kit["papers"]}, {(0, 10, 304.8, 742)})

    def test_a_pen_where_there_is_no_score(self):
        kit = self.kit("--paper", "letter", "--cutter", "12x12,pen")
        for paper in kit["papers"]:
            self.assertEqual(lines_of(kit, paper["id"]), {"pen"})

    def test_short_cuts_where_the_blade_is_alone(self):
        kit = self.kit("--paper", "letter", "--cutter", "12x12")
        marks = [mark for piece in kit["pieces"] for mark in piece["marks"]]
        self.assertEqual({mark["line"] for mark in marks}, {"cut"})
        self.assertEqual({mark["kind"] for mark in marks}, {"placement"})
        for mark in marks:
            for stroke in kit_reader.path_rings(mark["path"]):
                length = sum(math.dist(a, b) for a, b in zip(stroke, stroke[1:]))
                self.assertAlmostEqual(length, 1, delta=0.01)

    def test_paper_that_takes_neither_has_no_marks(self):
        for tools in ((), ("--cutter", "12x12,score,pen"), ("--cutter", "12x12"), ("--marks", "score,pen")):
            kit = self.kit("--paper", "letter,no-score,no-pen", "--paper", "A=letter", *tools)
            plain, neither = kit["papers"]
            self.assertEqual(neither["takes"], [])
            self.assertEqual(lines_of(kit, neither["id"]), set(), tools)
            self.assertNotEqual(lines_of(kit, plain["id"]), set(), tools)
            self.assertEqual(kinds(kit).count("layer-unmarked"), 1)

    def test_two_tools_take_turns(self):
        kit = self.kit("--paper", "letter", "--paper", "A=letter,no-score", "--cutter", "12x12,score,pen", "--marks", "score,pen")
        base, other = kit["papers"]
        self.assertEqual(lines_of(kit, base["id"]), {"pen"})
        self.assertEqual(lines_of(kit, other["id"]), {"score"})
        self.assertNotIn("layer-unmarked", kinds(kit))

    def test_one_tool_unless_two_are_asked_for(self):
        kit = self.kit("--paper", "letter", "--paper", "A=letter,no-score", "--cutter", "12x12,score,pen")
        base, other = kit["papers"]
        self.assertEqual(lines_of(kit, base["id"]), set())
        self.assertEqual(lines_of(kit, other["id"]), {"score"})
        texts = [finding["text"] for finding in kit["findings"] if finding["kind"] == "layer-unmarked"]
        self.assertEqual(len(texts), 1)
        self.assertIn("--marks score,pen", texts[0])

    def test_boards_packs_and_prices(self):
        kit = self.kit("--paper", "11x24,250gsm,from 22x28,5 for 6,one-faced,white-core")
        for paper in kit["papers"]:
            self.assertEqual((paper["board_mm"], paper["pack"], paper["price"]), ([558.8, 711.2], {"count": 5, "price": 6}, 0.6))
            self.assertEqual((paper["gsm"], paper["one_faced"], paper["white_core"]), (250, True, True))
        self.assertEqual(kit["totals"]["cost"], 6 * len(kit["papers"]))
        self.assertIn("the paper to buy costs 12.", self.said)
        text = (self.folder / "kit" / "READ-ME-FIRST.txt").read_text()
        self.assertIn("1 board of 22 x 28 in, 1 pack of 5, 6.00", text)
        self.assertIn("whole packs and spares included: 12.00", text)

    def test_each_layer_may_have_its_own(self):
        kit = self.kit("--paper", "letter,65lb,25 for 8.99", "--paper", "B=12x12,80lb,0.79 each")
        first, second = kit["papers"]
        self.assertEqual((first["gsm"], second["gsm"]), (175.8, 216.3))
        self.assertEqual(second["to_buy"]["cost"], round(0.79 * second["to_buy"]["sheets"], 2))
        self.assertAlmostEqual(kit["totals"]["cost"], first["to_buy"]["cost"] + second["to_buy"]["cost"], delta=0.001)

    def test_a_measured_inset_moves_the_placement_lines(self):
        def extent(kit):
            rings = [ring for piece in kit["pieces"] if piece["layer"] == "A" for mark in piece["marks"]
                     if mark["kind"] == "placement" for ring in kit_reader.path_rings(mark["path"])]
            x0, _, x1, _ = kit_reader.box(rings)
            return x1 - x0

        usual = extent(self.kit("--paper", "letter"))
        for inset in (0.5, 3, 5):
            self.assertAlmostEqual(extent(self.kit("--paper", "letter", f"--inset={inset}mm")), usual + 2 * (1.5 - inset), delta=0.06)

    def test_the_properties_of_an_edited_colour(self):
        edits = self.write("edits.json", b'[{"edit": "sheet", "colour": "#c81e28", "paper": "12x12, textured, 25 for 8.99"}]')
        kit = self.kit("--paper", "letter", "--edits", str(edits))
        self.assertEqual([paper["direction"] for paper in kit["papers"]], ["plain", "textured"])
        self.assertEqual(kit["papers"][1]["pack"], {"count": 25, "price": 8.99})

    @unittest.skipIf(SCHEMA, "python3-jsonschema is there")
    def test_the_schema_is_looked_at(self):
        self.skipTest("python3-jsonschema is not there: kits were not held against their schema")


class BadWords(test_bad_input.Judged):
    def refused(self, code, *words, says=()):
        path = self.write("ok.png", target_picture())
        result = self.run_program("build", str(path), "--height", "10in", *words)
        self.expect(result, code, *says)
        self.assertEqual(self.names(), ["ok.png"])

    def test_papers(self):
        for paper, code, says in (("letter,", 2, "is not known"), ("letter,shiny", 2, "shiny"), ("letter,65kg", 2, "65lb"),
                                  ("letter,65lb,250gsm", 2, "one of them"), ("letter,grained,textured", 2, "one of them"),
                                  ("letter,5gsm", 2, "20gsm"), ("letter,from", 2, "board"), ("letter,from 8x10", 1, "larger board"),
                                  ("letter,25 for nothing", 2, "is not known"), ("letter,25 for 0", 2, "above 0"),
                                  ("letter,0.5 for 3", 2, "whole number"), ("A=letter,no-glue", 2, "no-glue"),
                                  ("letter,\x01\x02", 2, "??"), ("letter," + "x" * 500, 2, "is not known")):
            self.refused(code, "--paper", paper, says=(says,))

    def test_cutters(self):
        for cutter, code, says in (("", 2, "is not known"), ("score", 2, "mat"), ("12x24,laser", 2, "laser"), ("12x24,score,score", 2, "twice"),
                                   ("12x24,loss 6", 2, "unit"), ("12x24,loss 1mm 2mm", 2, "four"), ("12x24,loss 900mm", 2, "200 mm"),
                                   ("roll 12", 2, "unit"), ("0.5x9", 2, "inch"), ("5x7", 1, "cut from it"),
                                   ("12x12,loss 110mm", 1, "smaller loss")):
            self.refused(code, "--paper", "letter", "--cutter", cutter, says=(says,))

    def test_a_paper_too_large_for_the_cutter_names_those_that_fit(self):
        self.refused(1, "--paper", "letter", "--paper", "B=11x24", "--cutter", "12x12,score",
                     says=("11x24in", "12x12in", "letter, a4, 12x12", "11x12in cut from it"))

    def test_tools(self):
        self.refused(2, "--paper", "letter", "--marks", "chalk", says=("score,pen",))
        self.refused(2, "--paper", "letter", "--marks", "score,score", says=("score,pen",))
        self.refused(1, "--paper", "letter", "--cutter", "12x12,score", "--marks", "pen", says=("no pen", "--marks score"))
        self.refused(1, "--paper", "letter", "--cutter", "12x12,pen", "--marks", "pen,score", says=("no score", "--marks pen"))
        self.refused(1, "--paper", "letter", "--cutter", "12x12", "--marks", "score", says=("no score", "blade"))

    def test_insets(self):
        for inset, code, says in (("0mm", 2, "more than 0"), ("0.4mm", 1, "0.5 mm to 5 mm"), ("6mm", 1, "0.5 mm to 5 mm"),
                                  ("2", 2, "unit"), ("thin", 2, "length")):
            self.refused(code, "--paper", "letter", f"--inset={inset}", says=(says,))


if __name__ == "__main__":
    main()

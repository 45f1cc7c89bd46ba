"""Some pieces of a kit once more: as they were, proven, and the kit untouched."""

import itertools
import json
import shutil
import subprocess
import tempfile

import kit_reader
from support import PROGRAM, ROOT, ProgramTest, main

DEMO = ROOT / "demo" / "nordersand.png"


def all_bytes(folder):
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def size(piece):
    x0, y0, x1, y1 = kit_reader.box(kit_reader.path_rings(piece["outline"]))
    return max(x1 - x0, y1 - y0)


class Recut(ProgramTest):
    @classmethod
    def setUpClass(cls):
        cls.built = tempfile.mkdtemp(prefix="papermason-test-")
        cls.addClassCleanup(shutil.rmtree, cls.built, ignore_errors=True)
        subprocess.run([PROGRAM, "build", str(DEMO), "--height", "36in", "--paper", "letter,25 for 8.99", "--seams", "lap", "-o", "kit",
                        "--cutter", "12x12,score", "--formats", "svg,dxf"], cwd=cls.built, check=True, capture_output=True)

    def setUp(self):
        super().setUp()
        shutil.copytree(f"{self.built}/kit", self.folder / "kit")
        self.kit = kit_reader.read_kit(self.folder / "kit")
        self.before = all_bytes(self.folder / "kit")

    def tearDown(self):
        self.assertEqual(self.before, all_bytes(self.folder / "kit"), "the kit itself is not touched")

    def recut(self, *words, code=0):
        result = self.run_program("recut", "kit", *words)
        self.assertEqual(result.returncode, code, result.stderr)
        return result

    def check(self, folder, ids, paper=None):
        """The folder is proven, and has these pieces on its sheets, as the kit has them."""
        proved = self.run_program("prove", folder)
        self.assertEqual(proved.returncode, 0, proved.stdout)
        self.assertEqual(proved.stdout, (self.folder / folder / "proof.txt").read_bytes())
        recut = kit_reader.read_kit(self.folder / folder)
        self.assertEqual(recut["recut_of"], self.kit["name"])
        laid = {p["id"] for p in recut["pieces"] if p["sheet"]}
        self.assertEqual(laid, set(ids))
        for was, now in zip(self.kit["pieces"], recut["pieces"], strict=True):
            for key in ("id", "kind", "layer", "outline", "face", "marks"):
                self.assertEqual(was.get(key), now.get(key), was["id"])
        self.assertEqual(recut["totals"]["pieces"], len(ids))
        self.assertFalse((self.folder / folder / "guide.pdf").exists())
        for p in recut["papers"]:
            if paper:
                self.assertEqual(p["size"], paper)
        return recut

    def test_the_schema_accepts_it(self):
        try:
            import jsonschema
        except ImportError:
            self.skipTest("skipped: python3-jsonschema is not there")
        self.recut("A1")
        jsonschema.Draft202012Validator(json.loads((ROOT / "docs" / "kit.schema.json").read_text())).validate(
            kit_reader.read_kit(self.folder / "kit-recut"))

    def of_layer(self, letter):
        return [p["id"] for p in self.kit["pieces"] if p["layer"] == letter]

    def test_pieces_layers_and_sheets_by_name(self):
        self.recut("A2", "B1")
        self.check("kit-recut", ["A2", "B1"])
        self.recut("B")
        self.check("kit-recut-2", self.of_layer("B"))
        sheet = self.kit["sheets"][0]["id"]
        self.recut(sheet, "-o", "of-a-sheet")
        recut = self.check("of-a-sheet", [p["id"] for p in self.kit["pieces"] if p["sheet"] == sheet])
        self.assertEqual(len(recut["sheets"]), 1)
        self.assertTrue(recut["sheets"][0]["copies"], "in the kit's own formats")

    def test_same_bytes_twice(self):
        self.recut("A", "-o", "one", "--threads", "1")
        self.recut("A", "-o", "two", "--threads", "2")
        self.assertEqual(all_bytes(self.folder / "one"), all_bytes(self.folder / "two"))

    def test_the_rest_of_a_colour_on_another_paper(self):
        rest = self.of_layer("A")[2:]
        self.recut("A", "--but", "A1, A2", "--paper", "12x12")
        recut = self.check("kit-recut", rest, "12x12in")
        self.assertEqual([s["id"] for s in recut["sheets"]], [f"{recut['papers'][0]['name']}-{n + 1}" for n in range(len(recut["sheets"]))])

    def frozen(self, cut):
        colour = self.kit["layers"][0]["colour"]
        edits = [{"edit": "frozen", "colour": colour, "piece": p["id"], "height_mm": self.kit["finished_mm"]["height"],
                  "outline": p["outline"], "paper": "letter", **({"face": p["face"]} if "face" in p else {})} for p in self.kit["pieces"] if p["id"] in cut]
        return [*edits, {"edit": "sheet", "colour": colour, "paper": "8x10in,10 for 3"}]

    def test_a_colour_that_ran_out_goes_on_with_another_paper(self):
        """What is cut stays to the byte, also where it does not fit the new paper; the rest is divided for it."""
        words = ["build", str(DEMO), "--height", "36in", "--paper", "letter,25 for 8.99", "--seams", "lap", "--cutter", "12x12,score", "--edits", "edits.json"]
        largest = sorted(self.of_layer("A"), key=lambda i: -size(next(p for p in self.kit["pieces"] if p["id"] == i)))[:5]
        for cut in itertools.combinations(largest, 2): # a lap that would come to lie under two new pieces is refused: two others, then
            edits = self.frozen(cut)
            (self.folder / "edits.json").write_text(json.dumps(edits))
            result = self.run_program(*words, "-o", "rest")
            if result.returncode == 0:
                break
            self.assertIn(b"its lap would lie under other pieces", result.stderr)
        self.assertEqual(result.returncode, 0, result.stderr)
        rest = kit_reader.read_kit(self.folder / "rest")
        papers = {p["id"]: p for p in rest["papers"]}
        sheets = {s["id"]: papers[s["paper"]] for s in rest["sheets"]}
        for was in self.kit["pieces"]:
            if was["id"] in cut:
                now = next(p for p in rest["pieces"] if p["id"] == was["id"])
                self.assertEqual((was["outline"], was.get("face")), (now["outline"], now.get("face")))
                self.assertEqual(sheets[now["sheet"]]["size"], "letter")
        for p in rest["pieces"]:
            if p["layer"] == "A" and p["id"] not in cut:
                self.assertEqual(sheets[p["sheet"]]["size"], "8x10in")
        at_hand = [p for p in rest["papers"] if p.get("at_hand")]
        self.assertEqual([(p["size"], p["to_buy"]["sheets"], p["to_buy"]["cost"]) for p in at_hand], [("letter", 0, 0)])
        self.assertIsNotNone(rest["totals"]["cost"])
        # without the word on its paper the piece would have to fit the new one
        (self.folder / "edits.json").write_text(json.dumps([{k: v for k, v in e.items() if k != "paper" or e["edit"] == "sheet"} for e in edits]))
        result = self.run_program(*words, "-o", "refused")
        self.assertEqual(result.returncode, 1)
        self.assertIn(b"cut already", result.stderr)

    def test_another_colour_on_an_offcut(self):
        small = min(self.kit["pieces"], key=size)["id"]
        self.recut(small, "--paper", "6x9in", "--colour", "#223388", "--name", "sea blue")
        recut = self.check("kit-recut", [small], "6x9in")
        self.assertEqual((recut["papers"][0]["colour"], recut["papers"][0]["name"]), ("#223388", "sea blue"))

    def test_what_cannot_be_is_said_and_nothing_is_written(self):
        names = self.names()
        largest = max(self.kit["pieces"], key=size)["id"]
        for words, code, word in [
            (["Q7"], 2, "Q7"), (["A1", "--but", "A1"], 2, "no piece"), ([largest, "--paper", "4x4in"], 1, largest),
            (["A1", "--paper", "12x24"], 1, "12x24"), (["A1", "--paper", "A=letter"], 2, "one --paper"), (["A1", "--name", "red"], 2, "--colour"),
            (["A1", "--colour", "red"], 2, "#1d2f5a"), ([], 2, "papermason recut KIT"), (["A1", "--height", "4ft"], 2, "--height"),
            (["A1", "--paper", "letter,no-score"], 1, "score"), (["A1", "-o", "kit"], 1, "kit"),
        ]:
            result = self.recut(*words, code=code)
            self.assertIn(word.encode(), result.stderr)
            self.assertEqual(result.stderr.count(b"\n"), 1)
        self.assertEqual(self.names(), names)

    def test_not_from_a_part_and_not_from_a_damaged_kit(self):
        self.recut("A1")
        result = self.run_program("recut", "kit-recut", "A1")
        self.assertEqual(result.returncode, 2)
        self.assertIn(b"recut from nordersand", result.stderr)
        damaged = self.folder / "damaged"
        for name, data in self.before.items():
            (damaged / name).parent.mkdir(parents=True, exist_ok=True)
            (damaged / name).write_bytes(data)
        text = (damaged / "kit.json").read_text()
        (damaged / "kit.json").write_text(text.replace('"to_sheet": [1', '"to_sheet": [0', 1).replace('"visible_mm": ', '"visible_mm": 1', 1))
        result = self.run_program("recut", "damaged", "A1")
        self.assertEqual(result.returncode, 4, result.stderr)

    def test_a_whole_kit_has_no_piece_without_a_sheet(self):
        shutil.copytree(self.folder / "kit", self.folder / "lacks")
        kit = kit_reader.read_kit(self.folder / "lacks")
        del kit["pieces"][0]["to_sheet"]
        kit["pieces"][0]["sheet"] = None
        (self.folder / "lacks" / "kit.json").write_text(json.dumps(kit))
        self.assertEqual(self.run_program("prove", "lacks").returncode, 4)

    def test_json_tells_the_folder_and_totals(self):
        told = json.loads(self.recut("A1", "--json").stdout)
        self.assertEqual(told["kit"], "kit-recut")
        self.assertEqual(told["totals"]["pieces"], 1)


if __name__ == "__main__":
    main()

"""Edits as their users meet them: options, lists in files, what is refused and what is told."""

import json
import os

import kit_reader
from support import BLUE, CLEAR, RED, WHITE, ProgramTest, main, png_bytes

GREEN = (40, 150, 60, 255)


def window_picture(width=120, height=160):
    """On white: a blue house with a white window, a red door and a green patch."""

    def pixel(x, y):
        if not (10 <= x < 110 and 10 <= y < 150):
            return WHITE
        if 40 <= x < 80 and 30 <= y < 60:
            return WHITE
        if 50 <= x < 80 and 90 <= y < 150:
            return RED
        if 20 <= x < 40 and 80 <= y < 100:
            return GREEN
        return BLUE

    return png_bytes(width, height, pixel)


class Edits(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("house.png", window_picture())

    def colours(self, *more, code=0):
        result = self.run_program("colours", "house.png", "--json", *more)
        self.assertEqual(result.returncode, code, result.stderr)
        return {c["name"]: c for c in json.loads(result.stdout)["colours"]} if code == 0 else result.stderr.decode()

    def build(self, *more, code=0):
        result = self.run_program("build", "house.png", "--height", "12in", "--paper", "5x7", "-o", "kit", "--force", *more)
        self.assertEqual(result.returncode, code, result.stderr)
        return kit_reader.read_kit(self.folder / "kit") if code == 0 else result.stderr.decode()

    def edits(self, *edits):
        return str(self.write("edits.json", json.dumps(edits).encode()))

    def names(self):
        """Name by colour value, as `colours` prints them."""
        return {c["colour"]: name for name, c in self.colours().items()}

    def test_same_by_name_and_by_value(self):
        names = self.names()
        red, blue = names["#c81e28"], names["#1e32a0"]
        for word in (f"{red}={blue}", "#c81e28=#1e32a0", f"{red}=#1e32a0"):
            left = self.colours("--same", word)
            self.assertNotIn(red, left)
            self.assertIn(blue, left)

    def test_left_out_areas_join_what_surrounds_them(self):
        before, after = self.colours(), self.colours("--leave-out", "#28963c")
        names = self.names()
        self.assertEqual(len(after), len(before) - 1)
        self.assertGreater(after[names["#1e32a0"]]["share"], before[names["#1e32a0"]]["share"])
        self.assertNotIn(names["#28963c"], after)

    def test_papers_in_hand(self):
        """Each colour has the nearest paper's name and value; two that share one are one; later options know the papers."""
        names = self.names()
        hand = "brick #b5322a, deep sea #1d2f6a, cream #f4ead2"
        found = self.colours("--have", hand)
        self.assertLessEqual(set(found), {"brick", "deep sea", "cream"})
        self.assertEqual(found["brick"]["colour"], "#b5322a")
        kit = self.build("--have", hand, "--base", "brick", "--leave-out", names["#28963c"])
        self.assertEqual(kit["layers"][0]["name"], "brick")
        self.assertEqual(kit["layers"][0]["colour"], "#b5322a")
        again = self.build("--edits", self.edits({"edit": "match", "colours": [{"colour": "#1d2f6a", "name": "deep sea"}]}))
        self.assertEqual({layer["name"] for layer in again["layers"]}, {"deep sea"})
        self.assertTrue(any(f["kind"] == "paper-shared" for f in again["findings"]), again["findings"])
        self.assertTrue(any(f["kind"] == "paper-far" for f in again["findings"]), again["findings"])

    def test_the_shelf_is_in_hand(self):
        """--have shelf: what lies there; the kit is proved as any other, and an empty shelf is said to be one."""
        os.environ["XDG_DATA_HOME"] = str(self.folder / "data")
        self.addCleanup(os.environ.pop, "XDG_DATA_HOME")
        self.assertIn("no paper", self.colours("--have", "shelf", code=1))
        self.assertEqual(self.run_program("shelf", "add", "paper", "letter", "--name", "plain").returncode, 0)
        self.assertIn("has a colour", self.colours("--have", "shelf", code=1))
        for name, colour in (("brick", "#b5322a"), ("deep sea", "#1d2f6a"), ("leaf", "#2f8f40")):
            added = self.run_program("shelf", "add", "paper", "5x7", "--name", name, "--colour", colour)
            self.assertEqual(added.returncode, 0, added.stderr)
        found = self.colours("--have", "shelf")
        self.assertEqual({name: c["colour"] for name, c in found.items()}, {"brick": "#b5322a", "deep sea": "#1d2f6a", "leaf": "#2f8f40"})
        kit = self.build("--have", "shelf", "--base", "brick")
        self.assertEqual(kit["layers"][0]["name"], "brick")

    def test_ground_and_paper_by_place(self):
        """Places are percent of the figure's height (140 px) from its top left corner (10, 10)."""
        self.assertNotIn("white", self.colours("--ground", "35,25"))
        window = self.colours("--paper-at", "35,25")
        self.assertIn("white", window)
        door = self.colours("--ground", "38,70")
        self.assertNotIn(self.names()["#c81e28"], door)

    def test_base_and_underlap(self):
        red = self.names()["#c81e28"]
        kit = self.build("--base", red, "--underlap", "3mm")
        self.assertEqual(kit["layers"][0]["colour"], "#c81e28")

    def test_lines_on_top(self):
        """Blue goes round the whole house: it can lie on top, over a base of the largest other colour, or on both."""
        blue, red = "#1e32a0", "#c81e28"
        top = self.build("--lines", "top")["layers"]
        self.assertEqual((top[0]["colour"], top[-1]["colour"]), (red, blue))
        self.assertEqual([layer["colour"] for layer in top].count(blue), 1)
        both = self.build("--edits", self.edits({"edit": "lines", "where": "both"}))["layers"]
        self.assertEqual((both[0]["colour"], both[-1]["colour"]), (blue, blue))
        kit = self.build("--lines", "both", "--base", red)
        self.assertEqual((kit["layers"][0]["colour"], kit["layers"][-1]["colour"]), (red, blue))
        told = [f["text"] for f in kit["findings"] if f["kind"] == "edit-not-kept"]
        self.assertEqual(told, ["the lines as the base and on top: another colour is wanted as the base, so they lie on top alone"])
        self.assertIn("base, top or both", self.build("--lines", "middle", code=2))

    def test_a_list_in_a_file_and_options_beside_it(self):
        path = self.edits({"edit": "name", "colour": "#1e32a0", "name": "deep sea"},
                          {"edit": "sheet", "colour": "#c81e28", "paper": "a4"}, {"edit": "border", "mm": 5})
        kit = self.build("--edits", path, "--leave-out", "#28963c")
        self.assertEqual(kit["border_mm"], 5)
        self.assertIn("deep sea", [layer["name"] for layer in kit["layers"]])
        self.assertIn("a4", " ".join(paper["id"] for paper in kit["papers"]))
        self.assertNotIn("#28963c", [layer["colour"] for layer in kit["layers"]])

    def test_what_has_no_target_is_a_finding_and_stops_nothing(self):
        path = self.edits({"edit": "base", "colour": "#00ffff"}, {"edit": "seam", "colour": "#00ffff", "points": [[0, 0], [1, 1]]},
                          {"edit": "tiny", "at": [0.5, 0.5], "fate": "pen"})
        kit = self.build("--edits", path, "--ground", "900,900")
        told = [f["text"] for f in kit["findings"] if f["kind"] == "edit-without-target"]
        self.assertEqual(len(told), 4, kit["findings"])
        self.assertTrue(any(text.startswith("the fixed seam of #00ffff from 0 %, 0 % to 100 %, 100 %: ") for text in told), told)

    def test_a_wrong_list_is_refused_with_its_place_and_nothing_is_left(self):
        wrong = [b"", b"[", b"{}", b"[1]", b'[{"edit": "paint"}]', b'[{"edit": "border", "mm": -1}]',
                 b'[{"edit": "border", "mm": 6, "wide": 1}]', b'[{"edit": "base", "colour": "blue"}]',
                 b'[{"edit": "keep-clear", "points": [[0, 0]]}]', b"\xff\xfe", b"[" * 5000]
        for data in wrong:
            self.write("edits.json", data)
            message = self.build("--edits", "edits.json", code=3)
            self.assertIn("edits.json", message)
            self.assertEqual(message.count("\n"), 1)
        self.build("--edits", "missing.json", code=3)
        self.assertEqual(sorted(p.name for p in self.folder.iterdir()), ["edits.json", "house.png"])

    def test_fewer_pieces_or_seams_and_what_they_would_come_to(self):
        """An offer names the totals of the build that takes it, by an option or by an edit."""
        base = ["build", "house.png", "--height", "40in", "--paper", "5x7", "-o", "kit", "--force", "--json"]
        plain = json.loads(self.run_program(*base).stdout)
        self.assertNotIn("offers", plain)
        asked = json.loads(self.run_program(*base, "--offers").stdout)
        self.assertEqual(asked["totals"], plain["totals"])
        self.assertEqual([o["fewer"] for o in asked["offers"]], ["pieces", "seams"])
        edits = [["--fewer", "pieces"], ["--fewer", "pieces", "--edits", self.edits({"edit": "fewer", "of": "seams"})]]
        for offer, words in zip(asked["offers"], edits):
            totals = json.loads(self.run_program(*base, *words).stdout)["totals"]
            self.assertEqual(totals["pieces"], offer["pieces"])
            self.assertAlmostEqual(totals["visible_seam_mm"], offer["visible_seam_mm"], delta=0.11)
        said = self.run_program(*base[:-1], "--offers").stdout.decode()
        worth = [o for o in asked["offers"] if o["worth_telling"]]
        for offer in worth:
            self.assertIn(f"--fewer {offer['fewer']} {offer['pieces']} piece", said)
        self.assertEqual("No offer:" in said, not worth)

    def test_wrong_options_are_refused(self):
        for words in (["--have", "navy"], ["--have", ""], ["--have", "navy #12"], ["--have", "a #111111, b #111111"], ["--same", "red"], ["--same", ""], ["--ground", "10"], ["--ground", "a,b"], ["--ground", "nan,0"], ["--ground", "1e9,0"],
                      ["--leave-out", ""], ["--leave-out", "plaid"], ["--same", "plaid=red"], ["--base", "#12"],
                      ["--underlap", "6"], ["--underlap", "-1mm"], ["--smallest-part", "0mm"], ["--smallest-hole", "x"], ["--edits", ""],
                      ["--fewer", "sheets"], ["--fewer", ""], ["--offers=1"]):
            self.build(*words, code=2)

    def test_a_thousand_options(self):
        kit = self.build(*["--leave-out", "#00ffff"] * 1000)
        self.assertEqual(sum(f["kind"] == "edit-without-target" for f in kit["findings"]), 1000)
        self.build(*["--leave-out", "#00ffff"] * 1025, code=2)

    def test_contradictions_end_in_a_kit_or_a_sentence(self):
        names = self.names()
        red, blue = names["#c81e28"], names["#1e32a0"]
        self.build("--same", f"{red}={blue}", "--same", f"{blue}={red}")
        self.build("--ground", "38,70", "--paper-at", "38,70", "--ground", "38,70")
        result = self.run_program("build", "house.png", "--height", "12in", "--paper", "5x7", "-o", "bare",
                                  *[word for name in names.values() for word in ("--leave-out", name)])
        self.assertIn(result.returncode, (0, 1), result.stderr)
        path = self.edits({"edit": "over", "colour": "#c81e28", "other": "#28963c"}, {"edit": "over", "colour": "#28963c", "other": "#c81e28"})
        kit = self.build("--edits", path)
        self.assertIn("edit-not-kept", [f["kind"] for f in kit["findings"]])

    def test_a_piece_that_is_cut_already_stays_or_the_change_is_refused(self):
        kit = self.build()
        piece = kit["pieces"][0]
        colour = next(layer["colour"] for layer in kit["layers"] if layer["id"] == piece["layer"])
        frozen = {"edit": "frozen", "colour": colour, "piece": piece["id"], "height_mm": kit["finished_mm"]["height"],
                  "outline": piece["outline"]}
        again = self.build("--edits", self.edits(frozen))
        self.assertEqual(again["pieces"][0]["outline"], piece["outline"])
        message = self.build("--edits", self.edits(frozen, {"edit": "border", "mm": 10}), code=1)
        self.assertIn(piece["id"], message)
        other = dict(frozen, outline="M900 0 L909 0 L909 9 L900 0 Z")
        self.assertIn(piece["id"], self.build("--edits", self.edits(other), code=1))


if __name__ == "__main__":
    main()

"""The guide of the demo as others see it: qpdf, pdffonts, pdftotext; the same bytes twice; every piece where it is looked for."""

import os
import re
import shutil
import subprocess
import tempfile
import unittest
from pathlib import Path

import kit_reader
from support import PROGRAM, ROOT, ProgramTest, main, png_bytes, target_picture

PIECE = re.compile(r"\b[A-Z]{1,2}[0-9]+\b")
MOST_BYTES = 5_000_000


def needs(program):
    return unittest.skipUnless(shutil.which(program), f"skipped: {program} is not there")


def build(folder, *more):
    picture = sorted((ROOT / "demo").glob("*.png"))[0]
    words = ["build", str(picture), "--height", "5ft", "--paper", "A=11x24", "--paper", "letter", "-o", "kit", *more]
    subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, timeout=300, check=True)
    return Path(folder) / "kit"


def small_pdf(folder, place, *more):
    """The page size of the guide of a tiny kit, made where the system's settings say so."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("LC_", "LANG"))}
    environment.update(place)
    Path(folder, "small.png").write_bytes(target_picture())
    words = ["build", "small.png", "--height", "8in", "--paper", "letter", "-o", "small", "--force", *more]
    subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, timeout=300, check=True, env=environment)
    return Path(folder, "small", "guide.pdf")


MANY = 13


def dots_picture(side=400, step=9):
    """A dark plate with so many pale squares near its middle that no drawing has room for their names."""
    left = (side - MANY * step) // 2

    def pixel(x, y):
        if not (8 <= x < side - 8 and 8 <= y < side - 8):
            return (255, 255, 255, 255)
        across, down = x - left, y - left
        inside = 0 <= across < MANY * step and 0 <= down < MANY * step and across % step < 5 and down % step < 5
        return (240, 200, 90, 255) if inside else (20, 30, 70, 255)

    return png_bytes(side, side, pixel)


class Crowded(ProgramTest):
    """A sheet with hundreds of pieces: its drawing and their names both have their room."""

    def test_a_sheet_of_hundreds_of_pieces_is_drawn_and_listed_by_name(self):
        self.write("dots.png", dots_picture())
        made = self.run_program("build", "dots.png", "--height", "30in", "--paper", "12x24", "-o", "kit")
        self.assertEqual((made.returncode, made.stderr), (0, b""))
        kit = kit_reader.read_kit(self.folder / "kit")
        small = [piece["id"] for piece in kit["pieces"] if piece["id"].startswith("B")]
        self.assertEqual(len(small), MANY * MANY)
        plan = (self.folder / "kit" / "key-plan.svg").read_text()
        self.assertTrue("a small piece: named on its layer's page of the guide" in plan)
        self.assertFalse(f">{small[0]}</text>" in plan)
        if not shutil.which("pdftotext"):
            self.skipTest("skipped: pdftotext is not there")
        words = subprocess.run(["pdftotext", self.folder / "kit" / "guide.pdf", "-"], capture_output=True, timeout=60, check=True).stdout.decode()
        named = re.findall(r"\u2610\s(B[0-9]+)\s", words)
        self.assertEqual(sorted(set(named)), sorted(small))
        numbers = [int(name[1:]) for name in named[: len(small)]]
        self.assertLess(sum(a > b for a, b in zip(numbers, numbers[1:])), 5)  # by number on each sheet


class Guide(ProgramTest):
    @classmethod
    def setUpClass(cls):
        cls.shared = tempfile.mkdtemp(prefix="papermason-test-")
        cls.addClassCleanup(shutil.rmtree, cls.shared, ignore_errors=True)
        cls.kit = build(cls.shared)
        cls.other = tempfile.mkdtemp(prefix="papermason-test-")
        cls.addClassCleanup(shutil.rmtree, cls.other, ignore_errors=True)
        cls.a4 = build(cls.other, "--page", "a4", "--cutter", "12x24") # with a blade alone

    def outside(self, *words):
        return subprocess.run(words, capture_output=True, timeout=120, check=False)

    def pages(self, kit_folder):
        text = self.outside("pdftotext", str(kit_folder / "guide.pdf"), "-").stdout.decode()
        return [page for page in text.split("\f") if page.strip()]

    def test_it_is_small_and_the_same_bytes_twice(self):
        first = (self.kit / "guide.pdf").read_bytes()
        self.assertLess(len(first), MOST_BYTES)
        self.assertEqual(first, (build(self.folder) / "guide.pdf").read_bytes())

    @needs("pdfinfo")
    def test_pages_are_letter_or_a4_by_choice_or_by_place(self):
        sizes = {"letter": (612, 792), "a4": (595.276, 841.89)}
        for place, more, expected in (
            ({}, (), "letter"),
            ({"LANG": "C"}, (), "letter"),
            ({"LANG": "en_CA.UTF-8"}, (), "letter"),
            ({"LANG": "de_DE.UTF-8"}, (), "a4"),
            ({"LANG": "de_DE.UTF-8", "LC_PAPER": "es_MX"}, (), "letter"),
            ({"LANG": "en_US", "LC_ALL": "en_GB"}, (), "a4"),
            ({"LANG": "de_DE.UTF-8"}, ("--page", "letter"), "letter"),
            ({}, ("--page=a4",), "a4"),
        ):
            pdf = small_pdf(self.folder, place, *more)
            found = re.search(r"Page size:\s+([0-9.]+) x ([0-9.]+)", self.outside("pdfinfo", str(pdf)).stdout.decode())
            for k in range(2):
                self.assertAlmostEqual(float(found.group(k + 1)), sizes[expected][k], delta=0.1, msg=str((place, more)))
        result = self.run_program("build", "small.png", "--height", "8in", "--paper", "letter", "--page", "b5")
        self.assertEqual(result.returncode, 2)

    @needs("pdftotext")
    def test_every_word_stands_within_its_page(self):
        for kit_folder in (self.kit, self.a4):
            text = self.outside("pdftotext", "-bbox", str(kit_folder / "guide.pdf"), "-").stdout.decode()
            page, words = None, 0
            for line in text.splitlines():
                size = re.search(r'<page width="([0-9.]+)" height="([0-9.]+)"', line)
                if size:
                    page = [float(value) for value in size.groups()]
                word = re.search(r'<word xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">(.*)</word>', line)
                if not word:
                    continue
                x0, y0, x1, y1 = (float(value) for value in word.groups()[:4])
                words += 1
                self.assertTrue(18 < x0 and x1 < page[0] - 18 and 18 < y0 and y1 < page[1] - 18, line) # a printer's margin: 1/4 in
            self.assertGreater(words, 2000)

    @needs("qpdf")
    def test_qpdf_finds_no_fault(self):
        result = self.outside("qpdf", "--check", str(self.kit / "guide.pdf"))
        self.assertEqual(result.returncode, 0, result.stdout + result.stderr)

    @needs("qpdf")
    def test_title_language_and_bookmarks_are_there(self):
        kit_folder = self.kit
        plain = self.outside("qpdf", "--qdf", str(kit_folder / "guide.pdf"), "-").stdout
        self.assertIn(b"/Lang (en)", plain)
        kit = kit_reader.read_kit(kit_folder)
        self.assertIn(b"/Title (" + kit["name"].encode() + b": how to put it together)", plain)
        for layer in kit["layers"]:
            self.assertIn(f"/Title (Layer {layer['id']}: {layer['name']})".encode(), plain)

    @needs("pdffonts")
    def test_every_font_is_embedded(self):
        lines = self.outside("pdffonts", str(self.kit / "guide.pdf")).stdout.decode().splitlines()
        fonts = [line.split() for line in lines[2:]]
        self.assertGreaterEqual(len(fonts), 2)
        for font in fonts:
            self.assertEqual(font[-5], "yes", font)

    @needs("pdftotext")
    def test_every_piece_is_named_in_the_sheet_map_in_a_layer_map_and_in_a_step(self):
        for kit_folder in (self.kit, self.a4):
            on_sheets, on_maps, in_steps = [], [], []
            for page in self.pages(kit_folder):
                heading = page.splitlines()[0]
                if heading.startswith("Sheet map"):
                    on_sheets += PIECE.findall(page)
                elif heading.startswith("Layer "):
                    is_map = "Seen from the front." in page or "Mirrored:" in page
                    before, _, after = page.partition("\nSteps\n")
                    on_maps += PIECE.findall(before) if is_map else []
                    in_steps += PIECE.findall(after if is_map else page)
            for piece in kit_reader.read_kit(kit_folder)["pieces"]:
                if piece["kind"] == "strip":
                    continue
                self.assertGreaterEqual(on_sheets.count(piece["id"]), 2, f"{piece['id']}: on its sheet and in the list below")
                self.assertIn(piece["id"], on_maps)
                self.assertIn(piece["id"], in_steps)

    @needs("pdftotext")
    def test_every_seam_is_a_line_to_tick_once_and_every_sheet_is_drawn_once(self):
        kit = kit_reader.read_kit(self.kit)
        whole = "\n".join(self.pages(self.kit))
        joins = re.findall(r"([A-Z]+[0-9]+) to ([A-Z]+[0-9]+)(?: \([A-Z, ]+\))?: [0-9 /]+ in \(", whole)
        pairs = {tuple(sorted(seam["pieces"])) for seam in kit["seams"]}
        self.assertEqual(sorted(tuple(sorted(pair)) for pair in joins), sorted(pairs))
        titles = re.findall(r"\u2610 (.+ [0-9]+ of [0-9]+)\n", whole)
        self.assertEqual(len(titles), len(kit["sheets"]))
        self.assertEqual(len(set(titles)), len(titles))

    @needs("pdftotext")
    def test_a_kit_for_a_blade_alone_speaks_of_no_other_tool_and_of_no_letters_on_edges(self):
        tools = re.compile(r"\b(scored?|pen|pens)\b")
        spoken = {kit: "\n".join(self.pages(kit)) + (kit / "READ-ME-FIRST.txt").read_text() for kit in (self.kit, self.a4)}
        self.assertRegex(spoken[self.kit], tools)
        self.assertNotRegex(spoken[self.a4], tools)
        self.assertIn("A small letter on a seam", spoken[self.kit])
        self.assertNotIn("A small letter on a seam", spoken[self.a4])
        self.assertRegex(spoken[self.kit], r"[0-9] to [A-Z][0-9]+ \([A-Z, ]+\): ")
        self.assertNotRegex(spoken[self.a4], r"[0-9] to [A-Z][0-9]+ \([A-Z, ]+\): ")

    @needs("pdftotext")
    def test_pieces_of_the_base_that_no_seam_joins_are_told_where_to_lie(self):
        whole = " ".join(" ".join(self.pages(self.kit)).split())
        kit = kit_reader.read_kit(self.kit)
        joined = {name for seam in kit["seams"] for name in seam["pieces"]}
        loose = [piece for piece in kit["pieces"] if piece["layer"] == "A" and piece["kind"] == "face" and piece["id"] not in joined]
        self.assertGreater(len(loose), 5)
        for piece in loose:
            found = re.search(rf"\b{piece['id']}: [0-9 /]+ in \(([0-9]+) mm\) from the left, [0-9 /]+ in \(([0-9]+) mm\) from the top", whole)
            self.assertIsNotNone(found, piece["id"])
            box = kit_reader.box(kit_reader.path_rings(piece["outline"]))
            for k in range(2):
                self.assertAlmostEqual(float(found.group(k + 1)), box[k], delta=0.7)

    @needs("pdftotext")
    def test_every_step_has_a_picture_before_and_after(self):
        for kit_folder in (self.kit, self.a4):
            whole = "\n".join(self.pages(kit_folder))
            steps = re.findall(r"^[0-9]+\. (?:Part [0-9]+: join|Join|Turn|Glue|Lay) ", whole, re.M)
            self.assertGreater(len(steps), 20)
            self.assertEqual(len(re.findall(r"\bbefore(?:: face (?:up|down))?$", whole, re.M)), len(steps))
            self.assertEqual(len(re.findall(r"\bafter(?:: face up|: taped, face down|: with strips)?$", whole, re.M)), len(steps))

    def words(self, kit_folder):
        """A list a page of (x0, y0, x1, y1, word), in points."""
        text = self.outside("pdftotext", "-bbox", str(kit_folder / "guide.pdf"), "-").stdout.decode()
        pages = []
        for line in text.splitlines():
            if "<page " in line:
                pages.append([])
            word = re.search(r'<word xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">(.*)</word>', line)
            if word:
                pages[-1].append((*(float(value) for value in word.groups()[:4]), word.group(5)))
        return pages

    @needs("pdftotext")
    def test_joining_is_drawn_face_up_before_and_mirrored_after(self):
        point_mm, compared, unturned = 25.4 / 72, 0, []
        spans = {}
        for piece in kit_reader.read_kit(self.kit)["pieces"]:
            low, _, high, _ = kit_reader.box(kit_reader.path_rings(piece["outline"]))
            spans[piece["id"]] = (low, high)
        for page in self.words(self.kit):
            right = 215.9 - 15
            titles = sorted(y0 for x0, y0, _, _, word in page if re.fullmatch(r"[0-9]+\.", word) and abs(x0 * point_mm - 22) < 0.7)
            for index, top in enumerate(titles):
                below = titles[index + 1] if index + 1 < len(titles) else 1e9
                row = [word for word in page if top - 6 <= word[1] < below - 6]
                if not any(word[4] == "taped," for word in row):
                    continue
                before, after = {}, {}
                for x0, _, x1, _, word in row:
                    middle = (x0 + x1) / 2 * point_mm
                    if not PIECE.fullmatch(word):
                        continue
                    if middle > right - 50:
                        after[word] = middle - (right - 25)
                    elif middle > right - 103:
                        before[word] = middle - (right - 78)
                both = before.keys() & after.keys()
                low, high = min(spans[name][0] for name in both), max(spans[name][1] for name in both)
                for name in both:
                    off = sum(spans[name]) / 2 - (low + high) / 2 # in the middle a name may stand on either side
                    if abs(before[name]) < 6 or abs(after[name]) < 6 or abs(off) < 0.1 * (high - low):
                        continue
                    compared += 1
                    if before[name] * after[name] > 0:
                        unturned.append(f"{name}: {before[name]:.1f} before, {after[name]:.1f} after")
        self.assertGreater(compared, 15)
        self.assertLess(5 * len(unturned), compared, unturned) # a name without room on its piece stands beside the drawing, on either side

    @needs("pdftotext")
    def test_it_says_what_to_buy_how_it_hangs_and_begins_with_the_test_sheet(self):
        whole = " ".join(" ".join(self.pages(self.kit)).split())
        for words in ("First step: the test sheet", "2 in (51 mm) each way?", "Is the bridge between the two windows whole?",
                      "Tape for the back of seams", "middle of weight", "Labels for envelopes", "Do not bin:"):
            self.assertIn(words, whole)
        kit = kit_reader.read_kit(self.kit)
        sheets = {}
        for sheet in kit["sheets"]:
            sheets[sheet["paper"]] = sheets.get(sheet["paper"], 0) + 1
        needed = sum(count + max(1, -(-count // 10)) for count in sheets.values())
        self.assertRegex(whole, rf"\b{len(kit['sheets'])} {needed - len(kit['sheets'])} {needed}\b")

    def test_numbers_beside_the_key_plan_do_not_crowd(self):
        plan = (self.kit / "key-plan.svg").read_text()
        height = float(re.search(r'height="([0-9.]+)mm"', plan).group(1))
        names = re.findall(r'<text x="([0-9.]+)" y="([0-9.]+)" font-size="([0-9.]+)"[^>]*>([A-Z]+[0-9]+)</text>', plan)
        self.assertEqual(len(names), kit_reader.read_kit(self.kit)["totals"]["pieces"])
        margins = {}
        for x, y, size, _ in names:
            margins.setdefault(x, []).append((float(y), float(size)))
        taken = 0
        for column in (column for column in margins.values() if len(column) > 4): # a margin: many with one x
            column.sort()
            taken = max(taken, len(column))
            for (above, _), (y, size) in zip(column, column[1:]):
                self.assertGreater(y - above, size * 1.1)
        self.assertLess(taken * 4.0, 0.75 * height)

    @needs("pdftotext")
    def test_no_page_is_empty(self):
        for kit_folder in (self.kit, self.a4):
            pages = self.pages(kit_folder)
            self.assertGreater(len(pages), 10)
            for page in pages:
                self.assertGreater(len(page.split()), 12, page)


if __name__ == "__main__":
    main()

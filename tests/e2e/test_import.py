"""Sheet files as importers take them: each forgets something (page, units, colours, groups), and every piece must still be cut
within a tenth of a millimetre of where kit.json has it; in each way in which sheets are parted into files. And sheets printed at
true size, as poppler shows them."""

import re
import shutil
import subprocess
import tempfile
import unittest
from collections import Counter
from pathlib import Path

import kit_reader
from support import PROGRAM, ROOT, main

FORMS = ("sheet", "piece", "layer", "line")
SCORE, PEN = "#b4581a", "#2f6f5e"
MM_A_PT = 25.4 / 72
PX_A_MM = 600 / 25.4  # of pages as pictures


class Kit:
    """A kit of the demo; a4 has a usable box that is no round number of inches."""

    def __init__(self, folder):
        self.folder = folder
        self.json = kit_reader.read_kit(folder)
        self.papers = {paper["id"]: paper for paper in self.json["papers"]}
        self.pieces = {}
        for piece in self.json["pieces"]:
            self.pieces.setdefault(piece["sheet"], []).append(piece)

    def files(self):
        """(path, the sheets in it) of each file that holds cuts."""
        by_file = {}
        for sheet in self.json["sheets"]:
            by_file.setdefault(sheet["file"], []).append(sheet)
        return [(self.folder / name, sheets) for name, sheets in by_file.items()]

    def origin(self, sheets):
        """The drawn box's corner in a file."""
        return tuple(min(offset(sheet)[k] + sheet["box_mm"][k] for sheet in sheets) for k in (0, 1))

    def outline(self, piece, sheet):
        dx, dy = offset(sheet)
        return [[(x + dx, y + dy) for x, y in ring]
                for ring in kit_reader.transformed(kit_reader.path_rings(piece["outline"]), piece["to_sheet"])]

    def lines(self, sheet, line):
        """Strokes of a line kind on a sheet: marks and notes."""
        dx, dy = offset(sheet)
        strokes = [stroke for piece in self.pieces[sheet["id"]] for mark in piece["marks"] if mark["line"] == line
                   for stroke in kit_reader.transformed(kit_reader.path_rings(mark["path"]), piece["to_sheet"])]
        strokes += [stroke for note in sheet["notes"] if note["line"] == line for stroke in kit_reader.path_rings(note["path"])]
        return [[(x + dx, y + dy) for x, y in stroke] for stroke in strokes]


def offset(sheet):
    return sheet.get("offset_mm", [0, 0])


def height_mm(path):
    return float(re.search(r"x([0-9.]+)in(-[a-z]+)?\.svg$", path.name).group(1)) * 25.4


def seen_box(objects):
    """The drawn box when a stroke's width counts."""
    boxes = []
    for thing in objects:
        x0, y0, x1, y1 = kit_reader.box(thing.rings)
        more = thing.stroke_width / 2
        boxes.append((x0 - more, y0 - more, x1 + more, y1 + more))
    return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))


def imported(objects, path, box=None, scribble=7.3):
    """Objects' rings after an importer has dropped page and units and brought the drawn box to the height in the file's name. What
    came in is scaled first, as software does that takes a unit for another."""
    x0, y0, _, y1 = box or kit_reader.box([ring for thing in objects for ring in thing.rings])
    raw = (y1 - y0) * scribble
    scale = height_mm(path) / raw * scribble
    return [[[((x - x0) * scale, (y - y0) * scale) for x, y in ring] for ring in thing.rings] for thing in objects]


@unittest.skipUnless(Path(PROGRAM).exists(), "the program is not built")
class Imports(unittest.TestCase):
    @staticmethod
    def words(picture, form, folder):
        """With strips and a raised layer, and once with laps."""
        return [PROGRAM, "build", str(picture), "--height", "24in", "--paper", "a4", "--for", form, "--strips", "cut", "--raised", "E",
                *(["--seams", "lap"] if form == "piece" else []), "-o", folder]

    @classmethod
    def setUpClass(cls):
        cls.folder = Path(tempfile.mkdtemp(prefix="papermason-test-"))
        cls.addClassCleanup(shutil.rmtree, cls.folder, ignore_errors=True)
        picture = sorted((ROOT / "demo").glob("*.png"))[0]
        cls.kits = {}
        for form in FORMS:
            result = subprocess.run(cls.words(picture, form, form), cwd=cls.folder, capture_output=True, timeout=300)
            assert result.returncode == 0, result.stderr
            cls.kits[form] = Kit(cls.folder / form)

    def assert_lies(self, rings, near, origin, what):
        for ring in rings:
            for x, y in ring[:: max(1, len(ring) // 60)]:
                self.assertTrue(near.has(x - origin[0], y - origin[1]), (what, x, y))

    def assert_sheets(self, kit, rings, sheets, what, corners=2):
        """The rings are the corner marks and outlines of the sheets, each once."""
        near, origin = kit_reader.NearPoints(rings), kit.origin(sheets)
        wanted = [(piece["id"], kit.outline(piece, sheet)) for sheet in sheets for piece in kit.pieces[sheet["id"]]]
        self.assertEqual(len(rings), corners * len(sheets) + sum(len(outline) for _, outline in wanted), what)
        for name, outline in wanted:
            self.assert_lies(outline, near, origin, (what, name))

    def test_by_box_page_units_and_colours_dropped(self):
        for form, kit in self.kits.items():
            for path, sheets in kit.files():
                objects = kit_reader.drawn_objects(path)
                for box in (None, seen_box(objects)):
                    cuts = [ring for thing, rings in zip(objects, imported(objects, path, box)) for ring in rings if thing.stroke_width == 0]
                    self.assert_sheets(kit, cuts, sheets, (form, path.name))

    def test_by_colour_alone(self):
        for form, kit in self.kits.items():
            for path, sheets in kit.files():
                objects = kit_reader.drawn_objects(path)
                by_colour = {}
                for thing, rings in zip(objects, imported(objects, path)):
                    by_colour.setdefault(thing.colour, []).extend(rings)
                self.assertLessEqual(len(by_colour), 3)
                self.assertNotIn("#ffffff", by_colour)
                cut = next(colour for colour in by_colour if colour not in (SCORE, PEN))
                self.assert_sheets(kit, by_colour[cut], sheets, (form, path.name))
                if form == "line":
                    self.assertEqual(set(by_colour), {cut})
                    continue
                for line, colour in (("score", SCORE), ("pen", PEN)):
                    wanted = [stroke for sheet in sheets for stroke in kit.lines(sheet, line)]
                    self.assertEqual(len(by_colour.get(colour, [])), len(wanted), (form, path.name, line))
                    if wanted:
                        self.assert_lies(wanted, kit_reader.NearPoints(by_colour[colour]), kit.origin(sheets), (form, path.name, line))

    def test_by_objects_alone(self):
        """Each top-level object is taken as one thing; where asked for, each group in it is one piece."""
        for form, kit in self.kits.items():
            for path, sheets in kit.files():
                objects = kit_reader.drawn_objects(path)
                top = Counter(thing.groups[0] for thing in objects)
                self.assertLessEqual(len(top), 3)
                if form != "piece":
                    self.assertEqual(set(top.values()), {1}, path.name)
                    self.assertTrue(all(len(thing.groups) == 1 for thing in objects))
                placed = imported(objects, path)
                first = [ring for thing, rings in zip(objects, placed) if thing.groups[0] == objects[0].groups[0] for ring in rings]
                self.assert_sheets(kit, first, sheets, (form, path.name))

    def test_by_objects_piece_for_piece(self):
        kit = self.kits["piece"]
        for path, (sheet,) in kit.files():
            objects = kit_reader.drawn_objects(path)
            names = Counter(thing.groups[-1] for thing in objects)
            self.assertEqual(set(names.values()), {1})
            by_name = {thing.groups[-1]: rings for thing, rings in zip(objects, imported(objects, path))}
            origin = kit.origin([sheet])
            self.assertEqual(len(by_name.pop("corners")), 2)
            for piece in kit.pieces[sheet["id"]]:
                rings = by_name.pop(piece["id"])
                outline = kit.outline(piece, sheet)
                self.assertEqual(len(rings), len(outline))
                self.assert_lies(outline, kit_reader.NearPoints(rings), origin, piece["id"])
                for line in ("score", "pen"):
                    marks = [stroke for mark in piece["marks"] if mark["line"] == line
                             for stroke in kit_reader.transformed(kit_reader.path_rings(mark["path"]), piece["to_sheet"])]
                    strokes = by_name.pop(f"{piece['id']}-{line}", [])
                    self.assertEqual(len(strokes), len(marks))
                    self.assert_lies(marks, kit_reader.NearPoints(strokes), origin, (piece["id"], line))
            self.assertLessEqual(set(by_name), {"notes-score", "notes-pen"})

    def test_one_file_a_line_all_at_the_same_place(self):
        """Everything of a file is one tool's; each file is scaled by its own drawn box, with and without the strokes' width."""
        kit = self.kits["line"]
        for sheet in kit.json["sheets"]:
            self.assertIn("cut", sheet["files"])
            for line, name in sheet["files"].items():
                path = kit.folder / name
                self.assertTrue(name.endswith(f"in-{line}.svg"), name)
                objects = kit_reader.drawn_objects(path)
                for box in (None, seen_box(objects)):
                    rings = [ring for rings in imported(objects, path, box) for ring in rings]
                    if line == "cut":
                        self.assert_sheets(kit, rings, [sheet], name)
                        continue
                    wanted = kit.lines(sheet, line)
                    self.assertEqual(len(rings), len(wanted) + 2, name)
                    self.assert_lies(wanted, kit_reader.NearPoints(rings), kit.origin([sheet]), name)

    def test_a_paper_in_one_file_has_its_sheets_apart(self):
        kit = self.kits["layer"]
        self.assertEqual(len(kit.files()), len(kit.json["papers"]))
        most = 0
        for path, sheets in kit.files():
            root, groups = kit_reader.sheet_paths(path)
            width, height = (float(root.get(key).removesuffix("mm")) for key in ("width", "height"))
            paper_w, paper_h = kit.papers[sheets[0]["paper"]]["size_mm"]
            most = max(most, len(sheets))
            for i, sheet in enumerate(sheets):
                self.assertEqual(sheet["paper"], sheets[0]["paper"])
                x, y = offset(sheet)
                self.assertTrue(x >= 0 and y >= 0 and x + paper_w <= width + 1e-6 and y + paper_h <= height + 1e-6)
                for other in sheets[:i]:
                    u, v = offset(other)
                    self.assertTrue(abs(x - u) >= paper_w + 5 or abs(y - v) >= paper_h + 5, (sheet["id"], other["id"]))
        self.assertGreater(most, 2)

    def test_every_form_is_proved_and_the_same_twice(self):
        for form, kit in self.kits.items():
            result = subprocess.run([PROGRAM, "prove", str(kit.folder)], capture_output=True, timeout=300)
            self.assertEqual(result.returncode, 0, (form, result.stderr))
        picture = sorted((ROOT / "demo").glob("*.png"))[0]
        subprocess.run([*self.words(picture, "line", "again"), "--threads", "1"], cwd=self.folder, capture_output=True, timeout=300, check=True)
        files = [{str(p.relative_to(f)): p.read_bytes() for p in f.rglob("*") if p.is_file()} for f in (self.folder / "again", self.folder / "line")]
        self.assertEqual(sorted(files[0]), sorted(files[1]))
        self.assertEqual([name for name in files[0] if files[0][name] != files[1][name]], [])

    def test_an_unknown_form_is_refused(self):
        result = subprocess.run([PROGRAM, "build", "x.png", "--height", "24in", "--paper", "a4", "--for", "colour"], cwd=self.folder,
                                capture_output=True, timeout=60)
        self.assertEqual(result.returncode, 2)
        self.assertIn(b"piece, layer and line", result.stderr)

    # ---- printed ----

    def printed(self):
        """(paper, PDF, its sheets) of the kit with a file a sheet."""
        kit = self.kits["sheet"]
        for paper in kit.json["papers"]:
            yield paper, kit.folder / paper["print"], [sheet for sheet in kit.json["sheets"] if sheet["paper"] == paper["id"]]

    @unittest.skipUnless(shutil.which("qpdf") and shutil.which("pdffonts"), "skipped: qpdf or poppler is not there")
    def test_printed_files_are_sound_and_carry_their_fonts(self):
        for paper, pdf, sheets in self.printed():
            subprocess.run(["qpdf", "--check", str(pdf)], check=True, capture_output=True)
            fonts = subprocess.run(["pdffonts", str(pdf)], check=True, capture_output=True, text=True).stdout.splitlines()[2:]
            self.assertGreater(len(fonts), 0)
            self.assertTrue(all(line.split()[-5] == "yes" for line in fonts), fonts)
            info = subprocess.run(["pdfinfo", "-f", "1", "-l", "99", str(pdf)], check=True, capture_output=True, text=True).stdout
            sizes = re.findall(r"Page +\d+ size: +([0-9.]+) x ([0-9.]+) pts", info)
            self.assertIn(len(sizes) - len(sheets), (0, 1))
            for size in sizes:
                for k in (0, 1):
                    self.assertAlmostEqual(float(size[k]) * MM_A_PT, paper["size_mm"][k], delta=0.05)

    @unittest.skipUnless(shutil.which("pdftotext"), "skipped: poppler is not there")
    def test_printed_pages_name_their_sheet_and_every_piece(self):
        for paper, pdf, sheets in self.printed():
            pages = subprocess.run(["pdftotext", str(pdf), "-"], check=True, capture_output=True, text=True).stdout.split("\f")[:-1]
            if len(pages) > len(sheets):
                self.assertIn("Print this page first", pages.pop(0))
            self.assertEqual(len(pages), len(sheets))
            for sheet, page in zip(sheets, pages):
                self.assertIn("100 %", page)
                self.assertIn(f"{sheet['id']}:", page)
                words = page.split()
                for piece in self.kits["sheet"].pieces[sheet["id"]]:
                    self.assertEqual(words.count(piece["id"]), 1, (sheet["id"], piece["id"], words))

    def pages(self, pdf, paper):
        """The stroked paths of each page as they stand in the file: poppler's own SVG shifts them to whole pixels."""
        plain = self.folder / "plain.pdf"
        subprocess.run(["qpdf", "--qdf", str(pdf), str(plain)], check=True, capture_output=True)
        streams = re.findall(rb"%% Contents for page (\d+)\n.*?\nstream\n(.*?)\nendstream", plain.read_bytes(), re.S)
        return [(int(number), stroked_paths(stream.decode("latin-1"), paper["size_mm"][1])) for number, stream in streams]

    @unittest.skipUnless(shutil.which("qpdf"), "skipped: qpdf is not there")
    def test_printed_cuts_lie_where_the_kit_has_them(self):
        dashed = 0
        for paper, pdf, sheets in self.printed():
            pages = list(self.pages(pdf, paper))[-len(sheets):]
            for sheet, (_, paths) in zip(sheets, pages):
                black = [ring for path in paths if path["is_black"] for ring in path["rings"]]
                near = kit_reader.NearPoints(black)
                outlines = [self.kits["sheet"].outline(piece, sheet) for piece in self.kits["sheet"].pieces[sheet["id"]]]
                self.assertEqual(len(black), sum(len(outline) for outline in outlines))
                for outline in outlines:
                    self.assert_lies(outline, near, (0, 0), sheet["id"])
                dashed += sum(path["is_dashed"] for path in paths)
                for path in paths:
                    self.assertFalse(path["is_dashed"] and path["is_black"])
        self.assertGreater(dashed, 10)

    @unittest.skipUnless(shutil.which("qpdf") and shutil.which("pdftocairo"), "skipped: qpdf or poppler is not there")
    def test_check_squares_are_true_on_paper_and_on_no_piece(self):
        from PIL import Image  # Debian's python3-pil

        seen = 0
        for paper, pdf, sheets in self.printed():
            pages = list(self.pages(pdf, paper))
            first = len(pages) - len(sheets)
            without = 0
            for number, paths in pages:
                squares = [box for path in paths for box in [square_box(path)] if box]
                sides = sorted(round(box[2] - box[0], 1) for box in squares)
                self.assertIn(sides, ([], [25.4, 50.0]))
                without += not squares
                if number > first:
                    sheet = sheets[number - first - 1]
                    for piece in self.kits["sheet"].pieces[sheet["id"]]:
                        self.assert_apart(self.kits["sheet"].outline(piece, sheet), squares, (sheet["id"], piece["id"]))
                if not squares or seen >= 6:
                    continue
                left, top = (round((min(box[k] for box in squares) - 2) * PX_A_MM) for k in (0, 1))
                side = round(54 * PX_A_MM)
                png = self.folder / "page"
                subprocess.run(["pdftocairo", "-png", "-gray", "-r", "600", "-f", str(number), "-l", str(number), "-x", str(left), "-y", str(top),
                                "-W", str(side), "-H", str(side), "-singlefile", str(pdf), str(png)], check=True)
                image = Image.open(png.with_suffix(".png"))
                for box in squares:
                    seen += 1
                    wanted = 25.4 if box[2] - box[0] < 30 else 50.0
                    on_image = [v - (left, top, left, top)[k] / PX_A_MM for k, v in enumerate(box)]
                    for measured in measured_sides(image, on_image):
                        self.assertAlmostEqual(measured, wanted, delta=0.1)
            self.assertEqual(first == 1, without > 0, "a page of its own when a sheet has no room, and only then")
        self.assertGreaterEqual(seen, 6)

    def assert_apart(self, outline, squares, what):
        for x0, y0, x1, y1 in squares:
            for ring in outline:
                for x, y in ring:
                    self.assertFalse(x0 < x < x1 and y0 < y < y1, what)
            for x, y in ((x0, y0), (x1, y0), (x0, y1), (x1, y1)):
                crossings = sum((a[1] > y) != (b[1] > y) and x < a[0] + (y - a[1]) * (b[0] - a[0]) / (b[1] - a[1])
                                for ring in outline for a, b in zip(ring, ring[1:] + ring[:1]))
                self.assertEqual(crossings % 2, 0, what)


def stroked_paths(stream, height_mm):
    """Stroked paths of a page's content in mm (ISO 32000-1, 8.5: m l c h re S, with cm, q and Q; text is left out), y down from the page's top."""
    stream = re.sub(r"\((?:\\.|[^()\\])*\)|<<.*?>>|<[0-9a-fA-F]*>|/\S+", " ", stream, flags=re.S)
    stream = re.sub(r"\bBT\b.*?\bET\b", " ", stream, flags=re.S)
    found, rings, numbers, kept = [], [], [], []
    state = {"matrix": (1, 0, 0, 1, 0, 0), "ink": (0, 0, 0), "dashed": False}

    def at(x, y):
        a, b, c, d, e, f = state["matrix"]
        return ((a * x + c * y + e) * MM_A_PT, height_mm - (b * x + d * y + f) * MM_A_PT)

    for word in re.findall(r"\[[^\]]*\]|[-+.0-9]+|[A-Za-z*'\"]+", stream):
        if word[0] in "+-.0123456789":
            numbers.append(float(word))
            continue
        if word[0] == "[":
            state["dashed"] = bool(re.search(r"\d", word))
            continue
        if word == "q":
            kept.append(dict(state))
        elif word == "Q":
            state = kept.pop()
        elif word == "cm":
            a, b, c, d, e, f = numbers[-6:]
            A, B, C, D, E, F = state["matrix"]
            state["matrix"] = (a * A + b * C, a * B + b * D, c * A + d * C, c * B + d * D, e * A + f * C + E, e * B + f * D + F)
        elif word == "RG":
            state["ink"] = tuple(numbers[-3:])
        elif word == "m":
            rings.append([tuple(numbers[-2:])])
        elif word == "l":
            rings[-1].append(tuple(numbers[-2:]))
        elif word == "c":
            p = [rings[-1][-1], tuple(numbers[-6:-4]), tuple(numbers[-4:-2]), tuple(numbers[-2:])]
            for k in range(1, 25):
                t, u = k / 24, 1 - k / 24
                weights = (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
                rings[-1].append(tuple(sum(w * q[n] for w, q in zip(weights, p)) for n in (0, 1)))
        elif word == "re":
            x, y, w, h = numbers[-4:]
            rings.append([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
        elif word in ("S", "s", "f", "f*", "n", "B", "B*"):
            if word in ("S", "s"):
                found.append({"rings": [[at(x, y) for x, y in ring] for ring in rings if len(ring) > 1],
                              "is_black": max(state["ink"]) < 0.2, "is_dashed": state["dashed"]})
            rings = []
        numbers = []
    return found


def square_box(path):
    """The box of a path that is a square of 20 to 60 mm; its corners may be written once or twice."""
    if len(path["rings"]) != 1 or not 4 <= len(path["rings"][0]) <= 6 or path["is_black"]:
        return None
    x0, y0, x1, y1 = kit_reader.box(path["rings"])
    corners = all(min(abs(x - x0), abs(x - x1)) < 0.01 and min(abs(y - y0), abs(y - y1)) < 0.01 for x, y in path["rings"][0])
    return (x0, y0, x1, y1) if corners and 20 < x1 - x0 < 60 and abs((x1 - x0) - (y1 - y0)) < 0.2 else None


def measured_sides(image, box):
    """Width and height of a square on the picture, from the middles of its dark edges, at several places of each side."""
    x0, y0, x1, y1 = box

    def middle(across, at, expected):
        """The dark run nearest to where the edge should be, along x or y."""
        weight = total = 0.0
        for px in range(round((expected - 0.4) * PX_A_MM), round((expected + 0.4) * PX_A_MM) + 1):
            dark = 255 - image.getpixel((px, round(at * PX_A_MM)) if across else (round(at * PX_A_MM), px))
            weight += dark
            total += dark * (px + 0.5)
        return total / weight / PX_A_MM

    for share in (0.04, 0.5, 0.96):
        y, x = y0 + share * (y1 - y0), x0 + share * (x1 - x0)
        yield middle(True, y, x1) - middle(True, y, x0)
        yield middle(False, x, y1) - middle(False, x, y0)


if __name__ == "__main__":
    main()

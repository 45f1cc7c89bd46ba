"""A whole kit as others see it: an importer that drops page, units and colours; librsvg; Chromium; the same bytes twice."""

import re
import shutil
import subprocess
import unittest
from pathlib import Path

import kit_reader
from support import ROOT, SHARED, ProgramTest, main

DEMO = ROOT / "demo"


def demo_picture():
    return sorted(DEMO.glob("*.png"))[0]


class WholeKit(ProgramTest):
    def build(self, *more, height="32in"):
        result = self.run_program("build", str(demo_picture()), "--height", height, "--paper", "letter", "-o", "kit", "--force", *more)
        self.assertEqual(result.returncode, 0, result.stderr)
        return self.folder / "kit"

    def test_an_importer_that_keeps_only_the_drawn_box_cuts_every_piece_within_a_tenth(self):
        """Page, units and colours are dropped; the drawn box is scaled to the height in the file's name."""
        kit_folder = self.build()
        kit = kit_reader.read_kit(kit_folder)
        pieces = {}
        for piece in kit["pieces"]:
            pieces.setdefault(piece["sheet"], []).append(piece)
        for sheet in kit["sheets"]:
            root, groups = kit_reader.sheet_paths(kit_folder / sheet["file"])
            rings = [ring for path in groups["cut"] for ring in kit_reader.path_rings(path)]
            x0, y0, x1, y1 = kit_reader.box(rings)
            height_in = float(re.search(r"x([0-9.]+)in\.svg$", sheet["file"]).group(1))
            scale = height_in * 25.4 / (y1 - y0)
            imported = [[((x - x0) * scale, (y - y0) * scale) for x, y in ring] for ring in rings]
            left, top = sheet["box_mm"][:2]
            self.assertEqual(len(imported), 2 + sum(len(kit_reader.path_rings(p["outline"])) for p in pieces[sheet["id"]]))
            points = {}
            for ring in imported:
                for x, y in ring:
                    points.setdefault((round(x), round(y)), []).append((x, y))
            for piece in pieces[sheet["id"]]:
                for ring in kit_reader.transformed(kit_reader.path_rings(piece["outline"]), piece["to_sheet"]):
                    for x, y in ring[:: max(1, len(ring) // 40)]:
                        u, v = x - left, y - top
                        near = [q for i in (-1, 0, 1) for j in (-1, 0, 1) for q in points.get((round(u) + i, round(v) + j), [])]
                        self.assertTrue(any(abs(q[0] - u) < 0.1 and abs(q[1] - v) < 0.1 for q in near), (piece["id"], sheet["id"], u, v))

    def test_a_sheet_has_three_objects_at_most_and_its_true_size(self):
        kit_folder = self.build()
        kit = kit_reader.read_kit(kit_folder)
        papers = {paper["id"]: paper for paper in kit["papers"]}
        for sheet in kit["sheets"]:
            root, groups = kit_reader.sheet_paths(kit_folder / sheet["file"])
            width, height = papers[sheet["paper"]]["size_mm"]
            self.assertEqual(float(root.get("width").removesuffix("mm")), width)
            self.assertEqual(float(root.get("height").removesuffix("mm")), height)
            self.assertEqual([float(n) for n in root.get("viewBox").split()], [0, 0, width, height])
            self.assertLessEqual(set(groups), {"cut", "score", "pen"})
            self.assertTrue(all(len(paths) == 1 for paths in groups.values()))

    def render_and_find(self, render):
        """The picture of a sheet at 4 px a millimetre shows the paper's colour inside pieces, and nothing outside."""
        from PIL import Image  # Debian's python3-pil

        kit_folder = self.build(height="12in")
        kit = kit_reader.read_kit(kit_folder)
        sheet = kit["sheets"][0]
        picture = self.folder / "sheet.png"
        render(kit_folder / sheet["file"], picture)
        image = Image.open(picture).convert("RGB")
        scale = 4
        rings = [ring for piece in kit["pieces"] if piece["sheet"] == sheet["id"]
                 for ring in kit_reader.transformed(kit_reader.path_rings(piece["outline"]), piece["to_sheet"])]
        width, height = [round(n * scale) for n in kit_reader_size(kit, sheet)]
        self.assertAlmostEqual(image.width, width, delta=1)
        self.assertAlmostEqual(image.height, height, delta=1)
        colour = next(paper["colour"] for paper in kit["papers"] if paper["id"] == sheet["paper"])
        paper = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
        wrong = checked = on_lines = 0
        for py in range(5, height - 5, 11):
            for px in range(5, width - 5, 11):
                x, y = (px + 0.5) / scale, (py + 0.5) / scale
                if kit_reader.distance_to_rings((x, y), rings) < 0.6 or in_corner(sheet["box_mm"], x, y):
                    continue
                inside = sum(crosses(ring, x, y) for ring in rings) % 2 == 1
                shown = image.getpixel((px, py))
                is_paper, is_bare = (max(abs(a - b) for a, b in zip(shown, c)) < 12 for c in (paper, (255, 255, 255)))
                checked += 1
                on_lines += not is_paper and not is_bare  # a scored name or line runs here
                wrong += is_bare if inside else is_paper
        self.assertGreater(checked, 3000)
        self.assertLess(on_lines, checked / 20)
        self.assertEqual(wrong, 0)

    @unittest.skipUnless(shutil.which("rsvg-convert"), "skipped: rsvg-convert is not there")
    def test_librsvg_shows_the_pieces_where_the_kit_says(self):
        self.render_and_find(lambda svg, png: subprocess.run(
            ["rsvg-convert", "-d", "101.6", "-p", "101.6", "-b", "white", "-o", str(png), str(svg)], check=True))

    @unittest.skipUnless(shutil.which("chromium"), "skipped: chromium is not there")
    def test_chromium_shows_the_pieces_where_the_kit_says_and_an_inch_is_an_inch(self):
        def render(svg, png):
            page = self.folder / "page.html"
            kit = kit_reader.read_kit(self.folder / "kit")
            width, height = kit_reader_size(kit, kit["sheets"][0])
            # CSS: 1 in = 96 px. At a device scale of 101.6 / 96 a millimetre is 4 px.
            page.write_text(f'<body style="margin:0;background:white"><img src="{svg.as_uri()}" style="display:block">')
            subprocess.run(["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                            "--disable-background-networking", "--disable-component-update", "--disable-sync",
                            f"--user-data-dir={self.folder / 'profile'}", "--hide-scrollbars",
                            f"--force-device-scale-factor={101.6 / 96}",
                            f"--window-size={round(width * 96 / 25.4)},{round(height * 96 / 25.4)}",
                            f"--screenshot={png}", page.as_uri()], check=True, capture_output=True, timeout=120)

        self.render_and_find(render)

    def test_the_same_input_gives_the_same_bytes_on_one_thread_and_on_two(self):
        first = self.build("--threads", "1")
        self.folder.joinpath("kit").rename(self.folder / "first")
        for threads in ("1", "2"):
            again = self.build("--threads", threads)
            self.assertEqual(contents(self.folder / "first"), contents(again))

    def test_the_key_plan_names_every_piece_and_lines_of_a_margin_do_not_cross(self):
        kit_folder = self.build()
        plan = (kit_folder / "key-plan.svg").read_text()
        for piece in kit_reader.read_kit(kit_folder)["pieces"]:
            if piece["kind"] == "strip": # the guide shows them, from behind
                continue
            self.assertEqual(plan.count(f">{piece['id']}</text>"), 1, piece["id"])
        number = r"(-?[0-9.]+)"
        line = f'stroke-width="0.2" d="M{number} {number} L{number} {number} L{number} {number}"'
        margins = {True: [], False: []}
        for words in re.findall(line, plan):
            from_x, _, *knee_and_spot = map(float, words)
            margins[from_x < knee_and_spot[0]].append(knee_and_spot)
        self.assertGreater(len(margins[True]) + len(margins[False]), 10)
        for lines in margins.values():
            for i, a in enumerate(lines):
                for b in lines[:i]:
                    self.assertFalse(lines_cross(a, b), (a, b))

    def test_numbers_in_the_waste_are_told_apart(self):
        kit = kit_reader.read_kit(self.build())
        self.assertGreater(sum(len(sheet["notes"]) for sheet in kit["sheets"]), 10)
        for sheet in kit["sheets"]:
            boxes = []
            for note in sheet["notes"]:
                numbers = [float(n) for n in re.findall(r"-?[0-9.]+", note["path"])]
                boxes.append((min(numbers[::2]), min(numbers[1::2]), max(numbers[::2]), max(numbers[1::2])))
            for i, a in enumerate(boxes):
                for b in boxes[:i]:
                    apart = max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3])
                    self.assertGreater(apart, 3.0, (sheet["id"], a, b))

    def test_the_schema_accepts_the_kit(self):
        try:
            import jsonschema
        except ImportError:
            self.skipTest("skipped: python3-jsonschema is not there")
        import json

        schema = json.loads((ROOT / "docs" / "kit.schema.json").read_text())
        jsonschema.Draft202012Validator.check_schema(schema)
        jsonschema.validate(kit_reader.read_kit(self.build()), schema)

    def test_the_finished_height_is_what_was_asked(self):
        kit = kit_reader.read_kit(self.build())
        self.assertAlmostEqual(kit["finished_mm"]["height"], 32 * 25.4, delta=0.001)
        base = next(layer for layer in kit["layers"] if layer["base"])
        x0, y0, x1, y1 = kit_reader.box(kit_reader.path_rings(base["outline"]))
        self.assertAlmostEqual(y1 - y0, 32 * 25.4, delta=0.005)
        self.assertAlmostEqual(x1 - x0, kit["finished_mm"]["width"], delta=0.005)


def lines_cross(a, b):
    def side(line, x, y):
        return (line[2] - line[0]) * (y - line[1]) - (line[3] - line[1]) * (x - line[0])

    return side(a, *b[:2]) * side(a, *b[2:]) < -1e-3 and side(b, *a[:2]) * side(b, *a[2:]) < -1e-3


def contents(folder):
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(Path(folder).rglob("*")) if path.is_file()}


def kit_reader_size(kit, sheet):
    return next(paper["size_mm"] for paper in kit["papers"] if paper["id"] == sheet["paper"])


def in_corner(box_mm, x, y):
    left, top, width, height = box_mm
    return (x - left) + (y - top) < 4 or (left + width - x) + (top + height - y) < 4


def crosses(ring, x, y):
    """Even-odd by the ray to the right."""
    inside = False
    for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1]):
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            inside = not inside
    return inside


if __name__ == "__main__":
    main()

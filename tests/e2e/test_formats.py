"""Sheets in other formats, read by an outside library (DXF) and by a reader made from the published command set (HP-GL)."""

import math
import re

import kit_reader
from support import ProgramTest, main, target_picture

try:
    import ezdxf
    from ezdxf import path as ezpath
except ImportError:
    ezdxf = None

LINES = ("cut", "score", "pen")


def wanted_lines(kit, sheet):
    """What kit.json puts on a sheet: rings and strokes by line kind, in sheet millimetres, corner marks too."""
    lines = {line: [] for line in LINES}
    for piece in kit["pieces"]:
        if piece["sheet"] != sheet["id"]:
            continue
        lines["cut"] += kit_reader.transformed(kit_reader.path_rings(piece["outline"]), piece["to_sheet"])
        for mark in piece["marks"]:
            lines[mark["line"]] += kit_reader.transformed(kit_reader.path_rings(mark["path"]), piece["to_sheet"])
    for note in sheet["notes"]:
        lines[note["line"]] += kit_reader.path_rings(note["path"])
    x, y, w, h = sheet["box_mm"]
    lines["cut"] += [[(x, y), (x + 3, y), (x, y + 3), (x, y)], [(x + w, y + h), (x + w - 3, y + h), (x + w, y + h - 3), (x + w, y + h)]]
    return lines


def length(rings):
    return sum(math.dist(a, b) for ring in rings for a, b in zip(ring, ring[1:]))


def read_plotter(text):
    """HP-GL: IN, PA, SP, PU, PD; runs of points by pen, in plotter units of 0.025 mm."""
    runs, pen, here = {1: [], 2: [], 3: []}, 0, None
    for command in filter(None, (c.strip() for c in text.replace("\n", "").split(";"))):
        word, rest = command[:2], command[2:]
        numbers = [int(n) for n in rest.split(",")] if rest else []
        if word in ("IN", "PA") and not rest:
            continue
        if word == "SP":
            pen = numbers[0]
        elif word == "PU":
            here = tuple(numbers) if numbers else None
        elif word == "PD":
            points = list(zip(numbers[::2], numbers[1::2]))
            if here is not None:
                runs[pen].append([here])
                here = None
            runs[pen][-1] += points
        else:
            raise ValueError(command)
    if pen != 0:
        raise ValueError("no SP0 at the end")
    return runs


class Formats(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("target.png", target_picture())

    def build(self, *more, code=0):
        result = self.run_program("build", "target.png", "--height", "14in", "--paper", "letter", "--cutter", "12x12,score,pen", "--marks", "score,pen",
                                  "-o", "kit", "--force", *more)
        self.assertEqual(result.returncode, code, result.stderr)
        return kit_reader.read_kit(self.folder / "kit") if code == 0 else result.stderr.decode()

    def copy_of(self, sheet, extension):
        name, = (c for c in sheet["copies"] if c.endswith(extension))
        return self.folder / "kit" / name

    def prove(self, code):
        result = self.run_program("prove", "kit")
        self.assertEqual(result.returncode, code, result.stderr)
        return result.stdout.decode()

    def assert_same_lines(self, drawn, wanted, where):
        self.assertEqual(len(drawn), len(wanted), where)
        if not wanted:
            return
        for a, b in zip(kit_reader.box(drawn), kit_reader.box(wanted)):
            self.assertAlmostEqual(a, b, delta=0.1, msg=where)
        self.assertAlmostEqual(length(drawn), length(wanted), delta=0.1 * len(wanted) + 1e-4 * length(wanted), msg=where)
        near = kit_reader.NearPoints(wanted)
        for ring in drawn:
            for x, y in ring[::7]:
                self.assertTrue(near.has(x, y), (where, x, y))

    def test_without_a_word_there_are_no_copies(self):
        kit = self.build()
        self.assertFalse(any("copies" in sheet for sheet in kit["sheets"]))
        self.assertTrue(list((self.folder / "kit" / "sheets").glob("*.pdf")))

    def test_formats_say_what_is_written(self):
        self.build("--formats", "svg,dxf,hpgl")
        endings = {p.suffix for p in (self.folder / "kit" / "sheets").iterdir()}
        self.assertEqual(endings, {".svg", ".dxf", ".plt"})
        before = sorted(p.name for p in (self.folder / "kit" / "sheets").iterdir())
        self.build("--formats", "hpgl")
        after = sorted(p.name for p in (self.folder / "kit" / "sheets").iterdir())
        self.assertEqual(after, [n for n in before if not n.endswith(".dxf")])  # an older kit's files do not stay

    def test_dxf_is_sound_and_draws_the_sheet(self):
        if ezdxf is None:
            self.skipTest("python3-ezdxf is not there")
        for form in ("sheet", "layer", "line"):
            kit = self.build("--formats", "dxf", "--for", form)
            for sheet in kit["sheets"]:
                drawing = ezdxf.readfile(self.copy_of(sheet, ".dxf"))
                audit = drawing.audit()
                self.assertEqual((audit.errors, audit.fixes), ([], []))
                self.assertEqual(drawing.dxfversion, "AC1009")
                paper, = (p for p in kit["papers"] if p["id"] == sheet["paper"])
                drawn = {line: [] for line in LINES}
                for entity in drawing.modelspace():
                    self.assertEqual(entity.dxftype(), "POLYLINE")
                    points = [(p.x, paper["size_mm"][1] - p.y) for p in ezpath.make_path(entity).flattening(0.005)]
                    drawn[entity.dxf.layer.lower()].append(points)
                for line, wanted in wanted_lines(kit, sheet).items():
                    self.assert_same_lines(drawn[line], wanted, f"{sheet['id']} {line} {form}")

    def test_plotter_file_draws_the_sheet(self):
        kit = self.build("--formats", "hpgl")
        for sheet in kit["sheets"]:
            runs = read_plotter(self.copy_of(sheet, ".plt").read_text())
            paper, = (p for p in kit["papers"] if p["id"] == sheet["paper"])
            wanted = wanted_lines(kit, sheet)
            for pen, line in ((1, "cut"), (2, "score"), (3, "pen")):
                drawn = [[(x / 40, paper["size_mm"][1] - y / 40) for x, y in run] for run in runs[pen]]
                self.assert_same_lines(drawn, wanted[line], f"{sheet['id']} {line}")

    def test_overcut_goes_past_the_start_and_a_bare_knife_is_led(self):
        plain = self.build("--formats", "hpgl")
        runs = {s["id"]: read_plotter(self.copy_of(s, ".plt").read_text()) for s in plain["sheets"]}
        over = self.build("--formats", "hpgl", "--overcut", "1mm")
        self.assertEqual(over["knife_mm"], {"overcut": 1, "blade_offset": 0})
        for sheet in over["sheets"]:
            longer = read_plotter(self.copy_of(sheet, ".plt").read_text())
            self.assertEqual(longer[2], runs[sheet["id"]][2])  # lines that are no cuts stay as they are
            for a, b in zip(runs[sheet["id"]][1], longer[1]):
                self.assertAlmostEqual(length([b]) - length([a]), 40, delta=2)
        led = self.build("--formats", "hpgl", "--blade-offset", "0.5mm", "--overcut", "1mm")
        self.assertEqual(led["knife_mm"], {"overcut": 1, "blade_offset": 0.5})
        self.assertIn("copies", led["sheets"][0])
        self.prove(0)

    def test_copies_that_draw_something_else_fail_the_proof(self):
        kit = self.build("--formats", "dxf,hpgl")
        sheet = kit["sheets"][0]
        dxf, plt = self.copy_of(sheet, ".dxf"), self.copy_of(sheet, ".plt")
        whole, plot = dxf.read_text(), plt.read_text()

        def first_x_moved(by):
            at = whole.index("VERTEX", whole.index("CUT", whole.index("ENTITIES")))
            start = whole.index(" 10", at) + 4
            end = whole.index("\n", start)
            return whole[:start] + f"{float(whole[start:end]) + by:.4f}" + whole[end:]

        polyline = re.search(r"  0\s+POLYLINE.*?SEQEND\s+8\s+\w+\s+", whole, re.S).group(0)
        spoiled = {
            "a corner moved": (dxf, first_x_moved(0.2), "copy-wrong"),
            "a line lost": (dxf, whole.replace(polyline, "", 1), "copy-wrong"),
            "a line twice": (dxf, whole.replace(polyline, polyline * 2, 1), "copy-wrong"),
            "inches": (dxf, re.sub(r"(\$INSUNITS\s+70\s+)4", r"\g<1>1", whole), "bad-file"),
            "another layer": (dxf, whole.replace("\nSCORE", "\nFOLD"), "bad-file"),
            "something else": (dxf, whole.replace("POLYLINE", "CIRCLE", 1), "bad-file"),
            "cut short": (dxf, whole[: len(whole) // 2], "bad-file"),
            "no text": (dxf, "\x00\x01\x02", "bad-file"),
            "a stroke moved": (plt, re.sub(r"PD(\d+),", lambda m: f"PD{int(m[1]) + 20},", plot, count=1), "copy-wrong"),
            "a stroke lost": (plt, re.sub(r"PU\d+,\d+;\n(PD[\d,]+;\n)+", "", plot, count=1), "copy-wrong"),
            "pens exchanged": (plt, plot.replace("SP2", "SP3").replace("SP1", "SP2"), "copy-wrong"),
            "a command of others": (plt, plot.replace("SP1;", "SP1;VS5;"), "bad-file"),
            "no end": (plt, plot.replace("SP0;", ""), "bad-file"),
        }
        for what, (file, text, kind) in spoiled.items():
            good = file.read_text()
            self.assertNotEqual(text, good, what)
            file.write_bytes(text.encode())
            self.assertIn(kind, self.prove_kinds(), what)
            file.write_bytes(good.replace("\n", "\r\n").encode() if file is dxf else good.encode())
        self.prove(0)
        dxf.unlink()
        self.assertIn("file-missing", self.prove_kinds())

    def prove_kinds(self):
        import json
        result = self.run_program("prove", "kit", "--json")
        self.assertEqual(result.returncode, 4, result.stderr)
        return {fault["kind"] for fault in json.loads(result.stdout)["faults"]}

    def test_bad_words_are_told(self):
        for words in (("--formats", "png"), ("--formats", ""), ("--formats", "svg,,pdf"), ("--overcut", "9mm"), ("--overcut", "-1mm"),
                      ("--blade-offset", "3mm"), ("--blade-offset", "much")):
            self.assertGreater(len(self.build(*words, code=2)), 20, words)

    def test_the_same_bytes_twice_and_with_threads(self):
        self.build("--formats", "dxf,hpgl", "--blade-offset", "0.25mm", "--threads", "1")
        first = {p.name: p.read_bytes() for p in (self.folder / "kit" / "sheets").iterdir()}
        self.build("--formats", "dxf,hpgl", "--blade-offset", "0.25mm", "--threads", "2")
        self.assertEqual({p.name: p.read_bytes() for p in (self.folder / "kit" / "sheets").iterdir()}, first)


if __name__ == "__main__":
    main()

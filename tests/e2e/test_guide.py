"""The guide of the demo as others see it: qpdf, pdffonts, pdftotext; the same bytes twice; every piece where it is looked for."""

import re
import shutil
import subprocess
import tempfile
import unittest
from pathlib import Path

import kit_reader
from support import PROGRAM, ROOT, ProgramTest, main

PIECE = re.compile(r"\b[A-Z]{1,2}[0-9]+\b")
MOST_BYTES = 5_000_000


def needs(program):
    return unittest.skipUnless(shutil.which(program), f"skipped: {program} is not there")


def build(folder):
    picture = sorted((ROOT / "demo").glob("*.png"))[0]
    words = ["build", str(picture), "--height", "5ft", "--paper", "A=11x24", "--paper", "letter", "-o", "kit"]
    subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, timeout=300, check=True)
    return Path(folder) / "kit"


class Guide(ProgramTest):
    @classmethod
    def setUpClass(cls):
        cls.shared = tempfile.mkdtemp(prefix="papermason-test-")
        cls.addClassCleanup(shutil.rmtree, cls.shared, ignore_errors=True)
        cls.kit = build(cls.shared)

    def outside(self, *words):
        return subprocess.run(words, capture_output=True, timeout=120, check=False)

    def pages(self, kit_folder):
        text = self.outside("pdftotext", str(kit_folder / "guide.pdf"), "-").stdout.decode()
        return [page for page in text.split("\f") if page.strip()]

    def test_it_is_small_and_the_same_bytes_twice(self):
        first = (self.kit / "guide.pdf").read_bytes()
        self.assertLess(len(first), MOST_BYTES)
        self.assertEqual(first, (build(self.folder) / "guide.pdf").read_bytes())

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
        kit_folder = self.kit
        on_sheets, on_maps, in_steps = [], [], []
        for page in self.pages(kit_folder):
            heading = page.splitlines()[0]
            if heading.startswith("Sheet map"):
                on_sheets += PIECE.findall(page)
            elif heading.startswith("Layer "):
                is_map = "Seen from the front." in page or "Mirrored:" in page
                before, steps, after = page.partition("\nSteps\n")
                if is_map:
                    on_maps += PIECE.findall(before)
                    in_steps += PIECE.findall(after)
                else:
                    in_steps += PIECE.findall(page)
        for piece in kit_reader.read_kit(kit_folder)["pieces"]:
            self.assertGreaterEqual(on_sheets.count(piece["id"]), 2, f"{piece['id']}: on its sheet and in the list below")
            self.assertIn(piece["id"], on_maps)
            self.assertIn(piece["id"], in_steps)

    @needs("pdftotext")
    def test_every_seam_is_a_step_once_and_every_sheet_is_drawn_once(self):
        kit_folder = self.kit
        kit = kit_reader.read_kit(kit_folder)
        pages = self.pages(kit_folder)
        whole = "\n".join(pages)
        joins = 0
        for words in re.findall(r"Join ([A-Z]+[0-9]+ to .*?) of\s+seam\.", whole, re.S):
            joins += len(re.findall(r"to\s+[A-Z]+[0-9]+:", words))
        pairs = {tuple(sorted(seam["pieces"])) for seam in kit["seams"]}
        self.assertEqual(joins, len(pairs))
        titles = re.findall(r"\u2610 (.+ [0-9]+ of [0-9]+)\n", whole)
        self.assertEqual(len(titles), len(kit["sheets"]))
        self.assertEqual(len(set(titles)), len(titles))

    @needs("pdftotext")
    def test_no_page_is_empty(self):
        pages = self.pages(self.kit)
        self.assertGreater(len(pages), 10)
        for page in pages:
            self.assertGreater(len(page.split()), 12, page)


if __name__ == "__main__":
    main()

"""Pieces of the base that end up covered come from any card, and nothing else does."""

import json
import unittest

import kit_reader
from support import PICTURES, ProgramTest, main

PICTURE = PICTURES / "castle" / "castle-2048-alpha.png"


class HiddenFrom(ProgramTest):
    @unittest.skipUnless(PICTURE.exists(), "the shared pictures are not here")
    def test_covered_pieces_come_from_any_card(self):
        result = self.run_program("build", str(PICTURE), "--height", "5ft", "--paper", "letter", "--hidden-from", "scrap", "-o", "kit")
        self.assertEqual(result.returncode, 0, result.stderr)
        kit = kit_reader.read_kit(self.folder / "kit")
        papers = {paper["id"]: paper for paper in kit["papers"]}
        sheets = {sheet["id"]: sheet for sheet in kit["sheets"]}
        any_card = [paper for paper in kit["papers"] if paper.get("any")]
        self.assertEqual(len(any_card), 1)
        self.assertEqual(any_card[0]["size_mm"], papers[kit["layers"][0]["papers"][0]]["size_mm"])
        hidden = [piece for piece in kit["pieces"] if papers[sheets[piece["sheet"]]["paper"]].get("any")]
        self.assertTrue(hidden)
        self.assertEqual({piece["layer"] for piece in hidden}, {"A"})
        proof = (self.folder / "kit" / "proof.txt").read_text()
        self.assertIn(f"Hidden   {len(hidden)} piece", proof)
        # A piece that looks out, said to come from any card, is named.
        (self.folder / "kit" / "proof.txt").unlink()
        for paper in kit["papers"]:
            if paper["id"] == kit["layers"][0]["papers"][0]:
                paper["any"] = True
        (self.folder / "kit" / "kit.json").write_text(json.dumps(kit))
        result = self.run_program("prove", "kit")
        self.assertEqual(result.returncode, 4)
        self.assertIn(b"hidden-piece-visible", result.stdout + result.stderr)

    def test_other_words_are_refused(self):
        result = self.run_program("build", str(PICTURE), "--height", "2ft", "--paper", "letter", "--hidden-from", "bin")
        self.assertEqual(result.returncode, 2)
        self.assertIn(b"--hidden-from knows scrap and own, not 'bin'", result.stderr)


if __name__ == "__main__":
    main()

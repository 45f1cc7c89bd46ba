"""The shared pictures become proven kits, each with no setting but height and paper.

PM_ALL=1 takes both variants at both sizes; otherwise one run a picture at 32 in on letter."""

import os
import unittest

import kit_reader
from support import PICTURES, ProgramTest, main

ALL = os.environ.get("PM_ALL") == "1"
RUNS = [("32in", "letter"), ("54in", "12x12")] if ALL else [("32in", "letter")]
VARIANTS = ["white", "alpha"] if ALL else ["alpha"]


@unittest.skipUnless(PICTURES.is_dir(), f"skipped: the shared pictures are not there ({PICTURES})")
class SharedPictures(ProgramTest):
    def test_each_picture_becomes_a_proven_kit(self):
        folders = sorted(folder for folder in PICTURES.iterdir() if folder.is_dir())
        self.assertTrue(folders)
        for folder in folders:
            for variant in VARIANTS:
                for height, paper in RUNS:
                    with self.subTest(picture=folder.name, variant=variant, height=height, paper=paper):
                        picture = folder / f"{folder.name}-2048-{variant}.png"
                        result = self.run_program("build", str(picture), "--height", height, "--paper", paper, "-o", "kit", "--force")
                        self.assertEqual(result.returncode, 0, result.stderr)
                        proof = self.run_program("prove", "kit")
                        self.assertEqual(proof.returncode, 0, proof.stdout)
                        kit = kit_reader.read_kit(self.folder / "kit")
                        self.assertGreater(kit["totals"]["pieces"], 0)


if __name__ == "__main__":
    main()

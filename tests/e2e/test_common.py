"""--paper letter+a4: one kit that is cut from either."""

import kit_reader
from support import ProgramTest, main, target_picture


class Common(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("target.png", target_picture())

    def test_a_kit_on_the_common_ground_lies_on_both(self):
        result = self.run_program("build", "target.png", "--height", "14in", "--paper", "letter+a4", "-o", "kit")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertEqual(self.run_program("prove", "kit").returncode, 0)
        kit = kit_reader.read_kit(self.folder / "kit")
        for paper in kit["papers"]:
            self.assertEqual(paper["size_mm"], [210, 279.4])
            x, y, w, h = paper["usable_mm"]
            for size in ((215.9, 279.4), (210, 297)):
                self.assertLessEqual(x + w, size[0] - 6.349)
                self.assertLessEqual(y + h, size[1] - 6.349)
        text = (self.folder / "kit" / "READ-ME-FIRST.txt").read_text(encoding="ascii")
        self.assertIn("Either paper works for letter+a4:\n", text)
        self.assertLessEqual(max(map(len, text.splitlines())), 80)
        names = [path.name for path in (self.folder / "kit" / "sheets").iterdir()]
        self.assertEqual([name for name in names if name.startswith("00-test")], ["00-test-letter+a4-7.768x10.5in.svg"])
        again = self.run_program("build", "target.png", "--height", "14in", "--paper", "letter+a4", "-o", "kit", "--force")
        self.assertEqual(again.returncode, 0, again.stderr)  # its names are known as the kit's own

    def test_plain_papers_say_nothing_of_it(self):
        self.run_program("build", "target.png", "--height", "14in", "--paper", "letter", "--paper", "B=a4", "-o", "kit", check=True)
        self.assertNotIn("Either paper", (self.folder / "kit" / "READ-ME-FIRST.txt").read_text(encoding="ascii"))


if __name__ == "__main__":
    main()

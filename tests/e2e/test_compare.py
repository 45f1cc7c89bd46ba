"""The same job on several papers, as a table."""

import json
import os

import kit_reader
from support import ProgramTest, main, target_picture


class Compare(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("target.png", target_picture())

    def compare(self, *more, code=0):
        result = self.run_program("compare", "target.png", "--height", "14in", *more)
        self.assertEqual(result.returncode, code, result.stderr)
        return (result.stdout if code == 0 else result.stderr).decode()

    def rows(self, *more):
        return json.loads(self.compare("--json", *more))

    def test_each_row_is_what_a_build_on_that_paper_comes_to(self):
        rows = self.rows("--papers", "letter,25 for 8.99,5x7")
        self.assertEqual([row["paper"] for row in rows], ["letter,25 for 8.99", "5x7"])
        for row in rows:
            self.run_program("build", "target.png", "--height", "14in", "--paper", row["paper"], "-o", "kit", "--force", check=True)
            totals = kit_reader.read_kit(self.folder / "kit")["totals"]
            for key, value in totals.items():
                self.assertAlmostEqual(row["totals"][key] or 0, value or 0, delta=0.006, msg=key)

    def test_the_table_marks_the_best_and_writes_nothing(self):
        text = self.compare("--papers", "letter,5x7")
        letter, small = (line for line in text.splitlines() if line.startswith(("letter", "5x7")))
        self.assertIn("*", letter)
        self.assertLess(letter.split()[1].rstrip("*"), small.split()[1])
        self.assertEqual(self.names(), ["target.png"])

    def test_a_paper_that_cannot_be_used_is_told_in_its_row(self):
        rows = self.rows("--papers", "letter,1x1,a3", "--cutter", "12x12")
        self.assertIsNotNone(rows[0]["totals"])
        for row in rows[1:]:
            self.assertIsNone(row["totals"])
            self.assertGreater(len(row["error"]), 20)
        self.assertIn("none of these", self.compare("--papers", "1x1,a3", "--cutter", "12x12", code=1))

    def test_the_tallest_that_fits_keeps_its_limit(self):
        row, = self.rows("--papers", "letter", "--max-sheets", "6")
        height = row["tallest_mm"] / 25.4
        self.assertGreaterEqual(height, 14)

        def sheets(inches):
            other, = json.loads(self.run_program("compare", "target.png", "--height", f"{inches}in", "--papers", "letter", "--json").stdout)
            return other["totals"]["sheets"]

        self.assertLessEqual(sheets(height), 6)
        self.assertGreater(sheets(height * 1.3), 6)
        row, = self.rows("--papers", "letter", "--max-hours", "1")
        self.assertGreater(row["tallest_mm"], 0)

    def test_the_drawer_is_a_limit(self):
        os.environ["XDG_DATA_HOME"] = str(self.folder / "data")
        self.addCleanup(os.environ.pop, "XDG_DATA_HOME")
        self.assertIn("empty", self.compare("--papers", "letter", "--drawer", code=1))

        def put(*words):
            self.assertEqual(self.run_program("shelf", "add", "paper", *words).returncode, 0)

        put("letter", "--colour", "#1e32a0", "--count", "3")
        row, = self.rows("--papers", "letter", "--drawer")
        self.assertEqual(row["tallest_mm"], 0)  # no red at all
        put("11x8.5in", "--colour", "#c81e28", "--count", "1")  # the same size, named the other way round
        row, = self.rows("--papers", "letter", "--drawer")
        self.assertGreater(row["tallest_mm"], 100)
        self.assertLess(row["tallest_mm"], 25.4 * 40)

    def test_bad_words_are_told(self):
        for words in ((), ("--papers", ""), ("--papers", "leter"), ("--papers", "letter,grainy"), ("--papers", "letter,letter"), ("--papers", "letter", "--max-sheets", "0"),
                      ("--papers", "letter", "--max-hours", "long"), ("--papers", "letter", "--paper", "a4")):
            self.assertGreater(len(self.compare(*words, code=2)), 20, words)


if __name__ == "__main__":
    main()

"""Job files and the shelf from the command line."""

import json
import os
import shutil
import sqlite3

import kit_reader
from support import ROOT, ProgramTest, main

SAMPLE = ROOT / "tests" / "data" / "jobs" / "version-1.pmason"


class Jobs(ProgramTest):
    def setUp(self):
        super().setUp()
        self.job = self.folder / "kite.pmason"
        shutil.copy(SAMPLE, self.job)

    def build(self, *more, code=0):
        result = self.run_program("build", "kite.pmason", "-o", "kit", "--force", *more)
        self.assertEqual(result.returncode, code, result.stderr)
        return kit_reader.read_kit(self.folder / "kit") if code == 0 else result.stderr.decode()

    def test_a_job_builds_with_its_own_settings_and_edits(self):
        kit = self.build()
        self.assertAlmostEqual(kit["finished_mm"]["height"], 36 * 25.4, delta=0.01)
        self.assertEqual(kit["border_mm"], 6)
        self.assertNotIn("night", [layer["name"] for layer in kit["layers"]])  # that line is struck out
        self.assertTrue(self.run_program("prove", "kit").stdout)

    def test_what_is_typed_comes_after_what_the_job_says(self):
        kit = self.build("--height", "14in", "--paper", "a4")
        self.assertAlmostEqual(kit["finished_mm"]["height"], 14 * 25.4, delta=0.01)
        self.assertEqual({paper["size_mm"][0] for paper in kit["papers"]}, {210})

    def test_building_leaves_the_job_as_it_is(self):
        before = self.job.read_bytes()
        self.build()
        self.assertEqual(self.job.read_bytes(), before)
        self.assertEqual(sorted(p.name for p in self.folder.iterdir()), ["kit", "kite.pmason"])

    def test_a_damaged_or_newer_job_is_told_and_left(self):
        damaged = bytearray(SAMPLE.read_bytes())
        damaged[5000:9000] = b"\xa5" * 4000
        newer = bytearray(SAMPLE.read_bytes())
        newer[60:64] = (7).to_bytes(4, "big")
        for content, word in ((bytes(damaged), "damaged"), (bytes(newer), "newer"), (SAMPLE.read_bytes()[:9000], "damaged")):
            self.job.write_bytes(content)
            self.assertIn(word, self.build(code=3))
            self.assertEqual(self.job.read_bytes(), content)

    def test_a_line_that_is_none_is_told_with_its_number(self):
        with sqlite3.connect(self.job) as db:
            db.execute("INSERT INTO line(json) VALUES('{\"edit\": \"fold\"}')")
        db.close()
        self.assertIn("line 8", self.build(code=3))


class OnTheShelf(ProgramTest):
    def setUp(self):
        super().setUp()
        os.environ["XDG_DATA_HOME"] = str(self.folder / "data")
        self.addCleanup(os.environ.pop, "XDG_DATA_HOME")

    def shelf(self, *words, code=0):
        result = self.run_program("shelf", *words)
        self.assertEqual(result.returncode, code, result.stderr)
        return (result.stdout if code == 0 else result.stderr).decode()

    def listed(self):
        return json.loads(self.shelf("list", "--json"))

    def test_papers_and_cutters_are_put_there_counted_and_taken_away(self):
        self.assertIn("empty", self.shelf("list"))
        self.shelf("add", "paper", "letter,250gsm", "--name", "navy", "--colour", "#1d2f5a", "--count", "12")
        self.shelf("add", "cutter", "12x24,score")
        self.shelf("count", "1", "8")
        first, second = self.listed()
        self.assertEqual((first["number"], first["words"], first["colour"], first["count"]), (1, "letter,250gsm", "#1d2f5a", 8))
        self.assertEqual((second["kind"], second["count"]), ("cutter", None))
        self.shelf("remove", "1")
        self.assertEqual(len(self.listed()), 1)

    def test_a_table_goes_out_and_comes_in(self):
        self.shelf("add", "paper", "letter,25 for 8.99", "--name", 'navy, "deep"')
        table = self.shelf("export")
        self.write("shelf.csv", table.encode())
        self.shelf("remove", "1")
        self.assertIn("1 put", self.shelf("import", "shelf.csv"))
        self.assertEqual(self.shelf("export"), table)

    def test_bad_input_is_told_and_changes_nothing(self):
        self.shelf("add", "paper", "letter")
        before = self.listed()
        self.write("bad.csv", b"kind,words,name,colour,count\npaper,a4,,,1\npaper,leter,,,1\n")
        for code, words in ((2, ()), (2, ("frob",)), (2, ("add", "paper", "leter")), (2, ("add", "book", "letter")), (2, ("add", "paper")),
                            (2, ("add", "paper", "letter", "--count", "many")), (2, ("add", "paper", "letter", "--colour", "blue")), (1, ("remove", "9")),
                            (2, ("remove", "x")), (2, ("count", "1", "-3")), (3, ("import", "none.csv")), (2, ("import", "bad.csv")), (2, ("list", "more"))):
            self.assertGreater(len(self.shelf(*words, code=code)), 20, words)
        self.assertEqual(self.listed(), before)


if __name__ == "__main__":
    main()

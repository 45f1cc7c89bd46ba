"""Bad input gets one sentence that says what, where and what to do, the right exit code, and leaves nothing behind."""

import json
import os
import resource
import struct
import time
import unittest
import zlib

import kit_reader
from support import BLUE, CLEAR, RED, WHITE, ProgramTest, main, png_bytes, target_picture


class Judged(ProgramTest):
    """What every refusal must look like."""

    def expect(self, result, code, *words):
        message = result.stderr.decode("utf-8")  # an error is always valid UTF-8
        self.assertEqual(result.returncode, code, message)
        self.assertEqual(message.count("\n"), 1, message)
        self.assertTrue(message.startswith("papermason: "), message)
        self.assertEqual(result.stdout, b"")
        for word in words:
            self.assertIn(word, message)
        self.assertLess(len(message), 420)

    def build(self, picture, *more, height="6in", paper="letter"):
        return self.run_program("build", str(picture), "--height", height, "--paper", paper, *more)


class BadInput(Judged):
    def expect_picture(self, name, data, code, *words):
        path = self.write(name, data)
        before = self.names()
        for words_of_command in (("colours", str(path)), ("build", str(path), "--height", "6in", "--paper", "letter")):
            self.expect(self.run_program(*words_of_command), code, *words)
        self.assertEqual(self.names(), before)

    def test_a_missing_file(self):
        self.expect(self.build("nowhere.png"), 3, "nowhere.png", "; look at its name")
        self.expect(self.run_program("prove", "no-kit"), 3, "no-kit", "; look at its name")
        self.assertEqual(self.names(), [])

    def test_a_folder_instead_of_a_picture(self):
        self.expect(self.build(self.folder), 3, "folder")

    @unittest.skipIf(os.geteuid() == 0, "skipped: the superuser may read everything")
    def test_an_unreadable_file(self):
        path = self.write("secret.png", target_picture())
        path.chmod(0)
        self.expect(self.build(path), 3, "secret.png", "; get leave")

    def test_an_empty_file(self):
        self.expect_picture("empty.png", b"", 3, "empty.png")

    def test_a_truncated_png(self):
        data = target_picture()
        self.expect_picture("half.png", data[: len(data) // 2], 3, "half.png")

    def test_only_a_png_signature(self):
        self.expect_picture("sign.png", b"\x89PNG\r\n\x1a\n", 3, "sign.png")

    def test_not_a_picture(self):
        self.expect_picture("letter.png", b"Dear aunt, here is the picture that you asked for.\n" * 50, 3, "letter.png")

    def test_a_header_that_promises_too_much(self):
        body = b"IHDR" + struct.pack(">IIBBBBB", 65000, 65000, 8, 6, 0, 0, 0)
        data = b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + body + struct.pack(">I", zlib.crc32(body))
        body = b"IDAT" + zlib.compress(b"\0" * 1000)
        data += struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
        self.expect_picture("huge.png", data, 3, "huge.png", "65000")

    def test_one_colour_only(self):
        self.expect_picture("plain.png", png_bytes(60, 60, lambda x, y: RED, alpha=False), 1)

    def test_nothing_but_ground(self):
        self.expect_picture("clear.png", png_bytes(60, 60, lambda x, y: CLEAR), 1)
        self.expect_picture("white.png", png_bytes(60, 60, lambda x, y: WHITE, alpha=False), 1)

    def test_pictures_of_one_pixel(self):
        self.expect_picture("dot.png", png_bytes(1, 1, lambda x, y: BLUE), 1)

    def test_heights_that_cannot_be(self):
        path = self.write("ok.png", target_picture())
        for height, code in (("0in", 2), ("-3in", 2), ("nan", 2), ("nanin", 2), ("infin", 2), ("1km", 2), ("5", 2),
                             ("5 parsecs", 2), ("", 2), ("1000m", 2), ("50m", 1), ("1mm", 1)):
            result = self.build(path, f"--height={height}")
            self.assertIn(result.returncode, (1, 2), (height, result.stderr))
            self.expect(result, result.returncode)
            self.assertEqual(result.returncode, code, (height, result.stderr))
        self.assertEqual(self.names(), ["ok.png"])

    def test_papers_that_cannot_be(self):
        path = self.write("ok.png", target_picture())
        for paper in ("0.4x0.4in", "foolscap-of-dreams", "12x", "x12", "-3x5in", "nanx5", "A=", "A=B=C", "0x0"):
            result = self.build(path, paper=paper)
            self.assertIn(result.returncode, (1, 2), (paper, result.stderr))
            self.expect(result, result.returncode)
        self.expect(self.build(path, "--paper", "Q=letter"), 1, "Q", "A to B")
        self.assertEqual(self.names(), ["ok.png"])

    def test_a_paper_smaller_than_the_least_piece(self):
        path = self.write("ok.png", target_picture())
        result = self.build(path, height="40in", paper="1x1in")
        self.expect(result, 1)
        self.assertEqual(self.names(), ["ok.png"])

    def test_commands_that_are_wrong(self):
        path = str(self.write("ok.png", target_picture()))
        for words in ((), ("bild", path), ("build",), ("build", path), ("build", path, "--height", "4ft"),
                      ("build", path, "--height"), ("build", path, path, "--height", "4ft", "--paper", "a4"),
                      ("colours",), ("colours", path, "--paper", "a4"), ("prove",), ("build", path, "--wobble"),
                      ("build", path, "--force=1"), ("build", path, "--threads", "0.5"), ("build", path, "--stack", "tower"),
                      ("build", path, "--smallest", "-4px"), ("build", path, "--smallest", "4mm")):
            self.expect(self.run_program(*words), 2)
        self.assertEqual(self.names(), ["ok.png"])

    def test_a_folder_in_the_way(self):
        path = self.write("ok.png", target_picture())
        (self.folder / "kit").mkdir()
        (self.folder / "kit" / "diary.txt").write_text("mine")
        self.expect(self.build(path, "-o", "kit"), 1, "kit", "--force")
        self.expect(self.build(path, "-o", "kit", "--force"), 1, "kit")
        self.assertEqual((self.folder / "kit" / "diary.txt").read_text(), "mine")
        self.write("file", b"x")
        self.expect(self.build(path, "-o", "file", "--force"), 1, "file")
        self.assertEqual(self.names(), ["file", "kit", "ok.png"])

    def test_a_kit_is_replaced_only_when_asked(self):
        path = self.write("ok.png", target_picture())
        self.assertEqual(self.build(path, "-o", "kit").returncode, 0)
        first = (self.folder / "kit" / "kit.json").read_bytes()
        self.expect(self.build(path, "-o", "kit", height="7in"), 1, "--force")
        self.assertEqual((self.folder / "kit" / "kit.json").read_bytes(), first)
        self.assertEqual(self.build(path, "-o", "kit", "--force", height="7in").returncode, 0)
        self.assertNotEqual((self.folder / "kit" / "kit.json").read_bytes(), first)
        self.assertEqual(self.names(), ["kit", "ok.png"])

    def test_an_empty_folder_stays_when_the_job_fails(self):
        path = self.write("ok.png", png_bytes(8, 8, lambda x, y: RED))
        (self.folder / "kit").mkdir()
        self.expect(self.build(path, "-o", "kit", "--force"), 1)
        self.assertEqual(self.names(), ["kit", "ok.png"])
        path = self.write("ok.png", target_picture())
        self.assertEqual(self.build(path, "-o", "kit", "--force").returncode, 0)
        self.assertTrue((self.folder / "kit" / "kit.json").exists())
        self.assertEqual(self.names(), ["kit", "ok.png"])

    def test_a_layer_without_paper(self):
        path = self.write("ok.png", target_picture())
        result = self.run_program("build", str(path), "--height", "6in", "--paper", "A=letter", "-o", "kit")
        self.expect(result, 1, "layer B", "--paper letter")
        self.assertEqual(self.names(), ["ok.png"])

    def test_a_place_that_cannot_be_written(self):
        path = self.write("ok.png", target_picture())
        self.expect(self.build(path, "-o", "/proc/kit"), 5, "/proc/kit")
        self.expect(self.build(path, "-o", "/dev/null/kit"), 5, "/dev/null/kit")
        self.expect(self.build(path, "-o", "none/such/kit"), 5, "none/such/kit", "; make the folder")
        self.assertEqual(self.names(), ["ok.png"])

    def test_a_full_disk(self):
        path = self.write("ok.png", target_picture())

        def files_stay_small():
            resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))

        result = self.run_program("build", str(path), "--height", "6in", "--paper", "letter", "-o", "kit",
                                  preexec_fn=files_stay_small)
        self.assertIn(result.returncode, (3, 5), result.stderr)  # the decoding child writes pixels to memory as a file
        self.expect(result, result.returncode)
        self.assertEqual(self.names(), ["ok.png"])

        def files_hold_pixels_but_no_kit():
            resource.setrlimit(resource.RLIMIT_FSIZE, (120 * 160 * 4, 120 * 160 * 4))

        big = self.write("big.png", target_picture())
        before = self.names()
        result = self.run_program("build", str(big), "--height", "30m", "--paper", "4x4in", "-o", "kit",
                                  preexec_fn=files_hold_pixels_but_no_kit)
        self.expect(result, 5)
        self.assertEqual(self.names(), before)

    def test_names_of_all_kinds_work(self):
        for name in (b"two words.png", b"it's.png", b'"quoted".png', b"line\nbreak.png", b"caf\xc3\xa9.png", b"\xff\xfe.png",
                     b"-dash.png", b"semi;colon$HOME.png"):
            path = os.path.join(os.fsencode(self.folder), name)
            with open(path, "wb") as file:
                file.write(target_picture())
            result = self.run_program("build", "--height", "6in", "--paper", "letter", "-o", "kit", "--force", "--", path)
            self.assertEqual(result.returncode, 0, result.stderr)
            sheets = os.listdir(os.path.join(self.folder, "kit", "sheets"))
            for sheet in sheets:
                self.assertRegex(sheet, r"^[A-Za-z0-9._-]+\.(svg|pdf)$")
            os.truncate(path, 10)
            broken = self.run_program("colours", "--", path)
            self.expect(broken, 3)

    def test_prove_says_what_is_not_a_kit(self):
        self.expect(self.run_program("prove", "nowhere"), 3, "nowhere")
        (self.folder / "empty").mkdir()
        self.expect(self.run_program("prove", "empty"), 3, "kit.json")
        self.write("file", b"x")
        self.expect(self.run_program("prove", "file"), 3, "file")

    def test_prove_fails_on_a_damaged_kit(self):
        path = self.write("ok.png", target_picture())
        self.assertEqual(self.build(path, "-o", "kit").returncode, 0)
        self.assertEqual(self.run_program("prove", "kit").returncode, 0)
        sheet = self.folder / "kit" / kit_reader.read_kit(self.folder / "kit")["sheets"][0]["file"]
        sheet.unlink()
        result = self.run_program("prove", "kit")
        self.assertEqual(result.returncode, 4)
        self.assertIn(sheet.name, result.stdout.decode())

    def test_output_that_cannot_be_printed(self):
        path = self.write("ok.png", target_picture())
        with open("/dev/full", "wb") as full:
            import subprocess

            from support import PROGRAM
            result = subprocess.run([PROGRAM, "colours", str(path)], stdout=full, stderr=subprocess.PIPE, cwd=self.folder)
        self.assertEqual(result.returncode, 5)


class BadEdits(Judged):
    """Lists of edits: what cannot be read, what points nowhere, what contradicts itself, what is far too much."""

    LINE = [[0.1, 0.5], [0.7, 0.5]]
    BAD_LISTS = [
        b"", b" ", b"\0", b"{}", b"1", b"null", b"nonsense", b"[", b"[,]", b"[1]", b"[null]", b"[[]]", b"[{}]", b"[{}] []",
        b"\xef\xbb\xbf[{}]", "[{}]".encode("utf-16"), b"\xff\xfe\xff", b'[{"edit": "\xff"}]', b'[{"edit": "\\ud800"}]',
        b'[{"edit": "ground\\u0000"}]', b'[{"edit": 7}]', b'[{"edit": null}]', b'[{"edit": "wobble"}]',
        b'[{"edit": "border"}]', b'[{"edit": "border", "mm": "6"}]', b'[{"edit": "border", "mm": NaN}]',
        b'[{"edit": "border", "mm": Infinity}]', b'[{"edit": "border", "mm": 1e999}]', b'[{"edit": "border", "mm": -1}]',
        b'[{"edit": "border", "mm": 1e300}]', b'[{"edit": "border", "mm": [6]}]', b'[{"edit": "border", "mm": true}]',
        b'[{"edit": "border", "mm": 6, "mm": 7}]', b'[{"edit": "border", "mm": 6, "inches": 7}]',
        b'[{"edit": "border", "mm": 999999999999999999999999}]', b'[{"edit": "border", "mm": 0x10}]',
        b'[{"edit": "base"}]', b'[{"edit": "base", "colour": "navy"}]', b'[{"edit": "base", "colour": "#12345"}]',
        b'[{"edit": "base", "colour": "#12345g"}]', b'[{"edit": "base", "colour": 255}]',
        b'[{"edit": "ground", "at": [0.5]}]', b'[{"edit": "ground", "at": [0.5, "0.5"]}]', b'[{"edit": "ground", "at": 0.5}]',
        b'[{"edit": "ground", "at": [0.5, 1e308]}]', b'[{"edit": "ground", "at": {"x": 1, "y": 2}}]',
        b'[{"edit": "seam", "colour": "#1e32a0", "points": []}]', b'[{"edit": "seam", "colour": "#1e32a0", "points": [[0, 0]]}]',
        b'[{"edit": "seam", "colour": "#1e32a0", "points": "here"}]', b'[{"edit": "keep-clear", "points": [[0, 0], [1, 1]]}]',
        b'[{"edit": "sheet", "colour": "#1e32a0", "paper": "foolscap-of-dreams"}]',
        b'[{"edit": "sheet", "colour": "#1e32a0", "paper": "0.4x0.4in"}]', b'[{"edit": "sheet", "colour": "#1e32a0", "paper": ""}]', b'[{"edit": "name", "colour": "#1e32a0", "name": ""}]',
        b'[{"edit": "name", "colour": "#1e32a0", "name": "two\\nlines"}]', b'[{"edit": "stack", "way": "tower"}]', b'[{"edit": "lines", "where": "under"}]',
        b'[{"edit": "tiny", "at": [0, 0], "fate": "perish"}]', b'[{"edit": "smallest"}]', b'[{"edit": "smallest", "part_mm": 0}]',
        b'[{"edit": "frozen", "colour": "#1e32a0", "piece": "A\\n\\u001b[31m1", "height_mm": 152.4, "outline": ""}]',
        b"[" * 3000, b"[" * 1000000, b'{"a":' * 100000, b'[{"edit": "seam", "points": ' + b"[" * 500000,
    ]

    def edits(self, name, data):
        return str(self.write(name, data if isinstance(data, bytes) else json.dumps(data).encode()))

    def build_edited(self, edits, *more, height="6in", paper="4x4in"):
        """Builds with this list: whatever it holds, a proven kit or a refusal; the findings about edits, None if refused."""
        words = ["--edits", self.edits("list.json", edits)] if edits is not None else []
        result = self.build(self.picture, "-o", "kit", "--force", *words, *more, height=height, paper=paper)
        if result.returncode != 0:
            self.expect(result, 1)
            return None
        self.assertEqual(self.run_program("prove", "kit").returncode, 0)
        self.assertEqual(result.stderr, b"")
        for line in result.stdout.decode("utf-8").splitlines():
            self.assertTrue(line.isprintable(), line)
        return [finding for finding in kit_reader.read_kit(self.folder / "kit")["findings"] if finding["kind"].startswith("edit-")]

    def setUp(self):
        super().setUp()
        self.picture = self.write("ok.png", target_picture())

    def test_lists_that_cannot_be_read(self):
        before = self.names()
        for number, data in enumerate(self.BAD_LISTS):
            with self.subTest(number=number, data=data[:60]):
                path = self.edits("bad.json", data)
                self.expect(self.build(self.picture, "--edits", path), 3, "bad.json")
                if number % 8 == 0:
                    self.expect(self.run_program("colours", str(self.picture), "--edits", path), 3, "bad.json")
        self.assertEqual(self.names(), sorted([*before, "bad.json"]))

    def test_lists_that_are_not_there(self):
        self.expect(self.build(self.picture, "--edits", "nowhere.json"), 3, "nowhere.json")
        self.expect(self.build(self.picture, "--edits", "."), 3, "folder")
        self.expect(self.build(self.picture, "--edits", "/dev/zero"), 3, "/dev/zero")
        self.expect(self.build(self.picture, "--edits", str(self.picture)), 3, "ok.png")

    def test_lists_that_are_far_too_long(self):
        border, point = b'{"edit": "border", "mm": 6}', b"[0.5, 0.5]"
        size = 50 << 20
        for data in (b"[" + b", ".join([border] * (size // len(border))) + b"]",
                     b'[{"edit": "seam", "colour": "#1e32a0", "points": [' + b", ".join([point] * (size // len(point))) + b"]}]",
                     b'[{"edit": "name", "colour": "#1e32a0", "name": "' + b"a" * size + b'"}]',
                     b'[{"edit": "' + b"a" * size + b'"}]', b" " * size, b"[" * size, b"\0" * size,
                     b'[{"edit": "frozen", "colour": "#1e32a0", "piece": "' + b"A" * size + b'", "height_mm": 5, "outline": ""}]'):
            start = time.monotonic()
            self.expect(self.build(self.picture, "--edits", self.edits("long.json", data)), 3, "long.json")
            self.assertLess(time.monotonic() - start, 60)
        for count, code in ((10001, 3), (1000, 1)):  # a border each: their sum is no matter, the last one counts
            edits = [{"edit": "border", "mm": 100000}] * count
            self.expect(self.build(self.picture, "--edits", self.edits("long.json", edits)), code)

    def test_edits_that_point_nowhere_are_findings(self):
        far = [[500.0, 500.0], [501.0, 500.0], [501.0, 501.0]]
        for edit in ({"edit": "ground", "at": [900, -900]}, {"edit": "paper", "at": [-1, -1]}, {"edit": "base", "colour": "#00ff00"},
                     {"edit": "same", "colour": "#00ff00", "as": "#ffff00"}, {"edit": "leave-out", "colour": "#00ff00"},
                     {"edit": "name", "colour": "#00ff00", "name": "moss"}, {"edit": "sheet", "colour": "#00ff00", "paper": "a4"},
                     {"edit": "over", "colour": "#00ff00", "other": "#ffff00"}, {"edit": "tiny", "at": [0.5, 0.5], "fate": "keep"},
                     {"edit": "seam", "colour": "#00ff00", "points": self.LINE}, {"edit": "seam", "colour": "#1e32a0", "points": far[:2]},
                     {"edit": "move-seam", "colour": "#1e32a0", "from": self.LINE, "points": far[:2]},
                     {"edit": "no-seam", "colour": "#00ff00", "points": self.LINE}):
            with self.subTest(edit=edit):
                findings = self.build_edited([edit])
                self.assertIsNotNone(findings)
                self.assertEqual(len(findings), 1, findings)
                self.assertIn(findings[0]["kind"], ("edit-without-target", "edit-not-kept"))
        # A piece that is cut already is more than a wish: where it cannot stay, nothing is made.
        self.assertIsNone(self.build_edited([{"edit": "frozen", "colour": "#00ff00", "piece": "A7", "height_mm": 152.4,
                                              "outline": "M 0 0 L 9 0 L 9 9 Z"}]))

    def test_edits_that_contradict_each_other(self):
        red, blue = "#c81e28", "#1e32a0"
        across = {"colour": blue, "points": [[0.0, 0.3], [0.75, 0.3]]}
        for edits in (
                [{"edit": "same", "colour": red, "as": blue}, {"edit": "same", "colour": blue, "as": red}],
                [{"edit": "same", "colour": red, "as": red}],
                [{"edit": "over", "colour": red, "other": blue}, {"edit": "over", "colour": blue, "other": red}],
                [{"edit": "over", "colour": red, "other": red}],
                [{"edit": "leave-out", "colour": red}, {"edit": "base", "colour": red}],
                [{"edit": "leave-out", "colour": red}, {"edit": "leave-out", "colour": blue}],
                [{"edit": "leave-out", "colour": red}, {"edit": "same", "colour": blue, "as": red}],
                [{"edit": "ground", "at": [0.375, 0.5]}, {"edit": "paper", "at": [0.375, 0.5]}],
                [{"edit": "paper", "at": [0.375, 0.5]}, {"edit": "ground", "at": [0.375, 0.5]}],
                [{"edit": "ground", "at": [0.375, 0.5]}, {"edit": "ground", "at": [0.1, 0.5]}],
                [{"edit": "stack", "way": "inlay"}, {"edit": "underlap", "mm": 500}],
                [{"edit": "border", "mm": 76.2}], [{"edit": "border", "mm": 100000}], [{"edit": "border", "mm": 60}],
                [{"edit": "underlap", "mm": 100000}], [{"edit": "smallest", "part_mm": 100000, "hole_mm": 100000}],
                [{"edit": "smallest", "part_mm": 0.001, "hole_mm": 0.001}],
                [{"edit": "seam", **across}, {"edit": "no-seam", **across}],
                [{"edit": "no-seam", **across}, {"edit": "seam", **across}],
                [{"edit": "seam", **across}, {"edit": "keep-clear", "points": [[-1, -1], [2, -1], [2, 2], [-1, 2]]}],
                [{"edit": "keep-clear", "points": [[0, 0], [1, 1], [1, 0], [0, 1]]}],
                [{"edit": "keep-clear", "points": [[0.3, 0.3]] * 3}],
                [{"edit": "seam", "colour": blue, "points": [[0.1, 0.1]] * 2000}],
                [{"edit": "seam", "colour": blue, "points": [[k % 2, k / 2000] for k in range(2000)]}],
                [{"edit": "seam", **across}, {"edit": "move-seam", "from": across["points"], **across}],
                [{"edit": "seam", "colour": blue, "points": [[0.0, k / 100], [0.75, k / 100]]} for k in range(100)],
                [{"edit": "sheet", "colour": red, "paper": "1x1in"}, {"edit": "sheet", "colour": red, "paper": "4x4in"}],
                [{"edit": "name", "colour": red, "name": "../../out"}, {"edit": "name", "colour": blue, "name": "..\\..\\out"}],
                [{"edit": "name", "colour": red, "name": "a/b"}, {"edit": "name", "colour": blue, "name": "a:b"}],
                [{"edit": "name", "colour": red, "name": "blue"}, {"edit": "name", "colour": blue, "name": "blue"}],
                [{"edit": "name", "colour": red, "name": "\u4e2d\u6587 \U0001f600"}, {"edit": "name", "colour": blue, "name": "<&>\"'"}],
                [{"edit": "frozen", "colour": blue, "piece": "A1", "height_mm": 1, "outline": "M 0 0 L 9 0 L 9 9 Z"}],
                [{"edit": "frozen", "colour": blue, "piece": "A1", "height_mm": 152.4, "outline": "M 0 0 L 1e300 0 L 9 9 Z"}],
                [{"edit": "frozen", "colour": blue, "piece": "A1", "height_mm": 152.4, "outline": "no path at all"}],
                [{"edit": "frozen", "colour": blue, "piece": "A1", "height_mm": 152.4, "outline": "M 0 0" + " L 9 9" * 10000 + " Z"}],
                [{"edit": "frozen", "colour": blue, "piece": "A1", "height_mm": 152.4, "outline": "M 30 30 L 60 60 L 60 30 L 30 60 Z"}] * 2):
            with self.subTest(edits=str(edits)[:200]):
                self.build_edited(edits)  # a proven kit or one sentence, and nothing else
                self.assertTrue(set(self.names()) <= {"kit", "list.json", "ok.png"}, self.names())

    def test_a_thousand_colours_asked(self):
        def pixel(x, y):
            k = x // 8 * 32 + y // 8
            return (k % 10 * 27, k // 10 % 10 * 27, k // 100 * 23, 255)

        self.picture = self.write("many.png", png_bytes(256, 256, pixel, alpha=False))
        colours = ["#%02x%02x%02x" % pixel(k // 32 * 8, k % 32 * 8)[:3] for k in range(1000)]
        for edits in (None, [{"edit": "leave-out", "colour": colour} for colour in colours],
                      [{"edit": "same", "colour": colour, "as": colours[0]} for colour in colours],
                      [{"edit": "name", "colour": colour, "name": "one"} for colour in colours]):
            start = time.monotonic()
            self.build_edited(edits, paper="letter")
            self.assertLess(time.monotonic() - start, 120)
        words = [word for colour in colours for word in ("--leave-out", colour)]
        result = self.build(self.picture, "-o", "many", *words)
        self.assertIn(result.returncode, (0, 1))
        self.expect(self.build(self.picture, "-o", "many", *words, *words), 2, "--edits")

    def test_options_that_are_edits(self):
        for words in (("--same", "navy"), ("--same",), ("--same", ""), ("--leave-out", ""), ("--leave-out",), ("--base",),
                      ("--base", ""), ("--ground", "10"), ("--ground", "10;20"), ("--ground", "nan,5"), ("--ground", "5,inf"),
                      ("--ground", "1e9,0"), ("--ground", ","), ("--ground", "5,5,5"), ("--paper-at", "here"), ("--paper-at", ""),
                      ("--underlap", "-1mm"), ("--underlap", "nanmm"), ("--underlap", "wide"), ("--smallest-part", "5"),
                      ("--smallest-part", "0mm"), ("--smallest-hole", "1e99mm"), ("--smallest-hole", ""), ("--edits",), ("--edits", "")):
            with self.subTest(words=words):
                self.expect(self.build(self.picture, *words), 2, words[0])
        for words in (("--leave-out", "mauve"), ("--base", "#12345"), ("--same", "mauve=blue"), ("--same", "="), ("--same", "a=b=c")):
            with self.subTest(words=words):
                result = self.build(self.picture, *words)
                self.assertIn(result.returncode, (1, 2), result.stderr)
                self.expect(result, result.returncode)
        self.expect(self.run_program("colours", str(self.picture), "--base", "blue"), 2, "--base")
        self.expect(self.run_program("prove", "kit", "--edits", "x"), 2, "--edits")
        self.assertEqual(self.names(), ["ok.png"])


if __name__ == "__main__":
    main()

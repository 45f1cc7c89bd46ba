"""Bad input gets one sentence that says what, where and what to do, the right exit code, and leaves nothing behind."""

import os
import resource
import struct
import unittest
import zlib

from support import BLUE, CLEAR, RED, WHITE, ProgramTest, main, png_bytes, target_picture


class BadInput(ProgramTest):
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

    def expect_picture(self, name, data, code, *words):
        path = self.write(name, data)
        before = self.names()
        for words_of_command in (("colours", str(path)), ("build", str(path), "--height", "6in", "--paper", "letter")):
            self.expect(self.run_program(*words_of_command), code, *words)
        self.assertEqual(self.names(), before)

    def test_a_missing_file(self):
        self.expect(self.build("nowhere.png"), 3, "nowhere.png")
        self.assertEqual(self.names(), [])

    def test_a_folder_instead_of_a_picture(self):
        self.expect(self.build(self.folder), 3, "folder")

    @unittest.skipIf(os.geteuid() == 0, "skipped: the superuser may read everything")
    def test_an_unreadable_file(self):
        path = self.write("secret.png", target_picture())
        path.chmod(0)
        self.expect(self.build(path), 3, "secret.png")

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

    def test_a_place_that_cannot_be_written(self):
        path = self.write("ok.png", target_picture())
        self.expect(self.build(path, "-o", "/proc/kit"), 5, "/proc/kit")
        self.expect(self.build(path, "-o", "/dev/null/kit"), 5, "/dev/null/kit")
        self.expect(self.build(path, "-o", "none/such/kit"), 5, "none/such/kit")
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
                self.assertRegex(sheet, r"^[A-Za-z0-9._-]+\.svg$")
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
        sheet = sorted((self.folder / "kit" / "sheets").iterdir())[0]
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


if __name__ == "__main__":
    main()

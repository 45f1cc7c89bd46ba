"""build --zip: the kit as one file beside its folder."""

import os
import shutil
import subprocess
import unittest
import zipfile

from support import ProgramTest, main, target_picture


class Zip(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("target.png", target_picture())

    def build(self, *more, code=0, **env):
        result = self.run_program("build", "target.png", "--height", "8in", "--paper", "5x7", "--zip", *more, env={**os.environ, **env})
        self.assertEqual(result.returncode, code, result.stderr)
        return (result.stdout if code == 0 else result.stderr).decode()

    def files_below(self, folder):
        return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}

    def test_it_holds_what_the_folder_holds(self):
        said = self.build("-o", "kit")
        self.assertIn("kit.zip", said)
        with zipfile.ZipFile(self.folder / "kit.zip") as archive:
            self.assertEqual({name: archive.read(name) for name in archive.namelist()}, {f"kit/{name}": data for name, data in self.files_below(self.folder / "kit").items()})
            self.assertEqual({info.date_time for info in archive.infolist()}, {(1980, 1, 1, 0, 0, 0)})
        self.assertEqual(self.names(), ["kit", "kit.zip", "target.png"])

    @unittest.skipUnless(shutil.which("unzip"), "unzip is not here")
    def test_unzip_finds_no_fault_and_what_comes_out_still_proves(self):
        self.build("-o", "kit")
        self.assertEqual(subprocess.run(["unzip", "-tqq", "kit.zip"], cwd=self.folder).returncode, 0)
        subprocess.run(["unzip", "-qq", "kit.zip", "-d", "out"], cwd=self.folder, check=True)
        self.assertEqual(self.run_program("prove", "out/kit").returncode, 0)

    def test_twice_it_is_the_same_to_the_byte(self):
        self.build("-o", "kit", TZ="UTC")
        first = (self.folder / "kit.zip").read_bytes()
        self.build("-o", "kit", "--force", TZ="Asia/Kathmandu", LC_ALL="C")
        self.assertEqual(first, (self.folder / "kit.zip").read_bytes())

    def test_a_folder_in_any_script_keeps_its_name(self):
        for name in ("Лодка", "風船 2", "Käfer"):
            self.build("-o", name)
            with zipfile.ZipFile(self.folder / f"{name}.zip") as archive:
                self.assertIn(f"{name}/kit.json", archive.namelist())

    def test_the_makers_own_in_the_folder_stays_out(self):
        self.build("-o", "kit")
        (self.folder / "kit" / "my notes.txt").write_text("mine")
        self.build("-o", "kit", "--force")
        self.assertTrue((self.folder / "kit" / "my notes.txt").exists())
        with zipfile.ZipFile(self.folder / "kit.zip") as archive:
            self.assertNotIn("kit/my notes.txt", archive.namelist())

    def test_what_is_there_is_not_lost(self):
        self.write("kit.zip", b"mine")
        self.assertIn("kit.zip is there already", self.build("-o", "kit", code=1))
        self.assertIn("not a zip of this kit", self.build("-o", "kit", "--force", code=1))
        with zipfile.ZipFile(self.folder / "other.zip", "w") as archive:
            archive.writestr("kit/READ-ME-FIRST.txt", "another kit's")
        self.assertIn("not a zip of this kit", self.build("-o", "other", "--force", code=1))
        self.assertEqual((self.folder / "kit.zip").read_bytes(), b"mine")
        self.assertEqual(self.names(), ["kit.zip", "other.zip", "target.png"])

    def test_json_names_it(self):
        import json

        self.assertEqual(json.loads(self.build("-o", "kit", "--json"))["zip"], "kit.zip")


if __name__ == "__main__":
    main()

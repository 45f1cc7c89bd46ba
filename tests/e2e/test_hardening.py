"""What happens when things go wrong half-way: a disk that refuses, a build that is killed or stopped, two builds at once.

At every moment the old kit is whole or the new one, byte for byte, and nothing is left beside it but by kill -9; the
next build into the same place takes that away. PM_ALL=1 tries all moments; PM_SEED fixes the random ones."""

import os
import random
import shutil
import signal
import statistics
import subprocess
import tempfile
import time
import unittest
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from support import BLUE, CLEAR, RED, ROOT, PROGRAM, WHITE, ProgramTest, main, png_bytes

ALL = os.environ.get("PM_ALL") == "1"
SEED = int(os.environ.get("PM_SEED", random.SystemRandom().randrange(1 << 32)))
FAIL_WRITE = os.environ.get("PM_FAIL_WRITE", "")
KILLS = 200 if ALL else 24
ROUNDS = 20 if ALL else 5
STOPS = 40 if ALL else 10
# The kits of before and after: a quick run writes fewer sheets, and so fewer files, each in the same ways.
OLD, NEW = ("6in", "7in") if ALL else ("3in", "3.2in")
STOP_HEIGHT = "5ft" if ALL else "2ft"
AT_ONCE = 3  # runs side by side: their moments then lie at different places of a busy machine


def small_picture():
    """A blue disc with a red square and a white hole in it, on transparency."""

    def pixel(x, y):
        if (x - 40) ** 2 + (y - 40) ** 2 > 38 ** 2:
            return CLEAR
        if 34 <= x < 46 and 54 <= y < 66:
            return WHITE
        return RED if 26 <= x < 54 and 20 <= y < 44 else BLUE

    return png_bytes(80, 80, pixel)


def tree(folder):
    """All files of a folder with their bytes, and all folders; None where there is no folder."""
    folder = Path(folder)
    if not folder.is_dir():
        return None
    return {str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


# What a maker may have put into a kit's folder; as tree() tells it.
MINE = {"notes.txt": b"glue the moon last", "photos": None, "photos/day-1.jpg": b"a photo", "sheets/mine.svg": b"my own",
        "sheets/spare": None, "sheets/spare/guide.pdf": b"not the guide"}


def add_mine(kit):
    for name, data in MINE.items():
        if data is None:
            (kit / name).mkdir()
        else:
            (kit / name).write_bytes(data)


def one_sentence(stderr):
    text = stderr.decode("utf-8")
    return text.startswith("papermason: ") and text.count("\n") == 1 and len(text) < 420


class Hardening(ProgramTest):
    @classmethod
    def setUpClass(cls):
        cls.start = Path(tempfile.mkdtemp(prefix="papermason-test-"))
        cls.addClassCleanup(shutil.rmtree, cls.start, ignore_errors=True)
        cls.picture = cls.start / "disc.png"
        cls.picture.write_bytes(small_picture())
        cls.kits = {}
        for height in (OLD, NEW):
            subprocess.run(cls.words(height, "-o", f"kit-{height}"), cwd=cls.start, check=True, stdout=subprocess.DEVNULL)
            cls.kits[height] = tree(cls.start / f"kit-{height}")
        assert cls.kits[OLD] != cls.kits[NEW]

    def setUp(self):
        super().setUp()
        self.random = random.Random(SEED)

    @classmethod
    def words(cls, height, *more):
        return [PROGRAM, "build", str(cls.picture), "--height", height, "--paper", "4x4in", *more]

    def build(self, folder, height, *more, **settings):
        return subprocess.run(self.words(height, *more), capture_output=True, cwd=folder, timeout=300, **settings)

    def place(self, name, old_kit):
        """A folder of its own for one try, with an old kit in it or without."""
        folder = self.folder / name
        folder.mkdir()
        if old_kit:
            shutil.copytree(self.start / f"kit-{OLD}", folder / "kit")
        return folder

    def in_turn(self, tries, count):
        """Runs tries(0), tries(1), ... a few side by side; their answers in order."""
        with ThreadPoolExecutor(AT_ONCE) as pool:
            return list(pool.map(tries, range(count)))

    # ---- a disk that refuses ----

    def try_refusal(self, number, old_kit, how):
        """One build whose call `number` fails: the name of the call ("" when there were fewer) and what is wrong ("")."""
        folder = self.place(f"refuse-{number}", old_kit)
        mark = self.folder / f"mark-{number}"
        settings = {"LD_PRELOAD": FAIL_WRITE, "FAIL_AT": str(number), "FAIL_MARK": str(mark)}
        if how:
            settings[how] = "1"
        result = self.build(folder, NEW, "-o", "kit", "--force", env={**os.environ, **settings})
        call = mark.read_text() if mark.exists() else ""
        kit, beside = tree(folder / "kit"), sorted(os.listdir(folder))
        wrong = ""
        if result.returncode == 0:
            # What of the old kit cannot be removed is all that may be left.
            if kit != self.kits[NEW]:
                wrong = "done, but the kit is not the new one"
            elif beside != ["kit"] and call != "unlink" and (call, how) != ("rename", "FAIL_EXCHANGE"):
                wrong = f"done, but beside the kit lie {beside}"
        elif result.returncode != 5 or not one_sentence(result.stderr):
            wrong = f"ends with {result.returncode}: {result.stderr}"
        elif kit != (self.kits[OLD] if old_kit else None):
            wrong = "refused, but the old kit has changed"
        elif beside != (["kit"] if old_kit else []):
            wrong = f"refused, but there lie {beside}"
        shutil.rmtree(folder)
        return call, f"call {number} ({call}): {wrong}" if wrong else ""

    def refuse_each(self, old_kit, how=""):
        calls, number = [], 0
        while True:
            first, number = number, number + 3 * AT_ONCE
            answers = self.in_turn(lambda i: self.try_refusal(first + i, old_kit, how), 3 * AT_ONCE)
            for call, wrong in answers:
                self.assertEqual(wrong, "")
                if call:
                    calls.append(call)
            if not answers[-1][0]:
                return calls

    @unittest.skipUnless(FAIL_WRITE, "skipped: PM_FAIL_WRITE does not name the library that lets writes fail")
    def test_every_write_of_a_new_kit_may_fail(self):
        calls = self.refuse_each(old_kit=False)
        self.assertLessEqual({"mkdir", "open", "write", "fsync", "close", "rename"}, set(calls))
        self.assertEqual(calls.count("fsync"), len([name for name, data in self.kits[NEW].items() if data is not None]))

    @unittest.skipUnless(FAIL_WRITE, "skipped: PM_FAIL_WRITE does not name the library that lets writes fail")
    def test_every_write_over_an_old_kit_may_fail(self):
        self.assertIn("unlink", self.refuse_each(old_kit=True))

    @unittest.skipUnless(FAIL_WRITE, "skipped: PM_FAIL_WRITE does not name the library that lets writes fail")
    def test_every_write_of_the_decoding_child_may_fail(self):
        self.assertIn("pwrite", self.refuse_each(old_kit=True, how="FAIL_CHILD"))

    @unittest.skipUnless(FAIL_WRITE, "skipped: PM_FAIL_WRITE does not name the library that lets writes fail")
    def test_a_disk_that_can_exchange_nothing(self):
        for old_kit in (False, True):
            folder = self.place(f"stick-{old_kit}", old_kit)
            env = {**os.environ, "LD_PRELOAD": FAIL_WRITE, "FAIL_EXCHANGE": "1"}
            self.assertEqual(self.build(folder, NEW, "-o", "kit", "--force", env=env).returncode, 0)
            self.assertEqual(tree(folder / "kit"), self.kits[NEW])
            self.assertEqual(os.listdir(folder), ["kit"])
        folder = self.place("stick-mine", old_kit=True)
        add_mine(folder / "kit")
        self.assertEqual(self.build(folder, NEW, "-o", "kit", "--force", env=env).returncode, 0)
        self.assertEqual(tree(folder / "kit"), {**self.kits[NEW], **MINE})
        if ALL:
            self.assertEqual(self.refuse_each(old_kit=True, how="FAIL_EXCHANGE").count("rename"), 3)

    # ---- kill -9 ----

    def try_kill(self, number):
        """One build over an old kit, killed at a random moment: which kit is there, and what lies beside it."""
        delay = self.moments[number] * self.duration
        folder = self.place(f"kill-{number}", old_kit=True)
        add_mine(folder / "kit")
        process = subprocess.Popen(self.words(NEW, "-o", "kit", "--force"), cwd=folder, stdout=subprocess.DEVNULL,
                                   stderr=subprocess.DEVNULL)
        time.sleep(delay)
        process.kill()
        process.wait()
        kit, beside = tree(folder / "kit"), [name for name in os.listdir(folder) if name != "kit"]
        mine = {name: data for part in [kit, *(tree(folder / name) for name in beside)] for name, data in part.items() if name in MINE}
        kit = {name: data for name, data in kit.items() if name not in MINE}
        which = "something lost" if mine != MINE else next((height for height in self.kits if self.kits[height] == kit), "a third thing")
        if beside and number % 4 == 0:
            again = self.build(folder, NEW, "-o", "kit", "--force")
            if again.returncode != 0 or os.listdir(folder) != ["kit"] or tree(folder / "kit") != {**self.kits[NEW], **MINE}:
                which = f"after the next build: {os.listdir(folder)} {again.stderr}"
        shutil.rmtree(folder)
        return which, beside

    def test_a_killed_build_leaves_the_old_kit_or_the_new_one(self):
        self.duration = statistics.median(self.in_turn(self.measured_build, 2 * AT_ONCE))
        # Half of the moments lie in the last part, where files are written and kits exchanged.
        self.moments = [self.random.uniform(0.0 if i % 2 else 0.6, 1.15) for i in range(KILLS)]
        answers = self.in_turn(self.try_kill, KILLS)
        for number, (which, beside) in enumerate(answers):
            self.assertIn(which, self.kits, f"seed {SEED}, kill {number} at {self.moments[number]:.3f}")
            for name in beside:
                self.assertRegex(name, r"^kit\.new-[0-9]+-[0-9]+$")
        old = sum(which == OLD for which, beside in answers)
        left = sum(bool(beside) for which, beside in answers)
        print(f"{KILLS} kills: the old kit {old} times, the new one {KILLS - old} times, {left} folders left beside")
        self.assertGreater(left, KILLS // 10)  # else the moments were badly chosen

    def measured_build(self, number):
        folder = self.place(f"measure-{number}", old_kit=True)
        start = time.monotonic()
        self.assertEqual(self.build(folder, NEW, "-o", "kit", "--force").returncode, 0)
        duration = time.monotonic() - start
        shutil.rmtree(folder)
        return duration

    def test_what_dead_builds_left_is_removed_and_nothing_else(self):
        folder = self.place("left", old_kit=True)
        dead = subprocess.Popen(["true"])
        dead.wait()
        old_stand_in = folder / f"kit.new-{dead.pid}-1.old"
        stays = [f"kit.new-{os.getpid()}-0", "kit.new-0-0", f"kit.new-{dead.pid}", f"kit.new-{dead.pid}-0-copy",
                 f"other.new-{dead.pid}-0", f"kit.new--{dead.pid}-0", "kit.new-99999999999999-0"]
        for name in [*stays, f"kit.new-{dead.pid}-0"]:
            (folder / name / "sheets").mkdir(parents=True)
            (folder / name / "sheets" / "disc-7in-blue-1-of-9-3.5x3.5in.svg").write_text("half a sheet")
        shutil.copytree(folder / "kit", old_stand_in)
        (folder / "mine").mkdir()
        (folder / "mine" / "letter.txt").write_text("mine")
        (folder / f"kit.new-{dead.pid}-2").symlink_to(folder / "mine")
        self.assertEqual(self.build(folder, NEW, "-o", "kit", "--force").returncode, 0)
        self.assertEqual(sorted(os.listdir(folder)), sorted([*stays, "kit", "mine", f"kit.new-{dead.pid}-2"]))
        self.assertEqual((folder / "mine" / "letter.txt").read_text(), "mine")
        self.assertEqual(tree(folder / "kit"), self.kits[NEW])

    def test_a_kit_that_stood_aside_comes_back(self):
        folder = self.place("aside", old_kit=True)
        dead = subprocess.Popen(["true"])
        dead.wait()
        (folder / "kit").rename(folder / f"kit.new-{dead.pid}-0.old")  # as where nothing can be exchanged, between two steps
        result = self.build(folder, NEW, "-o", "kit")
        self.assertEqual(result.returncode, 1, result.stderr)
        self.assertIn(b"--force", result.stderr)
        self.assertEqual(os.listdir(folder), ["kit"])
        self.assertEqual(tree(folder / "kit"), self.kits[OLD])

    def test_the_folder_of_a_running_build_is_left_alone(self):
        folder = self.place("running", old_kit=True)
        slow = subprocess.Popen(self.words(OLD, "-o", "kit", "--force"), cwd=folder, stdout=subprocess.DEVNULL,
                                stderr=subprocess.PIPE)
        while not any(name.startswith("kit.new-") for name in os.listdir(folder)) and slow.poll() is None:
            time.sleep(0.001)
        slow.send_signal(signal.SIGSTOP)
        self.assertEqual(self.build(folder, NEW, "-o", "kit", "--force").returncode, 0)
        self.assertEqual(tree(folder / "kit"), self.kits[NEW])
        slow.send_signal(signal.SIGCONT)
        errors = slow.communicate(timeout=60)[1]
        self.assertEqual(slow.returncode, 0, errors)
        self.assertEqual(tree(folder / "kit"), self.kits[OLD])
        self.assertEqual(os.listdir(folder), ["kit"])

    # ---- what is the maker's own ----

    def test_what_is_the_makers_outlives_the_kit(self):
        folder = self.place("mine", old_kit=True)
        add_mine(folder / "kit")
        (folder / "kit" / "model").symlink_to("/nowhere")
        self.assertEqual(self.build(folder, NEW, "-o", "kit", "--force").returncode, 0)
        self.assertEqual(os.readlink(folder / "kit" / "model"), "/nowhere")
        (folder / "kit" / "model").unlink()
        self.assertEqual(tree(folder / "kit"), {**self.kits[NEW], **MINE})
        self.assertEqual(os.listdir(folder), ["kit"])

    def test_a_name_that_the_new_kit_needs_is_refused(self):
        for number, name in enumerate(("READ-ME-FIRST.txt", "sheets")):
            folder = self.place(f"needs-{number}", old_kit=True)
            taken = folder / "kit" / name
            if taken.is_dir():
                shutil.rmtree(taken)
                taken.write_text("mine")
            else:
                taken.unlink()
                taken.mkdir()
            before = tree(folder / "kit")
            result = self.build(folder, NEW, "-o", "kit", "--force")
            self.assertEqual(result.returncode, 1, result.stderr)
            self.assertTrue(one_sentence(result.stderr), result.stderr)
            self.assertIn(name.encode(), result.stderr)
            self.assertEqual(tree(folder / "kit"), before)
            self.assertEqual(os.listdir(folder), ["kit"])

    def try_cut_short(self, number, kills):
        """A build over a kit with the maker's own in it, that is killed or refused at call `number`; then another one."""
        folder = self.place(f"cut-{number}-{kills}", old_kit=True)
        add_mine(folder / "kit")
        mark = self.folder / f"cut-mark-{number}-{kills}"
        env = {**os.environ, "LD_PRELOAD": FAIL_WRITE, "FAIL_AT": str(number), "FAIL_MARK": str(mark)}
        result = self.build(folder, NEW, "-o", "kit", "--force", env={**env, "FAIL_KILL": "1"} if kills else env)
        call = mark.read_text() if mark.exists() else ""
        wrong = []
        if call and kills and result.returncode != -signal.SIGKILL:
            wrong.append(f"ends with {result.returncode}")
        if not kills and not (result.returncode == 0 or one_sentence(result.stderr)):
            wrong.append(f"says {result.stderr}")
        kit = tree(folder / "kit")
        own = {name: data for name, data in kit.items() if name not in MINE}
        if own not in self.kits.values():
            wrong.append("the kit is neither the old one nor the new one")
        places = [kit, *(tree(folder / name) for name in os.listdir(folder) if name != "kit")]
        for name, data in MINE.items():
            found = [place[name] for place in places if name in place]
            if found != [data]:
                wrong.append(f"{name} is there {len(found)} times")
        moved = own == self.kits[NEW]
        again = self.build(folder, NEW, "-o", "kit", "--force")
        if again.returncode != 0 or tree(folder / "kit") != {**self.kits[NEW], **MINE} or os.listdir(folder) != ["kit"]:
            wrong.append(f"after the next build: {again.stderr} {os.listdir(folder)}")
        shutil.rmtree(folder)
        return call, moved, wrong

    @unittest.skipUnless(FAIL_WRITE, "skipped: PM_FAIL_WRITE does not name the library that lets writes fail")
    def test_nothing_of_the_makers_is_lost_whenever_a_build_is_cut_short(self):
        calls, beyond = 0, 512
        while beyond - calls > 1:  # the number of calls
            middle = (calls + beyond) // 2
            calls, beyond = (middle, beyond) if self.try_refusal(middle, True, "")[0] else (calls, middle)
        # Downwards from the last one: what lies before the exchange touches nothing of the maker's.
        moved_calls, number, before = {}, calls + 2 * len(MINE), 0
        while number >= 0 and (ALL or before < 4):
            numbers = range(number, max(number - AT_ONCE, -1), -1)
            for at, (call, moved, wrong) in zip(numbers, self.in_turn(lambda i: self.try_cut_short(numbers[i], True), len(numbers))):
                self.assertEqual(wrong, [], f"killed at call {at} ({call})")
                before += bool(call) and not moved
                if call and moved:
                    moved_calls[at] = call
            number -= AT_ONCE
        self.assertIn("unlink", moved_calls.values())
        renames = [at for at, call in moved_calls.items() if call == "rename"]
        self.assertGreaterEqual(len(renames), 4)
        tried = list(moved_calls) if ALL else renames
        for at, (call, moved, wrong) in zip(tried, self.in_turn(lambda i: self.try_cut_short(tried[i], False), len(tried))):
            self.assertEqual(wrong, [], f"refused at call {at} ({call})")

    # ---- two builds at once ----

    def race(self, folder, *more):
        """Two builds into one place at the same time: their exit codes and errors by height."""
        runs = {height: subprocess.Popen(self.words(height, "-o", "kit", *more), cwd=folder, stdout=subprocess.DEVNULL,
                                         stderr=subprocess.PIPE) for height in self.kits}
        ends = {height: (run.communicate(timeout=60)[1], run.returncode) for height, run in runs.items()}
        return {height: (code, errors) for height, (errors, code) in ends.items()}

    def test_of_two_builds_without_force_one_wins_and_one_says_so(self):
        for number in range(ROUNDS):
            folder = self.place(f"race-{number}", old_kit=False)
            ends = self.race(folder)
            self.assertEqual(sorted(code for code, _ in ends.values()), [0, 1], ends)
            winner = next(height for height, (code, _) in ends.items() if code == 0)
            loser = next(errors for code, errors in ends.values() if code == 1)
            self.assertTrue(one_sentence(loser), loser)
            self.assertRegex(loser, b"has appeared meanwhile|is there already")
            self.assertEqual(tree(folder / "kit"), self.kits[winner])
            self.assertEqual(os.listdir(folder), ["kit"])

    def test_of_two_builds_with_force_both_win_one_after_the_other(self):
        for number in range(ROUNDS):
            folder = self.place(f"race-{number}", old_kit=number % 2 == 0)
            ends = self.race(folder, "--force")
            self.assertEqual([code for code, _ in ends.values()], [0, 0], ends)
            self.assertIn(tree(folder / "kit"), list(self.kits.values()))
            self.assertEqual(os.listdir(folder), ["kit"])

    def test_somebodys_own_that_takes_the_place_meanwhile_is_kept(self):
        for force in ([], ["--force"]):
            folder = self.place(f"mine-{len(force)}", old_kit=bool(force))
            process = subprocess.Popen(self.words(NEW, "-o", "kit", *force), cwd=folder, stdout=subprocess.DEVNULL,
                                       stderr=subprocess.PIPE)
            while not any(name.startswith("kit.new-") for name in os.listdir(folder)) and process.poll() is None:
                time.sleep(0.001)
            process.send_signal(signal.SIGSTOP)
            shutil.rmtree(folder / "kit", ignore_errors=True)
            (folder / "kit").mkdir()
            (folder / "kit" / "diary.txt").write_text("mine")
            process.send_signal(signal.SIGCONT)
            errors = process.communicate(timeout=60)[1]
            self.assertEqual(process.returncode, 1, errors)
            self.assertTrue(one_sentence(errors), errors)
            self.assertEqual(tree(folder / "kit"), {"diary.txt": b"mine"})
            self.assertEqual(os.listdir(folder), ["kit"])

    # ---- asked to stop ----

    def try_stop(self, number, picture, moment):
        """One long build that is interrupted as by the keyboard, its child too: exit code, seconds it took, what is wrong."""
        folder = self.place(f"stop-{number}", old_kit=True)
        words = [PROGRAM, "build", str(picture), "--height", STOP_HEIGHT, "--paper", "letter", "-o", "kit", "--force"]
        process = subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
                                   start_new_session=True)
        # Before the program has begun there is nobody who could be asked.
        while not any(name.startswith("kit.new-") for name in os.listdir(folder)) and process.poll() is None:
            time.sleep(0.001)
        time.sleep(moment)
        start = time.monotonic()
        os.killpg(process.pid, signal.SIGINT)
        errors = process.communicate(timeout=60)[1]
        seconds = time.monotonic() - start
        self.assertEqual(os.listdir(folder), ["kit"])
        kit = tree(folder / "kit")
        shutil.rmtree(folder)
        if process.returncode == 0:
            self.assertIn("kit.json", kit)
            self.assertNotEqual(kit, self.kits[OLD])
        else:
            self.assertEqual(process.returncode, 130, errors)
            self.assertTrue(one_sentence(errors), errors)
            self.assertEqual(kit, self.kits[OLD])
        return process.returncode, seconds

    def test_an_interrupted_build_stops_at_once_and_leaves_no_trace(self):
        picture = ROOT / "demo" / "nordersand.png"
        start = time.monotonic()
        subprocess.run([PROGRAM, "build", str(picture), "--height", STOP_HEIGHT, "--paper", "letter", "-o", "long"],
                       cwd=self.folder, check=True, capture_output=True, timeout=300)
        duration = time.monotonic() - start
        stopped, slowest = 0, 0.0
        for number in range(STOPS):
            moment = self.random.uniform(0.0, 1.0 if number % 2 else 0.1) * duration
            for again in range(3):  # a machine that is busy with something else may be slow once
                code, seconds = self.try_stop(number, picture, moment)
                if seconds <= 0.5:
                    break
            stopped += code == 130
            slowest = max(slowest, seconds)
            self.assertLessEqual(seconds, 0.5, f"seed {SEED}, stop {number} at {moment:.3f} of {duration:.3f} s")
        print(f"{STOPS} interrupts in {duration:.2f} s: {stopped} stopped the build, the slowest took {slowest:.3f} s")
        self.assertGreater(stopped, STOPS // 2)


if __name__ == "__main__":
    main()

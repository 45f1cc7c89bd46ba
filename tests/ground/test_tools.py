#!/usr/bin/env python3
"""test_tools.py SOURCE-ROOT - the checks themselves find what they are for: wrong includes, failed tests."""
import json
import pathlib
import subprocess
import sys
import tempfile

tools = pathlib.Path(sys.argv[1]) / "tools"
failures = []


def want(holds, text):
    if not holds:
        failures.append(text)


def check_includes(files):
    with tempfile.TemporaryDirectory() as folder:
        for name, text in files.items():
            path = pathlib.Path(folder, name)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return subprocess.run([tools / "check-includes", folder], capture_output=True, text=True, check=False)


def check_symbols(*sources):
    with tempfile.TemporaryDirectory() as folder:
        archives = []
        for i, text in enumerate(sources):
            source = pathlib.Path(folder, f"room{i}.c")
            source.write_text(text, encoding="utf-8")
            subprocess.run(["cc", "-c", source, "-o", source.with_suffix(".o")], check=True)
            archives.append(source.with_suffix(".a"))
            subprocess.run(["ar", "rc", archives[-1], source.with_suffix(".o")], check=True)
        return subprocess.run([tools / "check-symbols", *archives], capture_output=True, text=True, check=False)


want(check_symbols("int one(void) { return 1; }", "int two(void) { return 2; } static int one(void) { return two(); } int three(void) { return one(); }")
     .returncode == 0, "a name that a file keeps to itself may come twice")
twice = check_symbols("int one(void) { return 1; }", "int one(void) { return 2; }")
want(twice.returncode == 1 and "one" in twice.stdout, "a name with two homes should be found")
want(check_symbols("").returncode != 0, "archives without a name are a wrong list")

GOOD = {
    "src/base/arena.h": "",
    "src/shape/point.h": '#include "base/arena.h"\n',
    "src/shape/ring.h": '#include "shape/point.h"\n',
    "src/shape/overlay.h": '#include "shape/ring.h"\n',
    "src/shape/overlay.c": '#include "shape/overlay.h"\n#include <geos_c.h>\n',
    "src/picture/picture.h": '#include "base/arena.h"\n',
    "src/seam/seam.h": '#include "shape/overlay.h"\n#include "picture/picture.h"\n',
    "src/mark/mark.h": '#include "seam/seam.h"\n',
    "src/nest/nest.h": '#include "shape/ring.h"\n',
    "src/proof/proof.c": '#include "shape/ring.h"\n#include "base/arena.h"\n#include <jansson.h>\n',
    "src/job/job.h": '#include "mark/mark.h"\n#include "nest/nest.h"\n#include <pthread.h>\n',
    "app/cli/main.c": '#include "job/job.h"\n',
}
want(check_includes(GOOD).returncode == 0, "includes along the flow should pass")
WRONG = {
    "an include against the flow": ("src/shape/point.h", '#include "seam/seam.h"\n'),
    "an include between neighbours": ("src/mark/mark.h", '#include "nest/nest.h"\n'),
    "the proof sharing too much": ("src/proof/proof.c", '#include "shape/overlay.h"\n'),
    "the proof seeing the seams": ("src/proof/proof.c", '#include "seam/seam.h"\n'),
    "a room that sees the program": ("src/job/job.h", '#include "../../app/cli/main.h"\n'),
    "geometry in the program": ("app/cli/main.c", '#include "shape/ring.h"\n'),
    "GEOS outside of overlay": ("src/seam/seam.h", "#include <geos_c.h>\n"),
    "cairo outside of the kit": ("src/nest/nest.h", "#include <cairo.h>\n"),
    "libvips outside of picture": ("src/job/job.h", "#include <vips/vips.h>\n"),
    "a JSON reader in a pure room": ("src/seam/seam.h", "#include <jansson.h>\n"),
    "threads in a room": ("src/nest/nest.h", "#include <pthread.h>\n"),
    "a header that is not there": ("src/seam/seam.h", '#include "seam/nothing.h"\n'),
    "its own header not first": ("src/shape/overlay.c", '#include <geos_c.h>\n#include "shape/overlay.h"\n'),
    "an unknown room": ("src/kitchen/pot.h", ""),
}
for what, (name, text) in WRONG.items():
    files = GOOD | {name: text, "app/cli/main.h": ""}
    want(check_includes(files).returncode != 0, f"{what} should be found")
want(check_includes({}).returncode != 0, "an empty folder should not pass")


def count(broken, *logs):
    with tempfile.TemporaryDirectory() as folder:
        names = []
        for i, tests in enumerate(logs):
            names.append(pathlib.Path(folder, f"{i}.json"))
            names[-1].write_text("".join(json.dumps(test) + "\n" for test in tests), encoding="utf-8")
        result = subprocess.run([tools / "count-tests", str(broken), *names, "/nowhere/log.json"], capture_output=True, text=True, check=False)
        return result.returncode, result.stdout.splitlines()[-1]


CASES = "[       OK ] one\n[       OK ] two\n"
SKIPS = "[  SKIPPED ] three\n[  SKIPPED ] 1 test(s), listed below:\n[  SKIPPED ] three\n"
FAILS = "[  FAILED  ] four\n[  FAILED  ] 1 test(s), listed below:\n[  FAILED  ] four\n"
ok = {"name": "a", "result": "OK", "stdout": "[==========] Running 2 test(s).\n", "stderr": CASES}
want(count(0, [ok], [ok]) == (0, "4 passed, 0 failed"), "cases of all logs should be added up")
want(count(0, [ok | {"stderr": CASES + SKIPS}]) == (0, "2 passed, 0 failed"), "skipped cases are neither")
ran = "Ran 9 tests in 3.421s\n\n"
want(count(0, [{"name": "u", "result": "OK", "stderr": ran + "OK (skipped=2)\n"}]) == (0, "7 passed, 0 failed"), "unittest cases should count")
want(count(0, [{"name": "u", "result": "OK", "stderr": ran + "OK\n"}]) == (0, "9 passed, 0 failed"), "unittest cases should count")
want(count(0, [{"name": "u", "result": "FAIL", "stderr": ran + "FAILED (failures=1, errors=2)\n"}]) == (1, "6 passed, 3 failed"),
     "failures and errors of unittest should count")
want(count(0, [{"name": "script", "result": "OK"}]) == (0, "1 passed, 0 failed"), "a program without cases is one")
want(count(0, [ok | {"result": "FAIL", "stderr": CASES + FAILS}]) == (1, "2 passed, 1 failed"), "a failed case should count once")
want(count(0, [ok | {"result": "TIMEOUT"}]) == (1, "2 passed, 1 failed"), "a program cut short is a failure")
want(count(0, [{"name": "s", "result": "FAIL"}]) == (1, "0 passed, 1 failed"), "a failed program without cases is one")
want(count(1, [ok]) == (1, "2 passed, 1 failed"), "a build that broke is a failure")
want(count(1) == (1, "0 passed, 1 failed"), "nothing run at all is a failure when something broke")
want(count(0)[0] == 1, "nothing run at all should not pass")

for text in failures:
    print("FAILED:", text)
print(f"{len(WRONG)} wrong includes, {len(failures)} not as wanted")
sys.exit(1 if failures else 0)

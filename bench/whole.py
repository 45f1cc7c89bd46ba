#!/usr/bin/env python3
"""The whole job, measured from outside: the shared pictures at two sizes, and the demo at 5 ft.

Prints numbers and asserts none. Times are only comparable within one run.
    bench/whole.py [PROGRAM]            the 56 kits, then the demo
    PM_SHARED=DIR                       where the shared pictures are (default ../shared)"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PROGRAM = str(Path(sys.argv[1]).resolve()) if len(sys.argv) > 1 else str(ROOT / "build" / "app" / "papermason")
SHARED = Path(os.environ.get("PM_SHARED", ROOT.parent / "shared"))


def measured(words, folder):
    """Exit code, wall seconds, processor seconds, peak MB of the largest process, standard error."""
    start = time.monotonic()
    process = subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    message = process.stderr.read().decode(errors="replace")
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.monotonic() - start
    return os.waitstatus_to_exitcode(status), wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, message


def build(picture, folder, *more):
    return measured([PROGRAM, "build", str(picture), "-o", "kit", "--force", *more], folder)


def same_bytes(a, b):
    return subprocess.run(["diff", "-rq", str(a), str(b)], capture_output=True).returncode == 0


def pictures(folder):
    print("picture         variant height paper   exit proof layers pieces sheets  seam in sight (in)  waste %  wall s   MB")
    passed = runs = 0
    for picture_folder in sorted(p for p in (SHARED / "data" / "pictures").iterdir() if p.is_dir()):
        for variant in ("white", "alpha"):
            for height, paper in (("32in", "letter"), ("54in", "12x12")):
                picture = picture_folder / f"{picture_folder.name}-2048-{variant}.png"
                code, wall, _, megabytes, message = build(picture, folder, "--height", height, "--paper", paper)
                runs += 1
                line = f"{picture_folder.name:15} {variant:7} {height:6} {paper:7} {code:4}"
                if code != 0:
                    print(line, message.strip())
                    continue
                proof = subprocess.run([PROGRAM, "prove", "kit"], cwd=folder, capture_output=True).returncode
                kit = json.loads((folder / "kit" / "kit.json").read_text())
                totals = kit["totals"]
                passed += proof == 0
                print(line, f"{proof:5} {len(kit['layers']):6} {totals['pieces']:6} {totals['sheets']:6} "
                      f"{totals['visible_seam_mm'] / 25.4:19.1f} {totals['waste_percent']:8.1f} {wall:7.2f} {megabytes:5.0f}", flush=True)
    print(f"{passed} of {runs} kits built and proved\n")


def demo(folder):
    picture = sorted((ROOT / "demo").glob("*.png"))[0]
    asked = ["--height", "5ft", "--paper", "A=11x24", "--paper", "letter"]
    times = []
    for threads in ("1", "2", "2"):
        code, wall, cpu, megabytes, message = build(picture, folder, *asked, "--threads", threads)
        times.append(wall)
        print(f"demo at 5 ft, base on 11x24, rest on letter, {threads} thread(s): exit {code}, {wall:.2f} s wall, "
              f"{cpu:.2f} s processor, {megabytes:.0f} MB {message.strip()}")
        shutil.rmtree(folder / f"kit-{len(times)}", ignore_errors=True)
        shutil.copytree(folder / "kit", folder / f"kit-{len(times)}")
    print("one thread and two: identical bytes:", same_bytes(folder / "kit-1", folder / "kit-2"))
    print("twice the same: identical bytes:", same_bytes(folder / "kit-2", folder / "kit-3"))


def main():
    folder = Path(tempfile.mkdtemp(prefix="papermason-bench-"))
    try:
        if (SHARED / "data" / "pictures").is_dir():
            pictures(folder)
        else:
            print(f"the shared pictures are not there ({SHARED}); only the demo is measured")
        demo(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    main()

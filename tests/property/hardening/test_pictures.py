#!/usr/bin/env python3
"""Four of the shared pictures, 1024 pixels large, become proven kits under the sanitizers.

    test_pictures.py PROGRAM SHARED-FOLDER

Skipped (exit code 77) where the pictures or Python's imaging library are missing."""

import subprocess
import sys
import tempfile
from pathlib import Path

try:
    from PIL import Image
except ImportError:
    print("skipped: Python's imaging library is not there (python3-pil)")
    sys.exit(77)

# Many colours and thin parts; a photograph-like night; one large shape; holes in holes.
NAMES = ["peacock", "night-city", "bear", "bicycle"]
SIDE_PX = 1024
RUNS = [("32in", "letter"), ("54in", "12x12"), ("20in", "A=11x24"), ("32in", "a4")]


def run(*words):
    print(" ".join(words[1:]), flush=True)
    return subprocess.run(words, check=False).returncode == 0


def main():
    program, pictures = sys.argv[1], Path(sys.argv[2]) / "data" / "pictures"
    sources = [pictures / name / f"{name}-2048-alpha.png" for name in NAMES]
    missing = [str(source) for source in sources if not source.is_file()]
    if missing:
        print("skipped: not there:", ", ".join(missing))
        sys.exit(77)
    failures = 0
    with tempfile.TemporaryDirectory(prefix="papermason-test-") as folder:
        for source, (height, paper) in zip(sources, RUNS):
            picture, kit = str(Path(folder) / source.name), str(Path(folder) / source.stem)
            image = Image.open(source)
            image.thumbnail((SIDE_PX, SIDE_PX), Image.LANCZOS)
            image.save(picture)
            papers = ["--paper", paper] + (["--paper", "letter"] if "=" in paper else [])
            good = run(program, "build", picture, "--height", height, *papers, "-o", kit) and run(program, "prove", kit)
            failures += not good
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()

#!/usr/bin/env python3
"""photographs.py PROGRAM [FOLDER] - photographs as kits 4 ft tall: colours, pieces, time, and whether they are said to be photographs.

FOLDER (default build-bench-data/photograph) is filled from Debian packages when it is empty: python3-skimage (pictures in the public
domain or CC0, as its data/README.txt tells: an astronaut, a cup of coffee, a cat, a rocket) and python3-sklearn (a palace and a flower,
CC BY). The packages are only unpacked, not installed. Prints a line a picture and asserts nothing.
"""
import json
import os
import subprocess
import sys
import tempfile

PACKAGES = {
    "python3-skimage": [f"usr/lib/python3/dist-packages/skimage/data/{name}" for name in ("astronaut.png", "coffee.png", "chelsea.png", "rocket.jpg")],
    "python3-sklearn": [f"usr/lib/python3/dist-packages/sklearn/datasets/images/{name}" for name in ("china.jpg", "flower.jpg")],
}


def fetch(folder):
    os.makedirs(folder, exist_ok=True)
    for package, files in PACKAGES.items():
        with tempfile.TemporaryDirectory() as work:
            done = subprocess.run(["apt-get", "download", "-q", package], cwd=work, capture_output=True, check=False)
            debs = [name for name in os.listdir(work) if name.endswith(".deb")]
            if done.returncode or not debs:
                print(f"skipped {package}: apt-get could not download it (offline?)")
                continue
            subprocess.run(["dpkg-deb", "-x", debs[0], "."], cwd=work, check=True)
            for path in files:
                with open(os.path.join(work, path), "rb") as source, open(os.path.join(folder, os.path.basename(path)), "wb") as to:
                    to.write(source.read())


def measure(program, path):
    with tempfile.TemporaryDirectory() as work:
        kit = os.path.join(work, "kit")
        start = os.times()
        done = subprocess.run([program, "build", path, "--height", "4ft", "--paper", "letter", "-o", kit], capture_output=True, text=True, check=False)
        used = os.times()
        seconds = used.children_user + used.children_system - start.children_user - start.children_system
        name = os.path.basename(path)
        if done.returncode:
            print(f"{name:16} exit code {done.returncode}: {done.stderr.strip()}")
            return
        with open(os.path.join(kit, "kit.json"), encoding="utf-8") as file:
            told = json.load(file)
        proved = subprocess.run([program, "prove", kit], capture_output=True, check=False).returncode == 0
        colours = len({layer["colour"] for layer in told["layers"]})
        is_said = any(finding["kind"] == "photograph" for finding in told["findings"])
        print(f"{name:16} {colours:3} colours {told['totals']['pieces']:5} pieces  proof {'passes' if proved else 'FAILS'}  "
              f"{'said' if is_said else 'NOT said'} to be a photograph  {seconds:.1f} s of processor time")


def main():
    program = sys.argv[1]
    folder = sys.argv[2] if len(sys.argv) > 2 else "build-bench-data/photograph"
    if not os.path.isdir(folder) or not os.listdir(folder):
        fetch(folder)
    for name in sorted(os.listdir(folder)):
        measure(program, os.path.join(folder, name))


if __name__ == "__main__":
    main()

"""What the end-to-end tests share: the program, the shared pictures, tiny PNG files made in code."""

import os
import shutil
import struct
import subprocess
import sys
import tempfile
import unittest
import zlib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = os.environ.get("PM_PROGRAM", str(ROOT / "build" / "app" / "papermason"))
SHARED = Path(os.environ.get("PM_SHARED", ROOT.parent / "shared"))
PICTURES = SHARED / "data" / "pictures"


def png_bytes(width, height, pixel, alpha=True):
    """A PNG (ISO/IEC 15948) of pixel(x, y) -> (r, g, b, a)."""

    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    channels = 4 if alpha else 3
    rows = b"".join(
        b"\0" + b"".join(bytes(pixel(x, y)[:channels]) for x in range(width)) for y in range(height)
    )
    header = struct.pack(">IIBBBBB", width, height, 8, 6 if alpha else 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(rows, 9))
        + chunk(b"IEND", b"")
    )


RED, BLUE, WHITE, CLEAR = (200, 30, 40, 255), (30, 50, 160, 255), (255, 255, 255, 255), (0, 0, 0, 0)


def target_picture(width=120, height=160):
    """A blue oval with a red square inside, on transparency."""

    def pixel(x, y):
        u, v = (x + 0.5) / width * 2 - 1, (y + 0.5) / height * 2 - 1
        if u * u + v * v > 0.9:
            return CLEAR
        return RED if abs(u) < 0.4 and abs(v) < 0.4 else BLUE

    return png_bytes(width, height, pixel)


class ProgramTest(unittest.TestCase):
    """A folder of its own for each test; nothing may be left in it that the test does not expect."""

    def setUp(self):
        self.folder = Path(tempfile.mkdtemp(prefix="papermason-test-"))
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)

    def run_program(self, *words, **more):
        more.setdefault("cwd", self.folder)
        return subprocess.run([PROGRAM, *words], capture_output=True, timeout=300, **more)

    def write(self, name, data):
        path = self.folder / name
        path.write_bytes(data)
        return path

    def names(self):
        return sorted(entry.name for entry in self.folder.iterdir())


def main():
    if not Path(PROGRAM).exists():
        sys.exit(f"the program is not built: {PROGRAM}")
    unittest.main(verbosity=1)

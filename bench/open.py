#!/usr/bin/env python3
"""open.py PROGRAM [PICTURE] - how soon the page knows something: seconds on the clock and of the processor since a message was sent.

Prints for a new picture, a new height, a moved seam, another paper for one layer, a ticked piece and a taken kit when the first answer and the whole
one were there, and how long the longest reply took meanwhile. Asserts nothing.
"""
import pathlib
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "e2e"))
from open_support import Opened  # noqa: E402  pylint: disable=wrong-import-position


class Watch:
    """Asks for the state until an answer is whole; notes when each level came, and the longest reply."""

    def __init__(self, opened, said):
        self.opened, self.longest = opened, 0.0
        self.began, self.used = time.monotonic(), self.processor()
        said()
        self.seen = [("reply", self.now())]

    def processor(self):
        words = pathlib.Path(f"/proc/{self.opened.process.pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
        return sum(map(int, words[11:15])) / 100

    def now(self):
        return time.monotonic() - self.began, self.processor() - self.used

    def until(self, done):
        while True:
            asked = time.monotonic()
            state = self.opened.state()
            self.longest = max(self.longest, time.monotonic() - asked)
            if state["error"]:
                raise SystemExit(state["error"]["text"])
            if state["answer"] not in ("none", *(level for level, _ in self.seen)):
                self.seen.append((state["answer"], self.now()))
            if done(state):
                return self
            time.sleep(0.01)


def tell(name, watch):
    times = "  ".join(f"{level} {clock:.2f} ({processor:.2f})" for level, (clock, processor) in watch.seen)
    print(f"{name:28} {times}   longest reply {watch.longest:.3f}")


def rest(opened):
    while opened.state()["work"]["busy"]:
        time.sleep(0.05)
    time.sleep(1.5)  # steps and the plain grid


def main():
    program = sys.argv[1]
    picture = pathlib.Path(sys.argv[2]) if len(sys.argv) > 2 else ROOT / "demo" / "nordersand.png"
    print(f"{picture.name}, seconds on the clock (of the processor, all threads)")
    with tempfile.TemporaryDirectory() as folder:
        opened = Opened(pathlib.Path(folder), program=program)
        whole = lambda state: state["answer"] == "whole"  # noqa: E731
        tell("a new picture, 32 in", Watch(opened, lambda: opened.picture(picture.read_bytes(), picture.name)).until(whole))
        rest(opened)
        change = lambda *lines: lambda: opened.ask(ask="change", lines=list(lines))  # noqa: E731
        tell("height 5 ft", Watch(opened, change({"set": "height", "to": "5ft"})).until(whole))
        rest(opened)
        tell("paper of layer A: 11x24", Watch(opened, change({"set": "paper", "layer": "A", "to": "11x24"})).until(whole))
        rest(opened)
        seam = max(opened.ask(ask="view", what="seams", layer="A")["seams"], key=lambda one: one["length_mm"])
        colour = opened.state()["layers"][0]["colour"]
        moved = {"edit": "move-seam", "colour": colour, "from_mm": seam["points"], "points_mm": [[x + 3, y + 3] for x, y in seam["points"]]}
        tell("a seam moved by 3 mm", Watch(opened, change(moved)).until(whole))
        rest(opened)
        tell("a piece ticked as cut", Watch(opened, lambda: opened.ask(ask="tick", piece="B1", mark="cut")).until(whole))
        rest(opened)
        taken = Watch(opened, lambda: opened.ask(ask="take", open_with="svg")).until(lambda state: not state["kit"]["busy"])
        taken.seen = [taken.seen[0], ("kit", taken.now())]
        tell("the kit taken", taken)
        rest(opened)
        print(f"memory {opened.memory_kb() / 1024:.0f} MB")
        opened.stop()


main()

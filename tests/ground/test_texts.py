#!/usr/bin/env python3
"""test_texts.py SOURCE-ROOT PROGRAM - the man page, the README and --help tell of the same commands and options."""
import pathlib
import re
import subprocess
import sys

root, program = pathlib.Path(sys.argv[1]), sys.argv[2]
OPTION = re.compile(r"(?<![\w-])--[a-z]+")
failures = []


def want(holds, text):
    if not holds:
        failures.append(text)


def said(*words):
    return subprocess.run([program, *words], capture_output=True, text=True, check=False)


overview = said("--help")
want(overview.returncode == 0, "--help should end with exit code 0")
commands = re.findall(r"^    papermason ([a-z]+) ", overview.stdout, re.M)
want(len(commands) >= 3, "--help should list the commands")
options = set(OPTION.findall(overview.stdout))
for command in commands:
    result = said(command, "--help")
    want(result.returncode == 0 and f"papermason {command}" in result.stdout, f"{command} --help should show how it is used")
    options |= set(OPTION.findall(result.stdout))

manual = (root / "docs" / "papermason.1").read_text(encoding="utf-8").replace("\\-", "-")
manual_options = set(OPTION.findall(manual))
want(options <= manual_options, f"the man page lacks {sorted(options - manual_options)}")
want(manual_options <= options, f"the man page tells of {sorted(manual_options - options)}, --help does not")
for command in commands:
    want(re.search(rf"^\.BI {command} ", manual, re.M), f"the man page lacks the command {command}")
for code in range(6):
    want(re.search(rf"^\.B {code}$", manual, re.M), f"the man page lacks exit code {code}")
    want(re.search(rf"\b{code} [a-z]", overview.stdout), f"--help lacks exit code {code}")

readme = (root / "README.md").read_text(encoding="utf-8")
want(set(OPTION.findall(readme)) <= options, "the README tells of options that are not there")
for link in re.findall(r"\]\(([^)#]+)\)", readme):
    want((root / link).exists(), f"the README links to {link}, which is not there")

map_text = (root / "docs" / "architecture.md").read_text(encoding="utf-8")
for path in re.findall(r"`((?:src|app|tools|tests)/[\w./-]+)`", map_text):
    want((root / path).exists(), f"docs/architecture.md sends people to {path}, which is not there")
rooms = {folder.name for folder in (root / "src").iterdir() if folder.is_dir()}
for room in sorted(rooms):
    want(f"| `{room}` |" in map_text, f"docs/architecture.md has no row for src/{room}")

version = said("--version").stdout.strip()
want(re.fullmatch(r"papermason \d+\.\d+\.\d+", version), f"--version says '{version}'")
want(f'"{version}"' in manual, "the man page names another version")
want(said("--nonsense").returncode == 2, "an unknown option should end with exit code 2")

for text in failures:
    print("FAILED:", text)
print(f"{len(commands)} commands, {len(options)} options compared")
sys.exit(1 if failures else 0)

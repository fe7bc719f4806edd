#!/usr/bin/env python3
"""Do the tests notice? Changes one constant or operator at a time in a copy of the tree and runs the tests
of the pure floors (no golden file among them); what no test notices is printed.

usage: tests/mutate.py [--count N] [--seed N] [--keep FOLDER] [FILE.c ...]

Without files: all of model, reckon, outlook and topics. 9 of 10 have to be noticed, else exit 1.
A few changes mean nothing (a buffer's size, the order of two equal sums): they count as not noticed.
"""
import argparse
import random
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FLOORS = ["model", "reckon", "outlook", "topics"]
GOAL = 0.9
TIMEOUT_S = 120
SWAPS = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "&&": "||", "||": "&&", "==": "!=", "!=": "==",
         "+": "-", "-": "+", "*": "/", "/": "*", "+=": "-=", "-=": "+="}
TOKEN = re.compile(
    r"""(?P<skip>//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\])*"|'(?:\\.|[^'\\])*'|^[ \t]*\#[^\n]*(?:\\\n[^\n]*)*)
      |(?P<name>[A-Za-z_]\w*)
      |(?P<number>(?:\d+\.\d*|\.\d+|\d+)(?:[eE][-+]?\d+)?[uUlLfF]*)
      |(?P<op>->|\+\+|--|<<=?|>>=?|<=|>=|==|!=|&&|\|\||\+=|-=|[-+*/<>])""",
    re.X | re.S | re.M)
# What a compiler would not let pass, or what changes nothing that a reader could see.
DULL_LINE = re.compile(r"^\s*(static\s+)?(const\s+)?char\b.*\[|snprintf|__attribute__|_Static_assert|for \(|sizeof")


def changed_number(text):
    """One step up for a whole number, a twentieth for any other: enough to matter, hard to notice."""
    digits = text.rstrip("uUlLfF")
    suffix = text[len(digits):]
    if re.fullmatch(r"\d+", digits):
        return f"{int(digits) + 1}{suffix}" if digits[0] != "0" or digits == "0" else None
    return f"{float(digits) * 1.05:.9g}{suffix}" if float(digits) else f"0.05{suffix}"


def sites(path):
    """(start, end, replacement) of each place that can be changed."""
    text = path.read_text()
    previous = ""
    for token in TOKEN.finditer(text):
        if token.lastgroup == "skip":
            continue
        line = text[text.rfind("\n", 0, token.start()) + 1:text.find("\n", token.end())]
        word = token.group()
        if not DULL_LINE.search(line):
            if token.lastgroup == "number" and word not in ("0", "1"):
                other = changed_number(word)
                if other and text[token.start() - 1] != "[":
                    yield token.start(), token.end(), other
            elif token.lastgroup == "op" and word in SWAPS and binary(text, token, previous):
                yield token.start(), token.end(), SWAPS[word]
        previous = word


def binary(text, token, previous):
    """An operator between two values: not a pointer's star, a sign, or an include's bracket."""
    before, after = text[token.start() - 1], text[token.end():token.end() + 1]
    return before in " \n" and after in " \n" and previous not in ("return", "=", "(", ",", "{")


def run(command, folder, seconds=None):
    try:
        return subprocess.run(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                              timeout=seconds, check=False).returncode
    except subprocess.TimeoutExpired:
        return 1


class Copy:
    """A copy of the tree with a build of its own."""

    def __init__(self, folder):
        self.tree, self.build = folder / "tree", folder / "build"
        if not self.tree.exists():
            names = subprocess.run(["git", "ls-files", "-z", "--cached"], cwd=ROOT, capture_output=True,
                                   text=True, check=True).stdout.split("\0")
            for name in filter(None, names):
                target = self.tree / name
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(ROOT / name, target)
        if not self.build.exists() and run(["meson", "setup", self.build, self.tree], folder):
            sys.exit("mutate: the copy can't be set up")
        listed = subprocess.run(["ninja", "-C", self.build, "-t", "targets", "all"], capture_output=True,
                                text=True, check=True).stdout
        self.tests = {floor: re.findall(rf"^(tests/test_{floor}_\w+): ", listed, re.M) for floor in FLOORS}

    def compile(self, targets):
        return not targets or run(["ninja", "-C", self.build, *targets], self.tree) == 0

    def noticed(self, name):
        """The test that fails, None where all pass, False where it does not compile. Those that bear the
        file's name first, then its own floor, then those that stand on it."""
        floor, stem = name.parts[1], name.stem
        above = {"model": ["model", "outlook", "topics"], "reckon": ["reckon", "outlook", "topics"],
                 "outlook": ["outlook", "topics"], "topics": ["topics"]}[floor]
        own = [test for test in self.tests[floor] if test.endswith(stem)]
        for tests in [own] + [self.tests[floor] for floor in above]:
            if not self.compile(tests):
                return False
            for test in tests:
                if run([self.build / test], self.build, TIMEOUT_S):
                    return test
        return None


def in_turn(seed, found):
    """All places, a file after the other, so that a long table does not stand for all."""
    dice = random.Random(seed)
    queues = [(name, dice.sample(places, len(places))) for name, places in found.items()]
    while queues:
        dice.shuffle(queues)
        for name, places in queues:
            if places:
                yield name, *places.pop()
        queues = [queue for queue in queues if queue[1]]


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=60, help="how many changes (60)")
    parser.add_argument("--seed", type=int, default=1, help="which ones (1)")
    parser.add_argument("--keep", help="the folder of the copy; kept, for a next time")
    parser.add_argument("files", nargs="*")
    asked = parser.parse_args()

    files = [Path(f).resolve().relative_to(ROOT) for f in asked.files] or sorted(
        path.relative_to(ROOT) for floor in FLOORS for path in (ROOT / "src" / floor).glob("*.c"))
    folder = Path(asked.keep or tempfile.mkdtemp(prefix="ullage-mutate-"))
    folder.mkdir(parents=True, exist_ok=True)
    copy = Copy(folder)
    if not copy.compile([test for floor in FLOORS for test in copy.tests[floor]]):
        sys.exit("mutate: the copy does not build")

    places = in_turn(asked.seed, {name: list(sites(copy.tree / name)) for name in files})
    killed = tried = 0
    for name, start, end, other in places:
        if tried == asked.count:
            break
        path = copy.tree / name
        text = path.read_text()
        path.write_text(text[:start] + other + text[end:])
        by = copy.noticed(name)
        path.write_text(text)
        if by is False:
            continue
        tried += 1
        print(".", end="", file=sys.stderr, flush=True)
        killed += by is not None
        line = text.count("\n", 0, start)
        if by is None:
            print(f"live: {name}:{line + 1}: {text[start:end]} -> {other}:  {text.splitlines()[line].strip()}",
                  flush=True)
    if not asked.keep:
        shutil.rmtree(folder)
    print(f"{killed} of {tried} changes noticed")
    return 0 if tried and killed >= GOAL * tried else 1


if __name__ == "__main__":
    sys.exit(main())

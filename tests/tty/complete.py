#!/usr/bin/env python3
"""Completion in a shell on a pseudo-terminal: complete.py SHELL ULLAGE SHARE

Types the beginnings of command lines, a tab and Enter, and looks at the words that the program
would have been given. Every kind and every option of it, and what breaks words in shells: names
with spaces, ':' and '='. Exits with 77 where the shell is not on this machine.
"""
import os
import pty
import re
import select
import shutil
import subprocess
import sys
import tempfile
import time

shell, ullage, share = sys.argv[1], os.path.abspath(sys.argv[2]), sys.argv[3]
WAIT = 30  # seconds; a machine under load is slow

STAND_IN = """#!/bin/sh
[ "$1" = complete ] && exec {ullage} "$@"
printf 'GOT'
for word in "$@"; do printf '<%s>' "$word"; done
printf 'END\\n'
"""

START = {
    "bash": ["bash", "--norc", "--noprofile", "-i"],
    "zsh": ["zsh", "-f", "-i"],
    "fish": ["fish", "--no-config", "-i"],
}
SET_UP = {
    "bash": "bind 'set bell-style none'; bind 'set enable-bracketed-paste off'; . {share}/ullage.bash; PS1='%'",
    "zsh": "unsetopt zle_bracketed_paste auto_list beep; fpath=({folder} $fpath); autoload -Uz compinit; "
    "compinit -u -D; PROMPT='%%'",
    "fish": "source {share}/ullage.fish",
}


class Terminal:
    def __init__(self, words, env):
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            os.execvpe(words[0], words, env)
        self.seen = ""

    def send(self, text):
        os.write(self.fd, text.encode())

    def until(self, pattern):
        end = time.time() + WAIT
        while time.time() < end:
            found = re.search(pattern, self.seen, re.S)
            if found:
                self.seen = self.seen[found.end() :]
                return found
            if select.select([self.fd], [], [], 0.2)[0]:
                try:
                    got = os.read(self.fd, 65536).decode(errors="replace")
                except OSError:
                    break
                # the shell asks what the terminal is; any answer will do
                if "\x1b[c" in got or "\x1b[0c" in got:
                    self.send("\x1b[?6c")
                self.seen += got
        raise SystemExit(f"{shell}: nothing like {pattern!r} in {self.seen[-2000:]!r}")


def candidates(*words):
    out = subprocess.run([ullage, "complete", "--", *words], capture_output=True, text=True, check=True)
    return [line.split("\t")[0] for line in out.stdout.splitlines()]


def cases():
    """(typed before the tab, words that come of it)"""
    yield "fill A1 --from H", ["fill", "A1", "--from", "Holm tap"]
    yield "fill A1 --from=H", ["fill", "A1", "--from=Holm tap"]
    yield "fill A1 --at 12:30 --from H", ["fill", "A1", "--at", "12:30", "--from", "Holm tap"]
    yield "fill A1 '=11.5' --from H", ["fill", "A1", "=11.5", "--from", "Holm tap"]
    yield "unstop 'Hol", ["unstop", "Holm tap"]
    yield "draw gal", ["draw", "galley"]
    yield "draw galley 2 --for co", ["draw", "galley", "2", "--for", "cook"]
    yield "due --as to", ["due", "--as", "todo"]
    yield "swap car", ["swap", "carbon"]
    for kind in candidates("log", "--kind", ""):
        if candidates(kind) == [kind]:
            yield kind[:-1], [kind]
        for option in candidates(kind, "--"):
            if candidates(kind, option[:-1]) == [option]:
                yield f"{kind} {option[:-1]}", [kind, option]


if shutil.which(shell) is None:
    print(f"no {shell} on this machine")
    sys.exit(77)
with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
    log = os.path.join(folder, "water.db")
    subprocess.run([ullage, "demo", "--write", log], check=True, stdout=subprocess.DEVNULL, env={**os.environ, "ULLAGE_SHARE": share})
    os.environ["ULLAGE_LOG"] = log
    with open(os.path.join(folder, "ullage"), "w", encoding="ascii") as file:
        file.write(STAND_IN.format(ullage=ullage))
    os.chmod(os.path.join(folder, "ullage"), 0o755)
    shutil.copy(os.path.join(share, "ullage.zsh"), os.path.join(folder, "_ullage"))
    env = {**os.environ, "PATH": folder + ":" + os.environ["PATH"], "TERM": "dumb" if shell == "bash" else "xterm",
           "HOME": folder, "ULLAGE_LOG": log, "LC_ALL": "C.UTF-8"}
    env.pop("XDG_DATA_HOME", None)
    terminal = Terminal(START[shell], env)
    terminal.send(SET_UP[shell].format(share=share, folder=folder) + "\n")
    terminal.send("ullage ready\n")
    terminal.until("GOT<ready>END")
    count = 0
    for typed, wanted in cases():
        terminal.send("ullage " + typed + "\t")
        time.sleep(0.02)
        terminal.send("\n")
        got = terminal.until(r"GOT(.*?)END").group(1)
        expected = "".join(f"<{word}>" for word in wanted)
        if got != expected:
            raise SystemExit(f"{shell}: {typed!r} became {got}, not {expected}")
        count += 1
    if sorted(name for name in os.listdir(folder) if name.startswith("water")) != ["water.db"]:
        raise SystemExit("the log has company: " + str(os.listdir(folder)))
    terminal.send("exit\n")
    print(f"{shell}: {count} completions")

# SPDX-License-Identifier: BSL-1.0
"""run_page.py PAGE DIRECTORY: does what a page of docs/ tells its reader, to the letter.

In the empty DIRECTORY, where `filterflow` leads to this project, blocks of the page are taken in order:

    <!-- file: NAME -->      the block becomes the file NAME
    <!-- run -->             each line that begins with "$ " is run; every one has to end well, and the lines between,
                             if there are any, have to be what it prints ("..." on a line of its own leaves lines out)

A page without a block to run fails.
"""
import os
import pathlib
import re
import shutil
import subprocess
import sys

# The pages name make, which CMake takes where nothing else is said; the tests have Ninja alone.
ENVIRONMENT = dict(os.environ) if shutil.which("make") else dict(os.environ, CMAKE_GENERATOR="Ninja")
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
BLOCK = re.compile(r"^<!-- *(file|run)(?:: *(\S+))? *-->\s*\n^```\w*\n(.*?)^```\s*$", re.M | re.S)


def commands(body):
    """Each command of a console block with the lines shown below it."""
    result = []
    for line in body.rstrip("\n").split("\n"):
        if line.startswith("$ "):
            result.append((line[2:], []))
        elif result:
            result[-1][1].append(line)
        else:
            sys.exit(f"a block to run begins with a line that is no command: {line}")
    return result


def shows(printed, shown):
    """Whether the lines shown stand in what was printed, in order, "..." standing for any lines."""
    rest = [line.rstrip() for line in printed]
    piece = []
    for line in shown + ["..."]:
        if line.strip() != "...":
            piece.append(line.rstrip())
            continue
        place = next((i for i in range(len(rest) - len(piece) + 1) if rest[i:i + len(piece)] == piece), None)
        if place is None:
            return False
        rest, piece = rest[place + len(piece):], []
    return True


def follow(text, directory):
    ran = 0
    for kind, name, body in BLOCK.findall(text):
        if kind == "file":
            (directory / name).write_text(body, encoding="utf-8")
            continue
        for command, shown in commands(body):
            print(f"$ {command}", flush=True)
            done = subprocess.run(["bash", "-c", command], cwd=directory, env=ENVIRONMENT, text=True,
                                  stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
            print(done.stdout, end="", flush=True)
            if done.returncode != 0:
                return f"\"{command}\" ended with {done.returncode}"
            if shown and not shows(done.stdout.split("\n"), shown):
                return f"\"{command}\" does not print what the page shows"
            ran += 1
    return None if ran else "the page has nothing to run"


def self_test():
    with tempfile.TemporaryDirectory() as folder:
        directory = pathlib.Path(folder)
        good = "<!-- file: a.txt -->\n```\none\ntwo\n```\n<!-- run -->\n```console\n$ cat a.txt\n...\ntwo\n```\n"
        assert follow(good, directory) is None
        assert "does not print" in follow(good.replace("...\ntwo", "three"), directory)
        assert "ended with 1" in follow(good.replace("cat a.txt", "cat b.txt"), directory)
        assert "nothing to run" in follow("text", directory)


if __name__ == "__main__":
    self_test()
    target = pathlib.Path(sys.argv[2])
    shutil.rmtree(target, ignore_errors=True)
    target.mkdir(parents=True)
    (target / "filterflow").symlink_to(ROOT)
    fault = follow(pathlib.Path(sys.argv[1]).read_text(encoding="utf-8"), target)
    if fault:
        sys.exit(f"{sys.argv[1]}: {fault}")

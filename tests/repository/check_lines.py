# SPDX-License-Identifier: BSL-1.0
"""No line of a source is longer than 120 columns, in C++, Python, JavaScript, shell and CMake.

Excepted are lines inside a raw string of C++, which are shown as they are, and lines with an address that alone leaves
no room. `clang-format --lines=N:N -i FILE` breaks line N as the others are broken.
"""
import pathlib
import re
import tempfile

import repository

LIMIT = 120
LEFT_OUT = {"include/filterflow"}
SUFFIXES = {".cpp", ".hpp", ".py", ".cjs", ".sh", ".cmake"}
NAMES = {"CMakeLists.txt"}
CPP = {".cpp", ".hpp"}

# What may hold the beginning of a raw string without being one comes first.
TOKEN = re.compile(r"""//[^\n]*|/\*.*?\*/|R"([^\s()\\]*)\(.*?\)\1"|"(?:[^"\\\n]|\\.)*"|'(?:[^'\\\n]|\\.)'""", re.S)
ADDRESS = re.compile(r"https?://\S+")


def raw_lines(text):
    """Numbers of the lines that a raw string of C++ takes up, counted from 1."""
    found = set()
    for token in TOKEN.finditer(text):
        if token.group().startswith("R"):
            first = text.count("\n", 0, token.start()) + 1
            found.update(range(first, first + token.group().count("\n") + 1))
    return found


def check(root):
    findings = []
    for path in repository.files(root):
        if path.suffix not in SUFFIXES and path.name not in NAMES:
            continue
        if any(pathlib.Path(root, left_out) in path.parents for left_out in LEFT_OUT):
            continue
        text = path.read_text(encoding="utf-8")
        long = [(i, len(line)) for i, line in enumerate(text.split("\n"), 1)
                if len(line) > LIMIT and len(ADDRESS.sub("", line)) > LIMIT // 2]
        excepted = raw_lines(text) if long and path.suffix in CPP else set()
        findings += [f"{path.relative_to(root)}:{i}: {columns} columns, at most {LIMIT}"
                     for i, columns in long if i not in excepted]
    return findings


def self_test():
    fits, long = "x" * LIMIT, "x" * (LIMIT + 1)
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        repository.write(root, "include/good.hpp", f"// {fits[3:]}\n")
        repository.write(root, "include/bad.hpp", f"\n// {long[3:]}\n")
        repository.write(root, "tests/raw.cpp", f'const char* a = R"({long}\n{long})";\nauto b = R"x({long})")x";\n')
        repository.write(root, "tests/after_raw.cpp", f'const char* a = R"(x)";\n{long}\n')
        repository.write(root, "tests/comment.cpp", f'// R"(\n{long}\n// )"\n')
        repository.write(root, "tests/literal.cpp", f'const char* a = "R\\"(";\nconst char b = \'"\';\n{long}\n)"\n')
        repository.write(root, "tests/address.py", f"# https://e.org/{long}\n# {fits} https://e.org/\n")
        repository.write(root, "bench/run.sh", f"# {long}\n")
        repository.write(root, "CMakeLists.txt", f"# {long}\n")
        repository.write(root, "tests/wide.cpp", "// " + "µ" * (LIMIT - 3) + "\n")
        repository.write(root, "tests/reference/data.csv", f"{long}\n")
        repository.expect(check(root), "include/bad.hpp:2: 121 columns", "tests/after_raw.cpp:2", "tests/comment.cpp:2",
                          "tests/literal.cpp:3", "tests/address.py:2", "bench/run.sh:1", "CMakeLists.txt:1")


if __name__ == "__main__":
    repository.run(check, self_test)

# SPDX-License-Identifier: BSL-1.0
"""The code and the output shown in README.md are those of the compiled examples.

A block of C++ has a comment before it that names its source, and stands there line for line (apart from a common
indentation):

    <!-- code: examples/first_steps.cpp -->
    ```cpp
    ...
    ```

A block of output names the file with the program's stored output, which the tests compare with what the program
prints; lines that begin with "$ " are commands, and "..." on a line of its own leaves lines out:

    <!-- output: examples/expected/first_steps.txt -->
    ```console
    $ ./first_steps
    ...
    ```

README.md must have both kinds, its programs no more than 12 lines, and no block of C++, Python or console output
without such a comment, unless a console block holds nothing but commands; so must the pages for those who embed the
library. There a block may also be one that tests/consumers/run_page.py writes to a file or runs (comments "file:
NAME" and "run"). Other pages are checked where they have the comments.
"""
import pathlib
import re
import tempfile
import textwrap

import repository

# Pages for those who embed the library.
STRICT = ["docs/embed_design_tool.md", "docs/script.md", "docs/first_lesson.md"]

GREATEST_CODE = 12   # lines of a program in README.md, blank ones apart

BLOCK = re.compile(r"(?:^<!-- *(code|output|file|run)(?:: *(\S+))? *-->\s*\n)?"
                   r"^```(\w*)[^\n]*\n(.*?)^```\s*$", re.M | re.S)


def contains(lines, wanted):
    """Whether the wanted lines stand in lines one after the other, with the same common indentation."""
    def bare(some):
        return textwrap.dedent("\n".join(line.rstrip() for line in some)).split("\n")
    wanted = bare(wanted)
    return any(bare(lines[i:i + len(wanted)]) == wanted for i in range(len(lines) - len(wanted) + 1))


def contains_in_order(lines, wanted):
    """As contains, where a line "..." in wanted stands for any lines."""
    pieces, piece = [], []
    for line in wanted + ["..."]:
        if line.strip() == "...":
            if piece:
                pieces.append(piece)
            piece = []
        else:
            piece.append(line.rstrip())
    start = 0
    lines = [line.rstrip() for line in lines]
    for piece in pieces:
        while start + len(piece) <= len(lines) and lines[start:start + len(piece)] != piece:
            start += 1
        if start + len(piece) > len(lines):
            return False
        start += len(piece)
    return bool(pieces)


def check_page(root, page, strict):
    findings = []
    name = page.relative_to(root)
    text = page.read_text(encoding="utf-8")
    kinds = set()
    for match in BLOCK.finditer(text):
        kind, source, language, body = match.groups()
        line = text.count("\n", 0, match.start()) + 1
        lines = body.rstrip("\n").split("\n")
        if kind is None:
            commands_only = all(l.startswith(("$ ", "#")) or not l.strip() for l in lines)
            if strict and (language in {"cpp", "c++", "python"} or language == "console" and not commands_only):
                findings.append(f"{name}:{line}: a block of {language} that names no source")
            continue
        kinds.add("output" if kind == "run" else kind)
        if kind in {"file", "run"}:
            continue
        path = root / source
        if not path.is_file():
            findings.append(f"{name}:{line}: {source} does not exist")
            continue
        there = path.read_text(encoding="utf-8").split("\n")
        if kind == "code" and not contains(there, lines):
            findings.append(f"{name}:{line}: this code does not stand in {source}")
        if kind == "code" and name.as_posix() == "README.md" and len([l for l in lines if l.strip()]) > GREATEST_CODE:
            findings.append(f"{name}:{line}: a program of more than {GREATEST_CODE} lines")
        if kind == "output":
            shown = [l for l in lines if not l.startswith("$ ")]
            if not contains_in_order(there, shown):
                findings.append(f"{name}:{line}: this output does not stand in {source}")
    if strict:
        findings += [f"{name}: shows no {kind} of an example" for kind in ("code", "output") if kind not in kinds]
        if name.as_posix() == "README.md" and len(text.splitlines()) >= 200:
            findings.append(f"{name}: has {len(text.splitlines())} lines; less than 200 are read")
    return findings


def check(root):
    readme = root / "README.md"
    if not readme.is_file():
        return ["README.md is missing"]
    findings = check_page(root, readme, strict=True)
    for page in repository.files(root, ".md"):
        if page != readme:
            findings += check_page(root, page, strict=page.relative_to(root).as_posix() in STRICT)
    return findings


def self_test():
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        repository.expect(check(root), "README.md is missing")
        repository.write(root, "examples/a.cpp", "int main() {\n    int x;\n    int y;\n}\n")
        repository.write(root, "examples/expected/a.txt", "one\ntwo\nthree\n")
        good = ("<!-- code: examples/a.cpp -->\n```cpp\nint x;\nint y;\n```\n"
                "<!-- output: examples/expected/a.txt -->\n```console\n$ ./a\none\n...\nthree\n```\n"
                "```console\n$ bash tests/run.sh\n```\n")
        repository.write(root, "README.md", good)
        repository.expect(check(root))
        repository.write(root, "README.md", good.replace("int y", "int z"))
        repository.expect(check(root), "this code does not stand")
        repository.write(root, "README.md", good.replace("three", "four"))
        repository.expect(check(root), "this output does not stand")
        repository.write(root, "README.md", good.replace("one\n...", "one"))
        repository.expect(check(root), "this output does not stand")
        repository.write(root, "README.md", good.replace("<!-- code: examples/a.cpp -->\n", ""))
        repository.expect(check(root), "names no source", "shows no code")
        repository.write(root, "README.md", good.replace("a.txt", "b.txt"))
        repository.expect(check(root), "b.txt does not exist")
        long = "    int z;\n" * 13
        repository.write(root, "examples/a.cpp", "int main() {\n    int x;\n    int y;\n" + long + "}\n")
        repository.write(root, "README.md", good.replace("int y;\n", "int y;\n" + "int z;\n" * 10))
        repository.expect(check(root))
        repository.write(root, "README.md", good.replace("int y;\n", "int y;\n" + "int z;\n" * 11))
        repository.expect(check(root), "a program of more than 12 lines")
        repository.write(root, "README.md", good + "\n" * 200)
        repository.expect(check(root), "lines; less than 200")
        repository.write(root, "README.md", good)
        repository.write(root, "docs/core.md", "```python\nx = 1\n```\n")
        repository.write(root, STRICT[0], good + "<!-- run -->\n```console\n$ ./a\nfour\n```\n")
        repository.expect(check(root))
        repository.write(root, STRICT[0], good + "```python\nx = 1\n```\n")
        repository.expect(check(root), "a block of python that names no source")


if __name__ == "__main__":
    repository.run(check, self_test)

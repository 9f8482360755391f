# SPDX-License-Identifier: BSL-1.0
"""Words that have no place in the project: paths of somebody's machine, hosts of package registries, working
papers that are not part of it."""
import pathlib
import re
import tempfile

import repository

# Written in pieces, so that this file does not contain them.
WORDS = [
    "/wo" + r"rk/(?:main|shared|\.library|[a-z])", "/tmp/" + "team", "/ro" + "ot/", "/ho" + r"me/[a-z]",
    "registry\\." + r"npmjs", "pypi\\." + "org", "deb\\." + "debian", "proxy\\." + "golang", "crates\\." + "io",
    "seed " + "document", r"\btran" + r"scripts?\b", "shared/" + "reference", "shared/" + "design", r"\.\./" + "shared",
    "issue " + r"#?\d", "TO" + "DO", "FIX" + "ME", r"(?<!X)X" + r"XX(?!X)",
]
PATTERN = re.compile("|".join(WORDS))
TEXT = {".hpp", ".cpp", ".py", ".sh", ".md", ".txt", ".cmake", ".in", ".json", ".csv", ".toml", ".gp", ".svg", ".html",
        ".yml", ".dict", ""}


def check(root):
    findings = []
    for path in repository.files(root):
        if path.suffix not in TEXT:
            continue
        try:
            lines = path.read_text(encoding="utf-8").splitlines()
        except UnicodeDecodeError:
            if "corpus" in path.as_posix():
                continue
            findings.append(f"{path.relative_to(root)}: not UTF-8")
            continue
        for number, line in enumerate(lines, 1):
            match = PATTERN.search(line)
            if match:
                findings.append(f"{path.relative_to(root)}:{number}: \"{match.group(0)}\" has no place here")
    return findings


def self_test():
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        repository.write(root, "build/b.md", "seed " + "document")
        repository.write(root, "a.md", "a line\n/wo" + "rk/main/x\n")
        repository.write(root, "c/d.hpp", "// from the tran" + "script\n// TO" + "DO\n")
        repository.write(root, "e.csv", "x,shared/" + "reference/y.csv\n")
        repository.expect(check(root), "a.md:2", "c/d.hpp:1", "c/d.hpp:2", "e.csv:1")
        repository.write(root, "a.md", "plain\n")
        repository.write(root, "c/d.hpp", "// a frame and its gap\n")
        repository.write(root, "e.csv", "x,y\n")
        repository.expect(check(root))


if __name__ == "__main__":
    repository.run(check, self_test)

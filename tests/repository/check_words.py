# SPDX-License-Identifier: BSL-1.0
"""What has no place in a project that others clone: paths outside it, hosts it does not need, marks of unfinished
work. Examples of the patterns below are written in pieces, so that this file does not match itself."""
import pathlib
import re
import tempfile

import repository

# An absolute path into somebody's home or work folder; a folder beside the clone; unfinished work; a ticket's number.
WORDS = [
    r"(?<![\w.}>)$])/(?:root|home|work|mnt|Users)/[\w.]", r"/tmp/[a-z]\w*/", r"(?:\.\./)+shared\b", r"\bissue #?\d",
    r"\bTO" + r"DO\b", r"\bFIX" + r"ME\b", r"(?<!X)X" + r"XX(?!X)",
]
# The only host that files name: that of the name spaces of SVG and MathML. "x" and "e.org" are made up, in tests.
HOSTS = ["www.w3.org", "x", "e.org"]
NEEDED = "|".join(re.escape(host) for host in HOSTS)
WORDS.append(r"\b(?:https?|ftp|git|ssh)://(?!(?:" + NEEDED + r")(?![\w.-]))[\w.-]+")
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
        repository.write(root, "build/b.md", "/ho" + "me/somebody/x")
        repository.write(root, "a.md", "a line\n/wo" + "rk/somebody/x\n")
        repository.write(root, "c/d.hpp", "// as in ../" + "shared\n// TO" + "DO\n")
        repository.write(root, "e.csv", "x,https:/" + "/packages.example/y.csv\n")
        repository.expect(check(root), "a.md:2", "c/d.hpp:1", "c/d.hpp:2", "e.csv:1")
        repository.write(root, "a.md", "plain\n")
        repository.write(root, "c/d.hpp", "// a frame and its gap\n")
        repository.write(root, "e.csv", "x,y\n")
        repository.expect(check(root))


if __name__ == "__main__":
    repository.run(check, self_test)

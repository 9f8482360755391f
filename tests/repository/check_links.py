# SPDX-License-Identifier: BSL-1.0
"""Local links and pictures of the Markdown pages lead somewhere, to headings too; paths named in code spans that
look like files of the project exist."""
import pathlib
import re
import tempfile

import repository

LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)(?:\s+\"[^\"]*\")?\)")
FENCE = re.compile(r"^(```|~~~).*?^\1\s*$", re.M | re.S)
CODE = re.compile(r"`[^`\n]+`")
PATH_IN_CODE = re.compile(r"^(?:include|tests|examples|docs|bench|scripts|cmake)/[\w./-]+\.\w+$")


def anchors(path):
    text = FENCE.sub("", path.read_text(encoding="utf-8"))
    result = set()
    for heading in re.findall(r"^#+\s+(.+?)\s*#*$", text, re.M):
        slug = re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")
        result.add(slug)
    return result


def check(root):
    findings = []
    pages = repository.files(root, ".md")
    for page in pages:
        name = page.relative_to(root)
        text = FENCE.sub("", page.read_text(encoding="utf-8"))
        for span in CODE.findall(text):
            target = span.strip("`")
            if PATH_IN_CODE.match(target) and not (root / target).exists():
                findings.append(f"{name}: names `{target}`, which does not exist")
        for target in LINK.findall(CODE.sub("", text)):
            if re.match(r"[a-z]+:", target):
                continue
            path, _, anchor = target.partition("#")
            to = page if not path else (page.parent / path).resolve()
            if not to.exists():
                findings.append(f"{name}: link to {target} leads nowhere")
            elif anchor and to.suffix == ".md" and anchor not in anchors(to):
                findings.append(f"{name}: {target} has no such heading")
    return findings


def self_test():
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        repository.write(root, "README.md", "[a](docs/a.md#two-words) ![p](p.svg) `tests/x.cpp` [w](https://e.org/x)\n"
                         "```\n[no](link)\n```\n")
        repository.write(root, "docs/a.md", "# Two words\n[up](../README.md)\n")
        repository.write(root, "p.svg", "")
        repository.write(root, "tests/x.cpp", "")
        repository.expect(check(root))
        repository.write(root, "docs/a.md", "# Three words\n[up](../GONE.md) [self](#none) `tests/y.cpp`\n")
        repository.expect(check(root), "docs/a.md#two-words has no such heading", "GONE.md leads nowhere",
                          "#none has no such heading", "tests/y.cpp")


if __name__ == "__main__":
    repository.run(check, self_test)

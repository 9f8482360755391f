# SPDX-License-Identifier: BSL-1.0
"""What the checks of the repository share: its files, and how a check reports."""
import os
import pathlib
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
LEFT_OUT = {".git", "build", "__pycache__", ".cache", "node_modules"}


def files(root, *suffixes):
    """All files below root with one of the suffixes (all files if none), sorted, without build folders."""
    found = []
    for folder, names, file_names in os.walk(root):
        names[:] = [name for name in names if name not in LEFT_OUT]
        for name in file_names:
            path = pathlib.Path(folder) / name
            if name not in LEFT_OUT and (not suffixes or path.suffix in suffixes):   # .git is a file in a worktree
                found.append(path)
    return sorted(found)


def write(root, path, text):
    """For self-tests: a file below root."""
    target = root / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(text, encoding="utf-8")


def expect(findings, *texts):
    """For self-tests: exactly these findings, each told by a text that it contains, in any order."""
    left = list(findings)
    for text in texts:
        match = next((finding for finding in left if text in finding), None)
        if match is None:
            sys.exit(f"self-test: nothing found that says \"{text}\" in {findings}")
        left.remove(match)
    if left:
        sys.exit(f"self-test: found more than expected: {left}")


def changes(root, check, path, good):
    """For self-tests: a function that writes a good text with one change and expects what the check finds of it."""
    def with_change(old, new, *texts):
        assert old in good
        write(root, path, good.replace(old, new, 1))
        expect(check(root), *texts)
    return with_change


def run(check, self_test):
    """main() of a check: prints the findings of check(ROOT) and fails if there are any."""
    if sys.argv[1:] == ["--self-test"]:
        self_test()
        print("self-test passed")
        return
    root = pathlib.Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else ROOT
    findings = check(root)
    for finding in findings:
        print(finding)
    if findings:
        sys.exit(f"{len(findings)} findings")

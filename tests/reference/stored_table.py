# SPDX-License-Identifier: BSL-1.0
"""A stored table that a script can make again: writes it, or with --check compares it cell by cell."""
import sys


def is_same(stored, made):
    """Whether two cells are the same text, or numbers that agree to nine digits."""
    if stored == made:
        return True
    try:
        return abs(float(stored) - float(made)) <= 1e-9 * abs(float(made))
    except ValueError:
        return False


def write_or_check(path, header, lines, sources, doc):
    """lines: one text a row, whose last cell is the source; it may name another version of the library when checked."""
    made = list(lines)
    if sys.argv[1:] == ["--check"]:
        stored = path.read_text(encoding="utf-8").splitlines()
        if stored[0] != header or len(stored) != len(made) + 1:
            sys.exit(f"{path.name} has another header or number of rows than this script makes")
        for old, new in zip(stored[1:], made):
            for old_cell, new_cell in zip(old.split(",")[:-1], new.split(",")[:-1], strict=True):
                if not is_same(old_cell, new_cell):
                    sys.exit(f"{path.name}: {old_cell} where {sources} gives {new_cell} in: {old}")
        print(f"{len(made)} rows as {sources} gives them")
    elif sys.argv[1:]:
        sys.exit(doc)
    else:
        path.write_text("\n".join([header, *made]) + "\n", encoding="utf-8")

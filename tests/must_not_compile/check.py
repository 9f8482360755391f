# SPDX-License-Identifier: BSL-1.0
"""Mistakes that must not compile.

check.py --compiler COMPILER --include DIR [--include DIR] CASE.cpp    checks one case
check.py --compiler COMPILER --self-test                               shows that the check can fail

A case is a source that compiles as it stands (the positive twin); with -DMISTAKE the mistake takes the place of
the right line, and nothing else differs:

    #ifdef MISTAKE
        the mistake
    #else
        what was meant
    #endif

and it says what the compiler must answer, in comments:

    // expect g++: REGULAR EXPRESSION
    // expect clang++: REGULAR EXPRESSION
    // at most: 4096 bytes
"""
import argparse
import pathlib
import re
import subprocess
import sys
import tempfile


def compile_source(compiler, includes, source, *flags):
    command = [compiler, "-std=c++20", "-fsyntax-only", *flags]
    for directory in includes:
        command += ["-I", str(directory)]
    run = subprocess.run([*command, str(source)], capture_output=True, text=True, check=False)
    return run.returncode, run.stdout + run.stderr


def faults(compiler, includes, case):
    """What is wrong with a case; empty if it behaves."""
    text = case.read_text(encoding="utf-8")
    kind = "clang++" if "clang" in pathlib.Path(compiler).name else "g++"
    blocks = re.findall(r"^#ifdef MISTAKE\n(.*?)^#else\n(.*?)^#endif\n", text, re.M | re.S)
    if len(blocks) != 1 or text.count("MISTAKE") != 1:
        return ["needs exactly one block #ifdef MISTAKE ... #else ... #endif"]
    if not blocks[0][0].strip() or not blocks[0][1].strip():
        return ["both sides of the block must hold code"]
    expected = re.search(rf"^// expect {re.escape(kind)}: (.+)$", text, re.M)
    limit = re.search(r"^// at most: (\d+) bytes", text, re.M)
    if not expected or not limit:
        return [f"needs a line '// expect {kind}: ...' and a line '// at most: N bytes'"]
    found = []
    status, output = compile_source(compiler, includes, case)
    if status != 0:
        found.append(f"the twin without the mistake does not compile:\n{output[:3000]}")
    status, output = compile_source(compiler, includes, case, "-DMISTAKE")
    if status == 0:
        found.append("the mistake compiles")
    else:
        if not re.search(expected.group(1), output):
            found.append(f"fails for another reason than /{expected.group(1)}/:\n{output[:3000]}")
        if len(output.encode()) > int(limit.group(1)):
            found.append(f"the message has {len(output.encode())} bytes, at most {limit.group(1)}:\n{output[:3000]}")
    return found


def self_test(compiler):
    head = "// expect g++: ({0})\n// expect clang++: ({0})\n// at most: {1} bytes\n"
    good = "int f(int*);\nint g() {\n#ifdef MISTAKE\nreturn f(7);\n#else\nreturn f(nullptr);\n#endif\n}\n"
    reason = "invalid conversion|no matching function"
    cases = [
        (head.format(reason, 4096) + good, None),
        (head.format(reason, 4096) + good.replace("f(7)", "f(0)"), "the mistake compiles"),
        (head.format(reason, 4096) + good.replace("nullptr", "8"), "twin without the mistake does not compile"),
        (head.format("some other text", 4096) + good, "fails for another reason"),
        (head.format(reason, 10) + good, "at most 10"),
        (good, "needs a line"),
        (head.format(reason, 4096) + "int x;\n", "exactly one block"),
    ]
    with tempfile.TemporaryDirectory() as folder:
        for index, (text, fault) in enumerate(cases):
            case = pathlib.Path(folder) / f"case_{index}.cpp"
            case.write_text(text, encoding="utf-8")
            found = faults(compiler, [], case)
            if (fault is None) != (not found) or (fault and fault not in found[0]):
                sys.exit(f"self-test {index}: expected {fault}, found {found}")
    print(f"self-test: {len(cases)} cases as expected")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--compiler", required=True)
    parser.add_argument("--include", action="append", default=[])
    parser.add_argument("--self-test", action="store_true")
    parser.add_argument("case", nargs="?", type=pathlib.Path)
    arguments = parser.parse_args()
    if arguments.self_test:
        self_test(arguments.compiler)
        return
    found = faults(arguments.compiler, arguments.include, arguments.case)
    for fault in found:
        print(f"{arguments.case}: {fault}")
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    main()

# SPDX-License-Identifier: BSL-1.0
"""count_results.py JUNIT_XML CTEST_STATUS: prints "passed failed".

A Catch2 executable and a run of Python's unittest count by their test cases, any other test of ctest as one. A test
that did not run, or that failed without a summary of its cases (a crash), counts as one failure; so does a ctest that
failed without a failed test.
"""
import re
import sys
import xml.etree.ElementTree as ElementTree

ALL_PASSED = re.compile(r"^All tests passed \([\d,]+ assertions? in (\d+) test cases?\)", re.M)
PYTHON_RAN = re.compile(r"^Ran (\d+) tests? in \S+$\s+^(OK|FAILED) *(?:\((.*)\))?$", re.M)
SOME_FAILED = re.compile(r"^test cases:\s*(\d+)\s*\|(?:\s*(\d+) passed\s*\|)?\s*(\d+) failed", re.M)


def python_counts(match):
    """Passed and failed of a run of unittest; a skipped test is neither."""
    parts = dict(re.findall(r"(\w[\w ]*)=(\d+)", match.group(3) or ""))
    failed = int(parts.get("failures", 0)) + int(parts.get("errors", 0)) + int(parts.get("unexpected successes", 0))
    return int(match.group(1)) - failed - int(parts.get("skipped", 0)), failed


def count(testcases, ctest_status):
    passed = failed = 0
    for status, output in testcases:
        good, bad, python = ALL_PASSED.search(output), SOME_FAILED.search(output), PYTHON_RAN.search(output)
        if status in {"run", "fail"} and python and (status == "run") == (python.group(2) == "OK"):
            new_passed, new_failed = python_counts(python)
            passed += new_passed
            failed += new_failed
        elif status == "run":
            passed += int(good.group(1)) if good else 1
        elif status == "fail" and bad:
            passed += int(bad.group(2) or 0)
            failed += int(bad.group(3))
        else:
            failed += 1
    if ctest_status != 0 and failed == 0:
        failed = 1
    return passed, failed


def self_test():
    assert count([("run", "All tests passed (1,234 assertions in 12 test cases)\n"), ("run", "")], 0) == (13, 0)
    assert count([("fail", "test cases:  5 |  3 passed | 2 failed\n")], 8) == (3, 2)
    assert count([("fail", "test cases: 1 | 1 failed\n")], 8) == (0, 1)
    assert count([("fail", "Segmentation fault"), ("notrun", "")], 8) == (0, 2)
    assert count([("run", "")], 8) == (1, 1)
    assert count([("run", "Ran 5 tests in 0.1s\n\nOK\n")], 0) == (5, 0)
    assert count([("run", "Ran 5 tests in 0.1s\n\nOK (skipped=2)\n")], 0) == (3, 0)
    assert count([("fail", "Ran 5 tests in 0.1s\n\nFAILED (failures=1, errors=2)\n")], 8) == (2, 3)
    assert count([("fail", "Ran 1 test in 0.1s\n\nOK\n")], 8) == (0, 1)


if __name__ == "__main__":
    self_test()
    root = ElementTree.parse(sys.argv[1]).getroot()
    cases = [(case.get("status"), case.findtext("system-out") or "") for case in root.iter("testcase")]
    print(*count(cases, int(sys.argv[2])))

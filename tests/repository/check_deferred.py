# SPDX-License-Identifier: BSL-1.0
"""Each function of the library that is no template, and does more than arithmetic and access, defers its body.

The body of an inline function is compiled, with every template it uses, in each source that includes its header
(DEVELOPERS.md, Compile cost). Looked at are functions in namespaces and member functions of classes that are no
templates. What is constexpr, a special member, or calls nothing but functions named in PLAIN needs no mark; nor does
the one-line twin in double of a generic function, which without it is named in a shorter message where a unit is wrong.
"""
import pathlib
import re
import tempfile

import check_doc_comments as comments
import repository

# Access to members, and what <cmath> gives: nothing to instantiate that the types alone would not.
PLAIN = {"value", "from_value", "plain_value", "size", "empty", "has_value", "begin", "end", "data", "front", "back",
         "get", "raw", "at", "index", "operator", "holds_alternative", "move", "min", "max", "isfinite", "isnan", "abs",
         "fabs", "sqrt", "cbrt", "pow", "exp", "log", "signbit", "noexcept", "sizeof", "static_cast", "decltype",
         "span", "optional", "size_t"}
KEYWORDS = {"if", "for", "while", "switch", "return", "catch", "throw"}


def does_more(body):
    """Whether a body, blanked, does more than arithmetic and access."""
    if re.search(r"\bthrow\b|\bfor \([^;()]*:|\[[&=\w, ]*\] ?\(", body):   # exceptions, loops over ranges, lambdas
        return True
    calls = set(re.findall(r"\b([A-Za-z_]\w*)(?:<[\w:, ]*>)?\(", body))
    return bool(calls - PLAIN - KEYWORDS)


def look(text, code, body, where, findings, class_name):
    """Goes through the declarations of a namespace or class; returns the number of functions seen."""
    count = 0
    for declaration in comments.declarations(code, *body):
        if re.match(r"\s*template\s*<", declaration.head):
            count += 1
            continue
        head, _ = comments.strip_template(declaration.head)
        inner = re.match(r"(?:inline\s+)?(namespace|struct|class)\b\s*([\w:]*)", head)
        if inner:
            if declaration.body:
                name = inner.group(2) if inner.group(1) != "namespace" else None
                count += look(text, code, declaration.body, where, findings, name)
            continue
        name = comments.function_name(head)
        if name is None or declaration.body is None:
            continue
        count += 1
        if re.search(r"\b(constexpr|consteval|virtual|friend)\b", head[:head.index("(")]):
            continue
        if name.startswith(("~", "operator")):
            continue
        if name == class_name and re.search(rf"\(\s*(const\s+{name}\s*&[^,]*)?\)", head):
            continue   # a constructor without parameters or one that copies: a template never stands for it
        body = code[slice(*declaration.body)].strip()
        if re.fullmatch(rf"return {name}<double>\([^;]*;", body):
            continue
        if does_more(body):
            line = text.count("\n", 0, declaration.start) + 1
            findings.append(f"{where}:{line}: {name} does not begin with template <Deferred...>")
    return count


def check(root):
    findings = []
    count = 0
    for path in repository.files(root / "include", ".hpp"):
        text = path.read_text(encoding="utf-8")
        code = comments.blank(text, keep_docs=False)
        count += look(text, code, (0, len(code)), path.relative_to(root).as_posix(), findings, None)
    print(f"{count} functions")
    if count == 0:
        findings.append("no function found")
    return findings


GOOD = """#pragma once
namespace filterflow {
namespace detail {
template <Deferred...>
inline std::vector<int> numbers(int n) { return std::vector<int>(n); }
}
template <class T>
struct Generic {
    T first() const { return sorted(values).front(); }
};
struct Curve {
    double value() const { return y.front() + std::sqrt(x); }
    template <Deferred...>
    void sort() { std::sort(y.begin(), y.end()); }
    Curve() { sort(); }
    Curve(const Curve& other) : y(copied(other.y)) { sort(); }
};
template <class T>
T twice(T x) { return sum(x, x); }
inline double twice(double x) { return twice<double>(x); }
constexpr int three() { return one() + two(); }
inline double area(const Curve& c) {
    if (c.x > 0.0) return static_cast<double>(c.y.size());
    return c.value() * std::pow(c.x, 2);
}
}
"""


def self_test():
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        repository.expect(check(root), "no function found")
        with_change = repository.changes(root, check, "include/filterflow/room/a.hpp", GOOD)
        with_change("#pragma once", "#pragma once")
        with_change("template <Deferred...>\ninline", "inline", "a.hpp:4: numbers does not")
        with_change("    template <Deferred...>\n", "", "a.hpp:13: sort does not")
        with_change("return c.value()", "return area_of(c)", "area does not")
        with_change("return c.value()", "throw c; return c.value()", "area does not")
        with_change("return c.value()", "for (double y : c.y) return y", "area does not")
        with_change("return twice<double>(x);", "return thrice<double>(x);", "twice does not")
        with_change("constexpr int three", "inline int three", "three does not")
        with_change("template <class T>\nT twice(T x)", "inline int twice(int x)", "twice does not")


if __name__ == "__main__":
    repository.run(check, self_test)

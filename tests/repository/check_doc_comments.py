# SPDX-License-Identifier: BSL-1.0
"""Every public function of the library has a complete doc comment; every public type and member has one at all.

A function (in namespace filterflow itself, not detail) has, in lines that begin with ///, a summary and the fields
Equation:, Symbols:, Validity:, @param of each parameter, @return unless it returns nothing, @throws, and @source
with "test:" and a test that exists. Exempt are: the one-line twin of a documented template right before it; a
declaration of what is defined with its comment in the same header; operators and the functions of <cmath>
overloaded for a number type of ours. Members that are plain numbers say what they are and in which range; the type
of the others tells, unless more is to be said. Member functions need a comment of any kind unless they are special
members, operators or one-liners that only return something.
"""
import pathlib
import re
import tempfile

import repository

CMATH = {"sqrt", "cbrt", "exp", "expm1", "log", "log1p", "log10", "sin", "cos", "tan", "sinh", "cosh", "tanh", "atan",
         "erf", "erfc", "abs", "fabs", "isfinite", "pow", "hypot", "max", "min", "floor", "ceil"}
PLAIN_NUMBER = r"(?:std::(?:vector|optional|array|span)<\s*)*(?:const\s+)?(?:double|int|T|std::size_t|unsigned|long)\b"
FIELDS = ["Equation:", "Symbols:", "Validity:"]


def blank(text, keep_docs):
    """The text with comments, strings and preprocessor lines blanked (newlines kept); doc comments kept on demand."""
    out, i = [], 0
    while i < len(text):
        if text.startswith("//", i):
            end = text.find("\n", i)
            end = len(text) if end < 0 else end
            out.append(text[i:end] if keep_docs and text.startswith("///", i) else " " * (end - i))
            i = end
        elif text.startswith("/*", i):
            end = text.find("*/", i) + 2
            out.append(re.sub(r"[^\n]", " ", text[i:end]))
            i = end
        elif text[i] == '"' or text[i] == "'" and not (i and text[i - 1].isalnum()):
            end = i + 1
            while text[end] != text[i]:
                end += 2 if text[end] == "\\" else 1
            out.append(text[i] + " " * (end - i - 1) + text[i])
            i = end + 1
        elif text[i] == "#" and text[:i].rpartition("\n")[2].strip() == "":
            end = i
            while True:
                end = text.find("\n", end)
                if end < 0 or text[end - 1] != "\\":
                    break
                end += 1
            end = len(text) if end < 0 else end
            out.append(re.sub(r"[^\n]", " ", text[i:end]))
            i = end
        else:
            out.append(text[i])
            i += 1
    return "".join(out)


def matching(text, i, pair):
    """Index after the bracket that closes the one at i."""
    depth = 0
    while i < len(text):
        if text[i] == pair[0]:
            depth += 1
        elif text[i] == pair[1]:
            depth -= 1
            if depth == 0:
                return i + 1
        i += 1
    raise ValueError(f"unbalanced {pair}")


class Declaration:
    """One declaration at namespace or class level: its head (up to ; or {), its body, where it begins."""

    def __init__(self, head, body, start):
        self.head, self.body, self.start = head, body, start


def declarations(code, begin, end):
    """The declarations between two offsets of blanked code, on one level."""
    i = begin
    while i < end:
        if code[i].isspace() or code[i] == ";":
            i += 1
            continue
        access = re.compile(r"(public|private|protected)\s*:(?!:)").match(code, i)
        if access:
            yield Declaration(access.group(1) + ":", None, i)
            i = access.end()
            continue
        start, j, initialiser = i, i, False
        while code.startswith("template", j):   # its defaults are no initialisers
            j = matching(code, code.index("<", j), "<>")
            while code[j].isspace():
                j += 1
        while j < end and code[j] not in ";{":
            if code[j] in "([":
                j = matching(code, j, "()" if code[j] == "(" else "[]")
                continue
            if code[j] == "=" and code[j - 1] not in "=<>!" and code[j + 1] != "=" and "operator" not in code[start:j]:
                initialiser = True
            j += 1
        if j >= end:
            return
        head, body = code[start:j], None
        if code[j] == "{":
            close = matching(code, j, "{}")
            is_type = re.search(r"\b(struct|class|enum|union|namespace)\b", re.sub(r"<[^<>]*>", "", head))
            if initialiser or ("(" not in head and not is_type):   # a braced initialiser belongs to the head
                close = code.index(";", close) + 1
                body = None
                head = code[start:close]
            else:
                body = (j + 1, close - 1)
                tail = re.compile(r"\s*;").match(code, close)
                if is_type and tail:
                    close = tail.end()
            i = close
        else:
            i = j + 1
        yield Declaration(head, body, start)


def strip_template(head):
    """The head without template<...>, requires clauses in front and attributes; and whether it was a template.

    One that only defers its body (core/deferred.hpp) counts as none.
    """
    is_template = False
    head = head.strip()
    while True:
        if head.startswith("template"):
            i = matching(head, head.index("<"), "<>")
            is_template = is_template or "Deferred..." not in head[:i]
            head = head[i:].strip()
        elif head.startswith("[["):
            head = head[head.index("]]") + 2:].strip()
        elif head.startswith("requires"):
            rest = re.compile(r"requires\s+(?:\([^()]*(?:\([^()]*\)[^()]*)*\)|[\w:]+(?:<[^<>]*(?:<[^<>]*>[^<>]*)*>)?)"
                              r"(?:\s*(?:&&|\|\|)\s*[\w:]+(?:<[^<>]*(?:<[^<>]*>[^<>]*)*>)?)*").match(head)
            head = head[rest.end():].strip()
        else:
            return head, is_template


def function_name(head):
    """Name of the function that a stripped head declares, or None."""
    head = re.sub(r"^friend\s+", "", head)
    if re.match(r"(using|namespace|static_assert|struct|class|enum|union|concept|typedef|extern)\b", head):
        return None
    match = re.search(r"(operator\s*(?:\(\)|\[\]|[^\s\w(]+|\w+)|~?[A-Za-z_]\w*)\s*\(", head)
    if not match:
        return None
    before = head[:match.start()]
    if "{" in before or re.search(r"(?<![=<>!])=(?!=)", before):
        return None
    return match.group(1)


def parameters(head, name):
    """Names of the parameters of a function."""
    start = head.index("(", re.search(re.escape(name) + r"\s*\(", head).end() - 1)
    inside = head[start + 1:matching(head, start, "()") - 1]
    parts, depth, part = [], 0, ""
    for c in inside:
        depth += c in "<([{"
        depth -= c in ">)]}"
        if c == "," and depth == 0:
            parts.append(part)
            part = ""
        else:
            part += c
    parts.append(part)
    names = []
    for part in parts:
        part = re.split(r"(?<![=<>!])=(?!=)", part)[0].strip()
        word = re.search(r"[\s&*>](\w+)$", part)
        if word and word.group(1) not in {"const", "double", "int", "bool"}:
            names.append(word.group(1))
    return names


def doc_before(text, start):
    """The /// lines right before an offset, as one text; and whether plain comment lines stand there instead."""
    lines = text[:start].rstrip(" \t").split("\n")
    if lines and lines[-1].strip() == "":
        lines.pop()
    docs = []
    while lines and lines[-1].strip().startswith("///") and not lines[-1].strip().startswith("///<"):
        docs.append(lines.pop().strip()[3:].strip())
    return docs[::-1]


def missing_fields(docs, head, name, returns_nothing, root, name_of_header):
    text = "\n".join(docs)
    missing = []
    if not docs or re.match(r"(Equation:|Symbols:|Validity:|@)", docs[0]) or not docs[0]:
        missing.append("summary")
    for field in FIELDS:
        match = re.search(rf"^{field}[ \t]*(.*)$", text, re.M)
        if not match or not match.group(1).strip():
            missing.append(field)
    documented = re.findall(r"^@param\s+(\w+)\s+\S", text, re.M)
    wanted = parameters(head, name)
    missing += [f"@param {p}" for p in wanted if p not in documented]
    missing += [f"@param {p} (no such parameter)" for p in documented if p not in wanted]
    if not returns_nothing and not re.search(r"^@return\s+\S", text, re.M):
        missing.append("@return")
    if not re.search(r"^@throws\s+\S", text, re.M):
        missing.append("@throws")
    source = re.search(r"^@source\s+\S.*", text, re.M | re.S)
    if not source:
        missing.append("@source")
    else:
        test = re.search(r"\btests?:\s*([\w./-]+\.cpp)", source.group(0))
        if not test:
            missing.append("test: in @source")
        elif not (root / "tests" / test.group(1)).is_file():
            missing.append(f"a test that exists (tests/{test.group(1)} does not)")
    return missing


def check_members(text, code, body, where, findings, is_struct):
    public = is_struct
    for member in declarations(code, *body):
        if member.head in {"public:", "private:", "protected:"}:
            public = member.head == "public:"
            continue
        if not public:
            continue
        head, _ = strip_template(member.head)
        line = text.count("\n", 0, member.start) + 1
        if re.match(r"(using|static_assert|typedef)\b", head):
            continue
        inner = re.match(r"(?:struct|class|union)\s+(\w+)", head)
        if inner:
            if member.body:
                check_members(text, code, member.body, where, findings, head.startswith("struct"))
            continue
        if re.match(r"enum\b", head):
            continue
        name = function_name(head)
        documented = bool(doc_before(text, member.start))
        if name is None:
            if not re.match(PLAIN_NUMBER, head):
                continue   # its type tells: a quantity or a type with a comment of its own
            end = member.start + len(member.head)
            rest = text[member.start:text.find("\n", end)]
            if not documented and "///<" not in rest:
                findings.append(f"{where}:{line}: member without ///<: {' '.join(head.split())[:70]}")
            continue
        special = name.startswith(("operator", "~")) or re.search(rf"\b{re.escape(name)}\s*\(", head).start() == 0 or (
            re.match(rf"(constexpr|explicit|inline|\s)*{re.escape(name)}\s*\(", head) is not None)
        one_liner = member.body and code[slice(*member.body)].strip().startswith("return") and (
            code[slice(*member.body)].count(";") == 1)
        if not documented and not special and not one_liner:
            findings.append(f"{where}:{line}: member function {name} without a comment")


def check_header(root, path, findings):
    where = path.relative_to(root).as_posix()
    text = path.read_text(encoding="utf-8")
    code = blank(text, keep_docs=False)
    documented_functions = set()
    declared_only = []
    count = 0
    for outer in declarations(code, 0, len(code)):
        if not re.fullmatch(r"namespace\s+filterflow", outer.head.strip()) or outer.body is None:
            continue
        previous = None
        for declaration in declarations(code, *outer.body):
            if re.match(r"(inline\s+)?namespace\b", declaration.head):
                previous = None
                continue
            head, is_template = strip_template(declaration.head)
            line = text.count("\n", 0, declaration.start) + 1
            docs = doc_before(text, declaration.start)
            is_type = re.match(r"(struct|class|enum(?:\s+class)?|union)\s+(\w+)", head)
            if is_type:
                if declaration.body is None and not head.startswith("enum"):
                    continue   # declared in advance
                if not docs:
                    findings.append(f"{where}:{line}: {is_type.group(2)} without a comment")
                if declaration.body and head.startswith("enum"):
                    values = text[slice(*declaration.body)]
                    plain = code[slice(*declaration.body)]
                    number = len([v for v in plain.split(",") if v.strip()])
                    if values.count("///") < number:
                        findings.append(f"{where}:{line}: {is_type.group(2)} has values without ///<")
                elif declaration.body:
                    check_members(text, code, declaration.body, where, findings, head.startswith("struct"))
                continue
            name = function_name(head)
            if name is None:
                continue
            if name.startswith("operator") or name in CMATH and "Dual" in head:
                continue
            count += 1
            body = code[slice(*declaration.body)].strip() if declaration.body else None
            twin = body is not None and not docs and not is_template and previous == name and (
                body.startswith("return") and body.count(";") == 1)
            previous = name
            if twin:
                continue
            if declaration.body is None and not docs:
                declared_only.append((name, line))
                continue
            returns_nothing = re.match(r"(inline\s+|constexpr\s+|static\s+)*void\b", head) is not None
            missing = missing_fields(docs, head, name, returns_nothing, root, where)
            if missing:
                findings.append(f"{where}:{line}: {name} lacks {', '.join(missing)}")
            documented_functions.add(name)
    findings += [f"{where}:{line}: {name} is declared without a comment and not defined here"
                 for name, line in declared_only if name not in documented_functions]
    return count


def check(root):
    findings = []
    count = 0
    for path in repository.files(root / "include", ".hpp"):
        count += check_header(root, path, findings)
    print(f"{count} functions")
    if count == 0:
        findings.append("no function found")
    return findings


GOOD = """#pragma once
#include <cmath>
namespace filterflow {
/// A thing.
template <class T>
struct BasicThing {
    T a;      ///< one
    T b{};    ///< two
    Length d{Length::from_value(2.0)};
    std::vector<T> c{};   ///< three
    BasicThing() = default;
    double size() const { return a; }
    bool operator==(const BasicThing&) const = default;
private:
    T hidden;
};
using Thing = BasicThing<double>;
/// Kinds.
enum class Kind {
    first,    ///< a
    second,   ///< b, with a comma
};
namespace detail {
inline int undocumented(int x) { return x; }
}
inline constexpr auto constant = detail::undocumented(3);
/// Length of a thing.
///
/// Equation: l = a
/// Symbols:  a
/// Validity: everywhere
/// @param  thing  the thing
/// @param  factor  a number, default one
/// @return length
/// @throws nothing
/// @source somebody; test: room/a_test.cpp
template <class T>
    requires std::integral<T> || std::floating_point<T>
[[nodiscard]] T length(const BasicThing<T>& thing, std::map<T, int> factor = {{1, 2}}) {
    if (thing.a == '{') return 1;
    return "}"[0];
}
template <Deferred...>
inline double length(const Thing& thing, double factor = 1.0) { return length<double>(thing, factor); }
}
"""


def self_test():
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        repository.expect(check(root), "no function found")
        repository.write(root, "tests/room/a_test.cpp", "")
        with_change = repository.changes(root, check, "include/filterflow/room/a.hpp", GOOD)
        with_change("/// A thing.", "/// A thing.")
        with_change("/// A thing.\n", "", "BasicThing without a comment")
        with_change("T a;      ///< one", "T a;", "member without ///<: T a")
        with_change("///< three", "", "member without ///<: std::vector<T> c")
        with_change("T hidden;", "T hidden;\npublic:\n    int shown;", "member without ///<: int shown")
        with_change("///< a\n", "\n", "Kind has values without")
        with_change("/// Equation: l = a\n", "", "length lacks Equation:")
        with_change("/// Symbols:  a\n", "/// Symbols:\n", "length lacks Symbols:")
        with_change("/// Validity: everywhere\n", "", "length lacks Validity:")
        with_change("/// @param  factor  a number, default one\n", "", "length lacks @param factor")
        with_change("/// @param  factor", "/// @param  fraction", "@param factor, @param fraction (no such")
        with_change("/// @return length\n", "", "length lacks @return")
        with_change("/// @throws nothing\n", "", "length lacks @throws")
        with_change("; test: room/a_test.cpp", "", "length lacks test:")
        with_change("room/a_test.cpp", "room/b_test.cpp", "a test that exists")
        with_change("/// Length of a thing.\n///\n", "", "length lacks summary")
        with_change("{ return length<double>(thing, factor); }", "{ ++factor; return length<double>(thing, factor); }",
                    "length lacks summary")
        with_change("double size() const { return a; }", "double size() const { f(); return a; }",
                    "member function size without")
        with_change("namespace detail {", "inline int more(int x) { return x; }\nnamespace detail {",
                    "more lacks summary")
        with_change("namespace detail {", "int announced(int x);\nnamespace detail {", "announced is declared without")


if __name__ == "__main__":
    repository.run(check, self_test)

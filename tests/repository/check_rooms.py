# SPDX-License-Identifier: BSL-1.0
"""Which room may include which, which room may use which library, and that umbrellas are complete.

The table is the library's architecture: a room may include the rooms named here and all that those may.
"""
import pathlib
import re
import tempfile

import repository

MAY_INCLUDE = {
    "core": [],
    "numeric": ["core"],
    "air": ["numeric"],
    "media": ["numeric"],
    "particle": ["numeric", "air"],
    "resistance": ["air", "media"],
    "capture": ["particle", "media"],
    "airflow": ["resistance"],
    "rating": ["capture"],
    "loading": ["capture", "airflow"],
    "stand": ["capture", "airflow"],
    "cost": ["loading"],
    "zone": ["loading"],
    "study": ["stand", "cost", "zone", "rating"],
}

# Library (start of the include) -> what may include it (start of the header's path below include/filterflow).
# The first line that fits decides.
LIBRARIES = [
    ("boost/units/io.hpp", []),      # which unit is printed would depend on link order
    ("boost/units/cmath.hpp", []),   # costs 0.3 s of compile time
    ("boost/units/quantity.hpp", ["core/", "numeric/"]),
    ("boost/units/", ["core/"]),
    ("boost/math/", ["numeric/"]),
    ("boost/numeric/odeint", ["numeric/"]),
    ("boost/", []),
    ("Eigen/Sparse", ["airflow/network_core.hpp", "airflow/network_ordering.hpp"]),
    ("Eigen/", ["numeric/"]),
]

# Headers that only users include, never a room or an umbrella (but for each other).
FOR_USERS_ONLY = {"core/text.hpp", "core/unit_names.hpp"}

INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]', re.M)


def reachable(room):
    rooms, to_do = {room}, [room]
    while to_do:
        for other in MAY_INCLUDE[to_do.pop()]:
            if other not in rooms:
                rooms.add(other)
                to_do.append(other)
    return rooms


def check_library(header, included):
    for library, users in LIBRARIES:
        if included.startswith(library):
            if not any(header.startswith(user) for user in users):
                where = " and ".join(users) if users else "no header"
                return f"include/filterflow/{header}: includes <{included}>, which is for {where}"
            return None
    if "/" in included or included.endswith((".hpp", ".h")) and included not in {"math.h"}:
        return f"include/filterflow/{header}: includes <{included}>, a library that the table does not name"
    return None


def check(root):
    findings = []
    base = root / "include" / "filterflow"
    headers = [path.relative_to(base).as_posix() for path in repository.files(base, ".hpp")]
    for header in headers:
        text = (base / header).read_text(encoding="utf-8")
        room = header.split("/")[0] if "/" in header else None
        if room is not None and room not in MAY_INCLUDE:
            findings.append(f"include/filterflow/{header}: the table knows no room {room}")
            continue
        own = []
        for bracket, included in INCLUDE.findall(text):
            if bracket == '"' :
                findings.append(f'include/filterflow/{header}: "{included}" instead of <filterflow/...>')
                continue
            if not included.startswith("filterflow/"):
                if room is None:
                    findings.append(f"include/filterflow/{header}: an umbrella includes <{included}>")
                else:
                    fault = check_library(header, included)
                    if fault:
                        findings.append(fault)
                continue
            inner = included.removeprefix("filterflow/")
            own.append(inner)
            if inner not in headers:
                findings.append(f"include/filterflow/{header}: includes <{included}>, which does not exist")
            elif room is not None:
                if "/" not in inner:
                    findings.append(f"include/filterflow/{header}: includes the umbrella <{included}>")
                elif inner in FOR_USERS_ONLY and header not in FOR_USERS_ONLY:
                    findings.append(f"include/filterflow/{header}: includes <{included}>, which is for users only")
                elif inner.split("/")[0] not in reachable(room):
                    findings.append(f"include/filterflow/{header}: room {room} may not include {inner.split('/')[0]}")
        if room is None:
            if header == "filterflow.hpp":
                due = [h for h in headers if "/" not in h and h != header]
            else:
                due = [h for h in headers if h.startswith(header.removesuffix(".hpp") + "/")]
            findings += [f"include/filterflow/{header}: does not include {h}"
                         for h in due if h not in own and h not in FOR_USERS_ONLY]
            findings += [f"include/filterflow/{header}: includes {h}, which is not of it" for h in own if h not in due]
    for room in sorted({header.split("/")[0] for header in headers if "/" in header}):
        if f"{room}.hpp" not in headers:
            findings.append(f"include/filterflow/{room}.hpp: the umbrella of room {room} is missing")
    if headers and "filterflow.hpp" not in headers:
        findings.append("include/filterflow/filterflow.hpp is missing")
    if not headers:
        findings.append("no headers found")
    return findings


def self_test():
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        base = "include/filterflow/"
        repository.write(root, base + "filterflow.hpp",
                         "#include <filterflow/core.hpp>\n#include <filterflow/airflow.hpp>\n")
        repository.write(root, base + "core.hpp", "#include <filterflow/core/units.hpp>\n")
        repository.write(root, base + "core/units.hpp", "#include <boost/units/quantity.hpp>\n#include <string>\n")
        repository.write(root, base + "core/text.hpp", "#include <string>\n")
        repository.write(root, base + "airflow.hpp", "#include <filterflow/airflow/fan.hpp>\n")
        repository.write(root, base + "airflow/fan.hpp", "#include <filterflow/core/units.hpp>\n")
        repository.expect(check(root))
        repository.write(root, base + "core/units.hpp",
                         "#include <filterflow/airflow/fan.hpp>\n#include <filterflow/airflow.hpp>\n"
                         "#include <boost/units/io.hpp>\n# include \"x.hpp\"\n#include <filterflow/core/gone.hpp>\n")
        repository.write(root, base + "airflow/fan.hpp", "#include <Eigen/Sparse>\n#include <zlib.h>\n"
                         "#include <filterflow/core/text.hpp>\n")
        repository.write(root, base + "airflow/duct.hpp", "#include <Eigen/Dense>\n")
        repository.write(root, base + "cellar/wine.hpp", "")
        repository.expect(check(root), "core may not include airflow", "the umbrella <filterflow/airflow.hpp>",
                          "boost/units/io.hpp", '"x.hpp" instead', "gone.hpp>, which does not exist",
                          "<Eigen/Sparse>, which is for airflow/network_core.hpp", "zlib.h", "users only",
                          "<Eigen/Dense>, which is for numeric/", "airflow.hpp: does not include airflow/duct.hpp",
                          "no room cellar", "umbrella of room cellar")


if __name__ == "__main__":
    repository.run(check, self_test)

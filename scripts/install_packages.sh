#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# bash scripts/install_packages.sh PART...   installs those Debian packages of scripts/packages.txt that the named
# parts need and that are missing. Without apt, or without the right to install, it prints them and ends well: the
# libraries may be there under other names, and the build says what it does not find.
set -u
list="$(dirname "${BASH_SOURCE[0]}")/packages.txt"

wanted=()
for part in "$@"; do
    found=0
    while read -r name package _; do
        if [[ "$name" == "$part" ]]; then wanted+=("$package"); found=1; fi
    done <"$list"
    if [[ $found == 0 ]]; then
        echo "install_packages.sh: no part \"$part\" in $list" >&2
        exit 2
    fi
done

if ! command -v apt-get >/dev/null || ! command -v dpkg-query >/dev/null; then
    echo "There is no apt here. Needed, by Debian's names: ${wanted[*]}"
    exit 0
fi

missing=()
for package in "${wanted[@]}"; do
    status="$(dpkg-query -W -f '${Status}' "$package" 2>/dev/null)"
    [[ "$status" == "install ok installed" ]] || missing+=("$package")
done
if [[ ${#missing[@]} == 0 ]]; then
    echo "Packages: all ${#wanted[@]} are installed."
    exit 0
fi

as_root=()
if [[ "$(id -u)" != 0 ]]; then
    if ! command -v sudo >/dev/null; then
        echo "Missing, and not installed, as that takes root or sudo: apt-get install ${missing[*]}"
        exit 0
    fi
    as_root=(sudo)
fi
echo "Installing: ${missing[*]}"
log="$(mktemp)"
trap 'rm -f "$log"' EXIT
if ! { "${as_root[@]}" apt-get update &&
       "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "${missing[@]}"
     } >"$log" 2>&1 </dev/null; then
    cat "$log" >&2
    echo "install_packages.sh: could not install ${missing[*]}" >&2
    exit 1
fi

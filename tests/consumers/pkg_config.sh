#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# pkg_config.sh COMPILER PREFIX BUILD_DIR: a program built by hand with what pkg-config says about the package
# installed in PREFIX.
set -eu
sources="$(dirname "${BASH_SOURCE[0]}")/source"
export PKG_CONFIG_PATH="$2/share/pkgconfig"
mkdir -p "$3"
# shellcheck disable=SC2046
"$1" -std=c++20 -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Werror $(pkg-config --cflags filterflow) \
    "$sources/main.cpp" "$sources/elsewhere.cpp" $(pkg-config --libs filterflow) -o "$3/consumer"
"$3/consumer"

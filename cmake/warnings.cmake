# SPDX-License-Identifier: BSL-1.0
# Warnings and sanitizers for our own tests, examples and benchmarks. Never linked to the library itself.
set(FILTERFLOW_WARNING_FLAGS -Wall -Wextra -Wpedantic -Wconversion -Wshadow)
if(FILTERFLOW_WARNINGS_AS_ERRORS)
  list(APPEND FILTERFLOW_WARNING_FLAGS -Werror)
endif()

add_library(filterflow_warnings INTERFACE)
target_compile_options(filterflow_warnings INTERFACE ${FILTERFLOW_WARNING_FLAGS})

add_library(filterflow_sanitizers INTERFACE)
if(FILTERFLOW_SANITIZERS)
  target_compile_options(filterflow_sanitizers INTERFACE
    -fsanitize=${FILTERFLOW_SANITIZERS} -fno-sanitize-recover=all -fno-omit-frame-pointer)
  target_link_options(filterflow_sanitizers INTERFACE -fsanitize=${FILTERFLOW_SANITIZERS})
endif()

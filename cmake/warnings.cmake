# SPDX-License-Identifier: BSL-1.0
# Warnings and sanitizers for our own tests, examples and benchmarks. Never linked to the library itself.
set(FILTERFLOW_WARNING_FLAGS -Wall -Wextra -Wpedantic -Wconversion -Wshadow)
if(FILTERFLOW_WARNINGS_AS_ERRORS)
  list(APPEND FILTERFLOW_WARNING_FLAGS -Werror)
endif()

add_library(filterflow_warnings INTERFACE)
target_compile_options(filterflow_warnings INTERFACE ${FILTERFLOW_WARNING_FLAGS})

# The sources of a target as one (CMake's unity build), or so many at a time, by option: what they share is compiled
# once. Their names at the top then meet, so a local name may hide another source's: -Wshadow stays with builds of
# single sources.
target_compile_options(filterflow_warnings INTERFACE $<$<BOOL:$<TARGET_PROPERTY:UNITY_BUILD>>:-Wno-shadow>)
function(filterflow_join_sources target)   # filterflow_join_sources(TARGET [SOURCES_AT_A_TIME])
  set(size 0 ${ARGN})   # 0: all
  list(GET size -1 size)
  if(FILTERFLOW_JOIN_SOURCES)
    set_target_properties(${target} PROPERTIES UNITY_BUILD ON UNITY_BUILD_BATCH_SIZE ${size})
  endif()
endfunction()

add_library(filterflow_sanitizers INTERFACE)
if(FILTERFLOW_SANITIZERS)
  target_compile_options(filterflow_sanitizers INTERFACE
    -fsanitize=${FILTERFLOW_SANITIZERS} -fno-sanitize-recover=all -fno-omit-frame-pointer)
  target_link_options(filterflow_sanitizers INTERFACE -fsanitize=${FILTERFLOW_SANITIZERS})
endif()

# SPDX-License-Identifier: BSL-1.0
# cmake -DPROGRAM=... -DEXPECTED=... -DACTUAL=... -P compare_output.cmake
# Runs a program (with ARGUMENTS, if they are given), keeps its output in ACTUAL and fails unless it equals EXPECTED.
execute_process(COMMAND "${PROGRAM}" ${ARGUMENTS} OUTPUT_FILE "${ACTUAL}" ERROR_VARIABLE errors RESULT_VARIABLE status)
if(NOT status EQUAL 0)
  message(FATAL_ERROR "${PROGRAM} ended with ${status}\n${errors}")
endif()
if(NOT EXISTS "${EXPECTED}")
  message(FATAL_ERROR "${EXPECTED} does not exist; the output is in ${ACTUAL}")
endif()
execute_process(COMMAND "${CMAKE_COMMAND}" -E compare_files "${ACTUAL}" "${EXPECTED}"
  RESULT_VARIABLE different OUTPUT_QUIET ERROR_QUIET)
if(different)
  execute_process(COMMAND diff -u "${EXPECTED}" "${ACTUAL}")
  message(FATAL_ERROR "The output of ${PROGRAM} differs from ${EXPECTED}; it is kept in ${ACTUAL}")
endif()

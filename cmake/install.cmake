# SPDX-License-Identifier: BSL-1.0
# Install, find_package(filterflow) and pkg-config.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

set(filterflow_package_dir "${CMAKE_INSTALL_DATADIR}/cmake/filterflow")   # nothing here depends on the processor
set(filterflow_pkgconfig_dir "${CMAKE_INSTALL_DATADIR}/pkgconfig")

install(TARGETS filterflow EXPORT filterflow_targets
  FILE_SET filterflow_headers DESTINATION "${CMAKE_INSTALL_INCLUDEDIR}")
install(EXPORT filterflow_targets
  NAMESPACE filterflow:: FILE filterflow-targets.cmake DESTINATION "${filterflow_package_dir}")
configure_package_config_file(cmake/filterflow-config.cmake.in
  "${CMAKE_CURRENT_BINARY_DIR}/filterflow-config.cmake" INSTALL_DESTINATION "${filterflow_package_dir}")
write_basic_package_version_file("${CMAKE_CURRENT_BINARY_DIR}/filterflow-config-version.cmake"
  COMPATIBILITY SameMinorVersion ARCH_INDEPENDENT)
install(FILES
  "${CMAKE_CURRENT_BINARY_DIR}/filterflow-config.cmake"
  "${CMAKE_CURRENT_BINARY_DIR}/filterflow-config-version.cmake"
  DESTINATION "${filterflow_package_dir}")

# pkg-config: dependencies as system directories, so that their headers raise no warnings in a user's build.
set(filterflow_pc_system_dirs "")
foreach(target Boost::headers Eigen3::Eigen)
  get_target_property(dirs ${target} INTERFACE_INCLUDE_DIRECTORIES)
  foreach(dir IN LISTS dirs)
    if(IS_ABSOLUTE "${dir}" AND NOT dir STREQUAL "/usr/include" AND NOT dir STREQUAL "/usr/local/include")
      string(APPEND filterflow_pc_system_dirs " -isystem ${dir}")
    endif()
  endforeach()
endforeach()
file(RELATIVE_PATH filterflow_pc_up
  "/prefix/${filterflow_pkgconfig_dir}" "/prefix")
string(REGEX REPLACE "/$" "" filterflow_pc_up "${filterflow_pc_up}")
configure_file(cmake/filterflow.pc.in "${CMAKE_CURRENT_BINARY_DIR}/filterflow.pc" @ONLY)
install(FILES "${CMAKE_CURRENT_BINARY_DIR}/filterflow.pc" DESTINATION "${filterflow_pkgconfig_dir}")
install(FILES LICENSE DESTINATION "${CMAKE_INSTALL_DOCDIR}")

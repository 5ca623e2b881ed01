# SPDX-License-Identifier: MIT
# What `cmake --install` puts where, and the two Debian packages that CPack makes of it.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

# Public is what a program needs to run checks and all else the words do: these headers and what they include.
# They show standard types only; one that would pull a library's header in stops here. The survey's are not
# among them: their model is written in the linear algebra library's types.
set(PUBLIC_HEADERS)
set(HEADERS_TO_READ
  app/run_check.hpp app/run_plan.hpp app/keep_check.hpp app/known_checks.hpp app/setup_history.hpp app/find_step.hpp
  files/readings_file.hpp files/station_file.hpp files/caliper_classes.hpp logbook/logbook.hpp units/input_error.hpp
  report/check_report.hpp report/plan_report.hpp report/history_report.hpp report/find_report.hpp report/log_report.hpp)
while(HEADERS_TO_READ)
  list(POP_FRONT HEADERS_TO_READ header)
  list(APPEND PUBLIC_HEADERS ${header})
  file(STRINGS src/${header} includes REGEX "^#include ")
  foreach(line ${includes})
    if(line MATCHES "^#include \"(.+)\"")
      if(NOT CMAKE_MATCH_1 IN_LIST PUBLIC_HEADERS AND NOT CMAKE_MATCH_1 IN_LIST HEADERS_TO_READ)
        list(APPEND HEADERS_TO_READ ${CMAKE_MATCH_1})
      endif()
    elseif(NOT line MATCHES "^#include <[a-z_]+>")
      message(FATAL_ERROR "src/${header} is a public header, and shows more than standard types: ${line}")
    endif()
  endforeach()
endwhile()
foreach(header ${PUBLIC_HEADERS})
  get_filename_component(folder ${header} DIRECTORY)
  install(FILES src/${header} DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/quarterturn/${folder} COMPONENT development)
endforeach()

# Man pages and completions are what the program itself writes, so they cannot be older than its options.
set(SYSTEM_FILES ${CMAKE_CURRENT_BINARY_DIR}/system)
add_custom_command(OUTPUT ${SYSTEM_FILES}/written
  COMMAND ${CMAKE_COMMAND} -D PROGRAM=$<TARGET_FILE:quarterturn> -D INTO=${SYSTEM_FILES}
    -P ${CMAKE_CURRENT_SOURCE_DIR}/data/package/system_files.cmake
  DEPENDS quarterturn data/package/system_files.cmake
  COMMENT "Man pages, completions and licences" VERBATIM)
add_custom_target(system_files ALL DEPENDS ${SYSTEM_FILES}/written)

set(DOC ${CMAKE_INSTALL_DATADIR}/doc/quarterturn)
install(TARGETS quarterturn DESTINATION ${CMAKE_INSTALL_BINDIR} COMPONENT program)
install(DIRECTORY ${SYSTEM_FILES}/man1 DESTINATION ${CMAKE_INSTALL_MANDIR} COMPONENT program)
install(FILES ${SYSTEM_FILES}/bash/quarterturn
  DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions COMPONENT program)
install(FILES ${SYSTEM_FILES}/zsh/_quarterturn
  DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/vendor-completions COMPONENT program)
install(FILES ${SYSTEM_FILES}/fish/quarterturn.fish
  DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d COMPONENT program)
install(DIRECTORY data/schema DESTINATION ${CMAKE_INSTALL_DATADIR}/quarterturn COMPONENT program)
install(FILES README.md DESTINATION ${DOC} COMPONENT program)
install(DIRECTORY examples DESTINATION ${DOC} COMPONENT program
  PATTERN run.sh EXCLUDE PATTERN out EXCLUDE)
install(FILES data/package/copyright DESTINATION ${DOC} COMPONENT program)
install(DIRECTORY ${SYSTEM_FILES}/licences DESTINATION ${DOC} COMPONENT program OPTIONAL)

install(TARGETS quarterturn_library EXPORT quarterturn ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT development)
set(PACKAGE_FILES ${CMAKE_INSTALL_LIBDIR}/cmake/quarterturn)
install(EXPORT quarterturn NAMESPACE quarterturn:: FILE quarterturnTargets.cmake
  DESTINATION ${PACKAGE_FILES} COMPONENT development)
configure_package_config_file(data/package/quarterturnConfig.cmake.in
  ${CMAKE_CURRENT_BINARY_DIR}/generated/quarterturnConfig.cmake INSTALL_DESTINATION ${PACKAGE_FILES})
# Before 1.0 another second number may change what programs see.
write_basic_package_version_file(${CMAKE_CURRENT_BINARY_DIR}/generated/quarterturnConfigVersion.cmake
  COMPATIBILITY SameMinorVersion)
install(FILES ${CMAKE_CURRENT_BINARY_DIR}/generated/quarterturnConfig.cmake
  ${CMAKE_CURRENT_BINARY_DIR}/generated/quarterturnConfigVersion.cmake
  DESTINATION ${PACKAGE_FILES} COMPONENT development)
install(FILES data/package/copyright DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/libquarterturn-dev COMPONENT development)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_CONTACT "the quarterturn authors")
set(CPACK_PACKAGE_VENDOR "the quarterturn authors")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_ALL program development)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION misc)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME quarterturn)
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION "squareness calibration for drilled-top cutting tables
Takes the caliper readings of a multi-cut test and works out how square a
cutting station is, how sure that is, and what to move.")
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libquarterturn-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS "libsqlitecpp-dev, libsqlite3-dev")
set(CPACK_COMPONENT_DEVELOPMENT_DESCRIPTION "quarterturn as a library, for C++20 programs
A static library with the headers and package files for CMake.")
if(NOT STATIC_LINK)
  set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
endif()
include(CPack)

# What `cmake --install` puts where, and the Debian package that `cpack` makes of it: the program with its scales and
# vehicles, and firmware and ports as a library for find_package() and pkg-config. The version is the project's.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

# Packing needs what is built, not everything that could be.
set(CMAKE_SKIP_INSTALL_ALL_DEPENDENCY ON)
set(headers ${CMAKE_INSTALL_INCLUDEDIR}/cornerbench)
set(package ${CMAKE_INSTALL_LIBDIR}/cmake/cornerbench)

foreach(library firmware hal golden)
  target_include_directories(cornerbench_${library} INTERFACE $<INSTALL_INTERFACE:${headers}>)
  set_target_properties(cornerbench_${library} PROPERTIES EXPORT_NAME ${library})
endforeach()
install(TARGETS cornerbench_firmware cornerbench_hal cornerbench_golden EXPORT cornerbench_targets
        ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR})
install(EXPORT cornerbench_targets NAMESPACE cornerbench:: FILE cornerbenchTargets.cmake DESTINATION ${package})
install(DIRECTORY ${PROJECT_SOURCE_DIR}/firmware ${PROJECT_SOURCE_DIR}/hal DESTINATION ${headers}
        FILES_MATCHING PATTERN "*.h" PATTERN "cortex_m" EXCLUDE PATTERN "package" EXCLUDE PATTERN "example" EXCLUDE
        PATTERN "sessions" EXCLUDE)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/hal/golden DESTINATION ${CMAKE_INSTALL_DATADIR}/cornerbench
        FILES_MATCHING PATTERN "*.recording" PATTERN "*.settings" PATTERN "*.trace" PATTERN "sessions" EXCLUDE)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/hal/minimal DESTINATION ${CMAKE_INSTALL_DOCDIR}/hal)
file(GLOB_RECURSE pages RELATIVE ${PROJECT_SOURCE_DIR} CONFIGURE_DEPENDS
     ${PROJECT_SOURCE_DIR}/firmware/*.md ${PROJECT_SOURCE_DIR}/hal/*.md ${PROJECT_SOURCE_DIR}/sim/*.md
     ${PROJECT_SOURCE_DIR}/sim/report/pictures/*.svg)
foreach(page IN LISTS pages)
  get_filename_component(folder ${page} DIRECTORY)
  install(FILES ${PROJECT_SOURCE_DIR}/${page} DESTINATION ${CMAKE_INSTALL_DOCDIR}/${folder})
endforeach()
install(FILES ${PROJECT_SOURCE_DIR}/README.md ${PROJECT_SOURCE_DIR}/LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR})

configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/cornerbenchConfig.cmake.in
    ${PROJECT_BINARY_DIR}/package/cornerbenchConfig.cmake INSTALL_DESTINATION ${package})
# Before 1.0 another minor version may be another interface.
write_basic_package_version_file(${PROJECT_BINARY_DIR}/package/cornerbenchConfigVersion.cmake
    COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/package/cornerbenchConfig.cmake
              ${PROJECT_BINARY_DIR}/package/cornerbenchConfigVersion.cmake DESTINATION ${package})
configure_file(${CMAKE_CURRENT_LIST_DIR}/cornerbench.pc.in ${PROJECT_BINARY_DIR}/package/cornerbench.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/package/cornerbench.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig)

# Takes away what the last install brought, and of the folders that are empty then those called by its name and below:
# the others may have been there before.
add_custom_target(uninstall
    COMMAND sh -c "xargs -d '\\n' rm -f -- < install_manifest.txt && \
sed -n 's,\\(.*/\\(include\\|share\\|doc\\|cmake\\)/cornerbench\\)/.*,\\1,p' install_manifest.txt | sort -u | \
xargs -d '\\n' -I FOLDER find FOLDER -depth -type d -empty -delete 2>/dev/null || true"
    WORKING_DIRECTORY ${PROJECT_BINARY_DIR} VERBATIM
    COMMENT "Taking away what install_manifest.txt lists")

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME cornerbench)
set(CPACK_PACKAGE_VENDOR "cornerbench")
set(CPACK_PACKAGE_CONTACT "cornerbench contributors <noreply@example.org>")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_RESOURCE_FILE_LICENSE ${PROJECT_SOURCE_DIR}/LICENSE)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
include(CPack)

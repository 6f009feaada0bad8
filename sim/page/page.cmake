# The parts of the bench page, and its WebAssembly module where clang 16 with its libraries for that is at hand.
set(page ${CMAKE_CURRENT_SOURCE_DIR}/page)
set(scripts "")
foreach(name module run words deck display wiring box faults sheet trace lessons progress
             drill start)
  list(APPEND scripts ${page}/script/${name}.js)
endforeach()
set(CORNERBENCH_PAGE_HTML ${page}/page.html)
set(CORNERBENCH_PAGE_STYLE ${page}/page.css)
set(CORNERBENCH_PAGE_SCRIPT ${CMAKE_CURRENT_BINARY_DIR}/page.js)
add_custom_command(OUTPUT ${CORNERBENCH_PAGE_SCRIPT}
    COMMAND cat ${scripts} > ${CORNERBENCH_PAGE_SCRIPT} DEPENDS ${scripts} VERBATIM)

set(CORNERBENCH_PAGE_MODULE ${CMAKE_CURRENT_BINARY_DIR}/page_module.gz)
set(wasm_libraries /usr/include/wasm32-wasi/c++/v1)
find_program(CORNERBENCH_WASM_COMPILER clang++-16)
find_program(CORNERBENCH_WASM_LINKER wasm-ld-16)
if(CORNERBENCH_PAGE AND CORNERBENCH_WASM_COMPILER AND CORNERBENCH_WASM_LINKER AND EXISTS ${wasm_libraries})
  message(STATUS "The bench page's module is built with ${CORNERBENCH_WASM_COMPILER}")
  set(module_folder ${PROJECT_BINARY_DIR}/page-module)
  file(GLOB_RECURSE module_sources CONFIGURE_DEPENDS
      ${PROJECT_SOURCE_DIR}/firmware/*.cpp ${PROJECT_SOURCE_DIR}/firmware/*.h ${PROJECT_SOURCE_DIR}/hal/*.h
      ${PROJECT_SOURCE_DIR}/hal/simulated/*.cpp ${PROJECT_SOURCE_DIR}/hal/recorded/*.cpp
      ${PROJECT_SOURCE_DIR}/sim/world/* ${PROJECT_SOURCE_DIR}/sim/faults/* ${PROJECT_SOURCE_DIR}/sim/field/*
      ${PROJECT_SOURCE_DIR}/sim/training/* ${PROJECT_SOURCE_DIR}/sim/virtual_scale/* ${PROJECT_SOURCE_DIR}/sim/page/*.cpp ${PROJECT_SOURCE_DIR}/sim/page/*.h
      ${PROJECT_SOURCE_DIR}/sim/page/module/*)
  # Optimised for size: it is sent to phones, and runs hundreds of times faster than time passes.
  add_custom_command(OUTPUT ${CORNERBENCH_PAGE_MODULE}
      COMMAND ${CMAKE_COMMAND} -S ${PROJECT_SOURCE_DIR} -B ${module_folder} -G Ninja
              --toolchain ${PROJECT_SOURCE_DIR}/tests/target/wasm32.cmake
              -DCORNERBENCH_HOST=OFF -DCMAKE_BUILD_TYPE=MinSizeRel
      COMMAND ${CMAKE_COMMAND} --build ${module_folder} --target cornerbench_page --parallel 2
      COMMAND sh -c "gzip -9 -n -c ${module_folder}/cornerbench_page.wasm > ${CORNERBENCH_PAGE_MODULE}"
      DEPENDS ${module_sources} ${PROJECT_SOURCE_DIR}/tests/target/wasm32.cmake
      COMMENT "The bench page's WebAssembly module" USES_TERMINAL VERBATIM)
else()
  add_custom_command(OUTPUT ${CORNERBENCH_PAGE_MODULE}
      COMMAND ${CMAKE_COMMAND} -E touch ${CORNERBENCH_PAGE_MODULE} VERBATIM)
endif()

configure_file(${page}/page_parts.cpp.in ${CMAKE_CURRENT_BINARY_DIR}/page_parts.cpp @ONLY)
set_source_files_properties(${CMAKE_CURRENT_BINARY_DIR}/page_parts.cpp PROPERTIES OBJECT_DEPENDS
    "${CORNERBENCH_PAGE_HTML};${CORNERBENCH_PAGE_STYLE};${CORNERBENCH_PAGE_SCRIPT};${CORNERBENCH_PAGE_MODULE}")

# clang with Debian's C and C++ libraries for WebAssembly. There is no operating system: what a program needs of its
# surroundings it names as an import.
set(CMAKE_SYSTEM_NAME Generic)
set(CMAKE_SYSTEM_PROCESSOR wasm32)
set(CMAKE_CXX_COMPILER clang++-16)
set(CMAKE_CXX_COMPILER_TARGET wasm32-wasi)
# The computer's own: an archive is only a bag of objects then, without an index for the linker, and programs take the
# objects themselves.
set(CMAKE_AR ar)
set(CMAKE_RANLIB ranlib)
set(CMAKE_CXX_ARCHIVE_FINISH "")
set(CMAKE_SYSROOT /usr)
set(CMAKE_TRY_COMPILE_TARGET_TYPE STATIC_LIBRARY)

# Debian's driver does not find its libc++ for this target by itself.
set(CMAKE_CXX_FLAGS_INIT "-nostdinc++ -cxx-isystem /usr/include/wasm32-wasi/c++/v1 -Wno-unused-command-line-argument")

set(CMAKE_FIND_ROOT_PATH_MODE_PROGRAM NEVER)

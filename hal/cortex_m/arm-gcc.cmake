# What every Cortex-M build has in common; a part's own toolchain file sets CORTEX_M_CPU and includes this.
set(CMAKE_SYSTEM_NAME Generic)
set(CMAKE_SYSTEM_PROCESSOR arm)
set(CMAKE_CXX_COMPILER arm-none-eabi-g++)

# Without startup code and linker script nothing links, so CMake's compiler check may only make an archive.
set(CMAKE_TRY_COMPILE_TARGET_TYPE STATIC_LIBRARY)

# Destructors of static objects never run on a device: do not register them. And no notes about arguments that
# compilers before 7.1 passed differently.
# Beside every object file its call graph with the stack each function takes: tests/target/budgets.sh adds them up.
set(CMAKE_CXX_FLAGS_INIT "-mthumb ${CORTEX_M_CPU} -fno-use-cxa-atexit -Wno-psabi -fcallgraph-info=su")

set(CMAKE_FIND_ROOT_PATH_MODE_PROGRAM NEVER)
set(CMAKE_FIND_ROOT_PATH_MODE_LIBRARY ONLY)
set(CMAKE_FIND_ROOT_PATH_MODE_INCLUDE ONLY)
set(CMAKE_FIND_ROOT_PATH_MODE_PACKAGE ONLY)

# Double precision in hardware.
set(CORTEX_M_CPU "-mcpu=cortex-m7 -mfpu=fpv5-d16 -mfloat-abi=hard")
set(CORTEX_M_NAME m7)
include(${CMAKE_CURRENT_LIST_DIR}/arm-gcc.cmake)

# Single precision in hardware; doubles are computed in software, with the same bits.
set(CORTEX_M_CPU "-mcpu=cortex-m4 -mfpu=fpv4-sp-d16 -mfloat-abi=hard")
set(CORTEX_M_NAME m4)
include(${CMAKE_CURRENT_LIST_DIR}/arm-gcc.cmake)

#pragma once

#include <cstdint>

namespace cornerbench::cortex_m {

/// The register at this address.
inline volatile std::uint32_t& at(std::uintptr_t address) {
    return *reinterpret_cast<volatile std::uint32_t*>(address);
}

}  // namespace cornerbench::cortex_m

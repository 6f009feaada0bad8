#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

#include "sim/faults/port_faults.h"
#include "sim/files/session_file.h"

namespace cornerbench::virtual_scale {

/// In the order of `files::converter_fault_words`.
inline constexpr faults::PortFaultKind converter_faults[] = {
    faults::PortFaultKind::frames_lost,     faults::PortFaultKind::repeated,
    faults::PortFaultKind::saturated,       faults::PortFaultKind::reference_missing,
    faults::PortFaultKind::transfer_failed, faults::PortFaultKind::stuck,
    faults::PortFaultKind::bit_flipped};

/// The fault of that name; none for other words.
inline std::optional<faults::PortFaultKind> converter_fault(std::string_view words) {
    for (std::size_t i = 0; i < std::size(converter_faults); ++i) {
        if (files::converter_fault_words[i] == words) return converter_faults[i];
    }
    return std::nullopt;
}

}  // namespace cornerbench::virtual_scale

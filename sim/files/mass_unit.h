#pragma once

#include <array>
#include <string_view>

#include "firmware/scale/units.h"

/// Units of mass as files and screens name them.
namespace cornerbench::files {

/// In the order of `scale::MassUnit`.
inline constexpr std::array<std::string_view, 3> unit_names{"kg", "t", "lb"};

constexpr std::string_view unit_name(scale::MassUnit unit) {
    return unit_names[static_cast<unsigned>(unit)];
}

}  // namespace cornerbench::files

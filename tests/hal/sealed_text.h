#pragma once

#include <algorithm>
#include <string>
#include <string_view>

#include "hal/recorded/line_text.h"

namespace cornerbench::hal {

/// The same text with every line's seal made anew.
inline std::string sealed_anew(std::string_view text) {
    std::string result;
    LineSeal seal;
    while (!text.empty()) {
        std::string_view line = text.substr(0, text.find('\n'));
        text.remove_prefix(std::min(text.size(), line.size() + 1));
        if (!line.empty()) line.remove_suffix(1);
        result += std::string(line) + seal.next(line) + "\n";
    }
    return result;
}

}  // namespace cornerbench::hal

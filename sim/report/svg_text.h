#pragma once

#include <string>
#include <string_view>

namespace cornerbench::report {

/// `text` as it may stand between SVG tags or in an attribute.
std::string svg_text(std::string_view text);

}  // namespace cornerbench::report

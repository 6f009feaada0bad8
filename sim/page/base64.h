#pragma once

#include <string>
#include <string_view>

namespace cornerbench::page {

/// RFC 4648, section 4, with padding.
std::string base64(std::string_view bytes);

}  // namespace cornerbench::page

#pragma once

#include <string>

#include "sim/page/page_data.h"

namespace cornerbench::page {

/// Largest page, bytes.
inline constexpr std::size_t largest_page = 1024 * 1024;

/// True when this program was built with the module that a page needs.
bool has_module();

/// The page with everything in it; it asks no network for anything.
std::string page_html(const PageContent& content);

}  // namespace cornerbench::page

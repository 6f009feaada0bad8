#pragma once

#include <string_view>

/// What the page is put together from, as it was when the program was built.
namespace cornerbench::page {

std::string_view html_part();
std::string_view style_part();
std::string_view script_part();  ///< all scripts, one after another
/// The bench as a WebAssembly module, gzipped; empty in a program that was built without one.
std::string_view module_part();

}  // namespace cornerbench::page

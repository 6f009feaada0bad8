#pragma once

#include <string>

namespace cornerbench::cli {

/// Path of a browser that prints without a window: CORNERBENCH_BROWSER, else the first of the usual names on
/// the search path; empty when there is none.
std::string find_browser();

/// Prints the page at `html_path` into `pdf_path`. Stops when there is no browser or it does not print.
void print_pdf_or_stop(const std::string& html_path, const std::string& pdf_path);

}  // namespace cornerbench::cli

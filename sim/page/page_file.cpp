#include "sim/page/page_file.h"

#include <string_view>

#include "sim/page/base64.h"
#include "sim/page/page_parts.h"

namespace cornerbench::page {

namespace {

void fill(std::string& page, std::string_view mark, std::string_view text) {
    if (const std::size_t at = page.find(mark); at != std::string::npos) page.replace(at, mark.size(), text);
}

/// Text of a script element ends at "</": in JSON a slash may be escaped.
std::string inside_script(std::string text) {
    for (std::size_t at = 0; (at = text.find("</", at)) != std::string::npos; at += 3)
        text.insert(at + 1, 1, '\\');
    return text;
}

}  // namespace

bool has_module() {
    return !module_part().empty();
}

std::string page_html(const PageContent& content) {
    std::string page(html_part());
    fill(page, "/*STYLE*/", style_part());
    fill(page, "/*DATA*/",
         inside_script(page_data(content).dump(-1, ' ', false, report::Json::error_handler_t::replace)));
    fill(page, "/*MODULE*/", base64(module_part()));
    fill(page, "/*SCRIPT*/", script_part());
    return page;
}

}  // namespace cornerbench::page

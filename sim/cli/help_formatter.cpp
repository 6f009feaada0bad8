#include "sim/cli/help_formatter.h"

#include <sstream>
#include <string_view>

#include "sim/report/table.h"

namespace cornerbench::cli {

namespace {

constexpr int name_width = 28;

}  // namespace

HelpFormatter::HelpFormatter() {
    column_width(name_width);
}

std::string HelpFormatter::make_option(const CLI::Option* option, bool is_positional) const {
    return entry(make_option_name(option, is_positional) + make_option_opts(option),
                 make_option_desc(option));
}

std::string HelpFormatter::make_option_opts(const CLI::Option* option) const {
    constexpr std::string_view several = " ...";
    std::string text = CLI::Formatter::make_option_opts(option);
    const std::size_t at = text.find(several);
    if (!option->get_allow_extra_args() && at != std::string::npos) text.erase(at, several.size());
    return text;
}

std::string HelpFormatter::make_subcommand(const CLI::App* command) const {
    return entry(command->get_name(), command->get_description());
}

std::string HelpFormatter::make_footer(const CLI::App* app) const {
    const std::string footer = CLI::Formatter::make_footer(app);
    if (app->get_parent() == nullptr) return footer;
    return footer + "\nBeside these --json, --no-colour and --verbose: see 'cornerbench --help'.\n";
}

std::string HelpFormatter::entry(const std::string& name, const std::string& text) const {
    std::ostringstream wrapped;
    report::print_wrapped(wrapped, text, name_width);
    std::string body = wrapped.str();
    const std::string head = "  " + name;
    if (static_cast<int>(head.size()) + 2 > name_width) return head + "\n" + body;
    return body.empty() ? head + "\n" : body.replace(0, head.size(), head);
}

}  // namespace cornerbench::cli

#pragma once

#include <CLI/CLI.hpp>

namespace cornerbench::cli {

/// Help in two columns that stay inside the page.
class HelpFormatter final : public CLI::Formatter {
  public:
    HelpFormatter();
    std::string make_option(const CLI::Option* option, bool is_positional) const override;
    /// What follows the name. "..." only where one name takes several values.
    std::string make_option_opts(const CLI::Option* option) const override;
    std::string make_subcommand(const CLI::App* command) const override;
    std::string make_footer(const CLI::App* app) const override;

  private:
    std::string entry(const std::string& name, const std::string& text) const;
};

}  // namespace cornerbench::cli

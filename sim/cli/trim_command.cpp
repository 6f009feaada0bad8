#include <memory>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string sheet_path;
};

Exit trim(const Asked& asked, Session&) {
    const files::SheetFile sheet = load_sheet_or_stop(asked.sheet_path);
    throw std::logic_error("the trim solver is not connected to the command line");
}

}  // namespace

void add_trim(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("trim", "From corner weights to the setting of every trim");
    command->add_option("sheet", asked->sheet_path, "Sheet with weights over every corner (TOML)")
        ->required();
    command->footer("Example:\n  cornerbench trim configs/sheets/depot-corners-differ.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return trim(*asked, session); }; });
}

}  // namespace cornerbench::cli

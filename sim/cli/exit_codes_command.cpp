#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/report/table.h"

namespace cornerbench::cli {

namespace {

void print_text(Session& session) {
    for (const ExitMeaning& meaning : exit_meanings) {
        session.out << session.style(report::Tone::strong,
                                     fmt::format("{}  {}", static_cast<int>(meaning.code), meaning.name))
                    << '\n';
        report::print_wrapped(session.out, meaning.text, 3);
        report::print_wrapped(session.out, meaning.hint, 3);
    }
}

void print_json(Session& session) {
    report::Json document = report::json_document();
    document["exit_codes"] = report::Json::array();
    for (const ExitMeaning& meaning : exit_meanings) {
        document["exit_codes"].push_back({{"code", static_cast<int>(meaning.code)},
                                          {"name", meaning.name},
                                          {"text", meaning.text},
                                          {"hint", meaning.hint}});
    }
    report::print_json(session.out, document);
}

}  // namespace

void add_exit_codes(CLI::App& app, Session& session) {
    CLI::App* command = app.add_subcommand("exit-codes", "What each exit code means and what to do then");
    command->footer("Example:\n  cornerbench exit-codes --json");
    command->callback([&session] {
        session.action = [&session] {
            session.json ? print_json(session) : print_text(session);
            return Exit::done;
        };
    });
}

}  // namespace cornerbench::cli

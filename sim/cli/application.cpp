#include "sim/cli/application.h"

#include <cstdlib>
#include <string>
#include <vector>

#include <spdlog/fmt/fmt.h>
#include <spdlog/sinks/ostream_sink.h>
#include <spdlog/spdlog.h>

#include "sim/cli/commands.h"
#include "sim/cli/help_formatter.h"
#include "sim/files/nearest_word.h"

namespace cornerbench::cli {

namespace {

constexpr const char* description =
    "cornerbench: a bench for vehicle scales on several load cells.\n"
    "Tells from readings what is wrong, how to trim the corners, what a fault does.";

std::string exit_footer() {
    std::string text = "Exit codes ('cornerbench exit-codes' says more):\n";
    for (const ExitMeaning& meaning : exit_meanings) {
        text += fmt::format("  {}  {}\n", static_cast<int>(meaning.code), meaning.text);
    }
    text +=
        "\nExamples:\n"
        "  cornerbench diagnose configs/sheets/quarry-west-end-light.toml\n"
        "  cornerbench corners configs/scales/quarry-8.toml \\\n"
        "      --with \"loose-terminal cell=5 wire=S+ ohm=38\"\n"
        "  cornerbench causes loose-terminal";
    return text;
}

bool environment_says(const char* name) {
    const char* value = std::getenv(name);
    return value != nullptr && *value != '\0';
}

bool terminal_takes_colour() {
    const char* terminal = std::getenv("TERM");
    return terminal == nullptr || std::string_view(terminal) != "dumb";
}

/// The log of one run; afterwards nothing refers to the session's streams any more.
class Log {
  public:
    explicit Log(Session& session);
    ~Log() { spdlog::set_default_logger(std::make_shared<spdlog::logger>("cornerbench")); }
    Log(const Log&) = delete;
    Log& operator=(const Log&) = delete;
};

Log::Log(Session& session) {
    auto sink = std::make_shared<spdlog::sinks::ostream_sink_mt>(session.err, true);
    auto logger = std::make_shared<spdlog::logger>("cornerbench", std::move(sink));
    logger->set_pattern("%l: %v");
    logger->set_level(session.verbose ? spdlog::level::debug : spdlog::level::warn);
    spdlog::set_default_logger(std::move(logger));
}

/// The first word that is no option: what was meant to be the command.
std::string_view first_word(int count, const char* const* arguments) {
    for (int i = 1; i < count; ++i) {
        if (arguments[i][0] != '-') return arguments[i];
    }
    return {};
}

bool says(int count, const char* const* arguments, std::string_view word) {
    for (int i = 1; i < count; ++i) {
        if (std::string_view(arguments[i]) == word) return true;
    }
    return false;
}

/// What a line that could not be read most likely meant.
std::string usage_message(const CLI::App& app, const CLI::ParseError& error, int count,
                          const char* const* arguments) {
    std::vector<std::string_view> commands;
    for (const CLI::App* command : app.get_subcommands(nullptr)) commands.emplace_back(command->get_name());
    const std::string_view word = first_word(count, arguments);
    const bool known = std::find(commands.begin(), commands.end(), word) != commands.end();
    if (word.empty()) return "a command is missing; one of: " + fmt::format("{}", fmt::join(commands, ", "));
    if (!known) {
        return fmt::format("there is no command '{}'; {}", word, files::nearest_or_all(word, commands));
    }
    std::string message = error.what();
    if (dynamic_cast<const CLI::ExtrasError*>(&error) != nullptr && says(count, arguments, "--with")) {
        message += "; every further cause takes its own --with";
    }
    return fmt::format("{} (see 'cornerbench {} --help')", message, word);
}

Exit fail(Session& session, Exit code, const std::string& message, std::string_view hint) {
    const ExitMeaning& meaning = meaning_of(code);
    session.err << "cornerbench: " << message << '\n';
    if (code == Exit::internal) session.err << hint << '\n';
    if (session.json) {
        report::Json document = report::json_document();
        document["error"] = {
            {"code", static_cast<int>(code)}, {"name", meaning.name}, {"message", message}, {"hint", hint}};
        report::print_json(session.out, document);
    }
    return code;
}

Exit fail(Session& session, Exit code, const std::string& message) {
    return fail(session, code, message, meaning_of(code).hint);
}

Exit run_action(Session& session) {
    try {
        const Exit code = session.action ? session.action() : Exit::done;
        session.out.flush();
        if (!session.out) throw Stop(Exit::host, "the output could not be written");
        return code;
    } catch (const Stop& stop) {
        return fail(session, stop.code(), stop.what(), stop.hint());
    } catch (const std::bad_alloc&) {
        return fail(session, Exit::host, "there is not enough memory");
    } catch (const std::exception& error) {
        return fail(session, Exit::internal, std::string("internal error: ") + error.what());
    } catch (...) {
        return fail(session, Exit::internal, "internal error of unknown kind");
    }
}

Exit run_line(int count, const char* const* arguments, Session& session) {
    CLI::App app(description, "cornerbench");
    app.set_version_flag("--version", std::string("cornerbench ") + CORNERBENCH_VERSION);
    app.add_flag("--json", session.json, "One JSON document on standard output, nothing else");
    app.add_flag("--no-colour,--no-color", session.no_colour, "No colours (NO_COLOR does the same)");
    app.add_flag("-v,--verbose", session.verbose, "Say on standard error what is being done");
    app.require_subcommand(1);
    app.fallthrough();
    app.footer(exit_footer());
    app.formatter(std::make_shared<HelpFormatter>());
    add_diagnose(app, session);
    add_trim(app, session);
    add_corners(app, session);
    add_check(app, session);
    add_wire(app, session);
    add_netlist(app, session);
    add_sweep(app, session);
    add_plan(app, session);
    add_survey(app, session);
    add_report(app, session);
    add_causes(app, session);
    add_weigh(app, session);
    add_replay(app, session);
    add_watch(app, session);
    add_live(app, session);
    add_trial(app, session);
    add_spread(app, session);
    add_merge(app, session);
    add_sheet(app, session);
    add_atlas(app, session);
    add_drill(app, session);
    add_settings(app, session);
    add_keys(app, session);
    add_page(app, session);
    add_power_cuts(app, session);
    add_bad_days(app, session);
    add_exit_codes(app, session);

    try {
        app.parse(count, arguments);
    } catch (const CLI::Success& asked) {
        app.exit(asked, session.out, session.err);
        session.out.flush();
        return session.out ? Exit::done : Exit::host;
    } catch (const CLI::ParseError& error) {
        session.json = says(count, arguments, "--json");
        return fail(session, Exit::wrong_usage, usage_message(app, error, count, arguments));
    }
    session.style.colour = session.out_is_terminal && !session.json && !session.no_colour &&
                           !environment_says("NO_COLOR") && terminal_takes_colour();
    const Log log(session);
    return run_action(session);
}

}  // namespace

int run(int argument_count, const char* const* arguments, Session& session) {
    try {
        return static_cast<int>(run_line(argument_count, arguments, session));
    } catch (const std::exception& error) {
        return static_cast<int>(
            fail(session, Exit::internal, std::string("internal error: ") + error.what()));
    } catch (...) {
        return static_cast<int>(fail(session, Exit::internal, "internal error of unknown kind"));
    }
}

}  // namespace cornerbench::cli

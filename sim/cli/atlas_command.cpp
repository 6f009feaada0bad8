#include <memory>
#include <sstream>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/written_file.h"
#include "sim/field/fault_words.h"
#include "sim/report/atlas_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string cause;
    std::string output;
    bool force = false;
};

/// What was asked for: one cause by name or in the words of `--with`, or every one that this scale can have.
std::vector<scale::Fault> faults_asked(const Asked& asked, const scale::Description& d) {
    if (!asked.cause.empty()) {
        const auto cause = field::find_cause(asked.cause);
        if (!cause) return faults_or_stop({asked.cause}, d);
        if (*cause == scale::Cause::unlisted) {
            throw Stop(Exit::wrong_usage,
                       "what is on no list cannot be computed; valid: a cause that 'cornerbench "
                       "causes' describes");
        }
        if (!scale::possible(d, *cause)) {
            throw Stop(Exit::wrong_usage, fmt::format("this scale cannot have {}: {}", asked.cause,
                                                      field::why_impossible(d, *cause)));
        }
        return {training::example_of(d, *cause)};
    }
    std::vector<scale::Fault> faults;
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<scale::Cause>(i);
        if (cause == scale::Cause::unlisted || !scale::possible(d, cause)) continue;
        faults.push_back(training::example_of(d, cause));
    }
    return faults;
}

Exit show(const Asked& asked, Session& session) {
    if (!asked.force) spare_or_stop(asked.output);
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Standard standard = standard_or_stop(scale);
    const std::vector<scale::Fault> faults = faults_asked(asked, scale.description);
    std::vector<training::AtlasEntry> entries;
    for (const scale::Fault& fault : faults) {
        entries.push_back(training::atlas_entry(scale, standard, fault));
        if (!session.err_is_terminal) continue;
        session.err << fmt::format("\rcomputing: {} of {}", entries.size(), faults.size())
                    << (entries.size() == faults.size() ? "\r\033[K" : "") << std::flush;
    }
    const report::AtlasPage page{scale, standard, entries};
    if (!asked.output.empty()) {
        std::ostringstream html;
        report::write_atlas_html(html, page);
        replace_or_stop(asked.output, html.str());
        if (!session.json) session.out << fmt::format("{}: {} causes\n", asked.output, entries.size());
    }
    if (session.json) {
        report::print_atlas_json(session.out, page);
    } else if (asked.output.empty() && asked.cause.empty()) {
        report::print_atlas_list(session.out, page, session.style);
    } else if (asked.output.empty()) {
        report::print_atlas_entry(session.out, page, entries.front(), session.style);
    }
    return Exit::done;
}

}  // namespace

void add_atlas(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("atlas", "What every cause would do to one very scale");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option("cause", asked->cause,
                        "One cause in full, by its name or in the words of --with; without it, a line each");
    command->add_option("-o,--output", asked->output, "HTML file for one page with pictures");
    add_force(*command, asked->force);
    command->footer(
        "Computed from the scale's file: the corner round, half an hour in which nothing\n"
        "is touched, meters, what looks like it and what tells it apart.\n"
        "Example:\n"
        "  cornerbench atlas configs/scales/quarry-8.toml -o atlas.html\n"
        "  cornerbench atlas configs/scales/quarry-8.toml \\\n"
        "      \"loose-terminal cell=5 wire=S+ ohm=38\"");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return show(*asked, session); }; });
}

}  // namespace cornerbench::cli

#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/field/fault_words.h"
#include "sim/report/cause_pages.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string name;
    std::string scale_path;
};

Exit show(const Asked& asked, Session& session) {
    const report::CauseExample example = asked.scale_path.empty()
                                             ? report::eight_cell_example()
                                             : report::example_from(load_scale_or_stop(asked.scale_path));
    if (asked.name.empty()) {
        session.json ? report::print_causes_json(session.out, example)
                     : report::print_cause_list(session.out, example, session.style);
        return Exit::done;
    }
    const auto cause = field::find_cause(asked.name);
    if (!cause) {
        throw Stop(Exit::wrong_usage,
                   fmt::format("there is no cause '{}'; {}", asked.name, field::nearest_cause(asked.name)));
    }
    session.json ? report::print_cause_json(session.out, *cause, example)
                 : report::print_cause_page(session.out, *cause, example, session.style);
    return Exit::done;
}

}  // namespace

void add_causes(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("causes", "What can be wrong with a scale, in plain words");
    command->add_option("name", asked->name, "One cause in full; without it, the list");
    command->add_option("--scale", asked->scale_path, "Scale file: places, sizes and priors of that scale");
    command->footer("Example:\n  cornerbench causes rubbing --scale configs/scales/quarry-8.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return show(*asked, session); }; });
}

}  // namespace cornerbench::cli

#include <filesystem>
#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/standard_option.h"
#include "sim/report/design_check_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string standard;
    std::vector<std::string> vehicles;
    commissioning::Traffic traffic;
};

Exit check(const Asked& asked, Session& session) {
    if (!(asked.traffic.cold_C < asked.traffic.hot_C))
        throw Stop(Exit::wrong_usage, fmt::format("--cold {:g} must be colder than --hot {:g}",
                                                  asked.traffic.cold_C, asked.traffic.hot_C));
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Standard standard = standard_or_stop(scale, asked.standard);
    commissioning::Design design{scale, standard, {}, asked.traffic, cell_standard_or_stop(scale, standard)};
    std::vector<std::string> names = asked.vehicles;
    if (names.empty()) {
        names = files::vehicles_near(std::filesystem::path(asked.scale_path).parent_path().string());
    }
    for (const std::string& name : names)
        design.vehicles.push_back(load_vehicle_or_stop(name, asked.scale_path));
    const commissioning::DesignCheck result = commissioning::check_design(design);
    const report::DesignCheckPage page{design, result};
    if (session.json) {
        report::print_json(session.out, report::design_check_json(page));
    } else {
        report::print_design_check(session.out, page, session.style);
    }
    return result.count(commissioning::Answer::fail) == 0 ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_check(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("check", "Whether deck, cells, box, cable and indicator go together");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    add_standard(*command, asked->standard);
    command
        ->add_option("--vehicle", asked->vehicles,
                     "A vehicle's file or name; may be repeated (default: all that are found)")
        ->allow_extra_args(false);
    command->add_option("--wind", asked->traffic.wind_m_per_s, "Side wind in m/s (default 20)")
        ->check(CLI::Range(0.0, 60.0));
    command->add_option("--side", asked->traffic.side_m, "Vehicles off the middle by m (default 0.3)")
        ->check(CLI::Range(0.0, 3.0));
    command->add_option("--cold", asked->traffic.cold_C, "Coldest cables in C (default -10)")
        ->check(CLI::Range(-60.0, 60.0));
    command->add_option("--hot", asked->traffic.hot_C, "Warmest cables in C (default 40)")
        ->check(CLI::Range(-60.0, 90.0));
    command->footer(
        "Exit code 1: a check fails; questions alone do not.\n"
        "Example:\n"
        "  cornerbench check configs/scales/quarry-8.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return check(*asked, session); }; });
}

}  // namespace cornerbench::cli

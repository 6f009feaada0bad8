#include <memory>
#include <optional>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/standard_option.h"
#include "sim/field/fault_words.h"
#include "sim/report/corner_test_report.h"
#include "sim/report/number_words.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::vector<std::string> faults;
    std::optional<double> mass;
    std::string stage = "service";
    std::string standard;
    bool unrounded = false;
};

field::CornerTestSetting setting_or_stop(const Asked& asked, const files::ScaleFile& scale,
                                         const files::Standard& standard) {
    field::CornerTestSetting setting;
    setting.stage = asked.stage == "verification" ? files::Stage::verification : files::Stage::service;
    setting.unrounded = asked.unrounded;
    setting.mass_kg = field::standard_test_kg(standard, scale.description);
    if (asked.mass) {
        setting.mass_kg = *asked.mass * scale::kilograms_in(scale.description.unit);
        const report::MassWords words(scale.description);
        if (!(setting.mass_kg >= scale.description.division_kg &&
              setting.mass_kg <= scale.description.max_kg)) {
            throw Stop(Exit::wrong_usage,
                       fmt::format("--mass {:g} is no test load of this scale; valid: {} to {}", *asked.mass,
                                   words.with_unit(scale.description.division_kg),
                                   words.with_unit(scale.description.max_kg)));
        }
    }
    return setting;
}

Exit test(const Asked& asked, Session& session) {
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Standard standard = standard_or_stop(scale, asked.standard);
    const std::vector<scale::Fault> faults = faults_or_stop(asked.faults, scale.description);
    const field::CornerTestSetting setting = setting_or_stop(asked, scale, standard);
    const field::CornerTest result =
        field::test_corners(scale.description, faults, standard, scale.accuracy_class, setting);
    report::CornerTestPage page{scale, standard, result, setting, {}, !asked.mass};
    for (const scale::Fault& fault : faults) {
        page.faults.push_back(field::fault_words(fault, scale.description));
    }
    session.json ? report::print_corner_test_json(session.out, page)
                 : report::print_corner_test(session.out, page, session.style);
    return result.within() ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_corners(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("corners", "The corner and section test that a scale would show");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option("--with", asked->faults, "A cause with its place and size; may be repeated")
        ->allow_extra_args(false);
    command->add_option("--mass", asked->mass,
                        "Test load in the scale's unit (default: the standard's rule)");
    add_stage(*command, asked->stage);
    add_standard(*command, asked->standard);
    command->add_flag("--unrounded", asked->unrounded, "Exact values instead of whole divisions");
    command->footer(
        "Zero is set after the causes came. Exit code 1: outside the limits.\n"
        "Example:\n"
        "  cornerbench corners configs/scales/quarry-8.toml --mass 10000 \\\n"
        "      --with \"loose-terminal cell=5 wire=S+ ohm=38\"");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return test(*asked, session); }; });
}

}  // namespace cornerbench::cli

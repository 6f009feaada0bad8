#include <memory>
#include <optional>
#include <sstream>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/load_option.h"
#include "sim/cli/loading.h"
#include "sim/cli/standard_option.h"
#include "sim/cli/swept_parameter.h"
#include "sim/cli/written_file.h"
#include "sim/field/fault_words.h"
#include "sim/report/sweep_report.h"

namespace cornerbench::cli {

namespace {

constexpr int most_values = 1001;

struct Asked {
    std::string scale_path;
    std::string parameter;
    double from = 0.0;
    double to = 0.0;
    int count = 11;
    bool logarithmic = false;
    std::vector<std::string> show;
    std::vector<std::string> faults;
    std::vector<std::string> loads;
    std::optional<double> mass;
    bool as_shown = false;
    bool calibrated_once = false;
    std::string standard;
    std::string csv_path;
    std::string svg_path;
    bool force = false;
};

std::vector<double> values_or_stop(const Asked& asked) {
    if (asked.from == asked.to)
        throw Stop(Exit::wrong_usage,
                   fmt::format("from {:g} to {:g} there is nothing to sweep; valid: two different ends",
                               asked.from, asked.to));
    if (asked.logarithmic && !(asked.from * asked.to > 0.0))
        throw Stop(
            Exit::wrong_usage,
            fmt::format("--log goes in equal ratios and cannot go from {:g} to {:g}; valid: two ends of "
                        "one sign, neither of them 0",
                        asked.from, asked.to));
    return sweep::values_between(asked.from, asked.to, asked.count, asked.logarithmic);
}

std::vector<sweep::Column> columns_or_stop(const std::vector<std::string>& words,
                                           const scale::Description& description) {
    if (words.empty()) return sweep::usual_columns(description);
    std::vector<sweep::Column> columns;
    for (const std::string& word : words) {
        std::string error;
        const auto read = sweep::read_columns(word, description, error);
        if (read.empty()) throw Stop(Exit::wrong_usage, "--show " + word + ": " + error);
        columns.insert(columns.end(), read.begin(), read.end());
    }
    return columns;
}

double test_kg_or_stop(const Asked& asked, const scale::Description& d) {
    if (!asked.mass) return 0.0;
    const double kg = *asked.mass * scale::kilograms_in(d.unit);
    if (!(kg >= d.division_kg && kg <= d.max_kg))
        throw Stop(Exit::wrong_usage,
                   fmt::format("--mass {:g} is no test load of this scale; valid: one division to Max",
                               *asked.mass));
    return kg;
}

Exit run_sweep(const Asked& asked, Session& session) {
    spare_or_stop({asked.csv_path, asked.svg_path}, asked.force);
    const std::vector<double> values = values_or_stop(asked);
    const SweptParameter parameter(asked.parameter, asked.scale_path);
    const files::ScaleFile& scale = parameter.scale();
    const files::Standard standard = standard_or_stop(scale, asked.standard);
    const std::vector<sweep::Column> columns = columns_or_stop(asked.show, scale.description);
    const files::PlacedLoad load = load_or_stop(asked.loads, scale);
    sweep::Setting setting;
    setting.test_kg = test_kg_or_stop(asked, scale.description);
    setting.load = load.load;
    setting.as_shown = asked.as_shown;
    if (asked.calibrated_once) setting.calibration = weighing::sound_calibration(scale.description);

    std::vector<sweep::Scene> scenes;
    for (const double value : values) scenes.push_back(parameter.at(value, asked.faults));
    std::vector<sweep::Point> points;
    for (std::size_t i = 0; i < values.size(); ++i)
        points.push_back(sweep::point_at(values[i], scenes[i], standard, columns, setting));

    report::SweepPage page{scale,     parameter.name(),  parameter.unit(),      columns,       points, {},
                           load.text, asked.logarithmic, asked.calibrated_once, asked.as_shown};
    for (const scale::Fault& fault : faults_or_stop(asked.faults, scale.description))
        page.faults.push_back(field::fault_words(fault, scale.description));
    if (!asked.csv_path.empty()) {
        std::ostringstream csv;
        report::print_sweep_csv(csv, page);
        write_or_stop(asked.csv_path, csv.str());
    }
    if (!asked.svg_path.empty()) write_or_stop(asked.svg_path, report::sweep_chart(page));
    if (session.json) {
        report::print_json(session.out, report::sweep_json(page));
    } else {
        report::print_sweep(session.out, page, session.style);
    }
    return Exit::done;
}

}  // namespace

void add_sweep(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("sweep", "One number of a scale or of a cause through a range");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command
        ->add_option("parameter", asked->parameter,
                     "A number of its file, such as home_run.length_m, cell.capacity (every cell) or "
                     "cell.3.trim_at, or a cause but for its size, such as \"loose-terminal cell=5 wire=S+ "
                     "ohm\"")
        ->required();
    command->add_option("from", asked->from, "First value")->required();
    command->add_option("to", asked->to, "Last value")->required();
    command->add_option("--steps", asked->count, "Values, both ends included (default 11)")
        ->check(CLI::Range(2, most_values));
    command->add_flag("--log", asked->logarithmic, "In equal ratios instead of equal steps");
    command
        ->add_option("--show", asked->show,
                     "spread, corner=N or corners, section=N or sections (of the corner test), display "
                     "(weight of --load), zero, span, reading (mV/V), signal=N or signals, excitation, "
                     "current; several with commas (default: spread,corners)")
        ->delimiter(',')
        ->allow_extra_args(false);
    command->add_option("--with", asked->faults, "A cause that is there all the while; may be repeated")
        ->allow_extra_args(false);
    add_load(*command, asked->loads);
    command->add_option("--mass", asked->mass,
                        "Test load of the corner test in the scale's unit (default: the standard's rule)");
    command->add_flag("--shown", asked->as_shown, "Weights in whole divisions instead of exact ones");
    command->add_flag("--calibrated-once", asked->calibrated_once,
                      "Keep the span of the scale as its file has it, as if it were changed afterwards");
    add_standard(*command, asked->standard);
    command->add_option("--csv", asked->csv_path, "Writes the table to this file");
    command->add_option("--svg", asked->svg_path, "Draws it into this file");
    add_force(*command, asked->force);
    command->footer(
        "Example:\n"
        "  cornerbench sweep configs/scales/quarry-8.toml \\\n"
        "      \"loose-terminal cell=5 wire=S+ ohm\" 0.2 200 --log --svg loose.svg");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return run_sweep(*asked, session); }; });
}

}  // namespace cornerbench::cli

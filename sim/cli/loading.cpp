#include "sim/cli/loading.h"

#include <cmath>
#include <filesystem>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/fault_words.h"
#include "sim/virtual_scale/indicator_settings.h"

namespace cornerbench::cli {

namespace {

template <class Value>
Value value_or_stop(files::Loaded<Value> loaded) {
    for (const files::FileError& warning : loaded.warnings) spdlog::warn(files::to_string(warning));
    if (loaded.value) return std::move(*loaded.value);
    std::string message = files::to_string(loaded.errors);
    if (message.ends_with('\n')) message.pop_back();
    throw Stop(loaded.unreadable() ? Exit::host : Exit::impossible_file, message);
}

}  // namespace

std::string text_or_stop(const std::string& path, std::size_t most_bytes) {
    files::Findings findings(path);
    auto text = files::read_text(path, findings, most_bytes);
    return value_or_stop(findings.result(text.value_or("")));
}

files::ScaleFile load_scale_or_stop(const std::string& path) {
    spdlog::debug("reading the scale {}", path);
    return value_or_stop(files::load_scale(path));
}

files::ScaleFile parse_scale_or_stop(std::string_view text, const std::string& path) {
    return value_or_stop(files::parse_scale(text, path));
}

files::Standard parse_standard_or_stop(std::string_view text, const std::string& path) {
    return value_or_stop(files::parse_standard(text, path));
}

files::TrialPart load_trial_part_or_stop(const std::string& path) {
    spdlog::debug("reading a part of a trial {}", path);
    return value_or_stop(files::load_trial_part(path));
}

files::SheetFile load_sheet_or_stop(const std::string& path) {
    spdlog::debug("reading the sheet {}", path);
    return value_or_stop(files::load_sheet(path));
}

files::LessonFile load_lesson_or_stop(const std::string& path) {
    spdlog::debug("reading the lesson {}", path);
    return value_or_stop(files::load_lesson(path));
}

files::TestSheet load_test_sheet_or_stop(const std::string& path) {
    spdlog::debug("reading the test sheet {}", path);
    return value_or_stop(files::load_test_sheet(path));
}

files::SessionFile load_session_or_stop(const std::string& path, const files::ScaleFile& scale) {
    spdlog::debug("reading the session {}", path);
    return value_or_stop(files::load_session(path, scale));
}

files::Vehicle load_vehicle_or_stop(const std::string& path, const std::string& scale_path) {
    spdlog::debug("reading the vehicle {}", path);
    std::error_code ignored;
    if (std::filesystem::exists(path, ignored)) return value_or_stop(files::load_vehicle(path));
    const std::filesystem::path folder = std::filesystem::path(scale_path).parent_path();
    const bool name = path.find_first_of("./") == std::string::npos;
    return value_or_stop(name ? files::sources_beside(folder.string()).vehicle(path)
                              : files::load_vehicle(path));
}

files::Priors priors_or_stop(const std::string& path, const scale::Description& description) {
    if (path.empty()) return diagnosis::default_priors(description);
    spdlog::debug("reading the priors {}", path);
    return value_or_stop(files::load_priors(path, description));
}

field::CheckMinutes minutes_or_stop(const std::string& path) {
    if (path.empty()) return {};
    spdlog::debug("reading the minutes {}", path);
    return value_or_stop(files::load_minutes(path));
}

field::PartTolerances tolerances_or_stop(const std::string& path) {
    if (path.empty()) return {};
    spdlog::debug("reading the tolerances {}", path);
    return value_or_stop(files::load_tolerances(path));
}

std::vector<training::DoneDrill> load_progress_or_stop(const std::string& path) {
    return value_or_stop(training::load_progress(path));
}

files::Standard standard_or_stop(const files::ScaleFile& scale, const std::string& asked) {
    files::Standard standard =
        value_or_stop(asked.empty() ? files::standard_of(scale) : files::choose_standard(asked, scale.path));
    if (standard.find_class(scale.accuracy_class) == nullptr) {
        throw Stop(Exit::impossible_file,
                   scale.path + ": class \"" + scale.accuracy_class + "\" is not in " + standard.name + " (" +
                       (standard.path.empty() ? "the copy inside the program" : standard.path) + ")");
    }
    spdlog::debug("limits of {} from {}", standard.name,
                  standard.path.empty() ? "the copy inside the program" : standard.path);
    return standard;
}

std::optional<files::CellStandard> cell_standard_or_stop(const files::ScaleFile& scale,
                                                         const files::Standard& standard) {
    std::string name = scale.certificates.cell_standard;
    if (name.empty() && standard.modules) name = standard.modules->cell_standard;
    if (name.empty()) return std::nullopt;
    return value_or_stop(files::find_cell_standard(name, scale.path));
}

namespace {

/// Common practice, no source: ten internal counts a division. With half of that a count's own error, half a
/// count, is a tenth of a division.
constexpr double wanted_counts = 10.0;
constexpr double least_counts = 5.0;

/// Counts to the finest division, the filter's gain in them where noise moves the code so that it has one.
double counts_per_division(const scale::Description& d, int bits, const weighing::FilterPlan& plan) {
    double ratio_per_kg = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[static_cast<std::size_t>(i)];
        ratio_per_kg += cell.rated_output_V_per_V / cell.capacity_kg / d.cell_count();
    }
    if (d.converter == scale::Converter::summed) ratio_per_kg /= d.cell_count();
    const double codes_per_ratio = std::ldexp(1.0, bits - 1) / d.full_scale_V_per_V;
    const double codes = d.division_at_kg(0.0) * ratio_per_kg * codes_per_ratio;
    // Half a code of noise makes a mean say what lies between two codes.
    const double noise_codes = d.noise_V_rms / d.excitation_V * codes_per_ratio;
    return noise_codes < 0.5 ? codes : codes / std::sqrt(plan.noise_gain());
}

void check_codes_or_stop(const files::ScaleFile& scale, const weighing::FilterPlan& plan) {
    const scale::Description& d = scale.description;
    const double counts = counts_per_division(d, d.converter_bits, plan);
    if (counts >= least_counts) return;
    constexpr int most_bits = 32;
    int bits = d.converter_bits;
    while (bits < most_bits && counts_per_division(d, bits, plan) < wanted_counts) ++bits;
    const std::string valid = counts_per_division(d, bits, plan) < wanted_counts
                                  ? "a larger division or a smaller full_scale_mV_per_V"
                                  : fmt::format("bits = {} or more, or a larger division", bits);
    throw Stop(
        Exit::impossible_file,
        fmt::format(
            "{}: [indicator] bits = {}: the finest division is {:.2g} codes of the converter after "
            "filtering, and shows no weight reliably below {:g}; valid: {}, so that a division is {:g} codes",
            scale.path, d.converter_bits, counts, least_counts, valid, wanted_counts));
}

}  // namespace

void check_filter_or_stop(const files::ScaleFile& scale) {
    const weighing::Weigher weigher(virtual_scale::indicator_settings(scale).weigher);
    if (weigher.plan().error == weighing::FilterError::none) {
        check_codes_or_stop(scale, weigher.plan());
        return;
    }
    throw Stop(
        Exit::impossible_file,
        fmt::format("{}: [indicator] rate_Hz = {:g}: no filter can keep 50 and 60 Hz out at that rate; "
                    "valid: a multiple of 10 above 60, such as 100 or 400",
                    scale.path, scale.description.rate_Hz));
}

std::vector<scale::Fault> faults_or_stop(const std::vector<std::string>& words,
                                         const scale::Description& description) {
    std::vector<scale::Fault> faults;
    for (const std::string& each : words) {
        const field::ReadFault read = field::read_fault(each, description);
        if (!read.fault) throw Stop(Exit::wrong_usage, "--with \"" + each + "\": " + read.error);
        if (read.fault->cause == scale::Cause::unlisted) {
            throw Stop(Exit::wrong_usage,
                       "--with \"" + each +
                           "\": what is on no list cannot be computed; valid: a cause that "
                           "'cornerbench causes' describes");
        }
        faults.push_back(*read.fault);
    }
    return faults;
}

}  // namespace cornerbench::cli

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "firmware/weighing/range.h"
#include "firmware/weighing/still_scale.h"
#include "sim/commissioning/simulated_day.h"
#include "sim/commissioning/survey.h"
#include "sim/commissioning/test_plan.h"
#include "sim/field/fault_draw.h"
#include "sim/field/places.h"
#include "sim/field/random_source.h"
#include "tests/cli/command_line.h"

// Plan, simulated day, filled sheet as a file, survey: for every shipped scale, sound and with every cause,
// against the truth of a scale without noise, rounding or weights that stand astray.

using namespace cornerbench;
using commissioning::Verdict;
using files::PlaceKind;
using files::TestKind;
using files::TestLine;

namespace {

/// What a line's error truly is; nothing where no weight can be shown.
std::vector<std::optional<double>> true_errors(const files::TestSheet& sheet, const files::Standard& standard,
                                               const field::PreparedScale& prepared) {
    const scale::Description& d = sheet.scale.description;
    weighing::StillScale scale(d, prepared.truth);
    weighing::ZeroAndSpan set = prepared.calibration;
    const weighing::Rules rules = standard.rules(sheet.scale.accuracy_class);
    std::vector<std::optional<double>> errors;
    std::optional<double> zero = 0.0;
    for (const TestLine& line : sheet.lines) {
        std::vector<mechanics::PointLoad> loads;
        const auto stand = [&](field::Place at, double kg) {
            loads.push_back({at.x_m, at.y_m, kg * d.gravity});
        };
        if (line.place.kind == PlaceKind::support)
            stand(field::over_support(d.deck, line.place.index), line.load_kg);
        if (line.place.kind == PlaceKind::section)
            stand(field::over_section(d.deck, line.place.index), line.load_kg);
        if (line.place.kind == PlaceKind::midspan) {
            const field::Place a = field::over_section(d.deck, line.place.index);
            const field::Place b = field::over_section(d.deck, line.place.index + 1);
            stand({0.5 * (a.x_m + b.x_m), a.y_m}, line.load_kg);
        }
        if (line.place.kind == PlaceKind::spread)
            for (int i = 0; i < d.cell_count(); ++i)
                stand(field::over_support(d.deck, i), line.load_kg / d.cell_count());
        if (line.test == TestKind::weighing || line.test == TestKind::substitution) {
            scale.change(loads);
        } else {
            scale.put(loads);
        }
        weighing::Indication read = scale.read(set);
        const bool shows =
            read.error == mechanics::DeckError::none && !read.reference_missing && !read.over_range;
        if (line.test == TestKind::zero && shows &&
            std::fabs(read.weight_kg) <= 0.5 * rules.initial_zero_share * d.max_kg) {
            set.zero_ratio = read.ratio;
            read = scale.read(set);
        }
        if (line.test == TestKind::zero) zero = shows ? std::optional(read.weight_kg) : std::nullopt;
        // Corrected for the error at zero, as every error of the day is; a zero that stays off is told apart.
        errors.push_back(shows && zero ? std::optional(read.weight_kg - line.load_kg -
                                                       (line.test == TestKind::zero ? 0.0 : *zero))
                                       : std::nullopt);
    }
    return errors;
}

struct Tally {
    int lines = 0;
    int against_truth = 0;
    int passes = 0;
    int fails = 0;
    int uncertain = 0;
};

/// One day through a file and back, held to the truth.
void hold(const std::string& name, std::span<const scale::Fault> faults, std::uint64_t seed, Tally& tally) {
    const auto scale = files::load_scale(cli::config("scales/" + name + ".toml"));
    REQUIRE(scale);
    const auto standard = files::find_standard(scale.value->standard, scale.value->path);
    REQUIRE(standard);
    commissioning::PlannedTest planned =
        commissioning::plan_tests(*scale.value, *standard.value, {files::Stage::service, 0.0});
    planned.sheet.scale_path = scale.value->path;
    // What rubs remembers where the weights stood before: there they stand where they belong.
    for (const scale::Fault& fault : faults)
        if (fault.cause == scale::Cause::rubbing) planned.sheet.uncertainties.placing_m = 0.0;
    const files::TestSheet filled = commissioning::simulate_day(planned.sheet, *standard.value, faults, seed);
    const auto read = files::parse_test_sheet(files::test_sheet_text(filled, "", {}), "/day.toml");
    INFO(files::to_string(read.errors));
    REQUIRE(read);
    const files::TestSheet& sheet = *read.value;
    const commissioning::Survey survey = commissioning::judge_sheet(sheet, *standard.value);

    const field::PreparedScale prepared =
        field::prepare_scale(scale.value->description, faults, seed, field::SheetSetting{});
    const auto truth = true_errors(sheet, *standard.value, prepared);
    bool clearly_bad = false;
    bool clearly_good = true;
    for (std::size_t i = 0; i < sheet.lines.size(); ++i) {
        const commissioning::LineResult& line = survey.lines[i];
        const bool zero_stays_off =
            sheet.lines[i].test == TestKind::zero &&
            (!truth[i] || std::fabs(*truth[i]) > 2.0 * scale.value->description.division_kg);
        if (zero_stays_off) {
            bool told = false;
            for (const auto& clause : survey.clauses) told = told || clause.title == "Zero setting";
            CHECK(told);
            CHECK(survey.verdict() == Verdict::fails);
        }
        if (!line.judged) continue;
        INFO(name << " line " << i + 1 << " " << files::place_text(sheet.lines[i].place) << " "
                  << sheet.lines[i].load_kg << " error " << line.error.value << " U "
                  << line.error.uncertainty << " limit " << line.error.limit << " truly "
                  << truth[i].value_or(1.0e9));
        ++tally.lines;
        if (!truth[i] || sheet.lines[i].shown != diagnosis::Shown::value) {
            CHECK(line.error.verdict == Verdict::fails);
            clearly_bad = true;
            continue;
        }
        const double size = std::fabs(*truth[i]);
        const double limit = line.error.limit;
        const double u = line.error.uncertainty;
        // A verdict may err by no more than its own uncertainty.
        if (line.error.verdict == Verdict::passes) CHECK(size <= limit + u);
        if (line.error.verdict == Verdict::fails) CHECK(size >= limit - u);
        if ((line.error.verdict == Verdict::passes && size > limit) ||
            (line.error.verdict == Verdict::fails && size <= limit))
            ++tally.against_truth;
        clearly_bad = clearly_bad || size > limit + 2.0 * u;
        clearly_good = clearly_good && size < limit - 2.0 * u;
    }
    Verdict lines = Verdict::passes;
    for (const auto& clause : survey.clauses)
        if (clause.title == "Eccentric loads" || clause.title.find("Weighing") == 0 ||
            clause.title.find("Each of") == 0) {
            if (clause.verdict == Verdict::fails) lines = Verdict::fails;
            if (clause.verdict != Verdict::passes && lines == Verdict::passes) lines = clause.verdict;
        }
    INFO(name << " with the whole verdict " << commissioning::word_of(lines));
    if (clearly_bad) {
        CHECK(lines == Verdict::fails);
        CHECK(survey.verdict() == Verdict::fails);
    } else if (clearly_good) {
        CHECK(lines == Verdict::passes);
    }
    tally.passes += survey.verdict() == Verdict::passes ? 1 : 0;
    tally.fails += survey.verdict() == Verdict::fails ? 1 : 0;
    tally.uncertain += survey.verdict() == Verdict::uncertain ? 1 : 0;
}

const char* const scales[] = {"quarry-8", "sawmill-4", "harbour-8", "depot-6", "elevator-10", "scrapyard-6"};

}  // namespace

TEST_CASE("days on sound scales end with the verdicts that the truth deserves", "[commissioning]") {
    Tally tally;
    for (const char* name : scales)
        for (std::uint64_t seed = 1; seed <= 6; ++seed) hold(name, {}, seed, tally);
    CAPTURE(tally.lines, tally.against_truth, tally.passes, tally.fails, tally.uncertain);
    CHECK(tally.against_truth * 50 <= tally.lines);
    CHECK(tally.passes > 0);
}

TEST_CASE("days on scales with every cause end with the verdicts that the truth deserves",
          "[commissioning]") {
    Tally tally;
    for (const char* name : scales) {
        const auto scale = files::load_scale(cli::config("scales/" + std::string(name) + ".toml"));
        REQUIRE(scale);
        const scale::Description& d = scale.value->description;
        for (int c = 0; c < scale::cause_count; ++c) {
            const auto cause = static_cast<scale::Cause>(c);
            if (cause == scale::Cause::healthy || cause == scale::Cause::unlisted ||
                !scale::possible(d, cause))
                continue;
            for (std::uint64_t seed = 1; seed <= 2; ++seed) {
                field::RandomSource random(seed * 1000 + static_cast<std::uint64_t>(c), 77);
                scale::Fault fault;
                fault.cause = cause;
                fault.site = scale::site_at(d, cause, random.index(scale::site_count(d, cause)));
                fault.variant = scale::variant_at(d, cause, random.index(scale::variant_count(d, cause)));
                const scale::Magnitudes sizes = scale::magnitudes_of(d, cause, fault.site);
                for (int m = 0; m < sizes.count; ++m) {
                    const scale::Magnitude& size = sizes.of[static_cast<unsigned>(m)];
                    fault.magnitude[static_cast<unsigned>(m)] = random.between(size.low, size.high);
                }
                INFO(scale::name_of(cause));
                hold(name, {&fault, 1}, seed, tally);
            }
        }
    }
    CAPTURE(tally.lines, tally.against_truth, tally.passes, tally.fails, tally.uncertain);
    CHECK(tally.against_truth * 50 <= tally.lines);
    CHECK(tally.fails > 50);
}

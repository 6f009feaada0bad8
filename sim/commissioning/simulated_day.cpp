#include "sim/commissioning/simulated_day.h"

#include <cmath>

#include "firmware/weighing/division.h"
#include "firmware/weighing/range.h"
#include "firmware/weighing/still_scale.h"
#include "sim/commissioning/standing_load.h"
#include "sim/field/random_source.h"

namespace cornerbench::commissioning {

using diagnosis::Shown;
using files::PlaceKind;
using files::TestKind;
using files::TestLine;

namespace {

constexpr std::uint64_t day_stream = 21;
/// Small weights are put on up to so many divisions before somebody gives up.
constexpr int most_steps = 30;
/// Small weights of a tenth of a division under a discrimination test; more where none of them lets the
/// display fall.
constexpr int small_weights[] = {10, 30};
constexpr double small_weight_divisions = 0.1;
/// A substitution load is matched to the display within this.
constexpr double matched_divisions = 0.3;

class Day {
  public:
    Day(const files::TestSheet& plan, const files::Standard& standard, const field::PreparedScale& prepared,
        std::uint64_t seed, bool exact)
        : sheet_(plan),
          d_(plan.scale.description),
          standard_(standard),
          rules_(standard.rules(plan.scale.accuracy_class)),
          discrimination_(standard.tests.discrimination.value_or(files::DiscriminationRule{})),
          exact_(exact),
          random_(seed, day_stream),
          scale_(d_, prepared.truth),
          calibration_(prepared.calibration) {
        weights_factor_ = 1.0 + noise(sheet_.uncertainties.weights);
    }

    files::TestSheet go() {
        for (TestLine& line : sheet_.lines) {
            stand(line);
            read(line);
        }
        sheet_.simulated = true;
        return std::move(sheet_);
    }

  private:
    double noise(double standard_deviation) { return exact_ ? 0.0 : standard_deviation * random_.normal(); }

    double true_load_kg(const TestLine& line) {
        if (line.test == TestKind::substitution) {
            // Whatever it weighs, it was put on until the display was as before: off by a part of a division.
            const double off = exact_ ? 0.0 : matched_divisions * random_.between(-1.0, 1.0);
            substitute_kg_ = last_true_kg_ + off * d_.division_at_kg(line.load_kg);
            levels_.push_back({line.load_kg, substitute_kg_});
            return substitute_kg_;
        }
        double substitute = 0.0;
        for (const Level& level : levels_)
            if (std::fabs(level.nominal_kg - line.substitute_kg) < 1.0e-6) substitute = level.true_kg;
        return substitute + (line.load_kg - line.substitute_kg) * weights_factor_;
    }

    void stand(const TestLine& line) {
        if (line.place.kind == PlaceKind::empty) {
            scale_.put({});
            return;
        }
        const double kg = true_load_kg(line);
        last_true_kg_ = kg;
        // All of a load strays together; what is spread over the deck strays nowhere.
        const double off = line.place.kind == PlaceKind::spread ? 0.0 : sheet_.uncertainties.placing_m;
        const double astray_x_m = noise(off);
        const double astray_y_m = noise(off);
        spread_out(line.place, kg, astray_x_m, astray_y_m);
        // Going up and down the load stays on the deck; everything else comes off between two places.
        if (line.test == TestKind::weighing || line.test == TestKind::substitution) {
            scale_.change(loads_);
        } else {
            scale_.put(loads_);
        }
    }

    void spread_out(const files::TestPlace& place, double kg, double astray_x_m, double astray_y_m) {
        loads_.clear();
        for (const StandingPart& part : standing_on(place, d_, standard_))
            loads_.push_back(
                {part.at.x_m + astray_x_m, part.at.y_m + astray_y_m, part.share * kg * d_.gravity});
    }

    Shown shown_of(const weighing::Indication& read, double rounded_kg) const {
        if (read.error != mechanics::DeckError::none || read.reference_missing) return Shown::blank;
        if (read.over_range) return read.ratio > 0.0 ? Shown::over_range : Shown::under_range;
        const auto range =
            weighing::range_of(rounded_kg, d_.max_kg, d_.division_kg, weighing::range_settings(rules_));
        return range == weighing::RangeState::over ? Shown::over_range : Shown::value;
    }

    double rounded(double kg) const { return weighing::rounded_kg(kg, d_.division_at_kg(kg)); }

    /// What is shown with so much in small weights beside the load, which stays where it stands.
    double shown_with(const TestLine& line, double small_kg, double noise_kg) {
        spread_out(line.place, last_true_kg_ + small_kg, 0.0, 0.0);
        scale_.change(loads_);
        return rounded(scale_.read(calibration_).weight_kg + noise_kg);
    }

    /// As the plan tells it: small weights off until the display falls, and from there 1.4 d on.
    void discriminate(TestLine& line, double noise_kg, double division_kg) {
        const double small_kg = small_weight_divisions * division_kg;
        int left = 0;
        double fallen = 0.0;
        for (const int all : small_weights) {
            const double before = shown_with(line, all * small_kg, noise_kg);
            fallen = before;
            for (left = all; left > 0 && fallen >= before; --left)
                fallen = shown_with(line, (left - 1) * small_kg, noise_kg);
            if (fallen < before) break;
        }
        line.indication_kg = fallen;
        const int back = discrimination_.one_back ? 1 : 0;
        line.after_kg = shown_with(
            line, (left + back) * small_kg + discrimination_.extra_divisions * division_kg, noise_kg);
    }

    void set_zero() {
        const weighing::Indication read = scale_.read(calibration_);
        const double reach = 0.5 * rules_.initial_zero_share * d_.max_kg;
        const bool fits = read.error == mechanics::DeckError::none && !read.reference_missing &&
                          !read.over_range && std::fabs(read.weight_kg) <= reach;
        if (fits) calibration_.zero_ratio = read.ratio;
    }

    void read(TestLine& line) {
        if (line.test == TestKind::zero) set_zero();
        const weighing::Indication read = scale_.read(calibration_);
        const double division = d_.division_at_kg(read.weight_kg);
        const double noise_kg = noise(sheet_.uncertainties.repeatability_divisions * division);
        const double kg = read.weight_kg + noise_kg;
        line.shown = shown_of(read, rounded(kg));
        if (line.shown != Shown::value) return;
        if (line.test == TestKind::discrimination) {
            discriminate(line, noise_kg, d_.division_at_kg(kg));
            return;
        }
        line.indication_kg = rounded(kg);
        const double step =
            sheet_.uncertainties.added_step_divisions * d_.division_at_kg(*line.indication_kg);
        for (int n = 1; n <= most_steps; ++n) {
            if (rounded(kg + n * step) <= *line.indication_kg) continue;
            line.added_kg = n * step;
            break;
        }
    }

    struct Level {
        double nominal_kg = 0.0;
        double true_kg = 0.0;
    };

    files::TestSheet sheet_;
    const scale::Description& d_;
    const files::Standard& standard_;
    weighing::Rules rules_;
    files::DiscriminationRule discrimination_;
    bool exact_ = false;
    field::RandomSource random_;
    weighing::StillScale scale_;
    weighing::ZeroAndSpan calibration_;
    double weights_factor_ = 1.0;
    double last_true_kg_ = 0.0;
    double substitute_kg_ = 0.0;
    std::vector<Level> levels_;
    std::vector<mechanics::PointLoad> loads_;
};

}  // namespace

DaySetting usual_day(files::Stage stage) {
    DaySetting day;
    if (stage != files::Stage::verification) return day;
    constexpr double better = 3.0;
    field::Scatter& scatter = day.specimen.scatter;
    scatter.trim_turns /= better;
    scatter.trim_ohm /= better;
    scatter.corner_gain /= better;
    return day;
}

files::TestSheet simulate_day(const files::TestSheet& plan, const files::Standard& standard,
                              std::span<const scale::Fault> faults, std::uint64_t seed,
                              const DaySetting& setting) {
    const field::PreparedScale prepared =
        field::prepare_scale(plan.scale.description, faults, seed, setting.specimen);
    return Day(plan, standard, prepared, seed, setting.exact).go();
}

}  // namespace cornerbench::commissioning

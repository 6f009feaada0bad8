#include "sim/field/corner_test.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "firmware/weighing/division.h"
#include "firmware/weighing/range.h"
#include "sim/field/faulty_condition.h"
#include "sim/field/places.h"

namespace cornerbench::field {

using diagnosis::Shown;

namespace {

/// A limit is met by an error that differs from it by the last bits of its arithmetic.
constexpr double limit_slack = 1.0 + 1.0e-9;

class Display {
  public:
    Display(const scale::Description& description, const scale::Condition& condition,
            const files::Standard& standard, std::string_view accuracy_class,
            const CornerTestSetting& setting)
        : description_(description),
          judged_as_shown_(!standard.before_rounding),
          unrounded_(setting.unrounded),
          range_(weighing::range_settings(standard.rules(accuracy_class))),
          scale_(description, condition),
          calibration_(setting.calibration ? *setting.calibration
                                           : weighing::sound_calibration(description)) {}

    TestResult weigh_empty() {
        scale_.put({});
        return result(0.0);
    }

    TestResult weigh(double mass_kg, Place at) {
        const std::array load{mechanics::PointLoad{at.x_m, at.y_m, mass_kg * description_.gravity}};
        scale_.put(load);
        return result(mass_kg);
    }

    void zero() { calibration_.zero_ratio = scale_.read(calibration_).ratio; }

  private:
    TestResult result(double mass_kg) const {
        TestResult r;
        const weighing::Indication indication = scale_.read(calibration_);
        r.deck_error = indication.error;
        if (indication.reference_missing) {
            r.shown = Shown::blank;
        } else if (indication.over_range) {
            r.shown = indication.ratio > 0.0 ? Shown::over_range : Shown::under_range;
        }
        r.judged_as_shown = judged_as_shown_;
        r.lifted = scale_.deck().lifted;
        if (!r.has_value()) return r;
        r.shown_kg = unrounded_ ? indication.weight_kg
                                : weighing::rounded_kg(indication.weight_kg,
                                                       description_.division_at_kg(indication.weight_kg));
        if (weighing::range_of(r.shown_kg, description_.max_kg, description_.division_kg, range_) ==
            weighing::RangeState::over) {
            r.shown_kg = 0.0;
            r.shown = Shown::over_range;
            return r;
        }
        r.shown_error_kg = r.shown_kg - mass_kg;
        r.exact_error_kg = indication.weight_kg - mass_kg;
        return r;
    }

    const scale::Description& description_;
    bool judged_as_shown_ = false;
    bool unrounded_ = false;
    weighing::RangeSettings range_;
    weighing::StillScale scale_;
    weighing::ZeroAndSpan calibration_;
};

Spread spread_of(const std::vector<TestResult>& results, double limit_kg, bool judged) {
    Spread spread;
    spread.limit_kg = limit_kg;
    spread.judged = judged;
    double low = 0.0;
    double high = 0.0;
    bool first = true;
    for (const TestResult& r : results) {
        if (!r.has_value()) continue;
        low = first ? r.judged_error_kg() : std::min(low, r.judged_error_kg());
        high = first ? r.judged_error_kg() : std::max(high, r.judged_error_kg());
        first = false;
    }
    spread.kg = high - low;
    return spread;
}

}  // namespace

bool TestResult::within() const {
    return has_value() && std::fabs(judged_error_kg()) <= limit_kg * limit_slack;
}

bool Spread::within() const {
    return !judged || kg <= limit_kg * limit_slack;
}

bool CornerTest::within() const {
    const auto good = [](const TestResult& r) { return r.within(); };
    return std::all_of(supports.begin(), supports.end(), good) &&
           std::all_of(sections.begin(), sections.end(), good) && support_spread.within() &&
           section_spread.within();
}

double standard_test_kg(const files::Standard& standard, const scale::Description& description) {
    const double asked =
        scale::corner_test_kg(standard.corner_rule, description.max_kg, description.cell_count());
    return std::max(1.0, std::round(asked / description.division_kg)) * description.division_kg;
}

CornerTest test_corners(const scale::Description& description, std::span<const scale::Fault> faults,
                        const files::Standard& standard, std::string_view accuracy_class,
                        const CornerTestSetting& setting) {
    const scale::Condition condition = faulty_condition(description, faults);
    Display display(description, condition, standard, accuracy_class, setting);
    CornerTest test;
    test.mass_kg = setting.mass_kg;
    test.empty = display.weigh_empty();
    display.zero();
    const double division_kg = description.division_at_kg(setting.mass_kg);
    const double limit_kg =
        division_kg * standard.limit_divisions(accuracy_class, setting.stage, setting.mass_kg / division_kg);
    const auto weigh = [&](int index, Place at, std::vector<TestResult>& into) {
        TestResult result = display.weigh(setting.mass_kg, at);
        result.index = index;
        result.limit_kg = limit_kg;
        into.push_back(result);
    };
    for (int i = 0; i < description.cell_count(); ++i) {
        weigh(i, over_support(description.deck, i), test.supports);
    }
    for (int j = 0; j < description.deck.sections; ++j) {
        weigh(j, over_section(description.deck, j), test.sections);
    }
    test.returned = display.weigh_empty();
    const double spread_kg = division_kg * standard.corner_spread_divisions(accuracy_class, setting.stage,
                                                                            setting.mass_kg / division_kg);
    test.support_spread = spread_of(test.supports, spread_kg, standard.corner_spread);
    test.section_spread = spread_of(test.sections, spread_kg, standard.corner_spread);
    return test;
}

}  // namespace cornerbench::field

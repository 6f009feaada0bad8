#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/commissioning/limits.h"
#include "sim/commissioning/standing_load.h"
#include "sim/commissioning/survey.h"

namespace cornerbench::commissioning {

using diagnosis::Direction;
using files::PlaceKind;
using files::TestKind;
using files::TestLine;

namespace {

/// A zero farther off than this many divisions was not set: it was out of the indicator's reach.
constexpr double most_zero_divisions = 1.0;

class HandOver {
  public:
    HandOver(const files::TestSheet& sheet, const files::Standard& standard)
        : sheet_(sheet), standard_(standard), d_(sheet.scale.description) {}

    HandedReadings all() {
        out_.instruments.placing_m = sheet_.uncertainties.placing_m;
        for (const TestLine& line : sheet_.lines) {
            if (line.place.kind == PlaceKind::empty) most_kg_ = 0.0;
            if (line.test == TestKind::weighing || line.test == TestKind::substitution)
                most_kg_ = std::max(most_kg_, line.load_kg);
            if (is_known(line)) out_.readings.push_back(reading_of(line));
        }
        return std::move(out_);
    }

  private:
    /// Small weights of unknown sum stand on the deck for discrimination, and of a substitution load only the
    /// scale itself says what it weighs.
    static bool is_known(const TestLine& line) {
        if (line.test == TestKind::discrimination || line.test == TestKind::substitution) return false;
        return line.substitute_kg == 0.0 && (line.shown != diagnosis::Shown::value || line.indication_kg);
    }

    diagnosis::Reading reading_of(const TestLine& line) {
        diagnosis::Reading reading;
        reading.value = line.indication_kg.value_or(0.0);
        reading.shown = line.shown;
        if (line.test == TestKind::zero) note_zero(reading);
        if (line.test == TestKind::zero_return) reading.direction = Direction::returned;
        for (const StandingPart& part : standing_on(line.place, d_, standard_)) {
            if (reading.load.count == diagnosis::max_standing) break;
            reading.load.standing[static_cast<unsigned>(reading.load.count++)] = {part.share * line.load_kg,
                                                                                  part.at.x_m, part.at.y_m};
        }
        if (line.test == TestKind::weighing || line.test == TestKind::repeatability)
            allow_bend(line, reading);
        if (line.test == TestKind::weighing) note_way(line, reading);
        return reading;
    }

    void note_zero(diagnosis::Reading& reading) {
        const bool set = reading.shown == diagnosis::Shown::value &&
                         std::fabs(reading.value) <= most_zero_divisions * d_.division_at_kg(0.0);
        if (out_.readings.empty()) {
            out_.zeroed = set ? diagnosis::Zeroed::now : diagnosis::Zeroed::before;
        } else {
            reading.zero_set = set;
        }
    }

    /// A sound scale's curve may bend within its limits of error, evenly spread: more than it scatters. Such
    /// a spread's standard uncertainty: JCGM 100:2008, 4.3.7 (from memory); two figures of it: 7.2.6.
    void allow_bend(const TestLine& line, diagnosis::Reading& reading) const {
        const double bends_kg = limit_kg(standard_, sheet_.scale, sheet_.stage, line.load_kg);
        const double scatters_kg =
            sheet_.uncertainties.repeatability_divisions * d_.division_at_kg(line.load_kg);
        const double kg = std::hypot(bends_kg * std::numbers::inv_sqrt3, scatters_kg);
        const double figure = kg > 0.0 ? std::pow(10.0, std::floor(std::log10(kg)) - 1.0) : 1.0;
        reading.uncertainty = std::ceil(kg / figure) * figure;
    }

    void note_way(const TestLine& line, diagnosis::Reading& reading) const {
        if (!line.decreasing || !(most_kg_ > line.load_kg)) return;
        reading.direction = Direction::decreasing;
        reading.came_down_from = most_kg_ / line.load_kg;
    }

    const files::TestSheet& sheet_;
    const files::Standard& standard_;
    const scale::Description& d_;
    HandedReadings out_;
    double most_kg_ = 0.0;  ///< that stood there since the deck was empty, whether its mass is known or not
};

}  // namespace

HandedReadings readings_of(const files::TestSheet& sheet, const files::Standard& standard) {
    return HandOver(sheet, standard).all();
}

}  // namespace cornerbench::commissioning

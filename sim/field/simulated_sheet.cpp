#include "sim/field/simulated_sheet.h"

#include <algorithm>
#include <functional>

#include "sim/field/field_readings.h"
#include "sim/field/test_load.h"
#include "sim/field/trimmed_corners.h"

namespace cornerbench::field {

using scale::Wire;

namespace {

void let_faults_come(const scale::Description& description, std::span<const scale::Fault> faults,
                     const std::function<void(const scale::Cell&, scale::CellCondition&)>& draw_fresh,
                     scale::Condition& c) {
    for (const scale::Fault& fault : faults) {
        scale::apply(fault, description, c);
        const auto at = static_cast<unsigned>(fault.site.index);
        if (fault.cause == scale::Cause::wrong_cell) draw_fresh(description.cells[at], c.cells[at]);
    }
    // A fault's range is that of the drawing; the specimen's own trim and cable end where they end.
    const KnobRange range = knob_range(c);
    for (int i = 0; i < c.cell_count; ++i) {
        const auto at = static_cast<unsigned>(i);
        if (c.converter == scale::Converter::summed && c.trim.kind != scale::TrimKind::none) {
            c.positions[at].trim_at = std::clamp(c.positions[at].trim_at, range.low, range.high);
        }
        c.cells[at].cable_m = std::max(c.cells[at].cable_m, 0.0);
    }
}

/// Goes round the scale and writes down what is read.
class Round {
  public:
    Round(FieldReadings& field, const scale::Condition& truth, double test_kg, SimulatedSheet& out)
        : field_(field), truth_(truth), test_kg_(test_kg), out_(out) {}

    void unload() {
        field_.unload();
        note_error();
    }

    void load(Place place) {
        field_.load(test_kg_, place);
        note_error();
    }

    void write(const diagnosis::Reading& reading) {
        if (field_.error() == mechanics::DeckError::none) out_.readings.push_back(reading);
    }

    void write_weight(diagnosis::Direction direction = diagnosis::Direction::unstated) {
        diagnosis::Reading reading = field_.weight();
        reading.direction = direction;
        write(reading);
    }

    void write_loaded(Place place, bool decreasing) {
        load(place);
        if (!decreasing) return write_weight();
        write_weight(diagnosis::Direction::increasing);
        field_.come_down_from_twice();
        note_error();
        write_weight(diagnosis::Direction::decreasing);
    }

    void weigh(const SheetPlan& plan) {
        unload();
        if (plan.corners || plan.sections) write_weight();
        if (plan.corners) {
            for (int i = 0; i < truth_.cell_count; ++i) {
                write_loaded(over_support(truth_.deck, i), plan.decreasing);
            }
        }
        if (plan.sections) {
            for (int j = 0; j < truth_.deck.sections; ++j) {
                write_loaded(over_section(truth_.deck, j), plan.decreasing);
            }
        }
        if (plan.returned) {
            unload();
            write_weight(diagnosis::Direction::returned);
        }
    }

    void read_channels() {
        unload();
        for (int p = 0; p < truth_.cell_count; ++p) write(field_.channel(p));
        for (int p = 0; p < truth_.cell_count; ++p) {
            load(over_support(truth_.deck, p));
            write(field_.channel(p));
        }
    }

    void lift_wires(const SheetPlan& plan) {
        unload();
        for (int p = 0; p < truth_.cell_count; ++p) {
            if (plan.input_output) {
                write(field_.resistance(p, Wire::excitation_plus, Wire::excitation_minus));
                write(field_.resistance(p, Wire::signal_plus, Wire::signal_minus));
            }
            if (plan.insulation) write(field_.resistance(p, Wire::signal_plus, Wire::shield));
            if (plan.empty_signals) write(field_.lifted_signal(p));
        }
        if (!plan.loaded_signals) return;
        for (int p = 0; p < truth_.cell_count; ++p) {
            load(over_support(truth_.deck, p));
            write(field_.lifted_signal(p));
        }
    }

  private:
    void note_error() {
        if (out_.error == mechanics::DeckError::none) out_.error = field_.error();
    }

    FieldReadings& field_;
    const scale::Condition& truth_;
    double test_kg_ = 0.0;
    SimulatedSheet& out_;
};

}  // namespace

PreparedScale prepare_scale(const scale::Description& description, std::span<const scale::Fault> faults,
                            std::uint64_t seed, const SheetSetting& setting) {
    const Specimen specimen =
        draw_specimen(description, setting.history, setting.scatter, seed, setting.unmodelled);
    PreparedScale prepared{specimen.condition, specimen.calibration};
    const auto draw_fresh = [&](const scale::Cell& rated, scale::CellCondition& cell) {
        draw_fresh_cell(rated, setting.scatter, seed, cell);
    };
    let_faults_come(description, faults, draw_fresh, prepared.truth);
    return prepared;
}

namespace {

SimulatedSheet sheet_of(const PreparedScale& prepared, const SheetSetting& setting) {
    SimulatedSheet out;
    out.instruments = setting.instruments;
    out.zeroed = setting.zeroed;
    out.history = setting.history;
    out.truth = prepared.truth;
    return out;
}

void go_round(const scale::Description& description, const SheetPlan& plan, FieldReadings& field,
              SimulatedSheet& out) {
    if (out.zeroed == diagnosis::Zeroed::now) field.zero();
    out.calibration = field.calibration();

    const double test_kg = plan.test_kg > 0.0 ? plan.test_kg : usual_corner_kg(description);
    Round round(field, out.truth, test_kg, out);
    if (plan.excitation) {
        round.unload();
        round.write(field.excitation(diagnosis::ExcitationPlace::box));
    }
    if (plan.corners || plan.sections || plan.returned) round.weigh(plan);
    if (plan.channels && description.converter == scale::Converter::per_cell) round.read_channels();
    if (plan.input_output || plan.insulation || plan.empty_signals || plan.loaded_signals) {
        round.lift_wires(plan);
    }
}

}  // namespace

SimulatedSheet simulate_sheet(const scale::Description& description, std::span<const scale::Fault> faults,
                              std::uint64_t seed, const SheetPlan& plan, const SheetSetting& setting) {
    const PreparedScale prepared = prepare_scale(description, faults, seed, setting);
    SimulatedSheet out = sheet_of(prepared, setting);
    FieldReadings field(description, out.truth, prepared.calibration, setting.instruments, setting.noisy,
                        seed, setting.unmodelled);
    go_round(description, plan, field, out);
    return out;
}

SimulatedSheet read_exactly(const scale::Description& description, const scale::Fault& fault, Draws& draws,
                            const SheetPlan& plan, const SheetSetting& setting) {
    const Specimen specimen = draw_specimen(description, setting.history, setting.scatter,
                                            RandomSource(draws.specimen), RandomSource(draws.home_run));
    PreparedScale prepared{specimen.condition, specimen.calibration};
    const auto draw_fresh = [&](const scale::Cell& rated, scale::CellCondition& cell) {
        draw_fresh_cell(rated, setting.scatter, RandomSource(draws.fresh_cell), cell);
    };
    let_faults_come(description, {&fault, 1}, draw_fresh, prepared.truth);
    SimulatedSheet out = sheet_of(prepared, setting);
    FieldReadings field(description, out.truth, prepared.calibration, setting.instruments,
                        RandomSource(draws.field));
    go_round(description, plan, field, out);
    return out;
}

}  // namespace cornerbench::field

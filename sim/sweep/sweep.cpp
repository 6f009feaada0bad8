#include "sim/sweep/sweep.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "firmware/diagnosis/load_history.h"
#include "firmware/weighing/division.h"
#include "sim/field/corner_test.h"
#include "sim/field/faulty_condition.h"
#include "sim/netlist/node_names.h"
#include "sim/netlist/scale_circuit.h"

namespace cornerbench::sweep {

using scale::Wire;

namespace {

using Output = std::optional<double>;

/// What one scene comes to, each part worked out when it is first asked for.
class Scenery {
  public:
    Scenery(const Scene& scene, const files::Standard& standard, const Setting& setting)
        : scene_(scene), standard_(standard), setting_(setting) {}

    Output output(const Column& column);

  private:
    const scale::Description& description() const { return scene_.scale.description; }
    weighing::ZeroAndSpan calibration() const {
        return setting_.calibration ? *setting_.calibration : weighing::sound_calibration(description());
    }
    scale::Condition condition() const { return field::faulty_condition(description(), scene_.faults); }
    const field::CornerTest& corner_test();
    const netlist::ScaleCircuit& circuit();
    Output error_of(const field::TestResult& result) const;
    Output spread();
    Output display() const;
    Output span() const;
    Output between(const std::string& plus, const std::string& minus);

    const Scene& scene_;
    const files::Standard& standard_;
    const Setting& setting_;
    std::optional<field::CornerTest> test_;
    std::optional<netlist::ScaleCircuit> circuit_;
};

const field::CornerTest& Scenery::corner_test() {
    if (!test_) {
        field::CornerTestSetting setting;
        setting.mass_kg =
            setting_.test_kg > 0.0 ? setting_.test_kg : field::standard_test_kg(standard_, description());
        setting.calibration = setting_.calibration;
        test_ = field::test_corners(description(), scene_.faults, standard_, scene_.scale.accuracy_class,
                                    setting);
    }
    return *test_;
}

const netlist::ScaleCircuit& Scenery::circuit() {
    if (!circuit_) circuit_ = netlist::circuit_of(description(), scene_.faults, setting_.load);
    return *circuit_;
}

Output Scenery::error_of(const field::TestResult& result) const {
    if (!result.has_value()) return std::nullopt;
    return setting_.as_shown ? result.shown_error_kg : result.exact_error_kg;
}

Output Scenery::spread() {
    Output low;
    Output high;
    for (const field::TestResult& r : corner_test().supports) {
        const Output error = error_of(r);
        if (!error) return std::nullopt;
        low = std::min(low.value_or(*error), *error);
        high = std::max(high.value_or(*error), *error);
    }
    if (!low) return std::nullopt;
    return *high - *low;
}

Output Scenery::display() const {
    weighing::StillScale still(description(), condition());
    weighing::ZeroAndSpan set = calibration();
    still.put({});
    set.zero_ratio = still.read(set).ratio;
    std::array<mechanics::PointLoad, diagnosis::max_standing> standing{};
    const int count = diagnosis::point_loads(setting_.load, description().gravity, 1.0, standing);
    still.put(std::span(standing).first(static_cast<std::size_t>(count)));
    const weighing::Indication shown = still.read(set);
    if (shown.error != mechanics::DeckError::none || shown.reference_missing || shown.over_range)
        return std::nullopt;
    return setting_.as_shown
               ? weighing::rounded_kg(shown.weight_kg, description().division_at_kg(shown.weight_kg))
               : shown.weight_kg;
}

Output Scenery::span() const {
    const weighing::StillScale still(description(), condition());
    if (still.error() != mechanics::DeckError::none) return std::nullopt;
    const weighing::ZeroAndSpan own = still.calibrate(0.5 * description().max_kg);
    if (own.kg_per_ratio == 0.0) return std::nullopt;
    return calibration().kg_per_ratio / own.kg_per_ratio - 1.0;
}

Output Scenery::between(const std::string& plus, const std::string& minus) {
    Output plus_V;
    Output minus_V;
    for (const netlist::NodeVolt& v : circuit().volts) {
        if (v.node == plus) plus_V = v.volt;
        if (v.node == minus) minus_V = v.volt;
    }
    if (!plus_V || !minus_V) return std::nullopt;
    return *plus_V - *minus_V;
}

Output Scenery::output(const Column& column) {
    const auto at = static_cast<std::size_t>(column.index);
    switch (column.what) {
        case Quantity::spread:
            return spread();
        case Quantity::corner:
            return error_of(corner_test().supports[at]);
        case Quantity::section:
            return error_of(corner_test().sections[at]);
        case Quantity::zero:
            return error_of(corner_test().empty);
        case Quantity::display:
            return display();
        case Quantity::span:
            return span();
        default:
            break;
    }
    if (circuit().deck.error != mechanics::DeckError::none) return std::nullopt;
    if (column.what == Quantity::signal)
        return between(netlist::wire_end_node(column.index, Wire::signal_plus),
                       netlist::wire_end_node(column.index, Wire::signal_minus));
    if (column.what == Quantity::current) return netlist::excitation_A(circuit());
    if (column.what == Quantity::excitation) {
        const bool per_cell = description().converter == scale::Converter::per_cell;
        const netlist::BusNames names(per_cell ? 0 : -1);
        return between(names.box(Wire::excitation_plus), names.box(Wire::excitation_minus));
    }
    if (circuit().reading.reference_missing) return std::nullopt;
    return circuit().reading.ratio;
}

}  // namespace

std::vector<double> values_between(double from, double to, int count, bool logarithmic) {
    std::vector<double> values;
    for (int i = 0; i < count; ++i) {
        const double share = static_cast<double>(i) / (count - 1);
        values.push_back(logarithmic ? from * std::pow(to / from, share) : from + (to - from) * share);
    }
    values.front() = from;
    values.back() = to;
    return values;
}

Point point_at(double value, const Scene& scene, const files::Standard& standard,
               const std::vector<Column>& columns, const Setting& setting) {
    Scenery scenery(scene, standard, setting);
    Point point{value, {}};
    for (const Column& column : columns) point.outputs.push_back(scenery.output(column));
    return point;
}

}  // namespace cornerbench::sweep

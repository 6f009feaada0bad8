#include "sim/netlist/scale_circuit.h"

#include <array>

#include "firmware/diagnosis/load_history.h"
#include "sim/field/faulty_condition.h"
#include "sim/netlist/scale_drawing.h"

namespace cornerbench::netlist {

ScaleCircuit circuit_of(const scale::Description& description, std::span<const scale::Fault> faults,
                        const diagnosis::Load& load) {
    ScaleCircuit out;
    const scale::Condition sound = scale::sound_condition(description);
    out.condition = field::faulty_condition(description, faults);

    std::array<mechanics::PointLoad, diagnosis::max_standing> standing{};
    const int count = diagnosis::point_loads(load, description.gravity, 1.0, standing);
    const auto loads = std::span(standing).first(static_cast<std::size_t>(count));
    weighing::StillScale still(description, out.condition);
    still.put(loads);
    out.deck = still.deck();
    weighing::StillScale healthy(description, sound);
    healthy.put(loads);
    if (out.deck.error == mechanics::DeckError::none) out.deck.error = healthy.error();
    if (out.deck.error != mechanics::DeckError::none) return out;

    out.ratios = still.ratios();
    out.reading = still.read({});
    out.drawing = draw_scale(out.condition, out.ratios);
    out.sound = draw_scale(sound, healthy.ratios());
    out.volts = node_volts(out.condition, out.ratios, out.drawing);
    return out;
}

double excitation_A(const ScaleCircuit& circuit) {
    const circuit::Box box(circuit.condition);
    const int all = circuit.condition.cell_count;
    const int at_once = box.per_cell() ? 1 : all;
    double ampere = 0.0;
    // Whatever leaves the supply's plus pole comes to the bus and goes into the cells there.
    for (int first = 0; first < all; first += at_once) {
        circuit::PortSum sum{};
        for (int p = first; p < first + at_once; ++p)
            circuit::add_ports(sum, box.ports(p, circuit.ratios[static_cast<unsigned>(p)]));
        const circuit::BusSolution s = box.bus().solve(sum);
        for (int w = 1; w < scale::wire_count; ++w)
            ampere += sum[static_cast<unsigned>(circuit::port_pair(0, w))] * s.between(0, w);
    }
    return ampere;
}

}  // namespace cornerbench::netlist

#include "firmware/diagnosis/predictor.h"

#include <cmath>

#include "firmware/numbers/elementary.h"
#include "firmware/scale/copper.h"

namespace cornerbench::diagnosis {

using circuit::CellPorts;
using circuit::LiftedCell;
using scale::Cause;

Touched touched_by(const scale::Fault& fault) {
    Touched t;
    switch (fault.cause) {
        case Cause::healthy:
        case Cause::unlisted:
            break;
        case Cause::swapped_cells:
            t.add(fault.site.index);
            t.add(fault.site.other);
            break;
        case Cause::rubbing:
        case Cause::bound_support:
        case Cause::unseated_support:
        case Cause::settled_footing:
            t.forces = true;
            break;
        case Cause::sense_open:
        case Cause::excitation_low:
        case Cause::home_run_loose:
            t.supply = true;
            break;
        default:
            t.add(fault.site.index);
            break;
    }
    return t;
}

Touched touched_by(const scale::Fault& fault, const scale::Fault& also) {
    Touched both = touched_by(fault);
    const Touched other = touched_by(also);
    for (const short p : other.position) {
        if (p >= 0) both.add(p);
    }
    both.forces = both.forces || other.forces;
    both.supply = both.supply || other.supply;
    return both;
}

int Touched::slot_of(int p) const {
    for (int i = 0; i < max_touched; ++i) {
        if (position[i] == p) return i;
    }
    return -1;
}

void Touched::add(int p) {
    if (touches(p)) return;
    const int free = slot_of(-1);
    if (free >= 0) position[free] = static_cast<short>(p);
}

int Touched::key() const {
    int key = (forces ? 1 : 0) + (supply ? 2 : 0);
    for (const short p : position) key = key * (scale::max_cells + 1) + p + 1;
    return key;
}

Predictor::Predictor(numbers::Arena& arena, const scale::Description& description, const Sheet& sheet,
                     const LoadHistory& history, const Scatter& scatter)
    : description_(description),
      sheet_(sheet),
      history_(history),
      scatter_(scatter),
      cells_(description.cell_count()),
      calibrated_(sheet.history == History::calibrated),
      columns_(cells_, history.placings, history.zeroings),
      sound_(scale::sound_condition(description)),
      condition_(sound_),
      placed_(arena, sheet, history),
      sound_forces_(arena, sheet, history, placed_, scatter, cells_),
      faulted_forces_(arena, sheet, history, placed_, scatter, cells_),
      sound_box_(sound_),
      box_(sound_box_) {
    sound_ports_ = arena.take<CellPorts>(history.loads * cells_);
    sound_buses_ = arena.take<BusState>(history.loads * buses());
    buses_ = arena.take<BusState>(history.moments * buses());
    sound_positions_ = arena.take<SoundPosition>(cells_);
    sound_on_bench_ = arena.take<OnBench>(cells_);
    on_bench_ = arena.take<OnBench>(max_touched);
    sound_slopes_ = arena.take<CellSlopes>(cells_);
    slopes_ = arena.take<CellSlopes>(cells_);
    sound_zero_slopes_ = arena.take(columns_.count());
    span_slopes_ = arena.take(columns_.count());
}

bool Predictor::prepare() {
    placed_.place(sound_);
    if (!sound_forces_.fill_slopes(sound_)) return false;
    if (calibrated_) make_corners_equal();
    for (int p = 0; p < cells_; ++p) {
        sound_positions_[p] = sound_position(p);
        sound_slopes_[p] = cell_slopes(sound_, p, description_.cells[p], calibrated_, scatter_);
        for (int l = 0; l < history_.loads; ++l) {
            const double ratio = circuit::bridge_ratio(sound_.cells[p], sound_forces_.force_N(l, p));
            sound_ports_[l * cells_ + p] = sound_box_.ports(p, ratio);
        }
    }
    warm_bus_ = warm_bus();
    sound_zero_ratio_ = converter_ratio(0);
    calibrate_trims();
    calibrate_span();
    add_weight_ratio_slopes(0, -1, 1.0, sound_zero_slopes_);
    compensate(sound_zero_slopes_);
    return true;
}

Predictor::SoundPosition Predictor::sound_position(int p) const {
    const LiftedCell lifted(sound_.cells[p]);
    const auto ports = [&](double ratio) { return sound_box_.ports(p, ratio).siemens; };
    const auto signal = [&](double ratio) { return std::array{lifted.signal_ratio(ratio)}; };
    return {RatioCurve<circuit::port_pair_count>(ports), RatioCurve<1>(signal)};
}

bool Predictor::set(const scale::Fault& fault) {
    for (const short p : touched_.position) {
        if (p >= 0) box_.restore(p, sound_box_);
    }
    if (touched_.supply) box_ = sound_box_;
    const Touched touched = touched_by(fault, held_);
    const bool supply_changes = touched_.supply || touched.supply;
    const bool others = touched.key() != touched_.key();
    condition_ = sound_;
    scale::apply(held_, description_, condition_);
    scale::apply(fault, description_, condition_);
    if (supply_changes) warm_bus_ = warm_bus();
    fault_ = fault;
    touched_ = touched;
    fresh_ = {};
    for (TouchedPorts& ports : touched_ports_) ports.known = false;
    for (OnBench& b : on_bench_) b.with_bench = b.with_moved = b.with_signal = false;
    for (BusState& s : buses_) {
        if (others) s.with_untouched = false;
        s.summed = s.solved = s.with_gradient = s.with_warm = false;
    }
    if (touched_.supply) box_ = circuit::Box(condition_);
    for (const short p : touched_.position) {
        if (p >= 0) box_.replace(p, condition_);
    }
    stands_ = !touched_.forces || faulted_forces_.fill(condition_);
    return stands_;
}

circuit::Bus Predictor::warm_bus() const {
    scale::Condition warm = condition_;
    for (int w = 0; w < scale::home_wire_count; ++w) {
        warm.home_run_ohm[w] += scale::copper_per_K * scatter_.cable_temperature_K * sound_.home_run_ohm[w];
    }
    return circuit::Bus(warm);
}

double Predictor::bridge_ratio(int state, int position) const {
    const int cell = condition_.positions[position].cell;
    return circuit::bridge_ratio(condition_.cells[cell], forces().force_N(state, cell));
}

void Predictor::bridge_ratios(int state, circuit::Ratios& ratios) const {
    for (int p = 0; p < cells_; ++p) ratios[p] = bridge_ratio(state, p);
}

CellPorts Predictor::ports_at(int state, int position) {
    const int slot = touched_.slot_of(position);
    if (!touched_.forces && slot < 0) return sound_ports_[state * cells_ + position];
    const double ratio = bridge_ratio(state, position);
    if (!RatioCurve<circuit::port_pair_count>::reaches(ratio)) return box_.ports(position, ratio);
    if (slot < 0) return {sound_positions_[position].ports.at(ratio)};
    TouchedPorts& ports = touched_ports_[slot];
    if (!ports.known) {
        ports.curve =
            RatioCurve<circuit::port_pair_count>([&](double at) { return box_.ports(position, at).siemens; });
        ports.known = true;
    }
    return {ports.curve.at(ratio)};
}

void Predictor::add_up(BusState& at, int state) {
    if (touched_.forces || !at.with_untouched) {
        at.untouched = {};
        for (int p = 0; p < cells_; ++p) {
            if (!touched_.touches(p)) add_ports(at.untouched, ports_at(state, p));
        }
        at.with_untouched = true;
    }
    at.sum = at.untouched;
    for (const short p : touched_.position) {
        if (p >= 0) add_ports(at.sum, ports_at(state, p));
    }
    at.summed = true;
}

std::array<circuit::BusReading, 4> Predictor::read_four(const circuit::Bus& bus, std::span<BusState> states,
                                                        int first) {
    constexpr int lanes = 4;
    const int last = static_cast<int>(states.size()) - 1;
    double siemens[circuit::port_pair_count][lanes];
    for (int l = 0; l < lanes; ++l) {
        const int state = first + l < last ? first + l : last;
        BusState& at = states[state];
        if (!at.summed) add_up(at, state);
        for (int p = 0; p < circuit::port_pair_count; ++p) siemens[p][l] = at.sum[p];
    }
    circuit::PortLanes<lanes> ports;
    for (int p = 0; p < circuit::port_pair_count; ++p) ports.siemens[p] = circuit::load<lanes>(siemens[p]);
    std::array<circuit::BusReading, lanes> readings;
    bus.read<lanes>(ports, readings);
    return readings;
}

bool Predictor::sound_bus_at(int position) const {
    if (touched_.forces || touched_.supply) return false;
    return box_.per_cell() ? !touched_.touches(position) : touched_.position[0] < 0;
}

Predictor::BusState& Predictor::bus_state(int state, int position, bool with_gradient) {
    const std::span<BusState> of = sound_bus_at(position) ? sound_buses_ : buses_;
    BusState& bus = of[box_.per_cell() ? state * cells_ + position : state];
    if (!bus.solved && box_.per_cell()) {
        bus.sum = {};
        add_ports(bus.sum, ports_at(state, position));
        bus.reading = box_.bus().read(bus.sum);
        bus.solved = true;
    } else if (!bus.solved) {
        const std::span<BusState> states = of.first(forces().states());
        const auto readings = read_four(box_.bus(), states, state);
        for (std::size_t l = 0; l < readings.size() && state + l < states.size(); ++l) {
            states[state + l].reading = readings[l];
            states[state + l].solved = true;
        }
    }
    if (with_gradient && !bus.with_gradient) {
        box_.bus().read(bus.sum, bus.gradient);
        bus.with_gradient = true;
    }
    return bus;
}

double Predictor::warm_ratio(int state) {
    const std::span<BusState> of = sound_bus_at(0) ? sound_buses_ : buses_;
    BusState& bus = of[state];
    if (!bus.with_warm) {
        const std::span<BusState> states = of.first(forces().states());
        const auto readings = read_four(warm_bus_, states, state);
        for (std::size_t l = 0; l < readings.size() && state + l < states.size(); ++l) {
            states[state + l].warm_ratio = readings[l].ratio;
            states[state + l].with_warm = true;
        }
    }
    return bus.warm_ratio;
}

double Predictor::converter_ratio(int state) {
    if (!box_.per_cell()) return bus_state(state, 0, false).reading.ratio;
    double sum = 0.0;
    for (int p = 0; p < cells_; ++p) sum += box_.gain(p) * bus_state(state, p, false).reading.ratio;
    return sum;
}

double Predictor::zero_ratio(int zeroing) {
    if (zeroing >= 0) return converter_ratio(forces().state_of(history_.zero_reading_of[zeroing]));
    return sheet_.zeroed == Zeroed::now ? converter_ratio(0) : sound_zero_ratio_;
}

double Predictor::excitation_V(const Reading& r) const {
    return r.lifted_excitation_V > 0.0 ? r.lifted_excitation_V : description_.excitation_V;
}

double Predictor::mean(const Row& row) {
    const Reading& r = sheet_.readings[row.reading];
    const int state = state_of(row);
    switch (row.kind) {
        case RowKind::weight:
            return (converter_ratio(state) - zero_ratio(history_.zeroing_of[row.reading])) * kg_per_ratio_;
        case RowKind::channel:
            return bus_state(state, r.cell, false).reading.ratio;
        case RowKind::bus_signal: {
            circuit::Ratios ratios{};
            bridge_ratios(state, ratios);
            const double volt = circuit::signal_in_box_V(box_, r.cell, ratios);
            return r.is_ratio ? volt / circuit::excitation_in_box_V(box_, ratios) : volt;
        }
        case RowKind::excitation: {
            circuit::Ratios ratios{};
            bridge_ratios(state, ratios);
            switch (r.place) {
                case ExcitationPlace::cell:
                    return circuit::excitation_at_cell_V(box_, condition_, r.cell, ratios);
                case ExcitationPlace::box:
                    return circuit::excitation_in_box_V(box_, ratios);
                case ExcitationPlace::indicator:
                    return circuit::excitation_at_indicator_V(box_, ratios);
            }
            break;
        }
        case RowKind::lifted_signal:
            return lifted_signal_ratio(r.cell, state) * (r.is_ratio ? 1.0 : excitation_V(r));
        case RowKind::resistance:
            return log_resistance(on_bench(r.cell).bench, r,
                                  forces().force_N(state, condition_.positions[r.cell].cell));
    }
    return 0.0;
}

bool Predictor::moves(const Row& row, const Touched& touched) const {
    const bool alone = sound_box_.per_cell();
    switch (row.kind) {
        case RowKind::resistance:
            return touched.touches(row.position);
        case RowKind::lifted_signal:
            return touched.forces || touched.touches(row.position);
        case RowKind::channel:
            return touched.forces || touched.supply || touched.touches(row.position);
        case RowKind::bus_signal:
            return !alone || touched.forces || touched.supply || touched.touches(row.position);
        default:
            return true;
    }
}

bool Predictor::converts(const Row& row, int bus) const {
    return row.kind != RowKind::channel || sheet_.readings[row.reading].cell == bus;
}

bool Predictor::readable(const Row& row) {
    const int state = state_of(row);
    for (int p = 0; p < buses(); ++p) {
        if (!converts(row, p)) continue;
        const circuit::BusReading& s = bus_state(state, p, false).reading;
        if (s.reference_missing || std::fabs(s.ratio) > description_.full_scale_V_per_V) return false;
    }
    return true;
}

Shown Predictor::shown(const Row& row) {
    const int state = state_of(row);
    double largest = 0.0;
    for (int p = 0; p < buses(); ++p) {
        if (!converts(row, p)) continue;
        const circuit::BusReading& s = bus_state(state, p, false).reading;
        if (s.reference_missing) return Shown::blank;
        if (std::fabs(s.ratio) > std::fabs(largest)) largest = s.ratio;
    }
    const double weight_kg = row.kind == RowKind::weight ? mean(row) : 0.0;
    if (largest > description_.full_scale_V_per_V ||
        weight_kg > description_.max_kg + most_divisions_over * description_.division_kg) {
        return Shown::over_range;
    }
    if (largest < -description_.full_scale_V_per_V ||
        weight_kg < -most_divisions_under * description_.division_kg) {
        return Shown::under_range;
    }
    return Shown::value;
}

}  // namespace cornerbench::diagnosis

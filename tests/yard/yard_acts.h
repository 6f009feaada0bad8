#pragma once

#include "sim/field/corner_test.h"
#include "tests/yard/yard_history.h"

/// What is done in a yard's history, drawn one after another.
namespace cornerbench::tests {

inline std::string YardHistory::wrong(int acts) {
    if (!v_->calibrate(0.5 * d_.max_kg)) return "cannot be calibrated";
    calibration_ = v_->indicator().calibration();
    changes_ = v_->indicator().calibration_changes();
    for (int i = 0; i < scale::max_cells; ++i)
        gain_[static_cast<std::size_t>(i)] = v_->indicator().corner_gain(i);
    v_->world().change(surroundings_);
    for (std::int64_t i = 0; i < window(); ++i) {
        v_->frame();
        see();
    }
    samples_.good = samples_.needed;
    // Followed since it was kept.
    ZeroPoint kept = zero_now();
    kept.offset_kg = v_->indicator().kept().zero_offset_kg;
    zero_ = {zero_now(), kept, kept};
    for (int i = 0; i < acts && wrong_.empty(); ++i) act();
    return wrong_.empty() ? "" : wrong_ + "\n  done:" + done_;
}

inline void YardHistory::act() {
    const int which = draw_.integer(0, 23);
    if (which < 8)
        act_on_loads(which);
    else if (which < 13)
        press();
    else if (which < 16)
        say();
    else if (which < 17)
        cut_power();
    else if (which < 20)
        disturb_port();
    else if (which < 22)
        spoil_board(which == 20);
    else
        change_fault();
    stand(draw_.one_of({0.02, 0.2, 0.8, 2.0, 4.0, 6.0}));
}

inline void YardHistory::act_on_loads(int which) {
    const scale::Deck& deck = d_.deck;
    const double first_m = deck.section_x_m[0];
    const double last_m = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)];
    if (which < 2 && vehicle_ == 0) {
        files::Vehicle truck{"", "drawn", {}};
        double behind_m = 0.0;
        // One in ten is too heavy for the scale.
        const double heaviest = draw_.chance(0.1) ? 0.4 : 0.12;
        for (int axle = draw_.integer(2, 5); axle > 0; --axle) {
            truck.axles.push_back({d_.max_kg * draw_.uniform(0.02, heaviest), behind_m});
            behind_m += draw_.uniform(1.2, 3.0);
        }
        world::Approach approach;
        approach.from = draw_.chance(0.5) ? world::End::left : world::End::right;
        approach.speed_m_per_s = draw_.uniform(0.8, 4.0);
        if (draw_.chance(0.8)) approach.stop_front_at_m = draw_.uniform(first_m, last_m);
        vehicle_ = v_->world().drive_on(truck, approach);
        note("truck");
    } else if (which < 4 && vehicle_ != 0) {
        v_->world().drive_off(vehicle_,
                              {draw_.chance(0.3), draw_.uniform(0.5, 4.0), draw_.uniform(0.3, 2.0)});
        if (v_->world().vehicle(vehicle_) == nullptr) vehicle_ = 0;
        note("off");
    } else if (which < 6) {
        // Half of them are small enough to be zeroed or tared away. A scale is held to its limits under
        // single weights up to the standard's corner test load, all of them together.
        double room_kg = field::standard_test_kg(scale_.standard, d_);
        for (const auto& [number, there_kg] : weights_) room_kg -= there_kg;
        const double kg = draw_.chance(0.5) ? draw_.uniform(0.2, 60.0) * d_.division_kg
                                            : draw_.uniform(0.01, 1.0) * room_kg;
        if (kg > room_kg) return;
        const double y_m = draw_.uniform(0.0, deck.width_m);
        // What comes as slowly as zero tracking may follow (half a division a second, R 76-1:2006, 4.5.7) is
        // drift to any indicator.
        const double lowered_s = kg < 10.0 * d_.division_kg ? 0.0 : draw_.one_of({0.0, 0.5, 3.0});
        const int number = v_->world().put({kg, draw_.uniform(first_m, last_m), y_m, lowered_s});
        weights_[number] = kg;
        note("put" + std::to_string(static_cast<int>(kg)));
    } else if (!weights_.empty()) {
        v_->world().take_off(weights_.begin()->first);
        weights_.erase(weights_.begin());
        note("take");
    }
}

inline void YardHistory::press() {
    if (!v_->powered()) return;
    const hal::Key key =
        draw_.one_of({hal::Key::zero, hal::Key::tare, hal::Key::clear, hal::Key::unit, hal::Key::print});
    v_->board().panel.press(key);
    const weighing::Readout before = v_->indicator().readout();
    v_->frame();
    see();
    const weighing::Readout& after = v_->indicator().readout();
    switch (key) {
        case hal::Key::zero:
            note("zero");
            note_zero_if_set();
            break;
        case hal::Key::tare: {
            note("tare");
            const auto kind = keys_.tare_kind;
            blame(keys_.after_tare(before, after));
            tally_.tared += keys_.tare_kind != kind ? 1 : 0;
            break;
        }
        case hal::Key::clear:
            note("clear");
            keys_.clear_tare();
            break;
        case hal::Key::unit:
            note("unit");
            keys_.unit = keys_.unit == scale::MassUnit::kilogram ? scale::MassUnit::tonne
                         : keys_.unit == scale::MassUnit::tonne  ? scale::MassUnit::pound
                                                                 : scale::MassUnit::kilogram;
            break;
        case hal::Key::print: {
            note("print");
            const std::uint32_t tickets = keys_.tickets;
            blame(keys_.after_print(before, after, v_->indicator().ticket().number));
            tally_.printed += keys_.tickets - tickets;
            break;
        }
    }
    if (wrong_.empty()) check();
}

inline std::string YardHistory::ask(const std::string& line) {
    hal::SimulatedLine& port = v_->board().line;
    std::array<std::uint8_t, 256> bytes{};
    while (port.peer_takes(bytes) > 0) {
    }
    const std::string sent = line + '\n';
    port.peer_sends({reinterpret_cast<const std::uint8_t*>(sent.data()), sent.size()});
    std::string answer;
    for (int i = 0; i < 100 && wrong_.empty(); ++i) {
        frame();
        const std::size_t count = port.peer_takes(bytes);
        answer.append(reinterpret_cast<const char*>(bytes.data()), count);
        if (answer.ends_with('\n')) return answer;
    }
    return answer;
}

inline void YardHistory::say() {
    if (!v_->powered()) return;
    switch (draw_.integer(0, 5)) {
        case 0: {
            note("meas?");
            const std::string answer = ask("MEAS?;:UNIT?");
            const weighing::Readout& r = v_->indicator().readout();
            const double number = std::strtod(answer.c_str(), nullptr);
            if (!wrong_.empty()) return;
            if (!r.has_weight()) {
                if (number != 9.91e37) blame("answers a weight that it does not show: " + answer);
                return;
            }
            const double kg = number * scale::kilograms_in(r.unit);
            // Rounded to the division of its unit, which is at most 2.5 times as coarse.
            if (!(std::fabs(kg - r.gross_kg) <= 1.3 * d_.division_kg))
                blame("answers another weight: " + answer);
            return;
        }
        case 1: {
            note("cal");
            const std::string answer =
                ask(draw_.one_of({"CAL:POIN 0;:SYST:ERR?", "CAL:STOR;:SYST:ERR?", "CAL:RAT;:SYST:ERR?",
                                  "CAL:GRAV 9.8,9.81;:SYST:ERR?"}));
            // Whatever else is in the queue: a sealed calibration stays, which check() watches.
            tally_.refused_calibrations += answer.find("sealed") != std::string::npos ? 1 : 0;
            ask("*CLS;*OPC?");
            return;
        }
        case 2: {
            note("rst");
            keys_.clear_tare();
            ask("*RST;*OPC?");
            return;
        }
        case 3: {
            std::string garbage;
            for (int i = draw_.integer(1, 60); i > 0; --i)
                garbage += static_cast<char>(draw_.integer(0, 255));
            note("noise");
            ask(garbage);
            ask("*CLS;*OPC?");
            return;
        }
        case 4:
            note("left");
            v_->board().line.set_connected(false);
            stand(0.1);
            v_->board().line.set_connected(true);
            return;
        default:
            note("fetch");
            ask("FETC?;:STAT:OPER?;:STAT:QUES?");
    }
}

inline void YardHistory::cut_power() {
    note("cut");
    v_->cut_power(static_cast<std::uint64_t>(draw_.integer(0, 1'000'000)));
    stand(draw_.one_of({0.03, 0.5, 4.0}));
    v_->restore_power();
    samples_.restart();
    keys_.power_on();
    silent_s_ = stuck_s_ = 0.0;
    v_->board().line.set_connected(true);
    // The first step reads the memory; what the cut came near is written once more before it is in force.
    for (int i = 0; i < 20; ++i) {
        v_->frame();
        see();
        if (!v_->indicator().storing()) break;
        check_samples(v_->indicator().readout());
    }
    blame(zero_.power_on(v_->indicator().kept().zero_offset_kg, 0.25 * d_.division_kg));
    keys_.unit = v_->indicator().kept().unit;
    if (keys_.unit != keys_.kept_unit) blame("came up in a unit that nobody kept");
    if (!v_->indicator().calibrated()) blame("lost its calibration");
    if (wrong_.empty()) check();
    ++tally_.power_cuts;
}

inline void YardHistory::disturb_port() {
    faults::PortFault fault;
    fault.kind = static_cast<faults::PortFaultKind>(draw_.integer(0, 8));
    const int channels = v_->world().traits().channels;
    const bool one = channels > 1 && draw_.chance(0.5);
    if (one) fault.channel = draw_.integer(0, channels - 1);
    if (fault.kind == faults::PortFaultKind::channels_exchanged && one)
        fault.other = (fault.channel + 1) % channels;
    note("port" + std::to_string(static_cast<int>(fault.kind)));
    port_kind_ = fault.kind;
    port_fault_ = v_->port_faults().add(fault);
    stand(draw_.one_of({0.01, 0.05, 0.3, 1.0}));
    v_->port_faults().mend(port_fault_);
    port_fault_ = 0;
}

inline void YardHistory::spoil_board(bool supply) {
    if (!v_->powered()) return;
    note(supply ? "supply" : "clock");
    if (supply) {
        v_->board().supervisor.set_supply_good(false);
        supply_low_ = true;
    } else {
        v_->board().clock.set_stopped(true);
        clock_stopped_ = true;
    }
    stand(draw_.one_of({0.01, 0.1, 0.6}));
    v_->board().supervisor.set_supply_good(true);
    v_->board().clock.set_stopped(false);
    supply_low_ = clock_stopped_ = false;
}

inline void YardHistory::change_fault() {
    if (fault_ != 0) {
        v_->world().mend(fault_);
        fault_ = 0;
        note("mend");
        mended_s_ = v_->time_s();
        return;
    }
    const auto cause = static_cast<scale::Cause>(draw_.integer(1, scale::cause_count - 1));
    if (!scale::possible(d_, cause)) return;
    // Somebody enters a wrong factor past the seal: here the calibration stays as it is.
    if (cause == scale::Cause::trim_off && d_.converter == scale::Converter::per_cell) return;
    faults::Scheduled scheduled{random_fault(draw_, d_, cause), {}};
    if (draw_.chance(0.3)) scheduled.course.grows_s = draw_.uniform(1.0, 20.0);
    if (draw_.chance(0.3)) scheduled.course.on_s = scheduled.course.off_s = draw_.uniform(0.05, 3.0);
    fault_ = v_->world().inject(scheduled);
    cause_ = cause;
    deck_settled_ =
        deck_settled_ || cause == scale::Cause::settled_footing || cause == scale::Cause::unseated_support;
    note(scale::name_of(cause));
    faulty_cell_ = scheduled.fault.site.kind == scale::SiteKind::cell ? scheduled.fault.site.index : 0;
}

}  // namespace cornerbench::tests

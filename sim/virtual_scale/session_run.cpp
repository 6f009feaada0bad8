#include "sim/virtual_scale/session_run.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <spdlog/fmt/fmt.h>

#include "sim/field/fault_words.h"
#include "sim/field/specimen.h"
#include "sim/files/mass_unit.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/session_runner.h"

namespace cornerbench::virtual_scale {

using files::Deed;
using files::Step;

namespace {

world::Surroundings surroundings_of(const scale::Description& description,
                                    const files::SurroundingsText& text) {
    world::Surroundings s = world::calm(description);
    s.day.mean_C = text.temperature_C;
    s.day.swing_K = text.day_swing_K;
    s.day.start_h = text.start_h;
    s.wind.speed_m_per_s = text.wind_m_per_s;
    s.mains.amplitude_V = text.mains_pickup_uV * 1.0e-6;
    s.mains.frequency_Hz = text.mains_Hz;
    return s;
}

}  // namespace

Runner::Runner(const files::ScaleFile& scale, const files::Standard& standard,
               const files::SessionFile& session, const SessionSetting& setting)
    : scale_(scale),
      standard_(standard),
      session_(session),
      setting_(setting),
      surroundings_(surroundings_of(scale.description, session.surroundings)),
      virtual_(
          scale.description,
          field::draw_specimen(scale.description, diagnosis::History::calibrated, {}, setting.seed).condition,
          indicator_settings(scale), setting.seed, surroundings_) {}

void Runner::event(const std::string& done, const std::string& result, bool refused) {
    record_.events.push_back({virtual_.time_s() - begin_s_, done, result, refused});
    if (refused) record_.well = false;
}

void Runner::note_trace() {
    const double t_s = virtual_.time_s() - begin_s_;
    if (t_s + 1.0e-9 < next_trace_s_) return;
    next_trace_s_ += setting_.trace_every_s;
    TracePoint point;
    point.t_s = t_s;
    point.true_kg = virtual_.world().truth().mass_on_deck_kg;
    if (!virtual_.powered()) {
        point.dark = true;
    } else {
        const weighing::Readout& readout = virtual_.indicator().readout();
        point.why = readout.why;
        if (readout.has_weight()) {
            point.shown_kg =
                weighing::rounded_kg(readout.gross_kg, scale_.description.division_at_kg(readout.gross_kg));
            point.stable = readout.stable;
            point.degraded = readout.degraded;
        }
    }
    point.over_capacity = over_capacity();
    record_.trace.push_back(point);
}

std::uint32_t Runner::over_capacity() {
    std::uint32_t over = 0;
    const scale::Description& d = scale_.description;
    const world::Supports cell_N = virtual_.world().truth().cell_N;
    for (std::size_t i = 0; i < static_cast<std::size_t>(d.cell_count()); ++i) {
        const double share = cell_N[i] / (d.cells[i].capacity_kg * scale::standard_gravity);
        record_.most_share[i] = std::max(record_.most_share[i], share);
        if (share > 1.0) over |= 1u << i;
    }
    return over;
}

void Runner::pass(double seconds) {
    const double end_s = virtual_.time_s() + seconds;
    while (virtual_.time_s() < end_s) {
        virtual_.frame();
        note_trace();
    }
}

bool Runner::settle(double at_most_s) {
    bool stood = vehicle_stands();
    return virtual_.settle(at_most_s, [this, &stood] {
        note_trace();
        const bool stands = vehicle_stands();
        if (stands && !stood) stood_s_ = virtual_.time_s();
        stood = stands;
        return stands;
    });
}

bool Runner::vehicle_stands() {
    const world::VehicleRide* ride = virtual_.world().vehicle(vehicle_);
    return ride == nullptr || ride->stands();
}

std::string Runner::mass_words(double kg) const {
    return setting_.words.mass ? setting_.words.mass(kg) : fmt::format("{:g} kg", kg);
}

std::string Runner::weight_words(const weighing::ShownWeight& weight, scale::MassUnit unit) const {
    if (setting_.words.weight) return setting_.words.weight(weight, unit);
    const double value = static_cast<double>(weight.digits) * std::pow(10.0, -weight.decimals);
    return fmt::format("{:.{}f} {}", value, weight.decimals, files::unit_name(unit));
}

std::string Runner::shown() const {
    if (!virtual_.powered()) return "dark";
    const weighing::Readout& readout = virtual_.indicator().readout();
    if (!readout.has_weight()) {
        std::string text(weighing::words(readout.why));
        if (readout.channel >= 0) text += fmt::format(", cell {}", readout.channel + 1);
        return text;
    }
    const bool net = readout.tare_kind != weighing::TareKind::none;
    return weight_words(net ? readout.net : readout.gross, readout.unit) + (net ? " net" : "") +
           (readout.stable ? "" : ", in motion") + (readout.degraded ? ", degraded: not for trade" : "");
}

void Runner::act(const Step& step) {
    switch (step.deed) {
        case Deed::wait:
            pass(step.seconds);
            event(fmt::format("wait {:g} s", step.seconds), shown());
            break;
        case Deed::settle: {
            const bool settled = settle(step.seconds);
            event("settle", settled ? shown() : "does not settle: " + shown(), !settled);
            break;
        }
        case Deed::drive_on:
            if (vehicle_ != 0) {
                event("drive on: " + step.vehicles.front().name,
                      "not done, " + vehicle_name_ + " stands there", true);
                break;
            }
            event("drive on: " + step.vehicles.front().name, shown());
            drive_on(step.vehicles.front(), step);
            break;
        case Deed::drive_off:
            if (vehicle_ == 0) {
                event("drive off", "not done, no vehicle is on the deck: " + shown(), true);
                break;
            }
            drive_off(step.speed_m_per_s);
            event("drive off", shown());
            break;
        case Deed::put:
            for (int i = 0; i < step.load.load.count; ++i) {
                const diagnosis::Standing& s = step.load.load.standing[static_cast<std::size_t>(i)];
                weights_.push_back(virtual_.world().put({s.mass_kg, s.x_m, s.y_m}));
            }
            on_deck_ = step.load.text;
            pass(1.5);
            stood_s_ = virtual_.time_s();
            event("put " + step.load.text, shown());
            break;
        case Deed::take_off:
            if (weights_.empty()) {
                event("take off", "not done, no weight is on the deck: " + shown(), true);
                break;
            }
            clear_deck();
            event("take off", shown());
            break;
        case Deed::press:
            press(step);
            break;
        case Deed::print:
            print(on_deck_.empty() ? "empty" : on_deck_);
            break;
        case Deed::corner_round:
            corner_round(step.mass_kg);
            break;
        case Deed::power_cut:
            cut_power(step.seconds);
            break;
        case Deed::temperature:
            change_temperature(step);
            break;
        case Deed::trucks:
            trucks(step);
            break;
        case Deed::cause:
            inject(step);
            break;
        case Deed::mend:
            mend();
            break;
        case Deed::converter_fault:
            disturb_converter(step);
            break;
    }
}

SessionRecord Runner::run() {
    record_.scale = scale_.name;
    record_.session = session_.name;
    record_.seed = setting_.seed;
    if (setting_.recording != nullptr) {
        hal::RecordingBoard& recording = virtual_.record(*setting_.recording);
        for (const auto& [name, text] : setting_.notes) recording.add_note(name, text);
    }
    if (!virtual_.calibrate(0.5 * scale_.description.max_kg))
        event("calibration", "refused: " + shown(), true);
    for (const scale::Fault& fault : setting_.faults) {
        if (const std::string why = virtual_.refuses(fault); !why.empty())
            event(field::fault_words(fault, scale_.description), "not done, " + why, true);
        else
            faults_.push_back(virtual_.world().inject({fault, {}}));
    }
    begin_s_ = virtual_.time_s();
    stood_s_ = begin_s_;
    for (const Step& step : session_.steps) act(step);
    record_.seconds = virtual_.time_s() - begin_s_;
    if (virtual_.powered()) {
        record_.state_hash = virtual_.indicator().state_hash();
        record_.traffic = virtual_.indicator().traffic();
        record_.calibration_changes = virtual_.indicator().calibration_changes();
    }
    record_.recorded_whole = virtual_.end_recording();
    return record_;
}

SessionRecord run_session(const files::ScaleFile& scale, const files::Standard& standard,
                          const files::SessionFile& session, const SessionSetting& setting) {
    return Runner(scale, standard, session, setting).run();
}

}  // namespace cornerbench::virtual_scale

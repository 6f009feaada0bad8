#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "firmware/scale/numbering.h"
#include "sim/field/fault_words.h"
#include "sim/virtual_scale/converter_faults.h"
#include "sim/virtual_scale/line_talk.h"
#include "sim/virtual_scale/session_runner.h"

/// What each step of a session does.
namespace cornerbench::virtual_scale {

using console::Refusal;
using files::Step;

namespace {

/// A reason that stands for so long will not pass by itself.
constexpr double given_up_after_s = 3.0;

constexpr hal::Key panel_keys[] = {hal::Key::zero, hal::Key::tare, hal::Key::clear, hal::Key::unit};

std::string refused_words(Refusal why) {
    return fmt::format("refused, {}: ", console::words(why));
}

}  // namespace

double Runner::deck_middle_m(const files::Vehicle& vehicle, bool heads_right) const {
    const scale::Deck& deck = scale_.description.deck;
    const double middle_m =
        0.5 * (deck.section_x_m[0] + deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)]);
    const double half_m = 0.5 * vehicle.axles.back().behind_front_m;
    return heads_right ? middle_m + half_m : middle_m - half_m;
}

void Runner::inject(const Step& step) {
    const field::ReadFault read = field::read_fault(step.cause_words, scale_.description);
    if (!read.fault) {
        event(step.cause_words, read.error, true);
        return;
    }
    if (const std::string why = virtual_.refuses(*read.fault); !why.empty()) {
        event(step.cause_words, "not done, " + why, true);
        return;
    }
    faults::Course course;
    course.grows_s = step.grows_s;
    course.on_s = step.on_s;
    course.off_s = step.off_s;
    course.irregular = step.irregular;
    course.wander = step.wander;
    faults_.push_back(virtual_.world().inject({*read.fault, course}));
    event(step.cause_words, shown());
}

void Runner::mend() {
    if (faults_.empty()) {
        event("mend", "not done, nothing is broken: " + shown(), true);
        return;
    }
    for (const int fault : faults_) virtual_.world().mend(fault);
    faults_.clear();
    event("mend", shown());
}

void Runner::disturb_converter(const Step& step) {
    const int number = virtual_.port_faults().add({.kind = converter_faults[step.converter_fault]});
    pass(step.seconds);
    event(fmt::format("{} for {:g} s", files::converter_fault_words[step.converter_fault], step.seconds),
          shown());
    virtual_.port_faults().mend(number);
}

bool Runner::can_be_read() const {
    const weighing::Readout& readout = virtual_.indicator().readout();
    switch (readout.why) {
        case weighing::NoWeight::none:
            return !readout.degraded;
        // They pass by themselves.
        case weighing::NoWeight::settling:
        case weighing::NoWeight::starting:
        // Weighed, though not shown.
        case weighing::NoWeight::over_range:
        case weighing::NoWeight::under_range:
        case weighing::NoWeight::zero_lost:
        case weighing::NoWeight::cell_overloaded:
        case weighing::NoWeight::cell_unloaded:
            return true;
        default:
            return false;
    }
}

/// For the corner check, which takes what is no weight to show as well: a faulty scale is what it is for.
bool Runner::rest(double at_most_s) {
    double gross_kg = 0.0;
    const double end_s = virtual_.time_s() + at_most_s;
    pass(1.5);
    double read_s = virtual_.time_s();
    while (virtual_.time_s() < end_s && !virtual_.indicator().weigher().settled_kg(gross_kg)) {
        pass(0.1);
        if (can_be_read()) read_s = virtual_.time_s();
        if (virtual_.time_s() - read_s >= given_up_after_s) return false;
    }
    return virtual_.indicator().weigher().settled_kg(gross_kg);
}

std::string Runner::take_reading(const std::string& command) {
    if (rest(60.0)) return reason_in(tell(virtual_, command));
    return can_be_read() ? "does not settle: " + shown() : shown();
}

void Runner::corner_round(double mass_kg) {
    const scale::Deck& deck = scale_.description.deck;
    tell(virtual_, "CORN:CLE");
    pass(3.0);
    // Not zeroed is not in the way of a round: that needs differences alone.
    const std::string not_zeroed = reason_in(tell(virtual_, "ZERO"));
    event("corner round: readings cleared, zero key",
          not_zeroed.empty() ? shown() : "refused, " + not_zeroed + ": " + shown());
    record_.events.back().refused = !not_zeroed.empty();
    std::string first_wrong;
    const auto empty_deck_read = [this, &first_wrong] {
        const std::string wrong = take_reading("CORN:EMPT");
        if (first_wrong.empty()) first_wrong = wrong;
        if (wrong.empty() || can_be_read()) return true;
        event("corner round", "stopped: " + wrong, true);
        return false;
    };
    if (!empty_deck_read()) return;
    for (int support = 0; support < 2 * deck.sections; ++support) {
        const double x_m =
            deck.section_x_m[static_cast<std::size_t>(scale::section_of(support, deck.sections))];
        const double y_m = scale::is_far(support, deck.sections) ? deck.width_m : 0.0;
        weights_.push_back(virtual_.world().put({mass_kg, x_m, y_m}));
        pass(1.5);
        stood_s_ = virtual_.time_s();
        const std::string wrong = take_reading(fmt::format("CORN:LOAD {},{} KG", support + 1, mass_kg));
        if (first_wrong.empty() && !wrong.empty())
            first_wrong = fmt::format("over {}, {}", support + 1, wrong);
        event(fmt::format("{} over {}", mass_words(mass_kg), support + 1), shown());
        clear_deck();
        if (!empty_deck_read()) return;
    }
    if (!first_wrong.empty()) event("corner round", "a reading could not be taken: " + first_wrong, true);
    // The box judges a slice with every sample.
    const double longest_s = virtual_.time_s() + 60.0;
    while (virtual_.indicator().corner_report().error == diagnosis::CornerError::working &&
           virtual_.time_s() < longest_s)
        pass(0.1);
    record_.corner_report = virtual_.indicator().corner_report();
    if (setting_.words.corners) record_.corner_check = setting_.words.corners(*record_.corner_report);
    event("corner round", record_.corner_check);
}

void Runner::cut_power(double seconds) {
    virtual_.cut_power(setting_.seed + ++cuts_);
    pass(seconds);
    virtual_.restore_power();
    event(fmt::format("power cut of {:g} s", seconds), "starts anew");
    stood_s_ = virtual_.time_s();
}

void Runner::change_temperature(const Step& step) {
    surroundings_.day.mean_C += step.step_K;
    virtual_.world().change(surroundings_);
    event(fmt::format("air {:+g} K", step.step_K), shown());
    pass(step.seconds);
}

void Runner::trucks(const Step& step) {
    for (int i = 0; i < step.count; ++i) {
        const double due_s = virtual_.time_s() + step.apart_s;
        const files::Vehicle& vehicle = step.vehicles[static_cast<std::size_t>(i) % step.vehicles.size()];
        drive_on(vehicle, step);
        if (settle(0.6 * step.apart_s))
            print(vehicle.name);
        else
            event(vehicle.name, "did not settle: " + shown(), true);
        drive_off(step.speed_m_per_s);
        pass(std::max(0.0, due_s - virtual_.time_s()));
        if (setting_.progress) setting_.progress(static_cast<double>(i + 1) / step.count);
    }
    event(fmt::format("{} trucks", step.count), shown());
}

void Runner::drive_on(const files::Vehicle& vehicle, const Step& step) {
    world::Approach approach;
    approach.from = step.heads_right ? world::End::left : world::End::right;
    approach.speed_m_per_s = step.speed_m_per_s;
    approach.stop_front_at_m = step.front_axle_m.value_or(deck_middle_m(vehicle, step.heads_right));
    vehicle_ = virtual_.world().drive_on(vehicle, approach);
    vehicle_name_ = vehicle.name;
    on_deck_ = vehicle.name;
}

void Runner::drive_off(double speed_m_per_s) {
    world::Departure departure;
    departure.speed_m_per_s = speed_m_per_s;
    if (!virtual_.world().drive_off(vehicle_, departure)) return;
    for (int i = 0; i < 12'000 && virtual_.world().vehicle(vehicle_) != nullptr; ++i) {
        virtual_.frame();
        note_trace();
    }
    vehicle_ = 0;
    on_deck_.clear();
    stood_s_ = virtual_.time_s();
}

void Runner::clear_deck() {
    for (const int weight : weights_) virtual_.world().take_off(weight);
    weights_.clear();
    on_deck_.clear();
    pass(1.5);
    stood_s_ = virtual_.time_s();
}

void Runner::print(const std::string& what) {
    if (!virtual_.powered()) {
        event("print", "no power", true);
        return;
    }
    const std::uint32_t last = virtual_.indicator().ticket().number;
    virtual_.board().panel.press(hal::Key::print);
    virtual_.frame();
    note_trace();
    if (virtual_.indicator().ticket().number == last) {
        const bool weighs = virtual_.indicator().readout().has_weight();
        const Refusal why = weighs ? Refusal::not_stable : Refusal::no_weight;
        event("print", refused_words(why) + shown(), true);
        return;
    }
    const weighing::Readout& readout = virtual_.indicator().ticket().readout;
    const scale::Description& d = scale_.description;
    const auto rounded = [&](double kg) { return weighing::rounded_kg(kg, d.division_at_kg(kg)); };
    Printed ticket;
    ticket.t_s = virtual_.time_s() - begin_s_;
    ticket.what = what;
    ticket.gross_kg = rounded(readout.gross_kg);
    ticket.tare_kg = rounded(readout.tare_kg);
    ticket.net_kg = rounded(readout.net_kg);
    ticket.true_kg = virtual_.world().truth().mass_on_deck_kg;
    const double d_kg = d.division_at_kg(ticket.true_kg);
    ticket.limit_kg =
        d_kg * standard_.limit_divisions(scale_.accuracy_class, files::Stage::service, ticket.true_kg / d_kg);
    ticket.waited_s = std::max(0.0, virtual_.time_s() - stood_s_);
    ticket.degraded = readout.degraded;
    ticket.over_capacity = over_capacity();
    record_.well = record_.well && ticket.within();
    record_.tickets.push_back(ticket);
}

void Runner::press(const Step& step) {
    const std::string done = fmt::format("{} key", files::panel_key_words[step.key]);
    if (!virtual_.powered()) {
        event(done, "no power", true);
        return;
    }
    const std::uint32_t last = virtual_.indicator().last_key().number;
    virtual_.board().panel.press(panel_keys[step.key]);
    pass(0.2);
    const KeyOutcome& outcome = virtual_.indicator().last_key();
    if (outcome.number == last)
        event(done, "refused, no answer: " + shown(), true);
    else if (outcome.refusal != Refusal::none)
        event(done, refused_words(outcome.refusal) + shown(), true);
    else
        event(done, shown());
}

}  // namespace cornerbench::virtual_scale

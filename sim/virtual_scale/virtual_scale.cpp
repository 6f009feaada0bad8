#include "sim/virtual_scale/virtual_scale.h"

#include <cmath>
#include <string>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "firmware/scale/numbering.h"
#include "sim/virtual_scale/client_console.h"
#include "sim/virtual_scale/line_talk.h"

namespace cornerbench::virtual_scale {

namespace {

/// A weight must be shown as stable for so long before a person takes it for settled.
constexpr double looked_at_s = 0.3;

/// Nobody enters a corner factor finer than this.
constexpr double least_gain_step = 1.0e-6;

}  // namespace

hal::SimulatedBoardParts board_parts(const IndicatorSettings& settings) {
    hal::SimulatedBoardParts parts;
    parts.converter = settings.weigher.converter;
    parts.memory = {8, 4096, 2};
    return parts;
}

VirtualScale::VirtualScale(const scale::Description& description, const scale::Condition& specimen,
                           const IndicatorSettings& settings, std::uint64_t seed,
                           const world::Surroundings& surroundings)
    : description_(description),
      settings_(settings),
      world_(description, specimen, seed, surroundings),
      port_faults_(world_.traits(), seed),
      board_(std::make_unique<hal::SimulatedBoard>(board_parts(settings))) {
    restore_power();
}

hal::RecordingBoard& VirtualScale::record(hal::TextSink& sink) {
    recording_ = std::make_unique<hal::RecordingBoard>(board_->board(), sink);
    indicator_ = std::make_unique<Indicator>(recording_->board(), settings_);
    return *recording_;
}

void VirtualScale::add_note(std::string_view name, std::string_view text) {
    if (recording_ && !recording_ended_) recording_->add_note(name, text);
}

bool VirtualScale::end_recording() {
    if (!recording_) return true;
    recording_ended_ = true;
    if (powered())
        recording_->end(indicator_->state_hash());
    else
        recording_->end();
    return recording_->complete();
}

void VirtualScale::start_firmware() {
    if (recording_) recording_->started_anew();
    indicator_ = std::make_unique<Indicator>(recording_ ? recording_->board() : board_->board(), settings_);
    ++starts_;
    has_stepped_ = false;
}

std::string VirtualScale::refuses(const scale::Fault& fault) const {
    const scale::Condition& condition = world_.condition();
    if (fault.cause != scale::Cause::trim_off || condition.converter != scale::Converter::per_cell) return {};
    const double gain = condition.positions[static_cast<std::size_t>(fault.site.index)].digital_gain *
                        (1.0 + fault.magnitude[0]);
    if (gain >= least_corner_gain && gain <= largest_corner_gain) return {};
    return fmt::format("a corner factor of {:.4f} is not taken by the box; valid: {:g} to {:g}", gain,
                       least_corner_gain, largest_corner_gain);
}

void VirtualScale::enter_corner_factors() {
    const scale::Condition& condition = world_.condition();
    if (condition.converter != scale::Converter::per_cell || !has_stepped_) return;
    if (!indicator_->calibrated() || indicator_->storing()) return;
    for (int i = 0; i < condition.cell_count; ++i) {
        const auto at = static_cast<std::size_t>(i);
        const double gain = condition.positions[at].digital_gain;
        if (std::fabs(gain - indicator_->corner_gain(i)) < least_gain_step || gain == refused_gain_[at])
            continue;
        const bool seal_open = board_->supervisor.seal_open();
        board_->supervisor.set_seal_open(true);
        const std::string refused =
            reason_in(ClientConsole(*this).ask(fmt::format("*CLS;:CAL:GAIN{} {};:SYST:ERR?", i + 1, gain)));
        board_->supervisor.set_seal_open(seal_open);
        refused_gain_[at] = refused.empty() ? 0.0 : gain;
        // One at a time: it is being stored now.
        return;
    }
}

void VirtualScale::frame() {
    if (powered()) enter_corner_factors();
    const hal::Frame& frame = world_.step();
    if (!powered()) return;
    // Clean ones too: a part that gets stuck repeats the code of just before.
    for (const hal::Frame& arrived : port_faults_.pass(frame)) board_->converter.push_as_is(arrived);
    const bool restarted = board_->advance_to(frame.taken_us);
    if (restarted) start_firmware();
    indicator_->step();
    has_stepped_ = true;
}

void VirtualScale::run(double seconds) {
    const double end_s = time_s() + seconds;
    while (time_s() < end_s) frame();
}

bool VirtualScale::settle(double at_most_s, const std::function<bool()>& load_stands) {
    const double end_s = time_s() + at_most_s;
    double stable_since_s = time_s();
    while (time_s() < end_s) {
        frame();
        const bool stands = !load_stands || load_stands();
        const bool rests =
            stands && powered() && indicator_->readout().has_weight() && indicator_->readout().stable;
        if (!rests) stable_since_s = time_s();
        if (time_s() - stable_since_s >= looked_at_s) return true;
    }
    return false;
}

bool VirtualScale::calibrate(double mass_kg) {
    const scale::Deck& deck = description_.deck;
    const int supports = 2 * deck.sections;
    const auto until_stable = [this] {
        double ratio = 0.0;
        for (int i = 0; i < 6000 && !indicator_->weigher().stable_ratio(ratio); ++i) frame();
        run(1.0);
    };
    board_->supervisor.set_seal_open(true);
    run(2.0);
    until_stable();
    bool well = set_corner_gains();
    well = well && tell(*this, "CAL:POIN 0 KG").empty();
    std::vector<int> weights;
    for (int i = 0; i < supports; ++i) {
        const double x_m = deck.section_x_m[static_cast<std::size_t>(scale::section_of(i, deck.sections))];
        weights.push_back(
            world_.put({mass_kg / supports, x_m, scale::is_far(i, deck.sections) ? deck.width_m : 0.0}));
    }
    run(4.0);
    until_stable();
    well = well && tell(*this, fmt::format("CAL:POIN {} KG", mass_kg)).empty();
    well = well && tell(*this, "CAL:STOR").empty();
    finish_storing();
    for (const int weight : weights) world_.take_off(weight);
    run(4.0);
    board_->supervisor.set_seal_open(false);
    well = well && indicator_->calibrated();
    if (well) well = settle(60.0) && tell(*this, "ZERO").empty();
    run(1.0);
    return well;
}

void VirtualScale::finish_storing() {
    for (int i = 0; i < 100 && indicator_->storing(); ++i) frame();
}

bool VirtualScale::set_corner_gains() {
    const scale::Condition& condition = world_.condition();
    if (condition.converter != scale::Converter::per_cell) return true;
    bool well = true;
    for (int i = 0; i < condition.cell_count && well; ++i) {
        const double gain = condition.positions[static_cast<std::size_t>(i)].digital_gain;
        well = tell(*this, fmt::format("CAL:GAIN{} {}", i + 1, gain)).empty();
        finish_storing();
    }
    return well;
}

void VirtualScale::cut_power(std::uint64_t seed) {
    indicator_.reset();
    port_faults_.cut_power();
    board_->start(hal::ResetCause::power_on, seed);
}

void VirtualScale::restore_power() {
    // Nobody kicked the watchdog while there was no power.
    board_->clock.set(static_cast<hal::Microseconds>(time_s() * 1.0e6));
    board_->supervisor.start(board_->clock.time_us(), hal::ResetCause::power_on);
    // What came in on the line meanwhile was heard by nobody.
    board_->line.start();
    start_firmware();
}

}  // namespace cornerbench::virtual_scale

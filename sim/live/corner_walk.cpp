#include "sim/live/corner_walk.h"

#include <spdlog/fmt/fmt.h>

#include "sim/report/corner_words.h"
#include "sim/virtual_scale/line_talk.h"

namespace cornerbench::live {

using console::Refusal;

namespace {

/// For a weight to be set down and the deck to come to rest, before the box is asked.
constexpr double set_down_s = 2.5;
constexpr double patience_s = 60.0;

}  // namespace

void CornerWalk::begin() {
    if (!yard_.powered()) return yard_.note("no corner round: the power is off");
    if (yard_.vehicle_there()) return yard_.note("no corner round: a vehicle is on the deck");
    yard_.take_all_weights();
    firmware_ = yard_.scale().starts();
    console_ = std::make_unique<virtual_scale::ClientConsole>(yard_.scale());
    (void)tell("CORN:CLE");
    support_ = 0;
    turn_to(Doing::zeroing, set_down_s);
    yard_.note(fmt::format("corner round with {} begins", yard_.words().with_unit(yard_.test_kg())));
}

void CornerWalk::stop() {
    if (under_way()) give_up("stopped");
}

void CornerWalk::turn_to(Doing doing, double settle_s) {
    doing_ = doing;
    not_before_s_ = yard_.time_s() + settle_s;
    give_up_s_ = not_before_s_ + patience_s;
}

void CornerWalk::give_up(const std::string& why) {
    doing_ = Doing::nothing;
    console_.reset();
    yard_.take_all_weights();
    yard_.note("corner round given up: " + why);
}

bool CornerWalk::take_reading() {
    const std::string refused =
        tell(doing_ == Doing::loaded ? fmt::format("CORN:LOAD {},{} KG", support_ + 1, yard_.test_kg())
                                     : "CORN:EMPT");
    if (refused.empty()) return true;
    if (refused != console::words(Refusal::not_stable) || yard_.time_s() >= give_up_s_)
        give_up(fmt::format("support {}: {}", support_ + 1, refused));
    return false;
}

std::string CornerWalk::tell(std::string_view command) {
    return virtual_scale::reason_in(console_->ask(fmt::format("*CLS;:{};:SYST:ERR?", command)));
}

void CornerWalk::go_on() {
    if (!under_way()) return;
    if (!yard_.powered() || yard_.scale().starts() != firmware_) return give_up("the box has started anew");
    console_->after_step();
    if (yard_.time_s() < not_before_s_) return;
    switch (doing_) {
        case Doing::nothing:
            return;
        case Doing::zeroing:
            // A scale that is too far off to be zeroed can have its corners judged all the same.
            (void)tell("ZERO");
            return turn_to(Doing::unloading, 0.5);
        case Doing::loading:
            yard_.move_weight(support_);
            return turn_to(Doing::loaded, set_down_s);
        case Doing::loaded:
            if (!take_reading()) return;
            yard_.move_weight(support_);
            ++support_;
            return turn_to(Doing::unloading, set_down_s);
        case Doing::unloading:
            if (!take_reading()) return;
            if (support_ < yard_.supports()) return turn_to(Doing::loading, 0.0);
            return turn_to(Doing::judged, 0.0);
        case Doing::judged: {
            // A slice with every sample.
            const diagnosis::CornerReport& report = yard_.scale().indicator().corner_report();
            if (report.error == diagnosis::CornerError::working) return;
            doing_ = Doing::nothing;
            console_.reset();
            return yard_.note("corner round: " + report::corner_words(report));
        }
    }
}

std::string CornerWalk::words() const {
    switch (doing_) {
        case Doing::nothing:
            return {};
        case Doing::zeroing:
            return "round under way: zero";
        case Doing::loading:
        case Doing::loaded:
            return fmt::format("round under way: weight over {} of {}", support_ + 1, yard_.supports());
        case Doing::unloading:
            return fmt::format("round under way: {} of {} done", support_, yard_.supports());
        case Doing::judged:
            return "round under way: being judged";
    }
    return {};
}

}  // namespace cornerbench::live

#include <cmath>

#include "firmware/indicator.h"

/// What an indicator keeps in its memory: taken over at power-on, stored when it has changed.
namespace cornerbench {

using console::Refusal;

void Indicator::start_up() {
    started_ = true;
    const std::uint32_t all = (1u << static_cast<unsigned>(channels())) - 1u;
    // A converter that refuses shows by its samples, or by their absence.
    (void)board_.converter.select(hal::Excitation::forward, all);
    if (board_.converter.traits() != settings_.weigher.converter) weigher_.refuse_settings();
    zero_kept_us_ = now_us_;
    storage::Kept loaded = kept_;
    switch (store_.load(loaded)) {
        case storage::Loaded::kept:
            put_in_force(loaded, Purpose::calibration);
            return;
        case storage::Loaded::in_doubt:
        case storage::Loaded::older:
            settled_ = false;
            kept_.calibration_changes = loaded.calibration_changes;
            kept_.configuration_changes = loaded.configuration_changes;
            // Written once more before anybody sees it: what a cut came near may read otherwise next time.
            if (!store_.start_settling()) break;
            weigher_.explain_missing_calibration(weighing::NoWeight::starting);
            coming_ = loaded;
            purpose_ = Purpose::calibration;
            return;
        case storage::Loaded::never_set:
            return;
        case storage::Loaded::damaged:
        case storage::Loaded::newer:
        case storage::Loaded::unreadable:
            break;
    }
    lose_settings(loaded);
}

/// Nothing is put in force in place of what was kept. Its counters go on.
void Indicator::lose_settings(const storage::Kept& rest) {
    settings_lost_ = true;
    settled_ = true;
    kept_.calibration_changes = rest.calibration_changes;
    kept_.configuration_changes = rest.configuration_changes;
    weigher_.explain_missing_calibration(weighing::NoWeight::settings_lost);
}

void Indicator::put_in_force(const storage::Kept& kept, Purpose purpose) {
    kept_ = kept;
    if (purpose == Purpose::nothing || purpose == Purpose::along) return;
    weigher_.explain_missing_calibration(weighing::NoWeight::not_calibrated);
    (void)weigher_.show_in(kept_.unit);
    if (purpose != Purpose::calibration || !kept_.calibrated) return;
    weigher_.calibrate(kept_.calibration, kept_.corner_gain);
    traffic_.restart();
    // A zero out of the initial range is not taken: one is sought then, and none shown until it is found.
    const bool kept_zero =
        kept_.zero_known && !settings_.find_zero_at_power_on && weigher_.keep_zero(kept_.zero_offset_kg);
    if (!kept_zero) return;
    if (kept_.zero_lost) weigher_.lose_zero();
    lost_kept_ = kept_.zero_lost;
    if (kept_.empty_known) weigher_.keep_empty(kept_.empty_ratio);
}

Refusal Indicator::store(storage::Kept& changed, Purpose purpose) {
    if (store_.saving()) return Refusal::busy;
    // Whoever finds the memory next must not take a new box's settings for those that were lost.
    if (settings_lost_ && !seal_open()) return Refusal::not_stored;
    if (!store_.start(changed)) return Refusal::not_stored;
    coming_ = changed;
    purpose_ = purpose;
    return Refusal::none;
}

void Indicator::go_on_storing() {
    switch (store_.step(now_us_)) {
        case storage::Saving::idle:
        case storage::Saving::under_way:
            return;
        case storage::Saving::failed:
            if (!settled_) lose_settings(coming_);
            purpose_ = Purpose::nothing;
            return;
        case storage::Saving::done:
            break;
    }
    settled_ = true;
    settings_lost_ = false;
    if (purpose_ != Purpose::along) zero_kept_us_ = now_us_;
    put_in_force(coming_, purpose_);
    purpose_ = Purpose::nothing;
}

void Indicator::keep_what_is_due() {
    if (store_.saving() || !kept_.calibrated) return;
    const bool lost = weigher_.zero_lost();
    const bool zero_moved = zero_to_keep();
    // That zero is lost has to hold over a power cut, whatever stands on the deck then.
    const bool lost_changed = weigher_.zero_established() && lost != lost_kept_;
    if (!zero_moved && !lost_changed && !reading_due_) return;
    storage::Kept changed = kept_;
    if (zero_moved || lost_changed) {
        lost_kept_ = changed.zero_lost = lost;
        zero_kept_us_ = now_us_;
    }
    if (zero_moved) {
        zero_due_ = false;
        changed.zero_known = true;
        changed.zero_offset_kg = weigher_.zero_offset_kg();
        keep_empty(changed);
    }
    if (reading_due_) {
        const weighing::Readout& printed = ticket_.readout;
        changed.last_reading = {true,
                                ticket_.number,
                                printed.gross.digits,
                                printed.tare.digits,
                                printed.net.digits,
                                static_cast<std::uint8_t>(printed.gross.decimals),
                                printed.unit};
        reading_due_ = false;
    }
    // Tried once, for a memory may fail.
    (void)store(changed, Purpose::along);
}

bool Indicator::zero_to_keep() const {
    if (!weigher_.zero_established()) return false;
    const double moved_kg = std::fabs(weigher_.zero_offset_kg() - kept_.zero_offset_kg);
    const bool moved = !kept_.zero_known || moved_kg >= settings_.keep_zero_divisions * division_kg();
    return zero_due_ || (moved && now_us_ - zero_kept_us_ >= settings_.keep_zero_us);
}

void Indicator::keep_empty(storage::Kept& changed) const {
    changed.empty_known = channels() > 1;
    for (int i = 0; i < channels() && changed.empty_known; ++i) {
        double ratio = 0.0;
        changed.empty_known = weigher_.empty_ratio(i, ratio);
        changed.empty_ratio[static_cast<std::size_t>(i)] = static_cast<float>(ratio);
    }
}

}  // namespace cornerbench

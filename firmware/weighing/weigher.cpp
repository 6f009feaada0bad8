#include "firmware/weighing/weigher.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::weighing {

namespace {

FilterSettings filter_of(const WeigherSettings& settings) {
    FilterSettings filter = settings.filter;
    filter.rate_mHz = settings.converter.rate_mHz;
    filter.converter_bits = settings.converter.bits;
    return filter;
}

bool can_weigh(const WeigherSettings& settings, const FilterPlan& plan) {
    const hal::ConverterTraits& converter = settings.converter;
    return plan.error == FilterError::none && converter.channels >= 1 &&
           converter.channels <= hal::max_channels && converter.full_scale_V_per_V > 0.0 &&
           check_ranges(settings.ranges, settings.unit) == DivisionError::none;
}

}  // namespace

Weigher::Weigher(const WeigherSettings& settings)
    : settings_(settings),
      plan_(plan_filter(filter_of(settings))),
      check_(settings.converter, settings.samples) {
    usable_ = can_weigh(settings, plan_);
    readout_.unit = settings.unit;
    gain_.fill(1.0);
    if (!usable_) {
        show_nothing(NoWeight::settings_wrong, -1);
        return;
    }
    filter_.fill(Filter(plan_));
    const double codes = std::ldexp(1.0, settings.converter.bits - 1);
    ratio_per_sum_ = settings.converter.full_scale_V_per_V / codes / static_cast<double>(plan_.gain());
    DisplayFilterSettings display;
    display.noise =
        settings.noise_V_per_V * std::sqrt(plan_.noise_gain() * settings.converter.channels) / ratio_per_sum_;
    display.longest = settings.longest_average;
    display_ = DisplayFilter(display);
    stability_ = Stability(settings.stability, finest_division_kg());
    restart_zero();
}

double Weigher::max_kg() const {
    const int last = std::clamp(settings_.ranges.count, 1, max_partial_ranges) - 1;
    return settings_.ranges.ranges[static_cast<std::size_t>(last)].max_kg;
}

void Weigher::restart_zero() {
    zero_ = Zero(settings_.zero, max_kg(), finest_division_kg());
    tare_ = Tare({settings_.ranges.ranges[0].max_kg, finest_division_kg()});
    empty_known_ = false;
    zero_lost_ = false;
}

void Weigher::interrupt() {
    ++breaks_;
    display_.interrupt();
    stability_.interrupt();
    zero_.interrupt();
    weighed_ = false;
}

void Weigher::calibrate(const Calibration& calibration, std::span<const double> corner_gains) {
    calibration_ = calibration;
    for (std::size_t i = 0; i < gain_.size(); ++i) gain_[i] = i < corner_gains.size() ? corner_gains[i] : 1.0;
    calibrated_ = true;
    if (!usable_) return;
    interrupt();
    restart_zero();
    show_nothing(started_ ? NoWeight::settling : NoWeight::starting, -1);
}

void Weigher::refuse_settings() {
    usable_ = false;
    interrupt();
    show_nothing(NoWeight::settings_wrong, -1);
}

bool Weigher::keep_zero(double offset_kg) {
    return zero_.start_at(offset_kg) == ZeroAnswer::done;
}

void Weigher::push_lost(std::int64_t frames) {
    // As many as a filter remembers leave nothing of what was there; more would only cost time.
    for (std::int64_t left = std::min(frames, plan_.length() + plan_.factor()); left > 0; --left)
        for (int channel = 0; channel < settings_.converter.channels; ++channel) {
            const auto i = static_cast<std::size_t>(channel);
            if (const auto output = filter_[i].push(0, false)) filtered_[i] = *output;
        }
}

bool Weigher::may_go_on_without(const FrameVerdict& verdict) const {
    const bool one_channel = verdict.bad != 0 && (verdict.bad & (verdict.bad - 1)) == 0;
    return settings_.weigh_degraded && settings_.converter.channels > 2 && one_channel && verdict.lost == 0;
}

void Weigher::take(const hal::Frame& frame) {
    if (!usable_) return;
    FrameVerdict verdict = check_.judge(frame);
    if (board_ != NoWeight::none) {
        verdict.why = board_;
        verdict.channel = -1;
        verdict.bad = ~0u;
    }
    heard_us_ = frame.taken_us;
    latest_ = verdict.why;
    if (verdict.why != NoWeight::none) {
        latest_channel_ = verdict.channel;
        if (!may_go_on_without(verdict)) {
            interrupt();
            show_nothing(latest_, latest_channel_);
        }
    }
    push_lost(verdict.lost);
    push_frame(frame, verdict);
}

void Weigher::push_frame(const hal::Frame& frame, const FrameVerdict& verdict) {
    bool output_due = false;
    for (int channel = 0; channel < settings_.converter.channels; ++channel) {
        const auto i = static_cast<std::size_t>(channel);
        const bool good = (verdict.bad >> static_cast<unsigned>(channel) & 1u) == 0;
        const auto output = filter_[i].push(frame.code[i], good);
        if (!output) continue;
        filtered_[i] = *output;
        output_due = true;
    }
    if (output_due) take_outputs(frame.taken_us);
}

/// The channel that stands in for a lost one is the other of its section: a load midway across the deck
/// presses both alike. Good for little more than knowing that a truck is there.
bool Weigher::replace_lost(std::size_t lost, double& sum) const {
    const int mate = lost < settings_.mate.size() ? settings_.mate[lost] : -1;
    if (!empty_known_ || mate < 0 || mate >= settings_.converter.channels) return false;
    const auto m = static_cast<std::size_t>(mate);
    if (!filtered_[m].valid) return false;
    sum += gain_[lost] * empty_[lost];
    sum += gain_[m] * (static_cast<double>(filtered_[m].sum) - empty_[m]);
    return true;
}

bool Weigher::add_up(double& sum, bool& degraded) const {
    sum = 0.0;
    degraded = false;
    std::size_t lost = 0;
    for (int channel = 0; channel < settings_.converter.channels; ++channel) {
        const auto i = static_cast<std::size_t>(channel);
        if (filtered_[i].valid) {
            sum += gain_[i] * static_cast<double>(filtered_[i].sum);
            continue;
        }
        if (degraded || !settings_.weigh_degraded || settings_.converter.channels <= 2) return false;
        degraded = true;
        lost = i;
    }
    return !degraded || replace_lost(lost, sum);
}

void Weigher::take_outputs(std::int64_t taken_us) {
    double sum = 0.0;
    bool degraded = false;
    if (!add_up(sum, degraded)) {
        interrupt();
        // The newest samples may be good while older ones still lie in the filters.
        if (latest_ == NoWeight::none)
            show_nothing(started_ ? NoWeight::settling : NoWeight::starting, latest_channel_);
        else
            show_nothing(latest_, latest_channel_);
        return;
    }
    if (degraded != degraded_) interrupt();
    degraded_ = degraded;
    started_ = true;
    taken_us_ = taken_us;
    display_.push(static_cast<std::int64_t>(std::floor(sum + 0.5)));
    const double ratio = sum * ratio_per_sum_;
    if (!calibrated_) {
        // As if the converter's whole range were Max: fine enough to tell rest from motion.
        stability_.push(ratio / settings_.converter.full_scale_V_per_V * max_kg());
        judge_cells();
        if (cell_why_ != NoWeight::none)
            show_nothing(cell_why_, cell_channel_);
        else
            show_nothing(uncalibrated_, -1);
        return;
    }
    momentary_kg_ = calibration_.weight_kg(ratio);
    stability_.push(momentary_kg_);
    if (!degraded_) ++outputs_;
    weight_kg_ = calibration_.weight_kg(display_.mean() * ratio_per_sum_);
    weighed_ = true;
    judge_cells();
    if (!zero_.established())
        establish_zero();
    else if (!degraded_ && cell_why_ == NoWeight::none)
        zero_.track(weight_kg_, stability_.stable(), taken_us);
    if (zero_.established()) show();
}

void Weigher::establish_zero() {
    switch (zero_.find_initial(weight_kg_, stability_.stable())) {
        case ZeroAnswer::done:
            note_empty();
            return;
        case ZeroAnswer::out_of_range:
            show_nothing(NoWeight::no_initial_zero, -1);
            return;
        case ZeroAnswer::not_stable:
        case ZeroAnswer::no_initial_zero:
            break;
    }
    show_nothing(NoWeight::starting, -1);
}

void Weigher::note_empty() {
    if (degraded_) return;
    for (std::size_t i = 0; i < empty_.size(); ++i) empty_[i] = static_cast<double>(filtered_[i].sum);
    empty_known_ = true;
}

void Weigher::look(std::int64_t now_us, NoWeight board) {
    if (!watched_) {
        watched_ = true;
        heard_us_ = now_us;
    }
    if (!usable_) return;
    board_ = board;
    const bool stale = now_us - heard_us_ > settings_.stale_us;
    const NoWeight why = board != NoWeight::none ? board : stale ? NoWeight::samples_stale : NoWeight::none;
    if (why == NoWeight::none) return;
    latest_ = why;
    latest_channel_ = -1;
    interrupt();
    if (readout_.why != why) show_nothing(why, -1);
}

void Weigher::show_nothing(NoWeight why, int channel) {
    Readout nothing;
    nothing.unit = readout_.unit;
    nothing.why = why;
    nothing.channel = channel;
    nothing.number = readout_.number + 1;
    readout_ = nothing;
}

ShownWeight Weigher::rounded(double weight_kg) const {
    const double division_kg = settings_.ranges.division_at(weight_kg);
    return shown_weight(weight_kg, readout_.unit, division_in(readout_.unit, division_kg));
}

void Weigher::show() {
    const double gross_kg = zero_.gross_kg(weight_kg_);
    if (cell_why_ != NoWeight::none) {
        // At rest below nothing the deck is empty: the next load may hide what the cell lost.
        const bool empty = gross_kg < 0.0 && stability_.stable();
        zero_lost_ = zero_lost_ || (empty && cell_why_ == NoWeight::cell_unloaded);
        return show_nothing(cell_why_, cell_channel_);
    }
    const double coarsest_kg = settings_.ranges.division_at(max_kg());
    const RangeState range =
        range_of(settings_.ranges.rounded_kg(gross_kg), max_kg(), coarsest_kg, settings_.range);
    if (range == RangeState::over || range == RangeState::no_number) {
        show_nothing(NoWeight::over_range, -1);
        return;
    }
    if (range == RangeState::under) {
        zero_lost_ = zero_lost_ || stability_.stable();
        show_nothing(NoWeight::under_range, -1);
        return;
    }
    // A load hides how far off zero is: what the empty deck has shown holds until somebody sets zero.
    if (zero_lost_) {
        show_nothing(NoWeight::zero_lost, -1);
        return;
    }
    Readout shown;
    shown.why = NoWeight::none;
    shown.gross_kg = gross_kg;
    shown.tare_kg = tare_.tare_kg();
    shown.net_kg = tare_.net_kg(gross_kg);
    shown.unit = readout_.unit;
    shown.gross = rounded(shown.gross_kg);
    shown.tare = rounded(shown.tare_kg);
    shown.net = rounded(shown.net_kg);
    shown.tare_kind = tare_.kind();
    shown.stable = stability_.stable();
    shown.at_zero = !degraded_ && zero_.at_centre(weight_kg_);
    shown.degraded = degraded_;
    shown.ratio = display_.mean() * ratio_per_sum_;
    shown.taken_us = taken_us_;
    shown.number = readout_.number + 1;
    readout_ = shown;
}

KeyAnswer Weigher::zero_key() {
    if (!weighed_ || degraded_ || cell_why_ != NoWeight::none) return KeyAnswer::no_weight;
    switch (zero_.set(weight_kg_, stability_.stable())) {
        case ZeroAnswer::done:
            break;
        case ZeroAnswer::not_stable:
            return KeyAnswer::not_stable;
        case ZeroAnswer::out_of_range:
        case ZeroAnswer::no_initial_zero:
            return KeyAnswer::out_of_range;
    }
    tare_.clear();
    zero_lost_ = false;
    note_empty();
    show();
    return KeyAnswer::done;
}

KeyAnswer Weigher::tare_key() {
    if (!readout_.has_weight()) return KeyAnswer::no_weight;
    return answer_to(tare_.take(readout_.gross_kg, readout_.stable));
}

KeyAnswer Weigher::preset_tare(double tare_kg) {
    return answer_to(tare_.preset(tare_kg));
}

KeyAnswer Weigher::answer_to(TareAnswer answer) {
    switch (answer) {
        case TareAnswer::done:
            break;
        case TareAnswer::not_stable:
            return KeyAnswer::not_stable;
        case TareAnswer::not_positive:
            return KeyAnswer::not_positive;
        case TareAnswer::over_range:
            return KeyAnswer::out_of_range;
    }
    if (readout_.has_weight()) show();
    return KeyAnswer::done;
}

KeyAnswer Weigher::clear_tare() {
    tare_.clear();
    if (readout_.has_weight()) show();
    return KeyAnswer::done;
}

KeyAnswer Weigher::show_in(scale::MassUnit unit) {
    readout_.unit = unit;
    if (readout_.has_weight()) show();
    return KeyAnswer::done;
}

bool Weigher::settled_kg(double& gross_kg) const {
    if (!weighed_ || degraded_ || !zero_.established() || !stability_.stable()) return false;
    gross_kg = zero_.gross_kg(weight_kg_);
    return true;
}

bool Weigher::stable_ratio(double& ratio) const {
    if (latest_ != NoWeight::none || cell_why_ != NoWeight::none) return false;
    if (degraded_ || !stability_.stable() || display_.count() == 0) return false;
    ratio = display_.mean() * ratio_per_sum_;
    return true;
}

}  // namespace cornerbench::weighing

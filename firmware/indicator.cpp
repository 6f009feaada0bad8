#include "firmware/indicator.h"

#include <bit>
#include <cmath>

#include "firmware/console/panel_text.h"
#include "firmware/storage/audit.h"
#include "firmware/weighing/gravity.h"

namespace cornerbench {

using console::Refusal;

namespace {

constexpr std::size_t frames_at_once = 16;
constexpr int most_takes = 64;  ///< in one step: ten seconds of frames at 100 Hz
constexpr std::size_t keys_at_once = 8;

Refusal refusal_for(weighing::KeyAnswer answer) {
    switch (answer) {
        case weighing::KeyAnswer::done:
            return Refusal::none;
        case weighing::KeyAnswer::no_weight:
            return Refusal::no_weight;
        case weighing::KeyAnswer::not_stable:
            return Refusal::not_stable;
        case weighing::KeyAnswer::out_of_range:
            return Refusal::out_of_range;
        case weighing::KeyAnswer::not_positive:
            return Refusal::not_positive;
    }
    return Refusal::out_of_range;
}

Refusal refusal_for(diagnosis::CornerError error) {
    switch (error) {
        case diagnosis::CornerError::none:
            return Refusal::none;
        case diagnosis::CornerError::no_scale:
        case diagnosis::CornerError::no_such_support:
            return Refusal::no_such;
        default:
            return Refusal::out_of_range;
    }
}

scale::MassUnit next_unit(scale::MassUnit unit) {
    switch (unit) {
        case scale::MassUnit::kilogram:
            return scale::MassUnit::tonne;
        case scale::MassUnit::tonne:
            return scale::MassUnit::pound;
        case scale::MassUnit::pound:
            break;
    }
    return scale::MassUnit::kilogram;
}

}  // namespace

Indicator::Indicator(const hal::Board& board, const IndicatorSettings& settings)
    : board_(board),
      settings_(settings),
      weigher_(settings.weigher),
      corners_(settings.corners, settings.weigher.converter.channels),
      store_(board.memory),
      console_(*this, settings.identity),
      kept_(storage::factory_kept()) {
    kept_.unit = settings.weigher.unit;
}

void Indicator::step() {
    std::int64_t now_us = now_us_;
    const bool clock_well = board_.clock.now(now_us) == hal::Answer::done && now_us >= now_us_;
    if (clock_well) now_us_ = now_us;
    if (!started_) start_up();
    const auto board = !clock_well                               ? weighing::NoWeight::clock_stopped
                       : !board_.supervisor.supply_good(now_us_) ? weighing::NoWeight::supply_low
                                                                 : weighing::NoWeight::none;
    weigher_.look(now_us_, board);
    take_frames();
    weigher_.look(now_us_, board);
    take_keys();
    console_.serve(board_.line, now_us_);
    corners_.step();
    go_on_storing();
    keep_what_is_due();
    show_panel();
    (void)board_.supervisor.kick(now_us_);
}

void Indicator::take_frames() {
    std::array<hal::Frame, frames_at_once> frames;
    for (int take = 0; take < most_takes; ++take) {
        std::size_t count = 0;
        if (board_.converter.take(now_us_, frames, count) != hal::Answer::done) return;
        for (std::size_t i = 0; i < count && i < frames.size(); ++i) {
            weigh(frames[i]);
            mix(static_cast<std::uint64_t>(weigher_.readout().why));
        }
        if (count < frames.size()) return;
    }
}

void Indicator::take_keys() {
    std::array<hal::Key, keys_at_once> keys{};
    std::size_t count = 0;
    if (board_.panel.take_keys(keys, count) != hal::Answer::done) return;
    for (std::size_t i = 0; i < count && i < keys.size(); ++i) {
        Refusal refusal = Refusal::none;
        switch (keys[i]) {
            case hal::Key::zero:
                refusal = zero();
                break;
            case hal::Key::tare:
                refusal = tare();
                break;
            case hal::Key::clear:
                refusal = clear_tare();
                break;
            case hal::Key::unit:
                (void)weigher_.show_in(next_unit(readout().unit));
                break;
            case hal::Key::print:
                refusal = print();
                break;
        }
        mix(static_cast<std::uint64_t>(refusal));
        last_key_ = {last_key_.number + 1, refusal};
    }
}

Refusal Indicator::zero() {
    const Refusal refusal = refusal_for(weigher_.zero_key());
    if (refusal != Refusal::none) return refusal;
    // Should it not be stored, the old zero holds from the next power-on; this one holds until then.
    zero_due_ = kept_.calibrated;
    return Refusal::none;
}

Refusal Indicator::tare() {
    return refusal_for(weigher_.tare_key());
}

Refusal Indicator::preset_tare(double tare_kg) {
    if (!(tare_kg >= 0.0)) return Refusal::out_of_range;
    if (tare_kg == 0.0) return clear_tare();
    return refusal_for(weigher_.preset_tare(tare_kg));
}

Refusal Indicator::clear_tare() {
    return refusal_for(weigher_.clear_tare());
}

Refusal Indicator::show_in(scale::MassUnit unit) {
    (void)weigher_.show_in(unit);
    if (unit == kept_.unit) return Refusal::none;
    storage::Kept changed = kept_;
    changed.unit = unit;
    changed.configuration_changes = storage::counted(changed.configuration_changes);
    return store(changed, Purpose::configuration);
}

Refusal Indicator::print() {
    if (!readout().has_weight()) return Refusal::no_weight;
    if (!readout().stable) return Refusal::not_stable;
    ++ticket_.number;
    ticket_.printed_us = now_us_;
    ticket_.readout = readout();
    reading_due_ = true;
    mix(ticket_.number);
    return Refusal::none;
}

double Indicator::corner_gain(int channel) const {
    const bool known = channel >= 0 && channel < scale::max_cells;
    return known ? kept_.corner_gain[static_cast<std::size_t>(channel)] : 0.0;
}

Refusal Indicator::may_calibrate() const {
    if (!board_.supervisor.seal_open()) return Refusal::sealed;
    return store_.saving() ? Refusal::busy : Refusal::none;
}

Refusal Indicator::calibration_point(double load_kg) {
    if (!board_.supervisor.seal_open()) return Refusal::sealed;
    // Written so that what is no number is refused.
    if (!(load_kg >= 0.0 && load_kg <= max_kg())) return Refusal::out_of_range;
    if (point_count_ == weighing::max_calibration_points) return Refusal::full;
    double ratio = 0.0;
    if (!weigher_.stable_ratio(ratio)) return Refusal::not_stable;
    if (load_kg == 0.0) note_empty();
    points_[static_cast<std::size_t>(point_count_)] = {load_kg, ratio, 1.0};
    ++point_count_;
    return Refusal::none;
}

void Indicator::note_empty() {
    empty_noted_ = channels() > 1;
    for (int i = 0; i < channels() && empty_noted_; ++i) {
        double ratio = 0.0;
        empty_noted_ = weigher_.channel_ratio(i, ratio);
        empty_ratio_[static_cast<std::size_t>(i)] = static_cast<float>(ratio);
    }
}

Refusal Indicator::store_calibration(const weighing::CalibrationFit& fit) {
    calibration_error_ = fit.error;
    if (fit.error != weighing::CalibrationError::none) return Refusal::bad_fit;
    storage::Kept changed = kept_;
    changed.calibrated = true;
    changed.calibration = fit.calibration;
    // The calibration's own zero: what stands on the deck now, a test weight perhaps, is not taken for one.
    changed.zero_known = true;
    changed.zero_offset_kg = 0.0;
    changed.zero_lost = false;
    changed.empty_known = empty_noted_;
    changed.empty_ratio = empty_ratio_;
    changed.calibration_changes = storage::counted(changed.calibration_changes);
    return store(changed, Purpose::calibration);
}

Refusal Indicator::calibrate() {
    if (const Refusal refusal = may_calibrate(); refusal != Refusal::none) return refusal;
    const auto points = std::span(points_).first(static_cast<std::size_t>(point_count_));
    const Refusal refusal = store_calibration(fit_calibration(points, settings_.calibration));
    if (refusal == Refusal::none) forget_points();
    return refusal;
}

Refusal Indicator::calibrate_by_rating() {
    if (const Refusal refusal = may_calibrate(); refusal != Refusal::none) return refusal;
    double ratio = 0.0;
    if (!weigher_.stable_ratio(ratio)) return Refusal::not_stable;
    note_empty();
    const auto cells = std::span(settings_.cells).first(static_cast<std::size_t>(settings_.cell_count));
    return store_calibration(weighing::rated_calibration(cells, settings_.converter, settings_.gravity, ratio,
                                                         settings_.calibration));
}

Refusal Indicator::move_gravity(double from, double to) {
    if (const Refusal refusal = may_calibrate(); refusal != Refusal::none) return refusal;
    const weighing::SpanFactor span = weighing::span_factor(from, to);
    if (span.error != weighing::GravityError::none) return Refusal::out_of_range;
    if (!kept_.calibrated) return Refusal::no_weight;
    storage::Kept changed = kept_;
    changed.calibration = kept_.calibration.scaled(span.factor);
    changed.zero_offset_kg = span.factor * weigher_.zero_offset_kg();
    changed.calibration_changes = storage::counted(changed.calibration_changes);
    return store(changed, Purpose::calibration);
}

Refusal Indicator::set_corner_gain(int channel, double gain) {
    if (const Refusal refusal = may_calibrate(); refusal != Refusal::none) return refusal;
    if (channels() < 2 || channel < 0 || channel >= channels()) return Refusal::no_such;
    if (!(gain >= least_corner_gain && gain <= largest_corner_gain)) return Refusal::out_of_range;
    storage::Kept changed = kept_;
    changed.corner_gain[static_cast<std::size_t>(channel)] = gain;
    changed.calibration_changes = storage::counted(changed.calibration_changes);
    return store(changed, Purpose::calibration);
}

std::size_t Indicator::read_channels(std::array<double, scale::max_cells>& kg) const {
    const auto count = static_cast<std::size_t>(channels());
    if (count < 2 || count > kg.size()) return 0;
    for (std::size_t i = 0; i < count; ++i) {
        double ratio = 0.0;
        if (!weigher_.channel_ratio(static_cast<int>(i), ratio)) return 0;
        const weighing::RatedCell& cell = settings_.cells[i];
        kg[i] = ratio / cell.rated_output_V_per_V * cell.capacity_kg * scale::standard_gravity /
                settings_.gravity;
    }
    return count;
}

Refusal Indicator::corner_empty() {
    double gross_kg = 0.0;
    if (!weigher_.settled_kg(gross_kg)) return Refusal::not_stable;
    std::array<double, scale::max_cells> kg{};
    const std::size_t count = read_channels(kg);
    return refusal_for(corners_.add_empty(gross_kg, std::span(kg).first(count)));
}

Refusal Indicator::corner_loaded(int support, double mass_kg) {
    double gross_kg = 0.0;
    if (!weigher_.settled_kg(gross_kg)) return Refusal::not_stable;
    std::array<double, scale::max_cells> kg{};
    const std::size_t count = read_channels(kg);
    return refusal_for(corners_.add_loaded(support, mass_kg, gross_kg, std::span(kg).first(count)));
}

void Indicator::show_panel() {
    hal::PanelPicture picture = console::panel_picture(readout());
    if (shown_ && *shown_ == picture) return;
    // Offered again with the next step when the panel did not take it.
    if (board_.panel.show(picture) == hal::Answer::done) shown_ = picture;
    mix(static_cast<std::uint64_t>(readout().why));
    mix(static_cast<std::uint64_t>(readout().net.digits));
    mix(std::bit_cast<std::uint64_t>(readout().ratio));
}

/// FNV-1a, byte by byte.
void Indicator::mix(std::uint64_t value) {
    for (int i = 0; i < 8; ++i) {
        hash_ ^= value >> (8 * i) & 0xFFu;
        hash_ *= 1099511628211ull;
    }
}

}  // namespace cornerbench

#include "firmware/console/register_map.h"

#include <algorithm>
#include <bit>

#include "firmware/console/status_registers.h"

namespace cornerbench::console {

namespace {

constexpr std::uint16_t map_version = 1;
constexpr std::uint32_t not_a_number = 0x7FC00000u;
constexpr std::uint32_t no_weight_digits = 0x80000000u;

std::uint32_t single(double value) {
    if (value != value) return not_a_number;
    constexpr double largest = 3.4028234663852886e38;
    return std::bit_cast<std::uint32_t>(static_cast<float>(std::clamp(value, -largest, largest)));
}

std::uint32_t digits(const weighing::Readout& readout, const weighing::ShownWeight& weight) {
    const bool fits = weight.digits > INT32_MIN && weight.digits <= INT32_MAX;
    return readout.has_weight() && fits ? static_cast<std::uint32_t>(weight.digits) : no_weight_digits;
}

double double_of(std::uint16_t high, std::uint16_t low) {
    return static_cast<double>(std::bit_cast<float>(static_cast<std::uint32_t>(high) << 16 | low));
}

bool is_of_corners(Content content) {
    return content >= Content::corner_error;
}

bool is_numbered(scale::SiteKind kind) {
    return kind == scale::SiteKind::cell || kind == scale::SiteKind::cell_pair ||
           kind == scale::SiteKind::support;
}

std::uint64_t value_of(const diagnosis::CornerFinding& finding, Content content) {
    switch (content) {
        case Content::finding_kind:
            return static_cast<std::uint64_t>(finding.kind) + 1;
        case Content::finding_place:
            return static_cast<std::uint64_t>(finding.place.kind);
        case Content::finding_index:
            return is_numbered(finding.place.kind) ? static_cast<std::uint64_t>(finding.place.index) + 1 : 0;
        case Content::finding_other:
            return finding.place.kind == scale::SiteKind::cell_pair
                       ? static_cast<std::uint64_t>(finding.place.other) + 1
                       : 0;
        case Content::finding_size:
            return single(finding.size.value);
        case Content::finding_significance:
            return single(finding.significance);
        default:
            return 0;
    }
}

std::uint64_t value_of(const diagnosis::CornerReport& report, const Register& entry, int index) {
    const auto at = static_cast<std::size_t>(index);
    switch (entry.content) {
        case Content::corner_error:
            return static_cast<std::uint64_t>(report.error);
        case Content::corner_verdict:
            return static_cast<std::uint64_t>(report.verdict);
        case Content::corner_count:
            return static_cast<std::uint64_t>(report.count);
        case Content::corner_unread:
            return report.unread;
        case Content::corner_unjudged:
            return report.unjudged;
        case Content::corner_limit:
            return single(report.limit_sigmas);
        case Content::corner_common:
            return single(report.common.value);
        case Content::cell_gain:
            return single(report.gain[at].value);
        case Content::cell_gain_uncertainty:
            return single(report.gain[at].uncertainty);
        default:
            break;
    }
    if (index < report.count) return value_of(report.findings[at], entry.content);
    return entry.coding == Coding::f32 ? not_a_number : 0;
}

bool is_of_traffic(Content content) {
    return content >= Content::trucks && content <= Content::change_strays;
}

std::uint64_t value_of(const watch::TrafficWatch& traffic, const Register& entry) {
    const int first = traffic.first_changed();
    switch (entry.content) {
        case Content::trucks:
            return traffic.trucks();
        case Content::trucks_judged:
            return traffic.judged();
        case Content::traffic_changes:
            return static_cast<std::uint64_t>(traffic.changed_count());
        default:
            break;
    }
    if (first < 0) return entry.coding == Coding::f32 ? not_a_number : 0;
    const watch::Chart& chart = traffic.chart(first);
    switch (entry.content) {
        case Content::change_kind:
            return static_cast<std::uint64_t>(traffic.numbers().kind(first)) + 1;
        case Content::change_place:
            return static_cast<std::uint64_t>(traffic.numbers().place(first));
        case Content::change_since:
            return chart.since_truck();
        case Content::change_noticed:
            return chart.alarm_truck();
        case Content::change_size:
            return single(chart.recent() - chart.mean());
        default:
            return single(chart.deviation());
    }
}

Exception exception_for(Refusal refusal) {
    switch (refusal) {
        case Refusal::none:
            return Exception::none;
        case Refusal::out_of_range:
        case Refusal::not_positive:
        case Refusal::no_such:
            return Exception::illegal_value;
        case Refusal::no_weight:
        case Refusal::not_stable:
        case Refusal::busy:
            return Exception::device_busy;
        case Refusal::sealed:
        case Refusal::full:
        case Refusal::bad_fit:
        case Refusal::not_stored:
            return Exception::device_failure;
    }
    return Exception::device_failure;
}

}  // namespace

std::uint64_t RegisterMap::value_of(const Register& entry, int index) const {
    const weighing::Readout& readout = readout_;
    switch (entry.content) {
        case Content::map_version:
            return map_version;
        case Content::has_weight:
            return readout.has_weight() ? 1 : 0;
        case Content::why:
            return static_cast<std::uint64_t>(readout.why);
        case Content::why_channel:
            return static_cast<std::uint16_t>(readout.channel + 1);
        case Content::unit:
            return static_cast<std::uint64_t>(readout.unit);
        case Content::decimals:
            return static_cast<std::uint64_t>(readout.gross.decimals);
        case Content::gross:
            return digits(readout, readout.gross);
        case Content::net:
            return digits(readout, readout.net);
        case Content::tare:
            return digits(readout, readout.tare);
        case Content::tare_kind:
            return static_cast<std::uint64_t>(readout.tare_kind);
        case Content::operation:
            return operation_condition(readout_, *instrument_);
        case Content::questionable:
            return questionable_condition(readout_, *instrument_);
        case Content::number:
            return readout.number;
        case Content::taken_us:
            return static_cast<std::uint64_t>(readout.taken_us);
        case Content::max_kg:
            return single(instrument_->max_kg());
        case Content::division_kg:
            return single(instrument_->division_kg());
        case Content::zero_offset_kg:
            return single(instrument_->zero_offset_kg());
        case Content::channels:
            return static_cast<std::uint64_t>(instrument_->channels());
        case Content::supports:
            return static_cast<std::uint64_t>(instrument_->supports());
        case Content::calibrated:
            return instrument_->calibrated() ? 1 : 0;
        case Content::seal_open:
            return instrument_->seal_open() ? 1 : 0;
        case Content::storing:
            return instrument_->storing() ? 1 : 0;
        case Content::points:
            return static_cast<std::uint64_t>(instrument_->calibration_points());
        case Content::calibration_changes:
            return instrument_->calibration_changes();
        case Content::configuration_changes:
            return instrument_->configuration_changes();
        case Content::state_hash:
            return instrument_->state_hash();
        case Content::last_refusal:
            return static_cast<std::uint64_t>(last_refusal_);
        case Content::channel_ratio: {
            double ratio = 0.0;
            const bool known = index < instrument_->channels() && instrument_->channel_ratio(index, ratio);
            return known ? single(ratio) : not_a_number;
        }
        case Content::corner_gain:
            return index < instrument_->channels() ? single(instrument_->corner_gain(index)) : not_a_number;
        default:
            if (is_of_traffic(entry.content)) return console::value_of(instrument_->traffic(), entry);
            return report_ == nullptr ? 0 : console::value_of(*report_, entry, index);
    }
}

Exception RegisterMap::read(std::uint16_t first, std::span<std::uint16_t> values) {
    const int begin = first;
    const int end = begin + static_cast<int>(std::min<std::size_t>(values.size(), registers_end + 1u));
    if (values.empty() || end > registers_end) return Exception::illegal_address;
    std::fill(values.begin(), values.end(), std::uint16_t{0});
    readout_ = instrument_->readout();
    report_ = nullptr;
    for (const Register& entry : readable_registers()) {
        const int words = words_of(entry.coding);
        for (int i = 0; i < entry.times; ++i) {
            const int address = entry.address + i * entry.stride;
            if (address + words <= begin || address >= end) continue;
            if (is_of_corners(entry.content) && report_ == nullptr) report_ = &instrument_->corner_report();
            const std::uint64_t value = value_of(entry, i);
            for (int word = 0; word < words; ++word) {
                const int at = address + word;
                if (at < begin || at >= end) continue;
                values[static_cast<std::size_t>(at - begin)] =
                    static_cast<std::uint16_t>(value >> (16 * (words - 1 - word)) & 0xFFFFu);
            }
        }
    }
    return Exception::none;
}

Exception RegisterMap::read_discrete(std::uint16_t first, std::span<bool> values) {
    if (values.empty() || values.size() > discrete_count || first + values.size() > discrete_count)
        return Exception::illegal_address;
    readout_ = instrument_->readout();
    const std::uint32_t bits = operation_condition(readout_, *instrument_) |
                               static_cast<std::uint32_t>(questionable_condition(readout_, *instrument_))
                                   << 16;
    for (std::size_t i = 0; i < values.size(); ++i) values[i] = (bits >> (first + i) & 1u) != 0;
    return Exception::none;
}

Exception RegisterMap::read_coils(std::uint16_t first, std::span<bool> values) const {
    if (values.empty() || values.size() > coil_count || first + values.size() > coil_count)
        return Exception::illegal_address;
    std::fill(values.begin(), values.end(), false);
    return Exception::none;
}

Written RegisterMap::finish(Refusal refusal) {
    last_refusal_ = refusal;
    return {exception_for(refusal), refusal};
}

Written RegisterMap::refuse(Exception exception) {
    last_refusal_ = Refusal::no_such;
    return {exception, Refusal::no_such};
}

Written RegisterMap::press(KeyCommand command) {
    switch (command) {
        case KeyCommand::none:
            return finish(Refusal::none);
        case KeyCommand::zero:
            return finish(instrument_->zero());
        case KeyCommand::tare:
            return finish(instrument_->tare());
        case KeyCommand::clear_tare:
            return finish(instrument_->clear_tare());
        case KeyCommand::corner_empty:
            return finish(instrument_->corner_empty());
        case KeyCommand::corner_clear:
            instrument_->corner_forget();
            return finish(Refusal::none);
    }
    return refuse(Exception::illegal_value);
}

Written RegisterMap::write(std::uint16_t first, std::span<const std::uint16_t> values) {
    const auto entries = writable_registers();
    const auto entry = std::find_if(entries.begin(), entries.end(), [&](const ActionRegisters& each) {
        return each.address == first && static_cast<std::size_t>(each.words) == values.size();
    });
    if (entry == entries.end()) return refuse(Exception::illegal_address);
    switch (entry->action) {
        case Action::command:
            return press(static_cast<KeyCommand>(values[0]));
        case Action::show_in:
            if (values[0] > static_cast<unsigned>(scale::MassUnit::pound))
                return refuse(Exception::illegal_value);
            return finish(instrument_->show_in(static_cast<scale::MassUnit>(values[0])));
        case Action::preset_tare: {
            const double mass_kg = double_of(values[0], values[1]);
            if (!(mass_kg >= 0.0 && mass_kg <= instrument_->max_kg())) return finish(Refusal::out_of_range);
            return finish(instrument_->preset_tare(mass_kg));
        }
        case Action::corner_load: {
            const double mass_kg = double_of(values[1], values[2]);
            if (values[0] < 1 || values[0] > instrument_->supports()) return finish(Refusal::no_such);
            if (!(mass_kg > 0.0 && mass_kg <= instrument_->max_kg())) return finish(Refusal::out_of_range);
            return finish(instrument_->corner_loaded(values[0] - 1, mass_kg));
        }
    }
    return refuse(Exception::illegal_address);
}

Written RegisterMap::write_coil(std::uint16_t address, bool on) {
    if (address >= coil_count) return refuse(Exception::illegal_address);
    return on ? press(static_cast<KeyCommand>(address + 1)) : finish(Refusal::none);
}

}  // namespace cornerbench::console

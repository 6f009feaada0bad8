#include "sim/bad_days/judge.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

#include <spdlog/fmt/fmt.h>

#include "firmware/console/status_registers.h"
#include "firmware/weighing/division.h"
#include "sim/bad_days/fault_model.h"
#include "sim/virtual_scale/client_registers.h"

namespace cornerbench::bad_days {

namespace {

std::int64_t samples(const scale::Description& d) {
    return std::max<std::int64_t>(1, std::llround(reaction_s * d.rate_Hz));
}

double half_division_kg(const scale::Description& d, scale::MassUnit unit) {
    return 0.5 * weighing::division_in(unit, d.division_kg).value() * scale::kilograms_in(unit);
}

scale::MassUnit unit_of(std::string_view word) {
    if (word == "t" || word == "T") return scale::MassUnit::tonne;
    return word == "lb" || word == "LB" ? scale::MassUnit::pound : scale::MassUnit::kilogram;
}

bool same(const weighing::Calibration& a, const weighing::Calibration& b) {
    return a.zero_ratio == b.zero_ratio && a.kg_per_ratio == b.kg_per_ratio &&
           a.kg_per_ratio2 == b.kg_per_ratio2;
}

std::string_view text_of(const auto& characters) {
    const std::string_view all(characters.data(), characters.size());
    return all.substr(0, all.find('\0'));
}

}  // namespace

Judge::Judge(virtual_scale::VirtualScale& scale, const files::ScaleFile& file,
             const files::Standard& standard)
    : scale_(scale),
      file_(file),
      standard_(standard),
      d_(scale.description()),
      mass_(samples(d_)),
      pressed_(samples(d_)),
      signal_(samples(d_)) {
    calibration_changed();
    believed_ = false;
    for (std::int64_t i = samples(d_); i > 0; --i) {
        scale_.frame();
        frame(false);
    }
    empty_kg_ = channel_kg_;
}

void Judge::calibration_changed() {
    const Indicator& indicator = scale_.indicator();
    calibration_ = indicator.calibration();
    for (int i = 0; i < scale::max_cells; ++i) gain_[static_cast<std::size_t>(i)] = indicator.corner_gain(i);
    changes_ = indicator.calibration_changes();
    believed_ = true;
    // What was weighed by the old one is no measure of the new one.
    signal_ = SlidingRange(samples(d_));
    zeros_.forget();
}

double Judge::limit_kg(double load_kg) const {
    const double divisions = std::fabs(load_kg) / d_.division_kg;
    return d_.division_kg * standard_.limit_divisions(file_.accuracy_class, files::Stage::service, divisions);
}

/// What reaches the converter as a weight, by the calibration in force, before any zero.
double Judge::signal_kg(const world::Truth& truth) {
    if (d_.converter != scale::Converter::per_cell) return calibration_.weight_kg(truth.output.ratio);
    double ratio = 0.0;
    for (std::size_t i = 0; i < static_cast<std::size_t>(d_.cell_count()); ++i) {
        channel_kg_[i] = gain_[i] * truth.output.channel[i] * calibration_.kg_per_ratio;
        ratio += gain_[i] * truth.output.channel[i];
    }
    return calibration_.weight_kg(ratio);
}

Judge::Span Judge::loads() const {
    const TrueZero& zero = zeros_.now();
    return {std::fmin(mass_.low(), pressed_.low()) - zero.high_kg,
            std::fmax(mass_.high(), pressed_.high()) - zero.low_kg};
}

Judge::Span Judge::signals() const {
    const double offset_kg = scale_.indicator().zero_offset_kg();
    return {signal_.low() - offset_kg, signal_.high() - offset_kg};
}

bool Judge::outside(const Span& span, double gross_kg, double slack_kg) const {
    return gross_kg < span.low_kg - limit_kg(span.low_kg) - slack_kg ||
           gross_kg > span.high_kg + limit_kg(span.high_kg) + slack_kg;
}

void Judge::blame(const std::string& what) {
    if (wrong_.empty()) wrong_ = fmt::format("{}, at {:.2f} s", what, scale_.time_s());
}

void Judge::frame(bool excused) {
    const world::Truth truth = scale_.world().truth();
    now_kg_ = {std::fmin(truth.mass_on_deck_kg, truth.pressed_kg),
               std::fmax(truth.mass_on_deck_kg, truth.pressed_kg)};
    mass_.push(truth.mass_on_deck_kg);
    pressed_.push(truth.pressed_kg);
    signal_.push(signal_kg(truth));
    if (excused) excused_until_s_ = scale_.time_s() + reaction_s;
    excused_ = believed_ || scale_.time_s() < excused_until_s_;
    if (!scale_.powered()) {
        wrong_since_s_ = -1.0;
        return;
    }
    const Indicator& indicator = scale_.indicator();
    if (!scale_.board().supervisor.seal_open() && indicator.calibrated() && !indicator.storing() &&
        (indicator.calibration_changes() != changes_ || !same(indicator.calibration(), calibration_)))
        blame("the calibration changed behind a closed seal");
    follow_zero();
    judge_panel();
}

void Judge::follow_zero() {
    const Indicator& indicator = scale_.indicator();
    if (!indicator.calibrated() || !indicator.weigher().zero_established()) return;
    const Span now{std::fmin(mass_.low(), pressed_.low()), std::fmax(mass_.high(), pressed_.high())};
    const TrueZero here{
        indicator.zero_offset_kg(), now.low_kg, now.high_kg, mass_.low(), mass_.high(), !excused_};
    const weighing::Readout& r = indicator.readout();
    const bool at_nothing = r.has_weight() && r.stable && r.gross_kg == 0.0;
    if (zeros_.empty()) {
        zeros_.set(here);
    } else if (at_nothing && std::fabs(here.offset_kg - zeros_.now().offset_kg) > 0.05 * d_.division_kg) {
        zeros_.set(here);
    } else {
        zeros_.now().follow(here, d_.division_kg);
        zeros_.now().sound = zeros_.now().sound && !excused_;
    }
    if (!indicator.storing() && indicator.kept().zero_known)
        zeros_.kept(indicator.kept().zero_offset_kg, 0.3 * d_.division_kg);
    sound_ = zeros_.now().sound && !excused_;
}

void Judge::power_on() {
    picture_ = {};
    panel_counts_ = false;
    const Indicator& indicator = scale_.indicator();
    if (!indicator.calibrated() || zeros_.empty()) return;
    if (!zeros_.came_back(indicator.kept().zero_offset_kg, 0.3 * d_.division_kg))
        blame(fmt::format("power came back with a zero of {:.1f} kg that is none of those it may have",
                          indicator.kept().zero_offset_kg));
}

void Judge::judge(double value_kg, bool net, double half_kg, std::string_view where) {
    if (zeros_.empty()) return;
    ++judged_;
    const double gross_kg = net ? value_kg + scale_.indicator().readout().tare_kg : value_kg;
    const Span truly = loads();
    if (sound_) {
        if (outside(truly, gross_kg, half_kg))
            blame(fmt::format("{}: {:.1f} kg under {:.1f} to {:.1f} kg", where, gross_kg, truly.low_kg,
                              truly.high_kg));
        return;
    }
    const Span said = signals();
    if (outside(said, gross_kg, half_kg))
        blame(fmt::format("{}: {:.1f} kg where the signal says {:.1f} to {:.1f} kg", where, gross_kg,
                          said.low_kg, said.high_kg));
    if (outside(truly, gross_kg, half_kg)) excuse(gross_kg, truly);
}

/// Notes how wrong it is, and whether another load explains what was read.
void Judge::excuse(double gross_kg, const Span& truly) {
    if (d_.converter == scale::Converter::per_cell && !believed_) {
        if (!other_) other_.emplace(d_);
        std::array<double, scale::max_cells> change_kg{};
        for (std::size_t i = 0; i < change_kg.size(); ++i) change_kg[i] = channel_kg_[i] - empty_kg_[i];
        const double missed_kg = other_->unexplained_kg(change_kg);
        unexplained_d_ = std::fmax(unexplained_d_, missed_kg / d_.division_kg);
        if (missed_kg > 0.5 * d_.division_kg)
            blame(
                fmt::format("{:.1f} kg under {:.1f} to {:.1f} kg, and no load on a sound scale explains what "
                            "the channels say, by {:.1f} kg",
                            gross_kg, truly.low_kg, truly.high_kg, missed_kg));
    }
    const double error_kg = gross_kg > truly.high_kg ? gross_kg - truly.high_kg : gross_kg - truly.low_kg;
    if (std::fabs(error_kg) / d_.division_kg <= std::fabs(excused_error_d_)) return;
    excused_error_d_ = error_kg / d_.division_kg;
    excused_load_d_ = (gross_kg - error_kg) / d_.division_kg;
    excused_sound_d_ = (limit_kg(gross_kg - error_kg) + limit_kg(gross_kg)) / d_.division_kg + 1.0;
}

void Judge::judge_panel() {
    const hal::PanelPicture& picture = scale_.board().panel.picture();
    if (!(picture == picture_)) {
        picture_ = picture;
        const std::string digits(text_of(picture.digits));
        panel_counts_ = !digits.empty() && (picture.lights & hal::light_stable) != 0 &&
                        (picture.lights & hal::light_degraded) == 0;
        const scale::MassUnit unit = unit_of(text_of(picture.unit));
        panel_value_kg_ = std::strtod(digits.c_str(), nullptr) * scale::kilograms_in(unit);
        panel_half_kg_ = half_division_kg(d_, unit);
    }
    if (!panel_counts_) {
        wrong_since_s_ = -1.0;
        return;
    }
    const bool net = (picture_.lights & hal::light_net) != 0;
    judge(panel_value_kg_, net, panel_half_kg_, "panel");
    if (!sound_ || zeros_.empty()) return;
    const double gross_kg = net ? panel_value_kg_ + scale_.indicator().readout().tare_kg : panel_value_kg_;
    const Span now{now_kg_.low_kg - zeros_.now().high_kg, now_kg_.high_kg - zeros_.now().low_kg};
    if (!outside(now, gross_kg, panel_half_kg_)) {
        wrong_since_s_ = -1.0;
        return;
    }
    if (wrong_since_s_ < 0.0) wrong_since_s_ = scale_.time_s();
    longest_s_ = std::fmax(longest_s_, scale_.time_s() - wrong_since_s_);
}

void Judge::sent(std::string_view line) {
    std::array<std::string, 12> field;
    std::size_t at = 0;
    for (const char c : line) {
        if (c == ',' && ++at == field.size()) return;
        if (c != ',' && c != '\r' && c != '\n') field[at] += c;
    }
    const bool counts = at + 1 == field.size() && field[6] == "1" && field[8] == "0" && field[9] == "0";
    if (!counts) return;
    const scale::MassUnit unit = unit_of(field[4]);
    const auto kg = [&](const std::string& text) {
        return std::strtod(text.c_str(), nullptr) * scale::kilograms_in(unit);
    };
    const double half_kg = half_division_kg(d_, unit);
    judge(kg(field[1]), false, half_kg, "console, gross");
    judge(kg(field[2]) + kg(field[3]), false, 2.0 * half_kg, "console, net and tare");
}

void Judge::read_registers() {
    if (!scale_.powered()) return;
    // As a client does it: a recording has its question, and the ports that are asked for the answer.
    const auto answer =
        virtual_scale::ClientRegisters(scale_).ask({virtual_scale::RegisterDeed::read, 0, 16, {}});
    if (answer.exception != console::Exception::none) return blame("registers cannot be read");
    const auto& r = answer.values;
    const bool in_motion = (r[13] & console::operation_motion) != 0;
    const bool degraded = (r[14] & console::questionable_degraded) != 0;
    if (r[1] != 1 || in_motion || degraded) return;
    const auto unit = static_cast<scale::MassUnit>(r[4]);
    const auto kg = [&](std::size_t first) {
        const auto whole =
            static_cast<std::int32_t>(static_cast<std::uint32_t>(r[first]) << 16U | r[first + 1]);
        return static_cast<double>(whole) / std::pow(10.0, r[5]) * scale::kilograms_in(unit);
    };
    const double half_kg = half_division_kg(d_, unit);
    judge(kg(6), false, half_kg, "registers, gross");
    judge(kg(8) + kg(10), false, 2.0 * half_kg, "registers, net and tare");
}

}  // namespace cornerbench::bad_days

#include "sim/page/page_drill.h"

#include <algorithm>

#include "sim/field/ranked_sheet.h"
#include "sim/training/drill_level.h"

namespace cornerbench::page {

using diagnosis::Reading;

namespace {

std::vector<scale::Fault> faults_in(const Bench& bench) {
    std::vector<scale::Fault> faults;
    for (const Bench::Present& each : bench.faults()) faults.push_back(each.fault);
    return faults;
}

/// A cause by two numbers of a call.
std::optional<scale::Fault> fault_named(const scale::Description& d, double cause_number, double place) {
    if (!(cause_number >= 1.0 && cause_number < scale::cause_count)) return std::nullopt;
    scale::Fault fault;
    fault.cause = static_cast<scale::Cause>(static_cast<int>(cause_number));
    const bool such = fault.cause != scale::Cause::unlisted && scale::possible(d, fault.cause);
    if (!such || !(place >= 0.0 && place < scale::site_count(d, fault.cause))) return std::nullopt;
    fault.site = scale::site_at(d, fault.cause, static_cast<int>(place));
    fault.variant = scale::variant_at(d, fault.cause, 0);
    return fault;
}

}  // namespace

diagnosis::Sheet sheet_of(std::span<const Reading> readings, bool zeroed_since) {
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    sheet.zeroed = zeroed_since ? diagnosis::Zeroed::now : diagnosis::Zeroed::before;
    return sheet;
}

DrillClock clock_of(std::span<const Reading> readings, std::span<const Bench::Probed> probed) {
    DrillClock clock;
    std::size_t next = 0;
    const auto take = [&](const Reading& reading) {
        const double minutes = field::minutes_of(reading, clock.from, {});
        clock.minutes += minutes;
        clock.from = field::after(reading, clock.from);
        return minutes;
    };
    const auto hold_probes = [&](std::size_t after) {
        for (; next < probed.size() && probed[next].after == after; ++next) take(probed[next].as_long_as);
    };
    for (std::size_t i = 0; i < readings.size(); ++i) {
        hold_probes(i);
        if (clock.steps.empty() && readings[i].quantity == diagnosis::Quantity::weight)
            ++clock.complaint_readings;
        else
            clock.steps.push_back({readings[i], take(readings[i])});
    }
    hold_probes(readings.size());
    return clock;
}

std::optional<double> probe_minutes(const Bench& bench, double terminal_a, double terminal_b) {
    const auto reading = bench.as_long_as(terminal_a, terminal_b);
    if (!reading) return std::nullopt;
    return field::minutes_of(*reading, clock_of(bench.readings(), bench.probed()).from, {});
}

std::optional<training::Hint> hint_for(const scale::Description& d, const diagnosis::Sheet& sheet) {
    const field::DiagnosedSheet ranked = field::ranked_sheet(d, sheet, diagnosis::default_priors(d));
    if (ranked.candidates.empty()) return std::nullopt;
    const field::CheckMinutes minutes;
    const field::Workplace from = clock_of(sheet.readings).from;
    return training::hint_for({d, sheet, ranked, minutes, from});
}

std::optional<training::Against> against(const scale::Description& d, const diagnosis::Sheet& sheet,
                                         int cause, int site) {
    const field::DiagnosedSheet ranked = field::ranked_sheet(d, sheet, diagnosis::default_priors(d));
    const auto named =
        std::find_if(ranked.candidates.begin(), ranked.candidates.end(), [&](const diagnosis::Candidate& c) {
            return !c.two_at_once() && scale::index_of(c.fault.cause) == cause &&
                   scale::site_at(d, c.fault.cause, site) == c.fault.site;
        });
    if (named == ranked.candidates.end()) return std::nullopt;
    return training::what_speaks_against(d, sheet, ranked, *named);
}

std::optional<training::CallVerdict> verdict_of(const Bench& bench,
                                                const std::array<double, max_deed_numbers>& number) {
    const scale::Description& d = bench.description();
    std::vector<scale::Fault> named;
    for (const std::size_t i : {0U, 2U}) {
        if (number[i] == 0.0) break;
        const auto fault = fault_named(d, number[i], number[i + 1]);
        if (!fault) return std::nullopt;
        named.push_back(*fault);
    }
    const std::vector<scale::Fault> hidden = faults_in(bench);
    const diagnosis::Sheet sheet = sheet_of(bench.readings(), number[4] != 0.0);
    const field::CheckMinutes minutes;
    const field::Workplace from = clock_of(bench.readings(), bench.probed()).from;
    std::optional<field::DiagnosedSheet> ranked;
    return training::verdict_of({d, sheet, hidden, minutes, from}, named,
                                [&]() -> const field::DiagnosedSheet& {
                                    ranked = field::ranked_sheet(d, sheet, diagnosis::default_priors(d));
                                    return *ranked;
                                });
}

training::DrillScore score_of(const Bench& bench, const diagnosis::Sheet& sheet, bool right, int hints,
                              int wrong_calls) {
    const DrillClock clock = clock_of(sheet.readings, bench.probed());
    const std::vector<scale::Fault> hidden = faults_in(bench);
    training::DrillSetting setting;
    setting.seed = bench.seed();
    if (bench.drill_level() > 0) setting.setting = training::setting_of(bench.drill_level());
    setting.priors = diagnosis::default_priors(bench.description());
    const training::DrillRecord record{
        bench.description(),
        sheet,
        clock.complaint_readings,
        clock.steps,
        clock.minutes,
        hidden,
        setting,
        hints,
        wrong_calls,
        right && training::is_guess(field::ranked_sheet(bench.description(), sheet, setting.priors), hidden)};
    return training::score_of(record, right);
}

}  // namespace cornerbench::page

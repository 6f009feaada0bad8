#include "sim/page/page_drill.h"

#include <algorithm>

#include "sim/field/ranked_sheet.h"

namespace cornerbench::page {

using diagnosis::Reading;

namespace {

field::Workplace left_by(std::span<const Reading> readings) {
    field::Workplace from;
    for (const Reading& reading : readings) from = field::after(reading, from);
    return from;
}

}  // namespace

diagnosis::Sheet sheet_of(std::span<const Reading> readings, bool zeroed_since) {
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    sheet.zeroed = zeroed_since ? diagnosis::Zeroed::now : diagnosis::Zeroed::before;
    return sheet;
}

DrillClock clock_of(std::span<const Reading> readings) {
    DrillClock clock;
    field::Workplace from;
    for (const Reading& reading : readings) {
        const bool complaint = clock.steps.empty() && reading.quantity == diagnosis::Quantity::weight;
        if (complaint) {
            ++clock.complaint_readings;
            continue;
        }
        const double minutes = field::minutes_of(reading, from, {});
        from = field::after(reading, from);
        clock.steps.push_back({reading, minutes});
        clock.minutes += minutes;
    }
    return clock;
}

std::optional<training::Hint> hint_for(const scale::Description& d, const diagnosis::Sheet& sheet) {
    const field::DiagnosedSheet ranked = field::ranked_sheet(d, sheet, diagnosis::default_priors(d));
    if (ranked.candidates.empty()) return std::nullopt;
    const field::CheckMinutes minutes;
    const field::Workplace from = left_by(sheet.readings);
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

training::DrillScore score_of(const Bench& bench, const diagnosis::Sheet& sheet, bool right, int hints,
                              int wrong_calls) {
    const DrillClock clock = clock_of(sheet.readings);
    std::vector<scale::Fault> hidden;
    for (const Bench::Present& each : bench.faults()) hidden.push_back(each.fault);
    training::DrillSetting setting;
    setting.seed = bench.seed();
    setting.priors = diagnosis::default_priors(bench.description());
    const training::DrillRecord record{bench.description(),
                                       sheet,
                                       clock.complaint_readings,
                                       clock.steps,
                                       clock.minutes,
                                       hidden,
                                       setting,
                                       hints,
                                       wrong_calls};
    return training::score_of(record, right);
}

}  // namespace cornerbench::page

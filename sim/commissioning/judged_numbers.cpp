#include "sim/commissioning/judged_numbers.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::commissioning {

namespace {

constexpr double slack_share = 1.0e-9;

double with_slack(double limit) {
    return limit + slack_share * (1.0 + limit);
}

Verdict verdict_of(double value, double uncertainty, double turns_at) {
    const double size = std::fabs(value);
    if (size + uncertainty <= with_slack(turns_at)) return Verdict::passes;
    return size - uncertainty > with_slack(turns_at) ? Verdict::fails : Verdict::uncertain;
}

/// The lines with the smallest and the largest error, which are two even where all are equal.
struct Extremes {
    const LinearForm* low = nullptr;
    const LinearForm* high = nullptr;
    double shown_low = 0.0;
    double shown_high = 0.0;
    int read = 0;
};

Extremes extremes_of(const files::TestSheet& sheet, const SheetForms& forms,
                     const std::vector<std::size_t>& lines) {
    Extremes e;
    for (const std::size_t i : lines) {
        const auto& form = forms.lines[i].error;
        if (!form) continue;
        const double shown = sheet.lines[i].indication_kg.value_or(0.0) - sheet.lines[i].load_kg;
        if (e.low == nullptr || form->value() < e.low->value()) e.low = &*form;
        if (e.high == nullptr || form->value() >= e.high->value()) e.high = &*form;
        e.shown_low = e.read == 0 ? shown : std::min(e.shown_low, shown);
        e.shown_high = e.read == 0 ? shown : std::max(e.shown_high, shown);
        ++e.read;
    }
    return e;
}

/// A spread of what was shown is a fact; uncertain is whether the same results would show it once more. Two
/// shown weights lie apart by less than a division more or less than the two results do.
Verdict shown_verdict(double shown, double before_rounding, double uncertainty, double limit,
                      double division) {
    if (shown <= with_slack(limit))
        return before_rounding + uncertainty <= with_slack(limit + division) ? Verdict::passes
                                                                             : Verdict::uncertain;
    return before_rounding - uncertainty > with_slack(limit) ? Verdict::fails : Verdict::uncertain;
}

double division_of(const files::TestSheet& sheet, const std::vector<std::size_t>& lines) {
    double division = 0.0;
    for (const std::size_t i : lines)
        division = std::max(division, sheet.scale.description.division_at_kg(sheet.lines[i].load_kg));
    return division;
}

Judged spread_with(const files::TestSheet& sheet, const Extremes& e, const std::vector<std::size_t>& lines,
                   double uncertainty, double limit, bool shown_counts) {
    const double before_rounding = e.high->value() - e.low->value();
    Judged judged{before_rounding, uncertainty, limit, verdict_of(before_rounding, uncertainty, limit),
                  limit};
    if (shown_counts) {
        judged.value = e.shown_high - e.shown_low;
        judged.verdict =
            shown_verdict(judged.value, before_rounding, uncertainty, limit, division_of(sheet, lines));
    }
    // What is still to be read can only widen it.
    if (e.read < static_cast<int>(lines.size()) && judged.verdict != Verdict::fails)
        judged.verdict = Verdict::not_done;
    return judged;
}

}  // namespace

Judged judged_of(const LinearForm& form, double limit, double turns_at) {
    Judged judged{form.value(), coverage * form.uncertainty(), limit};
    judged.verdict = verdict_of(judged.value, judged.uncertainty, turns_at);
    judged.turns_at = turns_at;
    return judged;
}

double badness(const Judged& judged) {
    const double rank = judged.verdict == Verdict::fails       ? 2.0e6
                        : judged.verdict == Verdict::uncertain ? 1.0e6
                                                               : 0.0;
    return rank + (judged.limit > 0.0 ? std::fabs(judged.value) / judged.limit : std::fabs(judged.value));
}

Judged spread_of(const files::TestSheet& sheet, const SheetForms& forms,
                 const std::vector<std::size_t>& lines, double limit, bool shown_counts) {
    const Extremes e = extremes_of(sheet, forms, lines);
    if (e.read < 2) return {};
    LinearForm difference = *e.high;
    difference.plus(*e.low, -1.0);
    return spread_with(sheet, e, lines, coverage * difference.uncertainty(), limit, shown_counts);
}

Judged repeated_spread_of(const files::TestSheet& sheet, const SheetForms& forms,
                          const std::vector<std::size_t>& lines, double limit, bool shown_counts) {
    const Extremes e = extremes_of(sheet, forms, lines);
    if (e.read < 2) return {};
    double step = 0.0;
    for (const std::size_t i : lines) {
        const double division = sheet.scale.description.division_at_kg(sheet.lines[i].load_kg);
        if (!sheet.lines[i].added_kg && shown_counts) continue;
        step = std::max(
            step, division * (sheet.lines[i].added_kg ? sheet.uncertainties.added_step_divisions : 1.0));
    }
    // Two even spreads: sqrt(2 / 12).
    return spread_with(sheet, e, lines, coverage * step * std::sqrt(1.0 / 6.0), limit, shown_counts);
}

}  // namespace cornerbench::commissioning

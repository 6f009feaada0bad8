#include "firmware/diagnosis/corner_check.h"

namespace cornerbench::diagnosis {

namespace {

/// Sections stand one after the other, on something.
bool can_stand(const CornerScale& scale) {
    const scale::Deck& deck = scale.deck;
    if (deck.sections < 2 || deck.sections > scale::max_sections) return false;
    for (int s = 1; s < deck.sections; ++s) {
        if (!(deck.section_x_m[s] > deck.section_x_m[s - 1])) return false;
    }
    return deck.width_m > 0.0 && scale.support_stiffness_N_per_m > 0.0 && scale.gravity > 0.0;
}

}  // namespace

void CornerCheck::end_with(CornerError error) {
    report_.error = error;
    judge_.reset();
    if (error != CornerError::none) {
        report_.count = 0;
    } else if (report_.count > 0) {
        report_.verdict = CornerVerdict::not_alike;
    } else if (report_.unjudged == 0) {
        report_.verdict = CornerVerdict::alike;
    }
}

void CornerCheck::begin(const CornerScale& scale, const CornerReadings& readings,
                        const ChannelReadings* channels) {
    report_ = {};
    if (!can_stand(scale)) return end_with(CornerError::no_scale);
    judge_.emplace(scale, readings, channels, likelihood_, report_);
    report_.error = judge_->begin();
    if (report_.error != CornerError::working) end_with(report_.error);
}

bool CornerCheck::step() {
    if (!working()) return false;
    const CornerError error = judge_->step();
    if (error != CornerError::working) end_with(error);
    return working();
}

const CornerReport& CornerCheck::report() const {
    static constexpr CornerReport still_working = [] {
        CornerReport report;
        report.error = CornerError::working;
        return report;
    }();
    return working() ? still_working : report_;
}

CornerReport CornerCheck::judge(const CornerScale& scale, const CornerReadings& readings,
                                const ChannelReadings* channels) {
    begin(scale, readings, channels);
    while (step()) {
    }
    return report_;
}

}  // namespace cornerbench::diagnosis

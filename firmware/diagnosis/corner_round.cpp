#include "firmware/diagnosis/corner_round.h"

namespace cornerbench::diagnosis {

CornerRound::CornerRound(const CornerScale& scale, int channels)
    : scale_(scale), with_channels_(channels > 1 && channels == scale.supports()) {
    forget();
}

void CornerRound::forget() {
    // The first reading of a round is of the empty deck, so it does not matter when zero was set.
    readings_ = CornerReadings(scale_.supports(), Zeroed::before);
    channels_ = ChannelReadings(scale_.supports());
    judged_ = false;
}

CornerError CornerRound::add_empty(double gross_kg, std::span<const double> channel_kg) {
    judged_ = false;
    const CornerError error = readings_.add_empty(gross_kg);
    if (error != CornerError::none || !with_channels_) return error;
    for (std::size_t i = 0; i < channel_kg.size(); ++i) {
        const CornerError bad = channels_.add_empty(static_cast<int>(i), channel_kg[i]);
        if (bad != CornerError::none) return bad;
    }
    return CornerError::none;
}

CornerError CornerRound::add_loaded(int support, double mass_kg, double gross_kg,
                                    std::span<const double> channel_kg) {
    judged_ = false;
    const CornerError error = readings_.add_loaded(support, mass_kg, gross_kg);
    if (error != CornerError::none || !with_channels_) return error;
    for (std::size_t i = 0; i < channel_kg.size(); ++i) {
        const CornerError bad = channels_.add_loaded(support, mass_kg, static_cast<int>(i), channel_kg[i]);
        if (bad != CornerError::none) return bad;
    }
    return CornerError::none;
}

const CornerReport& CornerRound::report() {
    if (!judged_) report_ = check_.judge(scale_, readings_, with_channels_ ? &channels_ : nullptr);
    judged_ = true;
    return report_;
}

}  // namespace cornerbench::diagnosis

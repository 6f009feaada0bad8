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
    judge_anew();
}

CornerError CornerRound::add_empty(double gross_kg, std::span<const double> channel_kg) {
    CornerError error = readings_.add_empty(gross_kg);
    for (std::size_t i = 0; i < channel_kg.size() && with_channels_ && error == CornerError::none; ++i)
        error = channels_.add_empty(static_cast<int>(i), channel_kg[i]);
    judge_anew();
    return error;
}

CornerError CornerRound::add_loaded(int support, double mass_kg, double gross_kg,
                                    std::span<const double> channel_kg) {
    CornerError error = readings_.add_loaded(support, mass_kg, gross_kg);
    for (std::size_t i = 0; i < channel_kg.size() && with_channels_ && error == CornerError::none; ++i)
        error = channels_.add_loaded(support, mass_kg, static_cast<int>(i), channel_kg[i]);
    judge_anew();
    return error;
}

}  // namespace cornerbench::diagnosis

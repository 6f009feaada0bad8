#include "sim/world/converter_model.h"

#include <cmath>

#include "firmware/numbers/elementary.h"
#include "firmware/numbers/sine.h"
#include "sim/world/random_stream.h"

namespace cornerbench::world {

hal::ConverterTraits converter_traits(const scale::Description& d) {
    hal::ConverterTraits traits;
    traits.channels = d.converter == scale::Converter::per_cell ? d.cell_count() : 1;
    traits.bits = d.converter_bits;
    traits.rate_mHz = static_cast<std::int64_t>(std::floor(1000.0 * d.rate_Hz + 0.5));
    traits.full_scale_V_per_V = d.full_scale_V_per_V;
    return traits;
}

ConverterModel::ConverterModel(const scale::Description& d, const Surroundings& surroundings,
                               std::uint64_t seed)
    : traits_(converter_traits(d)),
      codes_per_ratio_(std::ldexp(1.0, d.converter_bits - 1) / d.full_scale_V_per_V),
      last_code_(std::ldexp(1.0, d.converter_bits - 1) - 1.0),
      noise_V_(d.noise_V_rms),
      noise_(seed, converter_stream) {
    mains_turn_ = field::RandomSource(seed, mains_stream).share();
    change(surroundings);
}

void ConverterModel::change(const Surroundings& surroundings) {
    mains_ = surroundings.mains;
    const double turns = mains_.frequency_Hz / (1.0e-3 * static_cast<double>(traits_.rate_mHz));
    mains_step_ = turns - std::floor(turns);
    if (!surroundings.converter_noise) noise_V_ = 0.0;
}

double ConverterModel::pick_up_V() {
    if (mains_.amplitude_V == 0.0) return 0.0;
    mains_turn_ += mains_step_;
    if (mains_turn_ >= 1.0) mains_turn_ -= 1.0;
    return mains_.amplitude_V * numbers::sin(2.0 * numbers::pi * mains_turn_);
}

void ConverterModel::convert_channel(int channel, double ratio, double disturbance_V,
                                     const circuit::BoxOutput& input) {
    const auto i = static_cast<std::size_t>(channel);
    if (noise_V_ > 0.0) disturbance_V += noise_V_ * noise_.next();
    if (input.reference_missing) {
        frame_.code[i] = 0;
        frame_.fault[i] = hal::sample_reference_missing;
        return;
    }
    const double code = std::floor(codes_per_ratio_ * (ratio + disturbance_V / input.reference_V) + 0.5);
    frame_.fault[i] = hal::sample_good;
    if (code > last_code_) {
        frame_.code[i] = static_cast<std::int32_t>(last_code_);
        frame_.fault[i] = hal::sample_over_range;
    } else if (code < -last_code_ - 1.0) {
        frame_.code[i] = static_cast<std::int32_t>(-last_code_ - 1.0);
        frame_.fault[i] = hal::sample_over_range;
    } else {
        frame_.code[i] = static_cast<std::int32_t>(code);
    }
}

const hal::Frame& ConverterModel::convert(const circuit::BoxOutput& input) {
    ++count_;
    frame_.sequence = static_cast<std::uint32_t>(count_ - 1);
    // In two parts, so that years at a high rate do not overflow.
    frame_.taken_us = count_ / traits_.rate_mHz * 1'000'000'000 +
                      count_ % traits_.rate_mHz * 1'000'000'000 / traits_.rate_mHz;
    const double pick_up = pick_up_V();
    if (traits_.channels == 1) {
        convert_channel(0, input.ratio, pick_up, input);
    } else {
        for (int c = 0; c < traits_.channels; ++c)
            convert_channel(c, input.channel[static_cast<std::size_t>(c)], pick_up, input);
    }
    frame_.check = hal::check_of(frame_, traits_.channels);
    return frame_;
}

}  // namespace cornerbench::world

#include "firmware/diagnosis/corner_sum.h"

#include <cmath>

namespace cornerbench::diagnosis {

namespace {

/// What box, home run and span may do to all corners alike, relative: an open pair of signal wires leaves the
/// other cells of a small scale a third too strong. Wide, for it says nothing of one corner.
constexpr double common_uncertainty = 0.5;

constexpr double square(double x) {
    return x * x;
}

}  // namespace

double variance_kg2(const ReadingMean& mean, const CornerScale& scale) {
    return square(scale.repeatability_kg) / mean.count + square(scale.resolution_kg) / 12.0;
}

PerSupport CornerSum::mass_kg() const {
    PerSupport mass_kg{};
    for (int i = 0; i < scale_.supports(); ++i) {
        mass_kg[i] = readings_.corner(i).mass_kg;
        if (mass_kg[i] == 0.0 && channels_ != nullptr) mass_kg[i] = channels_->mass_kg(i);
    }
    return mass_kg;
}

bool CornerSum::has_zero() const {
    if (readings_.returned().count > 0 || readings_.zeroed() == Zeroed::now) return true;
    for (int i = 0; i < scale_.supports(); ++i) {
        const CornerReading& corner = readings_.corner(i);
        if (corner.mass_kg > 0.0 && !corner.zero_known) return false;
    }
    return true;
}

void CornerSum::take(CornerLikelihood& likelihood) const {
    likelihood.begin_rows(common_uncertainty);
    const int n = scale_.supports();
    const double one_reading = variance_kg2({0.0, 1}, scale_);
    for (int i = 0; i < n; ++i) {
        const CornerReading& corner = readings_.corner(i);
        if (corner.mass_kg > 0.0) {
            const double mass_kg = corner.mass_kg;
            const ReadingMean& read = corner.loaded.count > 0 ? corner.loaded : corner.unloading;
            double zero_kg = corner.zero_kg;
            double zero_variance = one_reading;
            if (!corner.zero_known && readings_.returned().count > 0) {
                zero_kg = readings_.returned().kg();
            } else if (!corner.zero_known) {
                zero_variance = square(scale_.zero_kg);
            }
            const double own = variance_kg2(read, scale_) + (corner.own_zero ? zero_variance : 0.0);
            likelihood.add_row({i, (read.kg() - zero_kg) / mass_kg, own / square(mass_kg),
                                corner.own_zero ? 0.0 : std::sqrt(zero_variance) / mass_kg});
        } else if (channels_ != nullptr && channels_->whole_row(i)) {
            const double mass_kg = channels_->mass_kg(i);
            double sum_kg = 0.0;
            for (int c = 0; c < n; ++c) sum_kg += channels_->change_kg(i, c);
            const double noise = n * square(scale_.channel_kg / mass_kg);
            // In kg by rated output: nobody has trimmed that sum.
            likelihood.add_row({i, sum_kg / mass_kg, noise + square(scale_.channel_gain), std::sqrt(noise)});
        }
    }
}

}  // namespace cornerbench::diagnosis

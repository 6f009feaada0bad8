#include "firmware/diagnosis/trim_spread.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/dense.h"

namespace cornerbench::diagnosis {

namespace {

/// Mean range of n independent standard normal numbers, n = 2 to 16: the d2 of control charts (Tippett 1925;
/// as in ISO 7870-2; from memory).
constexpr double mean_range[] = {1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.970,
                                 3.078, 3.173, 3.258, 3.336, 3.407, 3.472, 3.532};

/// The range that 95 of 100 do not exceed: upper 5 % points of the studentized range at infinitely many
/// degrees of freedom (from memory).
constexpr double range_95[] = {2.772, 3.314, 3.633, 3.858, 4.030, 4.170, 4.286, 4.387,
                               4.474, 4.552, 4.622, 4.685, 4.743, 4.796, 4.845};

/// Collects independent causes of differences between corners.
class Differences {
  public:
    explicit Differences(const CornerSlopes& slopes) : slopes_(slopes) {}

    /// One standard deviation of one cause changes each corner by `relative`.
    void add(const PerCell& relative) {
        double mean = 0.0;
        for (unsigned i = 0; i < size(); ++i) mean += relative[i] / slopes_.n;
        for (unsigned i = 0; i < size(); ++i) sum_ += (relative[i] - mean) * (relative[i] - mean);
    }

    /// The same, of a change of the cells' logarithmic gains.
    void add_gains(const PerCell& log_gain) { add(corners(log_gain)); }

    PerCell corners(const PerCell& log_gain) const {
        PerCell relative{};
        for (unsigned i = 0; i < size(); ++i) {
            for (unsigned k = 0; k < size(); ++k) {
                relative[i] += slopes_.per_log_gain[i * size() + k] * log_gain[k];
            }
        }
        return relative;
    }

    /// As if the differences were independent with one variance: what they share goes with their mean.
    Spread spread(double reference_kg) const {
        const double sd_kg = std::sqrt(sum_ / (slopes_.n - 1)) * reference_kg;
        const auto at = static_cast<unsigned>(std::clamp(slopes_.n, 2, scale::max_cells) - 2);
        return {mean_range[at] * sd_kg, range_95[at] * sd_kg};
    }

    unsigned size() const { return static_cast<unsigned>(slopes_.n); }

  private:
    const CornerSlopes& slopes_;
    double sum_ = 0.0;
};

/// Column `k` of the root of the gains' covariance, one independent cause.
bool root_of(const CellMatrix& covariance, int n, CellMatrix& root) {
    root = covariance;
    const auto size = static_cast<unsigned>(n);
    return numbers::cholesky(std::span(root).first(size * size), n);
}

PerCell root_column(const CellMatrix& root, unsigned size, unsigned k) {
    PerCell column{};
    for (unsigned i = k; i < size; ++i) column[i] = root[i * size + k];
    return column;
}

PerCell only(unsigned at, double value) {
    PerCell one{};
    one[at] = value;
    return one;
}

void add_gain_errors(const TrimUnknowns& unknowns, Differences& differences) {
    CellMatrix root;
    const unsigned n = differences.size();
    if (!root_of(*unknowns.gain_covariance, static_cast<int>(n), root)) return;
    for (unsigned k = 0; k < n; ++k) differences.add_gains(root_column(root, n, k));
}

}  // namespace

Spread spread_of_readings(const CornerSlopes& slopes, const TrimUnknowns& unknowns, double reference_kg) {
    Differences differences(slopes);
    add_gain_errors(unknowns, differences);
    return differences.spread(reference_kg);
}

double expected_between(const Spread& all, int of, int count) {
    if (count < 2) return 0.0;
    const auto at = [](int corners) {
        return static_cast<unsigned>(std::clamp(corners, 2, scale::max_cells) - 2);
    };
    return all.expected_kg * mean_range[at(count)] / mean_range[at(of)];
}

Spread spread_by_position(const CornerSlopes& slopes, const TrimUnknowns& unknowns, double reference_kg) {
    Differences differences(slopes);
    add_gain_errors(unknowns, differences);
    for (unsigned i = 0; i < differences.size(); ++i) {
        differences.add_gains(only(i, unknowns.setting[i]));
        differences.add_gains(only(i, unknowns.model[i]));
    }
    return differences.spread(reference_kg);
}

Spread spread_by_display(const CornerSlopes& slopes, const TrimUnknowns& unknowns, std::span<const int> order,
                         double reference_kg) {
    Differences differences(slopes);
    const unsigned n = differences.size();
    const auto slope = [&](int corner, int cell) {
        return slopes.per_log_gain[static_cast<unsigned>(corner) * n + static_cast<unsigned>(cell)];
    };
    // At corner i its own gain takes up every error that its weight has so far: the display's, and those of
    // all other cells, set or not.
    const auto settle = [&](const PerCell& display, const PerCell& before) {
        PerCell error = before;
        for (const int corner : order) {
            const auto at = static_cast<unsigned>(corner);
            if (unknowns.stays[at]) continue;
            double weight = display[at];
            for (const int cell : order) {
                if (cell != corner) weight += slope(corner, cell) * error[static_cast<unsigned>(cell)];
            }
            error[at] = -weight / slope(corner, corner);
        }
        differences.add_gains(error);
    };

    CellMatrix root;
    if (root_of(*unknowns.gain_covariance, slopes.n, root)) {
        for (unsigned k = 0; k < n; ++k) settle(PerCell{}, root_column(root, n, k));
    }
    for (unsigned i = 0; i < n; ++i) {
        if (unknowns.stays[i]) continue;
        settle(only(i, unknowns.display[i]), PerCell{});
        settle(only(i, slope(static_cast<int>(i), static_cast<int>(i)) * unknowns.setting[i]), PerCell{});
    }
    return differences.spread(reference_kg);
}

}  // namespace cornerbench::diagnosis

#include "firmware/diagnosis/trim_fewest.h"

#include <algorithm>
#include <cmath>

#include "firmware/diagnosis/trim_range.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

// Trims work on each other only through the bus, so that a few rounds settle them.
constexpr int most_rounds = 30;
constexpr double converged = 1.0e-9;
// Of the whole travel, for slopes.
constexpr double travel_step = 1.0e-4;
// Selections that fail do so for one reason, a cell too weak to be raised: a few lower ones tell.
constexpr int most_tries = 8;

/// Corners that lie next to each other when all are sorted by what their cells give.
struct Selection {
    int first = 0;
    int count = 0;
    double spread_kg = 0.0;
};

class Search {
  public:
    Search(CornerModel& model, const CornerSlopes& slopes, double extra_N)
        : model_(model),
          trim_(model.condition().trim),
          slopes_(slopes),
          n_(model.count()),
          extra_N_(extra_N) {
        for (int i = 0; i < n_; ++i) present_[at(i)] = model_.setting(i);
    }

    FewestChanges run(const Spread& readings_alone, double reference_kg, int least_stay);

  private:
    static unsigned at(int i) { return static_cast<unsigned>(i); }
    bool read_levels();
    double level_of_staying() const;
    double spread_after(const Selection& selection) const;
    Selection best_of(int count, double tolerance_kg, double above_kg, double reference_kg) const;
    double slope_of(int cell);
    bool bring_to_level();
    void note_response();
    void restore();

    CornerModel& model_;
    const scale::Trim trim_;
    const CornerSlopes& slopes_;
    int n_;
    double extra_N_;
    PerCell present_{};
    PerCell level_{};  ///< logarithm of what each cell gives at the model's settings
    std::array<int, scale::max_cells> sorted_{};
    FewestChanges result_;
};

bool Search::read_levels() {
    model_.cell_slopes(extra_N_, level_);
    for (int i = 0; i < n_; ++i) {
        if (!(level_[at(i)] > 0.0)) return false;
        level_[at(i)] = numbers::log(level_[at(i)]);
    }
    return true;
}

double Search::level_of_staying() const {
    double mean = 0.0;
    for (int i = 0; i < n_; ++i) {
        if (result_.stays[at(i)]) mean += level_[at(i)] / result_.stay_count;
    }
    return mean;
}

/// Relative difference of the corners' weights when all others have come to the mean of the selection.
double Search::spread_after(const Selection& selection) const {
    PerCell off{};
    double mean = 0.0;
    for (int s = 0; s < selection.count; ++s) {
        mean += level_[at(sorted_[at(selection.first + s)])] / selection.count;
    }
    for (int s = 0; s < selection.count; ++s) {
        const unsigned cell = at(sorted_[at(selection.first + s)]);
        off[cell] = level_[cell] - mean;
    }
    double least = 0.0;
    double most = 0.0;
    for (int i = 0; i < n_; ++i) {
        double weight = 0.0;
        for (int k = 0; k < n_; ++k) weight += slopes_.per_log_gain[at(i) * at(n_) + at(k)] * off[at(k)];
        least = i == 0 ? weight : std::min(least, weight);
        most = i == 0 ? weight : std::max(most, weight);
    }
    return most - least;
}

/// The selection of that many corners that lie closest, among those further apart than `above_kg`.
Selection Search::best_of(int count, double tolerance_kg, double above_kg, double reference_kg) const {
    Selection best;
    for (int first = 0; first + count <= n_; ++first) {
        Selection tried{first, count, 0.0};
        tried.spread_kg = spread_after(tried) * reference_kg;
        if (tried.spread_kg > tolerance_kg || tried.spread_kg <= above_kg) continue;
        if (best.count == 0 || tried.spread_kg < best.spread_kg) best = tried;
    }
    return best;
}

/// Change of a cell's own level with its setting.
double Search::slope_of(int cell) {
    const double here = model_.setting(cell);
    const double last = scale::trim_last_position(trim_);
    const double step = here < 0.5 * last ? travel_step * last : -travel_step * last;
    const double now = model_.log_slope(cell, extra_N_);
    model_.set_setting(cell, here + step);
    const double there = model_.log_slope(cell, extra_N_);
    model_.set_setting(cell, here);
    return (there - now) / step;
}

/// Secants for every trim that moves; false where one would have to go beyond its ends.
bool Search::bring_to_level() {
    const double last = scale::trim_last_position(trim_);
    for (int round = 0; round < most_rounds; ++round) {
        if (!read_levels()) return false;
        const double level = level_of_staying();
        double worst = 0.0;
        for (int i = 0; i < n_; ++i) {
            if (result_.stays[at(i)]) continue;
            const double off = level - level_[at(i)];
            worst = std::max(worst, std::fabs(off));
            const double slope = slope_of(i);
            if (!(std::fabs(slope) > 0.0)) return false;
            const double here = model_.setting(i);
            const double next = std::clamp(here + off / slope, 0.0, last);
            if (next == here && std::fabs(off) > converged) return false;
            model_.set_setting(i, next);
        }
        if (worst < converged) return true;
    }
    return false;
}

void Search::note_response() {
    const auto n = at(n_);
    for (int i = 0; i < n_; ++i) {
        result_.at[at(i)] = model_.setting(i);
        if (result_.stays[at(i)]) continue;
        const double slope = slope_of(i);
        for (int k = 0; k < n_; ++k) {
            const double of_level = result_.stays[at(k)] ? 1.0 / result_.stay_count : 0.0;
            result_.per_log_gain[at(i) * n + at(k)] = (of_level - (i == k ? 1.0 : 0.0)) / slope;
        }
    }
}

void Search::restore() {
    for (int i = 0; i < n_; ++i) model_.set_setting(i, present_[at(i)]);
}

FewestChanges Search::run(const Spread& readings_alone, double reference_kg, int least_stay) {
    if (!read_levels()) return {};
    const PerCell before = level_;
    for (int i = 0; i < n_; ++i) sorted_[at(i)] = i;
    std::sort(sorted_.begin(), sorted_.begin() + n_,
              [&](int a, int b) { return before[at(a)] < before[at(b)]; });
    int tries = 0;
    for (int count = n_ - 1; count >= std::max(least_stay, 1); --count) {
        const double tolerance_kg = expected_between(readings_alone, n_, count);
        double tried_kg = -1.0;
        while (tries < most_tries) {
            const Selection selection = best_of(count, tolerance_kg, tried_kg, reference_kg);
            if (selection.count == 0) break;
            ++tries;
            tried_kg = selection.spread_kg;
            result_ = {};
            result_.stay_count = count;
            for (int s = 0; s < count; ++s) result_.stays[at(sorted_[at(selection.first + s)])] = true;
            result_.found = bring_to_level();
            if (result_.found) {
                note_response();
                return result_;
            }
            restore();
            level_ = before;
        }
    }
    return {};
}

}  // namespace

FewestChanges find_fewest_changes(CornerModel& model, const CornerSlopes& slopes,
                                  const Spread& readings_alone, double reference_kg, double extra_N,
                                  int least_stay) {
    return Search(model, slopes, extra_N).run(readings_alone, reference_kg, least_stay);
}

}  // namespace cornerbench::diagnosis

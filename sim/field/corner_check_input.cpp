#include "sim/field/corner_check_input.h"

#include <cmath>

#include "sim/field/places.h"

namespace cornerbench::field {

using diagnosis::CornerError;
using diagnosis::Direction;
using diagnosis::Load;
using diagnosis::Quantity;
using diagnosis::Reading;

namespace {

/// Nearer than this to a support, a mass stands over it.
constexpr double over_it_m = 0.1;

/// The support under the only mass of `load`, or -1.
int support_under(const scale::Deck& deck, const Load& load) {
    if (load.count != 1) return -1;
    for (int i = 0; i < 2 * deck.sections; ++i) {
        const Place at = over_support(deck, i);
        const diagnosis::Standing& mass = load.standing[0];
        if (std::fabs(mass.x_m - at.x_m) < over_it_m && std::fabs(mass.y_m - at.y_m) < over_it_m) return i;
    }
    return -1;
}

double channel_kg(const scale::Description& d, const Reading& r) {
    const scale::Cell& cell = d.cells[static_cast<unsigned>(r.cell)];
    const double ratio = r.is_ratio ? r.value : r.value / d.excitation_V;
    return ratio / cell.rated_output_V_per_V * cell.capacity_kg * scale::standard_gravity / d.gravity;
}

}  // namespace

diagnosis::CornerReport CornerCheckInput::judge() const {
    diagnosis::CornerCheck check;
    return check.judge(scale, readings, with_channels ? &channels : nullptr);
}

CornerCheckInput corner_check_input(const scale::Description& d, const diagnosis::Sheet& sheet) {
    CornerCheckInput input;
    input.scale = diagnosis::corner_scale(d, sheet.instruments, sheet.history);
    input.readings = diagnosis::CornerReadings(d.cell_count(), sheet.zeroed);
    input.channels = diagnosis::ChannelReadings(d.cell_count());
    for (std::size_t index = 0; index < sheet.readings.size(); ++index) {
        const Reading& r = sheet.readings[index];
        const bool is_channel = r.quantity == Quantity::channel;
        if (r.quantity != Quantity::weight && !is_channel) continue;
        const int support = support_under(d.deck, r.load);
        CornerError error = CornerError::none;
        bool used = r.shown == diagnosis::Shown::value && (r.load.count == 0 || support >= 0);
        if (used && is_channel) {
            input.with_channels = true;
            error = r.load.count == 0
                        ? input.channels.add_empty(r.cell, channel_kg(d, r))
                        : input.channels.add_loaded(support, r.load.total_kg(), r.cell, channel_kg(d, r));
        } else if (used && r.load.count == 0) {
            error = r.zero_set ? input.readings.add_zero_set(r.value) : input.readings.add_empty(r.value);
        } else if (used) {
            error = r.direction == Direction::decreasing
                        ? input.readings.add_unloading(support, r.load.total_kg(), r.value, r.came_down_from)
                        : input.readings.add_loaded(support, r.load.total_kg(), r.value);
        }
        used = used && error == CornerError::none;
        if (!used) input.unused.push_back({static_cast<int>(index), error});
    }
    return input;
}

}  // namespace cornerbench::field

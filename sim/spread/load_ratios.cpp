#include "sim/spread/load_ratios.h"

#include "sim/field/places.h"

namespace cornerbench::spread {

CornerLoads::CornerLoads(const scale::Description& d, double test_kg)
    : corners_(d.cell_count()), test_kg_(test_kg), evenly_kg_(0.5 * d.max_kg) {
    weighing::StillScale scale(d, scale::sound_condition(d));
    valid_ = true;
    const auto put = [&](std::span<const mechanics::PointLoad> on) {
        scale.put(on);
        valid_ = valid_ && scale.error() == mechanics::DeckError::none;
        force_N_.push_back(scale.deck().support_N);
    };
    put({});
    std::vector<mechanics::PointLoad> evenly;
    for (int i = 0; i < corners_; ++i) {
        const field::Place at = field::over_support(d.deck, i);
        const mechanics::PointLoad one{at.x_m, at.y_m, test_kg * d.gravity};
        put({&one, 1});
        evenly.push_back({at.x_m, at.y_m, evenly_kg_ * d.gravity / corners_});
    }
    put(evenly);
}

LoadRatios::LoadRatios(const CornerLoads& loads) : loads_(loads) {
    ratios_.assign(static_cast<std::size_t>(loads.count()),
                   std::vector<double>(static_cast<std::size_t>(scale::max_cells * ColumnBoxes::columns)));
}

void LoadRatios::put(int column, const scale::Condition& c) {
    for (int p = 0; p < c.cell_count; ++p) {
        const auto cell = static_cast<unsigned>(c.positions[static_cast<unsigned>(p)].cell);
        const auto at = static_cast<std::size_t>(p * ColumnBoxes::columns + column);
        for (int load = 0; load < loads_.count(); ++load)
            ratios_[static_cast<std::size_t>(load)][at] =
                circuit::bridge_ratio(c.cells[cell], loads_.force_N(load)[cell]);
    }
}

}  // namespace cornerbench::spread

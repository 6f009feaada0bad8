#include "sim/field/unmodelled.h"

#include "sim/field/random_source.h"

namespace cornerbench::field {

namespace {

enum Stream : std::uint64_t { class_stream = 7, weather_stream = 8 };

}  // namespace

void draw_class_errors(const Unmodelled& unmodelled, std::uint64_t seed, scale::Condition& condition) {
    RandomSource random(seed, class_stream);
    // A scale's file may say these for the scale at work; a trial's cells have their class's instead.
    const auto draw = [&](double most, double& of_cell) {
        const double drawn = random.between(-most, most);
        if (most > 0.0) of_cell = drawn;
    };
    for (int i = 0; i < condition.cell_count; ++i) {
        scale::CellCondition& cell = condition.cells[static_cast<unsigned>(i)];
        cell.nonlinearity += random.between(-unmodelled.nonlinearity, unmodelled.nonlinearity);
        draw(unmodelled.hysteresis, cell.hysteresis);
        draw(unmodelled.creep, cell.creep);
        draw(unmodelled.zero_per_K, cell.zero_per_K);
        draw(unmodelled.span_per_K, cell.span_per_K);
    }
}

void warm_up(const Unmodelled& unmodelled, std::uint64_t seed, scale::Condition& condition) {
    RandomSource random(seed, weather_stream);
    const double all_K = unmodelled.warmer_K * random.normal();
    for (int i = 0; i < condition.cell_count; ++i) {
        scale::CellCondition& cell = condition.cells[static_cast<unsigned>(i)];
        cell.temperature_C += all_K + unmodelled.between_cells_K * random.normal();
    }
}

}  // namespace cornerbench::field

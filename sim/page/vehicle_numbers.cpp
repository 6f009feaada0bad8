#include "sim/page/vehicle_numbers.h"

#include <array>
#include <cmath>
#include <limits>
#include <optional>

namespace cornerbench::page {

namespace {

constexpr std::array options{&files::Vehicle::braking_m_per_s2, &files::Vehicle::bounce_Hz,
                             &files::Vehicle::bounce_damping, &files::Vehicle::bounce_share};

}  // namespace

std::vector<double> to_numbers(const std::vector<files::Vehicle>& vehicles) {
    std::vector<double> row{static_cast<double>(vehicles.size())};
    for (const files::Vehicle& vehicle : vehicles) {
        row.push_back(static_cast<double>(vehicle.axles.size()));
        for (const files::Axle& axle : vehicle.axles)
            row.insert(row.end(), {axle.mass_kg, axle.behind_front_m});
        for (const auto option : options)
            row.push_back((vehicle.*option).value_or(std::numeric_limits<double>::quiet_NaN()));
    }
    return row;
}

std::vector<files::Vehicle> vehicles_from(std::span<const double> numbers) {
    std::size_t at = 0;
    const auto next = [&numbers, &at] { return at < numbers.size() ? numbers[at++] : std::nan(""); };
    const double count = next();
    std::vector<files::Vehicle> vehicles;
    for (int v = 0; v < count && v < 100; ++v) {
        files::Vehicle vehicle;
        const double axles = next();
        if (!(axles >= 1.0 && axles <= files::max_axles)) return {};
        for (int a = 0; a < axles; ++a) {
            const double mass_kg = next();
            vehicle.axles.push_back({mass_kg, next()});
        }
        for (const auto option : options) {
            const double value = next();
            if (!std::isnan(value)) vehicle.*option = value;
        }
        vehicles.push_back(vehicle);
    }
    return vehicles;
}

}  // namespace cornerbench::page

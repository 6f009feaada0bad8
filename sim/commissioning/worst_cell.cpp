#include "sim/commissioning/worst_cell.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "firmware/mechanics/deck.h"

namespace cornerbench::commissioning {

namespace {

constexpr double step_m = 0.1;
constexpr double half_track_m = 1.0;

// What tyres and springs of an overloaded axle still bear: common practice, no source.
constexpr double most_axle_kg = 20000.0;

// A laden truck's side in the wind: common practice, no source.
constexpr double air_kg_per_m3 = 1.225;  // ISO 2533:1975
constexpr double drag = 1.2;
constexpr double vehicle_height_m = 3.5;
constexpr double beyond_axles_m = 3.0;
constexpr double force_height_m = 2.0;

class Drive {
  public:
    explicit Drive(const scale::Description& d)
        : d_(d),
          model_(scale::sound_condition(d)),
          memory_(model_.slack_when_empty(&empty_)),
          first_m_(d.deck.section_x_m[0] - d.deck.overhang_m),
          last_m_(d.deck.section_x_m[static_cast<unsigned>(d.deck.sections - 1)] + d.deck.overhang_m) {
        worst_.least_N = empty_.support_N[0];
        look(empty_, "", 0.0, true);
    }

    double first_m() const { return first_m_; }
    double last_m() const { return last_m_; }
    const WorstCell& worst() const { return worst_; }

    void put(std::span<const mechanics::PointLoad> loads, const std::string& vehicle, double front_m,
             bool heads_right, double wind_moment_Nm) {
        mechanics::ContactMemory memory = memory_;
        const mechanics::DeckState state = model_.settle(loads, memory);
        if (state.error != mechanics::DeckError::none) {
            worst_.stands = false;
            return;
        }
        wind_moment_Nm_ = wind_moment_Nm;
        look(state, vehicle, front_m, heads_right);
    }

  private:
    /// The wind's moment goes into the two rows as the live load on each does.
    double wind_at(const mechanics::DeckState& state, int support) const {
        if (!(wind_moment_Nm_ > 0.0)) return 0.0;
        const bool far = scale::is_far(support, d_.deck.sections);
        double row = 0.0;
        for (int i = 0; i < d_.cell_count(); ++i) {
            const auto at = static_cast<unsigned>(i);
            if (scale::is_far(i, d_.deck.sections) == far)
                row += std::max(0.0, state.support_N[at] - empty_.support_N[at]);
        }
        const auto at = static_cast<unsigned>(support);
        const double live = std::max(0.0, state.support_N[at] - empty_.support_N[at]);
        return row > 0.0 ? wind_moment_Nm_ / d_.deck.width_m * live / row : 0.0;
    }

    void look(const mechanics::DeckState& state, const std::string& vehicle, double front_m,
              bool heads_right) {
        for (int i = 0; i < d_.cell_count(); ++i) {
            const double force = state.support_N[static_cast<unsigned>(i)];
            const double wind = wind_at(state, i);
            if (force + wind > worst_.total_N()) {
                worst_.support = i;
                worst_.force_N = force;
                worst_.wind_N = wind;
                worst_.vehicle = vehicle;
                worst_.front_axle_m = front_m;
                worst_.heads_right = heads_right;
            }
            if (force < worst_.least_N) {
                worst_.least_N = force;
                worst_.least_support = i;
            }
        }
    }

    const scale::Description& d_;
    mechanics::DeckModel model_;
    mechanics::DeckState empty_;
    mechanics::ContactMemory memory_;
    double first_m_ = 0.0;
    double last_m_ = 0.0;
    double wind_moment_Nm_ = 0.0;
    WorstCell worst_;
};

void drive(Drive& deck, const scale::Description& d, const files::Vehicle& vehicle, const Traffic& traffic,
           double times) {
    const double length_m = vehicle.axles.back().behind_front_m;
    const double pressure = 0.5 * air_kg_per_m3 * traffic.wind_m_per_s * traffic.wind_m_per_s * drag;
    const double most_moment = pressure * vehicle_height_m * (length_m + beyond_axles_m) * force_height_m;
    const double half_track = std::min(half_track_m, 0.5 * d.deck.width_m);
    const double most_side = std::max(0.0, 0.5 * d.deck.width_m - half_track);
    std::array<mechanics::PointLoad, 2 * files::max_axles> loads{};
    for (const bool heads_right : {true, false}) {
        const double sign = heads_right ? 1.0 : -1.0;
        const double from = heads_right ? deck.first_m() : deck.last_m();
        const double way = deck.last_m() - deck.first_m() + length_m;
        for (double gone = 0.0; gone <= way + 0.5 * step_m; gone += step_m) {
            const double front_m = from + sign * gone;
            for (const double side : {-1.0, 0.0, 1.0}) {
                const double middle = 0.5 * d.deck.width_m + side * std::min(traffic.side_m, most_side);
                std::size_t count = 0;
                double on_deck_kg = 0.0;
                for (const files::Axle& axle : vehicle.axles) {
                    const double x = front_m - sign * axle.behind_front_m;
                    if (x < deck.first_m() || x > deck.last_m()) continue;
                    on_deck_kg += axle.mass_kg;
                    const double wheel_N = 0.5 * times * axle.mass_kg * d.gravity;
                    loads[count++] = {x, middle - half_track, wheel_N};
                    loads[count++] = {x, middle + half_track, wheel_N};
                }
                const double share = on_deck_kg / vehicle.total_kg();
                deck.put(std::span(loads).first(count), vehicle.name, front_m, heads_right,
                         most_moment * share);
            }
        }
    }
}

}  // namespace

WorstCell drive_over(const scale::Description& description, std::span<const files::Vehicle> vehicles,
                     const Traffic& traffic, double times) {
    Drive deck(description);
    for (const files::Vehicle& vehicle : vehicles) drive(deck, description, vehicle, traffic, times);
    return deck.worst();
}

WorstCell drive_over_at_max(const scale::Description& description, std::span<const files::Vehicle> vehicles,
                            const Traffic& traffic) {
    Drive deck(description);
    for (const files::Vehicle& vehicle : vehicles) {
        double heaviest_kg = 0.0;
        for (const files::Axle& axle : vehicle.axles) heaviest_kg = std::max(heaviest_kg, axle.mass_kg);
        const double times = std::min(description.max_kg / vehicle.total_kg(), most_axle_kg / heaviest_kg);
        drive(deck, description, vehicle, traffic, times);
    }
    return deck.worst();
}

WorstCell stand_pattern(const scale::Description& description, double mass_kg, double pattern_m,
                        double width_m) {
    const scale::Description& d = description;
    Drive deck(d);
    const double across = std::min(width_m, d.deck.width_m);
    constexpr int pieces = 4;
    const double length = deck.last_m() - deck.first_m();
    const double along = std::min(pattern_m, length);
    std::array<mechanics::PointLoad, pieces * pieces> loads{};
    for (double start = deck.first_m(); start <= deck.last_m() - along + 0.5 * step_m; start += step_m) {
        for (const double side : {0.0, 0.5, 1.0}) {
            const double near = side * (d.deck.width_m - across);
            std::size_t count = 0;
            for (int i = 0; i < pieces; ++i) {
                for (int j = 0; j < pieces; ++j) {
                    loads[count++] = {start + along * (i + 0.5) / pieces, near + across * (j + 0.5) / pieces,
                                      mass_kg * d.gravity / (pieces * pieces)};
                }
            }
            deck.put(loads, "test pattern", start, true, 0.0);
        }
    }
    return deck.worst();
}

}  // namespace cornerbench::commissioning

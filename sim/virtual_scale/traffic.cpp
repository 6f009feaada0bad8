#include "sim/virtual_scale/traffic.h"

#include <algorithm>
#include <cmath>

#include "firmware/weighing/no_weight.h"
#include "sim/field/specimen.h"

namespace cornerbench::virtual_scale {

namespace {

enum Stream : std::uint64_t { traffic_stream = 21 };

constexpr double line_m = 0.12;  ///< standard deviation of a driver's line across the deck
constexpr double stop_m = 0.6;   ///< and of where he stops along it
constexpr double usual_pause_s = 45.0;
constexpr double settles_in_s = 40.0;

/// A windy day in spring.
world::Surroundings usual_yard(const scale::Description& d) {
    world::Surroundings yard = world::calm(d);
    yard.day.swing_K = 5.0;
    yard.day.cloud_K = 0.5;
    yard.day.start_h = 7.0;
    yard.wind.speed_m_per_s = 2.0;
    return yard;
}

double deck_length_m(const scale::Deck& deck) {
    return deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)] - deck.section_x_m[0] +
           2.0 * deck.overhang_m;
}

world::Approach approach(const scale::Description& d, const files::Vehicle& truck, bool from_left,
                         field::RandomSource& random) {
    const scale::Deck& deck = d.deck;
    const double left_m = deck.section_x_m[0] - deck.overhang_m;
    const double right_m = left_m + deck_length_m(deck);
    const double half_m = 0.5 * truck.axles.back().behind_front_m;
    const double room_m = std::max(0.0, 0.5 * (right_m - left_m) - half_m - 0.3);
    const double middle_m = 0.5 * (left_m + right_m) + std::clamp(stop_m * random.normal(), -room_m, room_m);
    world::Approach way;
    way.from = from_left ? world::End::left : world::End::right;
    way.speed_m_per_s = random.between(1.2, 2.4);
    way.braking_m_per_s2 = random.between(0.5, 1.0);
    way.stop_front_at_m = from_left ? middle_m + half_m : middle_m - half_m;
    way.line_y_m = 0.5 * deck.width_m + std::clamp(line_m * random.normal(), -0.3, 0.3);
    return way;
}

/// An operator presses the zero key when the empty deck does not show zero (common practice, no source).
void look_at_zero(VirtualScale& scale) {
    const weighing::Readout& readout = scale.indicator().readout();
    if (readout.has_weight() && (!readout.stable || readout.gross.digits == 0)) return;
    scale.board().panel.press(hal::Key::zero);
    scale.run(1.0);
}

}  // namespace

files::Vehicle random_truck(const scale::Description& d, field::RandomSource& random) {
    struct Kind {
        std::array<double, 5> share;  ///< of the mass, by axle
        std::array<double, 5> behind_m;
        int axles;
        double empty_kg;
        double full_kg;
    };
    static constexpr Kind kinds[] = {
        {{0.36, 0.64}, {0.0, 4.3}, 2, 7500.0, 18000.0},
        {{0.28, 0.36, 0.36}, {0.0, 3.9, 5.25}, 3, 10500.0, 26000.0},
        {{0.21, 0.21, 0.29, 0.29}, {0.0, 1.8, 5.1, 6.45}, 4, 13000.0, 32000.0},
        {{0.18, 0.27, 0.185, 0.185, 0.18}, {0.0, 3.7, 9.3, 10.6, 11.9}, 5, 15000.0, 40000.0},
    };
    const double most_m = deck_length_m(d.deck) - 0.6;
    int fitting = 0;
    for (const Kind& kind : kinds)
        if (kind.behind_m[static_cast<std::size_t>(kind.axles - 1)] < most_m) ++fitting;
    const Kind& kind = kinds[random.index(std::max(1, fitting))];
    const double size = std::min(1.0, 0.85 * d.max_kg / kind.full_kg);
    const double mass_kg = size * random.between(kind.empty_kg, kind.full_kg);
    const double stretch = std::min(random.between(0.95, 1.08),
                                    most_m / kind.behind_m[static_cast<std::size_t>(kind.axles - 1)]);
    files::Vehicle truck;
    truck.name = "truck";
    double sum = 0.0;
    for (int i = 0; i < kind.axles; ++i) {
        const auto at = static_cast<std::size_t>(i);
        const double share = kind.share[at] * random.between(0.93, 1.07);
        sum += share;
        truck.axles.push_back({share, stretch * kind.behind_m[at]});
    }
    for (files::Axle& axle : truck.axles) axle.mass_kg *= mass_kg / sum;
    return truck;
}

TrafficRecord run_traffic(const scale::Description& d, const IndicatorSettings& settings,
                          const TrafficSetting& setting) {
    field::RandomSource random(setting.seed, traffic_stream);
    VirtualScale scale(d, field::draw_specimen(d, diagnosis::History::calibrated, {}, setting.seed).condition,
                       settings, setting.seed, usual_yard(d));
    TrafficRecord record;
    (void)scale.calibrate(0.5 * d.max_kg);
    const double begin_s = scale.time_s();
    for (int truck = 0; truck < setting.trucks; ++truck) {
        if (truck == setting.sound_trucks) {
            faults::Course course;
            course.grows_s = setting.growing_trucks * (usual_pause_s + 25.0);
            for (const scale::Fault& fault : setting.faults) scale.world().inject({fault, course});
        }
        const files::Vehicle vehicle = random_truck(d, random);
        const bool from_left = !setting.both_ways || random.share() < 0.5;
        const world::Approach way = approach(d, vehicle, from_left, random);
        const int number = scale.world().drive_on(vehicle, way);
        const auto stands = [&scale, number] {
            const world::VehicleRide* ride = scale.world().vehicle(number);
            return ride == nullptr || ride->stands();
        };
        if (!scale.settle(settles_in_s, stands)) ++record.unweighed;
        scale.run(random.between(1.0, 6.0));
        world::Departure departure;
        departure.speed_m_per_s = random.between(1.2, 2.4);
        scale.world().drive_off(number, departure);
        for (int i = 0; i < 60'000 && scale.world().vehicle(number) != nullptr; ++i) scale.frame();
        scale.run(usual_pause_s * random.between(0.4, 1.6));
        look_at_zero(scale);
        ++record.trucks;
        if (setting.progress) setting.progress(static_cast<double>(record.trucks) / setting.trucks);
    }
    record.hours = (scale.time_s() - begin_s) / 3600.0;
    const weighing::Readout& readout = scale.indicator().readout();
    if (!readout.has_weight()) record.no_weight = weighing::words(readout.why);
    record.traffic = scale.indicator().traffic();
    return record;
}

}  // namespace cornerbench::virtual_scale

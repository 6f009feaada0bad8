#include "sim/world/world.h"

#include <algorithm>
#include <cmath>

#include "firmware/scale/copper.h"

namespace cornerbench::world {

namespace {

/// What each of the world's short cuts may cost, in divisions.
constexpr double tolerance_divisions = 2.0e-4;
/// Of a cell's rated output: how far the circuit's tangent is trusted at most.
constexpr double largest_reach = 0.1;

constexpr double look_every_s = 1.0;

/// One division at the converter, V/V, as a sound scale's rated data give it.
double division_V_per_V(const scale::Description& d) {
    const int parallel = d.converter == scale::Converter::summed ? d.cell_count() : 1;
    const scale::Cell& cell = d.cells[0];
    return d.division_kg / (cell.capacity_kg * parallel) * cell.rated_output_V_per_V;
}

double tolerance_of(const scale::Description& d) {
    return tolerance_divisions * division_V_per_V(d);
}

double deck_length_m(const scale::Deck& deck) {
    return deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)] - deck.section_x_m[0] +
           2.0 * deck.overhang_m;
}

scale::Condition warmed(const Warmth& warmth, const Thermometer& thermometer, scale::Condition c) {
    warmth.apply(thermometer.cell_C(), thermometer.cable_C(), c);
    return c;
}

}  // namespace

World::World(const scale::Description& d, const scale::Condition& condition, std::uint64_t seed,
             const Surroundings& surroundings)
    : description_(d),
      specimen_(condition),
      surroundings_(surroundings),
      seed_(seed),
      step_s_(1.0 / d.rate_Hz),
      samples_per_look_(std::max(std::int64_t{1}, static_cast<std::int64_t>(look_every_s * d.rate_Hz))),
      thermometer_(surroundings.day, static_cast<double>(samples_per_look_) * step_s_, seed),
      gusts_(surroundings.wind, d.deck.width_m * deck_length_m(d.deck), step_s_, seed),
      warmth_(d, condition, tolerance_of(d)),
      deck_(condition),
      cells_(condition, deck_.cell_N(), step_s_),
      box_(condition, tolerance_of(d), largest_reach * d.cells[0].rated_output_V_per_V),
      converter_(d, surroundings, seed) {
    now_ = warmed(warmth_, thermometer_, specimen_);
    cells_ = CellsInTime(now_, deck_.cell_N(), step_s_);
    box_.change(now_);
    scale::Deck evenly = d.deck;
    evenly.mass_kg = 1.0;
    wind_share_ = mechanics::dead_load_N(evenly, 1.0);
}

int World::drive_on(const files::Vehicle& vehicle, const Approach& approach) {
    const int number = ++last_number_;
    vehicles_.emplace(number, VehicleRide(vehicle, approach, description_, time_s_, step_s_, seed_,
                                          static_cast<std::uint64_t>(number)));
    return number;
}

int World::put(const Weight& weight) {
    const int number = ++last_number_;
    weights_.emplace(number, Lowered{weight, 0.0, false});
    moving_ = true;
    return number;
}

bool World::drive_off(int number, const Departure& departure) {
    const auto found = vehicles_.find(number);
    if (found == vehicles_.end()) return false;
    found->second.leave(departure, time_s_);
    return true;
}

bool World::take_off(int number) {
    const auto found = weights_.find(number);
    if (found == weights_.end()) return false;
    found->second.going = true;
    moving_ = true;
    return true;
}

const VehicleRide* World::vehicle(int number) const {
    const auto found = vehicles_.find(number);
    return found == vehicles_.end() ? nullptr : &found->second;
}

void World::change(const Surroundings& surroundings) {
    surroundings_ = surroundings;
    thermometer_.change(surroundings.day);
    gusts_.change(surroundings.wind);
    converter_.change(surroundings);
    moving_ = true;
}

void World::move_vehicles() {
    for (auto at = vehicles_.begin(); at != vehicles_.end();) {
        VehicleRide& ride = at->second;
        if (!ride.quiet()) {
            moving_ = true;
            ride.step(time_s_);
        }
        at = ride.gone() ? vehicles_.erase(at) : std::next(at);
    }
}

void World::lower_weights() {
    for (auto at = weights_.begin(); at != weights_.end();) {
        Lowered& lowered = at->second;
        const double step = lowered.weight.lowered_in_s > 0.0 ? step_s_ / lowered.weight.lowered_in_s : 1.0;
        const double wanted = lowered.going ? 0.0 : 1.0;
        if (lowered.share != wanted) {
            moving_ = true;
            lowered.share =
                lowered.going ? std::max(0.0, lowered.share - step) : std::min(1.0, lowered.share + step);
        }
        at = lowered.going && lowered.share == 0.0 ? weights_.erase(at) : std::next(at);
    }
}

void World::gather_loads() {
    node_N_ = {};
    mass_on_deck_kg_ = 0.0;
    for (const auto& [number, ride] : vehicles_) {
        for (const AxleForce& axle : ride.on_deck())
            mechanics::weights_at(description_.deck, axle.x_m, axle.y_m).spread(axle.force_N, node_N_);
        mass_on_deck_kg_ += ride.mass_on_deck_kg();
    }
    for (const auto& [number, lowered] : weights_) {
        const Weight& weight = lowered.weight;
        const double mass_kg = lowered.share * weight.mass_kg;
        mechanics::weights_at(description_.deck, weight.x_m, weight.y_m)
            .spread(mass_kg * specimen_.gravity, node_N_);
        mass_on_deck_kg_ += mass_kg;
    }
    if (wind_N_ == 0.0) return;
    for (std::size_t i = 0; i < node_N_.size(); ++i) node_N_[i] += wind_N_ * wind_share_[i];
}

void World::warm_up() {
    thermometer_.step();
    const scale::CellCondition& cell = now_.cells[0];
    const double cable_C =
        20.0 + (cell.cable_ohm_per_m / cell.delivered_cable_ohm_per_m - 1.0) / scale::copper_per_K;
    const bool cells = std::fabs(thermometer_.cell_C() - cell.temperature_C) > warmth_.cell_step_K();
    const bool cables = std::fabs(thermometer_.cable_C() - cable_C) > warmth_.cable_step_K();
    if (!cells && !cables) return;
    now_ = warmed(warmth_, thermometer_, specimen_);
    if (cells) cells_.change(now_);
    if (cables) box_.change(now_);
    stale_ = true;
}

const hal::Frame& World::step() {
    ++samples_;
    time_s_ = static_cast<double>(samples_) * step_s_;
    if (samples_ % samples_per_look_ == 0) warm_up();

    if (!vehicles_.empty()) move_vehicles();
    if (!weights_.empty()) lower_weights();
    if (gusts_.blows() || wind_N_ != 0.0) {
        wind_N_ = gusts_.step();
        moving_ = true;
    }
    bool changed = stale_ || cells_.remembers();
    if (moving_) {
        gather_loads();
        changed = deck_.carry(node_N_) || changed;
    }
    if (changed) {
        cells_.step(deck_.cell_N());
        output_ = box_.read(cells_.ratios());
    }
    moving_ = false;
    stale_ = false;
    return converter_.convert(output_);
}

Truth World::truth() const {
    Truth truth;
    truth.time_s = time_s_;
    truth.mass_on_deck_kg = mass_on_deck_kg_;
    double pressed_N = 0.0;
    for (const double force_N : node_N_) pressed_N += force_N;
    truth.pressed_kg = pressed_N / specimen_.gravity;
    truth.wind_N = wind_N_;
    truth.air_C = thermometer_.air_C();
    truth.cell_C = thermometer_.cell_C();
    truth.cable_C = thermometer_.cable_C();
    truth.support_N = deck_.support_N();
    truth.cell_N = deck_.cell_N();
    truth.output = output_;
    truth.deck = deck_.error();
    return truth;
}

}  // namespace cornerbench::world

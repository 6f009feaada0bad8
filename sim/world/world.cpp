#include "sim/world/world.h"

#include <algorithm>
#include <cmath>

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

/// Which contact of the old condition each contact of the new one is, -1 for none.
std::array<int, scale::max_contacts> kept_contacts(const faults::FaultList::ContactOwners& before,
                                                   int before_count,
                                                   const faults::FaultList::ContactOwners& after, int count) {
    std::array<int, scale::max_contacts> kept{};
    kept.fill(-1);
    int looked_at = 0;
    for (int c = 0; c < count; ++c) {
        // Both lists are in the order of their owners.
        const auto at = static_cast<std::size_t>(c);
        for (int old = looked_at; old < before_count; ++old) {
            if (before[static_cast<std::size_t>(old)] != after[at]) continue;
            kept[at] = old;
            looked_at = old + 1;
            break;
        }
    }
    return kept;
}

bool same_statics(const scale::Condition& a, const scale::Condition& b) {
    if (a.contact_count != b.contact_count) return false;
    for (std::size_t i = 0; i < static_cast<std::size_t>(a.cell_count); ++i) {
        const scale::SupportCondition& x = a.supports[i];
        const scale::SupportCondition& y = b.supports[i];
        if (x.stiffness_N_per_m != y.stiffness_N_per_m || x.height_m != y.height_m ||
            x.bound_share != y.bound_share) {
            return false;
        }
    }
    for (std::size_t c = 0; c < static_cast<std::size_t>(a.contact_count); ++c) {
        const scale::Contact& x = a.contacts[c];
        const scale::Contact& y = b.contacts[c];
        if (x.x_m != y.x_m || x.y_m != y.y_m || x.stiffness_N_per_m != y.stiffness_N_per_m ||
            x.friction_limit_N != y.friction_limit_N) {
            return false;
        }
    }
    return true;
}

}  // namespace

World::World(const scale::Description& d, const scale::Condition& condition, std::uint64_t seed,
             const Surroundings& surroundings)
    : description_(d),
      specimen_(condition),
      surroundings_(surroundings),
      seed_(seed),
      step_s_(1000.0 / static_cast<double>(converter_traits(d).rate_mHz)),
      samples_per_look_(std::max(std::int64_t{1}, static_cast<std::int64_t>(look_every_s * d.rate_Hz))),
      thermometer_(surroundings.day, static_cast<double>(samples_per_look_) * step_s_, seed),
      gusts_(surroundings.wind, d.deck.width_m * deck_length_m(d.deck), step_s_, seed),
      warmth_(condition, tolerance_of(d)),
      faults_(seed),
      deck_(condition),
      cells_(condition, deck_.cell_N(), step_s_),
      box_(condition, tolerance_of(d), largest_reach * d.cells[0].rated_output_V_per_V),
      converter_(d, surroundings, seed) {
    now_ = warmed_specimen();
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

int World::inject(const faults::Scheduled& scheduled) {
    return faults_.add(description_, scheduled, time_s_);
}

bool World::mend(int fault) {
    return faults_.mend(fault);
}

void World::turn_trim(int position, double by) {
    specimen_.positions[static_cast<std::size_t>(position)].trim_at += by;
    renew();
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
    const bool cells = std::fabs(thermometer_.cell_C() - cell_C_) > warmth_.cell_step_K();
    const bool cables = std::fabs(thermometer_.cable_C() - cable_C_) > warmth_.cable_step_K();
    if (cables) {
        renew();
    } else if (cells) {
        // The cells' temperature touches no resistance: the circuit stays.
        cell_C_ = thermometer_.cell_C();
        for (scale::CellCondition& cell : now_.cells) cell.temperature_C = cell_C_;
        cells_.change(now_);
        stale_ = true;
    }
}

scale::Condition World::warmed_specimen() {
    scale::Condition c = specimen_;
    cell_C_ = thermometer_.cell_C();
    cable_C_ = thermometer_.cable_C();
    warmth_.apply(cell_C_, cable_C_, c);
    return c;
}

void World::renew() {
    const scale::Condition before = now_;
    const faults::FaultList::ContactOwners owners_before = contact_owners_;
    now_ = warmed_specimen();
    contact_owners_ = faults_.apply(description_, now_);
    if (!same_statics(before, now_)) {
        deck_.change(now_,
                     kept_contacts(owners_before, before.contact_count, contact_owners_, now_.contact_count));
    }
    cells_.change(now_);
    box_.change(now_);
    stale_ = true;
}

const hal::Frame& World::step() {
    ++samples_;
    time_s_ = static_cast<double>(samples_) * step_s_;
    if (samples_ % samples_per_look_ == 0) warm_up();
    if (faults_.step_to(time_s_)) renew();

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

#include "sim/page/bench.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/fault_draw.h"
#include "sim/field/places.h"
#include "sim/field/specimen.h"
#include "sim/field/trimmed_corners.h"
#include "sim/page/meter.h"
#include "sim/page/terminals.h"
#include "sim/training/drill_level.h"

namespace cornerbench::page {

namespace {

/// A weight that is dragged is set down anew every few centimetres, so that it is quick about it.
constexpr double moved_in_s = 0.1;
constexpr double put_in_s = 0.5;
constexpr double heaviest_weight_kg = 200'000.0;
constexpr std::size_t most_faults = 4;
constexpr std::uint64_t hidden_stream = 31;

/// `number` as one of 0 .. count - 1, else -1.
int index_in(double number, int count) {
    return number >= 0.0 && number < count && number == std::floor(number) ? static_cast<int>(number) : -1;
}

field::Scatter scatter_of(int drill_level) {
    return drill_level == 0 ? field::Scatter{} : training::setting_of(drill_level).scatter;
}

}  // namespace

Bench::Bench(const BenchStart& start)
    : start_(start),
      scale_(start_.description,
             field::draw_specimen(start_.description, diagnosis::History::calibrated,
                                  scatter_of(start_.drill_level), start_.seed)
                 .condition,
             start_.settings, start_.seed, world::calm(start_.description)) {
    calibrated_ = scale_.calibrate(0.5 * start_.description.max_kg);
    opened_s_ = scale_.time_s();
    if (start_.drill_level == 0) return;
    if (!start_.hidden)
        start_.hidden = training::draw_hidden(start_.description, start_.drill_level, start_.seed);
    for (const scale::Fault& fault : *start_.hidden) put_in(fault, true);
}

void Bench::mix(std::uint64_t value) {
    for (int byte = 0; byte < 8; ++byte) {
        hash_ ^= (value >> (8 * byte)) & 0xffU;
        hash_ *= 1099511628211ull;
    }
}

void Bench::frame() {
    scale_.frame();
    ++frames_;
    if (vehicle_ != 0 && scale_.world().vehicle(vehicle_) == nullptr) {
        vehicle_ = 0;
        leaving_ = false;
    }
    if (scale_.powered()) mix(scale_.indicator().state_hash());
    const world::Truth truth = scale_.world().truth();
    for (int i = 0; i < start_.description.cell_count(); ++i)
        mix(std::bit_cast<std::uint64_t>(truth.cell_N[static_cast<std::size_t>(i)]));
    const double kg = load().total_kg();
    heaviest_kg_ = std::max(heaviest_kg_, kg);
}

bool Bench::on(double x_m, double y_m) const {
    const scale::Deck& deck = start_.description.deck;
    const double last_m = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)];
    return x_m >= deck.section_x_m[0] - deck.overhang_m && x_m <= last_m + deck.overhang_m && y_m >= 0.0 &&
           y_m <= deck.width_m;
}

Bench::Weight* Bench::weight(double number) {
    for (Weight& each : weights_) {
        if (each.number == number) return &each;
    }
    return nullptr;
}

bool Bench::put(double x_m, double y_m, double kg) {
    if (!on(x_m, y_m) || !(kg > 0.0 && kg <= heaviest_weight_kg) || weights_.size() == most_weights)
        return false;
    const int in_world = scale_.world().put({kg, x_m, y_m, put_in_s});
    weights_.push_back({++last_weight_, in_world, x_m, y_m, kg});
    return true;
}

bool Bench::move(Weight& weight, double x_m, double y_m) {
    if (!on(x_m, y_m)) return false;
    scale_.world().take_off(weight.in_world);
    weight.in_world = scale_.world().put({weight.kg, x_m, y_m, moved_in_s});
    weight.x_m = x_m;
    weight.y_m = y_m;
    return true;
}

bool Bench::drive(double vehicle, double front_m) {
    const int kind = index_in(vehicle, static_cast<int>(start_.vehicles.size()));
    if (kind < 0 || vehicle_ != 0 || !(std::fabs(front_m) <= 200.0)) return false;
    world::Approach approach;
    approach.stop_front_at_m = front_m;
    vehicle_kind_ = static_cast<std::size_t>(kind);
    vehicle_front_m_ = front_m;
    vehicle_ = scale_.world().drive_on(start_.vehicles[vehicle_kind_], approach);
    return true;
}

bool Bench::inject(const std::array<double, max_deed_numbers>& number) {
    const scale::Description& d = start_.description;
    const int which = index_in(number[0], scale::cause_count);
    if (which < 0) return false;
    const auto cause = static_cast<scale::Cause>(which);
    if (cause == scale::Cause::healthy || cause == scale::Cause::unlisted || !scale::possible(d, cause))
        return false;
    const int site = index_in(number[1], scale::site_count(d, cause));
    const int variant = index_in(number[2], scale::variant_count(d, cause));
    if (site < 0 || variant < 0) return false;
    scale::Fault fault;
    fault.cause = cause;
    fault.site = scale::site_at(d, cause, site);
    fault.variant = scale::variant_at(d, cause, variant);
    const scale::Magnitudes bounds = scale::magnitudes_of(d, cause, fault.site);
    for (std::size_t i = 0; i < static_cast<std::size_t>(bounds.count); ++i) {
        if (!std::isfinite(number[3 + i])) return false;
        fault.magnitude[i] = std::clamp(number[3 + i], bounds.of[i].low, bounds.of[i].high);
    }
    return put_in(fault, number[5] != 0.0);
}

bool Bench::put_in(const scale::Fault& fault, bool hidden) {
    if (faults_.size() == most_faults || !scale_.refuses(fault).empty()) return false;
    fault_in_world_.push_back(scale_.world().inject({fault, {}}));
    faults_.push_back({++last_fault_, fault, hidden});
    return true;
}

bool Bench::hide(double seed) {
    if (!(seed >= 0.0 && seed < 4.3e9)) return false;
    const scale::Description& d = start_.description;
    diagnosis::Priors weights = diagnosis::default_priors(d);
    weights[static_cast<std::size_t>(scale::index_of(scale::Cause::healthy))] = 0.0;
    weights[static_cast<std::size_t>(scale::index_of(scale::Cause::unlisted))] = 0.0;
    field::RandomSource random(static_cast<std::uint64_t>(seed), hidden_stream);
    return put_in(field::draw_fault(d, weights, random), true);
}

Bench::Named Bench::named(int cause, int site) const {
    if (cause == scale::index_of(scale::Cause::healthy)) return faults_.empty() ? Named::right : Named::wrong;
    Named best = Named::wrong;
    const scale::Description& d = start_.description;
    for (const Present& each : faults_) {
        if (scale::index_of(each.fault.cause) != cause) continue;
        const bool here = site >= 0 && site < scale::site_count(d, each.fault.cause) &&
                          scale::site_at(d, each.fault.cause, site) == each.fault.site;
        if (here) return Named::right;
        best = Named::cause_elsewhere;
    }
    return best;
}

bool Bench::mend(double number) {
    bool any = false;
    for (std::size_t i = faults_.size(); i-- > 0;) {
        if (number != 0.0 && number != faults_[i].number) continue;
        scale_.world().mend(fault_in_world_[i]);
        faults_.erase(faults_.begin() + static_cast<std::ptrdiff_t>(i));
        fault_in_world_.erase(fault_in_world_.begin() + static_cast<std::ptrdiff_t>(i));
        any = true;
    }
    return any;
}

bool Bench::turn_trim(double position, double by) {
    const scale::Description& d = start_.description;
    const int at = index_in(position, d.cell_count());
    const bool has_trims = d.converter == scale::Converter::summed && d.trim.kind != scale::TrimKind::none;
    if (at < 0 || !has_trims || !std::isfinite(by)) return false;
    const double now = scale_.world().condition().positions[static_cast<std::size_t>(at)].trim_at;
    const double wanted = std::clamp(now + by, 0.0, scale::trim_last_position(d.trim));
    scale_.world().turn_trim(at, wanted - now);
    return true;
}

bool Bench::act(const Deed& deed) {
    const auto& number = deed.number;
    switch (deed.kind) {
        case DeedKind::put:
            return put(number[0], number[1], number[2]);
        case DeedKind::move:
            return weight(number[0]) != nullptr && move(*weight(number[0]), number[1], number[2]);
        case DeedKind::lift: {
            Weight* const lifted = weight(number[0]);
            if (lifted == nullptr) return false;
            scale_.world().take_off(lifted->in_world);
            weights_.erase(weights_.begin() + (lifted - weights_.data()));
            return true;
        }
        case DeedKind::drive:
            return drive(number[0], number[1]);
        case DeedKind::leave:
            leaving_ = vehicle_ != 0 && !leaving_ && scale_.world().drive_off(vehicle_);
            return leaving_;
        case DeedKind::fault:
            return inject(number);
        case DeedKind::mend:
            return mend(number[0]);
        case DeedKind::key: {
            const int key = index_in(number[0], 5);
            return key >= 0 && scale_.powered() && scale_.board().panel.press(static_cast<hal::Key>(key));
        }
        case DeedKind::trim:
            return turn_trim(number[0], number[1]);
        case DeedKind::power:
            if ((number[0] != 0.0) == scale_.powered()) return false;
            number[0] != 0.0 ? scale_.restore_power() : scale_.cut_power(++cuts_);
            return true;
        case DeedKind::read:
            return read(number);
        case DeedKind::call:
        case DeedKind::hint:
        case DeedKind::answer:
            return true;
        case DeedKind::hide:
            return hide(number[0]);
        case DeedKind::probe: {
            const auto wanted = as_long_as(number[0], number[1]);
            if (!wanted || probed_.size() == most_readings) return false;
            probed_.push_back({readings_.size(), *wanted});
            return true;
        }
        case DeedKind::reveal:
            revealed_ = true;
            return true;
    }
    return false;
}

std::vector<OnDeck> Bench::on_deck() const {
    std::vector<OnDeck> all;
    for (const Weight& each : weights_) all.push_back({each.number, each.x_m, each.y_m, each.kg});
    const auto* ride = vehicle_ != 0 ? const_cast<Bench*>(this)->scale_.world().vehicle(vehicle_) : nullptr;
    if (ride == nullptr) return all;
    // Axles that are still beside the deck as well: the page draws the whole vehicle.
    for (const files::Axle& axle : start_.vehicles[vehicle_kind_].axles)
        all.push_back({0, ride->front_x_m() - axle.behind_front_m, 0.5 * start_.description.deck.width_m,
                       axle.mass_kg});
    return all;
}

diagnosis::Load Bench::load() const {
    diagnosis::Load load;
    for (const OnDeck& each : on_deck()) {
        const bool room = load.count < diagnosis::max_standing;
        if (room && on(each.x_m, each.y_m))
            load.standing[static_cast<std::size_t>(load.count++)] = {each.kg, each.x_m, each.y_m};
    }
    return load;
}

std::vector<double> Bench::terminal_volts() const {
    world::World& world = const_cast<Bench*>(this)->scale_.world();
    return page::terminal_volts(world.box().exact(), world.condition(), world.ratios());
}

std::optional<diagnosis::Reading> Bench::as_long_as(double terminal_a, double terminal_b) const {
    const int positions = start_.description.cell_count();
    const int all = terminal_count(positions);
    const int a = index_in(terminal_a, all);
    const int b = index_in(terminal_b, all);
    if (a < 0 || b < 0) return std::nullopt;
    diagnosis::Reading reading;
    reading.quantity = diagnosis::Quantity::excitation;
    const int indicator_first = terminal_count(positions) - indicator_terminals;
    if (a >= indicator_first && b >= indicator_first)
        reading.place = diagnosis::ExcitationPlace::indicator;
    else if (std::min(a, b) < positions * terminals_per_position)
        reading.place = diagnosis::ExcitationPlace::cell;
    reading.cell = std::min(std::min(a, b) / terminals_per_position, positions - 1);
    return reading;
}

double Bench::corner_spread_divisions() const {
    return field::corner_spread_divisions(start_.description,
                                          const_cast<Bench*>(this)->scale_.world().condition());
}

diagnosis::Reading Bench::shown_weight() const {
    diagnosis::Reading r;
    r.quantity = diagnosis::Quantity::weight;
    if (!scale_.powered() || !scale_.indicator().readout().has_weight()) {
        r.shown = diagnosis::Shown::blank;
        if (!scale_.powered()) return r;
        const weighing::NoWeight why = scale_.indicator().readout().why;
        if (why == weighing::NoWeight::over_range) r.shown = diagnosis::Shown::over_range;
        if (why == weighing::NoWeight::under_range) r.shown = diagnosis::Shown::under_range;
        return r;
    }
    const weighing::Readout& readout = scale_.indicator().readout();
    const double division = start_.description.division_at_kg(readout.gross_kg);
    r.value = std::round(readout.gross_kg / division) * division;
    return r;
}

bool Bench::read(const std::array<double, max_deed_numbers>& number) {
    const int quantity = index_in(number[0], static_cast<int>(diagnosis::Quantity::channel) + 1);
    if (quantity < 0 || readings_.size() == most_readings) return false;
    diagnosis::Reading r;
    r.quantity = static_cast<diagnosis::Quantity>(quantity);
    if (r.quantity == diagnosis::Quantity::weight) {
        // A display that waits for its zero to be set says nothing of the load.
        if (scale_.powered() && scale_.indicator().readout().why == weighing::NoWeight::zero_lost)
            return false;
        r = shown_weight();
    } else {
        world::World& world = scale_.world();
        if (!take_reading(number,
                          {start_.description, world.condition(), world.box().exact(), world.ratios()},
                          faults(), r))
            return false;
    }
    r.load = load();
    const bool remembers = r.quantity == diagnosis::Quantity::weight;
    const double kg = r.load.total_kg();
    if (remembers && kg == 0.0 && heaviest_kg_ > 0.0) r.direction = diagnosis::Direction::returned;
    if (remembers && kg > 0.0 && heaviest_kg_ <= kg) r.direction = diagnosis::Direction::increasing;
    readings_.push_back(r);
    if (kg == 0.0) heaviest_kg_ = 0.0;
    return true;
}

}  // namespace cornerbench::page

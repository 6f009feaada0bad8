#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/bad_days/day_run.h"
#include "sim/field/corner_test.h"
#include "sim/field/places.h"
#include "sim/virtual_scale/traffic.h"

namespace cornerbench::bad_days {

void DayRun::act() {
    const double which = random_.share();
    if (which < 0.55)
        move_loads();
    else if (which < 0.7)
        say("FETC?");
    else if (which < 0.76)
        press(hal::Key::tare);
    else if (which < 0.8)
        press(hal::Key::clear);
    else if (which < 0.86)
        press(hal::Key::print);
    else if (which < 0.9)
        press(hal::Key::zero);
    constexpr double stands_s[] = {0.05, 0.4, 1.2, 2.5, 4.0};
    stand(stands_s[random_.index(5)]);
}

void DayRun::move_loads() {
    const bool loaded = vehicle_ != 0 || !weights_.empty();
    if (loaded && random_.share() < 0.5) return take_off();
    const double which = random_.share();
    if (which < 0.25 && !loaded) return drive_on();
    if (which < 0.5 && weights_.empty()) return spread();
    put(random_.share());
}

void DayRun::drive_on() {
    const files::Vehicle truck = virtual_scale::random_truck(d_, random_);
    const scale::Deck& deck = d_.deck;
    const double first_m = deck.section_x_m[0];
    const double last_m = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)];
    world::Approach approach;
    approach.from = random_.share() < 0.5 ? world::End::left : world::End::right;
    approach.speed_m_per_s = random_.between(2.0, 4.0);
    if (random_.share() < 0.9) approach.stop_front_at_m = random_.between(first_m, last_m);
    vehicle_ = v_->world().drive_on(truck, approach);
    tell("a truck drives on");
    stand(random_.between(1.0, 6.0));
}

void DayRun::put(double share_of_room) {
    double room_kg = field::standard_test_kg(scale_.standard, d_);
    for (const auto& [number, there_kg] : weights_) room_kg -= there_kg;
    const double kg =
        random_.share() < 0.3 ? random_.between(0.2, 60.0) * d_.division_kg : share_of_room * room_kg;
    if (kg > room_kg || kg <= 0.0) return;
    const scale::Deck& deck = d_.deck;
    const double x_m =
        random_.between(deck.section_x_m[0], deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)]);
    // What comes as slowly as zero tracking may follow (half a division a second, R 76-1:2006, 4.5.7) is
    // drift to any indicator.
    const double lowered_s = kg < 10.0 * d_.division_kg || random_.share() < 0.5 ? 0.0 : 0.5;
    weights_[v_->world().put({kg, x_m, random_.between(0.0, deck.width_m), lowered_s})] = kg;
    tell(fmt::format("{:.0f} kg are put on", kg));
}

/// Evenly over all supports, up to Max.
void DayRun::spread() {
    const double kg = random_.between(0.05, 0.95) * d_.max_kg;
    for (int i = 0; i < d_.cell_count(); ++i) {
        const field::Place place = field::over_support(d_.deck, i);
        const double part_kg = kg / d_.cell_count();
        weights_[v_->world().put({part_kg, place.x_m, place.y_m, 0.0})] = part_kg;
    }
    tell(fmt::format("{:.0f} kg are spread over the deck", kg));
}

void DayRun::take_off() {
    if (vehicle_ != 0) {
        v_->world().drive_off(vehicle_, {random_.share() < 0.3, random_.between(2.0, 4.0), 1.5});
        vehicle_ = 0;
        tell("the truck drives off");
        return stand(random_.between(1.0, 6.0));
    }
    for (const auto& [number, kg] : weights_) v_->world().take_off(number);
    weights_.clear();
    tell("the weights are taken off");
}

void DayRun::press(hal::Key key) {
    if (!v_->powered()) return;
    constexpr const char* names[] = {"zero", "tare", "clear", "unit", "print"};
    v_->board().panel.press(key);
    frame();
    tell(fmt::format("key {}", names[static_cast<int>(key)]));
}

}  // namespace cornerbench::bad_days

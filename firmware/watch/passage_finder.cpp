#include "firmware/watch/passage_finder.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::watch {

namespace {

constexpr int empty_memory = 16;  ///< outputs over which the empty deck is averaged
constexpr int after_outputs = 8;  ///< of the empty deck behind a truck

ChannelLevels less(const ChannelLevels& a, const ChannelLevels& b) {
    ChannelLevels kg{};
    for (std::size_t i = 0; i < kg.size(); ++i) kg[i] = a[i] - b[i];
    return kg;
}

}  // namespace

double PassageFinder::total(const ChannelLevels& kg) const {
    double sum = 0.0;
    for (const double channel_kg : kg) sum += channel_kg;
    return sum;
}

bool PassageFinder::is_light(double kg) const {
    return empty_known_ && std::fabs(kg - empty_kg_) < settings_.empty_share * settings_.max_kg;
}

void PassageFinder::interrupt() {
    if (occupied()) give_up();
    phase_ = Phase::unknown;
    seen_ = 0;
    quiet_ = 0;
    empty_.clear();
    lowest_known_ = false;
}

void PassageFinder::give_up() {
    if (phase_ != Phase::broken) ++given_up_;
    phase_ = Phase::broken;
}

void PassageFinder::begin() {
    ++trucks_;
    phase_ = Phase::coming;
    stepping_ = true;
    quiet_ = 0;
    level_.clear();
    start_.clear();
    stood_.clear();
    after_.clear();
    closed_known_ = first_known_ = false;
    levels_known_ = true;
    steps_up_ = 1;
    steps_down_ = 0;
    passage_ = {};
    passage_.channels = settings_.channels;
    passage_.truck = trucks_;
    passage_.empty_before = empty_.mean();
}

void PassageFinder::add_to_level(const ChannelLevels& kg) {
    newest_[static_cast<std::size_t>(level_.count % edge_size)] = kg;
    level_.add(kg);
    if (start_.count < edge_size) start_.add(kg);
}

void PassageFinder::note_rest(const ChannelLevels& kg, std::int64_t taken_us) {
    if (phase_ == Phase::coming) {
        phase_ = Phase::standing;
        stood_.clear();
        passage_.rolled_on = start_.mean();
        passage_.before_last = closed_;
        passage_.stood_us = taken_us;
        // A single step has no level before it.
        levels_known_ = levels_known_ && first_known_ && start_.count > 0;
    }
    if (phase_ == Phase::standing) stood_.add(kg);
}

void PassageFinder::close_level() {
    closed_known_ = level_.count > 0;
    closed_ = level_.mean();
    if (phase_ == Phase::standing) {
        LevelMean end;
        for (int i = 0; i < edge_size && i < level_.count; ++i) end.add(newest_[static_cast<std::size_t>(i)]);
        passage_.rolling_off = end.mean();
    }
    level_.clear();
    start_.clear();
}

void PassageFinder::step(bool up) {
    switch (phase_) {
        case Phase::coming:
            if (!up) return give_up();
            close_level();
            if (!first_known_) first_ = closed_;
            first_known_ = true;
            break;
        case Phase::standing:
            // More of it comes on: what stood was not the whole truck.
            close_level();
            if (up)
                phase_ = Phase::coming;
            else
                phase_ = Phase::leaving;
            break;
        case Phase::leaving:
            if (up) return give_up();
            close_level();
            if (steps_down_ == 1) passage_.first_gone = closed_;
            break;
        default:
            return;
    }
    levels_known_ = levels_known_ && closed_known_;
    ++(up ? steps_up_ : steps_down_);
}

bool PassageFinder::finish() {
    const ChannelLevels after = after_.mean();
    Passage& p = passage_;
    p.staircase = levels_known_ && steps_up_ >= 2 && steps_up_ == steps_down_;
    p.last_axle = less(closed_, after);
    p.first_gone = less(p.first_gone, after);
    p.rolling_off = less(p.rolling_off, after);
    p.first_axle = less(first_, p.empty_before);
    p.before_last = less(p.before_last, p.empty_before);
    p.rolled_on = less(p.rolled_on, p.empty_before);
    p.stood = less(stood_.mean(), p.empty_before);
    p.returned = less(after, p.empty_before);
    const bool whole = stood_.count > 0 && p.total(p.stood) != 0.0;
    if (!whole) ++given_up_;
    phase_ = Phase::empty;
    empty_ = after_;
    return whole;
}

void PassageFinder::rests_empty_at(double kg) {
    phase_ = Phase::empty;
    empty_known_ = true;
    empty_kg_ = kg;
    lowest_known_ = false;
}

bool PassageFinder::came_back(double kg) {
    const double near_kg = settings_.empty_share * settings_.max_kg;
    if (!lowest_known_ || kg < lowest_kg_ - near_kg) {
        lowest_known_ = true;
        lowest_kg_ = kg;
        loaded_since_ = false;
    }
    if (kg > lowest_kg_ + settings_.left_share * settings_.max_kg) loaded_since_ = true;
    return loaded_since_ && kg < lowest_kg_ + near_kg;
}

bool PassageFinder::rest_empty(double kg, double gross_kg, bool& whole) {
    const double near_kg = settings_.empty_share * settings_.max_kg;
    const double left_kg = settings_.left_share * settings_.max_kg;
    const bool at_zero =
        std::fabs(gross_kg) < near_kg && (!empty_known_ || kg < empty_kg_ + left_kg || !occupied());
    const bool light = at_zero || is_light(kg);
    // No truck weighs less than nothing: a cell has let go, or zero was set on a load.
    const bool below = empty_known_ ? kg < empty_kg_ - near_kg : gross_kg < -near_kg;
    const bool leaves = phase_ == Phase::leaving || phase_ == Phase::left;
    if (leaves && (light || below || kg < empty_kg_ + left_kg)) {
        phase_ = Phase::left;
        after_.add(last_[0]);
        whole = after_.count >= after_outputs && finish();
        if (phase_ == Phase::empty) rests_empty_at(kg);
        return true;
    }
    if (phase_ == Phase::empty && light) {
        // Zero may be found again far from where it was.
        if (empty_.count > 0 && std::fabs(kg - total(empty_.mean())) > near_kg) empty_.clear();
        if (empty_.count >= empty_memory) {
            for (double& sum : empty_.sum) sum *= 1.0 - 1.0 / empty_memory;
            --empty_.count;
        }
        // Two outputs old: none that a truck has touched.
        empty_.add(last_[delay]);
    } else if (light || below || (phase_ != Phase::empty && came_back(kg))) {
        if (occupied() && phase_ != Phase::broken) ++given_up_;
        empty_.clear();
    } else {
        return false;
    }
    rests_empty_at(kg);
    return true;
}

bool PassageFinder::take(const WatchedOutput& output) {
    for (int i = delay; i > 0; --i)
        last_[static_cast<std::size_t>(i)] = last_[static_cast<std::size_t>(i - 1)];
    last_[0] = {};
    for (std::size_t i = 0; i < output.channel_kg.size() && i < last_[0].size(); ++i)
        last_[0][i] = output.channel_kg[i];
    if (seen_ <= delay) ++seen_;
    if (seen_ <= delay) return false;

    const double kg = total(last_[0]);
    const double before_kg = total(last_[delay]);
    const double change_kg = kg - before_kg;
    const double step_kg = std::max(settings_.step_of_max * settings_.max_kg,
                                    settings_.step_of_load * std::fabs(before_kg - empty_kg_));
    const bool jumps = std::fabs(change_kg) > step_kg;

    bool whole = false;
    if (output.at_rest && rest_empty(kg, output.gross_kg, whole)) return whole;
    if (phase_ == Phase::unknown) return false;
    if (phase_ == Phase::empty) {
        if (is_light(kg) || kg < empty_kg_) return false;
        if (empty_.count == 0) {
            phase_ = Phase::broken;
            ++trucks_;
            ++given_up_;
            return false;
        }
        begin();
        return false;
    }
    if (phase_ == Phase::left) give_up();
    if (phase_ == Phase::broken) return false;

    if (jumps) {
        if (!stepping_) step(change_kg > 0.0);
        stepping_ = true;
        quiet_ = 0;
        return false;
    }
    stepping_ = false;
    if (++quiet_ > delay) {
        add_to_level(last_[delay]);
        if (output.at_rest) note_rest(last_[0], output.taken_us);
    }
    return false;
}

}  // namespace cornerbench::watch

#include "sim/world/journey.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::world {

void Journey::stop_at(double stop_m, double braking) {
    const double way = stop_m - from_m_;
    if (speed_ <= 0.0 || way <= 0.0) {
        speed_ = 0.0;
        pieces_ = {};
        has_pieces_ = false;
        return;
    }
    const double least_braking = 0.5 * speed_ * speed_ / way;
    const double a = std::max(braking, least_braking);
    const double cruise_s = std::max(0.0, (way - 0.5 * speed_ * speed_ / a) / speed_);
    pieces_ = {{{cruise_s, 0.0}, {speed_ / a, -a}}};
    has_pieces_ = true;
    last_speed_ = 0.0;
}

void Journey::go(double now_s, double speed, double acceleration) {
    const double x = position_m(now_s);
    const double v = speed_m_per_s(now_s);
    const double a = std::fabs(acceleration);
    *this = Journey(now_s, x, v);
    const double change = speed - v;
    if (a > 0.0) {
        pieces_ = {{{std::fabs(change) / a, change < 0.0 ? -a : a}, {0.0, 0.0}}};
        has_pieces_ = true;
        last_speed_ = speed;
    } else {
        speed_ = speed;
    }
}

double Journey::position_m(double now_s) const {
    double rest = std::max(0.0, now_s - start_s_);
    double x = from_m_;
    double v = speed_;
    if (!has_pieces_) return x + v * rest;
    for (const Piece& piece : pieces_) {
        const double t = std::min(rest, piece.lasts_s);
        x += v * t + 0.5 * piece.acceleration * t * t;
        v += piece.acceleration * t;
        rest -= t;
    }
    return x + last_speed_ * rest;
}

double Journey::speed_m_per_s(double now_s) const {
    double rest = std::max(0.0, now_s - start_s_);
    if (!has_pieces_) return speed_;
    double v = speed_;
    for (const Piece& piece : pieces_) {
        if (rest < piece.lasts_s) return v + piece.acceleration * rest;
        v += piece.acceleration * piece.lasts_s;
        rest -= piece.lasts_s;
    }
    return last_speed_;
}

double Journey::acceleration_m_per_s2(double now_s) const {
    double rest = std::max(0.0, now_s - start_s_);
    if (!has_pieces_) return 0.0;
    for (const Piece& piece : pieces_) {
        if (rest < piece.lasts_s) return piece.acceleration;
        rest -= piece.lasts_s;
    }
    return 0.0;
}

bool Journey::stands(double now_s) const {
    if (!has_pieces_) return speed_ == 0.0;
    return last_speed_ == 0.0 && now_s - start_s_ >= pieces_[0].lasts_s + pieces_[1].lasts_s;
}

}  // namespace cornerbench::world

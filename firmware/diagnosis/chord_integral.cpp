#include "firmware/diagnosis/chord_integral.h"

#include <cmath>
#include <utility>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

constexpr double log_sqrt_2pi = 0.91893853320467274178;
/// A piece this far below the whole, in log density, adds nothing that would be printed.
constexpr double negligible = 9.0;
/// A piece with a jump is off by half of itself at most.
constexpr double slight_jump = 5.0;
/// In place of a distance that nothing tells.
constexpr double anywhere = 1.0e9;
/// What is apart from the residuals bends a piece by no more than this: beyond it all is lost anyway.
constexpr double steepest = 30.0;
/// A quantile is found to this power of a half of a piece's width.
constexpr int halvings = 24;
/// The estimate of a bend comes from neighbours: allow for half as much again.
constexpr double bend_margin = 1.5;

}  // namespace

double ChordIntegral::Parabola::log_area(double to) const {
    if (to <= 0.0) return -1.0e300;
    if (half_square < 1.0e-7) {
        const double rise = slope * to;
        if (std::fabs(rise) < 1.0e-8) return constant + numbers::log(to);
        const double high = rise > 0.0 ? rise : 0.0;
        const double share = (1.0 - numbers::exp(-std::fabs(rise))) / std::fabs(slope);
        return constant + high + numbers::log(share);
    }
    const double sigma = 1.0 / std::sqrt(2.0 * half_square);
    const double centre = 0.5 * slope / half_square;
    return constant + 0.25 * slope * slope / half_square + numbers::log(sigma) + log_sqrt_2pi +
           numbers::log_normal_between(-centre / sigma, (to - centre) / sigma);
}

ChordIntegral::ChordIntegral(numbers::Arena& arena, int rows) : capacity_(rows) {
    white_ = arena.take(max_points * rows);
}

int ChordIntegral::add_point(Curve& curve, double u) {
    const int at = points_++;
    u_[at] = u;
    if (!curve.at(u, white_of(at), apart_[at])) {
        for (double& x : white_of(at)) x = 0.0;
        apart_[at] = impossible;
    }
    branch_[at] = curve.branch();
    return at;
}

ChordIntegral::Parabola ChordIntegral::along(const Piece& piece) const {
    const auto from = white_of(piece.left);
    const auto to = white_of(piece.right);
    double square = 0.0;
    double cross = 0.0;
    double span = 0.0;
    for (int i = 0; i < rows_; ++i) {
        const double step = to[i] - from[i];
        square += from[i] * from[i];
        cross += from[i] * step;
        span += step * step;
    }
    return {apart_[piece.left] - 0.5 * square, apart_[piece.right] - apart_[piece.left] - cross, 0.5 * span};
}

double ChordIntegral::log_area(const Piece& piece, double to) const {
    const bool from_left = stands(piece.left);
    const bool from_right = stands(piece.right);
    if (jumps(piece)) {
        const double first = log_density(piece.left) + numbers::log(to < 0.5 ? to : 0.5);
        return to > 0.5 ? numbers::log_sum(first, log_density(piece.right) + numbers::log(to - 0.5)) : first;
    }
    if (from_left && from_right) return along(piece).log_area(to);
    // Somewhere on this piece the scale falls: taken as its middle.
    const double share = from_left ? (to < 0.5 ? to : 0.5) : from_right && to > 0.5 ? to - 0.5 : 0.0;
    if (share <= 0.0) return -1.0e300;
    return log_density(from_left ? piece.left : piece.right) + numbers::log(share);
}

double ChordIntegral::log_density(int point) const {
    double square = 0.0;
    for (const double x : white_of(point)) square += x * x;
    return apart_[point] - 0.5 * square;
}

double ChordIntegral::distance(int a, int b) const {
    double square = 0.0;
    for (int i = 0; i < rows_; ++i) {
        const double step = white_of(a)[i] - white_of(b)[i];
        square += step * step;
    }
    return std::sqrt(square);
}

double ChordIntegral::bound_near(int point, double bend) const {
    double square = 0.0;
    for (const double x : white_of(point)) square += x * x;
    const double near = std::sqrt(square) - bend_margin * bend;
    return apart_[point] - (near > 0.0 ? 0.5 * near * near : 0.0);
}

void ChordIntegral::measure(Piece& piece) const {
    piece.log_value = log_area(piece, 1.0) + numbers::log(u_[piece.right] - u_[piece.left]);
    if (jumps(piece)) {
        const double left = log_density(piece.left);
        const double right = log_density(piece.right);
        piece.peak_t = left > right ? 0.0 : 1.0;
        piece.peak = left > right ? left : right;
        const double near_left = bound_near(piece.left, piece.bend);
        const double near_right = bound_near(piece.right, piece.bend);
        piece.bound = near_left > near_right ? near_left : near_right;
        return;
    }
    double t = stands(piece.right) ? 1.0 : 0.0;
    if (stands(piece.left) && stands(piece.right)) {
        const Parabola p = along(piece);
        t = p.half_square > 1.0e-12 ? 0.5 * p.slope / p.half_square : (p.slope > 0.0 ? 1.0 : 0.0);
        t = t < 0.0 ? 0.0 : t > 1.0 ? 1.0 : t;
        piece.peak = p.constant + t * (p.slope - t * p.half_square);
    } else {
        piece.peak = log_density(stands(piece.right) ? piece.right : piece.left);
    }
    piece.peak_t = t;

    const double apart = apart_[piece.left] > apart_[piece.right] ? apart_[piece.left] : apart_[piece.right];
    double square = 0.0;
    for (int i = 0; i < rows_; ++i) {
        const double w = white_of(piece.left)[i] * (1.0 - t) + white_of(piece.right)[i] * t;
        square += w * w;
    }
    const double near = std::sqrt(square) - bend_margin * piece.bend;
    const double bound = apart - (near > 0.0 ? 0.5 * near * near : 0.0);
    piece.bound = bound > piece.peak ? bound : piece.peak;
}

double ChordIntegral::bend_between(int left, int middle, int right) const {
    const double t = (u_[middle] - u_[left]) / (u_[right] - u_[left]);
    double square = 0.0;
    for (int i = 0; i < rows_; ++i) {
        const double chord = white_of(left)[i] * (1.0 - t) + white_of(right)[i] * t;
        const double off = white_of(middle)[i] - chord;
        square += off * off;
    }
    const double apart = std::fabs(apart_[middle] - apart_[left] * (1.0 - t) - apart_[right] * t);
    const double bend = std::sqrt(square) + (apart < steepest ? apart : steepest);
    // As if in the middle of a parabola, where t (1 - t) is a quarter.
    return bend * 0.25 / (t * (1.0 - t));
}

double ChordIntegral::first_bend(int i, int points) const {
    const bool jump = jumps({i, i + 1});
    double most = 0.0;
    bool told = false;
    for (const int left : {i - 1, i}) {
        if (left < 0 || left + 2 >= points) continue;
        if (same_branch(left, left + 1) && same_branch(left + 1, left + 2)) {
            const double bend = 0.25 * bend_between(left, left + 1, left + 2);
            most = bend > most ? bend : most;
            told = true;
        } else if (const int beside = left < i ? i - 1 : i + 1; jump && same_branch(beside, beside + 1)) {
            const double travel = distance(beside, beside + 1);
            most = travel > most ? travel : most;
            told = true;
        }
    }
    if (told) return most;
    return jump ? anywhere : distance(i, i + 1);
}

double ChordIntegral::bend_of_part(int end, int middle, int beyond, double share, double bend) const {
    if (same_branch(end, middle) && same_branch(middle, beyond)) return bend * share * share;
    // How far the curve went on the one side tells how far it may go where it jumps.
    if (same_branch(end, middle)) return 0.5 * distance(end, middle);
    if (same_branch(middle, beyond)) return distance(middle, beyond) * share / (1.0 - share);
    return anywhere;
}

double ChordIntegral::total() const {
    double sum = -1.0e300;
    for (int i = 0; i < pieces_; ++i) sum = numbers::log_sum(sum, piece_[i].log_value);
    return sum;
}

ChordResult ChordIntegral::integrate(Curve& curve, int rows, const ChordEffort& effort) {
    rows_ = rows;
    points_ = 0;
    pieces_ = 0;
    const int first = effort.first_points < 3 ? 3 : effort.first_points;
    for (int i = 0; i < first; ++i) add_point(curve, static_cast<double>(i) / (first - 1));
    for (int i = 0; i + 1 < first; ++i) {
        Piece& piece = piece_[pieces_++];
        piece = {i, i + 1};
        piece.bend = first_bend(i, first);
        measure(piece);
    }
    double sum = total();
    bool converged = false;
    for (int split = 0; split <= effort.splits && points_ < max_points; ++split) {
        int chosen = -1;
        for (int i = 0; i < pieces_; ++i) {
            const Piece& piece = piece_[i];
            if (jumps(piece)) {
                const double width = u_[piece.right] - u_[piece.left];
                if (piece.bound + numbers::log(width) < sum - slight_jump) continue;
            } else if (piece.bend < effort.straight) {
                continue;
            }
            if (chosen < 0 || piece_[i].bound > piece_[chosen].bound) chosen = i;
        }
        if (chosen < 0) {
            converged = true;
            break;
        }
        const Piece old = piece_[chosen];
        const double width = numbers::log(u_[old.right] - u_[old.left]);
        if (old.bound + width < sum - negligible || old.bound < effort.worth) {
            converged = true;
            break;
        }
        if (split == effort.splits) break;
        const double peak_t = jumps(old) ? 0.5 : old.peak_t;
        const double t = peak_t < 0.25 ? 0.25 : peak_t > 0.75 ? 0.75 : peak_t;
        const int middle = add_point(curve, u_[old.left] + t * (u_[old.right] - u_[old.left]));
        const double bend = bend_between(old.left, middle, old.right);
        piece_[chosen] = {old.left, middle, bend_of_part(old.left, middle, old.right, t, bend)};
        piece_[pieces_] = {middle, old.right, bend_of_part(old.right, middle, old.left, 1.0 - t, bend)};
        measure(piece_[chosen]);
        measure(piece_[pieces_++]);
        sum = total();
    }

    ChordResult result;
    result.log_integral = sum;
    result.points = points_;
    result.converged = converged;
    for (int i = 0; i < pieces_; ++i) {
        const Piece& piece = piece_[i];
        if (piece.bound > result.bound) result.bound = piece.bound;
        if (piece.peak > result.best_log_density) {
            result.best_log_density = piece.peak;
            result.best_u = u_[piece.left] + piece.peak_t * (u_[piece.right] - u_[piece.left]);
        }
    }
    if (effort.quantiles) fill_quantiles(result);
    return result;
}

void ChordIntegral::fill_quantiles(ChordResult& result) {
    for (int i = 1; i < pieces_; ++i) {
        for (int j = i; j > 0 && u_[piece_[j].left] < u_[piece_[j - 1].left]; --j) {
            std::swap(piece_[j], piece_[j - 1]);
        }
    }
    const double shares[] = {0.05, 0.5, 0.95};
    double* const out[] = {&result.low_u, &result.middle_u, &result.high_u};
    double below = 0.0;
    int next = 0;
    for (int i = 0; i < pieces_ && next < 3; ++i) {
        const Piece& piece = piece_[i];
        const double width = u_[piece.right] - u_[piece.left];
        const double mass = numbers::exp(piece.log_value - result.log_integral);
        while (next < 3 && (below + mass >= shares[next] || i + 1 == pieces_)) {
            const double scale = numbers::log(width) - result.log_integral;
            double low = 0.0;
            double high = 1.0;
            for (int step = 0; step < halvings; ++step) {
                const double t = 0.5 * (low + high);
                (below + numbers::exp(log_area(piece, t) + scale) < shares[next] ? low : high) = t;
            }
            *out[next++] = u_[piece.left] + high * width;
        }
        below += mass;
    }
}

}  // namespace cornerbench::diagnosis

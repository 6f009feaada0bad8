#include "sim/training/task_answer.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "sim/field/possible_checks.h"

namespace cornerbench::training {

using diagnosis::Load;
using diagnosis::Standing;

namespace {

/// As far as somebody who means the same place may be off.
constexpr double same_place_m = 0.13;
constexpr double same_mass = 0.01;

std::span<const Standing> standing_of(const Load& load) {
    return std::span(load.standing).first(static_cast<std::size_t>(load.count));
}

bool nearly_same(const Load& read, const Load& asked) {
    if (read.count != asked.count) return false;
    const auto stands_there = [&](const Standing& q) {
        const auto all = standing_of(read);
        return std::any_of(all.begin(), all.end(), [&](const Standing& p) {
            return std::fabs(p.mass_kg - q.mass_kg) <= same_mass * q.mass_kg &&
                   std::hypot(p.x_m - q.x_m, p.y_m - q.y_m) <= same_place_m;
        });
    };
    const auto all = standing_of(asked);
    return std::all_of(all.begin(), all.end(), stands_there);
}

}  // namespace

bool answers_task(const diagnosis::Reading& read, const diagnosis::Reading& asked) {
    diagnosis::Reading meant = read;
    if (nearly_same(read.load, asked.load)) meant.load = asked.load;
    return field::same_check(meant, asked);
}

}  // namespace cornerbench::training

#pragma once

#include <cmath>
#include <cstdint>
#include <string>

#include "firmware/indicator.h"
#include "sim/bad_days/true_zero.h"

/// The indicator's state machines again, each in a few lines, told only what was done and what is shown.
namespace cornerbench::tests {

/// Every sample behind a weight came and was good.
struct SampleModel {
    explicit SampleModel(std::int64_t samples_behind_a_weight) : needed(samples_behind_a_weight) {}

    void restart() { good = waiting = 0; }
    void sample(bool is_good) {
        good = is_good ? good + waiting + 1 : 0;
        waiting = 0;
    }
    bool may_show() const { return good >= needed; }

    std::int64_t needed;
    std::int64_t good = 0;
    std::int64_t waiting = 0;  ///< converted while the clock stood; taken all at once when it goes on
};

/// Tare, tickets and unit. What a key did is read off what is shown after it; whether it may have done so,
/// and whether it had to, off the readouts around it.
struct KeyModel {
    double tare_kg = 0.0;
    weighing::TareKind tare_kind = weighing::TareKind::none;
    std::uint32_t tickets = 0;
    scale::MassUnit unit = scale::MassUnit::kilogram;
    scale::MassUnit kept_unit = scale::MassUnit::kilogram;

    void clear_tare() {
        tare_kg = 0.0;
        tare_kind = weighing::TareKind::none;
    }

    void power_on() {
        clear_tare();
        tickets = 0;
    }

    static bool rests(const weighing::Readout& r) { return r.has_weight() && r.stable; }

    std::string after_tare(const weighing::Readout& before, const weighing::Readout& after) {
        const bool changed =
            after.has_weight() && after.tare_kind == weighing::TareKind::weighed && after.net_kg == 0.0;
        if (changed && !after.stable) return "tared a weight in motion";
        if (changed) {
            tare_kg = after.gross_kg;
            tare_kind = weighing::TareKind::weighed;
        } else if (rests(before) && rests(after) && before.gross_kg > division_kg &&
                   after.gross_kg > division_kg &&
                   std::fmax(before.gross_kg, after.gross_kg) < largest_tare_kg) {
            return "did not tare a weight at rest";
        }
        return {};
    }

    std::string after_print(const weighing::Readout& before, const weighing::Readout& after,
                            std::uint32_t number) {
        if (number == tickets + 1) {
            ++tickets;
            return rests(after) ? "" : "printed without a weight at rest";
        }
        return rests(before) && rests(after) ? "did not print a weight at rest" : "";
    }

    std::string check(const weighing::Readout& r, std::uint32_t number) const {
        if (number != tickets) return "a ticket too many or too few";
        if (!r.has_weight()) return {};
        if (r.tare_kind != tare_kind) return "another kind of tare";
        if (std::fabs(r.tare_kg - tare_kg) > 0.5 * division_kg) return "another tare";
        if (std::fabs(r.net_kg + r.tare_kg - r.gross_kg) > 1.0e-6) return "net and tare make no gross";
        if (r.unit != unit) return "another unit";
        return {};
    }

    double division_kg = 0.0;
    double largest_tare_kg = 0.0;
};

using ZeroPoint = bad_days::TrueZero;

/// The zero in force, the one in the memory for sure, and the one that is perhaps there.
struct ZeroModel {
    ZeroPoint in_force;
    ZeroPoint kept;
    ZeroPoint coming;

    void set(const ZeroPoint& point) { in_force = coming = point; }
    void stored() { kept = coming; }

    /// What the memory gave after power came back.
    std::string power_on(double offset_kg, double slack_kg) {
        const bool is_old = std::fabs(offset_kg - kept.offset_kg) < slack_kg;
        const bool is_new = std::fabs(offset_kg - coming.offset_kg) < slack_kg;
        if (!is_old && !is_new)
            return "keeps a zero that nobody set: " + std::to_string(offset_kg) + " kg, not " +
                   std::to_string(kept.offset_kg) + " or " + std::to_string(coming.offset_kg);
        in_force = kept = coming = is_new ? coming : kept;
        return {};
    }
};

}  // namespace cornerbench::tests

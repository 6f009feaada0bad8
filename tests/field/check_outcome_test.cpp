#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include "sim/field/cause_and_place.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/prediction.h"
#include "sim/field/simulated_sheet.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/sheets.h"

using namespace cornerbench;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Cause;

namespace {

struct Complaint {
    const char* name;
    scale::Description d;
    scale::Fault fault;
};

scale::Fault fault_of(Cause cause, int cell, double magnitude) {
    scale::Fault fault;
    fault.cause = cause;
    fault.site = {scale::SiteKind::cell, cell, 0};
    fault.magnitude[0] = magnitude;
    return fault;
}

/// Corner weights alone, which leave much open.
field::SimulatedSheet corners(const scale::Description& d, const scale::Fault& fault) {
    field::SheetPlan plan;
    plan.excitation = plan.sections = plan.input_output = plan.insulation = false;
    plan.empty_signals = plan.loaded_signals = false;
    const bool healthy = fault.cause == Cause::healthy;
    return field::simulate_sheet(d, std::span(&fault, healthy ? 0 : 1), 7, plan);
}

field::DiagnosedSheet with_reading(const scale::Description& d, const field::SimulatedSheet& sheet,
                                   const Reading& reading) {
    std::vector<Reading> readings = sheet.readings;
    readings.push_back(reading);
    const diagnosis::Sheet longer{readings, sheet.instruments, sheet.zeroed, sheet.history};
    return field::rank_causes(d, longer, diagnosis::default_priors(d));
}

/// Probability of the cause at its place among the causes on the list.
double among_listed(const field::DiagnosedSheet& found, const diagnosis::Candidate& of) {
    double listed = 0.0;
    double own = 0.0;
    for (const diagnosis::Candidate& c : found.candidates) {
        if (c.fault.cause == Cause::unlisted) continue;
        listed += c.probability;
        if (field::same_cause_and_place(c, of)) own += c.probability;
    }
    return own / listed;
}

double most_among_listed(const field::DiagnosedSheet& found) {
    double most = 0.0;
    for (const diagnosis::Candidate& c : found.candidates) most = std::max(most, among_listed(found, c));
    return most;
}

const std::vector<Complaint>& complaints() {
    static const std::vector<Complaint> all{
        {"four cells, healthy", oracle::trimmed_scale(4), {}},
        {"four cells, weak output", oracle::trimmed_scale(4), fault_of(Cause::weak_output, 1, 0.9)},
        {"six cells, loose", oracle::trimmed_scale(6), fault_of(Cause::loose_terminal, 2, 30.0)},
        {"four cells, upside down", oracle::trimmed_scale(4), fault_of(Cause::upside_down, 0, 0.0)}};
    return all;
}

}  // namespace

TEST_CASE("A prediction's shares add up, and its density is their slope", "[field]") {
    field::Prediction p;
    p.at = {2.0, 2.5, 3.0, 3.0, 3.4, 4.0, 4.2};
    p.deviation = 0.2;
    double sum = 0.0;
    constexpr double step = 1.0e-3;
    // The trapezoid rule of a smooth function that is flat at both ends converges faster than any power.
    for (double y = p.least() - 1.0; y < p.most() + 1.0; y += step) sum += step * p.density(y);
    CHECK(sum == Approx(1.0).epsilon(1.0e-3));
    for (const double y : {1.9, 2.6, 3.1, 4.3}) {
        CHECK((p.below(y + step) - p.below(y - step)) / (2.0 * step) == Approx(p.density(y)).epsilon(1.0e-3));
    }
}

TEST_CASE("The outcomes of a check do not overlap and can be read", "[field]") {
    for (const Complaint& c : complaints()) {
        INFO(c.name);
        const field::SimulatedSheet sheet = corners(c.d, c.fault);
        const field::DiagnosedSheet found =
            field::diagnose_sheet(c.d, sheet.sheet(), diagnosis::default_priors(c.d));
        REQUIRE(!found.next.empty());
        for (const field::NextCheck& check : found.next) {
            REQUIRE(!check.outcomes.empty());
            double chance = 0.0;
            double last = -1.0e300;
            for (const field::CheckOutcome& o : check.outcomes) {
                chance += o.chance;
                CHECK(o.probability <= o.group_probability + 1.0e-9);
                if (check.reading.quantity == Quantity::inspection || o.shown != diagnosis::Shown::value)
                    continue;
                CHECK(o.low <= o.high);
                CHECK(o.low > last);
                last = o.high;
                if (check.reading.quantity == Quantity::weight) {
                    const double divisions = o.low / c.d.division_kg;
                    CHECK(divisions == Approx(std::round(divisions)).margin(1.0e-6));
                }
                if (check.reading.quantity == Quantity::excitation) {
                    CHECK(o.low >= 0.0);
                    CHECK(o.high <= 1.03 * c.d.excitation_V + 1.0e-3);
                }
                if (check.reading.quantity == Quantity::resistance) CHECK(o.low >= 0.0);
            }
            CHECK(chance <= 1.0 + 1.0e-6);
            CHECK(chance > 0.9);
        }
    }
}

TEST_CASE("What an outcome is said to mean is what the sheet with that reading says", "[field]") {
    int asked = 0;
    double off = 0.0;
    for (const Complaint& c : complaints()) {
        INFO(c.name);
        const field::SimulatedSheet sheet = corners(c.d, c.fault);
        const field::DiagnosedSheet found =
            field::diagnose_sheet(c.d, sheet.sheet(), diagnosis::default_priors(c.d));
        for (const field::NextCheck& check : found.next) {
            for (const field::CheckOutcome& o : check.outcomes) {
                if (o.chance < 0.05) continue;
                Reading reading = check.reading;
                reading.shown = o.shown;
                reading.as_it_should_be = o.as_it_should_be;
                reading.exchanged = o.exchanged;
                if (o.exchanged) {
                    reading.between_a = o.wire_a;
                    reading.between_b = o.wire_b;
                }
                reading.value = reading.quantity == Quantity::resistance ? std::sqrt(o.low * o.high)
                                                                         : 0.5 * (o.low + o.high);
                const field::DiagnosedSheet after = with_reading(c.d, sheet, reading);
                const double own = among_listed(after, o.leads);
                ++asked;
                // Two that are as likely as each other may change places.
                const bool leads = own > most_among_listed(after) - 0.02;
                off += std::fabs(own - o.probability);
                INFO(static_cast<int>(check.reading.quantity)
                     << " cell " << check.reading.cell + 1 << ": " << o.low << " to " << o.high << ", "
                     << scale::name_of(o.leads.fault.cause) << " at " << o.probability << ", then " << own);
                CHECK(leads);
            }
        }
    }
    REQUIRE(asked >= 12);
    CHECK(off / asked < 0.1);
}

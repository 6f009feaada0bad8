#include <catch2/catch.hpp>

#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/diagnosis_bench.h"
#include "tests/diagnosis/forward_chain.h"
#include "tests/diagnosis/sheets.h"

// The predictor shares work between readings, keeps the healthy scale's parts and follows contacts by its own
// rules. What it must equal is the plain way: one reading after the other on a whole scale built anew.

using namespace cornerbench;
using diagnosis::RowKind;
using oracle::DiagnosisBench;
using oracle::ForwardChain;

namespace {

/// Largest departure that no reading could show: a hundredth of a division, of a millivoltmeter's last digit,
/// of an ohmmeter's error.
double nothing_to_see(RowKind kind, const scale::Description& d) {
    switch (kind) {
        case RowKind::weight:
            return 1.0e-3 * d.division_kg;
        case RowKind::channel:
            return 1.0e-10;
        case RowKind::excitation:
            return 1.0e-9;
        case RowKind::resistance:
            return 1.0e-9;
        default:
            return 1.0e-9;
    }
}

/// Every fault that a scale can have, each magnitude at the given shares of its prior.
std::vector<scale::Fault> every_fault(const scale::Description& d, const std::vector<double>& shares) {
    std::vector<scale::Fault> faults;
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<scale::Cause>(i);
        if (!scale::possible(d, cause)) continue;
        for (int s = 0; s < scale::site_count(d, cause); ++s) {
            for (int v = 0; v < scale::variant_count(d, cause); ++v) {
                scale::Fault fault{cause, scale::site_at(d, cause, s), scale::variant_at(d, cause, v), {}};
                const scale::Magnitudes m = scale::magnitudes_of(d, cause, fault.site);
                if (m.count == 0) {
                    faults.push_back(fault);
                    continue;
                }
                for (const double u : shares) {
                    fault.magnitude[0] = diagnosis::magnitude_at(m.of[0], u);
                    if (m.count == 1) faults.push_back(fault);
                    if (m.count != 2) continue;
                    for (const double limit : {0.3, 0.45, 0.6, 0.8}) {
                        fault.magnitude[1] = diagnosis::magnitude_at(m.of[1], limit);
                        faults.push_back(fault);
                    }
                }
            }
        }
    }
    return faults;
}

}  // namespace

TEST_CASE("Every fault at every place predicts what the whole chain gives, reading by reading") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        for (const auto zeroed : {diagnosis::Zeroed::before, diagnosis::Zeroed::now}) {
            DiagnosisBench bench(d, oracle::every_reading(d, 8000.0, 3), diagnosis::History::calibrated,
                                 zeroed);
            REQUIRE(bench.prepare());
            const ForwardChain chain(d, bench.readings, zeroed);
            const oracle::Specimen sound = oracle::sound_specimen(d);
            for (const scale::Fault& fault : every_fault(d, {0.08, 0.5, 0.72, 0.93})) {
                const std::vector<double> truth = chain.values(sound, fault);
                const bool stands = bench.predictor.set(fault);
                CAPTURE(named.name, scale::name_of(fault.cause), fault.site.index, fault.site.other,
                        fault.magnitude[0], fault.magnitude[1], static_cast<int>(zeroed));
                REQUIRE(stands == !truth.empty());
                if (!stands) continue;
                for (int i = 0; i < bench.rows.measured; ++i) {
                    const diagnosis::Row& row = bench.rows.row[static_cast<unsigned>(i)];
                    const double expected = truth[static_cast<unsigned>(row.reading)];
                    const double mean = bench.predictor.mean(row);
                    const double off = std::fabs(mean - expected);
                    if (!(off <= nothing_to_see(row.kind, d) + 2.0e-7 * std::fabs(expected))) {
                        CAPTURE(row.reading, static_cast<int>(row.kind), mean, expected);
                        CHECK(off == 0.0);
                    }
                }
                CHECK(true);
            }
        }
    }
}

#include <cstdio>
#include <string>
#include <vector>

#include "sim/field/diagnosed_sheet.h"
#include "sim/field/fault_words.h"
#include "sim/field/simulated_sheet.h"
#include "sim/files/scale_file.h"
#include "tests/benchmark/benchmarks.h"
#include "tests/benchmark/timing.h"

using namespace cornerbench;

namespace {

void measure(const char* name, const scale::Fault& fault) {
    const auto loaded =
        files::load_scale(std::string(CORNERBENCH_SOURCE_DIR "/configs/scales/") + name + ".toml");
    if (!loaded.value) return;
    const scale::Description& d = loaded.value->description;
    const field::SimulatedSheet sheet = field::simulate_sheet(d, {&fault, 1}, 1);
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    const auto rank = [&] {
        benchmark::keep(field::rank_causes(d, sheet.sheet(), priors).outcome.log_evidence);
    };
    const auto whole = [&] {
        benchmark::keep(field::diagnose_sheet(d, sheet.sheet(), priors).outcome.log_evidence);
    };
    const std::vector<double> taken = benchmark::medians(5, 0.02, rank, whole);
    std::printf("  %-10s %-44s %3zu readings  %6.0f ms  %6.0f ms\n", name,
                field::fault_words(fault, d).c_str(), sheet.readings.size(), 1.0e3 * taken[0],
                1.0e3 * taken[1]);
}

}  // namespace

void benchmark::diagnosis() {
    scale::Fault loose;
    loose.cause = scale::Cause::loose_terminal;
    loose.site = {scale::SiteKind::cell, 2, 0};
    loose.variant.a = scale::Wire::signal_plus;
    loose.magnitude[0] = 40.0;
    scale::Fault bound;
    bound.cause = scale::Cause::bound_support;
    bound.site = {scale::SiteKind::support, 2, 0};
    bound.magnitude[0] = 0.2;
    std::printf(
        "\ndiagnose, a full sheet: medians of 5; ranking alone, and with explanations and next checks\n");
    for (const char* name : {"sawmill-4", "quarry-8", "harbour-8"}) {
        for (const scale::Fault& fault : {scale::Fault{}, loose, bound}) measure(name, fault);
    }
}

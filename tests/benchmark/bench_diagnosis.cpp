#include <cstdio>
#include <optional>
#include <span>
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

std::optional<scale::Description> shipped(const char* name) {
    const auto loaded =
        files::load_scale(std::string(CORNERBENCH_SOURCE_DIR "/configs/scales/") + name + ".toml");
    if (!loaded.value) return {};
    return loaded.value->description;
}

/// As many supports as a box has room for: a shipped scale of eight with as many sections again.
std::optional<scale::Description> with_sixteen_cells(const char* name) {
    std::optional<scale::Description> d = shipped(name);
    if (!d) return d;
    const int sections = d->deck.sections;
    const double length_m = d->deck.section_x_m[static_cast<std::size_t>(sections - 1)] + 4.0;
    for (int i = 0; i < sections; ++i)
        d->deck.section_x_m[static_cast<std::size_t>(sections + i)] =
            d->deck.section_x_m[static_cast<std::size_t>(i)] + length_m;
    for (int i = 0; i < 2 * sections; ++i)
        d->cells[static_cast<std::size_t>(2 * sections + i)] = d->cells[static_cast<std::size_t>(i)];
    d->deck.sections = 2 * sections;
    return d;
}

void measure(const char* name, const scale::Description& d, std::span<const scale::Fault> faults) {
    const field::SimulatedSheet sheet = field::simulate_sheet(d, faults, 1);
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    const auto rank = [&] {
        benchmark::keep(field::rank_causes(d, sheet.sheet(), priors).outcome.log_evidence);
    };
    const auto whole = [&] {
        benchmark::keep(field::diagnose_sheet(d, sheet.sheet(), priors).outcome.log_evidence);
    };
    const std::vector<double> taken = benchmark::medians(5, 0.02, rank, whole);
    std::string words;
    for (const scale::Fault& fault : faults)
        words += (words.empty() ? "" : ", ") + field::fault_words(fault, d);
    const double memory_kB = 8.0e-3 * static_cast<double>(diagnosis::diagnosis_doubles(d, sheet.sheet()));
    std::printf("  %-16s %-36s %3zu readings %5.0f kB %6.0f ms %6.0f ms\n", name, words.c_str(),
                sheet.readings.size(), memory_kB, 1.0e3 * taken[0], 1.0e3 * taken[1]);
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
        "\ndiagnose, a full sheet: working memory; medians of 5: ranking alone, with explanations and "
        "checks\n");
    const scale::Fault two[] = {loose, bound};
    const auto measure_all = [&](const char* name, const std::optional<scale::Description>& d) {
        if (!d) return;
        for (const scale::Fault& fault : {scale::Fault{}, loose, bound}) measure(name, *d, {&fault, 1});
        measure(name, *d, two);
    };
    for (const char* name : {"sawmill-4", "quarry-8", "harbour-8"}) measure_all(name, shipped(name));
    measure_all("quarry, 16 cells", with_sixteen_cells("quarry-8"));
}

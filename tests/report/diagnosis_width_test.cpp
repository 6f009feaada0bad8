#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <sstream>
#include <string>
#include <vector>

#include "sim/field/fault_words.h"
#include "sim/field/simulated_sheet.h"
#include "sim/report/diagnosis_report.h"
#include "sim/report/table.h"

// A terminal has 80 columns where nobody made it wider (the size of the DEC VT100's screen).

using namespace cornerbench;
using diagnosis::Candidate;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Cause;

namespace {

std::vector<files::ScaleFile> shipped_scales() {
    std::vector<files::ScaleFile> all;
    for (const auto& entry :
         std::filesystem::directory_iterator(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales")) {
        auto loaded = files::load_scale(entry.path().string());
        REQUIRE(loaded);
        all.push_back(std::move(*loaded.value));
    }
    return all;
}

files::SheetFile sheet_on(const files::ScaleFile& scale, const field::SimulatedSheet& simulated) {
    files::SheetFile file;
    file.scale = scale;
    file.readings = simulated.readings;
    file.instruments = simulated.instruments;
    file.zeroed = simulated.zeroed;
    file.history = simulated.history;
    file.notes.resize(file.readings.size(), {1, "a reading"});
    return file;
}

/// Every reading that a sheet of this scale can hold, and a look at everything there is to look at.
files::SheetFile fullest_sheet(const files::ScaleFile& scale) {
    field::SheetPlan plan;
    plan.decreasing = true;
    files::SheetFile file = sheet_on(scale, field::simulate_sheet(scale.description, {}, 1, plan));
    const int last = scale.description.cell_count() - 1;
    for (int look = 0; look < diagnosis::look_count; ++look) {
        for (const bool as_it_should_be : {true, false}) {
            Reading seen;
            seen.quantity = Quantity::inspection;
            seen.look = static_cast<diagnosis::Look>(look);
            seen.cell = last;
            seen.as_it_should_be = as_it_should_be;
            file.readings.push_back(seen);
        }
    }
    for (const Quantity quantity : {Quantity::weight, Quantity::signal, Quantity::channel}) {
        Reading blank;
        blank.quantity = quantity;
        blank.cell = last;
        blank.shown = diagnosis::Shown::under_range;
        file.readings.push_back(blank);
    }
    file.notes.resize(file.readings.size(), {999, "a reading"});
    return file;
}

/// A value far off everything, in the reading's unit: a display can be driven to its end and back.
double wild_value(const Reading& r, const scale::Description& d, double sign) {
    switch (r.quantity) {
        case Quantity::weight:
            return sign * 12.3456789 * d.max_kg;
        case Quantity::resistance:
            return std::log(123.4e9);
        case Quantity::excitation:
            return sign * 12.3456789;
        default:
            return sign * 123.456789e-3;
    }
}

/// All causes at their last place, in every variant, with sizes at the ends of their ranges.
std::vector<Candidate> every_candidate(const scale::Description& d) {
    std::vector<Candidate> all;
    for (int c = 0; c < scale::cause_count; ++c) {
        const auto cause = static_cast<Cause>(c);
        if (!scale::possible(d, cause)) continue;
        const int variants = scale::variant_count(d, cause);
        for (int v = 0; v < variants; ++v) {
            for (const int likely : {1, 2, variants}) {
                Candidate candidate;
                candidate.fault.cause = cause;
                candidate.fault.site = scale::site_at(d, cause, scale::site_count(d, cause) - 1);
                candidate.fault.variant = scale::variant_at(d, cause, v);
                const scale::Magnitudes m = scale::magnitudes_of(d, cause, candidate.fault.site);
                for (int k = 0; k < m.count; ++k) {
                    const auto at = static_cast<std::size_t>(k);
                    const scale::Magnitude& of = m.of[at];
                    candidate.estimate[at].low = of.low;
                    candidate.estimate[at].high = of.high;
                    candidate.estimate[at].value = 0.6180339887 * of.low + 0.3819660113 * of.high;
                }
                for (int w = 0; w < std::min(likely, variants); ++w) {
                    candidate.variants[static_cast<std::size_t>((v + w) % variants)].share = 1.0 / likely;
                }
                candidate.group = 0;
                candidate.probability = 0.1234;
                all.push_back(candidate);
            }
        }
    }
    return all;
}

/// A finding made up so that every line is as long as this scale can make it: eight of the causes in a group,
/// one explained by ten of the readings, and the same ten to be taken next.
field::DiagnosedSheet made_up(const files::SheetFile& sheet, const std::vector<Candidate>& causes,
                              std::size_t round) {
    const scale::Description& d = sheet.scale.description;
    field::DiagnosedSheet found;
    field::CauseGroup group;
    for (std::size_t i = 0; i < 8; ++i) {
        group.members.push_back(static_cast<int>(i));
        found.candidates.push_back(causes[(8 * round + i) % causes.size()]);
    }
    field::Comparison explained;
    for (std::size_t i = 0; i < 10; ++i) {
        const std::size_t at = (10 * round + i) % sheet.readings.size();
        const Reading& r = sheet.readings[at];
        const auto number = static_cast<int>(at);
        std::vector<field::CheckOutcome> outcomes(4);
        for (std::size_t o = 0; o < outcomes.size(); ++o) {
            const double far = r.quantity == Quantity::resistance ? 1.0e9 : wild_value(r, d, 1.0);
            outcomes[o].shown = static_cast<diagnosis::Shown>(o);
            outcomes[o].low = 0.5 * far;
            outcomes[o].high = far;
            outcomes[o].chance = 0.0001;
            outcomes[o].leads = causes[(round + o) % causes.size()];
            outcomes[o].probability = 0.0001;
            outcomes[o].group_probability = 0.9999;
        }
        found.next.push_back({r, 12.34, 1.0, 0.0001, i % 2 == 0 ? number : -1, outcomes});
        if (r.quantity == Quantity::inspection || r.shown != diagnosis::Shown::value) {
            explained.seen.push_back({number, 0.9, wild_value(r, d, -1.0), diagnosis::Shown::value});
            found.if_healthy.seen.push_back(
                {number, 0.1, wild_value(r, d, 1.0), diagnosis::Shown::under_range});
            continue;
        }
        diagnosis::Compared row{number, wild_value(r, d, -1.0), wild_value(r, d, 1.0), 1.0e-9, 0.0, 1.0e-9};
        found.if_healthy.rows.push_back(row);
        row.given_others = wild_value(r, d, -1.0);
        explained.rows.push_back(row);
    }
    group.split_by.push_back(found.next.front());
    found.groups.push_back(group);
    found.explained.push_back(explained);
    return found;
}

std::string too_long(const files::SheetFile& sheet, const field::DiagnosedSheet& found) {
    std::ostringstream out;
    report::print_found(out, sheet, found, {false});
    std::istringstream lines(out.str());
    std::string wide;
    for (std::string line; std::getline(lines, line);) {
        if (report::display_width(line) > report::page_width) wide += line + "\n";
    }
    return wide;
}

}  // namespace

TEST_CASE("a diagnosis of any cause by any reading keeps to the page on every shipped scale", "[report]") {
    for (const files::ScaleFile& scale : shipped_scales()) {
        INFO(scale.name);
        const files::SheetFile sheet = fullest_sheet(scale);
        const std::vector<Candidate> causes = every_candidate(scale.description);
        const std::size_t rounds = std::max(causes.size() / 8, sheet.readings.size() / 10) + 1;
        REQUIRE(causes.size() > 60);
        for (std::size_t round = 0; round < rounds; ++round) {
            CHECK(too_long(sheet, made_up(sheet, causes, round)).empty());
        }
    }
}

TEST_CASE("made-up complaints are answered within the page", "[report]") {
    for (const files::ScaleFile& scale : shipped_scales()) {
        const scale::Description& d = scale.description;
        for (const char* words : {"loose-terminal cell=3 wire=E- ohm=20", "upside-down cell=3"}) {
            INFO(scale.name << ", " << words);
            const field::ReadFault fault = field::read_fault(words, d);
            REQUIRE(fault.fault);
            const files::SheetFile sheet =
                sheet_on(scale, field::simulate_sheet(d, std::span(&*fault.fault, 1), 5));
            const field::DiagnosedSheet found =
                field::diagnose_sheet(d, sheet.sheet(), diagnosis::default_priors(d));
            CHECK(too_long(sheet, found).empty());
        }
    }
}

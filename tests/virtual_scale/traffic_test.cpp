#include <catch2/catch.hpp>

#include <cmath>
#include <string>

#include "sim/field/traffic_findings.h"
#include "sim/virtual_scale/traffic.h"
#include "tests/yard/shipped_yard.h"

using namespace cornerbench;
using field::TrafficFinding;
using field::TrafficSign;
using scale::Cause;
using scale::Fault;
using scale::SiteKind;

namespace {

struct Yard {
    explicit Yard(const std::string& name, bool channels = false) : shipped(name) {
        if (!channels) return;
        shipped.file.description.converter = scale::Converter::per_cell;
        shipped.file.description.trim.kind = scale::TrimKind::none;
    }

    virtual_scale::TrafficRecord run(const virtual_scale::TrafficSetting& setting) const {
        return virtual_scale::run_traffic(shipped.description(),
                                          virtual_scale::indicator_settings(shipped.file), setting);
    }

    /// What is found of `fault`, which comes behind the eightieth of a hundred and twenty trucks.
    std::vector<TrafficFinding> find(const Fault& fault, std::uint64_t seed) const {
        virtual_scale::TrafficSetting setting;
        setting.seed = seed;
        setting.trucks = 120;
        setting.sound_trucks = 80;
        setting.faults = {fault};
        return field::traffic_findings(run(setting).traffic);
    }

    tests::ShippedScale shipped;
};

Fault at_cell(Cause cause, int cell, double size) {
    const bool support = cause == Cause::bound_support || cause == Cause::rubbing;
    return {cause, {support ? SiteKind::support : SiteKind::cell, cell}, {}, {size}};
}

int alarms(const watch::TrafficWatch& traffic) {
    int count = 0;
    for (int n = 0; n < traffic.numbers().count(); ++n) count += traffic.chart(n).alarmed() ? 1 : 0;
    return count;
}

bool says(const std::vector<TrafficFinding>& findings, TrafficSign sign, int cell) {
    for (const TrafficFinding& finding : findings)
        if (finding.sign == sign && !finding.suspects.empty() && finding.suspects.front().cell == cell)
            return true;
    return false;
}

std::string said(const std::vector<TrafficFinding>& findings) {
    std::string text;
    for (const TrafficFinding& finding : findings)
        text += "sign " + std::to_string(static_cast<int>(finding.sign)) + " at " +
                (finding.suspects.empty() ? "-" : std::to_string(finding.suspects.front().cell + 1)) + "; ";
    return text;
}

}  // namespace

TEST_CASE("traffic over sound scales raises no more alarms than the box states", "[virtual][watch][long]") {
    double expected = 0.0;
    int count = 0;
    for (const char* name : tests::shipped_scales) {
        const Yard yard(name);
        virtual_scale::TrafficSetting setting;
        setting.trucks = 250;
        setting.both_ways = true;
        const virtual_scale::TrafficRecord record = yard.run(setting);
        CHECK(record.unweighed == 0);
        CHECK(record.traffic.trucks() == 250);
        CHECK(record.traffic.judged() >= 150);
        expected += 1.0e-3 * record.traffic.settings().false_alarms_per_1000_trucks * record.traffic.judged();
        count += alarms(record.traffic);
    }
    INFO(count << " alarms where " << expected << " are stated");
    CHECK(count <= expected + 4.0 * std::sqrt(expected));
}

TEST_CASE("the same traffic is the same record", "[virtual][watch]") {
    const Yard yard("harbour-8");
    virtual_scale::TrafficSetting setting;
    setting.trucks = 30;
    const watch::TrafficWatch first = yard.run(setting).traffic;
    const watch::TrafficWatch second = yard.run(setting).traffic;
    REQUIRE(first.judged() == second.judged());
    for (int n = 0; n < first.numbers().count(); ++n) {
        CHECK(first.chart(n).mean() == second.chart(n).mean());
        CHECK(first.chart(n).recent() == second.chart(n).recent());
    }
}

TEST_CASE("a box with a channel per cell names the cell that changes", "[virtual][watch][long]") {
    int right = 0;
    int runs = 0;
    std::string missed;
    for (const char* name : {"harbour-8", "quarry-8", "depot-6"}) {
        const Yard yard(name, true);
        const int cells = yard.shipped.description().cell_count();
        for (std::uint64_t seed = 1; seed <= 2; ++seed) {
            const int cell = (runs + 1) % cells;
            struct Change {
                Cause cause;
                double size;
                TrafficSign sign;
            };
            for (const Change change : {Change{Cause::weak_output, 0.97, TrafficSign::reads_less},
                                        Change{Cause::weak_output, 1.03, TrafficSign::reads_more},
                                        Change{Cause::bound_support, 1.0, TrafficSign::dead}}) {
                const auto findings = yard.find(at_cell(change.cause, cell, change.size), seed);
                ++runs;
                if (says(findings, change.sign, cell))
                    ++right;
                else
                    missed += std::string(name) + ", cell " + std::to_string(cell + 1) + ", " +
                              std::to_string(change.size) + ": " + said(findings) + "\n";
            }
        }
    }
    INFO(right << " of " << runs << "; else:\n" << missed);
    CHECK(right >= runs - 1);
}

TEST_CASE("a zero that moves is noticed with the truck, in either box", "[virtual][watch][long]") {
    for (const bool channels : {false, true}) {
        const Yard yard("quarry-8", channels);
        for (const double mV_per_V : {-0.02, 0.02}) {
            const auto findings = yard.find(at_cell(Cause::shifted_zero, 4, 1.0e-3 * mV_per_V), 1);
            REQUIRE(!findings.empty());
            CHECK(findings.front().noticed_truck >= 81);
            CHECK(findings.front().noticed_truck <= 84);
            CHECK((findings.front().kg > 0.0) == (mV_per_V > 0.0));
            if (channels) CHECK(findings.front().suspects.front().cell == 4);
        }
    }
}

TEST_CASE("a cell turned over is named by the box that sees its channel", "[virtual][watch]") {
    const Yard yard("harbour-8");
    CHECK(says(yard.find(at_cell(Cause::upside_down, 5, 0.0), 1), TrafficSign::signal_refused, 5));
}

TEST_CASE("a summed box tells the end at which a scale reads less", "[virtual][watch]") {
    const Yard yard("quarry-8");
    // Cells 1 and 8 stand where trucks come on, 4 and 5 where they leave.
    struct End {
        int cell;
        field::DeckPart part;
    };
    for (const End end : {End{0, field::DeckPart::coming_end}, End{7, field::DeckPart::coming_end},
                          End{3, field::DeckPart::leaving_end}, End{4, field::DeckPart::leaving_end}}) {
        const auto findings = yard.find(at_cell(Cause::weak_output, end.cell, 0.94), 2);
        bool told = false;
        for (const TrafficFinding& finding : findings)
            told = told || (finding.sign == TrafficSign::reads_less && finding.part == end.part);
        CHECK(told);
    }
}

#include "sim/report/session_trace.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "sim/report/session_report.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using virtual_scale::SessionRecord;
using virtual_scale::TracePoint;

namespace {

report::MassWords kilograms() {
    scale::Description d;
    d.max_kg = 60'000.0;
    d.division_kg = 20.0;
    return report::MassWords(d);
}

/// A second of trace with 10 t on the deck and shown, a point every 0.1 s.
SessionRecord ten_tonnes() {
    SessionRecord record;
    record.scale = "a scale";
    record.session = "a session";
    record.seconds = 1.0;
    for (int i = 0; i < 10; ++i) {
        TracePoint& point = record.trace.emplace_back();
        point.t_s = 0.1 * i;
        point.true_kg = point.shown_kg = 10'000.0;
    }
    return record;
}

std::string svg_of(const SessionRecord& record) {
    std::ostringstream out;
    report::print_session_svg(out, record, kilograms());
    return out.str();
}

std::string csv_of(const SessionRecord& record) {
    std::ostringstream out;
    report::print_session_csv(out, record, kilograms());
    return out.str();
}

/// What stands in the attribute `d` of the line of the weight shown, the legend's own left out.
std::string shown_path(const std::string& svg) {
    const std::string head = "<path class=\"shown\" d=\"";
    const std::size_t from = svg.find(head) + head.size();
    return svg.substr(from, svg.find('"', from) - from);
}

std::size_t count_of(const std::string& text, const std::string& part) {
    std::size_t count = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
    return count;
}

}  // namespace

TEST_CASE("the line of the weight shown stops where nothing is shown, dark or for a reason", "[report]") {
    for (const bool dark : {true, false}) {
        SessionRecord record = ten_tonnes();
        for (std::size_t i = 3; i < 6; ++i) {
            record.trace[i].shown_kg = 0.0;
            record.trace[i].dark = dark;
            if (!dark) record.trace[i].why = weighing::NoWeight::supply_low;
        }
        const std::string path = shown_path(svg_of(record));
        INFO(path);
        CHECK(count_of(path, "M") == 2);
        CHECK(count_of(path, "L") == 5);
    }
}

TEST_CASE("a weight without one cell is marked in the trace, as a table and as a picture", "[report]") {
    SessionRecord record = ten_tonnes();
    CHECK(count_of(svg_of(record), "<title>degraded: not for trade</title>") == 0);
    for (const std::size_t i : {3u, 4u, 7u}) record.trace[i].degraded = true;
    const std::string svg = svg_of(record);
    CHECK(count_of(svg, "<title>degraded: not for trade</title>") == 2);
    CHECK(count_of(svg, "degraded: not for trade</text>") == 1);
    const std::string csv = csv_of(record);
    CHECK(csv.starts_with("t_s,on_deck_kg,shown_kg,no_weight,stable,degraded,over_capacity\r\n"));
    CHECK(count_of(csv, "10000,,0,1,\r\n") == 3);
    CHECK(count_of(csv, "10000,,0,0,\r\n") == 7);
}

TEST_CASE("marks of steps keep off each other and inside the axes, and those left out are counted",
          "[report]") {
    // Upright letters of 10 px: 13 px a label; the axes reach from 72 to 944.
    tests::Draw draw(1);
    for (const int steps : {0, 1, 2, 17, 300}) {
        SessionRecord record = ten_tonnes();
        std::vector<double> times{0.0, 1.0};
        for (int i = 0; i < steps; ++i) times.push_back(draw.uniform(0.0, 1.0));
        std::sort(times.begin(), times.end());
        for (const double t_s : times) record.events.push_back({t_s, std::string(150, 'w'), "0 kg", false});
        const std::string svg = svg_of(record);
        const std::string head = "<text class=\"mark\" transform=\"translate(";
        std::size_t marks = 0;
        double last = 0.0;
        for (std::size_t at = svg.find(head); at != std::string::npos; at = svg.find(head, at + 1)) {
            const double baseline = std::stod(svg.substr(at + head.size()));
            if (marks > 0) CHECK(baseline - last >= 12.9);
            CHECK(baseline >= 72.0);
            CHECK(baseline <= 944.0);
            last = baseline;
            ++marks;
        }
        CHECK(marks >= 1);
        const std::string note = std::to_string(times.size() - marks) + " of " +
                                 std::to_string(times.size()) + " steps have no room for a mark";
        CHECK((svg.find(note) != std::string::npos) == (marks < times.size()));
        CHECK(svg.find(std::string(50, 'w') + "</text>") == std::string::npos);
    }
}

TEST_CASE("where marks have no room a cause, a power cut and a refusal keep theirs", "[report]") {
    SessionRecord record = ten_tonnes();
    for (int i = 0; i < 40; ++i) record.events.push_back({0.01 * i, "settle", "0 kg", false});
    record.events.push_back({0.2, "open-wire cell=3 wire=S+", "0 kg", false});
    record.events.push_back({0.4, "put 10 000 kg", "0 kg", false});
    record.events.push_back({0.6, "power cut of 4 s", "starts anew", false});
    record.events.push_back({0.8, "print", "refused, in motion", true});
    const std::string svg = svg_of(record);
    for (const std::string mark :
         {"open-wire cell=3 wire=S+", "put 10 000 kg", "power cut of 4 s", "print"}) {
        CAPTURE(mark);
        CHECK(svg.find(mark + "</text>") != std::string::npos);
    }
}

TEST_CASE("the picture of a day is small, and no peak of its lines is left out", "[report]") {
    // Eight hours, ten points a second, loads that come and go, with spikes of one point.
    SessionRecord record = ten_tonnes();
    record.trace.clear();
    record.seconds = 28'800.0;
    tests::Draw draw(1);
    double load_kg = 0.0;
    for (int i = 0; i < 288'000; ++i) {
        if (draw.chance(0.002)) load_kg = draw.chance(0.5) ? 0.0 : draw.uniform(2'000.0, 50'000.0);
        TracePoint& point = record.trace.emplace_back();
        point.t_s = 0.1 * i;
        point.true_kg = load_kg;
        point.shown_kg = load_kg + draw.uniform(-20.0, 20.0);
        if (draw.chance(0.0001)) point.shown_kg += draw.uniform(-5'000.0, 5'000.0);
        if (draw.chance(0.0005)) point.why = weighing::NoWeight::settling;
    }
    const std::string svg = svg_of(record);
    CHECK(svg.size() < 500'000);
    // Column by column: left 72, 872 wide; the y of 0 and of a peak give the axis.
    std::map<long, std::pair<double, double>> drawn;
    std::istringstream path(shown_path(svg));
    for (char pen = 0; path >> pen;) {
        double x = 0.0;
        double y = 0.0;
        REQUIRE(path >> x >> y);
        auto [at, is_new] = drawn.try_emplace(std::lround(x * 10.0) / 10, y, y);
        at->second.first = std::min(at->second.first, y);
        at->second.second = std::max(at->second.second, y);
    }
    std::map<long, std::pair<double, double>> kg;
    for (const TracePoint& point : record.trace) {
        if (!point.shows_weight()) continue;
        const double x = 72.0 + 872.0 * point.t_s / 28'800.0;
        auto [at, is_new] = kg.try_emplace(static_cast<long>(x), point.shown_kg, point.shown_kg);
        at->second.first = std::min(at->second.first, point.shown_kg);
        at->second.second = std::max(at->second.second, point.shown_kg);
    }
    double lowest = 0.0;
    double highest = 0.0;
    for (const TracePoint& point : record.trace) {
        lowest = std::min({lowest, point.true_kg, point.shown_kg});
        highest = std::max({highest, point.true_kg, point.shown_kg});
    }
    highest += 0.06 * (highest - lowest);
    const auto y_of = [&](double value) {
        return 420.0 - 64.0 - (420.0 - 44.0 - 64.0) * (value - lowest) / (highest - lowest);
    };
    CHECK(kg.size() >= 870);
    for (const auto& [column, range] : kg) {
        INFO("column " << column);
        REQUIRE(drawn.count(column) == 1);
        // What lies in a column's last twentieth is written as the next one's beginning.
        const auto next = drawn.count(column + 1) == 1 ? drawn[column + 1] : drawn[column];
        CHECK(std::max(drawn[column].second, next.second) >= y_of(range.first) - 0.11);
        CHECK(std::min(drawn[column].first, next.first) <= y_of(range.second) + 0.11);
    }
}

TEST_CASE("times in the JSON of a session are whole milliseconds", "[report]") {
    SessionRecord record = ten_tonnes();
    record.seconds = record.trace[3].t_s;
    record.events.push_back({0.1 + 0.2, "print", "0 kg", false});
    std::ostringstream out;
    report::print_session_json(out, record, kilograms());
    CHECK(out.str().find("0.3,") != std::string::npos);
    CHECK(out.str().find("0.30000") == std::string::npos);
}

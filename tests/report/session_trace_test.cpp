#include "sim/report/session_trace.h"

#include <catch2/catch.hpp>
#include <sstream>
#include <string>

#include "sim/report/session_report.h"

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
    CHECK(csv.starts_with("t_s,on_deck_kg,shown_kg,no_weight,stable,degraded\r\n"));
    CHECK(count_of(csv, "10000,,0,1\r\n") == 3);
    CHECK(count_of(csv, "10000,,0,0\r\n") == 7);
}

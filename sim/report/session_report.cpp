#include "sim/report/session_report.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/files/mass_unit.h"
#include "sim/report/corner_json.h"
#include "sim/report/corner_words.h"
#include "sim/report/json_document.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using virtual_scale::Printed;
using virtual_scale::SessionEvent;
using virtual_scale::SessionRecord;
using virtual_scale::TracePoint;

namespace {

constexpr std::size_t most_event_rows = 40;
constexpr std::size_t most_ticket_rows = 12;

/// Sums of sample periods end in digits that mean nothing.
double to_ms(double t_s) {
    return std::round(1000.0 * t_s) / 1000.0;
}

/// "0:07.5", "1:02:30".
std::string clock_words(double t_s) {
    const auto tenths = static_cast<long long>(t_s * 10.0 + 0.5);
    const long long seconds = tenths / 10;
    if (seconds >= 3600)
        return fmt::format("{}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60);
    return fmt::format("{}:{:02}.{}", seconds / 60, seconds % 60, tenths % 10);
}

/// Numbers of the cells whose bits are set.
std::vector<int> cells_of(std::uint32_t bits) {
    std::vector<int> cells;
    for (int i = 0; i < scale::max_cells; ++i)
        if ((bits >> static_cast<unsigned>(i) & 1u) != 0) cells.push_back(i + 1);
    return cells;
}

void print_events(std::ostream& out, const SessionRecord& record, const Style& style) {
    out << '\n' << style(Tone::strong, "What was done") << '\n';
    Table table;
    table.column("at", Align::right).column("done").column("the indicator");
    for (std::size_t i = 0; i < record.events.size() && i < most_event_rows; ++i) {
        const SessionEvent& event = record.events[i];
        table.row({{clock_words(event.t_s), Tone::plain},
                   {event.done, Tone::plain},
                   {event.result, event.refused ? Tone::caution : Tone::plain}});
    }
    table.print(out, style);
    if (record.events.size() > most_event_rows)
        print_wrapped(out, fmt::format("{} more; --json has all.", record.events.size() - most_event_rows),
                      2);
}

void print_tickets(std::ostream& out, const SessionRecord& record, const MassWords& words,
                   const Style& style) {
    out << '\n' << style(Tone::strong, "What was printed, in " + words.unit()) << '\n';
    Table table;
    table.column("at", Align::right).column("load").column("gross", Align::right);
    table.column("net", Align::right).column("true", Align::right).column("error", Align::right);
    table.column("limit", Align::right).column("after", Align::right).column("");
    for (std::size_t i = 0; i < record.tickets.size() && i < most_ticket_rows; ++i) {
        const Printed& p = record.tickets[i];
        const bool within = p.within();
        table.row({{clock_words(p.t_s), Tone::plain},
                   {p.what, Tone::plain},
                   {words.number(p.gross_kg), Tone::plain},
                   {words.number(p.net_kg), Tone::plain},
                   {words.number(p.true_kg), Tone::plain},
                   {words.difference(p.gross_kg - p.true_kg), within ? Tone::plain : Tone::bad},
                   {words.number(p.limit_kg), Tone::plain},
                   {fmt::format("{:.1f} s", p.waited_s), Tone::plain},
                   {std::string(within ? "" : "outside") + (p.degraded ? " degraded" : ""), Tone::bad}});
    }
    table.print(out, style);
    if (record.tickets.size() > most_ticket_rows)
        print_wrapped(out, fmt::format("{} more; --json has all.", record.tickets.size() - most_ticket_rows),
                      2);
}

/// What a summed box cannot see, and one with a channel for each cell refuses to weigh with.
void print_overloads(std::ostream& out, const SessionRecord& record, const Style& style) {
    std::vector<std::string> cells;
    for (std::size_t i = 0; i < record.most_share.size(); ++i) {
        if (record.most_share[i] > 1.0)
            cells.push_back(fmt::format("cell {} over its capacity, {:.0f} % at most", i + 1,
                                        100.0 * record.most_share[i]));
    }
    if (cells.empty()) return;
    const auto tickets = std::count_if(record.tickets.begin(), record.tickets.end(),
                                       [](const Printed& p) { return p.over_capacity != 0; });
    print_wrapped(out,
                  style(Tone::bad, "Overloaded") +
                      fmt::format(": {}; {} printed meanwhile.", fmt::join(cells, "; "), tickets),
                  2);
}

void print_sums(std::ostream& out, const SessionRecord& record, const MassWords& words) {
    double sum = 0.0;
    double square = 0.0;
    double largest = 0.0;
    double waited = 0.0;
    long outside = 0;
    for (const Printed& p : record.tickets) {
        const double error = p.gross_kg - p.true_kg;
        sum += error;
        square += error * error;
        largest = std::max(largest, std::abs(error));
        waited = std::max(waited, p.waited_s);
        outside += p.within() ? 0 : 1;
    }
    const auto count = static_cast<double>(record.tickets.size());
    const double mean = sum / count;
    const double spread = std::sqrt(std::max(0.0, square / count - mean * mean));
    print_wrapped(out,
                  fmt::format("{} printed: mean error {}, standard deviation {:.1f} d, largest {:.1f} d; {} "
                              "outside the "
                              "limits in service. Longest wait for rest: {:.1f} s.",
                              record.tickets.size(), words.divisions(mean), spread / words.division_kg(),
                              largest / words.division_kg(), outside, waited),
                  2);
}

std::string shown_words(const weighing::ShownWeight& weight, scale::MassUnit unit) {
    const double value = static_cast<double>(weight.digits) * std::pow(10.0, -weight.decimals);
    return grouped(value, weight.decimals) + ' ' + std::string(files::unit_name(unit));
}

}  // namespace

virtual_scale::SessionWords session_words(const scale::Description& description) {
    return {[words = MassWords(description)](double kg) { return words.with_unit(kg); }, corner_words,
            shown_words};
}

void print_session(std::ostream& out, const SessionRecord& record, const MassWords& words,
                   const Style& style) {
    out << style(Tone::strong, record.scale) << ": " << record.session << ", " << clock_words(record.seconds)
        << " in the yard, seed " << record.seed << '\n';
    print_events(out, record, style);
    if (!record.tickets.empty()) {
        print_tickets(out, record, words, style);
        print_sums(out, record, words);
    }
    print_overloads(out, record, style);
    if (!record.corner_check.empty()) {
        out << '\n' << style(Tone::strong, "The box's own corner check") << '\n';
        print_wrapped(out, record.corner_check, 2);
    }
    out << '\n';
    print_wrapped(out,
                  fmt::format("State hash {:016x}. After: from the moment the load stood to a stable weight.",
                              record.state_hash),
                  2);
}

void print_session_json(std::ostream& out, const SessionRecord& record, const MassWords& words) {
    Json document = json_document();
    document["scale"] = record.scale;
    document["session"] = record.session;
    document["seed"] = record.seed;
    document["unit"] = words.unit();
    document["seconds"] = to_ms(record.seconds);
    document["state_hash"] = fmt::format("{:016x}", record.state_hash);
    document["calibration_changes"] = record.calibration_changes;
    document["well"] = record.well;
    document["events"] = Json::array();
    for (const SessionEvent& e : record.events)
        document["events"].push_back(
            {{"at_s", to_ms(e.t_s)}, {"done", e.done}, {"result", e.result}, {"refused", e.refused}});
    document["tickets"] = Json::array();
    for (const Printed& p : record.tickets)
        document["tickets"].push_back({{"at_s", to_ms(p.t_s)},
                                       {"load", p.what},
                                       {"gross", words.in_unit(p.gross_kg)},
                                       {"tare", words.in_unit(p.tare_kg)},
                                       {"net", words.in_unit(p.net_kg)},
                                       {"true", words.in_unit(p.true_kg)},
                                       {"limit", words.in_unit(p.limit_kg)},
                                       {"within", p.within()},
                                       {"degraded", p.degraded},
                                       {"over_capacity", cells_of(p.over_capacity)},
                                       {"waited_s", to_ms(p.waited_s)}});
    document["corner_check"] = record.corner_report ? corner_json(*record.corner_report) : Json(nullptr);
    document["over_capacity"] = Json::array();
    for (std::size_t i = 0; i < record.most_share.size(); ++i) {
        if (record.most_share[i] > 1.0)
            document["over_capacity"].push_back({{"cell", i + 1}, {"most_share", record.most_share[i]}});
    }
    print_json(out, document);
}

void print_session_csv(std::ostream& out, const SessionRecord& record, const MassWords& words) {
    out << "t_s,on_deck_" << words.unit() << ",shown_" << words.unit()
        << ",no_weight,stable,degraded,over_capacity\r\n";
    for (const TracePoint& p : record.trace) {
        const bool has = p.shows_weight();
        out << fmt::format("{:.1f},{:g},", p.t_s, words.in_unit(p.true_kg));
        if (has) out << fmt::format("{:g}", words.in_unit(p.shown_kg));
        out << ',' << p.no_weight() << ',' << (has && p.stable ? 1 : 0) << ',' << (has && p.degraded ? 1 : 0)
            << ',' << fmt::format("{}", fmt::join(cells_of(p.over_capacity), " ")) << "\r\n";
    }
}

}  // namespace cornerbench::report

#include "sim/report/traffic_report.h"

#include <algorithm>

#include <spdlog/fmt/fmt.h>

#include "sim/report/json_document.h"
#include "sim/report/table.h"
#include "sim/report/traffic_words.h"

namespace cornerbench::report {

using field::TrafficFinding;

namespace {

constexpr std::string_view summed_limits =
    "A box with one converter on the sum sees neither cells nor sides. It cannot tell which of a "
    "section's two cells it is, a light end from a heavy other part, rubbing from a weak cell, a "
    "change that all cells share, nor, where trucks come from both ends, which end it is.";
constexpr std::string_view channel_limits =
    "Traffic does not show a change that all cells share: that takes a test weight.";

std::string truck_words(std::uint32_t truck) {
    return truck == 0 ? "" : fmt::format("{}", truck);
}

std::string since_words(const TrafficFinding& finding) {
    return finding.noticed_truck == 0 ? "the first" : truck_words(finding.since_truck);
}

std::string sure_words(const TrafficFinding& finding) {
    std::string text = suspects_words(finding);
    if (finding.sigmas > 0.0)
        text += fmt::format("{}{} sigma", text.empty() ? "" : "; ", figures(finding.sigmas, 2));
    return text;
}

}  // namespace

void print_traffic(std::ostream& out, const TrafficPage& page, const MassWords& words, const Style& style) {
    const watch::TrafficWatch& traffic = page.traffic;
    out << style(Tone::strong, page.scale) << ": " << page.source;
    if (page.seed) out << fmt::format(", seed {}", *page.seed);
    out << '\n';
    print_wrapped(out, fmt::format("{} trucks came, {} were compared. On a sound scale the box raises "
                                   "about {} false alarm{} in 1 000 trucks.",
                                   traffic.trucks(), traffic.judged(),
                                   figures(traffic.settings().false_alarms_per_1000_trucks),
                                   traffic.settings().false_alarms_per_1000_trucks == 1.0 ? "" : "s"));
    if (!page.no_weight.empty())
        print_wrapped(out, "In the end the indicator shows no weight: " + page.no_weight + ".");
    if (page.findings.empty()) {
        const bool enough = traffic.judged() >= static_cast<std::uint32_t>(field::trucks_to_judge);
        out << '\n';
        print_wrapped(out, enough ? std::string("Nothing has changed that these trucks could tell.")
                                  : fmt::format("Too few trucks: the box compares from the {}th on.",
                                                field::trucks_to_judge));
    } else {
        out << '\n' << style(Tone::strong, "What the traffic tells") << '\n';
        Table table;
        table.column("since truck", Align::right).column("noticed", Align::right);
        table.column("what").column("how sure").column("look next");
        for (const TrafficFinding& finding : page.findings)
            table.row({{since_words(finding), Tone::plain},
                       {truck_words(finding.noticed_truck), Tone::plain},
                       {traffic_finding_words(finding, words), Tone::bad},
                       {sure_words(finding), Tone::plain},
                       {next_look_words(finding), Tone::plain}});
        table.print(out, style);
    }
    out << '\n';
    print_wrapped(out, traffic.numbers().per_cell() ? channel_limits : summed_limits, 2);
}

void print_traffic_json(std::ostream& out, const TrafficPage& page, const MassWords& words) {
    Json document = json_document();
    const watch::TrafficWatch& traffic = page.traffic;
    document["scale"] = page.scale;
    document["source"] = page.source;
    if (page.seed) document["seed"] = *page.seed;
    document["unit"] = words.unit();
    document["trucks"] = traffic.trucks();
    document["compared"] = traffic.judged();
    document["false_alarms_per_1000_trucks"] = traffic.settings().false_alarms_per_1000_trucks;
    if (!page.no_weight.empty()) document["no_weight"] = page.no_weight;
    Json& findings = document["findings"] = Json::array();
    for (const TrafficFinding& finding : page.findings) {
        Json entry{{"sign", name_of(finding.sign)},
                   {"since_truck", finding.since_truck},
                   {"words", traffic_finding_words(finding, words)},
                   {"next", next_look_words(finding)}};
        if (finding.noticed_truck != 0) entry["noticed_truck"] = finding.noticed_truck;
        if (finding.part != field::DeckPart::none) entry["part"] = name_of(finding.part);
        if (finding.coming != 0.0) entry["coming"] = finding.coming;
        if (finding.leaving != 0.0) entry["leaving"] = finding.leaving;
        if (finding.sigmas > 0.0) entry["sigmas"] = finding.sigmas;
        if (finding.kg != 0.0) entry["mass"] = words.in_unit(finding.kg);
        Json& suspects = entry["suspects"] = Json::array();
        for (const field::Suspect& s : finding.suspects)
            suspects.push_back({{"cell", s.cell + 1},
                                {"sign", name_of(s.sign)},
                                {"probability", s.probability},
                                {"gain", s.gain}});
        findings.push_back(std::move(entry));
    }
    print_json(out, document);
}

}  // namespace cornerbench::report

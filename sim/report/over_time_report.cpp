#include "sim/report/over_time_report.h"

#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/svg_text.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using training::AtlasEntry;
using training::LeftStanding;
using training::MovedKg;
using training::over_time_minutes;

namespace {

/// Minutes that the table shows, as indices.
constexpr std::size_t shown_minutes[] = {1, 3, 4, 6, 8};

std::string moved_words(double kg, const MassWords& mass) {
    return std::isfinite(kg) ? mass.divisions(kg) : "no weight";
}

std::string load_words(const AtlasEntry& entry, const MassWords& mass) {
    return fmt::format("{} over support {}", mass.with_unit(entry.test.mass_kg), entry.near_support + 1);
}

struct Line {
    std::string name;
    const MovedKg& moved;
    const char* dashes;
};

std::vector<Line> lines_of(const LeftStanding& left, bool comes, bool healthy) {
    std::vector<Line> lines{{"sound", left.sound, "6 4"}};
    if (!healthy) lines.push_back({"with it", left.with, ""});
    if (comes) lines.push_back({"coming on", left.coming, "1.5 4"});
    return lines;
}

bool healthy(const AtlasEntry& entry) {
    return entry.fault.cause == scale::Cause::healthy;
}

}  // namespace

std::vector<std::string> over_time_words(const AtlasEntry& entry, const scale::Description& d) {
    const MassWords mass(d);
    const training::OverTime& time = entry.in_time;
    const auto end = [&](const MovedKg& moved) { return moved_words(moved.back(), mass); };
    std::vector<std::string> lines;
    const double minutes = over_time_minutes.back();
    lines.push_back(fmt::format(
        "Left alone for {:.0f} minutes of a morning that grows {:.1f} K warmer, zeroed at its beginning: the "
        "empty deck moves by {}{}, {} by {}{}.",
        minutes, time.warmer_K, end(time.empty.with),
        healthy(entry) ? "" : fmt::format(" (sound: {})", end(time.empty.sound)), load_words(entry, mass),
        end(time.loaded.with), healthy(entry) ? "" : fmt::format(" (sound: {})", end(time.loaded.sound))));
    if (time.comes) {
        lines.push_back(
            fmt::format("Where it comes on over these minutes: the empty deck by {}, the load by {}.",
                        end(time.empty.coming), end(time.loaded.coming)));
    }
    if (time.usual_cells) {
        lines.push_back("The scale's file is silent of creep and warmth: cells of class C3 are taken.");
    }
    return lines;
}

void print_over_time(std::ostream& out, const AtlasEntry& entry, const scale::Description& d,
                     const Style& style) {
    const MassWords mass(d);
    for (const std::string& line : over_time_words(entry, d)) print_wrapped(out, line, 2);
    Table table;
    table.column("moved after, min").column("");
    for (const std::size_t i : shown_minutes)
        table.column(fmt::format("{:.0f}", over_time_minutes[i]), Align::right);
    for (const bool loaded : {false, true}) {
        const LeftStanding& left = loaded ? entry.in_time.loaded : entry.in_time.empty;
        for (const Line& line : lines_of(left, entry.in_time.comes, healthy(entry))) {
            std::vector<Cell> row{{loaded ? "load" : "empty", Tone::plain}, {line.name, Tone::plain}};
            for (const std::size_t i : shown_minutes)
                row.push_back({moved_words(line.moved[i], mass), Tone::plain});
            table.row(row);
        }
    }
    table.print(out, style);
}

void draw_over_time(std::ostream& out, const AtlasEntry& entry, const scale::Description& d) {
    constexpr double width = 500.0;
    constexpr double height = 190.0;
    constexpr double panel = 190.0;
    constexpr double middle = 84.0;
    constexpr double half = 54.0;
    const MassWords mass(d);
    double most = d.division_kg;
    for (const LeftStanding* left : {&entry.in_time.empty, &entry.in_time.loaded})
        for (const Line& line : lines_of(*left, entry.in_time.comes, healthy(entry)))
            for (const double kg : line.moved)
                if (std::isfinite(kg)) most = std::max(most, std::fabs(kg));
    out << fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {1:.0f}\" width=\"{0:.0f}\" "
        "height=\"{1:.0f}\" role=\"img\" style=\"font:12px sans-serif\"><title>How the empty deck and a load "
        "left over support {2} move in {3:.0f} minutes</title>\n",
        width, height, entry.near_support + 1, over_time_minutes.back());
    for (const bool loaded : {false, true}) {
        const double left_x = loaded ? 290.0 : 58.0;
        const auto x = [&](std::size_t i) {
            return left_x + panel * over_time_minutes[i] / over_time_minutes.back();
        };
        out << fmt::format("<text x=\"{:.0f}\" y=\"14\">{}</text>\n", left_x,
                           loaded ? svg_text(load_words(entry, mass)) : "empty deck");
        for (const double share : {1.0, 0.0, -1.0}) {
            const double y = middle - half * share;
            out << fmt::format(
                "<line x1=\"{:.1f}\" x2=\"{:.1f}\" y1=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"{}\"/>\n", left_x,
                left_x + panel, y, y, share == 0.0 ? "#1a1a1a" : "#bbb");
            if (!loaded)
                out << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n",
                                   left_x - 6.0, y + 4.0, svg_text(mass.divisions(share * most)));
        }
        const LeftStanding& moved = loaded ? entry.in_time.loaded : entry.in_time.empty;
        for (const Line& line : lines_of(moved, entry.in_time.comes, healthy(entry))) {
            std::string points;
            for (std::size_t i = 0; i < line.moved.size(); ++i)
                if (std::isfinite(line.moved[i]))
                    points += fmt::format(" {:.1f},{:.1f}", x(i), middle - half * line.moved[i] / most);
            out << fmt::format(
                "<polyline points=\"{}\" fill=\"none\" stroke=\"#1a1a1a\" stroke-width=\"2\"{}/>\n", points,
                *line.dashes == '\0' ? "" : fmt::format(" stroke-dasharray=\"{}\"", line.dashes));
        }
        out << fmt::format(
            "<text x=\"{0:.0f}\" y=\"{1:.0f}\">0</text><text x=\"{2:.0f}\" y=\"{1:.0f}\" "
            "text-anchor=\"end\">{3:.0f} min</text>\n",
            left_x, middle + half + 18.0, left_x + panel, over_time_minutes.back());
    }
    out << fmt::format("<text x=\"58\" y=\"{:.0f}\">{}dashed: a sound scale{}</text></svg>\n", height - 6.0,
                       healthy(entry) ? "" : "solid: with it; ",
                       entry.in_time.comes ? "; dotted: while it comes on" : "");
}

Json over_time_json(const AtlasEntry& entry, const scale::Description& d) {
    const MassWords mass(d);
    const auto moved = [&](const MovedKg& kg) {
        Json all = Json::array();
        for (const double each : kg)
            all.push_back(std::isfinite(each) ? Json(mass.in_unit(each)) : Json(nullptr));
        return all;
    };
    Json json{{"minutes", over_time_minutes}, {"warmer_K", entry.in_time.warmer_K}};
    for (const bool loaded : {false, true}) {
        const LeftStanding& left = loaded ? entry.in_time.loaded : entry.in_time.empty;
        json[loaded ? "load" : "empty"] = {
            {"sound", moved(left.sound)},
            {"with", moved(left.with)},
            {"coming", entry.in_time.comes ? moved(left.coming) : Json(nullptr)}};
    }
    return json;
}

}  // namespace cornerbench::report

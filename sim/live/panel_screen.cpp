#include "sim/live/panel_screen.h"

#include <algorithm>
#include <cmath>
#include <sstream>

#include <spdlog/fmt/fmt.h>

#include "firmware/console/panel_text.h"
#include "sim/files/mass_unit.h"
#include "sim/live/large_digits.h"
#include "sim/report/corner_words.h"
#include "sim/report/table.h"

namespace cornerbench::live {

namespace {

using report::Tone;

constexpr std::size_t state_column = 52;
constexpr std::size_t near_column = 40;
constexpr int bar_length = 16;
constexpr const char* over_capacity = "! OVER CAPACITY!";
constexpr int most_sections = scale::max_cells / 2;

/// Text behind `column` of a line, which is filled up with blanks.
void put_at(std::string& line, std::size_t column, const std::string& text) {
    line.resize(std::max(line.size(), column), ' ');
    line += text;
}

/// Cut to the width of the panel, signs that it cannot count left out.
std::string fitted(std::string text) {
    for (char& sign : text) {
        if (sign < ' ' || sign > '~') sign = '?';
    }
    if (text.size() > panel_columns) text.replace(panel_columns - 3, std::string::npos, "...");
    return text;
}

/// At most `most` lines of `text` behind `head`.
std::vector<std::string> wrapped(const std::string& head, const std::string& text, std::size_t most) {
    std::ostringstream stream;
    report::print_wrapped(stream, text, static_cast<int>(head.size()));
    std::vector<std::string> lines;
    std::istringstream broken(stream.str());
    for (std::string line; std::getline(broken, line);) lines.push_back(line);
    if (lines.empty()) lines.emplace_back(head);
    lines[0].replace(0, std::min(head.size(), lines[0].size()), head);
    if (lines.size() > most) {
        lines.resize(most);
        lines.back() =
            fitted(lines.back() + std::string(panel_columns, ' ')).substr(0, panel_columns - 3) + "...";
    }
    lines.resize(most);
    return lines;
}

std::string clock_words(double seconds) {
    const auto whole = static_cast<std::int64_t>(seconds);
    return fmt::format("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

std::string with_unit(const weighing::ShownWeight& weight, scale::MassUnit unit) {
    const double size = std::pow(10.0, weight.decimals);
    return fmt::format("{} {}", report::grouped(static_cast<double>(weight.digits) / size, weight.decimals),
                       files::unit_name(unit));
}

/// The divisions that the display steps by in `unit`, the finest first: "10/20 kg".
std::string division_words(const scale::Description& d, scale::MassUnit unit) {
    std::vector<std::string> divisions;
    const auto add = [&](double division_kg) {
        divisions.push_back(report::figures(weighing::division_in(unit, division_kg).value()));
    };
    for (const scale::PartialRange& range : d.finer)
        if (range.max_kg > 0.0) add(range.division_kg);
    add(d.division_kg);
    return fmt::format("{} {}", fmt::join(divisions, "/"), files::unit_name(unit));
}

/// Below this share of what was asked for the computer does not keep up.
constexpr double keeps_up = 0.9;

/// The pace that was asked for, or the one that is reached where that is another.
std::string pace_words(double asked, double measured) {
    if (asked == 0.0) return measured == 0.0 ? "pace max" : fmt::format("max, {:.0f} x", measured);
    if (measured == 0.0 || measured >= keeps_up * asked) return fmt::format("pace {:g} x", asked);
    return fmt::format("{:.3g} of {:g} x", measured, asked);
}

class Panel {
  public:
    explicit Panel(LiveScale& live) : live_(live), yard_(live.yard()) {}

    std::vector<ScreenLine> lines(const Happening& last);

  private:
    void add(const std::string& text, Tone tone = Tone::plain) { lines_.push_back({fitted(text), tone}); }
    void add_title();
    void add_weight();
    void add_cells(int spare);
    std::vector<std::string> last_words(const Happening& last) const;
    void add_corner_check();
    void add_lines_out();
    std::string cell(int support, bool chosen);
    std::array<std::string, large_rows> state_words(const weighing::Readout& readout);

    LiveScale& live_;
    Yard& yard_;
    std::vector<ScreenLine> lines_;
};

void Panel::add_title() {
    const report::MassWords& words = yard_.words();
    std::string title = yard_.file().name;
    if (title.size() > 30) title.replace(27, std::string::npos, "...");
    const scale::Description& d = yard_.file().description;
    const scale::MassUnit unit = yard_.powered() ? yard_.scale().indicator().readout().unit : d.unit;
    put_at(title, 32, fmt::format("Max {}  d {}", words.max_words(), division_words(d, unit)));
    const std::string when =
        clock_words(yard_.time_s()) + "  " + pace_words(live_.setting().pace, live_.measured_pace());
    put_at(title, panel_columns - std::min<std::size_t>(when.size(), panel_columns), when);
    add(title, Tone::strong);
    add(std::string(panel_columns, '-'));
}

std::array<std::string, large_rows> Panel::state_words(const weighing::Readout& readout) {
    std::array<std::string, large_rows> words;
    if (readout.has_weight()) {
        words[0] = readout.stable ? "stable" : "in motion";
        if (readout.at_zero) words[0] += ", zero";
        words[1] = readout.tare_kind == weighing::TareKind::none
                       ? "gross"
                       : "net, tare " + with_unit(readout.tare, readout.unit);
        if (readout.degraded) words[2] = "cell lost: not for trade";
    }
    words[3] = yard_.seal_open() ? "seal open" : "seal closed";
    words[4] = "truly " + yard_.words().with_unit(yard_.scale().world().truth().mass_on_deck_kg);
    return words;
}

void Panel::add_weight() {
    const weighing::Readout dark;
    const weighing::Readout& readout = yard_.powered() ? yard_.scale().indicator().readout() : dark;
    const hal::PanelPicture picture = console::panel_picture(readout);
    const bool digits = yard_.powered() && readout.has_weight() && picture.digits[0] != '\0';
    std::array<std::string, large_rows> rows;
    if (digits) {
        rows = large_digits(std::string_view(picture.digits.data(), picture.digits.size()));
        rows[large_rows - 1] +=
            std::string(picture.unit.data(), strnlen(picture.unit.data(), picture.unit.size()));
    } else {
        rows[2] = "    no weight: " + yard_.shown();
    }
    const std::array<std::string, large_rows> state = state_words(readout);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        put_at(rows[i], state_column, state[i]);
        add(rows[i], digits ? Tone::strong : Tone::bad);
    }
    add(std::string(panel_columns, '-'));
}

std::string Panel::cell(int support, bool chosen) {
    const auto at = static_cast<std::size_t>(support);
    const scale::Description& d = yard_.file().description;
    const double share =
        yard_.scale().world().truth().cell_N[at] / (d.cells[at].capacity_kg * scale::standard_gravity);
    const auto full =
        static_cast<std::size_t>(std::clamp(std::lround(share * bar_length), 0L, long{bar_length}));
    std::string bar = std::string(full, '#') + std::string(bar_length - full, '.');
    // As long as the bar.
    if (share > 1.0) bar = over_capacity;
    std::string text =
        fmt::format("{}{:>2} {} [{}]{:>4.0f} %", chosen ? '>' : ' ', support + 1,
                    yard_.weight_over(support) ? 'W' : ' ', bar, std::clamp(100.0 * share, -99.0, 999.0));
    double ratio = 0.0;
    if (yard_.powered() && yard_.scale().indicator().channels() > 1 &&
        yard_.scale().indicator().channel_ratio(support, ratio))
        text += fmt::format(" {:7.4f}", 1000.0 * ratio);
    return text;
}

/// `spare`: so many of the lines that a scale of fewer sections leaves empty are wanted elsewhere.
void Panel::add_cells(int spare) {
    const bool channels = yard_.powered() && yard_.scale().indicator().channels() > 1;
    add(fmt::format("Cells, % of capacity{}: far side left, near side right; W test weight",
                    channels ? " and mV/V" : ""));
    const int sections = yard_.file().description.deck.sections;
    const int chosen = live_.controls().support();
    for (int section = 0; section < most_sections - spare; ++section) {
        if (section >= sections) {
            add("");
            continue;
        }
        const int facing = 2 * sections - 1 - section;
        std::string line = cell(section, section == chosen);
        put_at(line, near_column, cell(facing, facing == chosen));
        add(line);
    }
}

void Panel::add_corner_check() {
    std::string words = live_.controls().walk().words();
    bool found = false;
    if (words.empty() && yard_.powered()) {
        const diagnosis::CornerReport& report = yard_.scale().indicator().corner_report();
        // Nothing failed: nobody has begun.
        words = report.error == diagnosis::CornerError::no_corner_reading ? "no round yet"
                                                                          : report::corner_words(report);
        found = report.error == diagnosis::CornerError::none &&
                report.verdict == diagnosis::CornerVerdict::not_alike;
    }
    for (const std::string& line : wrapped("Corner check  ", words, 2))
        add(line, found ? Tone::bad : Tone::plain);
}

void Panel::add_lines_out() {
    std::string text = fmt::format("Lines out     console {} ({})  Modbus {} ({})", live_.console_endpoint(),
                                   live_.console_clients(), live_.modbus_port(), live_.modbus_clients());
    if (!live_.serial_path().empty())
        text += fmt::format("  {}{}", live_.serial_path(), live_.serial_in_use() ? " (1)" : "");
    if (!live_.rtu_path().empty())
        text += "  RTU " + live_.rtu_path().substr(live_.rtu_path().starts_with("/dev/") ? 5 : 0);
    add(text);
}

/// What happened last, on one line or on as many more as the cells leave empty.
std::vector<std::string> Panel::last_words(const Happening& last) const {
    const auto empty = static_cast<std::size_t>(most_sections - yard_.file().description.deck.sections);
    auto lines = wrapped(fmt::format("{:<14}", clock_words(last.t_s)), last.text, 1 + empty);
    while (lines.size() > 1 && lines.back().empty()) lines.pop_back();
    return lines;
}

std::vector<ScreenLine> Panel::lines(const Happening& last) {
    const bool writing = live_.controls().writing();
    const std::vector<std::string> happened =
        writing ? std::vector<std::string>{"Fault, Enter to inject, up and down to choose, Esc: "}
                : last_words(last);
    add_title();
    add_weight();
    add_cells(static_cast<int>(happened.size()) - 1);
    add_corner_check();
    const std::vector<std::string>& faults = yard_.faults();
    add(fmt::format("Deck          {}{}", yard_.load_words(),
                    faults.empty() ? "" : fmt::format("; {}", fmt::join(faults, "; "))),
        faults.empty() ? Tone::plain : Tone::caution);
    add_lines_out();
    for (const std::string& line : happened) add(line, writing ? Tone::strong : Tone::plain);
    if (writing) {
        add("> " + live_.controls().words() + "_", Tone::strong);
        add("");
    } else {
        for (const std::string& line : live_.controls().legend()) add(line, Tone::faint);
    }
    return lines_;
}

}  // namespace

std::vector<ScreenLine> panel_screen(LiveScale& live, const Happening& last) {
    return Panel(live).lines(last);
}

}  // namespace cornerbench::live

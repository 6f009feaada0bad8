#include "sim/sweep/columns.h"

#include <spdlog/fmt/fmt.h>

#include "sim/field/read_number.h"
#include "sim/files/nearest_word.h"

namespace cornerbench::sweep {

namespace {

struct Word {
    Quantity what;
    std::string_view name;
    bool numbered = false;
};

constexpr Word words[] = {
    {Quantity::spread, "spread"},   {Quantity::corner, "corner", true}, {Quantity::section, "section", true},
    {Quantity::display, "display"}, {Quantity::zero, "zero"},           {Quantity::span, "span"},
    {Quantity::reading, "reading"}, {Quantity::signal, "signal", true}, {Quantity::excitation, "excitation"},
    {Quantity::current, "current"}};

int places(Quantity what, const scale::Description& d) {
    return what == Quantity::section ? d.deck.sections : d.cell_count();
}

std::string unknown_word(std::string_view word) {
    std::vector<std::string> known;
    for (const Word& w : words) {
        known.emplace_back(w.name);
        if (!w.numbered) continue;
        known.push_back(std::string(w.name) + "s");
        known.push_back(std::string(w.name) + "=N");
    }
    return fmt::format("'{}' is nothing that can be shown; {}", word,
                       files::nearest_or_all(word, {known.begin(), known.end()}));
}

}  // namespace

std::string name_of(const Column& column) {
    for (const Word& w : words) {
        if (w.what != column.what) continue;
        return w.numbered ? fmt::format("{} {}", w.name, column.index + 1) : std::string(w.name);
    }
    return {};
}

bool of_corner_test(Quantity what) {
    return what == Quantity::spread || what == Quantity::corner || what == Quantity::section ||
           what == Quantity::zero;
}

std::vector<Column> read_columns(std::string_view word, const scale::Description& d, std::string& error) {
    const std::size_t equals = word.find('=');
    const std::string_view name = word.substr(0, equals);
    for (const Word& w : words) {
        const bool all = w.numbered && equals == std::string_view::npos && name == std::string(w.name) + "s";
        if (name != w.name && !all) continue;
        if (!w.numbered) {
            if (equals == std::string_view::npos) return {{w.what, 0}};
            error = fmt::format("{} has no number", w.name);
            return {};
        }
        std::vector<Column> columns;
        for (int i = 0; all && i < places(w.what, d); ++i) columns.push_back({w.what, i});
        if (all) return columns;
        const std::string_view number =
            equals == std::string_view::npos ? std::string_view{} : word.substr(equals + 1);
        const int index = field::read_number<int>(std::string(number)).value_or(0);
        if (index >= 1 && index <= places(w.what, d)) return {{w.what, index - 1}};
        error = fmt::format("'{}' names none; valid: {}s, or {}=1 to {}", word, w.name, w.name,
                            places(w.what, d));
        return {};
    }
    error = unknown_word(word);
    return {};
}

std::vector<Column> usual_columns(const scale::Description& d) {
    std::vector<Column> columns{{Quantity::spread, 0}};
    for (int i = 0; i < d.cell_count(); ++i) columns.push_back({Quantity::corner, i});
    return columns;
}

}  // namespace cornerbench::sweep

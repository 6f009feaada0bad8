#include "sim/training/drill_words.h"

#include <algorithm>
#include <array>
#include <sstream>

#include <spdlog/fmt/fmt.h>

#include "sim/field/fault_words.h"
#include "sim/field/places.h"
#include "sim/field/read_number.h"

namespace cornerbench::training {

using diagnosis::Look;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Wire;

namespace {

std::vector<std::string> split(std::string_view words) {
    std::istringstream text{std::string(words)};
    std::vector<std::string> parts;
    for (std::string part; text >> part;) parts.push_back(part);
    return parts;
}

/// A number from 1 to `most`, as an index from 0; -1 for anything else.
int index_in(const std::string& word, int most) {
    const int number = field::read_number<int>(word).value_or(0);
    return number >= 1 && number <= most ? number - 1 : -1;
}

std::optional<Wire> wire_in(const std::string& word) {
    constexpr std::array<Wire, 5> wires{Wire::excitation_plus, Wire::excitation_minus, Wire::signal_plus,
                                        Wire::signal_minus, Wire::shield};
    for (const Wire wire : wires) {
        if (word == scale::name_of(wire)) return wire;
    }
    return std::nullopt;
}

/// "5000", "5000kg" or "5t", in kg.
std::optional<double> mass_in(std::string word) {
    struct Unit {
        std::string_view name;
        double kg;
    };
    constexpr std::array<Unit, 2> units{{{"kg", 1.0}, {"t", 1000.0}}};
    for (const Unit& unit : units) {
        if (word.size() < unit.name.size()) continue;
        const std::size_t number = word.size() - unit.name.size();
        if (word.compare(number, std::string::npos, unit.name) != 0) continue;
        const auto in_unit = field::read_number<double>(word.substr(0, number));
        return in_unit ? std::optional(*in_unit * unit.kg) : std::nullopt;
    }
    return field::read_number<double>(word);
}

struct LookWord {
    std::string_view word;
    Look look;
};

constexpr std::array<LookWord, 5> looks_at_one{{{"arrow", Look::load_arrow},
                                                {"colours", Look::wire_colours},
                                                {"terminals", Look::terminals},
                                                {"trim", Look::trim},
                                                {"gap", Look::gap_at_support}}};

class ToolReader {
  public:
    ToolReader(std::string_view words, const scale::Description& d, double mass_kg)
        : words_(split(words)), d_(d), mass_kg_(mass_kg) {}

    AskedReading read() {
        if (words_.empty()) return wrong("valid: a tool and its place, such as 'weight over 1'");
        const auto with = std::find(words_.begin(), words_.end(), "with");
        if (with != words_.end()) {
            const std::string mass = fmt::format("{}", fmt::join(with + 1, words_.end(), ""));
            const auto kg = mass_in(mass);
            if (!kg || !(*kg > 0.0 && *kg <= d_.max_kg)) {
                return wrong(
                    fmt::format("'{}' is no test weight for this scale; valid: more than 0 and at most "
                                "{:g} kg, such as 'with {:g}' or 'with {:g} t'",
                                mass, d_.max_kg, mass_kg_, mass_kg_ / 1000.0));
            }
            mass_kg_ = *kg;
            words_.erase(with, words_.end());
            if (words_.empty()) return wrong("valid: a tool and its place, such as 'weight over 1'");
        }
        const std::string& tool = words_[0];
        if (tool == "weight") return weight();
        if (tool == "signal") return of_cell(Quantity::signal);
        if (tool == "channel") return channel();
        if (tool == "ohms") return ohms();
        if (tool == "volts") return volts();
        if (tool == "look") return look();
        return wrong(fmt::format("there is no tool '{}'; valid: weight, signal, {}ohms, volts, look", tool,
                                 per_cell() ? "channel, " : ""));
    }

  private:
    bool per_cell() const { return d_.converter == scale::Converter::per_cell; }
    std::string word(std::size_t i) const { return i < words_.size() ? words_[i] : std::string(); }
    static AskedReading wrong(std::string error) { return {std::nullopt, std::move(error)}; }

    AskedReading wrong_cell(const std::string& word) const {
        if (word.empty()) {
            return wrong(fmt::format("{}: of which? valid: 1 to {} behind it, such as '{} 1{}'",
                                     fmt::join(words_, " "), d_.cell_count(), fmt::join(words_, " "),
                                     words_[0] == "ohms" ? " S+ S-" : ""));
        }
        return wrong(
            fmt::format("'{}' is no cell or support of this scale; valid: 1 to {}", word, d_.cell_count()));
    }

    void put(const field::Place& place, Reading& r) const {
        r.load.count = 1;
        r.load.standing[0] = {mass_kg_, place.x_m, place.y_m};
    }

    AskedReading weight() {
        const std::string valid = fmt::format(
            "valid: weight empty, weight over 1 to {}, weight section 1 to {}, with 'down' behind it for "
            "coming down from twice the load",
            d_.cell_count(), d_.deck.sections);
        Reading r;
        std::size_t next = 2;
        if (word(1) == "over" || word(1) == "section") {
            const bool over = word(1) == "over";
            const int at = index_in(word(2), over ? d_.cell_count() : d_.deck.sections);
            if (at < 0) return wrong(valid);
            put(over ? field::over_support(d_.deck, at) : field::over_section(d_.deck, at), r);
            next = 3;
        } else if (word(1) != "empty") {
            return wrong(valid);
        }
        if (word(next) == "down" && r.load.count > 0) {
            r.direction = diagnosis::Direction::decreasing;
            ++next;
        }
        if (next < words_.size()) return wrong(valid);
        return {r, ""};
    }

    AskedReading of_cell(Quantity quantity) {
        Reading r;
        r.quantity = quantity;
        r.cell = index_in(word(1), d_.cell_count());
        if (r.cell < 0) return wrong_cell(word(1));
        if (words_.size() == 2 || (words_.size() == 3 && word(2) == "empty")) return {r, ""};
        const bool over = word(2) == "over";
        const int most = over ? d_.cell_count() : d_.deck.sections;
        const int at = over || word(2) == "section" ? index_in(word(3), most) : -1;
        if (at < 0 || words_.size() > 4) {
            return wrong(fmt::format("valid: {0} {1}, {0} {1} over 1 to {2} or {0} {1} section 1 to {3}",
                                     words_[0], word(1), d_.cell_count(), d_.deck.sections));
        }
        put(over ? field::over_support(d_.deck, at) : field::over_section(d_.deck, at), r);
        return {r, ""};
    }

    AskedReading channel() {
        if (!per_cell()) return wrong("this box sums its cells: it has no channels to read");
        return of_cell(Quantity::channel);
    }

    AskedReading ohms() {
        Reading r;
        r.quantity = Quantity::resistance;
        r.cell = index_in(word(1), d_.cell_count());
        if (r.cell < 0) return wrong_cell(word(1));
        const auto a = wire_in(word(2));
        const auto b = wire_in(word(3));
        if (!a || !b || *a == *b || words_.size() > 4) {
            return wrong("valid: ohms, a cell and two different ones of E+ E- S+ S- shield");
        }
        r.between_a = *a;
        r.between_b = *b;
        return {r, ""};
    }

    AskedReading volts() {
        Reading r;
        r.quantity = Quantity::excitation;
        if (word(1) == "box" && words_.size() == 2) return {r, ""};
        if (word(1) == "indicator" && words_.size() == 2) {
            r.place = diagnosis::ExcitationPlace::indicator;
            return {r, ""};
        }
        r.place = diagnosis::ExcitationPlace::cell;
        r.cell = index_in(word(2), d_.cell_count());
        if (word(1) != "cell" || r.cell < 0 || words_.size() > 3) {
            return wrong(
                fmt::format("valid: volts box, volts indicator or volts cell 1 to {}", d_.cell_count()));
        }
        return {r, ""};
    }

    AskedReading look() {
        Reading r;
        r.quantity = Quantity::inspection;
        if (word(1) == "ends" && words_.size() == 2) {
            r.look = Look::end_gap;
            return {r, ""};
        }
        for (const LookWord& each : looks_at_one) {
            if (word(1) != each.word) continue;
            r.look = each.look;
            r.cell = index_in(word(2), d_.cell_count());
            if (r.cell < 0 || words_.size() > 3) return wrong_cell(word(2));
            return {r, ""};
        }
        return wrong(
            "valid: look at the arrow, colours, terminals, trim or gap of one, such as 'look gap 3', or at "
            "the ends");
    }

    std::vector<std::string> words_;
    const scale::Description& d_;
    double mass_kg_ = 0.0;
};

/// The places of `cause` in words: "cell=1 to cell=8".
std::string places_words(const scale::Description& d, scale::Cause cause) {
    std::vector<std::string> places;
    for (int i = 0; i < scale::site_count(d, cause); ++i) {
        const scale::Site site = scale::site_at(d, cause, i);
        places.push_back(fmt::format("{}={}", field::site_key(site), field::site_value(site)));
    }
    if (places.size() <= 4) return fmt::format("{}", fmt::join(places, ", "));
    return fmt::format("{} to {}", places.front(), places.back());
}

}  // namespace

AskedReading read_tool(std::string_view words, const scale::Description& d, double mass_kg) {
    return ToolReader(words, d, mass_kg).read();
}

NamedCauses read_call(std::string_view words, const scale::Description& d) {
    std::vector<scale::Fault> faults;
    std::vector<bool> variant_named;
    std::vector<std::string> parts = split(words);
    const auto end = parts.end();
    for (auto begin = parts.begin(); begin != end;) {
        const auto with = std::find(begin, end, "with");
        const auto cause = field::find_cause(*begin);
        if (!cause)
            return {std::nullopt,
                    fmt::format("there is no cause '{}'; {}", *begin, field::nearest_cause(*begin))};
        if (*cause == scale::Cause::healthy && with == end && faults.empty()) return {faults, ""};
        if (*cause == scale::Cause::unlisted || *cause == scale::Cause::healthy ||
            !scale::possible(d, *cause)) {
            return {std::nullopt, fmt::format("{} is no call for this scale", *begin)};
        }
        std::optional<scale::Site> site;
        for (int i = 0; i < scale::site_count(d, *cause); ++i) {
            const scale::Site at = scale::site_at(d, *cause, i);
            const std::string word = fmt::format("{}={}", field::site_key(at), field::site_value(at));
            if (at.kind == scale::SiteKind::none || std::find(begin, with, word) != with) site = at;
        }
        if (!site) {
            return {std::nullopt,
                    fmt::format("{} needs its place; valid: {}", *begin, places_words(d, *cause))};
        }
        scale::Fault fault;
        fault.cause = *cause;
        fault.site = *site;
        fault.variant = scale::variant_at(d, *cause, 0);
        bool named = false;
        for (int i = 0; i < scale::variant_count(d, *cause); ++i) {
            const scale::Variant variant = scale::variant_at(d, *cause, i);
            const std::string word =
                fmt::format("{}={}", field::variant_key(*cause), field::variant_value(*cause, variant));
            if (field::variant_key(*cause).empty() || std::find(begin, with, word) == with) continue;
            fault.variant = variant;
            named = true;
        }
        faults.push_back(fault);
        variant_named.push_back(named);
        begin = with == end ? end : with + 1;
        if (with != end && begin == end) faults.clear();
    }
    if (faults.empty() || faults.size() > 2) {
        return {std::nullopt,
                "valid: a cause with its place, such as 'call loose-terminal cell=3'; two with "
                "'with' between them; or 'call healthy'"};
    }
    return {faults, "", variant_named};
}

std::vector<std::string> tool_lines(const scale::Description& d) {
    const int n = d.cell_count();
    std::vector<std::string> lines{
        fmt::format(
            "weight over 1..{} | section 1..{} | empty    the test weight there, and the display; 'down' "
            "behind it: coming down from twice as much",
            n, d.deck.sections),
        fmt::format("signal 1..{} [over 1..{}, section 1..{}]    a cell's signal, its wires lifted", n, n,
                    d.deck.sections)};
    if (d.converter == scale::Converter::per_cell) {
        lines.push_back(
            fmt::format("channel 1..{} [over 1..{}, section 1..{}]    what the box reads of one cell", n, n,
                        d.deck.sections));
    }
    lines.push_back(
        "... with 5000 | with 5 t    behind a weight that stands over something: another one than usual");
    lines.push_back(fmt::format("ohms 1..{} A B    between two of E+ E- S+ S- shield, lifted", n));
    lines.push_back(fmt::format("volts box | indicator | cell 1..{}    the excitation", n));
    lines.push_back(fmt::format(
        "look arrow | colours | terminals | trim | gap 1..{}, look ends    with your own eyes", n));
    return lines;
}

}  // namespace cornerbench::training

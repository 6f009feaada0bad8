#include "sim/files/sheet_writer.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/files/range.h"
#include "sim/files/sheet_keys.h"
#include "sim/files/shown_words.h"

namespace cornerbench::files {

using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;
using diagnosis::Standing;

namespace {

/// Two places are one when they differ by less than this.
constexpr double same_place_m = 1.0e-9;

/// TOML needs a point or an exponent only where a float is meant; a whole number serves as one.
std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + "\"";
}

class ReadingWriter {
  public:
    ReadingWriter(const scale::Description& description, std::string& out)
        : d_(description), unit_kg_(scale::kilograms_in(description.unit)), out_(out) {}

    void write(const Reading& r) {
        out_ += "\n[[reading]]\n";
        add("what", quoted(std::string(quantity_words[static_cast<unsigned>(r.quantity)])));
        write_place(r);
        if (r.quantity == Quantity::inspection) {
            add("look", quoted(std::string(look_words[static_cast<unsigned>(r.look)])));
            add("found", quoted(r.as_it_should_be ? "as it should be" : "not"));
            if (r.exchanged && !r.as_it_should_be) add("exchanged", wires_text(r));
            return;
        }
        if (has_load(r.quantity) || r.load.count > 0) write_load(r);
        if (r.quantity == Quantity::signal && r.lifted_excitation_V > 0.0) {
            add("excitation_V", number_text(r.lifted_excitation_V));
        }
        write_value(r);
    }

  private:
    static bool has_load(Quantity quantity) {
        return quantity == Quantity::weight || quantity == Quantity::signal || quantity == Quantity::channel;
    }

    void add(const char* key, const std::string& value) { out_ += fmt::format("{} = {}\n", key, value); }

    static std::string wires_text(const Reading& r) {
        return fmt::format("[\"{}\", \"{}\"]", scale::name_of(r.between_a), scale::name_of(r.between_b));
    }

    void write_place(const Reading& r) {
        const auto number = std::to_string(r.cell + 1);
        switch (r.quantity) {
            case Quantity::weight:
                break;
            case Quantity::signal:
                add("cell", number);
                add("connected", r.connected ? "true" : "false");
                break;
            case Quantity::resistance:
                add("cell", number);
                add("between", wires_text(r));
                break;
            case Quantity::channel:
                add("cell", number);
                break;
            case Quantity::excitation:
                if (r.place == diagnosis::ExcitationPlace::cell) {
                    add("cell", number);
                } else {
                    add("at", r.place == diagnosis::ExcitationPlace::box ? "\"box\"" : "\"indicator\"");
                }
                break;
            case Quantity::inspection:
                if (r.look != diagnosis::Look::end_gap) {
                    add(r.look == diagnosis::Look::gap_at_support ? "support" : "cell", number);
                }
                break;
        }
    }

    std::string place_text(const Standing& s) const {
        const scale::Deck& deck = d_.deck;
        const auto near = [](double a, double b) { return std::fabs(a - b) < same_place_m; };
        for (int section = 0; section < deck.sections; ++section) {
            if (!near(s.x_m, deck.section_x_m[static_cast<unsigned>(section)])) continue;
            if (near(s.y_m, 0.5 * deck.width_m)) return "section = " + std::to_string(section + 1);
            for (const bool far : {true, false}) {
                if (!near(s.y_m, far ? deck.width_m : 0.0)) continue;
                return "over = " + std::to_string(scale::support_at(section, far, deck.sections) + 1);
            }
        }
        return fmt::format("at = [{}, {}]", number_text(s.x_m), number_text(s.y_m));
    }

    void write_load(const Reading& r) {
        std::string text;
        for (int i = 0; i < r.load.count; ++i) {
            const Standing& s = r.load.standing[static_cast<unsigned>(i)];
            text += fmt::format("{}{{ mass = {}, {} }}", i == 0 ? "" : ", ",
                                number_text(s.mass_kg / unit_kg_), place_text(s));
        }
        add("load", r.load.count == 0 ? "\"empty\"" : r.load.count == 1 ? text : "[" + text + "]");
        constexpr const char* directions[] = {"", "increasing", "decreasing", "returned"};
        if (r.zero_set) add("zero_set", "true");
        if (r.direction == diagnosis::Direction::unstated) return;
        add("direction", quoted(directions[static_cast<unsigned>(r.direction)]));
        if (r.direction == diagnosis::Direction::decreasing && r.came_down_from != 2.0) {
            add("from",
                fmt::format("{{ mass = {} }}", number_text(r.came_down_from * r.load.total_kg() / unit_kg_)));
        }
    }

    void write_value(const Reading& r) {
        if (r.shown != Shown::value && r.shown != Shown::at_least) {
            const bool endless = r.quantity == Quantity::resistance;
            add(endless ? "value_ohm" : "shown", endless ? "inf" : quoted(std::string(word_of(r.shown))));
            return;
        }
        const ValueKey& key = value_key(r);
        const double factor = key.unit.empty() ? unit_kg_ : key.si_per_unit;
        // Adding nothing turns -0 into 0.
        add(std::string(key.name).c_str(), number_text(r.value / factor + 0.0));
        if (r.uncertainty > 0.0) add("uncertainty", number_text(r.uncertainty / factor));
    }

    static const ValueKey& value_key(const Reading& r) {
        const std::string_view wanted = r.quantity != Quantity::resistance ? std::string_view()
                                        : r.value >= 1.0e6                 ? std::string_view("Mohm")
                                                                           : std::string_view("ohm");
        for (const ValueKey& key : value_keys()) {
            if (key.quantity == r.quantity && key.is_ratio == is_ratio(r) &&
                (wanted.empty() || key.unit == wanted) && key.at_least == (r.shown == Shown::at_least)) {
                return key;
            }
        }
        return value_keys().front();
    }

    static bool is_ratio(const Reading& r) {
        return r.quantity == Quantity::channel || (r.quantity == Quantity::signal && r.is_ratio);
    }

    const scale::Description& d_;
    double unit_kg_ = 1.0;
    std::string& out_;
};

void write_instruments(const diagnosis::Instruments& instruments, std::string& out) {
    const diagnosis::Instruments usual;
    std::string lines;
    for (const InstrumentKey& key : instrument_keys()) {
        const double value = instruments.*key.member;
        if (value == usual.*key.member) continue;
        lines += fmt::format("{} = {}\n", key.name, number_text(value / key.si_per_unit));
    }
    if (!lines.empty()) out += "\n[instruments]\n" + lines;
}

}  // namespace

std::string reading_block(const scale::Description& description, const Reading& reading) {
    std::string out;
    ReadingWriter(description, out).write(reading);
    return out;
}

std::string sheet_text(const SheetHead& head, const scale::Description& description,
                       const diagnosis::Sheet& sheet) {
    std::string out;
    std::string_view comment = head.comment;
    while (!comment.empty()) {
        const std::string_view line = comment.substr(0, comment.find('\n'));
        comment.remove_prefix(std::min(comment.size(), line.size() + 1));
        out += line.empty() ? "#\n" : fmt::format("# {}\n", line);
    }
    if (!out.empty()) out += '\n';
    out += "scale = " + quoted(head.scale_path) + "\n";
    out += fmt::format("zeroed = \"{}\"\n", sheet.zeroed == diagnosis::Zeroed::before ? "before" : "now");
    out += fmt::format("history = \"{}\"\n",
                       sheet.history == diagnosis::History::calibrated ? "calibrated" : "new");
    write_instruments(sheet.instruments, out);
    ReadingWriter writer(description, out);
    for (const Reading& reading : sheet.readings) writer.write(reading);
    return out;
}

}  // namespace cornerbench::files

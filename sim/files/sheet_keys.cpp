#include "sim/files/sheet_keys.h"

#include <cstddef>

#include "sim/files/key_text.h"

namespace cornerbench::files {

namespace {

using diagnosis::Instruments;
using diagnosis::Quantity;

constexpr unsigned bit(Quantity quantity) {
    return 1u << static_cast<unsigned>(quantity);
}

constexpr unsigned weight = bit(Quantity::weight);
constexpr unsigned signal = bit(Quantity::signal);
constexpr unsigned resistance = bit(Quantity::resistance);
constexpr unsigned excitation = bit(Quantity::excitation);
constexpr unsigned inspection = bit(Quantity::inspection);
constexpr unsigned channel = bit(Quantity::channel);
constexpr unsigned loaded = weight | signal | channel;
constexpr unsigned measured = loaded | resistance | excitation;

constexpr SheetKey keys[] = {
    {"", "scale", 0, "path of the scale file, from the folder of this sheet; required"},
    {"", "zeroed", 0,
     "\"before\" or \"now\": the indicator was last zeroed before the complaint or since; default "
     "\"before\""},
    {"", "history", 0,
     "\"calibrated\": corners trimmed, span and zero set on the sound scale; \"new\": never trimmed; default "
     "\"calibrated\""},
    {"", "instruments", 0, "table of standard uncertainties, see below"},
    {"", "reading", 0,
     "the readings in the order they were taken, 256 at most, each begun by [[reading]]; none: only the "
     "priors speak"},

    {"reading", "what", measured | inspection,
     "\"weight\", \"signal\", \"resistance\", \"excitation\", \"inspection\" or \"channel\"; required"},
    {"reading", "load", measured,
     "\"empty\", a load, or a list of loads, see below; required for weight, signal and channel, else "
     "\"empty\""},
    {"reading", "direction", loaded,
     "\"increasing\", \"decreasing\" (came down at the same place) or \"returned\"; default: not known"},
    {"reading", "from", loaded, "{ mass = ... } from which it came down; default twice the load"},
    {"reading", "zero_set", weight,
     "of an empty deck, true: zero was set here, and what follows is shown from it; value is what was "
     "shown then; default false"},
    {"reading", "cell", signal | resistance | excitation | channel | inspection,
     "number of the cell; of an excitation this or at; of an inspection of all but the end gap"},
    {"reading", "support", inspection, "of a gap at support: the support's number; cell says the same"},
    {"reading", "connected", signal,
     "false: lifted, on its own excitation; true: still on the bus; required"},
    {"reading", "excitation_V", signal, "that fed the lifted cell; default the indicator's nominal one"},
    {"reading", "between", resistance,
     "two of \"E+\", \"E-\", \"S+\", \"S-\", \"shield\", lifted from the box; required"},
    {"reading", "at", excitation, "\"box\" or \"indicator\", in place of cell"},
    {"reading", "look", inspection,
     "\"load arrow\", \"wire colours\", \"gap at support\", \"end gap\", \"trim\" or \"terminals\"; "
     "required"},
    {"reading", "found", inspection, "\"as it should be\" or \"not\"; required"},
    {"reading", "exchanged", inspection,
     "of wire colours found \"not\": the two of \"E+\", \"E-\", \"S+\", \"S-\" that stand on each other's "
     "terminals; default: not said"},
    {"reading", "value", weight, "in the scale's unit"},
    {"reading", "value_mV", signal, "in mV"},
    {"reading", "value_mV_per_V", signal | channel, "in mV per V of the excitation"},
    {"reading", "value_ohm", resistance, "in ohm; inf: over the meter's range, wherever that ends"},
    {"reading", "value_kohm", resistance, "in kohm"},
    {"reading", "value_Mohm", resistance, "in Mohm"},
    {"reading", "at_least_Mohm", resistance,
     "in Mohm, in place of a value: so much or more, as a meter says that ends there, \">500 Mohm\""},
    {"reading", "at_least_kohm", resistance, "the same in kohm"},
    {"reading", "at_least_ohm", resistance, "the same in ohm"},
    {"reading", "value_V", excitation, "in V"},
    {"reading", "shown", measured,
     "in place of a value: \"over range\" (every meter), \"under range\" (weight, signal, channel) or "
     "\"blank\" (weight, "
     "channel)"},
    {"reading", "uncertainty", measured, "standard, in the value's unit; default by the instrument"},

    {"load", "mass", 0, "in the scale's unit"},
    {"load", "over", 0, "number of the support it stands over"},
    {"load", "section", 0, "number of the section line, from the left, that it stands midway across"},
    {"load", "at", 0, "[x, y] in m: x as in section_x_m, y from the near row (0) to the far one"},
    {"load", "vehicle", 0, "in place of mass: path or name of a vehicle file"},
    {"load", "position", 0, "x in m of the vehicle's front axle; axles beyond the deck weigh nothing"},
    {"load", "heading", 0, "\"right\" or \"left\": where the vehicle's front points; default \"right\""},
};

constexpr InstrumentKey instruments[] = {
    {"ohmmeter_percent", "%", 1.0e-2, {1.0e-3, 100.0}, &Instruments::ohmmeter, "of the reading"},
    {"insulation_percent", "%", 1.0e-2, {0.1, 100.0}, &Instruments::insulation_tester, "of the reading"},
    {"millivoltmeter_uV", "uV", 1.0e-6, {1.0e-3, 1.0e5}, &Instruments::millivoltmeter_V, "of any signal"},
    {"voltmeter_percent", "%", 1.0e-2, {1.0e-3, 100.0}, &Instruments::voltmeter, "of the reading"},
    {"placing_m", "m", 1.0, {0.0, 2.0}, &Instruments::placing_m, "where a weight really stood, each way"},
    {"test_weights_percent", "%", 1.0e-2, {0.0, 10.0}, &Instruments::test_weights, "of the mass"},
    {"repeatability_d",
     "d",
     1.0,
     {0.01, 100.0},
     &Instruments::repeatability_divisions,
     "divisions of the weight"},
};

constexpr ValueKey values[] = {
    {Quantity::weight, "value", "", 1.0, {-1.0e7, 1.0e7}, false},
    {Quantity::signal, "value_mV", "mV", 1.0e-3, {-1.0e4, 1.0e4}, false},
    {Quantity::signal, "value_mV_per_V", "mV/V", 1.0e-3, {-1.0e3, 1.0e3}, true},
    {Quantity::resistance, "value_ohm", "ohm", 1.0, {0.0, 1.0e13}, false},
    {Quantity::resistance, "value_kohm", "kohm", 1.0e3, {0.0, 1.0e10}, false},
    {Quantity::resistance, "value_Mohm", "Mohm", 1.0e6, {0.0, 1.0e7}, false},
    {Quantity::resistance, "at_least_ohm", "ohm", 1.0, {1.0, 1.0e13}, false, true},
    {Quantity::resistance, "at_least_kohm", "kohm", 1.0e3, {1.0e-3, 1.0e10}, false, true},
    {Quantity::resistance, "at_least_Mohm", "Mohm", 1.0e6, {1.0e-6, 1.0e7}, false, true},
    {Quantity::excitation, "value_V", "V", 1.0, {-100.0, 100.0}, false},
    {Quantity::channel, "value_mV_per_V", "mV/V", 1.0e-3, {-1.0e3, 1.0e3}, true},
};

/// "weight, signal, channel" for a set of quantities.
std::string quantities_text(unsigned quantities) {
    std::string out;
    for (std::size_t i = 0; i < quantity_words.size(); ++i) {
        if ((quantities & (1u << i)) == 0) continue;
        out += (out.empty() ? "" : ", ") + std::string(quantity_words[i]);
    }
    return out;
}

void add_keys(std::string_view table, std::string& out) {
    for (const SheetKey& key : sheet_keys()) {
        if (key.table != table) continue;
        std::string line = std::string(key.name) + ": " + std::string(key.meaning);
        if (table == "reading" && key.name != "what") line += " (" + quantities_text(key.quantities) + ")";
        out += wrapped_key(line);
    }
}

}  // namespace

std::span<const SheetKey> sheet_keys() {
    return keys;
}

std::span<const InstrumentKey> instrument_keys() {
    return instruments;
}

std::span<const ValueKey> value_keys() {
    return values;
}

std::vector<std::string_view> reading_keys(Quantity quantity) {
    std::vector<std::string_view> names;
    for (const SheetKey& key : keys) {
        if (key.table == "reading" && (key.quantities & bit(quantity)) != 0) names.push_back(key.name);
    }
    return names;
}

std::string quantities_that_have(std::string_view name) {
    for (const SheetKey& key : keys) {
        if (key.table == "reading" && key.name == name) return quantities_text(key.quantities);
    }
    return "";
}

std::vector<std::string_view> sheet_key_names(std::string_view table) {
    std::vector<std::string_view> names;
    for (const SheetKey& key : keys) {
        if (key.table == table) names.push_back(key.name);
    }
    return names;
}

std::string sheet_keys_text() {
    std::string out = "At the top of the sheet\n";
    add_keys("", out);
    out += "\n[instruments]\n";
    for (const InstrumentKey& key : instruments) {
        out += wrapped_key(std::string(key.name) + ": " + std::string(key.meaning) + "; default " +
                           number_text(Instruments{}.*key.member / key.si_per_unit) + "; " +
                           range_text(key.range, key.unit));
    }
    out += "\n[[reading]]\n";
    add_keys("reading", out);
    out += "\nload = { mass, and over, section or at } or { vehicle, position }\n";
    add_keys("load", out);
    return out;
}

std::vector<std::string_view> asked_reading_keys(diagnosis::Quantity quantity) {
    std::vector<std::string_view> asked;
    for (const std::string_view key : reading_keys(quantity)) {
        bool of_value = key == "shown" || key == "uncertainty" || key == "found" || key == "exchanged";
        for (const ValueKey& value : value_keys()) of_value = of_value || key == value.name;
        if (!of_value) asked.push_back(key);
    }
    return asked;
}

}  // namespace cornerbench::files

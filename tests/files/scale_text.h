#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/files/scale_file.h"

/// A valid scale file as text that tests can edit key by key, knowing in which line each key stands.
namespace cornerbench::files::testing {

struct TextKey {
    std::string table;  ///< "" at the top
    std::string name;
    std::string value;
};

class ScaleText {
  public:
    /// A small scale of 4 supports with the required keys only.
    static ScaleText small() {
        ScaleText text;
        text.keys_ = {{"", "name", "\"Yard scale\""},
                      {"", "unit", "\"kg\""},
                      {"", "max", "20000"},
                      {"", "division", "10"},
                      {"", "standard", "\"OIML R 76\""},
                      {"", "class", "\"III\""},
                      {"gravity", "g", "9.81"},
                      {"deck", "section_x_m", "[0.0, 5.0]"},
                      {"deck", "width_m", "2.5"},
                      {"cell", "capacity", "15000"}};
        return text;
    }

    /// The same with every key that can stand beside the others, none at its default.
    static ScaleText full() {
        ScaleText text = small();
        text.remove("gravity", "g");
        const std::vector<TextKey> more = {{"gravity", "latitude_deg", "-33.5"},
                                           {"gravity", "height_m", "120"},
                                           {"finer", "up_to", "10000"},
                                           {"finer", "division", "5"},
                                           {"finest", "up_to", "4000"},
                                           {"finest", "division", "2"},
                                           {"deck", "mass", "6000"},
                                           {"deck", "kind", "\"concrete\""},
                                           {"deck", "overhang_m", "0.3"},
                                           {"deck", "twist_stiffness_kN_m_per_rad", "9000"},
                                           {"deck", "joint_stiffness_kN_m_per_rad", "12"},
                                           {"support", "stiffness_kN_per_mm", "70"},
                                           {"cell", "rated_output_mV_per_V", "2.85"},
                                           {"cell", "rated_output_tolerance_percent", "0.25"},
                                           {"cell", "zero_tolerance_percent", "2"},
                                           {"cell", "input_resistance_ohm", "385"},
                                           {"cell", "output_resistance_ohm", "340"},
                                           {"cell", "input_resistance_tolerance_percent", "2"},
                                           {"cell", "output_resistance_tolerance_percent", "0.3"},
                                           {"cell", "insulation_Mohm", "2000"},
                                           {"cell", "nonlinearity_percent", "0.02"},
                                           {"cell", "hysteresis_percent", "-0.03"},
                                           {"cell", "creep_percent", "0.04"},
                                           {"cell", "zero_percent_per_10K", "0.05"},
                                           {"cell", "span_percent_per_10K", "-0.06"},
                                           {"cell.colours", "E+", "\"red\""},
                                           {"cell.colours", "E-", "\"black\""},
                                           {"cell.colours", "S+", "\"green\""},
                                           {"cell.colours", "S-", "\"white\""},
                                           {"cell.colours", "shield", "\"bare\""},
                                           {"cable", "length_m", "12"},
                                           {"cable", "conductor", "\"20 AWG\""},
                                           {"cable", "temperature_C", "-5"},
                                           {"box", "converter", "\"per-cell\""},
                                           {"box", "contact_ohm", "0.03"},
                                           {"box.trim", "kind", "\"signal-shunt\""},
                                           {"box.trim", "total_ohm", "50000"},
                                           {"box.trim", "turns", "20"},
                                           {"box.trim", "at", "15"},
                                           {"box.trim", "fixed_ohm", "5000"},
                                           {"box.trim", "mixing_ohm", "300"},
                                           {"home_run", "wires", "4"},
                                           {"home_run", "length_m", "25"},
                                           {"home_run", "conductor", "\"1.5 mm2\""},
                                           {"indicator", "excitation_V", "5"},
                                           {"indicator", "source_ohm", "0.5"},
                                           {"indicator", "bits", "20"},
                                           {"indicator", "full_scale_mV_per_V", "7.8"},
                                           {"indicator", "rate_Hz", "50"},
                                           {"indicator", "noise_nV_rms", "40"},
                                           {"indicator", "input_Mohm", "100"},
                                           {"indicator", "shield_bond", "\"floating\""},
                                           {"indicator", "sense_fallback_kohm", "47"},
                                           {"", "local_standard", "\"town\""},
                                           {"certificates", "cell_class", "\"C3\""},
                                           {"certificates", "cell_standard", "\"OIML R 60\""},
                                           {"certificates", "cell_intervals", "3000"},
                                           {"certificates", "cell_v_min", "1.5"},
                                           {"certificates", "cell_Y", "10000"},
                                           {"certificates", "cell_Z", "3000"},
                                           {"certificates", "cell_share", "0.7"},
                                           {"certificates", "cell_least_load", "20"},
                                           {"certificates", "indicator_intervals", "6000"},
                                           {"certificates", "indicator_least_uV", "0.5"},
                                           {"certificates", "indicator_least_ohm", "43"},
                                           {"certificates", "indicator_most_ohm", "1100"},
                                           {"certificates", "cable_m_per_mm2", "150"}};
        for (const TextKey& key : more) text.set(key.table, key.name, key.value);
        return text;
    }

    /// Gives `name` in `table` a value, as it would stand in the file.
    ScaleText& set(std::string_view table, std::string_view name, std::string_view value) {
        std::size_t place = keys_.size();
        for (std::size_t i = 0; i < keys_.size(); ++i) {
            if (keys_[i].table != table) continue;
            if (keys_[i].name == name) {
                keys_[i].value = value;
                return *this;
            }
            place = i + 1;
        }
        keys_.insert(keys_.begin() + static_cast<std::ptrdiff_t>(place),
                     {std::string(table), std::string(name), std::string(value)});
        return *this;
    }

    ScaleText& rename(std::string_view table, std::string_view name, std::string_view other) {
        for (TextKey& key : keys_) {
            if (key.table == table && key.name == name) key.name = other;
        }
        return *this;
    }

    ScaleText& remove(std::string_view table, std::string_view name) {
        std::erase_if(keys_, [&](const TextKey& key) { return key.table == table && key.name == name; });
        return *this;
    }

    /// Text that follows everything else, such as [[cells]].
    ScaleText& append(std::string_view text) {
        tail_ += text;
        return *this;
    }

    const std::vector<TextKey>& keys() const { return keys_; }

    std::string text() const { return built().first; }

    /// Line in which `name` of `table` stands; 0 when it does not.
    int line_of(std::string_view table, std::string_view name) const {
        const auto lines = built().second;
        for (std::size_t i = 0; i < keys_.size(); ++i) {
            if (keys_[i].table == table && keys_[i].name == name) return lines[i];
        }
        return 0;
    }

    Loaded<ScaleFile> load() const { return parse_scale(text(), "yard.toml"); }

  private:
    std::pair<std::string, std::vector<int>> built() const {
        std::string text;
        std::vector<int> lines;
        int line = 1;
        std::string table;
        for (const TextKey& key : keys_) {
            if (key.table != table) {
                table = key.table;
                text += "\n[" + table + "]\n";
                line += 2;
            }
            lines.push_back(line++);
            const bool bare = key.name.find_first_of("+ ") == std::string::npos;
            text += (bare ? key.name : '"' + key.name + '"') + " = " + key.value + "\n";
        }
        return {text + tail_, lines};
    }

    std::vector<TextKey> keys_;
    std::string tail_;
};

}  // namespace cornerbench::files::testing

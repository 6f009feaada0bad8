#include "sim/bad_days/drawn_scale.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <vector>

#include <spdlog/fmt/fmt.h>
#include <spdlog/fmt/ranges.h>

#include "sim/field/random_source.h"
#include "sim/files/standard_folders.h"

namespace cornerbench::bad_days {

namespace {

constexpr std::string_view prefix = "drawn-";
constexpr std::uint64_t scale_stream = 33;

/// A scale's file, drawn. No two draws among the arguments of one call: compilers differ in which comes
/// first.
class Drawing {
  public:
    explicit Drawing(std::uint64_t seed) : random_(seed, scale_stream) {}

    std::string text() {
        const int sections = 2 + random_.index(scale::max_sections - 1);
        // A long deck for little loads would hardly press its supports.
        double division = 0.0;
        double max = 0.0;
        do {
            division = one_of(std::array{5.0, 10.0, 20.0, 50.0});
            max = division * one_of(std::array{2000.0, 3000.0, 4000.0, 5000.0, 6000.0});
        } while (max < 7000.0 * sections);
        const double mass = std::round(max * random_.between(0.2, 0.35));
        std::string out = fmt::format(
            "name = \"Drawn scale\"\nunit = \"kg\"\nmax = {}\ndivision = {}\nstandard = \"OIML R 76\"\n"
            "class = \"III\"\ngravity = {{ g = {:.4f} }}\n\n",
            max, division, random_.between(9.78, 9.832));
        put_deck(out, mass, sections);
        put_box(out, put_cells(out, max, mass, sections));
        put_way_to_indicator(out);
        return out;
    }

  private:
    template <class T, std::size_t N>
    T one_of(const std::array<T, N>& choices) {
        return choices[static_cast<std::size_t>(random_.index(static_cast<int>(N)))];
    }
    double log_between(double low, double high) {
        return numbers::exp(random_.between(numbers::log(low), numbers::log(high)));
    }
    bool chance(double probability) { return random_.share() < probability; }

    void put_deck(std::string& out, double mass, int sections) {
        std::vector<std::string> x_m;
        double x = 0.0;
        for (int i = 0; i < sections; ++i) {
            x_m.push_back(fmt::format("{:.2f}", x));
            x += random_.between(2.5, 8.0);
        }
        const double overhang = random_.between(0.0, 0.6);
        out += fmt::format("[deck]\nmass = {}\nsection_x_m = [{}]\nwidth_m = {:.2f}\noverhang_m = {:.2f}\n",
                           mass, fmt::join(x_m, ", "), random_.between(2.2, 3.2), overhang);
        out += fmt::format("twist_stiffness_kN_m_per_rad = {:.0f}\n",
                           chance(0.1) ? 0.0 : log_between(1.0e3, 3.0e4));
        // Rails that run on over many sections would lift off what is a little low.
        out += fmt::format("joint_stiffness_kN_m_per_rad = {:.0f}\n\n",
                           sections > 4 || chance(0.7) ? 0.0 : log_between(1.0e3, 1.0e4));
        out += fmt::format("[support]\nstiffness_kN_per_mm = {:.1f}\n\n", log_between(40.0, 150.0));
    }

    /// A cell bears its share of all, and the heaviest axles over it. True when they are so alike that a
    /// summed box needs no trim.
    bool put_cells(std::string& out, double max, double mass, int sections) {
        const int count = 2 * sections;
        const double least = std::max((max + mass) / count * 1.6, 0.35 * max + mass / count);
        const double capacity = std::round(least * random_.between(1.0, 2.0));
        // So that a cell that is turned over shows on the empty deck, where the ends carry least.
        const double on_end = mass / (4.0 * (sections - 1));
        const double zero_percent = std::min(random_.between(0.2, 1.0), 100.0 * on_end / (3.5 * capacity));
        const bool alike = chance(0.2);
        output_ohm_ = one_of(std::array{350.0, 350.0, 700.0, 1000.0});
        input_ohm_ = std::round(output_ohm_ * random_.between(1.0, 1.2));
        rated_ = one_of(std::array{2.0, 2.0, 3.0});
        out += fmt::format("[cell]\ncapacity = {:.0f}\nrated_output_mV_per_V = {}\n", capacity, rated_);
        out += fmt::format("rated_output_tolerance_percent = {:.3f}\nzero_tolerance_percent = {:.3f}\n",
                           alike ? 0.02 : log_between(0.03, 0.15), zero_percent);
        out += fmt::format("output_resistance_tolerance_percent = {}\n", alike ? 0.02 : 0.6);
        out +=
            fmt::format("input_resistance_ohm = {}\noutput_resistance_ohm = {}\n\n", input_ohm_, output_ohm_);
        const double mm2 = random_.between(0.2, 0.6);
        out += fmt::format("[cable]\nlength_m = {:.1f}\nconductor = \"{:.2f} mm2\"\n\n",
                           random_.between(5.0, 20.0), mm2);
        return alike;
    }

    void put_box(std::string& out, bool alike) {
        const bool per_cell = chance(0.4);
        out += fmt::format("[box]\nconverter = \"{}\"\ncontact_ohm = {:.3f}\n",
                           per_cell ? "per-cell" : "summed", random_.between(0.005, 0.05));
        if (per_cell || alike) return;
        switch (random_.index(4)) {
            case 0:
                out += fmt::format(
                    "trim = {{ kind = \"excitation-series\", total_ohm = {:.1f}, turns = 25, at = 5 }}\n",
                    input_ohm_ * random_.between(0.05, 0.12));
                return;
            case 1: {
                const double mixing = log_between(0.2, 10.0);
                out += fmt::format(
                    "trim = {{ kind = \"excitation-series\", total_ohm = {:.1f}, turns = 25, at = 5, "
                    "mixing_ohm = {:.0f} }}\n",
                    input_ohm_ * random_.between(0.05, 0.12), output_ohm_ * mixing);
                return;
            }
            case 2:
                out += fmt::format(
                    "trim = {{ kind = \"excitation-series\", total_ohm = {0:.1f}, turns = 0, at = {1:.2f} "
                    "}}\n",
                    input_ohm_ * 0.026, input_ohm_ * 0.004);
                return;
            default: {
                const double by = output_ohm_ / 350.0;
                const double mixing = random_.between(0.7, 1.5);
                out += fmt::format(
                    "trim = {{ kind = \"signal-shunt\", fixed_ohm = {:.0f}, total_ohm = {:.0f}, turns = {}, "
                    "at = "
                    "6, mixing_ohm = {:.0f} }}\n",
                    20'000.0 * by, 200'000.0 * by, one_of(std::array{15.0, 20.0}), 1'000.0 * by * mixing);
                return;
            }
        }
    }

    void put_way_to_indicator(std::string& out) {
        // Four wires go a short way only: nothing senses what the day's warmth does to them.
        const bool four = chance(0.2);
        out += fmt::format("\n[home_run]\nwires = {}\nlength_m = {:.1f}\n\n", four ? 4 : 6,
                           four ? random_.between(1.0, 3.0) : log_between(5.0, 80.0));
        const char* bond = one_of(std::array{"E-", "midpoint", "floating"});
        out += fmt::format("[indicator]\nexcitation_V = {}\nfull_scale_mV_per_V = {}\nshield_bond = \"{}\"\n",
                           one_of(std::array{5.0, 10.0, 12.0}), rated_ > 2.0 ? 5.0 : 3.9, bond);
    }

    field::RandomSource random_;
    double output_ohm_ = 350.0;
    double input_ohm_ = 390.0;
    double rated_ = 2.0;
};

}  // namespace

std::string drawn_scale_text(std::uint64_t seed) {
    return Drawing(seed).text();
}

std::optional<DayScale> drawn_scale(std::uint64_t seed) {
    DayScale scale;
    scale.name = std::string(prefix) + std::to_string(seed);
    scale.text = drawn_scale_text(seed);
    const auto file = files::parse_scale(scale.text, scale.name + ".toml");
    if (!file) return std::nullopt;
    scale.file = *file.value;
    const std::string standard(files::standard_file_name(scale.file.standard));
    const auto rules = files::parse_standard(files::compiled_in_standard(standard), standard);
    if (!rules) return std::nullopt;
    scale.standard = *rules.value;
    return scale;
}

std::optional<std::uint64_t> drawn_seed(std::string_view name) {
    if (!name.starts_with(prefix)) return std::nullopt;
    name.remove_prefix(prefix.size());
    std::uint64_t seed = 0;
    const auto [end, problem] = std::from_chars(name.data(), name.data() + name.size(), seed);
    if (problem != std::errc()) return std::nullopt;
    return seed;
}

}  // namespace cornerbench::bad_days

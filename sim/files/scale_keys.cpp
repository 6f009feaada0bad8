#include "sim/files/scale_keys.h"

#include <cstddef>
#include <type_traits>

#include "sim/files/conductor.h"

namespace cornerbench::files {

namespace {

using scale::Cell;
using scale::Deck;
using scale::Description;
using scale::PartialRange;
using scale::Trim;

template <auto... Members>
double read_member(const ScaleDraft& draft) {
    return static_cast<double>((draft.*....*Members));
}

template <auto... Members>
void write_member(ScaleDraft& draft, double si) {
    auto& member = (draft.*....*Members);
    member = static_cast<std::remove_reference_t<decltype(member)>>(si);
}

template <auto... Members>
constexpr KeyField in_draft{&read_member<Members...>, &write_member<Members...>, nullptr};
template <auto... Members>
constexpr KeyField in_description = in_draft<&ScaleDraft::file, &ScaleFile::description, Members...>;
template <auto... Members>
constexpr KeyField in_deck = in_description<&Description::deck, Members...>;
template <auto... Members>
constexpr KeyField in_trim = in_description<&Description::trim, Members...>;
template <auto... Members>
constexpr KeyField in_cell = in_draft<&ScaleDraft::cell, Members...>;

template <auto Member>
constexpr KeyField in_papers = in_draft<&ScaleDraft::file, &ScaleFile::certificates, Member>;

template <auto Member>
constexpr KeyField text_in_papers{
    nullptr, nullptr, [](ScaleDraft& draft) -> std::string& { return draft.file.certificates.*Member; }};

/// Of a multi-interval scale's finer ranges, the finest last.
template <std::size_t Index, auto Member>
constexpr KeyField in_finer{
    [](const ScaleDraft& draft) { return draft.file.description.finer[Index].*Member; },
    [](ScaleDraft& draft, double kg) { draft.file.description.finer[Index].*Member = kg; }, nullptr};

template <auto Member>
constexpr KeyField text_in_file{nullptr, nullptr,
                                [](ScaleDraft& draft) -> std::string& { return draft.file.*Member; }};
template <scale::Wire wire>
constexpr KeyField colour_of{nullptr, nullptr, [](ScaleDraft& draft) -> std::string& {
                                 return draft.colours[static_cast<std::size_t>(scale::index_of(wire))];
                             }};

constexpr KeyField no_field{};
constexpr double percent = 1.0e-2;
constexpr double percent_per_10K = 1.0e-3;
constexpr double heaviest_kg = 1.0e6;

/// A key with a number; what its unit means in SI follows from its last part.
constexpr ScaleKey number(std::string_view table, std::string_view name, std::string_view unit,
                          double si_per_unit, Range range, KeyField field, std::string_view meaning) {
    return {.table = table,
            .name = name,
            .kind = KeyKind::number,
            .unit = unit,
            .si_per_unit = si_per_unit,
            .range = range,
            .field = field,
            .meaning = meaning};
}

constexpr ScaleKey integer(std::string_view table, std::string_view name, Range range, KeyField field,
                           std::string_view meaning) {
    ScaleKey key = number(table, name, "", 1.0, range, field, meaning);
    key.kind = KeyKind::integer;
    return key;
}

constexpr ScaleKey mass(std::string_view table, std::string_view name, Range range_kg, KeyField field,
                        std::string_view meaning) {
    ScaleKey key = number(table, name, "", 1.0, range_kg, field, meaning);
    key.kind = KeyKind::mass;
    return key;
}

constexpr ScaleKey choice(std::string_view table, std::string_view name,
                          std::array<std::string_view, 3> words, KeyField field, std::string_view meaning) {
    return {.table = table,
            .name = name,
            .kind = KeyKind::choice,
            .words = words,
            .field = field,
            .meaning = meaning};
}

constexpr ScaleKey text(std::string_view table, std::string_view name, KeyField field,
                        std::string_view meaning) {
    return {.table = table, .name = name, .kind = KeyKind::text, .field = field, .meaning = meaning};
}

constexpr ScaleKey conductor(std::string_view table, KeyField field) {
    return {.table = table,
            .name = "conductor",
            .kind = KeyKind::conductor,
            .field = field,
            .meaning = "one conductor, solid copper: \"22 AWG\" or \"0.5 mm2\" (22 AWG is 0.3255 mm2)"};
}

constexpr ScaleKey required(ScaleKey key) {
    key.required = true;
    return key;
}

constexpr ScaleKey in_time_only(ScaleKey key) {
    key.in_time_only = true;
    return key;
}

constexpr ScaleKey with_default_note(ScaleKey key, std::string_view note) {
    key.default_note = note;
    return key;
}

constexpr ScaleKey only_words(ScaleKey key, std::array<std::string_view, 3> words) {
    key.words = words;
    return key;
}

// Limits are wide: they keep out slips of unit and what the physics cannot compute, not unusual scales.
constexpr ScaleKey keys[] = {
    required(text("", "name", text_in_file<&ScaleFile::name>, "what people call this scale")),
    required(choice("", "unit", {"kg", "t", "lb"}, in_description<&Description::unit>,
                    "of every mass in this file, on screens and in reading sheets")),
    required(mass("", "max", {1.0, heaviest_kg}, in_description<&Description::max_kg>, "largest load")),
    required(mass("", "division", {1.0e-3, 1.0e4}, in_description<&Description::division_kg>,
                  "smallest step of the weight shown: 1, 2 or 5 times a power of ten")),
    required(choice("", "standard", {"OIML R 76", "NIST Handbook 44", "in-plant"},
                    text_in_file<&ScaleFile::standard>,
                    "whose tolerances hold; in-plant is none and not for trade")),
    with_default_note(text("", "local_standard", text_in_file<&ScaleFile::local_standard>,
                           "a code of your own that holds instead: the name of its file without .toml, in "
                           "standards/ beside this file or above it"),
                      "none"),
    required(choice("", "class", {"III", "IIII", "III L"}, text_in_file<&ScaleFile::accuracy_class>,
                    "accuracy class; III L under NIST Handbook 44 only")),

    with_default_note(number("gravity", "latitude_deg", "deg", 1.0, {-90.0, 90.0},
                             in_draft<&ScaleDraft::gravity_latitude_deg>,
                             "of the site, south negative; gravity follows by GRS80"),
                      "required, this or g"),
    number("gravity", "height_m", "m", 1.0, {-500.0, 9000.0}, in_draft<&ScaleDraft::gravity_height_m>,
           "of the site above the sea"),
    with_default_note(
        number("gravity", "g", "m/s2", 1.0, {9.7, 9.9}, in_description<&Description::gravity>, "as known"),
        "required, this or latitude_deg"),

    with_default_note(mass("finer", "up_to", {0.0, heaviest_kg}, in_finer<0, &PartialRange::max_kg>,
                           "multi-interval: loads up to here are shown by a finer division"),
                      "no finer range"),
    with_default_note(mass("finer", "division", {0.0, 1.0e4}, in_finer<0, &PartialRange::division_kg>,
                           "smallest step there"),
                      "no finer range"),
    with_default_note(mass("finest", "up_to", {0.0, heaviest_kg}, in_finer<1, &PartialRange::max_kg>,
                           "a third range below [finer], finer still"),
                      "no third range"),
    with_default_note(mass("finest", "division", {0.0, 1.0e4}, in_finer<1, &PartialRange::division_kg>,
                           "smallest step there"),
                      "no third range"),

    mass("deck", "mass", {0.0, heaviest_kg}, in_deck<&Deck::mass_kg>, "dead load, spread evenly"),
    choice("deck", "kind", {"steel", "concrete"}, in_draft<&ScaleDraft::file, &ScaleFile::deck_kind>,
           "what it is made of; only asks whether mass is usual for its length"),
    {.table = "deck",
     .name = "section_x_m",
     .kind = KeyKind::positions,
     .unit = "m",
     .range = {-500.0, 500.0},
     .required = true,
     .field = no_field,
     .meaning = "section lines from left to right, two supports on each"},
    required(number("deck", "width_m", "m", 1.0, {0.1, 12.0}, in_deck<&Deck::width_m>,
                    "between the far and the near row of supports")),
    number("deck", "overhang_m", "m", 1.0, {0.0, 10.0}, in_deck<&Deck::overhang_m>,
           "of the deck beyond the first and the last section line"),
    number("deck", "twist_stiffness_kN_m_per_rad", "kN m per rad", 1.0e3, {0.0, 1.0e7},
           in_deck<&Deck::twist_stiffness_N_m_per_rad>,
           "of each module; 0: every force is the bilinear share"),
    number("deck", "joint_stiffness_kN_m_per_rad", "kN m per rad", 1.0e3, {0.0, 1.0e7},
           in_deck<&Deck::joint_stiffness_N_m_per_rad>, "at each inner section line, per rail; 0 is a hinge"),

    number("support", "stiffness_kN_per_mm", "kN per mm", 1.0e6, {0.1, 1.0e5},
           in_description<&Description::support_stiffness_N_per_m>, "cell, stand and footing in series"),

    required(mass("cell", "capacity", {1.0, heaviest_kg}, in_cell<&Cell::capacity_kg>, "of one cell")),
    number("cell", "rated_output_mV_per_V", "mV/V", 1.0e-3, {0.1, 10.0}, in_cell<&Cell::rated_output_V_per_V>,
           "at capacity, at the box end of the cable as delivered"),
    number("cell", "rated_output_tolerance_percent", "%", percent, {0.0, 20.0},
           in_cell<&Cell::rated_output_tolerance>, "half-width"),
    number("cell", "zero_tolerance_percent", "%", percent, {0.0, 50.0}, in_cell<&Cell::zero_tolerance>,
           "half-width, of rated output"),
    number("cell", "input_resistance_ohm", "ohm", 1.0, {50.0, 1.0e4}, in_cell<&Cell::input_ohm>,
           "between E+ and E-"),
    number("cell", "output_resistance_ohm", "ohm", 1.0, {50.0, 1.0e4}, in_cell<&Cell::output_ohm>,
           "between S+ and S-; no more than input_resistance_ohm"),
    number("cell", "input_resistance_tolerance_percent", "%", percent, {0.0, 20.0},
           in_cell<&Cell::input_tolerance>, "half-width"),
    number("cell", "output_resistance_tolerance_percent", "%", percent, {0.0, 20.0},
           in_cell<&Cell::output_tolerance>, "half-width; weighs heavily on a summed bus"),
    number("cell", "insulation_Mohm", "Mohm", 1.0e6, {0.1, 1.0e6}, in_cell<&Cell::insulation_ohm>,
           "bridge to body"),
    number("cell", "nonlinearity_percent", "%", percent, {-5.0, 5.0}, in_cell<&Cell::nonlinearity>,
           "largest departure from the straight line, of rated output, mid range"),
    in_time_only(number("cell", "hysteresis_percent", "%", percent, {-5.0, 5.0}, in_cell<&Cell::hysteresis>,
                        "decreasing minus increasing, of rated output, mid range")),
    in_time_only(number("cell", "creep_percent", "%", percent, {-5.0, 5.0}, in_cell<&Cell::creep>,
                        "in 30 min, of the load's output")),
    in_time_only(number("cell", "zero_percent_per_10K", "% per 10 K", percent_per_10K, {-5.0, 5.0},
                        in_cell<&Cell::zero_per_K>, "temperature effect on zero, of rated output")),
    in_time_only(number("cell", "span_percent_per_10K", "% per 10 K", percent_per_10K, {-5.0, 5.0},
                        in_cell<&Cell::span_per_K>, "temperature effect on span, of output")),

    text("cell.colours", "E+", colour_of<scale::Wire::excitation_plus>, "colour of the E+ conductor"),
    text("cell.colours", "E-", colour_of<scale::Wire::excitation_minus>, "colour of the E- conductor"),
    text("cell.colours", "S+", colour_of<scale::Wire::signal_plus>, "colour of the S+ conductor"),
    text("cell.colours", "S-", colour_of<scale::Wire::signal_minus>, "colour of the S- conductor"),
    text("cell.colours", "shield", colour_of<scale::Wire::shield>, "colour of the shield's lead"),

    required(integer("cells", "number", {1.0, scale::max_cells}, in_draft<&ScaleDraft::cell_number>,
                     "of the support this cell stands at; every key of [cell] may follow")),
    with_default_note(number("cells", "trim_at", "turns or ohm", 1.0, {0.0, 1.0e7}, in_cell<&Cell::trim_at>,
                             "position of this cell's trim"),
                      "trim.at of [box]"),
    with_default_note(number("cells", "cable_length_m", "m", 1.0, {0.1, 1000.0}, in_cell<&Cell::cable_m>,
                             "of this cell's cable as delivered"),
                      "length_m of [cable]"),

    number("cable", "length_m", "m", 1.0, {0.1, 1000.0}, in_cell<&Cell::cable_m>,
           "of each cell's cable as delivered"),
    conductor("cable", in_description<&Description::cable_area_mm2>),
    number("cable", "temperature_C", "C", 1.0, {-60.0, 90.0},
           in_description<&Description::cable_temperature_C>, "of the conductors"),

    choice("box", "converter", {"summed", "per-cell"}, in_description<&Description::converter>,
           "one on the summed bus, or one per cell"),
    number("box", "contact_ohm", "ohm", 1.0, {1.0e-4, 10.0}, in_description<&Description::contact_ohm>,
           "of a good terminal"),
    with_default_note(required(choice("box.trim", "kind", {"none", "excitation-series", "signal-shunt"},
                                      in_trim<&Trim::kind>, "how a corner is adjusted")),
                      "\"none\", without trim; required inside trim"),
    with_default_note(number("box.trim", "total_ohm", "ohm", 1.0, {0.1, 1.0e7}, in_trim<&Trim::total_ohm>,
                             "potentiometer end to end, or the largest fixed resistor"),
                      "20 (excitation-series), 100000 (signal-shunt)"),
    number("box.trim", "turns", "turns", 1.0, {0.1, 100.0, true}, in_trim<&Trim::turns>,
           "end to end; 0: a resistor fitted by hand, whose ohms are its position"),
    with_default_note(number("box.trim", "at", "turns or ohm", 1.0, {0.0, 1.0e7}, in_cell<&Cell::trim_at>,
                             "position of every trim; turn 0 is the zero-ohm end"),
                      "0 (excitation-series), the last position (signal-shunt): the least effect"),
    with_default_note(
        number("box.trim", "fixed_ohm", "ohm", 1.0, {1.0, 1.0e7, true}, in_trim<&Trim::fixed_ohm>,
               "in series with the variable part; signal-shunt only"),
        "10000 (signal-shunt with turns), else 0"),
    number("box.trim", "mixing_ohm", "ohm", 1.0, {0.01, 1.0e6, true}, in_trim<&Trim::mixing_ohm>,
           "resistor in each signal lead, with any kind"),

    only_words(integer("home_run", "wires", {4.0, 6.0}, in_description<&Description::home_run_wires>,
                       "6: with a sense pair"),
               {"4", "6"}),
    number("home_run", "length_m", "m", 1.0, {0.1, 1000.0}, in_description<&Description::home_run_m>,
           "from the box to the indicator"),
    conductor("home_run", in_description<&Description::home_run_area_mm2>),

    number("indicator", "excitation_V", "V", 1.0, {0.5, 30.0}, in_description<&Description::excitation_V>,
           "nominal"),
    number("indicator", "source_ohm", "ohm", 1.0, {1.0e-4, 100.0, true},
           in_description<&Description::source_ohm>, "inside the excitation supply, in each pole"),
    in_time_only(integer("indicator", "bits", {8.0, 32.0}, in_description<&Description::converter_bits>,
                         "of the converter; weigh and live refuse too few codes to a division")),
    number("indicator", "full_scale_mV_per_V", "mV/V", 1.0e-3, {0.1, 100.0},
           in_description<&Description::full_scale_V_per_V>, "at which the converter saturates, either sign"),
    in_time_only(number("indicator", "rate_Hz", "Hz", 1.0, {0.1, 1.0e5},
                        in_description<&Description::rate_Hz>, "samples per second")),
    in_time_only(number("indicator", "noise_nV_rms", "nV", 1.0e-9, {0.0, 1.0e6},
                        in_description<&Description::noise_V_rms>, "at the converter's input, at that rate")),
    number("indicator", "input_Mohm", "Mohm", 1.0e6, {0.01, 1.0e6}, in_description<&Description::input_ohm>,
           "from each S line to E-"),
    choice("indicator", "shield_bond", {"E-", "midpoint", "floating"},
           in_description<&Description::shield_bond>, "where the cable shields are tied"),
    number("indicator", "sense_fallback_kohm", "kohm", 1.0e3, {0.1, 1.0e6, true},
           in_description<&Description::sense_fallback_ohm>,
           "from each sense terminal to excitation; 0: none, an open sense wire is a missing reference"),

    with_default_note(text("certificates", "cell_class", text_in_papers<&Certificates::cell_class>,
                           "of the cells as marked, such as \"C3\": class C, 3 000 intervals; for check"),
                      "not known, like every key here"),
    with_default_note(text("certificates", "cell_standard", text_in_papers<&Certificates::cell_standard>,
                           "whose classes these are: \"OIML R 60\", or a file's name"),
                      "the one that the standard's [modules] name"),
    with_default_note(number("certificates", "cell_intervals", "", 1.0, {100.0, 1.0e6, true},
                             in_papers<&Certificates::cell_intervals>, "n_LC of the cells"),
                      "that of cell_class, or not known"),
    with_default_note(
        mass("certificates", "cell_v_min", {1.0e-4, 1.0e4, true}, in_papers<&Certificates::cell_v_min_kg>,
             "smallest verification interval of a cell"),
        "that of cell_Y, or not known"),
    with_default_note(number("certificates", "cell_Y", "", 1.0, {100.0, 1.0e6, true},
                             in_papers<&Certificates::cell_Y>, "measuring range of a cell over its v_min"),
                      "that of cell_v_min, or not known"),
    with_default_note(
        number("certificates", "cell_Z", "", 1.0, {50.0, 1.0e6, true}, in_papers<&Certificates::cell_Z>,
               "measuring range over twice DR, the least dead load output return"),
        "not known; then DR is taken as large as the class lets it be"),
    with_default_note(
        number("certificates", "cell_share", "", 1.0, {0.1, 1.0, true}, in_papers<&Certificates::cell_share>,
               "p_LC, the cells' share of the limits of error"),
        "what the cells' standard takes as usual"),
    with_default_note(mass("certificates", "cell_least_load", {1.0e-3, heaviest_kg, true},
                           in_papers<&Certificates::cell_least_load_kg>, "Emin, least dead load of a cell"),
                      "not known"),
    with_default_note(
        number("certificates", "indicator_intervals", "", 1.0, {100.0, 1.0e5, true},
               in_papers<&Certificates::indicator_intervals>, "most verification intervals of the indicator"),
        "not known"),
    with_default_note(
        number("certificates", "indicator_least_uV", "uV", 1.0e-6, {0.001, 1000.0, true},
               in_papers<&Certificates::indicator_least_V>, "least signal per verification interval"),
        "not known"),
    with_default_note(number("certificates", "indicator_least_ohm", "ohm", 1.0, {1.0, 1.0e4, true},
                             in_papers<&Certificates::indicator_least_ohm>,
                             "least resistance of all cells together that the supply feeds"),
                      "not known"),
    with_default_note(number("certificates", "indicator_most_ohm", "ohm", 1.0, {1.0, 1.0e5, true},
                             in_papers<&Certificates::indicator_most_ohm>, "and the largest"),
                      "not known"),
    with_default_note(
        number("certificates", "cable_m_per_mm2", "m per mm2", 1.0, {1.0, 1.0e5, true},
               in_papers<&Certificates::cable_m_per_mm2>, "longest home run by the area of a conductor"),
        "not known"),
};

}  // namespace

std::span<const ScaleKey> scale_keys() {
    return keys;
}

}  // namespace cornerbench::files

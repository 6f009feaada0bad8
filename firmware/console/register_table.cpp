#include "firmware/console/register_table.h"

#include <array>

#include "firmware/diagnosis/corner_report.h"

namespace cornerbench::console {

namespace {

constexpr int cells = scale::max_cells;
constexpr int findings = diagnosis::max_findings;
constexpr int finding_stride = 8;

constexpr std::array<Register, 53> registers{{
    {0, Coding::u16, Content::map_version, "version of this map"},
    {1, Coding::u16, Content::has_weight, "there is a weight"},
    {2, Coding::u16, Content::why, "why there is none"},
    {3, Coding::u16, Content::why_channel, "channel that is about"},
    {4, Coding::u16, Content::unit, "unit shown"},
    {5, Coding::u16, Content::decimals, "decimals"},
    {6, Coding::i32, Content::gross, "gross"},
    {8, Coding::i32, Content::net, "net"},
    {10, Coding::i32, Content::tare, "tare"},
    {12, Coding::u16, Content::tare_kind, "kind of tare"},
    {13, Coding::u16, Content::operation, "operation condition"},
    {14, Coding::u16, Content::questionable, "questionable condition"},
    {16, Coding::u32, Content::number, "number of the readout"},
    {18, Coding::u64, Content::taken_us, "time of its newest sample, us"},
    {22, Coding::f32, Content::max_kg, "Max, kg"},
    {24, Coding::f32, Content::division_kg, "division, kg"},
    {26, Coding::f32, Content::zero_offset_kg, "zero offset, kg"},
    {28, Coding::u16, Content::channels, "channels"},
    {29, Coding::u16, Content::supports, "supports"},
    {30, Coding::u16, Content::calibrated, "calibrated"},
    {31, Coding::u16, Content::seal_open, "seal open"},
    {32, Coding::u16, Content::storing, "storing"},
    {33, Coding::u16, Content::points, "calibration points noted"},
    {34, Coding::u32, Content::calibration_changes, "changes of the calibration"},
    {36, Coding::u32, Content::configuration_changes, "changes of the configuration"},
    {38, Coding::u64, Content::state_hash, "hash of all that was shown"},
    {42, Coding::u16, Content::last_refusal, "refusal of the last write"},
    {44, Coding::u32, Content::trucks, "traffic: trucks seen"},
    {46, Coding::u32, Content::trucks_judged, "traffic: trucks judged"},
    {48, Coding::u16, Content::traffic_changes, "traffic: numbers that have changed"},
    {49, Coding::u16, Content::change_kind, "first change: what"},
    {50, Coding::u16, Content::change_place, "first change: section or channel, from 1"},
    {52, Coding::u32, Content::change_since, "first change: after truck"},
    {54, Coding::u32, Content::change_noticed, "first change: noticed with truck"},
    {56, Coding::f32, Content::change_size, "first change: lately less before"},
    {58, Coding::f32, Content::change_strays, "first change: what one truck strays by"},
    {64, Coding::f32, Content::channel_ratio, "ratio of a channel, V/V", cells, 2},
    {96, Coding::f32, Content::corner_gain, "corner gain of a channel", cells, 2},
    {128, Coding::u16, Content::corner_error, "corner check: error"},
    {129, Coding::u16, Content::corner_verdict, "corner check: verdict"},
    {130, Coding::u16, Content::corner_count, "corner check: findings"},
    {131, Coding::u16, Content::corner_unread, "corner check: supports not read"},
    {132, Coding::u16, Content::corner_unjudged, "corner check: supports not judged"},
    {134, Coding::f32, Content::corner_limit, "corner check: limit, standard uncertainties"},
    {136, Coding::f32, Content::corner_common, "corner check: gain all have in common"},
    {144, Coding::u16, Content::finding_kind, "finding: kind", findings, finding_stride},
    {145, Coding::u16, Content::finding_place, "finding: kind of place", findings, finding_stride},
    {146, Coding::u16, Content::finding_index, "finding: place, from 1", findings, finding_stride},
    {147, Coding::u16, Content::finding_other, "finding: other cell of a pair, from 1", findings,
     finding_stride},
    {148, Coding::f32, Content::finding_size, "finding: size", findings, finding_stride},
    {150, Coding::f32, Content::finding_significance, "finding: significance", findings, finding_stride},
    {240, Coding::f32, Content::cell_gain, "corner check: gain of a cell alone", cells, 2},
    {272, Coding::f32, Content::cell_gain_uncertainty, "corner check: uncertainty of that gain", cells, 2},
}};

static_assert(registers.back().address + registers.back().stride * cells == registers_end);

constexpr std::array<ActionRegisters, 4> actions{{
    {512, 1, Action::command, "command"},
    {513, 1, Action::show_in, "unit to show"},
    {514, 2, Action::preset_tare, "preset tare, kg"},
    {516, 3, Action::corner_load, "support from 1, and the mass over it, kg"},
}};

}  // namespace

std::span<const Register> readable_registers() {
    return registers;
}

std::span<const ActionRegisters> writable_registers() {
    return actions;
}

std::string_view name_of(Coding coding) {
    switch (coding) {
        case Coding::u16:
            return "u16";
        case Coding::u32:
            return "u32";
        case Coding::i32:
            return "i32";
        case Coding::u64:
            return "u64";
        case Coding::f32:
            return "f32";
    }
    return "";
}

std::string_view name_of(KeyCommand command) {
    switch (command) {
        case KeyCommand::none:
            return "none";
        case KeyCommand::zero:
            return "zero";
        case KeyCommand::tare:
            return "tare";
        case KeyCommand::clear_tare:
            return "clear tare";
        case KeyCommand::corner_empty:
            return "corner round: deck is empty";
        case KeyCommand::corner_clear:
            return "corner round: start anew";
    }
    return "";
}

}  // namespace cornerbench::console

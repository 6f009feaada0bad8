#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "sim/files/range.h"

/// The keys of a reading sheet. The check for unknown keys and the printed documentation follow from them.
namespace cornerbench::files {

inline constexpr int quantity_count = 6;
/// Words of `what`, in the order of `diagnosis::Quantity`.
inline constexpr std::array<std::string_view, quantity_count> quantity_words{
    "weight", "signal", "resistance", "excitation", "inspection", "channel"};

/// Words of `look`, in the order of `diagnosis::Look`.
inline constexpr std::array<std::string_view, diagnosis::look_count> look_words{
    "load arrow", "wire colours", "gap at support", "end gap", "trim", "terminals"};

/// One key: its place, the quantities that have it, and what it means.
struct SheetKey {
    /// "" (top level), "reading" or "load".
    std::string_view table{};
    std::string_view name{};
    /// Of "reading": the quantities that have this key, each a bit by its place in `quantity_words`.
    unsigned quantities = 0;
    std::string_view meaning{};
};

std::span<const SheetKey> sheet_keys();

/// Names of the keys that a reading of `quantity` has.
std::vector<std::string_view> reading_keys(diagnosis::Quantity quantity);

/// The same without those of its value: of a reading that is still to be taken.
std::vector<std::string_view> asked_reading_keys(diagnosis::Quantity quantity);

/// The quantities whose readings have `key`, as text such as "signal, channel"; empty when none has.
std::string quantities_that_have(std::string_view key);

/// Names of the keys of table "" or "load".
std::vector<std::string_view> sheet_key_names(std::string_view table);

/// One key of [instruments]; its default is the member's own.
struct InstrumentKey {
    std::string_view name{};
    std::string_view unit{};
    double si_per_unit = 1.0;
    Range range{};
    double diagnosis::Instruments::*member = nullptr;
    std::string_view meaning{};
};

std::span<const InstrumentKey> instrument_keys();

/// A key under which a reading's value can stand.
struct ValueKey {
    diagnosis::Quantity quantity = diagnosis::Quantity::weight;
    std::string_view name{};
    std::string_view unit{};   ///< empty: the scale's unit of mass
    double si_per_unit = 1.0;  ///< without meaning while `unit` is empty
    Range range{};             ///< in the key's unit; of a weight in kg
    bool is_ratio = false;     ///< V/V
    bool at_least = false;     ///< the value or more
};

std::span<const ValueKey> value_keys();

/// The keys of a sheet for people, as text in 80 columns.
std::string sheet_keys_text();

}  // namespace cornerbench::files

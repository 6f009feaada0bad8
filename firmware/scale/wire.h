#pragma once

namespace cornerbench::scale {

/// The five conductors of a load cell's cable, and the terminals they belong on.
enum class Wire : unsigned char { excitation_plus, excitation_minus, signal_plus, signal_minus, shield };

inline constexpr int wire_count = 5;
/// Conductors that carry excitation or signal, without the shield.
inline constexpr int live_wire_count = 4;

constexpr int index_of(Wire wire) {
    return static_cast<int>(wire);
}

/// "E+", "E-", "S+", "S-" or "shield".
constexpr const char* name_of(Wire wire) {
    constexpr const char* names[wire_count] = {"E+", "E-", "S+", "S-", "shield"};
    return names[index_of(wire)];
}

/// Conductors of a home run; the sense pair exists in a 6-wire run only.
enum class HomeWire : unsigned char {
    excitation_plus,
    excitation_minus,
    signal_plus,
    signal_minus,
    sense_plus,
    sense_minus,
    shield
};

inline constexpr int home_wire_count = 7;

constexpr int index_of(HomeWire wire) {
    return static_cast<int>(wire);
}

/// "E+", "E-", "S+", "S-", "sense+", "sense-" or "shield".
constexpr const char* name_of(HomeWire wire) {
    constexpr const char* names[home_wire_count] = {"E+", "E-", "S+", "S-", "sense+", "sense-", "shield"};
    return names[index_of(wire)];
}

}  // namespace cornerbench::scale

#include "sim/netlist/node_names.h"

namespace cornerbench::netlist {

using scale::HomeWire;
using scale::Wire;

namespace {

std::string numbered(const char* what, int index, const std::string& rest) {
    return what + std::to_string(index + 1) + "_" + rest;
}

const char* pole(Wire wire) {
    return wire == Wire::excitation_plus ? "plus" : "minus";
}

}  // namespace

std::string wire_word(Wire wire) {
    switch (wire) {
        case Wire::excitation_plus:
            return "exc_plus";
        case Wire::excitation_minus:
            return "exc_minus";
        case Wire::signal_plus:
            return "sig_plus";
        case Wire::signal_minus:
            return "sig_minus";
        case Wire::shield:
            break;
    }
    return "shield";
}

std::string wire_word(HomeWire wire) {
    switch (wire) {
        case HomeWire::excitation_plus:
            return "exc_plus";
        case HomeWire::excitation_minus:
            return "exc_minus";
        case HomeWire::signal_plus:
            return "sig_plus";
        case HomeWire::signal_minus:
            return "sig_minus";
        case HomeWire::sense_plus:
            return "sense_plus";
        case HomeWire::sense_minus:
            return "sense_minus";
        case HomeWire::shield:
            break;
    }
    return "shield";
}

std::string cell_node(int cell, Wire wire) {
    return numbered("cell", cell, wire_word(wire));
}

std::string bridge_node(int cell, Wire wire) {
    return numbered("cell", cell, std::string("bridge_") + pole(wire));
}

std::string wire_end_node(int cell, Wire wire) {
    return numbered("cell", cell, "wire_" + wire_word(wire));
}

std::string terminal_node(int position, Wire wire) {
    return numbered("terminal", position, wire_word(wire));
}

std::string BusNames::box(Wire wire) const {
    return (number_.empty() ? "box" : "channel" + number_) + "_" + wire_word(wire);
}

std::string BusNames::indicator(HomeWire wire) const {
    return (number_.empty() ? "indicator" : "converter" + number_) + "_" + wire_word(wire);
}

std::string BusNames::supply(Wire wire) const {
    return "supply" + number_ + "_" + pole(wire);
}

}  // namespace cornerbench::netlist

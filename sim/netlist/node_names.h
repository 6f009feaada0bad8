#pragma once

#include <string>

#include "firmware/scale/wire.h"

/// What the nodes of a scale's circuit are called: names that a meter's user finds on the scale, and that any
/// circuit simulator takes. Cells and places in the box count from 0 here and from 1 in the names.
namespace cornerbench::netlist {

/// "exc_plus", "sig_minus", "sense_plus", "shield".
std::string wire_word(scale::Wire wire);
std::string wire_word(scale::HomeWire wire);

/// "cell3_sig_plus": a terminal of the cell, inside it.
std::string cell_node(int cell, scale::Wire wire);
/// "cell3_bridge_plus": the bridge's corner behind the compensation resistor; wire is E+ or E-.
std::string bridge_node(int cell, scale::Wire wire);
/// "cell3_wire_sig_plus": the box end of that wire of the cell's cable.
std::string wire_end_node(int cell, scale::Wire wire);
/// "terminal3_sig_plus": the box side of the screw at place 3, ahead of its trim.
std::string terminal_node(int position, scale::Wire wire);

/// One bus with its converter and supply: that of the whole box, or of one cell where each has a channel.
class BusNames {
  public:
    /// `channel` counts from 0; below 0: a box whose cells share one bus.
    explicit BusNames(int channel) : number_(channel < 0 ? "" : std::to_string(channel + 1)) {}

    /// "box_exc_plus", of a channel "channel3_exc_plus".
    std::string box(scale::Wire wire) const;
    /// "indicator_sense_plus", of a channel "converter3_sense_plus".
    std::string indicator(scale::HomeWire wire) const;
    /// "supply_plus", "supply3_minus"; wire is E+ or E-.
    std::string supply(scale::Wire wire) const;
    /// "", or the channel's number.
    const std::string& number() const { return number_; }

  private:
    std::string number_;
};

}  // namespace cornerbench::netlist

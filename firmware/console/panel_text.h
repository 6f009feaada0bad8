#pragma once

#include "firmware/weighing/readout.h"
#include "hal/panel.h"

namespace cornerbench::console {

/// A readout as it stands on the panel: the net weight when there is a tare, else the gross; without a weight
/// no digits, and why.
hal::PanelPicture panel_picture(const weighing::Readout& readout);

/// Digits of `weight`, right-aligned, with sign and point; all zero bytes when it is too long for a panel.
std::array<char, hal::panel_digits> panel_digits_of(const weighing::ShownWeight& weight);

}  // namespace cornerbench::console

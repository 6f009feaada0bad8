#pragma once

#include <ostream>
#include <string>

#include "sim/commissioning/shims.h"
#include "sim/commissioning/wiring.h"
#include "sim/report/json_document.h"
#include "sim/report/style.h"

namespace cornerbench::report {

/// What a wiring plan is printed from.
struct WiringPage {
    const files::ScaleFile& scale;
    const commissioning::Wiring& wiring;
};

void print_wiring(std::ostream& out, const WiringPage& page, const Style& style);
Json wiring_json(const WiringPage& page);

/// Deck, numbers, cables and the box's terminals, as SVG.
std::string wiring_drawing(const WiringPage& page);

/// The sheet to fill while the box is wired, with what to expect beside each value: `diagnose` takes it.
std::string wiring_sheet(const WiringPage& page, const std::string& scale_path);

void print_shims(std::ostream& out, const files::ScaleFile& scale, const commissioning::ShimPlan& plan,
                 const Style& style);
Json shims_json(const files::ScaleFile& scale, const commissioning::ShimPlan& plan);

}  // namespace cornerbench::report

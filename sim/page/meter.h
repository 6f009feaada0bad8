#pragma once

#include <array>
#include <vector>

#include "firmware/circuit/box.h"
#include "firmware/diagnosis/reading.h"
#include "sim/page/bench.h"

namespace cornerbench::page {

/// The scale as it is at this moment.
struct MeterPlace {
    const scale::Description& description;
    const scale::Condition& condition;
    const circuit::Box& box;
    const circuit::Ratios& ratios;
};

/// Between S+ and S- of the lifted cell at `position`, on the indicator's nominal excitation.
double lifted_signal_V(const MeterPlace& place, int position);

/// Takes the reading that a deed of kind `read` asks for, but a weight: its value with the resolution of a
/// common instrument, without its error. What is looked at is found not as it should be when one of `faults`
/// shows there more often than not, exchanged wires by their names. False when there is no such thing to
/// read.
bool take_reading(const std::array<double, max_deed_numbers>& number, const MeterPlace& place,
                  const std::vector<Bench::Present>& faults, diagnosis::Reading& reading);

}  // namespace cornerbench::page

#include "firmware/scale/exchanged_wires.h"

namespace cornerbench::scale {

ExchangedWires exchanged_by(const Fault& fault) {
    switch (fault.cause) {
        case Cause::signal_pair_swapped:
            return {true, Wire::signal_plus, Wire::signal_minus};
        case Cause::excitation_pair_swapped:
            return {true, Wire::excitation_plus, Wire::excitation_minus};
        case Cause::crossed_pairs:
            return {true, fault.variant.a, fault.variant.b};
        default:
            return {};
    }
}

}  // namespace cornerbench::scale

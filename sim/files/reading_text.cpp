#include "sim/files/reading_text.h"

#include <cstddef>

#include "firmware/scale/causes.h"
#include "sim/files/sheet_keys.h"

namespace cornerbench::files {

std::string reading_text(const diagnosis::Reading& reading, const std::string& load_text) {
    const std::string cell = "cell " + std::to_string(reading.cell + 1);
    std::string out;
    switch (reading.quantity) {
        case diagnosis::Quantity::weight:
            out = "weight";
            break;
        case diagnosis::Quantity::signal:
            out = "signal of " + cell + (reading.connected ? ", connected" : ", lifted");
            break;
        case diagnosis::Quantity::resistance:
            return "resistance of " + cell + ", " + scale::name_of(reading.between_a) + " to " +
                   scale::name_of(reading.between_b);
        case diagnosis::Quantity::excitation:
            if (reading.place == diagnosis::ExcitationPlace::cell) return "excitation at " + cell;
            return reading.place == diagnosis::ExcitationPlace::box ? "excitation at the box"
                                                                    : "excitation at the indicator";
        case diagnosis::Quantity::inspection: {
            const std::string look(look_words[static_cast<std::size_t>(reading.look)]);
            if (reading.look == diagnosis::Look::end_gap) return look;
            if (reading.look == diagnosis::Look::gap_at_support) {
                return look + " " + std::to_string(reading.cell + 1);
            }
            return look + " of " + cell;
        }
        case diagnosis::Quantity::channel:
            out = "channel of " + cell;
            break;
    }
    out += ", " + load_text;
    if (reading.direction != diagnosis::Direction::unstated) {
        out += ", ";
        out += direction_words[static_cast<std::size_t>(reading.direction) - 1];
    }
    return out;
}

}  // namespace cornerbench::files

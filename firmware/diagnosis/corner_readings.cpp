#include "firmware/diagnosis/corner_readings.h"

namespace cornerbench::diagnosis {

namespace {

bool is_number(double x) {
    return x - x == 0.0;
}

bool is_mass(double mass_kg) {
    return is_number(mass_kg) && mass_kg > 0.0;
}

}  // namespace

const char* text_of(CornerError error) {
    switch (error) {
        case CornerError::none:
            return "no error";
        case CornerError::no_scale:
            return "the scale has no deck to compute with; valid are 2 to 8 sections on supports with a "
                   "stiffness";
        case CornerError::no_such_support:
            return "the scale has no support or channel of that number";
        case CornerError::bad_mass:
            return "the test mass must be a number above zero";
        case CornerError::bad_value:
            return "the reading is not a number; leave out what the display did not show";
        case CornerError::other_mass:
            return "this support was loaded with another mass before; keep one mass per support in a round";
        case CornerError::no_empty_reading:
            return "the empty deck was not read; read it, or set zero before the round";
        case CornerError::no_corner_reading:
            return "no support was loaded; put the test mass over each support in turn";
        case CornerError::not_solvable:
            return "the uncertainties given are too small to compute with; give a resolution above zero";
        case CornerError::working:
            return "the round is still being judged; ask again";
    }
    return "";
}

CornerError CornerReadings::add_empty(double kg) {
    if (!is_number(kg)) return CornerError::bad_value;
    (opened_ == 0 ? empty_ : returned_).add(kg);
    return CornerError::none;
}

CornerError CornerReadings::add_zero_set(double kg) {
    if (!is_number(kg)) return CornerError::bad_value;
    empty_ = returned_ = {};
    empty_.add(kg);
    zero_was_set_ = opened_ > 0;
    return CornerError::none;
}

CornerError CornerReadings::open(int support, double mass_kg, double kg) {
    if (support < 0 || support >= supports_ || support >= scale::max_cells)
        return CornerError::no_such_support;
    if (!is_mass(mass_kg)) return CornerError::bad_mass;
    if (!is_number(kg)) return CornerError::bad_value;
    CornerReading& corner = corner_[support];
    if (corner.mass_kg > 0.0) return corner.mass_kg == mass_kg ? CornerError::none : CornerError::other_mass;
    corner.mass_kg = mass_kg;
    corner.order = opened_++;
    corner.own_zero = returned_.count > 0 || zero_was_set_;
    corner.zero_known = corner.own_zero || empty_.count > 0;
    corner.zero_kg = returned_.count > 0 ? returned_.kg() : empty_.kg();
    returned_ = {};
    return CornerError::none;
}

CornerError CornerReadings::add_loaded(int support, double mass_kg, double kg) {
    const CornerError error = open(support, mass_kg, kg);
    if (error == CornerError::none) corner_[support].loaded.add(kg);
    return error;
}

CornerError CornerReadings::add_unloading(int support, double mass_kg, double kg, double came_down_from) {
    if (!is_number(came_down_from) || !(came_down_from > 1.0)) return CornerError::bad_mass;
    const CornerError error = open(support, mass_kg, kg);
    if (error == CornerError::none) {
        corner_[support].unloading.add(kg);
        corner_[support].came_down_from = static_cast<float>(came_down_from);
    }
    return error;
}

CornerError ChannelReadings::add_empty(int channel, double kg) {
    if (!valid(channel)) return CornerError::no_such_support;
    if (!is_number(kg)) return CornerError::bad_value;
    empty_kg_[channel] = static_cast<float>(kg);
    empty_known_ = static_cast<unsigned short>(empty_known_ | (1U << channel));
    return CornerError::none;
}

CornerError ChannelReadings::add_loaded(int support, double mass_kg, int channel, double kg) {
    if (!valid(support) || !valid(channel)) return CornerError::no_such_support;
    if (!is_mass(mass_kg)) return CornerError::bad_mass;
    if (!is_number(kg)) return CornerError::bad_value;
    double& mass = mass_kg_[support];
    if (mass > 0.0 && mass != mass_kg) return CornerError::other_mass;
    mass = mass_kg;
    loaded_kg_[support][channel] = static_cast<float>(kg);
    loaded_known_[support] = static_cast<unsigned short>(loaded_known_[support] | (1U << channel));
    return CornerError::none;
}

bool ChannelReadings::whole_row(int support) const {
    for (int c = 0; c < supports_; ++c) {
        if (!known(support, c)) return false;
    }
    return true;
}

}  // namespace cornerbench::diagnosis

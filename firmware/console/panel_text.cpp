#include "firmware/console/panel_text.h"

#include <algorithm>
#include <string_view>

namespace cornerbench::console {

namespace {

std::string_view word_of(scale::MassUnit unit) {
    switch (unit) {
        case scale::MassUnit::kilogram:
            return "kg";
        case scale::MassUnit::tonne:
            return "t";
        case scale::MassUnit::pound:
            return "lb";
    }
    return "";
}

template <std::size_t N>
void write(std::string_view text, std::array<char, N>& place) {
    std::copy_n(text.begin(), std::min(text.size(), N), place.begin());
}

}  // namespace

std::array<char, hal::panel_digits> panel_digits_of(const weighing::ShownWeight& weight) {
    std::array<char, hal::panel_digits> picture{};
    std::uint64_t left = weight.digits < 0 ? 0 - static_cast<std::uint64_t>(weight.digits)
                                           : static_cast<std::uint64_t>(weight.digits);
    std::size_t at = picture.size();
    int written = 0;
    while (left > 0 || written <= weight.decimals) {
        const bool point_due = written == weight.decimals && weight.decimals > 0;
        if (at < (point_due ? 2u : 1u)) return {};
        if (point_due) picture[--at] = '.';
        picture[--at] = static_cast<char>('0' + left % 10);
        left /= 10;
        ++written;
    }
    if (weight.digits < 0) {
        if (at == 0) return {};
        picture[--at] = '-';
    }
    std::fill(picture.begin(), picture.begin() + static_cast<std::ptrdiff_t>(at), ' ');
    return picture;
}

hal::PanelPicture panel_picture(const weighing::Readout& readout) {
    hal::PanelPicture picture;
    write(word_of(readout.unit), picture.unit);
    if (!readout.has_weight()) {
        write(weighing::words(readout.why), picture.words);
        return picture;
    }
    const bool net = readout.tare_kind != weighing::TareKind::none;
    picture.digits = panel_digits_of(net ? readout.net : readout.gross);
    if (picture.digits[0] == '\0') write("too long to show", picture.words);
    unsigned lights = 0;
    if (readout.stable) lights |= hal::light_stable;
    if (readout.at_zero) lights |= hal::light_zero;
    if (net) lights |= hal::light_net;
    if (readout.tare_kind == weighing::TareKind::preset) lights |= hal::light_preset;
    if (readout.degraded) {
        lights |= hal::light_degraded;
        write("not for trade", picture.words);
    }
    picture.lights = static_cast<std::uint16_t>(lights);
    return picture;
}

}  // namespace cornerbench::console

#include "sim/bad_days/operator_words.h"

#include <array>
#include <bit>
#include <string_view>

#include <spdlog/fmt/fmt.h>

namespace cornerbench::bad_days {

namespace {

template <std::size_t N>
std::string one_of(const std::array<std::string_view, N>& words, field::RandomSource& random) {
    return std::string(words[static_cast<std::size_t>(random.index(static_cast<int>(N)))]);
}

}  // namespace

std::string draw_command(const scale::Description& d, field::RandomSource& random) {
    constexpr std::array<std::string_view, 26> lines{"ZERO",           "TARE",
                                                     "TARE:CLE",       "UNIT KG",
                                                     "UNIT T",         "UNIT LB",
                                                     "*RST",           "*CLS",
                                                     "*TST?",          "CAL:POIN 0",
                                                     "CAL:STOR",       "CAL:RAT",
                                                     "CAL:GAIN2 1.05", "CAL:GRAV 9.8,9.81",
                                                     "CAL:POIN:CLE",   "CORN:EMPT",
                                                     "CORN:CLE",       "MEAS?;NET?;TARE?",
                                                     "STAT:QUES?",     "*OPC?",
                                                     "FETC:PRIN?",     "ZERO:OFFS?",
                                                     "ZERO;TARE",      "TARE:PRES 1E400",
                                                     "TARE:PRES -5",   "CAL:POIN NAN"};
    const double which = random.share();
    if (which < 0.15) return fmt::format("TARE:PRES {:.0f} KG", random.between(0.0, 1.2 * d.max_kg));
    if (which < 0.25) {
        std::string noise;
        for (int i = 1 + random.index(40); i > 0; --i) noise += static_cast<char>(random.index(256));
        return noise;
    }
    if (which < 0.35) {
        const double load_kg = random.between(0.0, 0.2 * d.max_kg);
        return fmt::format("CORN:LOAD {},{:.0f}", 1 + random.index(d.cell_count()), load_kg);
    }
    return one_of(lines, random);
}

std::string draw_calibrating(const scale::Description& d, double on_deck_kg, field::RandomSource& random) {
    const double which = random.share();
    if (which < 0.3) return fmt::format("CAL:POIN {:.3f} KG", on_deck_kg);
    if (which < 0.4) return fmt::format("CAL:POIN {:.0f} KG", random.between(0.0, d.max_kg));
    if (which < 0.55) {
        const double gain = random.between(0.88, 1.12);
        return fmt::format("CAL:GAIN{} {:.4f}", 1 + random.index(d.cell_count() + 1), gain);
    }
    if (which < 0.65) {
        const double here = random.between(9.77, 9.84);
        return fmt::format("CAL:GRAV {:.4f},{:.4f}", random.between(9.77, 9.84), here);
    }
    constexpr std::array<std::string_view, 5> lines{"CAL:STOR", "CAL:STOR", "CAL:RAT", "CAL:POIN:CLE",
                                                    "ZERO"};
    return one_of(lines, random);
}

virtual_scale::RegisterRequest draw_write(const scale::Description& d, field::RandomSource& random) {
    using virtual_scale::RegisterDeed;
    const double which = random.share();
    const auto any = [&] { return static_cast<std::uint16_t>(random.index(65536)); };
    if (which < 0.3)
        return {RegisterDeed::write_coil,
                static_cast<std::uint16_t>(random.index(6)),
                1,
                {static_cast<std::uint16_t>(random.index(2))}};
    if (which < 0.45) return {RegisterDeed::write, 512, 1, {static_cast<std::uint16_t>(random.index(7))}};
    if (which < 0.6) return {RegisterDeed::write, 513, 1, {static_cast<std::uint16_t>(random.index(4))}};
    if (which < 0.8) {
        const auto bits =
            std::bit_cast<std::uint32_t>(static_cast<float>(random.between(-10.0, 1.1 * d.max_kg)));
        return {RegisterDeed::write,
                514,
                2,
                {static_cast<std::uint16_t>(bits >> 16U), static_cast<std::uint16_t>(bits & 0xFFFFU)}};
    }
    virtual_scale::RegisterRequest request{RegisterDeed::write, any(), 1, {}};
    if (random.share() < 0.5) request.first = static_cast<std::uint16_t>(500 + random.index(40));
    for (int i = 1 + random.index(3); i > 0; --i) request.values.push_back(any());
    request.count = static_cast<std::uint16_t>(request.values.size());
    return request;
}

}  // namespace cornerbench::bad_days

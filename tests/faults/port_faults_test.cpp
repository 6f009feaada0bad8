#include <catch2/catch.hpp>

#include <bit>
#include <cmath>
#include <cstdint>
#include <vector>

#include "sim/faults/port_faults.h"

using namespace cornerbench;
using faults::PortFault;
using faults::PortFaultKind;

namespace {

constexpr int channels = 4;

hal::ConverterTraits four_channels() {
    hal::ConverterTraits traits;
    traits.channels = channels;
    traits.full_scale_V_per_V = 3.9e-3;
    return traits;
}

hal::Frame clean_frame(std::uint32_t number) {
    hal::Frame frame;
    frame.sequence = number;
    frame.taken_us = (number + 1) * 10000;
    for (int c = 0; c < channels; ++c)
        frame.code[static_cast<unsigned>(c)] = 1000 * (c + 1) + static_cast<int>(number);
    frame.check = hal::check_of(frame, channels);
    return frame;
}

PortFault from_frame(PortFaultKind kind, std::uint32_t first, std::uint32_t beyond, int channel = -1) {
    PortFault fault;
    fault.kind = kind;
    fault.channel = channel;
    fault.begins_us = (first + 1) * 10000;
    fault.ends_us = (beyond + 1) * 10000;
    return fault;
}

bool checks(const hal::Frame& frame) {
    return hal::check_of(frame, channels) == frame.check;
}

/// What comes out of ten frames of which numbers 4 to 6 are hit.
std::vector<hal::Frame> ten_frames(const PortFault& fault) {
    faults::PortFaults port(four_channels(), 1);
    port.add(fault);
    std::vector<hal::Frame> out;
    for (std::uint32_t n = 0; n < 10; ++n)
        for (const hal::Frame& frame : port.pass(clean_frame(n))) out.push_back(frame);
    return out;
}

}  // namespace

TEST_CASE("without a fault every frame comes as it was", "[faults]") {
    faults::PortFaults port(four_channels(), 1);
    for (std::uint32_t n = 0; n < 100; ++n) {
        const auto out = port.pass(clean_frame(n));
        REQUIRE(out.size() == 1);
        REQUIRE(out[0] == clean_frame(n));
    }
}

TEST_CASE("lost frames leave a gap, repeated ones come twice", "[faults]") {
    const auto lost = ten_frames(from_frame(PortFaultKind::frames_lost, 4, 7));
    REQUIRE(lost.size() == 7);
    CHECK(lost[3].sequence == 3);
    CHECK(lost[4].sequence == 7);
    const auto repeated = ten_frames(from_frame(PortFaultKind::repeated, 4, 7));
    REQUIRE(repeated.size() == 13);
    CHECK(repeated[4] == repeated[5]);
    CHECK(repeated[3] != repeated[4]);
}

TEST_CASE("what goes wrong in the part comes with a check that holds", "[faults]") {
    struct Case {
        PortFaultKind kind;
        std::uint8_t flag;
        int code;
    };
    const int last = (1 << 23) - 1;
    for (const Case& c : {Case{PortFaultKind::saturated, hal::sample_over_range, last},
                          Case{PortFaultKind::reference_missing, hal::sample_reference_missing, 0},
                          Case{PortFaultKind::transfer_failed, hal::sample_bus_error, 2003},
                          Case{PortFaultKind::not_new, hal::sample_not_new, 2003},
                          Case{PortFaultKind::stuck, hal::sample_good, 2003}}) {
        const auto out = ten_frames(from_frame(c.kind, 4, 7, 1));
        REQUIRE(out.size() == 10);
        for (std::uint32_t n = 0; n < 10; ++n) {
            CHECK(checks(out[n]));
            if (n < 4 || n >= 7) {
                CHECK(out[n] == clean_frame(n));
                continue;
            }
            CHECK(out[n].fault[1] == c.flag);
            CHECK(out[n].code[1] == c.code);
            CHECK(out[n].fault[0] == hal::sample_good);
            CHECK(out[n].code[0] == clean_frame(n).code[0]);
        }
    }
}

TEST_CASE("what goes wrong on the way does not go with its check", "[faults]") {
    PortFault flip = from_frame(PortFaultKind::bit_flipped, 4, 7, 2);
    const auto flipped = ten_frames(flip);
    for (std::uint32_t n = 0; n < 10; ++n) {
        CHECK(checks(flipped[n]) == (n < 4 || n >= 7));
        const auto difference = static_cast<std::uint32_t>(flipped[n].code[2] ^ clean_frame(n).code[2]);
        CHECK(std::popcount(difference) == (n < 4 || n >= 7 ? 0 : 1));
    }
    PortFault exchange = from_frame(PortFaultKind::channels_exchanged, 4, 7, 0);
    exchange.other = 3;
    const auto exchanged = ten_frames(exchange);
    for (std::uint32_t n = 0; n < 10; ++n) CHECK(checks(exchanged[n]) == (n < 4 || n >= 7));
    CHECK(exchanged[5].code[0] == clean_frame(5).code[3]);
    CHECK(exchanged[5].code[3] == clean_frame(5).code[0]);
}

TEST_CASE("a fault hits the share of the frames that it is given", "[faults]") {
    faults::PortFaults port(four_channels(), 6);
    PortFault fault;
    fault.kind = PortFaultKind::frames_lost;
    fault.share = 0.1;
    const int number = port.add(fault);
    int came = 0;
    for (std::uint32_t n = 0; n < 20000; ++n) came += static_cast<int>(port.pass(clean_frame(n)).size());
    // Binomial: five standard deviations.
    CHECK(std::fabs(came - 18000.0) < 5.0 * std::sqrt(20000.0 * 0.1 * 0.9));
    CHECK(port.mend(number));
    CHECK_FALSE(port.mend(number));
    CHECK(port.empty());
}

TEST_CASE("late frames come in their order with the next one that is not, or not at all after a cut",
          "[faults]") {
    faults::PortFaults port(four_channels(), 6);
    (void)port.add(from_frame(PortFaultKind::late, 2, 5));
    std::vector<std::uint32_t> came;
    for (std::uint32_t n = 0; n < 8; ++n) {
        const auto out = port.pass(clean_frame(n));
        CHECK(out.size() == (n < 2 || n > 5 ? 1 : n < 5 ? 0 : 4));
        for (const hal::Frame& frame : out) {
            CHECK(frame == clean_frame(frame.sequence));
            came.push_back(frame.sequence);
        }
    }
    CHECK(came == std::vector<std::uint32_t>{0, 1, 2, 3, 4, 5, 6, 7});

    faults::PortFaults cut(four_channels(), 6);
    (void)cut.add(from_frame(PortFaultKind::late, 0, 3));
    for (std::uint32_t n = 0; n < 3; ++n) CHECK(cut.pass(clean_frame(n)).empty());
    cut.cut_power();
    CHECK(cut.pass(clean_frame(3)).size() == 1);
}

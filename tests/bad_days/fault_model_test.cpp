#include <catch2/catch.hpp>

#include "sim/bad_days/mishap_draw.h"
#include "tests/bad_days/shipped_days.h"

using namespace cornerbench;
using namespace cornerbench::bad_days;
using cornerbench::tests::shipped_days;

namespace {

Mishap port(Kind kind) {
    Mishap mishap;
    mishap.kind = kind;
    mishap.lasts_s = 1.0;
    return mishap;
}

std::string refusal_of(const DayScale& scale, const Mishap& mishap) {
    DaySetting setting;
    setting.mishaps = {mishap};
    return spend_day(scale, 5, setting).refusal;
}

}  // namespace

TEST_CASE("a mishap outside of the fault model ends the day with a reason and is not ignored", "[bad_days]") {
    const auto scales = shipped_days();
    const DayScale& summed = scales[0];
    const DayScale& channels = scales[1];
    REQUIRE(channels.file.description.converter == scale::Converter::per_cell);

    CHECK(refusal_of(summed, port(Kind::channels_exchanged)) ==
          "channels exchanged: one channel has none to change places with");
    Mishap far = port(Kind::stuck);
    far.port.channel = 8;
    CHECK(refusal_of(channels, far) == "stuck code: the converter has no channel 9; valid: 1 to 8");
    Mishap bit = port(Kind::bit_flipped);
    bit.port.bit = 24;
    CHECK(refusal_of(summed, bit) == "bit flipped: a code has bits 0 to 23");
    Mishap lie = port(Kind::bit_flipped);
    lie.lies_about_sum = true;
    CHECK(refusal_of(summed, lie).find("right sum over a wrong code") != std::string::npos);
    Mishap bits;
    bits.kind = Kind::memory_bits;
    bits.times = 4;
    CHECK(refusal_of(summed, bits).find("at most 3 bits") != std::string::npos);
    Mishap cause;
    cause.kind = Kind::cause;
    CHECK(refusal_of(summed, cause).find("it is no cause") != std::string::npos);
    cause.cause.fault.cause = scale::Cause::trim_off;
    CHECK(refusal_of(channels, cause).find("with the seal open") != std::string::npos);
    Mishap share = port(Kind::frames_lost);
    share.share = 0.0;
    CHECK(refusal_of(summed, share).find("a share is above 0") != std::string::npos);

    DayScale quiet = summed;
    quiet.file.description.noise_V_rms = 1.0e-10;
    CHECK(refuses(quiet.file.description, port(Kind::stuck)).find("less than one code of noise") !=
          std::string::npos);
    CHECK(refuses(summed.file.description, port(Kind::stuck)).empty());
}

TEST_CASE("whatever is drawn is in the fault model", "[bad_days]") {
    for (const DayScale& scale : shipped_days()) {
        field::RandomSource random(9, 1);
        for (int i = 0; i < 2000; ++i)
            CHECK(refuses(scale.file.description, draw_mishap(scale.file.description, random)).empty());
    }
}

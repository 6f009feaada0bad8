#include "firmware/weighing/sample_check.h"

#include <catch2/catch.hpp>
#include <type_traits>

#include "tests/weighing/frames.h"

using namespace cornerbench;
using weighing::FrameVerdict;
using weighing::NoWeight;
using weighing::SampleCheck;
using weighing_test::FrameMaker;
using weighing_test::seal;

static_assert(std::is_trivially_copyable_v<SampleCheck>);

namespace {

const hal::ConverterTraits eight{8, 24, 100'000, 3.9e-3};

/// A check that has seen ten good frames of eight channels.
struct Running {
    SampleCheck check{eight, {50, 0.5}};
    FrameMaker maker{eight};

    Running() {
        for (int i = 0; i < 10; ++i) {
            const FrameVerdict verdict = check.judge(maker.next(1.0e-3, 13.0));
            REQUIRE(verdict.why == NoWeight::none);
            REQUIRE(verdict.bad == 0);
            REQUIRE(verdict.lost == 0);
        }
    }
};

}  // namespace

TEST_CASE("each fault of a sample is named, with its channel alone made bad", "[weighing]") {
    struct Case {
        std::uint8_t fault;
        NoWeight why;
    };
    const Case cases[] = {{hal::sample_over_range, NoWeight::saturated},
                          {hal::sample_reference_missing, NoWeight::reference_missing},
                          {hal::sample_bus_error, NoWeight::converter_error},
                          {hal::sample_not_new, NoWeight::samples_stale},
                          {16, NoWeight::converter_error}};
    for (const Case& c : cases) {
        Running running;
        hal::Frame frame = running.maker.next(1.0e-3, 13.0);
        frame.fault[5] = c.fault;
        seal(frame, 8);
        const FrameVerdict verdict = running.check.judge(frame);
        CHECK(verdict.why == c.why);
        CHECK(verdict.channel == 5);
        CHECK(verdict.bad == 1u << 5);
        CHECK(running.check.judge(running.maker.next(1.0e-3, 13.0)).why == NoWeight::none);
    }
}

TEST_CASE("a code at either end is saturated, whether the converter says so or not", "[weighing]") {
    for (const std::int32_t end : {8'388'607, -8'388'608, -8'388'607 - 1}) {
        Running running;
        hal::Frame frame = running.maker.next(1.0e-3, 13.0);
        frame.code[2] = end;
        seal(frame, 8);
        CHECK(running.check.judge(frame).why == NoWeight::saturated);
    }
}

TEST_CASE("a channel below what an unloaded cell can give is called backwards, a sum is not", "[weighing]") {
    // A compression cell is pressed or unloaded, never pulled: common practice, no source.
    for (const int channels : {1, 8}) {
        const hal::ConverterTraits traits{channels, 24, 100'000, 3.9e-3};
        SampleCheck check{traits, {50, 0.5, -0.04e-3}};
        FrameMaker maker{traits};
        REQUIRE(check.judge(maker.next(1.0e-3, 13.0)).why == NoWeight::none);
        for (const double ratio : {-0.0399e-3, -0.0401e-3}) {
            hal::Frame frame = maker.next(1.0e-3, 13.0);
            const auto last = static_cast<std::size_t>(channels - 1);
            frame.code[last] = static_cast<std::int32_t>(ratio / 3.9e-3 * 8'388'608.0);
            seal(frame, channels);
            const FrameVerdict verdict = check.judge(frame);
            const bool backwards = channels > 1 && ratio < -0.04e-3;
            CHECK(verdict.why == (backwards ? NoWeight::cell_backwards : NoWeight::none));
            CHECK(verdict.bad == (backwards ? 1u << last : 0u));
            if (backwards) CHECK(verdict.channel == 7);
        }
    }
}

TEST_CASE("a frame in which any bit changed on its way is not believed", "[weighing]") {
    // Every bit of every field that is used, one after the other.
    for (int channel = 0; channel < 8; ++channel) {
        for (int bit = 0; bit < 40; ++bit) {
            Running running;
            hal::Frame frame = running.maker.next(1.0e-3, 13.0);
            const auto i = static_cast<std::size_t>(channel);
            if (bit < 32)
                frame.code[i] =
                    static_cast<std::int32_t>(static_cast<std::uint32_t>(frame.code[i]) ^ 1u << bit);
            else
                frame.fault[i] = static_cast<std::uint8_t>(frame.fault[i] ^ 1u << (bit - 32));
            const FrameVerdict verdict = running.check.judge(frame);
            INFO("channel " << channel << " bit " << bit);
            CHECK(verdict.why == NoWeight::sum_disagrees);
            CHECK(verdict.bad == 0xFFu);
        }
    }
}

TEST_CASE("exchanged channels do not pass the check", "[weighing]") {
    Running running;
    hal::Frame frame = running.maker.next(1.0e-3, 13.0);
    frame.code[3] += 1000;
    seal(frame, 8);
    std::swap(frame.code[3], frame.code[4]);
    CHECK(running.check.judge(frame).why == NoWeight::sum_disagrees);
}

TEST_CASE("lost frames are counted by the sequence, over its wrap too", "[weighing]") {
    for (const int lost : {1, 2, 19, 1000}) {
        Running running;
        running.maker.lose(lost);
        const FrameVerdict verdict = running.check.judge(running.maker.next(1.0e-3, 13.0));
        CHECK(verdict.lost == lost);
        CHECK(verdict.why == NoWeight::samples_missing);
        CHECK(verdict.bad == 0);
    }
    SampleCheck check(eight, {50, 0.5});
    FrameMaker maker(eight);
    hal::Frame frame = maker.next(1.0e-3);
    frame.sequence = 0xFFFF'FFFFu;
    seal(frame, 8);
    (void)check.judge(frame);
    frame = maker.next(1.0e-3);
    frame.sequence = 0;
    seal(frame, 8);
    CHECK(check.judge(frame).why == NoWeight::none);
}

TEST_CASE("a repeated frame, an older one and one at the wrong time are refused", "[weighing]") {
    Running running;
    const hal::Frame frame = running.maker.next(1.0e-3, 13.0);
    REQUIRE(running.check.judge(frame).why == NoWeight::none);
    const FrameVerdict again = running.check.judge(frame);
    CHECK(again.why == NoWeight::samples_missing);
    CHECK(again.bad == 0xFFu);

    Running late;
    hal::Frame slow = late.maker.next(1.0e-3, 13.0);
    slow.taken_us += 6'000;  // the period is 10 ms, half of it is allowed
    seal(slow, 8);
    CHECK(late.check.judge(slow).why == NoWeight::samples_missing);
    Running jitter;
    hal::Frame bit_late = jitter.maker.next(1.0e-3, 13.0);
    bit_late.taken_us += 4'000;
    seal(bit_late, 8);
    CHECK(jitter.check.judge(bit_late).why == NoWeight::none);
}

TEST_CASE("a code that stands still is stuck, if its noise would move it", "[weighing]") {
    SampleCheck watched(eight, {weighing::stuck_frames_for(13.0), 0.5});
    SampleCheck quiet(eight, {weighing::stuck_frames_for(0.3), 0.5});
    FrameMaker maker(eight);
    int first_stuck = 0;
    for (int i = 1; i <= 200; ++i) {
        hal::Frame frame = maker.next(1.0e-3, 13.0);
        frame.code[6] = 4711;
        seal(frame, 8);
        const FrameVerdict verdict = watched.judge(frame);
        if (verdict.why == NoWeight::code_stuck && first_stuck == 0) {
            first_stuck = i;
            CHECK(verdict.channel == 6);
            CHECK(verdict.bad == 1u << 6);
        }
        CHECK(quiet.judge(frame).why == NoWeight::none);
    }
    CHECK(first_stuck == 50);
}

TEST_CASE("ten thousand frames with nothing but noise are all good", "[weighing]") {
    SampleCheck check(eight, {50, 0.5});
    FrameMaker maker(eight);
    for (int i = 0; i < 10'000; ++i) REQUIRE(check.judge(maker.next(0.5e-3, 1.0)).why == NoWeight::none);
}

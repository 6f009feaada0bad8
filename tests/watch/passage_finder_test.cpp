#include <catch2/catch.hpp>

#include <vector>

#include "firmware/watch/passage_finder.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using namespace cornerbench::watch;

namespace {

constexpr int channels = 4;
constexpr double max_kg = 60'000.0;
constexpr std::int64_t output_us = 50'000;

/// Outputs made by hand: every level is exact, every step takes the outputs that it is told to.
class Staircase {
  public:
    explicit Staircase(const FinderSettings& settings) : finder_(settings) {}

    void rest(const ChannelLevels& kg, int outputs) { hold(kg, outputs, true); }
    void roll(const ChannelLevels& kg, int outputs) { hold(kg, outputs, false); }
    /// In a straight line, the last output already at `kg`.
    void step(const ChannelLevels& kg, int outputs) {
        const ChannelLevels from = now_;
        for (int n = 1; n <= outputs; ++n) {
            ChannelLevels between{};
            for (std::size_t i = 0; i < between.size(); ++i)
                between[i] = from[i] + (kg[i] - from[i]) * n / outputs;
            give(between, false);
        }
    }

    /// A truck of two axles drives on, stands and drives off again.
    void pass(const ChannelLevels& front, const ChannelLevels& all, const ChannelLevels& empty) {
        step(front, 2);
        roll(front, 10);
        step(all, 2);
        rest(all, 20);
        step(front, 2);
        roll(front, 10);
        step(empty, 2);
        rest(empty, 20);
    }

    PassageFinder& finder() { return finder_; }
    int whole() const { return whole_; }
    std::int64_t now_us() const { return now_us_; }

  private:
    void hold(const ChannelLevels& kg, int outputs, bool at_rest) {
        for (int n = 0; n < outputs; ++n) give(kg, at_rest);
    }
    void give(const ChannelLevels& kg, bool at_rest) {
        now_ = kg;
        now_us_ += output_us;
        WatchedOutput output;
        for (int i = 0; i < channels; ++i) output.gross_kg += kg[static_cast<std::size_t>(i)];
        output.at_rest = at_rest;
        output.taken_us = now_us_;
        output.channel_kg = std::span(kg).first(channels);
        whole_ += finder_.take(output) ? 1 : 0;
    }

    PassageFinder finder_;
    ChannelLevels now_{};
    std::int64_t now_us_ = 0;
    int whole_ = 0;
};

FinderSettings settings() {
    FinderSettings s;
    s.max_kg = max_kg;
    s.channels = channels;
    return s;
}

ChannelLevels plus(const ChannelLevels& a, const ChannelLevels& b, double factor = 1.0) {
    ChannelLevels kg{};
    for (std::size_t i = 0; i < kg.size(); ++i) kg[i] = a[i] + factor * b[i];
    return kg;
}

/// An axle's load by channel, at the left or the right end of the deck.
ChannelLevels axle_at(double kg, double right, double far) {
    ChannelLevels at{};
    at[0] = kg * (1.0 - right) * far;
    at[1] = kg * right * far;
    at[2] = kg * right * (1.0 - far);
    at[3] = kg * (1.0 - right) * (1.0 - far);
    return at;
}

void check_same(const ChannelLevels& found, const ChannelLevels& true_kg) {
    for (std::size_t i = 0; i < channels; ++i) CHECK(found[i] == Approx(true_kg[i]).margin(1.0e-6));
}

}  // namespace

TEST_CASE("every level of a staircase made by hand is found, and when it stood", "[watch]") {
    tests::Draw draw(11);
    for (int run = 0; run < 200; ++run) {
        const int axles = draw.integer(2, 5);
        ChannelLevels empty{};
        for (std::size_t i = 0; i < channels; ++i) empty[i] = draw.uniform(-100.0, 100.0);
        ChannelLevels returned{};
        for (std::size_t i = 0; i < channels; ++i) returned[i] = draw.uniform(-50.0, 50.0);
        const ChannelLevels after = plus(empty, returned);

        Staircase yard(settings());
        yard.rest(empty, draw.integer(20, 40));
        // Levels as axles come on, by the first n; where all are on, then as they leave.
        std::vector<ChannelLevels> on{empty};
        std::vector<ChannelLevels> off{after};
        std::vector<double> axle_kg;
        const double far = draw.uniform(0.4, 0.6);
        for (int a = 0; a < axles; ++a) axle_kg.push_back(draw.uniform(5'000.0, 9'000.0));
        for (int a = 0; a < axles; ++a) {
            const auto at = static_cast<std::size_t>(a);
            on.push_back(plus(on.back(), axle_at(axle_kg[at], draw.uniform(0.0, 0.3), far)));
            // The last axle is the last to go.
            off.push_back(
                plus(off.back(), axle_at(axle_kg[axle_kg.size() - 1 - at], draw.uniform(0.7, 1.0), far)));
        }
        for (int a = 1; a <= axles; ++a) {
            yard.step(on[static_cast<std::size_t>(a)], draw.integer(1, 4));
            yard.roll(on[static_cast<std::size_t>(a)], draw.integer(6, 25));
        }
        const std::int64_t stood_us = yard.now_us() + output_us;
        yard.rest(on.back(), 20);
        CHECK(yard.finder().occupied());
        // It rolls to the other end: load passes from channel to channel, and the whole stays.
        yard.step(off.back(), 3);
        yard.roll(off.back(), 15);
        for (int a = axles - 1; a >= 0; --a) {
            yard.step(off[static_cast<std::size_t>(a)], draw.integer(1, 4));
            if (a > 0) yard.roll(off[static_cast<std::size_t>(a)], draw.integer(6, 25));
        }
        CHECK(yard.whole() == 0);
        yard.rest(after, 10);

        REQUIRE(yard.whole() == 1);
        const Passage& p = yard.finder().passage();
        CHECK(p.truck == 1);
        CHECK(p.stood_us == stood_us);
        CHECK(p.staircase);
        check_same(p.empty_before, empty);
        check_same(p.returned, returned);
        check_same(p.first_axle, plus(on[1], empty, -1.0));
        check_same(p.before_last, plus(on[static_cast<std::size_t>(axles - 1)], empty, -1.0));
        check_same(p.rolled_on, plus(on.back(), empty, -1.0));
        check_same(p.stood, plus(on.back(), empty, -1.0));
        check_same(p.rolling_off, plus(off.back(), after, -1.0));
        check_same(p.first_gone, plus(off[static_cast<std::size_t>(axles - 1)], after, -1.0));
        check_same(p.last_axle, plus(off[1], after, -1.0));
    }
}

TEST_CASE("a truck that turns back, backs up or meets a missing output is given up, the next is not",
          "[watch]") {
    const ChannelLevels empty{};
    const ChannelLevels front = axle_at(7'000.0, 0.1, 0.5);
    const ChannelLevels all = plus(front, axle_at(9'000.0, 0.1, 0.5));
    Staircase yard(settings());
    yard.rest(empty, 20);
    yard.pass(front, all, empty);
    CHECK(yard.whole() == 1);

    // Turns back before all of it is on.
    yard.step(front, 2);
    yard.roll(front, 10);
    yard.step(empty, 2);
    yard.rest(empty, 20);
    CHECK(yard.whole() == 1);
    CHECK(yard.finder().trucks() == 2);
    CHECK(yard.finder().given_up() == 1);

    // Comes back when its first axles have left.
    yard.step(front, 2);
    yard.roll(front, 10);
    yard.step(all, 2);
    yard.rest(all, 20);
    yard.step(front, 2);
    yard.roll(front, 10);
    yard.step(all, 2);
    yard.rest(all, 20);
    yard.step(empty, 2);
    yard.rest(empty, 20);
    CHECK(yard.whole() == 1);
    CHECK(yard.finder().given_up() == 2);

    yard.step(all, 2);
    yard.finder().interrupt();
    yard.rest(all, 20);
    yard.step(empty, 2);
    yard.rest(empty, 20);
    CHECK(yard.whole() == 1);

    yard.pass(front, all, empty);
    CHECK(yard.whole() == 2);
    CHECK(yard.finder().passage().staircase);
    CHECK(!yard.finder().occupied());
}

TEST_CASE("axles too close to be told apart leave the whole truck, and no staircase", "[watch]") {
    const ChannelLevels empty{};
    const ChannelLevels all = axle_at(20'000.0, 0.5, 0.5);
    Staircase yard(settings());
    yard.rest(empty, 20);
    yard.step(all, 4);
    yard.rest(all, 20);
    yard.step(empty, 4);
    yard.rest(empty, 20);
    REQUIRE(yard.whole() == 1);
    CHECK(!yard.finder().passage().staircase);
    check_same(yard.finder().passage().stood, all);
}

TEST_CASE("wherever zero jumps to, the trucks behind it are found again", "[watch]") {
    tests::Draw draw(12);
    for (int run = 0; run < 100; ++run) {
        // Up to half of Max either way; far enough to be no empty deck any more.
        const double jump_kg = (draw.chance(0.5) ? 1.0 : -1.0) * draw.uniform(0.03, 0.5) * max_kg;
        Staircase yard(settings());
        ChannelLevels empty{};
        const auto passes = [&] {
            const double far = draw.uniform(0.4, 0.6);
            const ChannelLevels front = plus(empty, axle_at(draw.uniform(4'000.0, 9'000.0), 0.1, far));
            const ChannelLevels all = plus(front, axle_at(draw.uniform(5'000.0, 15'000.0), 0.1, far));
            yard.pass(front, all, empty);
            return plus(all, empty, -1.0);
        };
        yard.rest(empty, 20);
        for (int truck = 0; truck < 3; ++truck) passes();
        REQUIRE(yard.whole() == 3);

        empty[static_cast<std::size_t>(draw.integer(0, channels - 1))] = jump_kg;
        yard.step(empty, 1);
        yard.rest(empty, 20);
        // A zero that has jumped far up looks like a truck until one has come and gone.
        passes();
        CHECK(yard.whole() == (jump_kg > settings().left_share * max_kg ? 3 : 4));
        for (int truck = 0; truck < 3; ++truck) {
            const int before = yard.whole();
            const ChannelLevels load = passes();
            REQUIRE(yard.whole() == before + 1);
            CHECK(yard.finder().passage().staircase);
            check_same(yard.finder().passage().stood, load);
            check_same(yard.finder().passage().empty_before, empty);
        }
    }
}

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <deque>
#include <string>

#include "firmware/indicator.h"
#include "tests/indicator/indicator_bench.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using console::Refusal;
using indicator_test::IndicatorBench;
using weighing::TareKind;

namespace {

constexpr double division_kg = 20.0;
constexpr double max_kg = 60'000.0;

/// What ought to be: the same scale in a dozen lines, told only what was done and what was answered.
struct Model {
    double load_kg = 0.0;
    double zero_kg = 0.0;         ///< in force
    double kept_zero_kg = 0.0;    ///< in the memory for sure
    double coming_zero_kg = 0.0;  ///< perhaps in the memory
    double tare_kg = 0.0;
    TareKind tare_kind = TareKind::none;
    std::uint32_t tickets = 0;
    std::deque<double> lately;  ///< loads of the last two seconds, one for each frame

    void frame() {
        lately.push_back(load_kg);
        if (lately.size() > 200) lately.pop_front();
    }
    double lowest() const { return std::min(load_kg, *std::min_element(lately.begin(), lately.end())); }
    double highest() const { return std::max(load_kg, *std::max_element(lately.begin(), lately.end())); }
    void set_zero(double offset_kg) {
        zero_kg = coming_zero_kg = offset_kg;
        clear_tare();
    }
    void clear_tare() {
        tare_kg = 0.0;
        tare_kind = TareKind::none;
    }
};

/// One run; the first thing that is wrong, with what was done until then, or nothing.
class Run {
  public:
    explicit Run(std::uint64_t seed) : draw_(seed), seed_(seed) { bench_.calibrate(); }

    std::string wrong(int actions) {
        move_to(30'000.0);  // where the calibration left it
        model_.frame();
        move_to(0.0);
        stand(3.0);
        for (int i = 0; i < actions && wrong_.empty(); ++i) act();
        return wrong_.empty() ? "" : wrong_ + "\nreplay: seed " + std::to_string(seed_) + ":" + done_;
    }

  private:
    void note(const std::string& what) { done_ += " " + what; }
    void blame(const std::string& what) {
        if (wrong_.empty()) wrong_ = what;
    }

    void move_to(double load_kg) { model_.load_kg = load_kg; }

    void stand(double seconds) {
        for (int i = 0; i < static_cast<int>(100 * seconds) && wrong_.empty(); ++i) {
            model_.frame();
            bench_.one_frame(model_.load_kg);
            check();
        }
    }

    void act();
    void press(int key);
    void cut_power();
    void spoil(int kind);
    void check();

    IndicatorBench bench_;
    Model model_;
    tests::Draw draw_;
    std::uint64_t seed_;
    std::string done_;
    std::string wrong_;
};

void Run::check() {
    const weighing::Readout& r = bench_.readout();
    if (!bench_.indicator().storing()) model_.kept_zero_kg = model_.coming_zero_kg;
    if (!r.has_weight()) return;
    const double low = model_.lowest();
    const double high = model_.highest();
    // Half a division is the least limit of error of any class in service (OIML R 76-1:2006, table 6); the
    // filters weigh with positive weights only, so a weight lies between the loads that it saw.
    const double slack_kg = 0.5 * division_kg;
    const double gross_kg = r.gross_kg + model_.zero_kg;
    if (gross_kg < low - slack_kg || gross_kg > high + slack_kg)
        blame("shows " + std::to_string(r.gross_kg) + " kg past a zero of " + std::to_string(model_.zero_kg) +
              " under " + std::to_string(low) + " to " + std::to_string(high));
    if (std::fabs(r.gross_kg) > max_kg + 9.5 * division_kg) blame("shows a weight beyond Max + 9 e");
    if (r.tare_kind != model_.tare_kind) blame("another kind of tare");
    if (std::fabs(r.tare_kg - model_.tare_kg) > slack_kg) blame("another tare");
    if (std::fabs(r.net_kg + r.tare_kg - r.gross_kg) > 1.0e-6) blame("net and tare make no gross");
    const double rounded = static_cast<double>(r.gross.digits) / division_kg;
    if (rounded != std::floor(rounded)) blame("shows no whole division");
    if (bench_.indicator().ticket().number != model_.tickets) blame("a ticket too many or too few");
}

void Run::press(int key) {
    Indicator& indicator = bench_.indicator();
    const weighing::Readout before = bench_.readout();
    switch (key) {
        case 0:
            note("zero");
            if (indicator.zero() == Refusal::none) {
                // Zero is what the scale felt lately: a load that has just come may not be felt yet.
                const double offset_kg = indicator.zero_offset_kg();
                if (offset_kg < model_.lowest() - 0.25 * division_kg ||
                    offset_kg > model_.highest() + 0.25 * division_kg)
                    blame("zeroed " + std::to_string(offset_kg) + " kg");
                if (std::fabs(offset_kg) > 0.02 * max_kg) blame("zeroed a load of 2 % of Max");
                model_.set_zero(offset_kg);
            }
            break;
        case 1:
            note("tare");
            if (indicator.tare() == Refusal::none) {
                if (!before.has_weight() || !before.stable) blame("tared without a weight at rest");
                model_.tare_kg = before.gross_kg;
                model_.tare_kind = TareKind::weighed;
            }
            break;
        case 2:
            note("preset");
            if (indicator.preset_tare(1'500.0) == Refusal::none) {
                model_.tare_kg = 1'500.0;
                model_.tare_kind = TareKind::preset;
            }
            break;
        case 3:
            note("clear");
            (void)indicator.clear_tare();
            model_.clear_tare();
            break;
        default:
            note("print");
            if (indicator.print() == Refusal::none) {
                if (!before.has_weight() || !before.stable) blame("printed without a weight at rest");
                ++model_.tickets;
            }
            break;
    }
}

void Run::cut_power() {
    note("cut");
    bench_.restart(static_cast<std::uint64_t>(draw_.integer(0, 999)));
    // What the cut came near is written once more first.
    bench_.silence(0.2);
    model_.clear_tare();
    model_.tickets = 0;
    const double zero_kg = bench_.indicator().kept().zero_offset_kg;
    const bool is_old = std::fabs(zero_kg - model_.kept_zero_kg) < 0.1 * division_kg;
    const bool is_new = std::fabs(zero_kg - model_.coming_zero_kg) < 0.1 * division_kg;
    if (!is_old && !is_new) blame("keeps a zero that nobody set: " + std::to_string(zero_kg));
    model_.zero_kg = model_.kept_zero_kg = model_.coming_zero_kg =
        is_new ? model_.coming_zero_kg : model_.kept_zero_kg;
    if (bench_.indicator().calibration_changes() != 1) blame("lost or changed its calibration");
}

void Run::spoil(int kind) {
    hal::SimulatedBoard& board = bench_.board();
    note("spoil" + std::to_string(kind));
    switch (kind) {
        case 0:
            bench_.silence(0.01 * draw_.integer(1, 80));
            break;
        case 1:
            board.supervisor.set_supply_good(false);
            stand(0.2);
            if (bench_.readout().has_weight()) blame("weighs with a low supply");
            board.supervisor.set_supply_good(true);
            break;
        case 2:
            board.clock.set_stopped(true);
            bench_.one_frame(model_.load_kg);
            if (bench_.readout().has_weight()) blame("weighs without a clock");
            board.clock.set_stopped(false);
            break;
        default: {
            // Codes of another load altogether, from a part that does not know better than to flag them.
            for (int i = draw_.integer(1, 5); i > 0; --i) {
                const std::array<std::int32_t, 1> code{draw_.integer(0, 3'999'999)};
                const std::array<std::uint8_t, 1> fault{static_cast<std::uint8_t>(1u << (kind % 3 + 1))};
                bench_.push_code(code, fault);
                if (bench_.readout().has_weight()) blame("weighs with a bad sample");
            }
            break;
        }
    }
}

void Run::act() {
    const int what = draw_.integer(0, 19);
    if (what < 6) {
        const double loads[] = {0.0, 0.0, 0.0, 40.0, 1'000.0, 8'020.0, 24'000.0, 59'980.0, 61'000.0, -60.0};
        move_to(draw_.one_of(loads));
        note("load" + std::to_string(static_cast<int>(model_.load_kg)));
    } else if (what < 16) {
        press(draw_.integer(0, 4));
    } else if (what < 17) {
        cut_power();
    } else {
        spoil(draw_.integer(0, 5));
    }
    const double waits[] = {0.05, 0.2, 0.7, 2.5};
    stand(draw_.one_of(waits));
}

}  // namespace

TEST_CASE("whatever is done to it, an indicator shows what is there or says that it cannot", "[indicator]") {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const std::string wrong = Run(seed).wrong(120);
        INFO(wrong);
        REQUIRE(wrong.empty());
    }
}

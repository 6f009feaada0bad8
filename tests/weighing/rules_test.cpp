#include "firmware/weighing/rules.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "sim/files/standard_file.h"

using namespace cornerbench;
using weighing::check_settings;
using weighing::RuleBreach;
using weighing::Rules;

namespace {

/// 60 t by 20 kg.
constexpr double division_of_max = 20.0 / 60000.0;

/// What is wrong after `edit` of settings that use all the rules allow.
template <class Edit>
RuleBreach breach(const Rules& rules, Edit&& edit) {
    weighing::ZeroSettings zero = weighing::zero_settings(rules);
    weighing::StabilitySettings stability;
    weighing::RangeSettings range = weighing::range_settings(rules);
    edit(zero, stability, range);
    return check_settings(zero, stability, range, division_of_max, rules);
}

}  // namespace

TEST_CASE("Settings at the edge of OIML R 76 pass, and a step beyond it is named", "[weighing]") {
    // OIML R 76-1:2006, 4.2.3, 4.4.2, 4.5.1, 4.5.5, 4.5.7 (clauses from memory).
    const Rules r76 = weighing::oiml_r76_rules();
    CHECK(breach(r76, [](auto&, auto&, auto&) {}) == RuleBreach::none);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) {
              zero.initial_below = 0.05;
              zero.initial_above = 0.15;
              zero.setting_below = 0.01;
              zero.setting_above = 0.03;
          }) == RuleBreach::none);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) { zero.initial_above = 0.1001; }) ==
          RuleBreach::initial_zero);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) { zero.setting_below = 0.0201; }) ==
          RuleBreach::zero_setting);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) { zero.centre_divisions = 0.26; }) ==
          RuleBreach::zero_light);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) { zero.tracking_window_divisions = 0.51; }) ==
          RuleBreach::tracking_window);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) { zero.tracking_divisions_per_s = 0.51; }) ==
          RuleBreach::tracking_rate);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) { zero.tracking_divisions_per_s = 0.0; }) ==
          RuleBreach::tracking_rate);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) {
              zero.tracking = false;
              zero.tracking_divisions_per_s = 0.0;
          }) == RuleBreach::none);
    CHECK(breach(r76, [](auto&, auto& stability, auto&) { stability.band_divisions = 1.01; }) ==
          RuleBreach::motion_band);
    CHECK(breach(r76, [](auto&, auto&, auto& range) { range.over_divisions = 10.0; }) ==
          RuleBreach::over_range);
    CHECK(breach(r76, [](auto&, auto&, auto& range) { range.over_share = 0.001; }) == RuleBreach::over_range);
    CHECK(breach(r76, [](auto&, auto& stability, auto&) { stability.values = 1; }) ==
          RuleBreach::not_sensible);
    CHECK(breach(r76, [](auto& zero, auto&, auto&) { zero.initial_below = std::nan(""); }) ==
          RuleBreach::not_sensible);
}

TEST_CASE("Settings at the edge of Handbook 44 pass, and a step beyond it is named", "[weighing]") {
    // NIST Handbook 44, 2.20, S.1.7 (105 %), S.2.1.3 (3 d or 0.5 d at once), S.2.5.1 (3 d) (clauses from
    // memory).
    for (const bool class_III_L : {true, false}) {
        const Rules h44 = weighing::handbook_44_rules(class_III_L);
        CHECK(breach(h44, [](auto&, auto& stability, auto&) { stability.band_divisions = 3.0; }) ==
              RuleBreach::none);
        CHECK(breach(h44, [](auto&, auto& stability, auto&) { stability.band_divisions = 3.01; }) ==
              RuleBreach::motion_band);
        CHECK(breach(h44, [](auto& zero, auto&, auto&) { zero.tracking_window_divisions = 3.0; }) ==
              (class_III_L ? RuleBreach::none : RuleBreach::tracking_window));
        // 5 % of 3000 divisions are 150.
        CHECK(breach(h44, [](auto&, auto&, auto& range) { range = {150.0, 0.0, 20.0}; }) == RuleBreach::none);
        CHECK(breach(h44, [](auto&, auto&, auto& range) {
                  range = {151.0, 0.0, 20.0};
              }) == RuleBreach::over_range);
    }
}

TEST_CASE("The program's files and the box hold the same rules", "[weighing]") {
    const auto shipped = [](const std::string& file) {
        const auto loaded =
            files::load_standard(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/standards/" + file);
        REQUIRE(loaded);
        return *loaded.value;
    };
    const files::Standard r76 = shipped("oiml-r76.toml");
    const files::Standard h44 = shipped("nist-handbook-44.toml");
    CHECK(r76.rules("III") == weighing::oiml_r76_rules());
    CHECK(r76.rules("IIII") == weighing::oiml_r76_rules());
    CHECK(h44.rules("III") == weighing::handbook_44_rules(false));
    CHECK(h44.rules("III L") == weighing::handbook_44_rules(true));
}

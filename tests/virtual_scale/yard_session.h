#pragma once

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <string>
#include <string_view>

#include "sim/report/session_report.h"
#include "sim/virtual_scale/session_run.h"

/// Sessions on shipped scales, made up step by step.
namespace cornerbench::tests {

using files::Deed;
using virtual_scale::SessionRecord;
using virtual_scale::SessionSetting;

inline const std::filesystem::path root = CORNERBENCH_SOURCE_DIR;

/// A shipped scale with its standard.
struct Yard {
    explicit Yard(const std::string& name) {
        const auto loaded = files::load_scale((root / "configs/scales" / (name + ".toml")).string());
        REQUIRE(loaded);
        scale = *loaded.value;
        const auto found = files::find_standard(scale.standard, scale.path);
        REQUIRE(found);
        standard = *found.value;
    }

    SessionRecord run(const files::SessionFile& session, SessionSetting setting = {}) const {
        setting.words = report::session_words(scale.description);
        return virtual_scale::run_session(scale, standard, session, setting);
    }

    files::SessionFile shipped(const std::string& name) const {
        const auto loaded =
            files::load_session((root / "configs/sessions" / (name + ".toml")).string(), scale);
        REQUIRE(loaded);
        return *loaded.value;
    }

    files::ScaleFile scale;
    files::Standard standard;
};

/// A session whose steps are added one after another, each lasting 30 s where it lasts.
struct Steps {
    files::Step& add(Deed deed) {
        files::Step& step = session.steps.emplace_back();
        step.deed = deed;
        step.seconds = 30.0;
        return step;
    }
    void put(double kg) {
        files::Step& step = add(Deed::put);
        step.load.load.count = 1;
        step.load.load.standing[0] = {kg, 9.0, 1.3};
        step.load.text = "a load";
    }
    void press(std::string_view key) {
        const auto found =
            std::find(std::begin(files::panel_key_words), std::end(files::panel_key_words), key);
        add(Deed::press).key = static_cast<int>(found - std::begin(files::panel_key_words));
    }

    files::SessionFile session;
};

}  // namespace cornerbench::tests

#pragma once

#include <catch2/catch.hpp>
#include <fstream>
#include <memory>
#include <sstream>
#include <string>

#include "sim/field/specimen.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/virtual_scale.h"

namespace cornerbench::tests {

inline constexpr const char* shipped_scales[] = {"quarry-8",    "harbour-8", "depot-6",
                                                 "elevator-10", "sawmill-4", "scrapyard-6"};

/// A shipped scale's file and its standard.
struct ShippedScale {
    explicit ShippedScale(const std::string& name) {
        const std::string path = CORNERBENCH_SOURCE_DIR "/configs/scales/" + name + ".toml";
        std::ifstream stream(path);
        std::stringstream read;
        read << stream.rdbuf();
        text = read.str();
        const auto loaded = files::load_scale(path);
        REQUIRE(loaded);
        file = *loaded.value;
        const auto found = files::find_standard(file.standard, path);
        REQUIRE(found);
        standard = *found.value;
    }

    const scale::Description& description() const { return file.description; }

    /// Largest error in service under a load, in kg (R 76-1:2006, 3.5.2: twice table 6; Handbook 44 as its
    /// table says).
    double limit_kg(double load_kg) const {
        const double d_kg = file.description.division_kg;
        const double divisions = std::fabs(load_kg) / d_kg;
        return d_kg * standard.limit_divisions(file.accuracy_class, files::Stage::service, divisions);
    }

    /// A specimen of it with its corners trimmed, in this weather; nothing is calibrated yet.
    std::unique_ptr<virtual_scale::VirtualScale> specimen(std::uint64_t seed,
                                                          const world::Surroundings& surroundings) const {
        return std::make_unique<virtual_scale::VirtualScale>(
            file.description,
            field::draw_specimen(file.description, diagnosis::History::calibrated, {}, seed).condition,
            virtual_scale::indicator_settings(file), seed, surroundings);
    }

    std::string text;
    files::ScaleFile file;
    files::Standard standard;
};

}  // namespace cornerbench::tests

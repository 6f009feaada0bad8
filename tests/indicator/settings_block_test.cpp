#include "firmware/indicator/settings_block.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "firmware/storage/crc32c.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "tests/cli/command_line.h"
#include "tests/indicator/indicator_bench.h"

using namespace cornerbench;

// The block is this project's own: that reading undoes writing, and that nothing damaged is read, needs no
// source.

namespace {

std::vector<IndicatorSettings> shipped_settings() {
    std::vector<IndicatorSettings> all;
    for (const auto& entry :
         std::filesystem::directory_iterator(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales")) {
        const auto scale = files::load_scale(entry.path().string());
        REQUIRE(scale);
        all.push_back(virtual_scale::indicator_settings(*scale.value));
    }
    REQUIRE(all.size() >= 6);
    return all;
}

void seal(SettingsBlock& block) {
    const std::uint32_t crc = storage::crc32c(std::span(block).first(block.size() - 4));
    for (std::size_t i = 0; i < 4; ++i)
        block[block.size() - 4 + i] = static_cast<std::uint8_t>(crc >> (8 * i));
}

SettingsError error_of(const SettingsBlock& block) {
    IndicatorSettings settings;
    return decode(block, settings);
}

}  // namespace

TEST_CASE("settings come out of their block as they went in", "[indicator]") {
    for (IndicatorSettings settings : shipped_settings()) {
        // At the very end of the block: what had no room would be missed here first.
        settings.identity = {"a maker", "a model", "17", "1.2.3"};
        const SettingsBlock block = encode(settings);
        IndicatorSettings read;
        REQUIRE(decode(block, read) == SettingsError::none);
        CHECK(encode(read) == block);
        CHECK(read.identity.version == "1.2.3");
        CHECK(read.weigher.converter == settings.weigher.converter);
        CHECK(read.weigher.mate == settings.weigher.mate);
        CHECK(read.corners.gain == settings.corners.gain);
        CHECK(read.cells[1].capacity_kg == settings.cells[1].capacity_kg);
    }
}

TEST_CASE("a word of the identity that is too long is cut", "[indicator]") {
    IndicatorSettings settings = indicator_test::bench_settings();
    const std::string long_word(200, 'x');
    settings.identity.serial = long_word;
    const SettingsBlock block = encode(settings);
    IndicatorSettings read;
    REQUIRE(decode(block, read) == SettingsError::none);
    CHECK(read.identity.serial == long_word.substr(0, longest_identity_word));
}

TEST_CASE("no changed byte of a block of settings goes unnoticed", "[indicator]") {
    const SettingsBlock block = encode(indicator_test::bench_settings());
    for (std::size_t i = 0; i < block.size(); ++i) {
        SettingsBlock changed = block;
        changed[i] = static_cast<std::uint8_t>(changed[i] ^ (1u << (i % 8)));
        REQUIRE(error_of(changed) != SettingsError::none);
    }
}

TEST_CASE("what is no block of settings is called what it is", "[indicator]") {
    const SettingsBlock block = encode(indicator_test::bench_settings());
    IndicatorSettings settings;
    CHECK(decode(std::span(block).first(block.size() - 1), settings) == SettingsError::no_block);
    CHECK(decode({}, settings) == SettingsError::no_block);
    SettingsBlock erased;
    erased.fill(0xFF);
    CHECK(error_of(erased) == SettingsError::no_block);
    SettingsBlock next = block;
    ++next[4];
    seal(next);
    CHECK(error_of(next) == SettingsError::other_version);
    // With another file behind it, as in a region of flash that is longer.
    std::vector<std::uint8_t> longer(block.begin(), block.end());
    longer.resize(4096, 0xFF);
    CHECK(decode(longer, settings) == SettingsError::none);
}

TEST_CASE("a block with a right seal and any byte gives possible settings or an error", "[indicator]") {
    const SettingsBlock block = encode(indicator_test::bench_settings());
    int impossible = 0;
    for (std::size_t i = 8; i < block.size() - 4; ++i) {
        for (const int byte : {0x00, 0x01, 0x7F, 0x80, 0xFF}) {
            SettingsBlock changed = block;
            changed[i] = static_cast<std::uint8_t>(byte);
            seal(changed);
            IndicatorSettings settings;
            const SettingsError error = decode(changed, settings);
            impossible += error == SettingsError::impossible ? 1 : 0;
            if (error != SettingsError::none) continue;
            CHECK(settings.cell_count >= 0);
            CHECK(settings.cell_count <= scale::max_cells);
            CHECK(settings.corners.deck.sections <= scale::max_sections);
            CHECK(settings.weigher.ranges.count <= weighing::max_partial_ranges);
            CHECK(settings.weigher.converter.channels <= hal::max_channels);
            CHECK(settings.corners.gravity == settings.corners.gravity);
        }
    }
    CHECK(impossible > 100);
}

TEST_CASE("the program writes the block of a scale", "[indicator][cli]") {
    const auto path = std::filesystem::temp_directory_path() / "cornerbench-settings-test.settings";
    const std::string scale = cli::config("scales/quarry-8.toml");
    const cli::Answer answer = cli::ask({"settings", scale, "-o", path.string()});
    CHECK(answer.code == 0);
    CHECK(answer.says("2048 bytes"));
    std::ifstream file(path, std::ios::binary);
    const std::vector<char> text{std::istreambuf_iterator<char>(file), {}};
    const std::vector<std::uint8_t> bytes(text.begin(), text.end());
    const SettingsBlock block = encode(virtual_scale::indicator_settings(*files::load_scale(scale).value));
    CHECK(bytes == std::vector<std::uint8_t>(block.begin(), block.end()));
    std::filesystem::remove(path);
    CHECK(cli::ask({"settings", scale, "-o", "/nowhere/x"}).code == 4);
    CHECK(cli::ask({"settings", scale}).code == 2);
    const auto document = cli::ask({"settings", scale, "-o", path.string(), "--json"}).json();
    CHECK(document["schema"] == 1);
    CHECK(document["bytes"] == settings_block_size);
    std::filesystem::remove(path);
}

TEST_CASE("the program writes settings over nothing but settings, and only when it is told to",
          "[indicator][cli]") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "cornerbench-settings-force-test";
    fs::remove_all(folder);
    fs::create_directory(folder);
    const std::string path = (folder / "box.settings").string();
    const auto content = [&path] {
        std::ifstream file(path, std::ios::binary);
        return std::string{std::istreambuf_iterator<char>(file), {}};
    };
    const auto ask_for = [&path](const char* scale, bool force) {
        std::vector<std::string> words{"settings", cli::config(scale), "-o", path};
        if (force) words.emplace_back("--force");
        return cli::ask(words);
    };
    REQUIRE(ask_for("scales/quarry-8.toml", false).code == 0);
    const std::string first = content();

    const cli::Answer refused = ask_for("scales/harbour-8.toml", false);
    CHECK(refused.code == 4);
    CHECK(refused.complains("--force writes over it"));
    CHECK(content() == first);

    REQUIRE(ask_for("scales/harbour-8.toml", true).code == 0);
    CHECK(content() != first);
    CHECK(content().size() == settings_block_size);

    SECTION("a damaged block, or one of another version, is settings still") {
        std::string damaged = content();
        damaged[100] = static_cast<char>(damaged[100] + 1);
        std::ofstream(path, std::ios::binary) << damaged;
        CHECK(ask_for("scales/quarry-8.toml", true).code == 0);
        CHECK(content() == first);
    }
    SECTION("an image of a memory, a longer file and a shorter one are not") {
        std::ifstream image(
            std::string(CORNERBENCH_SOURCE_DIR) + "/tests/storage/images/version-2-first.image",
            std::ios::binary);
        const std::string kept{std::istreambuf_iterator<char>(image), {}};
        REQUIRE(kept.size() == 8192);
        for (const std::string& other : {kept, first + kept, first.substr(0, 100), std::string()}) {
            std::ofstream(path, std::ios::binary) << other;
            const cli::Answer answer = ask_for("scales/quarry-8.toml", true);
            CHECK(answer.code == 4);
            CHECK(answer.complains("valid: another name"));
            CHECK(content() == other);
        }
    }
    SECTION("a link goes on pointing where it did, and nothing is left beside") {
        const fs::path link = folder / "link.settings";
        fs::create_symlink(path, link);
        REQUIRE(cli::ask({"settings", cli::config("scales/quarry-8.toml"), "-o", link.string(), "--force"})
                    .code == 0);
        CHECK(fs::is_symlink(link));
        CHECK(content() == first);
        CHECK(std::distance(fs::directory_iterator(folder), fs::directory_iterator()) == 2);
    }
    SECTION("a file that cannot be written whole stays as it was") {
        // Stands where the new text would be written before it takes the old one's place.
        const std::string before = content();
        fs::create_directory(path + ".new");
        CHECK(ask_for("scales/quarry-8.toml", true).code == 4);
        CHECK(content() == before);
    }
    fs::remove_all(folder);
}

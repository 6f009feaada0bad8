#include <catch2/catch.hpp>

#include "sim/files/priors_file.h"
#include "tests/files/error_matchers.h"
#include "tests/files/sheet_text.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

constexpr const char* sheet_text = "scale = \"yard.toml\"\n[[reading]]\nwhat = \"weight\"\n";
constexpr const char* priors_text = "[causes]\nwet-leak = 2\n";

Loaded<SheetFile> as_sheet(const std::string& text) {
    return parse_sheet(text, "given.toml", sources_with(sheet_scale()));
}

Loaded<Priors> as_priors(const std::string& text) {
    return parse_priors(text, "given.toml", sheet_scale().load().value->description);
}

}  // namespace

TEST_CASE("A file in another's place is named for what it is, in one error") {
    const ScaleText scale = sheet_scale();
    const int deck = scale.line_of("deck", "section_x_m") - 1;
    const auto expect = [](const auto& loaded, int line, const char* key, const char* words) {
        require_only(loaded, {ErrorKind::impossible, line, key, words});
    };
    expect(as_sheet(scale.text()), deck, "deck", "makes this a scale file: must be a sheet of readings");
    expect(as_priors(scale.text()), deck, "deck", "a scale file: must be a file of priors");
    expect(parse_vehicle(scale.text(), "given.toml"), deck, "deck", "a scale file: must be a vehicle file");
    expect(parse_scale(sheet_text, "given.toml"), 2, "reading", "a sheet of readings: must be a scale file");
    expect(parse_scale(sheet_vehicle, "given.toml"), 3, "axle", "a vehicle file: must be a scale file");
    expect(as_sheet(sheet_vehicle), 3, "axle", "a vehicle file: must be a sheet");
    expect(as_sheet(priors_text), 1, "causes", "a file of priors: must be a sheet");
}

TEST_CASE("A file of the right kind with a stranger's key is read on") {
    const auto loaded =
        as_sheet(std::string(sheet_text) + "load = \"empty\"\nvalue = 3\n[deck]\nwidth_m = 2\n");
    require_only(loaded, {ErrorKind::unknown_key, 6, "deck", "unknown key"});
}

TEST_CASE("Only what the host refused is the host's error") {
    const SheetSources nowhere{[](const std::string& path) { return load_scale("/nowhere/" + path); },
                               [](const std::string& name) { return load_vehicle("/nowhere/" + name); }};
    CHECK(parse_sheet("scale = \"yard.toml\"\n", "given.toml", nowhere).unreadable());
    CHECK_FALSE(parse_sheet("scale = \"yard.toml\"\nzeroed = 3\n", "given.toml", nowhere).unreadable());
    CHECK_FALSE(as_sheet("").unreadable());
}

TEST_CASE("A mistyped vehicle is answered with the nearest that there is") {
    const SheetSources sources = sources_beside(CORNERBENCH_SOURCE_DIR "/configs/sheets");
    const auto near = sources.vehicle("tiper-3-axle");
    CHECK(near.unreadable());
    CHECK(near.errors.front().message.find("nearest: tipper-3-axle") != std::string::npos);
    const auto far = sources.vehicle("bicycle");
    CHECK(far.errors.front().message.find("one of: semitrailer-5-axle, tipper-3-axle") != std::string::npos);
}

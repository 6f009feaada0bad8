#include <catch2/catch.hpp>

#include <cstddef>
#include <filesystem>
#include <sstream>
#include <string>

#include "sim/files/priors_file.h"
#include "tests/files/error_matchers.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;
using scale::Cause;

namespace {

scale::Description with_trims() {
    ScaleText text = ScaleText::small();
    return text.set("box", "trim", R"({ kind = "excitation-series", total_ohm = 20 })")
        .load()
        .value->description;
}

scale::Description without_trims() {
    return ScaleText::small().load().value->description;
}

double at(const Priors& priors, Cause cause) {
    return priors[static_cast<std::size_t>(scale::index_of(cause))];
}

double sum(const Priors& priors) {
    double total = 0.0;
    for (const double prior : priors) total += prior;
    return total;
}

}  // namespace

TEST_CASE("By default healthy has 0.15, and the causes this scale can have share the rest evenly") {
    const Priors priors = diagnosis::default_priors(with_trims());
    CHECK(at(priors, Cause::healthy) == 0.15);
    CHECK(sum(priors) == Approx(1.0).epsilon(1.0e-14));
    CHECK(at(priors, Cause::open_wire) == Approx(at(priors, Cause::unlisted)));
    CHECK(at(priors, Cause::trim_off) == Approx(at(priors, Cause::open_wire)));

    const Priors untrimmed = diagnosis::default_priors(without_trims());
    CHECK(at(untrimmed, Cause::trim_off) == 0.0);
    CHECK(sum(untrimmed) == Approx(1.0).epsilon(1.0e-14));
    CHECK(at(untrimmed, Cause::open_wire) > at(priors, Cause::open_wire));
}

TEST_CASE("An empty file of priors is the default") {
    const auto loaded = parse_priors("", "priors.toml", with_trims());
    REQUIRE(loaded);
    CHECK(*loaded.value == diagnosis::default_priors(with_trims()));
}

TEST_CASE("Weights stand beside each other") {
    const auto loaded =
        parse_priors("healthy = 0.4\n[causes]\nloose-terminal = 3\ndamaged-arm = 0.5\nunlisted = 0\n",
                     "priors.toml", with_trims());
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    const Priors& priors = *loaded.value;
    CHECK(at(priors, Cause::healthy) == 0.4);
    CHECK(at(priors, Cause::loose_terminal) / at(priors, Cause::open_wire) == Approx(3.0));
    CHECK(at(priors, Cause::damaged_arm) / at(priors, Cause::open_wire) == Approx(0.5));
    CHECK(at(priors, Cause::unlisted) == 0.0);
    CHECK(sum(priors) == Approx(1.0).epsilon(1.0e-14));
}

TEST_CASE("A weight for a cause that this scale cannot have is a warning") {
    const auto loaded = parse_priors("[causes]\ntrim-off = 5\n", "priors.toml", without_trims());
    require_warning(loaded, 2, "[causes] trim-off", "cannot have");
    CHECK(at(*loaded.value, Cause::trim_off) == 0.0);
}

TEST_CASE("All errors of a file of priors are reported at once") {
    const auto loaded = parse_priors(
        "healthy = 1.5\nhelathy = 0.1\n[causes]\nloose-terminl = 2\nweak-output = -1\nopen-wire = \"much\"\n"
        "healthy = 3\n",
        "priors.toml", with_trims());
    INFO(to_string(loaded.errors));
    const Expected expected[] = {
        {ErrorKind::out_of_range, 1, "healthy", "at least 0 and at most 0.999"},
        {ErrorKind::unknown_key, 2, "helathy", "nearest is healthy"},
        {ErrorKind::unknown_key, 4, "[causes] loose-terminl", "nearest is loose-terminal"},
        {ErrorKind::out_of_range, 5, "[causes] weak-output", "at least 0"},
        {ErrorKind::wrong_type, 6, "[causes] open-wire", "must be a number"},
        {ErrorKind::unknown_key, 7, "[causes] healthy", "healthy belongs to the top"},
    };
    for (const Expected& one : expected) {
        INFO(one.key);
        CHECK(count_of(loaded.errors, one) == 1);
    }
    CHECK(loaded.errors.size() == std::size(expected));
}

TEST_CASE("Weights without their table are told where they belong") {
    const auto loaded = parse_priors("wet-leak = 5\nhealthy = 0.1\nfoo = 1\n", "priors.toml", with_trims());
    INFO(to_string(loaded.errors));
    CHECK(loaded.errors.size() == 2);
    CHECK(count_of(loaded.errors, {ErrorKind::unknown_key, 1, "wet-leak",
                                   "unknown key; wet-leak belongs to [causes]"}) == 1);
    CHECK(count_of(loaded.errors, {ErrorKind::unknown_key, 3, "foo", "must be healthy or causes"}) == 1);
}

TEST_CASE("The keys of a file of priors are all that may stand there, and their example loads") {
    CHECK(priors_keys().size() == 2 + scale::cause_count - 1);
    const std::string text = priors_keys_text();
    for (const PlainKey& key : priors_keys()) {
        CHECK(text.find(key.name) != std::string::npos);
    }
    std::istringstream lines(text);
    std::string example;
    bool in_example = false;
    for (std::string line; std::getline(lines, line);) {
        INFO(line);
        CHECK(line.size() <= key_text_columns);
        if (in_example) example += line + "\n";
        in_example = in_example || line.starts_with("Example");
    }
    const auto loaded = parse_priors(example, "priors.toml", with_trims());
    INFO(example << to_string(loaded.errors));
    REQUIRE(loaded);
    CHECK(at(*loaded.value, Cause::healthy) == 0.05);
    CHECK(at(*loaded.value, Cause::wet_leak) / at(*loaded.value, Cause::open_wire) == Approx(10.0));
}

TEST_CASE("Every file of priors that ships loads") {
    int count = 0;
    for (const auto& entry : std::filesystem::directory_iterator(CORNERBENCH_SOURCE_DIR "/configs/priors")) {
        const auto loaded = load_priors(entry.path().string(), with_trims());
        INFO(entry.path() << "\n" << to_string(loaded.errors));
        CHECK(loaded);
        CHECK(loaded.warnings.empty());
        ++count;
    }
    CHECK(count >= 1);
}

TEST_CASE("Weights must leave a cause") {
    std::string text = "[causes]\n";
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<Cause>(i);
        if (cause != Cause::healthy) text += std::string(scale::name_of(cause)) + " = 0\n";
    }
    require_only(parse_priors(text, "priors.toml", with_trims()),
                 {ErrorKind::impossible, 1, "causes", "no cause at all"});
}

TEST_CASE("A file of priors that is not there is the host's error") {
    const auto loaded = load_priors("/no/such/priors.toml", with_trims());
    require_only(loaded, {ErrorKind::unreadable, 0, "", "cannot be read"});
}

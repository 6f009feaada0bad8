#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "tests/cli/command_line.h"

// What `diagnose` and `trim` say when a reading speaks against the answer, or when nothing on the list does.

using namespace cornerbench::cli;

namespace fs = std::filesystem;

namespace {

/// A scale of four limp corners and a sheet of readings on it, gone with the object.
class OnFourCorners {
  public:
    OnFourCorners(const std::string& name, const std::string& readings)
        : folder_(fs::temp_directory_path() / ("cornerbench-doubt-" + name)) {
        fs::create_directories(folder_);
        std::ofstream(folder_ / "scale.toml")
            << "name = \"Four\"\nstandard = \"OIML R 76\"\nclass = \"III\"\nunit = \"kg\"\nmax = 40000\n"
               "division = 10\ngravity = { latitude_deg = 50 }\n[deck]\nsection_x_m = [0.0, 7.0]\n"
               "width_m = 3.0\nmass = 6000\n[cell]\ncapacity = 20000\n";
        std::ofstream(folder_ / "sheet.toml") << "scale = \"scale.toml\"\nzeroed = \"now\"\n" << readings;
    }
    ~OnFourCorners() { fs::remove_all(folder_); }
    OnFourCorners(const OnFourCorners&) = delete;
    OnFourCorners& operator=(const OnFourCorners&) = delete;

    Answer diagnose() const { return ask({"diagnose", sheet()}); }
    nlohmann::json diagnose_json() const { return ask({"diagnose", sheet(), "--json"}).json(); }
    Answer trim() const { return ask({"trim", sheet()}); }

  private:
    std::string sheet() const { return (folder_ / "sheet.toml").string(); }

    fs::path folder_;
};

std::string corner(int support, const std::string& shown) {
    return "[[reading]]\nwhat = \"weight\"\nload = { mass = 5000, over = " + std::to_string(support) +
           " }\n" + shown + "\n";
}

std::string corners(const std::string& a, const std::string& b, const std::string& c, const std::string& d) {
    return corner(1, a) + corner(2, b) + corner(3, c) + corner(4, d);
}

std::string value(int kg) {
    return "value = " + std::to_string(kg);
}

const std::string sound = corners(value(5000), value(5000), value(5000), value(5000));
const std::string nothing_broken = "Nothing on this sheet calls for a broken part";

/// The page as one line: sentences break wherever the page ends.
bool says(const Answer& answer, const std::string& part) {
    std::istringstream words(answer.out);
    std::string line;
    for (std::string word; words >> word;) line += (line.empty() ? "" : " ") + word;
    return line.find(part) != std::string::npos;
}

bool disagrees(const nlohmann::json& found, int reading) {
    for (const auto& one : found["disagreeing"]) {
        if (one["reading"] == reading) return !one["why"].get<std::string>().empty();
    }
    return false;
}

}  // namespace

TEST_CASE("a display that stays blank is never a healthy scale", "[cli]") {
    const std::string blank = "shown = \"blank\"";
    const OnFourCorners dark("dark", corners(blank, blank, blank, blank));
    const Answer answer = dark.diagnose();
    INFO(answer.out);
    CHECK(answer.code == 0);
    CHECK_FALSE(says(answer, nothing_broken));
    CHECK(says(answer, "whether the indicator is alive and has supply"));

    const OnFourCorners fed("fed", corners(blank, blank, blank, blank) +
                                       "[[reading]]\nwhat = \"excitation\"\nat = \"box\"\nvalue_V = 9.95\n");
    const nlohmann::json found = fed.diagnose_json();
    CHECK(found["causes"][0]["name"] == "unlisted");
    for (int reading = 1; reading <= 4; ++reading) CHECK(disagrees(found, reading));
}

TEST_CASE("no excitation points to the supply", "[cli]") {
    const OnFourCorners dead("dead", "[[reading]]\nwhat = \"excitation\"\nat = \"box\"\nvalue_V = 0\n");
    const nlohmann::json found = dead.diagnose_json();
    CHECK(found["causes"][0]["name"] == "excitation-low");
    CHECK(found["causes"][0]["magnitude"]["high"].get<double>() < 0.1);
}

TEST_CASE("a thing seen that contradicts the weights is named, and told what to do about", "[cli]") {
    const OnFourCorners arrow("arrow", sound +
                                           "[[reading]]\nwhat = \"inspection\"\nlook = \"load arrow\"\n"
                                           "cell = 2\nfound = \"not\"\n");
    const Answer answer = arrow.diagnose();
    INFO(answer.out);
    CHECK_FALSE(says(answer, nothing_broken));
    CHECK(says(answer, "A reading does not fit the answer"));
    CHECK(says(answer, "upside-down, cell 2"));
    CHECK(disagrees(arrow.diagnose_json(), 5));

    const OnFourCorners gap("gap",
                            "[[reading]]\nwhat = \"weight\"\nload = \"empty\"\nvalue = 0\n"
                            "[[reading]]\nwhat = \"inspection\"\nlook = \"end gap\"\nfound = \"not\"\n");
    const Answer cleared = gap.diagnose();
    INFO(cleared.out);
    CHECK_FALSE(says(cleared, nothing_broken));
    CHECK(says(cleared, "Clear the gaps all round"));
}

TEST_CASE("a cable that is off is found by its corner, by its resistances, and by both", "[cli]") {
    // Three of four cells are left: what stands on one of them counts a third more (parallel bridges).
    const std::string weights = corners(value(6670), value(6670), value(0), value(6670));
    std::string ohms;
    for (const std::string pair : {"\"E+\", \"E-\"", "\"S+\", \"S-\"", "\"E+\", \"S+\"", "\"E-\", \"S-\""}) {
        ohms += "[[reading]]\nwhat = \"resistance\"\ncell = 3\nbetween = [" + pair + "]\nvalue_ohm = inf\n";
    }
    const struct {
        const char* name;
        std::string readings;
    } cases[] = {{"weights", weights}, {"ohms", ohms}, {"both", weights + ohms}};
    for (const auto& one : cases) {
        const OnFourCorners off(one.name, one.readings);
        const Answer answer = off.diagnose();
        INFO(answer.out);
        CHECK(says(answer, "open-wire, cell 3, whole cable"));
        const nlohmann::json first = off.diagnose_json()["causes"][0];
        CHECK(first["name"] == "open-wire");
        CHECK(first["where"]["cell"] == 3);
        CHECK(first["where"]["wire"] == "all");
        CHECK(first["probability"].get<double>() > 0.9);
    }
    CHECK(says(ask({"causes", "open-wire"}), "wire=all"));
    CHECK(ask({"corners", config("scales/sawmill-4.toml"), "--with", "open-wire cell=2 wire=all"}).code <= 1);
}

TEST_CASE("what two causes at once leave over makes them less than the whole truth", "[cli][long]") {
    // Each corner read twice: something on no list would have to miss alike both times.
    const std::string once = corners(value(4600), value(-5000), value(4000), value(5000));
    const OnFourCorners three("three", once + once);
    const Answer answer = three.diagnose();
    INFO(answer.out);
    CHECK(says(answer, "No cause on the list explains these readings well"));
    const nlohmann::json found = three.diagnose_json();
    CHECK(found["causes"][0]["name"] == "unlisted");
    CHECK(disagrees(found, 1));
}

TEST_CASE("two causes at once stand with their places and sizes, in words and in JSON", "[cli]") {
    const OnFourCorners two("two", corners(value(5000), value(-5000), value(4000), value(5000)));
    const Answer answer = two.diagnose();
    INFO(answer.out);
    CHECK(says(answer, "upside-down, cell 2 with bound-support, support 3"));
    const nlohmann::json first = two.diagnose_json()["causes"][0];
    INFO(first.dump(2));
    // Which of the three ways to reverse cell 2 and which way to lose a fifth at corner 3 no reading here
    // tells.
    CHECK(first["where"]["cell"] == 2);
    REQUIRE(first.contains("with"));
    CHECK(first["with"]["magnitude"].is_object());
    CHECK_FALSE(says(answer, "These shares hold"));
}

TEST_CASE("a cause that fits only by its width says so", "[cli]") {
    const OnFourCorners one("one", corner(2, value(4900)));
    const Answer answer = one.diagnose();
    INFO(answer.out);
    if (says(answer, "swapped, cell 1 reading") || says(answer, "Why upside-down, cell 1")) {
        CHECK(says(answer, "it only leaves it less sure"));
        CHECK(says(answer, "centimetres"));
    }
    CHECK(answer.code == 0);
}

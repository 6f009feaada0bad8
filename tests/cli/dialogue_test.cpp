#include <unistd.h>
#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include "sim/files/sheet_file.h"
#include "tests/cli/command_line.h"

using namespace cornerbench;
using namespace cornerbench::cli;

namespace fs = std::filesystem;

namespace {

/// A sheet of our own beside the shipped ones' scale, gone with the object.
class Sheet {
  public:
    explicit Sheet(const std::string& readings)
        : folder_(fs::temp_directory_path() / ("cornerbench-dialogue-test-" + std::to_string(getpid()))),
          path_((folder_ / "sheet.toml").string()) {
        fs::remove_all(folder_);
        fs::create_directories(folder_);
        std::ofstream(path_) << "# a remark that stays\nscale = \"" << config("scales/sawmill-4.toml")
                             << "\"\nzeroed = \"now\"" << readings;
    }
    ~Sheet() { fs::remove_all(folder_); }
    Sheet(const Sheet&) = delete;
    Sheet& operator=(const Sheet&) = delete;

    std::string text() const {
        std::ifstream in(path_, std::ios::binary);
        return {std::istreambuf_iterator<char>(in), {}};
    }
    std::size_t readings() const {
        const auto loaded = files::load_sheet(path_);
        REQUIRE(loaded.value.has_value());
        return loaded.value->readings.size();
    }
    /// No file beside the sheet stays behind.
    bool alone() const {
        return std::distance(fs::directory_iterator(folder_), fs::directory_iterator()) == 1;
    }
    Answer talk(const std::string& typed) const {
        return ask({"diagnose", "--interactive", path_}, false, typed);
    }
    const std::string& path() const { return path_; }

  private:
    fs::path folder_;
    std::string path_;
};

const std::string empty_deck = "\n\n[[reading]]\nwhat = \"weight\"\nload = \"empty\"\nvalue = 0";

}  // namespace

TEST_CASE("A dialogue shows before it asks, and answers what it cannot use", "[cli]") {
    const Sheet sheet(empty_deck);
    const std::string before = sheet.text();
    const Answer answer = sheet.talk("skip 1\nnonsense\n1\n9 1\nskip 9\nq\n");
    CAPTURE(answer.out);
    CHECK(answer.code == 0);
    CHECK(answer.err.empty());
    // Nothing is asked of a person that they have not seen first.
    CHECK(answer.out.find("  1  ") < answer.out.find("> "));
    CHECK(answer.says("clears up"));
    CHECK(answer.says("valid: a number from 1 to 3"));
    CHECK(sheet.text() == before);
    CHECK(sheet.alone());
}

TEST_CASE("What a dialogue is told stands in the sheet and counts", "[cli]") {
    const Sheet sheet(empty_deck);
    const std::string before = sheet.text();
    // Whatever is proposed first: one of these is a value of it, and the others are refused.
    const Answer answer = sheet.talk("1 not\n1 0\nq\n");
    CAPTURE(answer.out);
    CHECK(answer.code == 0);
    const std::size_t taken = sheet.readings();
    CHECK(sheet.text().starts_with(before));
    CHECK(sheet.alone());
    CHECK(taken >= 2);
    CHECK(taken <= 3);
    CHECK(answer.says(std::to_string(taken) + " readings"));
    // The sheet diagnosed anew says what the dialogue ended with.
    CHECK(ask({"diagnose", sheet.path()}).says(std::to_string(taken) + " readings"));
}

TEST_CASE("A dialogue that ends at once, by 'q' or by the end of its input, changes nothing", "[cli]") {
    const Sheet sheet(empty_deck);
    const std::string before = sheet.text();
    for (const std::string typed : {"q\n", "", "quit\r\n"}) {
        const Answer answer = sheet.talk(typed);
        CHECK(answer.code == 0);
        CHECK(sheet.text() == before);
    }
    CHECK(ask({"diagnose", "--interactive", sheet.path(), "--json"}).code == 2);
    CHECK(ask({"diagnose", "--interactive", sheet.path() + ".nowhere"}).code == 4);
}

TEST_CASE("A dialogue takes which wires stand exchanged, and tells two causes apart by it", "[cli]") {
    const Sheet sheet(empty_deck);
    const std::string scale = config("scales/sawmill-4.toml");
    REQUIRE(ask({"sheet", scale, "--with", "excitation-pair-swapped cell=3", "--exact", "--readings",
                 "corners", "-o", sheet.path(), "--force"})
                .code == 0);
    const std::string look = "look at the wire colours of cell 3";
    const Answer asked = sheet.talk("q\n");
    const std::size_t at = asked.out.rfind("  " + look);
    CAPTURE(asked.out);
    REQUIRE(at != std::string::npos);
    const std::string number = asked.out.substr(at - 1, 1);
    CHECK(asked.says("S+ and S- exchanged"));
    CHECK(asked.says("E+ and E- exchanged"));
    const Answer refused = sheet.talk(number + " S+ S+\n" + number + " E+ shield\nq\n");
    CHECK(refused.says("the two of E+ E- S+ S- that"));
    CHECK(sheet.text().find("exchanged") == std::string::npos);
    sheet.talk(number + " E+ E- exchanged\nq\n");
    CHECK(sheet.text().find("exchanged = [\"E+\", \"E-\"]") != std::string::npos);
    const auto causes = ask({"diagnose", sheet.path(), "--json"}).json()["causes"];
    CHECK(causes[0]["name"] == "excitation-pair-swapped");
    CHECK(causes[0]["probability"].get<double>() > 0.9);
}

TEST_CASE("A value that no sheet can hold is refused with the reason, and nothing is written", "[cli]") {
    const Sheet sheet(empty_deck);
    const std::string before = sheet.text();
    const Answer answer = sheet.talk("1 nan\n1 1e300\n1 -1e300 V\n1 12 furlongs\n1 over the moon\n1 \"\n");
    CAPTURE(answer.out);
    CHECK(answer.code == 0);
    CHECK(answer.says("valid: "));
    CHECK(sheet.text() == before);
    CHECK(sheet.alone());
}

TEST_CASE("A dialogue says what each outcome of a reading would mean", "[cli]") {
    // A wire of the excitation pair is open: which one, the ohms of either to the signal pair tell.
    const Sheet sheet(
        "\n\n[[reading]]\nwhat = \"resistance\"\ncell = 3\nbetween = [\"E+\", \"E-\"]\nvalue_ohm = inf\n"
        "\n[[reading]]\nwhat = \"resistance\"\ncell = 3\nbetween = [\"S+\", \"S-\"]\nvalue_ohm = 1002\n");
    const Answer first = sheet.talk("");
    CAPTURE(first.out);
    CHECK(first.says("open-wire, cell 3, wire"));
    // Of the proposals that clear up the wire, each names the outcome for either wire.
    CHECK(first.says("no path"));
}

TEST_CASE("A reading typed by its words stands in the sheet, and 'back' takes it off again", "[cli][long]") {
    const Sheet sheet(empty_deck);
    const std::string before = sheet.text();
    struct Typed {
        const char* line;
        const char* in_sheet;
    };
    for (const Typed& typed : std::initializer_list<Typed>{
             {"weight 2 over 3 = 2", "load = { mass = 2, over = 3 }\nvalue = 2"},
             {"weight 2 section 2 decreasing = 2.01", "direction = \"decreasing\"\nvalue = 2.01"},
             {"weight empty returned zero set = 0.02",
              "zero_set = true\ndirection = \"returned\"\nvalue = 0.02"},
             {"signal 2 empty = 0.85 mV", "cell = 2\nconnected = false\nload = \"empty\"\nvalue_mV = 0.85"},
             {"signal 2 connected empty = 0.4", "connected = true"},
             {"resistance 4 E+ S- = 291.5", "between = [\"E+\", \"S-\"]\nvalue_ohm = 291.5"},
             {"resistance 4 S+ shield = inf", "between = [\"S+\", \"shield\"]\nvalue_ohm = inf"},
             {"resistance 4 S+ shield > 500 Mohm", "at_least_Mohm = 500"},
             {"resistance 4 S+ shield >= 2000 Mohm", "at_least_Mohm = 2000"},
             {"resistance 4 S+ shield = >20 kohm", "at_least_ohm = 20000"},
             {"resistance 4 S+ shield = at least 500 Mohm", "at_least_Mohm = 500"},
             {"excitation box = 9.98", "at = \"box\"\nvalue_V = 9.98"},
             {"excitation 2 = 9.97", "cell = 2\nvalue_V = 9.97"},
             {"inspection load arrow 3 = ok", "cell = 3\nlook = \"load arrow\"\nfound = \"as it should be\""},
             {"inspection gap at support 1 = not", "support = 1"},
             {"inspection end gap = not", "look = \"end gap\"\nfound = \"not\""}}) {
        INFO(typed.line);
        const Answer kept = sheet.talk(std::string(typed.line) + "\nq\n");
        CAPTURE(kept.out);
        CHECK(sheet.readings() == 2);
        CHECK(sheet.text().starts_with(before));
        CHECK(sheet.text().find(typed.in_sheet) != std::string::npos);
        std::ofstream(sheet.path(), std::ios::binary) << before;
        CHECK(sheet.talk(std::string(typed.line) + "\nback\nback\nq\n").says("Taken off again: "));
        CHECK(sheet.text() == before);
    }
}

TEST_CASE("A dialogue says what it cannot take, and writes nothing of it", "[cli]") {
    const Sheet sheet(empty_deck);
    const std::string before = sheet.text();
    struct Typed {
        const char* line;
        const char* answer;
    };
    for (const Typed& typed :
         std::initializer_list<Typed>{{"excitation box = 9,98", "a comma in '9,98'"},
                                      {"weight 2 over 9 = 2", "a support, 1 to 4"},
                                      {"weight empty = 0.003", "no multiple of the division"},
                                      {"weight empty zero = 0", "'zero set' where zero was set"},
                                      {"weight 2 over 3 zero set = 2", "'zero' is too much there"},
                                      {"resistance 2 E+ = 350", "two different wires"},
                                      {"ohms 2 E+ E- = 350", "begins with one of weight"},
                                      {"excitation box 3 = 9.9", "'3' is too much there"},
                                      {"inspection arrow 3 = ok", "load arrow"},
                                      {"back", "Nothing was read here yet"},
                                      {"?", "takes the last reading typed here off again"},
                                      {"help", "takes the last reading typed here off again"}}) {
        INFO(typed.line);
        const Answer answer = sheet.talk(std::string(typed.line) + "\nquit\n");
        CAPTURE(answer.out);
        CHECK(answer.code == 0);
        CHECK(answer.says(typed.answer));
        CHECK(answer.says("1 reading\n"));
        CHECK(sheet.text() == before);
    }
    // Twice the same is meant.
    sheet.talk("weight empty = 0.003\nweight empty = 0.003\nq\n");
    CHECK(sheet.readings() == 2);
}

TEST_CASE("A line that the end of the input cuts off is not taken", "[cli]") {
    const Sheet sheet(empty_deck);
    const std::string before = sheet.text();
    const Answer answer = sheet.talk("excitation box = 9.9");
    CHECK(answer.code == 0);
    CHECK(answer.says("ends within a line"));
    CHECK(sheet.text() == before);
}

TEST_CASE("An odd reading taken again is replaced, or stands confirmed beside the first", "[cli]") {
    // 12 V where the supply gives 10: no cause on the list does that.
    const Sheet sheet(std::string(empty_deck) +
                      "\n\n[[reading]]  # by the old meter\nwhat = \"excitation\"\nat = \"box\"\n"
                      "value_V = 12  # odd\n\n# and a last remark\n");
    const std::string before = sheet.text();
    const Answer replaced = sheet.talk("1 9.99\nq\n");
    CAPTURE(replaced.out);
    CHECK(replaced.says("repeat reading 2 (line"));
    CHECK(replaced.says("replaced"));
    CHECK(sheet.readings() == 2);
    CHECK(sheet.text().find("value_V = 12") == std::string::npos);
    CHECK(sheet.text().find("value_V = 9.99") != std::string::npos);
    CHECK(sheet.text().find("# and a last remark") != std::string::npos);

    std::ofstream(sheet.path(), std::ios::binary) << before;
    CHECK(sheet.talk("1 12\nq\n").says("confirmed"));
    CHECK(sheet.readings() == 3);
    std::ofstream(sheet.path(), std::ios::binary) << before;
    sheet.talk("1 9.99\nback\nq\n");
    CHECK(sheet.text() == before);
}

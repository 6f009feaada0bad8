#include "sim/report/record_page.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <regex>
#include <sstream>

#include "sim/cli/browser.h"
#include "tests/cli/command_line.h"
#include "tests/report/html_checking.h"

using namespace cornerbench;
using namespace cornerbench::report;
namespace fs = std::filesystem;

namespace {

const char* const scales[] = {"quarry-8", "sawmill-4", "harbour-8", "depot-6", "elevator-10", "scrapyard-6"};

/// A folder for one test.
class Folder {
  public:
    explicit Folder(const char* name) : path_(fs::temp_directory_path() / name) {
        fs::remove_all(path_);
        fs::create_directories(path_);
    }
    ~Folder() { fs::remove_all(path_); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    std::string file(const std::string& name) const { return (path_ / name).string(); }

  private:
    fs::path path_;
};

std::string filled_day(const Folder& folder, const std::string& scale, const std::string& fault) {
    std::vector<std::string> words{"plan",       cli::config("scales/" + scale + ".toml"),
                                   "--simulate", "--date",
                                   "2026-11-29", "--force",
                                   "-o",         folder.file(scale + ".toml")};
    if (!fault.empty()) words.insert(words.end(), {"--with", fault});
    REQUIRE(cli::ask(words).code == 0);
    return folder.file(scale + ".toml");
}

}  // namespace

TEST_CASE("a record needs nothing but itself", "[report][long]") {
    const Folder folder("cornerbench-record-alone");
    for (const char* scale : scales) {
        INFO(scale);
        const cli::Answer answer = cli::ask({"report", filled_day(folder, scale, "")});
        REQUIRE(answer.code == 0);
        // No other address than that of the SVG name space, no script, nothing to fetch.
        for (const char* part : {"<script", "src=", "href=", "@import", "url("})
            CHECK_FALSE(answer.says(part));
        CHECK(count(answer.out, "http") == count(answer.out, "http://www.w3.org/2000/svg"));
        CHECK(answer.says("2026-11-29"));
        CHECK(answer.says("Cautions"));
        CHECK(answer.says("Left to licensed practice"));
    }
}

TEST_CASE("a record's headings go down one by one and every picture is told in words", "[report]") {
    // WCAG 2.1, 1.1.1 (non-text content), 1.3.1 (structure), 1.4.3 (contrast of at least 4.5 to 1), 3.1.1.
    const Folder folder("cornerbench-record-structure");
    const std::string page =
        cli::ask({"report", filled_day(folder, "quarry-8", "loose-terminal cell=5 wire=S+ ohm=60")}).out;
    CHECK(count(page, "<h1>") == 1);
    CHECK(count(page, "<h2>") >= 6);
    CHECK(page.find("<html lang=\"en\">") != std::string::npos);
    CHECK(count(page, "<svg") == 2);
    CHECK(count(page, "role=\"img\"") == count(page, "<svg"));
    CHECK(count(page, "aria-describedby=") == count(page, "<svg"));
    CHECK(count(page, "<desc id=") == count(page, "<svg"));
    CHECK(count(page, "<table>") == count(page, "<caption>"));
    CHECK(count(page, "<thead>") == count(page, "<table>"));
    const std::regex colour("#[0-9a-f]{3}([0-9a-f]{3})?(?![0-9a-f])");
    for (std::sregex_iterator it(page.begin(), page.end(), colour), end; it != end; ++it) {
        if (it->str() == "#fff") continue;
        INFO(it->str());
        CHECK((1.0 + 0.05) / (luminance(it->str()) + 0.05) >= 4.5);
    }
}

TEST_CASE("a record speaks the unit that is asked for, with plain numbers and dates", "[report][long]") {
    const Folder folder("cornerbench-record-units");
    const std::string sheet = filled_day(folder, "quarry-8", "");
    const auto page = [&](const char* unit) { return cli::ask({"report", sheet, "--units", unit}).out; };
    CHECK(page("kg").find("Max 60 000 kg") != std::string::npos);
    CHECK(page("t").find("Max 60.000 t") != std::string::npos);
    // 60 000 kg are 132 277 lb (1 lb = 0.45359237 kg).
    CHECK(page("lb").find("Max 132 277 lb") != std::string::npos);
    CHECK(cli::ask({"report", sheet, "--units", "st"}).code == 2);
    for (const char* unit : {"t", "lb"}) {
        // One unit on the whole page, and no places that nobody could read off a display.
        CHECK_FALSE(std::regex_search(page(unit), std::regex("[0-9] kg")));
        CHECK_FALSE(std::regex_search(page(unit), std::regex("[0-9]\\.[0-9]{5}")));
    }
    // The division exactly, and the rest no finer than a tenth of it.
    CHECK(page("lb").find("division 44.0925 lb") != std::string::npos);
    CHECK_FALSE(std::regex_search(page("lb"), std::regex("[0-9]\\.[0-9]+ lb, (?!8 supports)")));
    // A comma could be either a thousand or a decimal: there is none between digits.
    CHECK_FALSE(std::regex_search(page("lb"), std::regex("[0-9],[0-9]")));
}

TEST_CASE("every row of a record's tables has a cell for every head, the verdict under its own", "[report]") {
    const Folder folder("cornerbench-record-cells");
    for (const char* scale : {"quarry-8", "scrapyard-6"}) {
        const std::string page =
            cli::ask({"report", filled_day(folder, scale, "weak-output cell=5 ratio=0.97")}).out;
        const std::regex cell("<t[hd][^>]*>([^<]*)</t[hd]>");
        const auto cells_of = [&](const std::string& row) {
            std::vector<std::string> cells;
            for (std::sregex_iterator it(row.begin(), row.end(), cell), end; it != end; ++it)
                cells.push_back((*it)[1]);
            return cells;
        };
        int verdicts = 0;
        for (std::size_t at = page.find("<table>"); at != std::string::npos;
             at = page.find("<table>", at + 1)) {
            const std::string table = page.substr(at, page.find("</table>", at) - at);
            std::vector<std::string> heads;
            for (std::size_t row = table.find("<tr"); row != std::string::npos;
                 row = table.find("<tr", row + 1)) {
                const auto cells = cells_of(table.substr(row, table.find("</tr>", row) - row));
                if (heads.empty()) heads = cells;
                CHECK(cells.size() == heads.size());
                if (heads == cells || heads.size() < 2 || heads[1] != "verdict" || cells[1].empty()) continue;
                ++verdicts;
                INFO(cells[1]);
                CHECK(std::regex_search(cells[1], std::regex("passes|fails|uncertain|not done")));
            }
        }
        CHECK(verdicts > 20);
    }
}

TEST_CASE("a record of a simulated day says so, and one of a real day does not", "[report]") {
    const Folder folder("cornerbench-record-simulated");
    const std::string sheet = filled_day(folder, "quarry-8", "");
    CHECK(cli::ask({"report", sheet}).says("SIMULATED"));
    CHECK(cli::ask({"survey", sheet}).says("SIMULATED"));
    CHECK(cli::ask({"survey", sheet, "--json"}).json()["simulated"] == true);
    std::ifstream in(sheet);
    std::ostringstream text;
    text << in.rdbuf();
    const std::string real = folder.file("real.toml");
    std::ofstream(real) << std::regex_replace(text.str(), std::regex("simulated = true[^\n]*\n"), "");
    CHECK_FALSE(cli::ask({"report", real}).says("SIMULATED"));
    CHECK(cli::ask({"survey", real, "--json"}).json()["simulated"] == false);
}

TEST_CASE("a record's pictures are told apart without colour", "[report]") {
    const Folder folder("cornerbench-record-grey");
    const std::string wiring = folder.file("wiring.svg");
    REQUIRE(cli::ask({"wire", cli::config("scales/quarry-8.toml"), "--svg", wiring}).code == 0);
    std::ifstream in(wiring);
    std::ostringstream drawn;
    drawn << in.rdbuf();
    const std::string page =
        cli::ask({"report", filled_day(folder, "quarry-8", "weak-output cell=5 ratio=0.985")}).out +
        drawn.str();
    // No stroke and no fill but black, white and greys between them: red, green and blue alike.
    const std::regex paint("(?:stroke|fill)[=:]\"?\\s*([#a-z0-9]+)");
    int painted = 0;
    for (std::sregex_iterator it(page.begin(), page.end(), paint), end; it != end; ++it) {
        const std::string colour = (*it)[1];
        INFO(colour);
        ++painted;
        if (colour == "none" || colour == "black" || colour == "white" || colour == "currentcolor") continue;
        REQUIRE(colour[0] == '#');
        const std::size_t part = colour.size() == 4 ? 1 : 2;
        CHECK(colour.substr(1, part) == colour.substr(1 + part, part));
        CHECK(colour.substr(1, part) == colour.substr(1 + 2 * part, part));
    }
    CHECK(painted > 50);
    // Up and down differ by their marks and by a dashed line.
    CHECK(page.find("stroke-dasharray") != std::string::npos);
}

TEST_CASE("every point of the error plot stands where its error is", "[report]") {
    const Folder folder("cornerbench-record-plot");
    const std::string page =
        cli::ask({"report", filled_day(folder, "quarry-8", "weak-output cell=5 ratio=0.97")}).out;
    const std::size_t at = page.find("aria-label=\"Error over load\"");
    REQUIRE(at != std::string::npos);
    const std::string plot = page.substr(at, page.find("</svg>", at) - at);
    // Errors as the picture's words have them, going up, and the heights of their marks: a straight line.
    std::vector<double> errors;
    const std::regex said("At [0-9 .]+: ([+-]?[0-9 .]+), uncertain");
    for (std::sregex_iterator it(plot.begin(), plot.end(), said), end; it != end; ++it)
        errors.push_back(std::stod(std::regex_replace((*it)[1].str(), std::regex(" "), "")));
    std::vector<double> heights;
    const std::regex mark("<circle cx=\"[0-9.]+\" cy=\"([0-9.]+)\"");
    for (std::sregex_iterator it(plot.begin(), plot.end(), mark), end; it != end; ++it)
        heights.push_back(std::stod((*it)[1]));
    REQUIRE(errors.size() == heights.size());
    REQUIRE(errors.size() >= 4);
    const std::size_t last = errors.size() - 1;
    CHECK(errors[last] < -100.0);
    const double slope = (heights[last] - heights[0]) / (errors[last] - errors[0]);
    CHECK(slope < 0.0);
    for (std::size_t i = 0; i < errors.size(); ++i)
        CHECK(heights[i] - heights[0] == Approx(slope * (errors[i] - errors[0])).margin(1.5));
}

TEST_CASE("text from files cannot break out of a record", "[report]") {
    const Folder folder("cornerbench-record-hostile");
    std::ifstream in(filled_day(folder, "sawmill-4", ""));
    std::ostringstream text;
    text << in.rdbuf();
    std::string hostile = std::regex_replace(text.str(), std::regex("site = \"\""),
                                             "site = \"</style><script>alert(1)</script>&\"");
    const std::string sheet = folder.file("hostile.toml");
    std::ofstream(sheet) << hostile;
    const cli::Answer answer = cli::ask({"report", sheet});
    REQUIRE(answer.code == 0);
    CHECK_FALSE(answer.says("<script"));
    CHECK(answer.says("&lt;script&gt;"));
}

TEST_CASE("a validator finds nothing wrong with a record", "[report][long]") {
    if (!program_is_there("tidy")) {
        std::cout << "[SKIPPED] no tidy (Debian package tidy)\n";
        return;
    }
    const Folder folder("cornerbench-record-tidy");
    for (const char* scale : scales) {
        INFO(scale);
        const std::string page = folder.file("page.html");
        REQUIRE(cli::ask({"report",
                          filled_day(folder, scale,
                                     scale == std::string("quarry-8")
                                         ? "rubbing support=2 kN_per_mm=15 limit_kN=2.5"
                                         : ""),
                          "-o", page, "--force"})
                    .code == 0);
        CHECK(tidy_findings(page).empty());
    }
}

TEST_CASE("a checker of accessibility finds nothing wrong with a record", "[report][browser]") {
    if (axe_script().empty()) {
        std::cout << "[SKIPPED] no axe-core (CORNERBENCH_AXE names its axe.min.js) or no browser\n";
        return;
    }
    const Folder folder("cornerbench-record-axe");
    const std::string sheet = filled_day(folder, "quarry-8", "weak-output cell=5 ratio=0.985");
    CHECK(axe_violations(cli::ask({"report", sheet}).out, folder.file("")) == 0);
}

TEST_CASE("a record prints as PDF where a browser is at hand, and says so where none is", "[report][long]") {
    const Folder folder("cornerbench-record-pdf");
    const std::string sheet = filled_day(folder, "sawmill-4", "");
    CHECK(cli::ask({"report", sheet, "--pdf", folder.file("a.pdf")}).code == 2);
    setenv("CORNERBENCH_BROWSER", "/nowhere/browser", 1);
    const cli::Answer none =
        cli::ask({"report", sheet, "-o", folder.file("a.html"), "--pdf", folder.file("a.pdf")});
    unsetenv("CORNERBENCH_BROWSER");
    CHECK(none.code == 4);
    CHECK(none.complains("no browser is at hand"));
    CHECK(fs::exists(folder.file("a.html")));
    CHECK_FALSE(fs::exists(folder.file("a.pdf")));
    if (cli::find_browser().empty()) {
        std::cout << "[SKIPPED] no browser (Debian package chromium)\n";
        return;
    }
    REQUIRE(cli::ask({"report", sheet, "-o", folder.file("b.html"), "--pdf", folder.file("b.pdf")}).code ==
            0);
    std::ifstream pdf(folder.file("b.pdf"), std::ios::binary);
    std::string start(5, ' ');
    pdf.read(start.data(), 5);
    CHECK(start == "%PDF-");
    // ISO 216 A4 is 210 mm by 297 mm, 595 by 842 points; letter 8.5 in by 11 in, 612 by 792. A scale in
    // kilograms prints on A4 and one in pounds on letter, unless somebody asks otherwise.
    const std::string pounds = filled_day(folder, "scrapyard-6", "");
    const auto box = [&](const std::string& of, const std::string& paper) {
        std::vector<std::string> words{
            "report", of, "-o", folder.file("c.html"), "--pdf", folder.file("c.pdf"), "--force"};
        if (!paper.empty()) words.insert(words.end(), {"--paper", paper});
        REQUIRE(cli::ask(words).code == 0);
        std::ifstream printed(folder.file("c.pdf"), std::ios::binary);
        std::ostringstream bytes;
        bytes << printed.rdbuf();
        const std::string text = bytes.str();
        std::smatch found;
        REQUIRE(std::regex_search(text, found,
                                  std::regex("/MediaBox \\[0 0 ([0-9]+)[0-9.]* ([0-9]+)[0-9.]*\\]")));
        return std::pair(std::stoi(found[1]), std::stoi(found[2]));
    };
    const auto near = [](std::pair<int, int> a, int width, int height) {
        return std::abs(a.first - width) <= 1 && std::abs(a.second - height) <= 1;
    };
    CHECK(near(box(sheet, ""), 595, 842));
    CHECK(near(box(pounds, ""), 612, 792));
    CHECK(near(box(sheet, "letter"), 612, 792));
    CHECK(near(box(pounds, "a4"), 595, 842));
}

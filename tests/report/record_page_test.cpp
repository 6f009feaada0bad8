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

TEST_CASE("a record needs nothing but itself", "[report]") {
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

TEST_CASE("a record speaks the unit that is asked for, with plain numbers and dates", "[report]") {
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
    // A comma could be either a thousand or a decimal: there is none between digits.
    CHECK_FALSE(std::regex_search(page("lb"), std::regex("[0-9],[0-9]")));
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

TEST_CASE("a validator finds nothing wrong with a record", "[report]") {
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

TEST_CASE("a checker of accessibility finds nothing wrong with a record", "[report]") {
    if (axe_script().empty()) {
        std::cout << "[SKIPPED] no axe-core (CORNERBENCH_AXE names its axe.min.js) or no browser\n";
        return;
    }
    const Folder folder("cornerbench-record-axe");
    const std::string sheet = filled_day(folder, "quarry-8", "weak-output cell=5 ratio=0.985");
    CHECK(axe_violations(cli::ask({"report", sheet}).out, folder.file("")) == 0);
}

TEST_CASE("a record prints as PDF where a browser is at hand, and says so where none is", "[report]") {
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
}

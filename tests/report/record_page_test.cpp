#include "sim/report/record_page.h"

#include <sys/wait.h>

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

using namespace cornerbench;
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

bool is_there(const std::string& program) {
    return std::system(("command -v " + program + " >/dev/null 2>&1").c_str()) == 0;
}

int status_of(const std::string& command) {
    const int status = std::system(command.c_str());
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

std::size_t count(const std::string& text, const std::string& part) {
    std::size_t n = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
    return n;
}

/// Relative luminance by WCAG 2.1 of "#rgb" or "#rrggbb".
double luminance(const std::string& colour) {
    double sum = 0.0;
    const double weights[] = {0.2126, 0.7152, 0.0722};
    const std::size_t digits = colour.size() == 4 ? 1 : 2;
    for (std::size_t i = 0; i < 3; ++i) {
        std::string part = colour.substr(1 + digits * i, digits);
        if (digits == 1) part += part;
        const double c = std::stoi(part, nullptr, 16) / 255.0;
        sum += weights[i] * (c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
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
    if (!is_there("tidy")) {
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
        CHECK(status_of("tidy -quiet -errors --show-warnings yes '" + page + "' > '" + page +
                        ".said' 2>&1") == 0);
    }
}

TEST_CASE("a checker of accessibility finds nothing wrong with a record", "[report]") {
    // axe-core (npm), inside a browser without a window: WCAG 2 rules as it has them.
    const char* axe = std::getenv("CORNERBENCH_AXE");
    if (axe == nullptr || cli::find_browser().empty()) {
        std::cout << "[SKIPPED] no axe-core (CORNERBENCH_AXE names its axe.min.js) or no browser\n";
        return;
    }
    const Folder folder("cornerbench-record-axe");
    std::ifstream in(axe);
    std::ostringstream script;
    script << in.rdbuf();
    REQUIRE_FALSE(script.str().empty());
    std::string page =
        cli::ask({"report", filled_day(folder, "quarry-8", "weak-output cell=5 ratio=0.985")}).out;
    page.insert(page.find("</body>"),
                "<script>" + script.str() +
                    "</script><script>axe.run().then(r => document.body.append('VIOLATIONS ' + "
                    "r.violations.length + ' PASSES ' + r.passes.length + ' END'))</script>");
    std::ofstream(folder.file("axe.html")) << page;
    const std::string dump = folder.file("dump.html");
    status_of("'" + cli::find_browser() + "' --headless --no-sandbox --disable-gpu --user-data-dir='" +
              folder.file("profile") + "' --virtual-time-budget=20000 --dump-dom 'file://" +
              folder.file("axe.html") + "' > '" + dump + "' 2>/dev/null");
    std::ifstream dumped(dump);
    std::ostringstream text;
    text << dumped.rdbuf();
    CHECK(text.str().find("VIOLATIONS 0 PASSES ") != std::string::npos);
    CHECK(text.str().find("VIOLATIONS 0 PASSES 0 ") == std::string::npos);
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

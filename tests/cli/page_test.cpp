#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <string>

#include "sim/page/page_file.h"
#include "tests/cli/command_line.h"
#include "tests/report/html_checking.h"

using namespace cornerbench;
using cli::ask;

namespace {

const std::string run = "scale=quarry-8&seed=4&until=300&deeds=10,put,6,2.6,5000";

cli::Answer replay(const std::string& link) {
    return ask({"page", "--scale", cli::config("scales/quarry-8.toml"), "--lessons", cli::config("lessons"),
                "--replay", link, "--json"});
}

}  // namespace

TEST_CASE("page --replay does a link's run again and compares the state", "[cli][page]") {
    const cli::Answer first = replay(run);
    REQUIRE(first.code == 0);
    CHECK(first.json()["frames"] == 300);
    CHECK(first.json()["refused"] == 0);
    CHECK(first.json()["same_as_page"].is_null());
    const std::string hash = first.json()["hash"];
    CHECK(replay(run + "&hash=" + hash).code == 0);
    const cli::Answer other = replay(run + ";20,key,0&hash=" + hash);
    CHECK(other.code == 1);
    CHECK(other.json()["same_as_page"] == false);
    CHECK(replay("lesson=06-the-loose-screw&until=200").code == 0);
    const std::string scale = cli::config("scales/quarry-8.toml");
    const std::string link = "scale=quarry-8&seed=1&until=30&deeds=20,key,0";
    CHECK(ask({"page", "--scale", scale, "--replay", link}).says(": 1 deed in "));
    const cli::Answer refused = ask({"page", "--scale", scale, "--replay", link + ";25,put,3,1,-5"});
    CHECK(refused.code == 1);
    CHECK(refused.says(": 2 deeds in "));
    CHECK(refused.says(", 1 deed refused; "));
}

TEST_CASE("page says what is wrong with a link, a lesson's folder and a line without a file", "[cli][page]") {
    CHECK(replay("scale=a&deeds=1,fly").code == 2);
    CHECK(replay("scale=moon-8").complains("give its file with --scale"));
    CHECK(ask({"page", "--scale", cli::config("scales/quarry-8.toml"), "--lessons", "/nowhere", "--replay",
               run})
              .code == 4);
    CHECK(ask({"page"}).code == 2);
}

TEST_CASE("page writes a page without an address to ask, or says what to install", "[cli][page]") {
    const auto file = std::filesystem::temp_directory_path() / "cornerbench-page-test.html";
    std::filesystem::remove(file);
    const cli::Answer made = ask({"page", file.string(), "--scale", cli::config("scales/quarry-8.toml"),
                                  "--lessons", cli::config("lessons"), "--json"});
    if (!page::has_module()) {
        CHECK(made.code == 4);
        CHECK(made.complains("without the page's WebAssembly module"));
        CHECK(made.json()["error"]["hint"].get<std::string>().find(".ci/packages page") != std::string::npos);
        CHECK_FALSE(std::filesystem::exists(file));
        return;
    }
    REQUIRE(made.code == 0);
    CHECK(std::filesystem::file_size(file) == made.json()["bytes"]);
    CHECK(std::filesystem::file_size(file) < page::largest_page);
    CHECK(ask({"page", file.string()}).code == 4);
    std::filesystem::remove(file);
}

TEST_CASE("The page names no other place but a namespace", "[page]") {
    const page::PageContent nothing;
    std::string html = page::page_html(nothing);
    const std::string svg = "http://www.w3.org/2000/svg";
    const std::size_t at = html.find(svg);
    REQUIRE(at != std::string::npos);
    html.erase(at, svg.size());
    for (const std::string way : {"http:", "https:", "ws://", "wss://", "@import", "fetch(", "XMLHttp"}) {
        INFO(way);
        CHECK(html.find(way) == std::string::npos);
    }
    CHECK(html.find("default-src 'none'") != std::string::npos);
    for (const std::string mark : {"/*STYLE*/", "/*DATA*/", "/*MODULE*/", "/*SCRIPT*/"})
        CHECK(html.find(mark) == std::string::npos);
}

TEST_CASE("A validator finds nothing wrong with the page's frame", "[page]") {
    if (!report::program_is_there("tidy")) {
        std::cout << "[SKIPPED] no tidy (Debian package tidy)\n";
        return;
    }
    const auto file = (std::filesystem::temp_directory_path() / "cornerbench-page-tidy.html").string();
    std::ofstream(file) << page::page_html(page::PageContent{});
    CHECK(report::tidy_findings(file) == "");
    std::filesystem::remove(file);
    std::filesystem::remove(file + ".said");
}

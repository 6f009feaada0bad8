#include <catch2/catch.hpp>

#include <unistd.h>
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "sim/files/toml_text.h"
#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace fs = std::filesystem;

namespace {

/// A folder of our own, gone with the object; tests run beside each other, each in its own process.
class Folder {
  public:
    Folder() : path_(fs::temp_directory_path() / ("cornerbench-merge-test-" + std::to_string(::getpid()))) {
        fs::remove_all(path_);
        fs::create_directories(path_);
    }
    ~Folder() { fs::remove_all(path_); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;

    std::string file(const std::string& name) const { return (path_ / name).string(); }
    std::string text(const std::string& name) const {
        std::ifstream in(path_ / name, std::ios::binary);
        return {std::istreambuf_iterator<char>(in), {}};
    }

  private:
    fs::path path_;
};

std::vector<std::string> trial(std::vector<std::string> more) {
    std::vector<std::string> words{"trial", config("scales/sawmill-4.toml"), "--seed", "3"};
    if (std::find(more.begin(), more.end(), "--sheets") == more.end())
        more.insert(more.end(), {"--sheets", "7"});
    words.insert(words.end(), more.begin(), more.end());
    return words;
}

}  // namespace

TEST_CASE("A trial put together from its parts is the trial run at once, to the byte", "[cli][campaign]") {
    const Folder folder;
    using Words = std::vector<std::string>;
    for (const Words& kind : {Words{}, Words{"--healthy"}, Words{"--minutes", "--sheets", "4"},
                              Words{"--ranks"}, Words{"--wild", "--world", "plain", "--sheets", "4"}}) {
        const bool draws = kind.empty() || kind.front() != "--minutes";
        const auto with = [&](Words more) {
            more.insert(more.end(), kind.begin(), kind.end());
            more.push_back("--force");
            return trial(more);
        };
        const auto at_once = ask(with(draws ? Words{"--svg", folder.file("once.svg")} : Words{}));
        CAPTURE(at_once.err);
        REQUIRE(at_once.code == 0);
        std::vector<std::string> merge{"merge"};
        for (const std::string k : {"3", "1", "4", "2"}) {
            const std::string part = folder.file("part-" + k + ".json");
            const auto ran = ask(with({"--shard", k + "/4", "--outcomes", part}));
            CHECK(ran.code == 0);
            CHECK(ran.out.empty());
            merge.push_back(part);
        }
        if (draws) merge.insert(merge.end(), {"--svg", folder.file("merged.svg"), "--force"});
        const auto merged = ask(merge);
        CHECK(merged.code == 0);
        CHECK(merged.out == at_once.out);
        if (draws) {
            CHECK(folder.text("merged.svg") == folder.text("once.svg"));
            CHECK(folder.text("once.svg").find("</svg>") != std::string::npos);
        }
        merge.push_back("--json");
        CHECK(ask(merge).out == ask(with({"--json"})).out);
    }
}

TEST_CASE("Parts that do not belong together are not put together", "[cli][long]") {
    const Folder folder;
    const auto part = [&](const std::string& name, std::vector<std::string> more) {
        more.insert(more.end(), {"--outcomes", folder.file(name), "--force"});
        REQUIRE(ask(trial(more)).code == 0);
        return folder.file(name);
    };
    const std::string one = part("one", {"--shard", "1/2"});
    const std::string two = part("two", {"--shard", "2/2"});
    const std::string third = part("third", {"--shard", "2/3"});
    const std::string healthy = part("healthy", {"--shard", "2/2", "--healthy"});
    CHECK(ask({"merge", one, two}).code == 0);
    // A long trial's part is larger than any file that somebody writes by hand: blanks are as good as sheets
    // here.
    const std::string long_one = folder.file("long");
    std::ofstream(long_one) << std::ifstream(one).rdbuf()
                            << std::string(2 * cornerbench::files::largest_file_bytes, ' ');
    CHECK(ask({"merge", long_one, two}).out == ask({"merge", one, two}).out);

    const auto refused = [&](const std::vector<std::string>& parts, const std::string& why) {
        std::vector<std::string> words{"merge"};
        words.insert(words.end(), parts.begin(), parts.end());
        const auto answer = ask(words);
        CAPTURE(answer.err);
        CHECK(answer.code == 3);
        CHECK(answer.out.empty());
        CHECK(answer.err.find(why) != std::string::npos);
    };
    refused({one}, "part 2 of 2 is missing");
    refused({one, two, one}, "is part 1 again");
    refused({one, third}, "is a part of another trial");
    refused({one, healthy}, "is a part of another trial");
    refused({one, part("plain", {"--shard", "2/2", "--world", "plain"})}, "is a part of another trial");
    refused({config("scales/sawmill-4.toml")}, "is no part, or only the beginning of one");
    CHECK(ask({"merge", folder.file("nowhere")}).code == 4);
    CHECK(ask({"merge", fs::temp_directory_path().string()}).code == 4);
}

TEST_CASE("A shard is a part of a whole and needs a file to go to", "[cli]") {
    const Folder folder;
    for (const std::string shard : {"0/2", "3/2", "1/12", "1", "1/2/3", "a/b", "1/0", "-1/2", "1/2 "}) {
        CAPTURE(shard);
        const auto answer = ask(trial({"--shard", shard, "--outcomes", folder.file("x"), "--force"}));
        CHECK(answer.code == 2);
        CHECK_FALSE(fs::exists(folder.file("x")));
    }
    CHECK(ask(trial({"--shard", "1/2"})).code == 2);
}

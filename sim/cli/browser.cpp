#include "sim/cli/browser.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdlib>
#include <filesystem>
#include <sstream>
#include <vector>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/exit_codes.h"

namespace cornerbench::cli {

namespace {

namespace fs = std::filesystem;

constexpr std::array<const char*, 5> browsers{"chromium", "chromium-browser", "google-chrome", "chrome",
                                              "microsoft-edge"};

/// A folder of our own for the browser's profile, gone afterwards.
class Profile {
  public:
    Profile() {
        std::string name = (fs::temp_directory_path() / "cornerbench-print-XXXXXX").string();
        if (mkdtemp(name.data()) != nullptr) path_ = name;
    }
    ~Profile() {
        std::error_code ignored;
        if (!path_.empty()) fs::remove_all(path_, ignored);
    }
    Profile(const Profile&) = delete;
    Profile& operator=(const Profile&) = delete;
    const std::string& path() const { return path_; }

  private:
    std::string path_;
};

int run_silent(std::vector<std::string> words) {
    std::vector<char*> arguments;
    for (std::string& word : words) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    for (const int out : {STDOUT_FILENO, STDERR_FILENO})
        posix_spawn_file_actions_addopen(&actions, out, "/dev/null", O_WRONLY, 0);
    pid_t child = 0;
    const int refused = posix_spawn(&child, arguments[0], &actions, nullptr, arguments.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (refused != 0) return -1;
    int status = 0;
    while (waitpid(child, &status, 0) < 0 && errno == EINTR) {
    }
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace

std::string find_browser() {
    if (const char* named = std::getenv("CORNERBENCH_BROWSER")) {
        return access(named, X_OK) == 0 ? named : "";
    }
    const char* path = std::getenv("PATH");
    std::istringstream folders(path == nullptr ? "" : path);
    for (std::string folder; std::getline(folders, folder, ':');) {
        for (const char* name : browsers) {
            const std::string candidate = folder + "/" + name;
            if (!folder.empty() && access(candidate.c_str(), X_OK) == 0) return candidate;
        }
    }
    return "";
}

void print_pdf_or_stop(const std::string& html_path, const std::string& pdf_path) {
    const std::string browser = find_browser();
    if (browser.empty())
        throw Stop(
            Exit::host,
            fmt::format("{}: no browser is at hand that prints it; the page is in {}", pdf_path, html_path),
            "Install chromium, or name one in CORNERBENCH_BROWSER; or open the page in any browser and "
            "print it from there.");
    spdlog::debug("printing with {}", browser);
    const Profile profile;
    std::error_code ignored;
    fs::remove(pdf_path, ignored);
    std::vector<std::string> words{browser,
                                   "--headless",
                                   "--disable-gpu",
                                   "--no-first-run",
                                   "--disable-background-networking",
                                   "--disable-component-update",
                                   "--disable-sync",
                                   "--no-pdf-header-footer",
                                   "--user-data-dir=" + profile.path(),
                                   "--print-to-pdf=" + fs::absolute(pdf_path, ignored).string()};
    // Its sandbox refuses to run as root.
    if (geteuid() == 0) words.push_back("--no-sandbox");
    words.push_back("file://" + fs::absolute(html_path, ignored).string());
    run_silent(words);
    if (!fs::is_regular_file(pdf_path, ignored) || fs::file_size(pdf_path, ignored) == 0)
        throw Stop(Exit::host,
                   fmt::format("{}: {} did not print; the page is in {}", pdf_path, browser, html_path));
}

}  // namespace cornerbench::cli

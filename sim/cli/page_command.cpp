#include <algorithm>
#include <filesystem>
#include <memory>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/written_file.h"
#include "sim/files/installed_data.h"
#include "sim/page/link_run.h"
#include "sim/page/page_file.h"
#include "sim/report/number_words.h"

namespace cornerbench::cli {

namespace {

namespace fs = std::filesystem;

struct Asked {
    std::string out_path;
    std::vector<std::string> scales;
    std::string lessons;
    std::string link;
    bool force = false;
};

/// The folder of that name among the program's own files: beneath here, or where it is installed.
fs::path shipped(const std::string& name) {
    std::error_code error;
    for (const fs::path& place : {fs::path("configs"), files::installed_data()}) {
        if (fs::is_directory(place / name, error)) return place / name;
    }
    return {};
}

std::vector<std::string> files_in(const fs::path& folder) {
    std::vector<std::string> paths;
    std::error_code error;
    for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
        if (it->path().extension() == ".toml") paths.push_back(it->path().string());
    }
    std::sort(paths.begin(), paths.end());
    return paths;
}

/// One of that name is enough: lessons share their scales.
void add_scale(const files::ScaleFile& file, page::PageContent& content) {
    const std::string id = page::id_of(file.path);
    for (const page::PageScale& known : content.scales) {
        if (known.id == id) return;
    }
    content.scales.push_back({id, file});
}

page::PageContent content_or_stop(const Asked& asked) {
    page::PageContent content;
    const auto scales = asked.scales.empty() ? files_in(shipped("scales")) : asked.scales;
    for (const std::string& path : scales) add_scale(load_scale_or_stop(path), content);
    for (const std::string& path : files_in(shipped("vehicles")))
        content.vehicles.push_back(load_vehicle_or_stop(path, path));
    const fs::path lessons = asked.lessons.empty() ? shipped("lessons") : fs::path(asked.lessons);
    std::error_code error;
    if (!asked.lessons.empty() && !fs::is_directory(lessons, error))
        throw Stop(Exit::host, asked.lessons + ": is no folder of lessons");
    for (const std::string& path : files_in(lessons)) {
        const files::LessonFile lesson = load_lesson_or_stop(path);
        add_scale(lesson.scale, content);
        content.lessons.push_back({page::id_of(path), page::id_of(lesson.scale.path), lesson});
    }
    if (content.scales.empty())
        throw Stop(
            Exit::wrong_usage,
            "there is no scale to put on the page: give --scale FILE, or run this where configs/ lies");
    return content;
}

Exit write_page(const Asked& asked, Session& session) {
    if (!page::has_module())
        throw Stop(
            Exit::host, "this program was built without the page's WebAssembly module",
            "With the repository: '.ci/packages page && cmake --workflow --preset page' installs clang 16 "
            "with its WebAssembly libraries and builds both.");
    if (!asked.force) spare_or_stop(asked.out_path);
    const page::PageContent content = content_or_stop(asked);
    const std::string html = page::page_html(content);
    write_or_stop(asked.out_path, html);
    if (session.json) {
        report::Json document = report::json_document();
        document["file"] = asked.out_path;
        document["bytes"] = html.size();
        document["scales"] = content.scales.size();
        document["lessons"] = content.lessons.size();
        report::print_json(session.out, document);
        return Exit::done;
    }
    session.out << fmt::format("{}: a bench with {} scales and {} lessons, {} kB; open it in a browser\n",
                               asked.out_path, content.scales.size(), content.lessons.size(),
                               (html.size() + 500) / 1000);
    return Exit::done;
}

std::string counted(std::size_t count, const std::string& what) {
    return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

Exit replay_link(const Asked& asked, Session& session) {
    const page::ReadLink read = page::read_link(asked.link);
    if (!read.link) throw Stop(Exit::wrong_usage, "--replay: " + read.error);
    const page::LinkRun run = page::run_link(*read.link, content_or_stop(asked));
    if (!run.bench) throw Stop(Exit::wrong_usage, "--replay: " + run.error);
    const bool same = !read.link->hash || *read.link->hash == run.bench->state_hash();
    const std::string hash = fmt::format("{:016x}", run.bench->state_hash());
    if (session.json) {
        report::Json document = report::json_document();
        document["scale"] = run.scale;
        document["frames"] = run.bench->frames();
        document["deeds"] = read.link->deeds.size();
        document["refused"] = run.refused;
        document["readings"] = run.bench->readings().size();
        document["hash"] = hash;
        document["same_as_page"] = read.link->hash ? report::Json(same) : report::Json(nullptr);
        report::print_json(session.out, document);
    } else {
        session.out << fmt::format(
            "{}: {} in {:.2f} s, {}{}; state {}{}\n", run.scale, counted(read.link->deeds.size(), "deed"),
            run.bench->time_s(), counted(run.bench->readings().size(), "reading"),
            run.refused > 0 ? ", " + counted(run.refused, "deed") + " refused" : "", hash,
            !read.link->hash ? ""
            : same           ? ", as on the page"
                             : fmt::format(", on the page {:016x}", *read.link->hash));
    }
    return same && run.refused == 0 ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_page(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("page", "The bench as one HTML page that needs no network");
    auto* out = command->add_option("out", asked->out_path, "File to write the page into");
    command->add_option("--scale", asked->scales,
                        "Scale file (TOML); again for more; default: those shipped");
    command->add_option("--lessons", asked->lessons, "Folder of lessons (TOML); default: the course shipped");
    auto* link = command->add_option("--replay", asked->link,
                                     "Address of a page, or what stands behind its #: do the same here, and\n"
                                     "compare the state; 1 where it differs or a deed was refused");
    out->excludes(link);
    add_force(*command, asked->force);
    command->footer(
        "A page in the browser: drag weights over the deck, drive a truck, put in\n"
        "faults, measure at the terminals, diagnose. Its address holds all of it.\n"
        "Example:\n"
        "  cornerbench page build/bench.html");
    command->callback([asked, &session] {
        if (asked->out_path.empty() && asked->link.empty())
            throw CLI::RequiredError("a file to write the page into, or --replay");
        session.action = [asked, &session] {
            return asked->link.empty() ? write_page(*asked, session) : replay_link(*asked, session);
        };
    });
}

}  // namespace cornerbench::cli

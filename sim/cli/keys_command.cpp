#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/files/cell_standard_file.h"
#include "sim/files/lesson_file.h"
#include "sim/files/minutes_file.h"
#include "sim/files/priors_file.h"
#include "sim/files/scale_keys.h"
#include "sim/files/session_file.h"
#include "sim/files/sheet_keys.h"
#include "sim/files/standard_keys.h"
#include "sim/files/test_sheet.h"
#include "sim/files/tolerances_file.h"
#include "sim/files/vehicle_file.h"

namespace cornerbench::cli {

namespace {

const std::vector<std::string> kinds{"scale",         "sheet",      "vehicle",   "priors",
                                     "session",       "minutes",    "lesson",    "standard",
                                     "cell-standard", "test-sheet", "tolerances"};

std::string text_of(const std::string& file) {
    if (file == "scale") return files::scale_keys_text();
    if (file == "sheet") return files::sheet_keys_text();
    if (file == "session") return files::session_keys_text();
    if (file == "minutes") return files::minutes_keys_text();
    if (file == "lesson") return files::lesson_keys_text();
    if (file == "standard") return files::standard_keys_text();
    if (file == "cell-standard") return files::cell_standard_keys_text();
    if (file == "test-sheet") return files::test_sheet_keys_text();
    if (file == "tolerances") return files::tolerances_keys_text();
    return file == "vehicle" ? files::vehicle_keys_text() : files::priors_keys_text();
}

const std::vector<files::PlainKey>& plain_keys_of(const std::string& file) {
    if (file == "session") return files::session_keys();
    if (file == "minutes") return files::minutes_keys();
    if (file == "lesson") return files::lesson_keys();
    if (file == "standard") return files::standard_keys();
    if (file == "cell-standard") return files::cell_standard_keys();
    if (file == "test-sheet") return files::test_sheet_keys();
    if (file == "tolerances") return files::tolerances_keys();
    return file == "vehicle" ? files::vehicle_keys() : files::priors_keys();
}

Exit show(const std::string& file, Session& session) {
    const std::string text = text_of(file);
    if (!session.json) {
        session.out << text;
        return Exit::done;
    }
    report::Json document = report::json_document();
    document["file"] = file;
    document["keys"] = report::Json::array();
    if (file == "scale") {
        for (const files::ScaleKey& key : files::scale_keys()) {
            document["keys"].push_back({{"table", key.table},
                                        {"name", key.name},
                                        {"valid", files::valid_text(key)},
                                        {"default", files::default_text(key)},
                                        {"meaning", files::meaning_text(key)}});
        }
    } else if (file == "sheet") {
        for (const files::SheetKey& key : files::sheet_keys()) {
            document["keys"].push_back({{"table", key.table}, {"name", key.name}, {"meaning", key.meaning}});
        }
    } else {
        for (const files::PlainKey& key : plain_keys_of(file)) {
            document["keys"].push_back({{"table", key.table}, {"name", key.name}, {"meaning", key.meaning}});
        }
    }
    report::print_json(session.out, document);
    return Exit::done;
}

}  // namespace

void add_keys(CLI::App& app, Session& session) {
    auto file = std::make_shared<std::string>();
    CLI::App* command = app.add_subcommand("keys", "What may stand in a file of the program");
    command->add_option("file", *file, "Kind of file: " + fmt::format("{}", fmt::join(kinds, ", ")))
        ->required()
        ->check(CLI::IsMember(kinds).description(""));
    command->footer("Example:\n  cornerbench keys sheet");
    command->callback(
        [file, &session] { session.action = [file, &session] { return show(*file, session); }; });
}

}  // namespace cornerbench::cli

#pragma once

#include <initializer_list>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "sim/cli/application.h"

/// The program run inside the test, with its output caught.
namespace cornerbench::cli {

struct Answer {
    int code = 0;
    std::string out;
    std::string err;

    nlohmann::json json() const { return nlohmann::json::parse(out); }
    bool says(const std::string& part) const { return out.find(part) != std::string::npos; }
    bool complains(const std::string& part) const { return err.find(part) != std::string::npos; }
};

inline Answer ask(std::vector<std::string> words, bool terminal = false, const std::string& typed = "") {
    words.insert(words.begin(), "cornerbench");
    std::vector<const char*> arguments;
    for (const std::string& word : words) arguments.push_back(word.c_str());
    std::ostringstream out;
    std::ostringstream err;
    std::istringstream in(typed);
    Session session(out, err, in);
    session.out_is_terminal = terminal;
    Answer answer;
    answer.code = run(static_cast<int>(arguments.size()), arguments.data(), session);
    answer.out = out.str();
    answer.err = err.str();
    return answer;
}

inline std::string config(const std::string& path) {
    return std::string(CORNERBENCH_SOURCE_DIR) + "/configs/" + path;
}

}  // namespace cornerbench::cli

#pragma once

#include <algorithm>
#include <array>
#include <cctype>
#include <string>
#include <string_view>
#include <vector>

/// Who may include whom, as functions of made-up or real file names and texts. Paths are written from the
/// root of the repository, with '/'.
namespace cornerbench::architecture {

/// The core's parts, lowest first: a part includes itself and what stands before it.
inline constexpr std::array<std::string_view, 10> parts{"numbers",  "scale",    "mechanics", "circuit",
                                                        "weighing", "watch",    "diagnosis", "storage",
                                                        "console",  "indicator"};

/// The same of the host's. Files and what technicians do know each other and stand on one step, "field".
inline constexpr std::array<std::string_view, 14> host_parts{
    "field",  "netlist",       "sweep",    "faults", "world", "virtual_scale", "bad_days",
    "spread", "commissioning", "training", "report", "live",  "page",          "cli"};

/// Standard headers that neither allocate nor need an operating system. What they offer beyond that (printing
/// a double, `optional::value`) is caught where it shows, in the symbols of the built core.
inline constexpr std::array<std::string_view, 22> core_headers{
    "algorithm", "array",       "bit",      "climits",     "cmath",   "compare", "concepts", "cstddef",
    "cstdint",   "cstring",     "iterator", "limits",      "new",     "numbers", "numeric",  "optional",
    "span",      "string_view", "tuple",    "type_traits", "utility", "variant"};

inline constexpr std::array<std::string_view, 4> code_folders{"firmware", "hal", "sim", "tests"};

/// Words that say nothing about what a file holds.
inline constexpr std::array<std::string_view, 9> empty_words{
    "util", "utils", "utility", "helper", "helpers", "common", "manager", "misc", "stuff"};

struct Include {
    int line = 0;
    std::string target;
    bool angled = false;  ///< <target> rather than "target"
};

inline bool is_among(std::string_view word, const auto& list) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

/// "firmware" of "firmware/scale/units.h"; the whole name when there is no folder.
inline std::string_view first_folder(std::string_view path) {
    return path.substr(0, path.find('/'));
}

/// A port stands directly in hal/; what stands in a folder below it implements one.
inline bool is_port(std::string_view path) {
    return path.starts_with("hal/") && path.find('/', 4) == std::string_view::npos && path.ends_with(".h");
}

/// "scale" of "firmware/scale/units.h", "indicator" of "firmware/indicator.cpp".
inline std::string_view part_of(std::string_view path) {
    const std::string_view below = path.substr(path.find('/') + 1);
    return below.substr(0, below.find_first_of("/."));
}

/// Every include directive of a file's text; a target that is a macro comes back as it is written.
inline std::vector<Include> includes_of(std::string_view text) {
    std::vector<Include> found;
    int line_number = 0;
    while (!text.empty()) {
        ++line_number;
        std::string_view line = text.substr(0, text.find('\n'));
        text.remove_prefix(std::min(text.size(), line.size() + 1));
        const auto skip_blanks = [&line] {
            line.remove_prefix(std::min(line.find_first_not_of(" \t"), line.size()));
        };
        skip_blanks();
        if (!line.starts_with('#')) continue;
        line.remove_prefix(1);
        skip_blanks();
        if (!line.starts_with("include")) continue;
        line.remove_prefix(7);
        skip_blanks();
        const bool angled = line.starts_with('<');
        if (angled || line.starts_with('"')) {
            line.remove_prefix(1);
            line = line.substr(0, line.find(angled ? '>' : '"'));
        }
        found.push_back({line_number, std::string(line), angled});
    }
    return found;
}

/// Why a part may not include another one; empty when it may.
inline std::string order_objection(std::string_view part, std::string_view included, const auto& order) {
    const auto own = std::find(order.begin(), order.end(), part);
    const auto other = std::find(order.begin(), order.end(), included);
    if (own == order.end() || other == order.end())
        return std::string(own == order.end() ? part : included) + " has no place in the order of the parts";
    if (other > own)
        return std::string(*own) + " stands below " + std::string(*other) + " and may not know it";
    return {};
}

/// Why `file` may not include `include`; empty when it may.
inline std::string objection(std::string_view file, const Include& include) {
    const std::string_view target = include.target;
    const std::string_view from = first_folder(file);
    const std::string_view to = first_folder(target);
    const bool in_core = from == "firmware";

    if (include.angled) {
        if (target.find('/') != std::string_view::npos && is_among(to, code_folders))
            return "the project's own headers are included with quotes";
        if ((in_core || is_port(file)) && !is_among(target, core_headers))
            return "not on the list of headers that do without heap and operating system";
        return {};
    }

    if (!is_among(to, code_folders) || target.find("..") != std::string_view::npos ||
        target.find("/./") != std::string_view::npos)
        return "not written from the root of the repository";
    if (to == "tests" && from != "tests") return "only tests include tests/";
    if (to == "sim" && from != "sim" && from != "tests") return "only sim/ and tests/ include sim/";
    if (is_port(file) && !is_port(target)) return "a port includes nothing of the project but other ports";
    if (from == "sim" && to == "sim") {
        const auto step = [](std::string_view path) {
            return part_of(path) == "files" ? std::string_view("field") : part_of(path);
        };
        return order_objection(step(file), step(target), host_parts);
    }
    if (!in_core) return {};

    if (to == "hal")
        return is_port(target) ? std::string{} : "the core knows a port, never an implementation of it";
    return order_objection(part_of(file), part_of(target), parts);
}

/// Why a file or folder may not have this name; empty when it may. Words end at a sign or before a capital.
inline std::string name_objection(std::string_view path) {
    std::string word;
    for (const char sign : std::string(path) + "/") {
        const auto c = static_cast<unsigned char>(sign);
        const bool goes_on = std::isalnum(c) != 0 && std::isupper(c) == 0;
        if (!goes_on) {
            if (is_among(word, empty_words)) return "'" + word + "' does not say what it holds";
            word.clear();
        }
        if (std::isalnum(c) != 0) word += static_cast<char>(std::tolower(c));
    }
    return {};
}

}  // namespace cornerbench::architecture

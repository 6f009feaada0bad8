#include "sim/files/load_words.h"

#include <algorithm>
#include <cctype>

#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

bool is_key_sign(char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_';
}

/// True when at `at` a key with its equals sign begins.
bool key_begins(const std::string& text, std::size_t at) {
    std::size_t end = at;
    while (end < text.size() && is_key_sign(text[end])) ++end;
    if (end == at) return false;
    while (end < text.size() && text[end] == ' ') ++end;
    return end < text.size() && text[end] == '=';
}

/// `mass=1 over=3` in braces, with the commas that TOML wants. A vehicle's bare name gets its quotes.
std::string in_braces(const std::string& words) {
    std::string out = "{ ";
    bool quoted = false;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (words[i] == '"') quoted = !quoted;
        const bool fresh = i > 0 && words[i - 1] == ' ' && !quoted && key_begins(words, i);
        const std::size_t last = out.find_last_not_of(' ');
        if (fresh && last != std::string::npos && out[last] != ',' && out[last] != '{')
            out.insert(last + 1, ",");
        out += words[i];
    }
    for (const std::string key : {"vehicle", "heading"}) {
        const std::size_t at = out.find(key + "=");
        const std::size_t begin = at + key.size() + 1;
        if (at == std::string::npos || begin >= out.size() || out[begin] == '"' || out[begin] == '\'')
            continue;
        const std::size_t end = std::min(out.find_first_of(", ", begin), out.size());
        out.insert(end, "\"");
        out.insert(begin, "\"");
    }
    return out + " }";
}

std::string toml_of(const std::string& words) {
    const std::size_t begin = words.find_first_not_of(' ');
    if (begin == std::string::npos) return "\"\"";
    if (words[begin] == '{') return words;
    return words.find('=') == std::string::npos ? words : in_braces(words.substr(begin));
}

}  // namespace

Loaded<PlacedLoad> read_load_words(const std::vector<std::string>& words, const ScaleFile& scale,
                                   const SheetSources& sources) {
    Findings findings("--load");
    PlacedLoad placed;
    placed.text = "empty";
    std::string list;
    for (const std::string& each : words)
        if (each != "empty") list += (list.empty() ? "" : ", ") + toml_of(each);
    if (list.empty()) return findings.result(std::move(placed));
    if (const auto root = parse_text("load = [" + list + "]\n", findings)) {
        const TableView view(*root, "", Spot{}, findings);
        if (auto read = read_load(view, "load", &scale, sources)) placed = std::move(*read);
    }
    return findings.result(std::move(placed));
}

}  // namespace cornerbench::files

#include "sim/files/key_text.h"

namespace cornerbench::files {

std::string wrapped(const std::string& text, std::size_t first, std::size_t rest) {
    std::string out;
    std::string line(first, ' ');
    bool line_has_word = false;
    std::size_t at = 0;
    while (at < text.size()) {
        std::size_t end = text.find(' ', at);
        if (end == std::string::npos) end = text.size();
        const std::string word = text.substr(at, end - at);
        if (line_has_word && line.size() + 1 + word.size() > key_text_columns) {
            out += line + "\n";
            line.assign(rest, ' ');
            line_has_word = false;
        }
        line += (line_has_word ? " " : "") + word;
        line_has_word = true;
        at = end + 1;
    }
    return out + line + "\n";
}

std::vector<std::string_view> names_of(const std::vector<PlainKey>& keys, std::string_view table) {
    std::vector<std::string_view> names;
    for (const PlainKey& key : keys) {
        if (key.table == table) names.push_back(key.name);
    }
    return names;
}

std::string entries_of(const std::vector<PlainKey>& keys, std::string_view table) {
    std::string out;
    for (const PlainKey& key : keys) {
        if (key.table == table) out += wrapped_key(std::string(key.name) + ": " + key.meaning);
    }
    return out;
}

std::string titled_entries(const std::vector<PlainKey>& keys, std::span<const TableTitle> titles) {
    std::string text = "At the top of the file\n" + entries_of(keys, "");
    for (const TableTitle& each : titles)
        text += "\n" + std::string(each.title) + "\n" + entries_of(keys, each.table);
    return text;
}

}  // namespace cornerbench::files

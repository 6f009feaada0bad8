#include "sim/page/link.h"

#include <charconv>
#include <cmath>

#include "sim/page/bench.h"
#include "sim/training/drill_level.h"

namespace cornerbench::page {

namespace {

/// Cuts what stands before `mark` off `text`; all of it where there is none.
std::string_view cut(std::string_view& text, char mark) {
    const std::size_t at = text.find(mark);
    const std::string_view piece = text.substr(0, at);
    text = at == std::string_view::npos ? std::string_view() : text.substr(at + 1);
    return piece;
}

template <class Number>
bool read_whole(std::string_view text, Number& number, int base = 10) {
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number, base);
    return problem == std::errc() && end == text.data() + text.size();
}

bool read_double(std::string_view text, double& number) {
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
    return problem == std::errc() && end == text.data() + text.size() && std::isfinite(number);
}

std::string read_deed(std::string_view text, std::int64_t earliest, Deed& deed) {
    const std::string words(text.substr(0, 80));
    if (!read_whole(cut(text, ','), deed.frame) || deed.frame < earliest || deed.frame > longest_run_frames)
        return "'" + words + "' has no frame, or one before the deed ahead of it";
    const std::string_view word = cut(text, ',');
    for (const DeedForm& form : deed_forms) {
        if (word != form.word) continue;
        deed.kind = form.kind;
        int count = 0;
        while (!text.empty()) {
            if (count == max_deed_numbers ||
                !read_double(cut(text, ','), deed.number[static_cast<std::size_t>(count++)]))
                return "'" + words + "' has a number that is none, or too many";
        }
        return count >= form.numbers ? ""
                                     : "'" + words + "' has too few numbers: " + std::string(form.meaning);
    }
    std::string known;
    for (const DeedForm& form : deed_forms) known += (known.empty() ? "" : ", ") + std::string(form.word);
    return "'" + words + "' is no deed; there are " + known;
}

}  // namespace

ReadLink read_link(std::string_view text) {
    if (const std::size_t mark = text.find('#'); mark != std::string_view::npos) text = text.substr(mark + 1);
    Link link;
    while (!text.empty()) {
        std::string_view value = cut(text, '&');
        const std::string_view key = cut(value, '=');
        bool well = true;
        if (key == "scale") {
            link.scale = value;
        } else if (key == "lesson") {
            link.lesson = value;
        } else if (key == "seed") {
            well = read_whole(value, link.seed) && link.seed <= 0xffffffffU;
        } else if (key == "drill") {
            well = read_whole(value, link.drill) && link.drill >= 0 && link.drill <= training::level_count;
        } else if (key == "until") {
            well = read_whole(value, link.until) && link.until >= 0 && link.until <= longest_run_frames;
        } else if (key == "hash") {
            link.hash = 0;
            well = read_whole(value, *link.hash, 16);
        } else if (key == "deeds") {
            std::int64_t earliest = 0;
            while (!value.empty()) {
                Deed deed;
                if (const std::string error = read_deed(cut(value, ';'), earliest, deed); !error.empty())
                    return {std::nullopt, error};
                earliest = deed.frame;
                link.deeds.push_back(deed);
            }
        }
        if (!well)
            return {std::nullopt,
                    std::string(key) + "=" + std::string(value.substr(0, 40)) + " is no such number"};
    }
    if (link.scale.empty() && link.lesson.empty())
        return {std::nullopt,
                "it names neither a scale nor a lesson: must be what a page's address has behind its #"};
    return {link, ""};
}

}  // namespace cornerbench::page

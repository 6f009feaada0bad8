#include "sim/cli/swept_parameter.h"

#include <sstream>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/loading.h"
#include "sim/field/fault_words.h"
#include "sim/files/numeric_key.h"
#include "sim/files/toml_text.h"

namespace cornerbench::cli {

namespace {

std::string first_word(const std::string& words) {
    return words.substr(0, words.find(' '));
}

std::string value_words(double value) {
    return fmt::format("{:.12g}", value);
}

/// Unit of a cause's size by the size's name; empty where it is a plain number.
std::string unit_of_size(const std::string& name) {
    if (name == "ratio" || name == "share") return "";
    if (name == "limit_kN") return "kN";
    if (name == "kN_per_mm") return "kN/mm";
    return name == "mV_per_V" ? "mV/V" : name;
}

}  // namespace

SweptParameter::SweptParameter(const std::string& words, const std::string& scale_path)
    : scale_(load_scale_or_stop(scale_path)), name_(words) {
    files::Findings findings(scale_path);
    text_ = files::read_text(scale_path, findings).value_or("");
    const bool key_like = words.find(' ') == std::string::npos && words.find('=') == std::string::npos &&
                          !field::find_cause(words);
    key_like ? take_key(words) : take_cause(words);
}

void SweptParameter::take_key(const std::string& words) {
    const auto key = files::find_numeric_key(words);
    if (!key) {
        const std::string near = files::nearest_numeric_key(words);
        throw Stop(
            Exit::wrong_usage,
            fmt::format("{}: is no number of a scale file{}; valid: a key of 'cornerbench keys scale', "
                        "such as home_run.length_m, cell.capacity or cell.3.trim_at, or a cause, as in "
                        "\"loose-terminal cell=5 wire=S+ ohm\"",
                        words, near.empty() ? "" : "; " + near));
    }
    const int cells = scale_.description.cell_count();
    const int sections = scale_.description.deck.sections;
    if (key->cell > cells || key->element > sections)
        throw Stop(Exit::wrong_usage,
                   fmt::format("{}: this scale has {} cells on {} section lines", words, cells, sections));
    if (key->key->in_time_only)
        spdlog::warn("{} works only where time passes: a scale that stands still leaves it out", words);
    if (words.find("tolerance") != std::string::npos)
        spdlog::warn("{} changes no scale: 'cornerbench spread' shows what tolerances do", words);
    unit_ = key->unit(scale_.description.unit);
}

void SweptParameter::take_cause(const std::string& words) {
    const std::string name = first_word(words);
    const auto cause = field::find_cause(name);
    if (!cause)
        throw Stop(Exit::wrong_usage,
                   fmt::format("{}: no cause is called '{}'; {}", words, name, field::nearest_cause(name)));
    for (std::istringstream rest(words.substr(name.size())); !rest.eof();) {
        std::string word;
        rest >> word >> std::ws;
        if (!rest.eof() && word.find('=') == std::string::npos)
            throw Stop(Exit::wrong_usage,
                       fmt::format("{}: '{}' has no value; what is swept stands last", words, word));
    }
    cause_ = words;
    const std::size_t blank = words.find_last_of(' ');
    const std::string last = blank == std::string::npos ? "" : words.substr(blank + 1);
    if (!last.empty() && last.find('=') == std::string::npos) {
        cause_ = words.substr(0, blank);
        cause_key_ = last;
    } else {
        const scale::Description& d = scale_.description;
        if (!scale::possible(d, *cause))
            throw Stop(Exit::wrong_usage, fmt::format("{}: this scale cannot have {}: {}", words, name,
                                                      field::why_impossible(d, *cause)));
        const scale::Magnitudes sizes = scale::magnitudes_of(d, *cause, scale::site_at(d, *cause, 0));
        std::string names;
        for (int i = 0; i < sizes.count; ++i) {
            const std::string size = sizes.of[static_cast<unsigned>(i)].name;
            if (words.find(" " + size + "=") != std::string::npos) continue;
            cause_key_ = size;
            names += (names.empty() ? "" : " or ") + size;
        }
        if (sizes.count == 0)
            throw Stop(Exit::wrong_usage, fmt::format("{}: {} has no size to sweep", words, name));
        if (names != cause_key_ || names.empty())
            throw Stop(Exit::wrong_usage,
                       names.empty() ? words + ": leave the value away that is to be swept, as in \"... ohm\""
                                     : fmt::format("{}: end with what is to be swept: {}", words, names));
        name_ = words + " " + cause_key_;
    }
    unit_ = unit_of_size(cause_key_);
}

sweep::Scene SweptParameter::at(double value, const std::vector<std::string>& others) const {
    sweep::Scene scene{scale_, {}};
    if (cause_.empty()) {
        const auto changed =
            files::parse_scale_with(text_, scale_.path, *files::find_numeric_key(name_), value);
        if (!changed) {
            const files::FileError& first = changed.errors.front();
            throw Stop(Exit::wrong_usage,
                       fmt::format("{} = {}: {}{}", name_, value_words(value),
                                   first.spot.key.empty() ? "" : first.spot.key + ": ", first.message));
        }
        scene.scale = *changed.value;
        scene.faults = faults_or_stop(others, scene.scale.description);
        return scene;
    }
    const std::string words = cause_ + " " + cause_key_ + "=" + value_words(value);
    const field::ReadFault read = field::read_fault(words, scale_.description);
    if (!read.fault) throw Stop(Exit::wrong_usage, words + ": " + read.error);
    scene.faults = faults_or_stop(others, scale_.description);
    scene.faults.push_back(*read.fault);
    return scene;
}

}  // namespace cornerbench::cli

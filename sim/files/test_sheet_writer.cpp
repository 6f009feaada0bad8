#include <spdlog/fmt/fmt.h>

#include "sim/files/mass_unit.h"
#include "sim/files/range.h"
#include "sim/files/shown_words.h"
#include "sim/files/test_sheet.h"

namespace cornerbench::files {

namespace {

std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        if (static_cast<unsigned char>(c) >= 0x20) out += c;
    }
    return out + "\"";
}

/// A reading, or "" for one that is still to be taken.
std::string value_text(const std::optional<double>& kg, double unit_kg) {
    return kg ? number_text(*kg / unit_kg + 0.0) : "\"\"";
}

void write_line(const TestLine& line, const std::string& remark, double unit_kg, std::string& out) {
    out += fmt::format("\n[[line]]{}\n", remark.empty() ? "" : "  # " + remark);
    out += fmt::format("test = {}\n", quoted(std::string(test_words[static_cast<unsigned>(line.test)])));
    out += fmt::format("place = {}\n", quoted(place_text(line.place)));
    if (line.load_kg > 0.0) out += fmt::format("load = {}\n", number_text(line.load_kg / unit_kg));
    if (line.substitute_kg > 0.0)
        out += fmt::format("substitute = {}\n", number_text(line.substitute_kg / unit_kg));
    if (line.decreasing) out += "direction = \"decreasing\"\n";
    if (line.shown != diagnosis::Shown::value) {
        out += fmt::format("shown = \"{}\"\n", word_of(line.shown));
    } else {
        out += fmt::format("indication = {}\n", value_text(line.indication_kg, unit_kg));
        if (line.test == TestKind::discrimination) {
            out += fmt::format("after = {}\n", value_text(line.after_kg, unit_kg));
        } else {
            out += fmt::format("added = {}\n", value_text(line.added_kg, unit_kg));
        }
    }
    if (!line.note.empty()) out += fmt::format("note = {}\n", quoted(line.note));
}

}  // namespace

std::string test_sheet_text(const TestSheet& sheet, const std::string& head, const LineRemark& remarks) {
    const double unit_kg = scale::kilograms_in(sheet.scale.description.unit);
    std::string out;
    std::string_view comment = head;
    while (!comment.empty()) {
        const std::string_view line = comment.substr(0, comment.find('\n'));
        comment.remove_prefix(std::min(comment.size(), line.size() + 1));
        out += line.empty() ? "#\n" : fmt::format("# {}\n", line);
    }
    out += fmt::format("scale = {}\n", quoted(sheet.scale_path));
    if (!sheet.standard.empty()) out += fmt::format("standard = {}\n", quoted(sheet.standard));
    out += fmt::format("stage = \"{}\"\n", sheet.stage == Stage::verification ? "verification" : "service");
    out += fmt::format("date = {}\n", quoted(sheet.date));
    if (sheet.simulated)
        out += "simulated = true                   # made up by a program, read on no scale\n";
    out += fmt::format("site = {}\n", quoted(sheet.site));
    out += fmt::format("by = {}\n", quoted(sheet.by));
    out += fmt::format("serial = {}\n", quoted(sheet.serial));
    out += fmt::format("temperature_C = {}\n", value_text(sheet.temperature_C, 1.0));
    out += fmt::format("weights_certificate = {}\n", quoted(sheet.weights_certificate));
    out += fmt::format("weights = {}\n", number_text(sheet.weights_kg / unit_kg));
    const TestUncertainties& u = sheet.uncertainties;
    out += fmt::format(
        "\n[uncertainty]\ntest_weights_percent = {}\nrepeatability_d = {}\nplacing_m = {}\nadded_step_d = "
        "{}\n",
        number_text(100.0 * u.weights), number_text(u.repeatability_divisions), number_text(u.placing_m),
        number_text(u.added_step_divisions));
    for (const TrimDone& trim : sheet.trims) {
        out += fmt::format("\n[[trim]]\nsupport = {}\nfrom = {}\nto = {}\n", trim.support + 1,
                           number_text(trim.from), number_text(trim.to));
        if (!trim.note.empty()) out += fmt::format("note = {}\n", quoted(trim.note));
    }
    for (std::size_t i = 0; i < sheet.lines.size(); ++i)
        write_line(sheet.lines[i], i < remarks.size() ? remarks[i] : "", unit_kg, out);
    return out;
}

}  // namespace cornerbench::files

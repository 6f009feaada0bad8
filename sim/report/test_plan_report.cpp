#include "sim/report/test_plan_report.h"

#include <spdlog/fmt/fmt.h>

#include "sim/report/number_words.h"
#include "sim/report/table.h"
#include "sim/report/test_cautions.h"

namespace cornerbench::report {

void print_test_plan(std::ostream& out, const TestPlanPage& page, const Style& style) {
    const MassWords mass(page.scale.description);
    const files::TestSheet& sheet = page.plan.sheet;
    const files::StageRule& stage = page.standard.stage(sheet.stage);
    out << style(Tone::strong, page.scale.name) << ": Max " << mass.max_words() << ", d "
        << mass.division_words() << ", " << page.scale.description.cell_count() << " supports\n";
    print_wrapped(out, fmt::format("Tests by {} class {}, {} ({}), with {} of test weights.",
                                   page.standard.name, page.scale.accuracy_class, stage.word,
                                   page.standard.edition, mass.with_unit(sheet.weights_kg)));
    for (const std::string& remark : page.plan.remarks) print_wrapped(out, "Mind: " + remark + ".");
    out << '\n';
    Table table;
    table.column("line", Align::right)
        .column("test")
        .column("place")
        .column("load " + mass.unit(), Align::right)
        .column("of it substitute", Align::right)
        .column("asked");
    for (std::size_t i = 0; i < sheet.lines.size(); ++i) {
        const files::TestLine& line = sheet.lines[i];
        std::string test(files::test_words[static_cast<unsigned>(line.test)]);
        if (line.decreasing) test += ", decreasing";
        table.row({{std::to_string(i + 1)},
                   {test},
                   {files::place_text(line.place)},
                   {line.load_kg > 0.0 ? mass.number(line.load_kg) : ""},
                   {line.substitute_kg > 0.0 ? mass.number(line.substitute_kg) : ""},
                   {page.plan.limits[i]}});
    }
    table.print(out, style);
    print_wrapped(out,
                  fmt::format("{} moves of the weights. Zero is set at every line \"zero\"; beside every "
                              "weight small weights of a tenth of a division are added until the display "
                              "goes up, and written down as added.",
                              page.plan.moves),
                  2);
    if (!page.plan.how.empty()) out << "\nHow\n";
    for (const std::string& each : page.plan.how) print_wrapped(out, each + ".", 2);
    if (!page.written_to.empty())
        out << '\n'
            << (page.filled ? "SIMULATED readings, of no real scale, in " : "To fill: ") << page.written_to
            << '\n';
    out << "\nMind\n";
    for (const std::string_view caution : test_cautions) print_wrapped(out, caution, 2);
}

Json test_plan_json(const TestPlanPage& page) {
    const MassWords mass(page.scale.description);
    const files::TestSheet& sheet = page.plan.sheet;
    Json document = json_document();
    document["scale"] = page.scale.name;
    document["standard"] = page.standard.name;
    document["class"] = page.scale.accuracy_class;
    document["stage"] = page.standard.stage(sheet.stage).word;
    document["unit"] = mass.unit();
    document["weights"] = mass.in_unit(sheet.weights_kg);
    document["simulated"] = page.filled;
    document["weights_suffice"] = page.plan.weights_suffice;
    document["moves"] = page.plan.moves;
    document["remarks"] = page.plan.remarks;
    document["how"] = page.plan.how;
    document["written_to"] = page.written_to.empty() ? Json(nullptr) : Json(page.written_to);
    document["lines"] = Json::array();
    for (std::size_t i = 0; i < sheet.lines.size(); ++i) {
        const files::TestLine& line = sheet.lines[i];
        document["lines"].push_back(
            {{"test", std::string(files::test_words[static_cast<unsigned>(line.test)])},
             {"place", files::place_text(line.place)},
             {"load", mass.in_unit(line.load_kg)},
             {"substitute", mass.in_unit(line.substitute_kg)},
             {"direction", line.decreasing ? "decreasing" : "increasing"},
             {"asked", page.plan.limits[i].empty() ? Json(nullptr) : Json(page.plan.limits[i])}});
    }
    return document;
}

}  // namespace cornerbench::report

#include "sim/report/record_page.h"

#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/finding_words.h"
#include "sim/report/number_words.h"
#include "sim/report/record_words.h"
#include "sim/report/simulated_words.h"
#include "sim/report/svg_text.h"
#include "sim/report/test_cautions.h"

namespace cornerbench::report {

using commissioning::Verdict;
using files::TestLine;

namespace {

constexpr double told_probability = 0.01;
constexpr std::size_t most_causes = 6;
constexpr std::size_t most_evidence = 8;
/// A table of so few rows stays on one page.
constexpr int most_short_rows = 20;

/// One column of a table.
struct Head {
    std::string words;
    bool number = false;
};

class Page {
  public:
    explicit Page(const RecordPage& page)
        : page_(page),
          d_(page.sheet.scale.description),
          mass_(d_, page.unit),
          display_(display_description()) {}

    std::string write() {
        out_ = fmt::format(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
            "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{}</title>\n"
            "<style>{}@page {{ size: {}; margin: 16mm 14mm; }}\n</style>\n</head>\n<body>\n<main>\n",
            svg_text("Test record: " + page_.sheet.scale.name), record_style,
            page_.paper == Paper::letter ? "letter" : "A4");
        head();
        drawing();
        clauses();
        plot();
        hysteresis();
        trims_done();
        causes();
        proposed_trims();
        lines();
        cautions();
        licensed();
        out_ += "</main>\n</body>\n</html>\n";
        return std::move(out_);
    }

  private:
    /// The scale in the unit of the reader, for words that others make.
    scale::Description display_description() const {
        scale::Description d = d_;
        d.unit = page_.unit;
        // Others give masses the places of the division: in another unit than the scale's that has to be a
        // round one.
        const double unit_kg = scale::kilograms_in(page_.unit);
        const double division = d.division_at_kg(0.0) / unit_kg;
        const double decade = std::pow(10.0, std::floor(std::log10(division) + 1.0e-9));
        if (std::fabs(division / decade - std::round(division / decade)) < 1.0e-6) return d;
        d.division_kg = unit_kg * decade;
        d.finer = {};
        return d;
    }

    void paragraph(const std::string& text) { out_ += "<p>" + svg_text(text) + "</p>\n"; }
    void heading(const char* text) { out_ += fmt::format("<h2>{}</h2>\n", text); }

    void term(const char* name, const std::string& value) {
        if (!value.empty()) out_ += fmt::format("<dt>{}</dt><dd>{}</dd>\n", name, svg_text(value));
    }

    void open_table(const char* caption, const std::vector<Head>& heads) {
        heads_ = heads;
        rows_ = 0;
        table_at_ = out_.size();
        out_ += fmt::format(
            "<div class=\"wide\" tabindex=\"0\" role=\"region\" "
            "aria-label=\"{0}\">\n<table>\n<caption>{0}</caption>\n"
            "<thead><tr>",
            svg_text(caption));
        for (const Head& head : heads)
            out_ += fmt::format("<th scope=\"col\"{}>{}</th>", head.number ? " class=\"n\"" : "",
                                svg_text(head.words));
        out_ += "</tr></thead>\n<tbody>\n";
    }

    void row(const std::vector<std::string>& cells, bool fails = false) {
        ++rows_;
        out_ += fails ? "<tr class=\"fails\">" : "<tr>";
        for (std::size_t i = 0; i < cells.size(); ++i) {
            const bool number = heads_[i].number;
            const char* tag = i == 0 ? "th" : "td";
            const char* scope = i == 0 ? " scope=\"row\"" : "";
            out_ += fmt::format("<{0}{1}{2}>{3}</{0}>", tag, scope, number ? " class=\"n\"" : "",
                                svg_text(cells[i]));
        }
        out_ += "</tr>\n";
    }

    void close_table() {
        out_ += "</tbody>\n</table>\n</div>\n";
        constexpr std::string_view opens = "<div class=\"wide";
        if (rows_ <= most_short_rows) out_.insert(table_at_ + opens.size(), " short");
    }

    static std::string verdict_words(Verdict verdict) {
        // A no-break space: the mark stays beside its word.
        return std::string(mark_of(verdict)) + "\u00a0" + commissioning::word_of(verdict);
    }

    static std::string or_not_noted(const std::string& text) { return text.empty() ? "not noted" : text; }

    /// What a trim's position counts.
    const char* trim_unit() const {
        if (d_.converter == scale::Converter::per_cell) return "gain";
        return d_.trim.turns > 0.0 ? "turns" : "ohm";
    }

    void head() {
        const files::TestSheet& sheet = page_.sheet;
        const files::StageRule& stage = page_.standard.stage(sheet.stage);
        out_ += "<h1>" + svg_text(sheet.scale.name) + "</h1>\n";
        paragraph("Record of the tests of a vehicle scale");
        const Verdict verdict = page_.survey.verdict();
        out_ += fmt::format("<p class=\"verdict\">{} All together: <strong>{}</strong>{}</p>\n",
                            mark_of(verdict), commissioning::word_of(verdict),
                            page_.survey.whole ? "" : "; the test is not whole, as the remarks say");
        if (sheet.simulated)
            out_ += "<p class=\"simulated\"><strong>" + svg_text(simulated_words) + "</strong></p>\n";
        out_ += "<dl>\n";
        term("Date", date_words(sheet.date));
        term("Site", sheet.site);
        term("Tested by", sheet.by);
        term("Scale", fmt::format("Max {}, division {} {}, {} supports", mass_.with_unit(d_.max_kg),
                                  figures(d_.division_kg / scale::kilograms_in(page_.unit), 6), mass_.unit(),
                                  d_.cell_count()));
        term("Serial number", or_not_noted(sheet.serial));
        term("Limits",
             fmt::format("{} class {}, {} ({}; {})", page_.standard.name, sheet.scale.accuracy_class,
                         stage.word, page_.standard.edition, stage.clause));
        term("Test weights", sheet.weights_kg > 0.0 ? mass_.with_unit(sheet.weights_kg) : "");
        term("Their certificate", or_not_noted(sheet.weights_certificate));
        term("Temperature",
             or_not_noted(sheet.temperature_C ? figures(*sheet.temperature_C, 3) + " \u00b0C" : ""));
        term("Sheet", sheet.path);
        term("Numbers",
             fmt::format("masses in {}; a blank sets thousands apart, a point the decimals; dates are "
                         "year-month-day",
                         mass_.unit()));
        out_ += "</dl>\n";
        for (const std::string& remark : page_.survey.remarks) paragraph("Mind: " + remark + ".");
    }

    /// On a narrow screen it scrolls rather than shrinks.
    void picture(const char* name, const std::string& svg) {
        out_ += fmt::format(
            "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{}\">\n{}</div>\n", name, svg);
    }

    void drawing() {
        heading("The deck and its corners");
        out_ += "<figure>\n";
        picture("Drawing of the deck", record_drawing(page_));
        out_ +=
            "<figcaption>Errors before rounding in " + svg_text(mass_.unit()) +
            ", from above; a filled support is outside its limit. \u2713 passes, \u2717 fails, ? uncertain."
            "</figcaption>\n</figure>\n";
    }

    void clauses() {
        heading("Verdict by clause");
        // The verdict stands where a narrow screen still shows it.
        std::vector<Head> heads{
            {"what"}, {"verdict"}, {"nearest its limit", true}, {"\u00b1U", true}, {"limit", true}};
        if (turns()) heads.push_back({"turns at", true});
        heads.push_back({"where"});
        heads.push_back({"clause"});
        open_table("Each clause with the number nearest its limit", heads);
        for (const commissioning::ClauseResult& clause : page_.survey.clauses) {
            const bool has = clause.worst && clause.worst->verdict != Verdict::not_done;
            std::vector<std::string> cells{clause.title, verdict_words(clause.verdict),
                                           has ? mass_.signed_number(clause.worst->value) : "",
                                           has ? mass_.number(clause.worst->uncertainty) : "",
                                           has ? mass_.number(clause.worst->limit) : ""};
            if (turns()) cells.push_back(has ? mass_.number(clause.worst->turns_at) : "");
            cells.push_back(clause.words);
            cells.push_back(clause.clause);
            row(cells, clause.verdict == Verdict::fails);
        }
        close_table();
        paragraph(
            fmt::format("In {}. Error: P = I + e/2 - dL less the load and less the error at zero (OIML R "
                        "76-1:2006, A.4.4.3). "
                        "\u00b1U: expanded uncertainty, k = 2, by the law of propagation (JCGM 100:2008), of "
                        "repeatability ({}, "
                        "standard deviation), small weights, test weights and places. Uncertain: where the "
                        "verdict turns lies within it.{}",
                        mass_.unit(), mass_.with_unit(page_.survey.repeatability_kg),
                        turns() ? " What is shown is judged: an error before rounding shows as more than the "
                                  "limit only from \"turns at\" on, half a division past the last whole one "
                                  "within it; of spreads, what was shown counts."
                                : ""));
    }

    /// Verdicts on errors before rounding turn past the limit.
    bool turns() const { return !page_.standard.before_rounding; }

    void plot() {
        const std::string svg = record_plot(page_);
        if (svg.empty()) return;
        heading("Error over load");
        out_ += "<figure>\n";
        picture("Plot of the errors", svg);
        out_ += "<figcaption>Going up and coming down, with the limits.</figcaption>\n</figure>\n";
    }

    void hysteresis() {
        if (page_.survey.hysteresis.empty()) return;
        open_table("Coming down less going up", {{"load", true}, {"difference", true}, {"\u00b1U", true}});
        for (const commissioning::Hysteresis& each : page_.survey.hysteresis)
            row({mass_.number(each.load_kg), mass_.signed_number(each.difference_kg),
                 mass_.number(each.uncertainty)});
        close_table();
    }

    void trims_done() {
        heading("Trims done");
        if (page_.sheet.trims.empty()) {
            paragraph("None is noted.");
            return;
        }
        const std::string from = std::string("from, ") + trim_unit();
        const std::string to = std::string("to, ") + trim_unit();
        open_table("Corners that were adjusted", {{"support"}, {from, true}, {to, true}, {"note"}});
        for (const files::TrimDone& trim : page_.sheet.trims)
            row({std::to_string(trim.support + 1), fmt::format("{:g}", trim.from),
                 fmt::format("{:g}", trim.to), trim.note});
        close_table();
    }

    void causes() {
        heading("Causes and their evidence");
        if (!page_.diagnosed || page_.diagnosed->candidates.empty()) {
            paragraph("No diagnosis: the sheet holds too few readings of corners.");
            return;
        }
        const auto& found = *page_.diagnosed;
        open_table("What the corner round makes likely",
                   {{"cause and place"}, {"probability", true}, {"size (90 % range)"}});
        std::size_t told = 0;
        for (const diagnosis::Candidate& each : found.candidates) {
            if (told == most_causes || (told > 0 && each.probability < told_probability)) break;
            std::string sizes;
            for (const std::string& words : magnitude_words(each.fault, each.estimate, display_))
                sizes += (sizes.empty() ? "" : ", ") + words;
            row({cause_words(each, display_), probability_words(each.probability), sizes});
            ++told;
        }
        close_table();
        evidence(found);
        if (!found.next.empty())
            paragraph(fmt::format("Read next: {} (about {} min).",
                                  check_words(found.next.front().reading, display_),
                                  figures(found.next.front().minutes, 2)));
        paragraph(
            "A probability is as good as the description of the scale; summed weights alone leave several "
            "causes "
            "alike. 'cornerbench diagnose' says more, and takes readings at the terminals.");
    }

    void evidence(const field::DiagnosedSheet& found) {
        const auto& rows = found.answer.rows;
        if (rows.empty() || found.if_healthy.rows.size() != rows.size()) return;
        std::vector<std::size_t> order(rows.size());
        for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
        const auto departs = [&](std::size_t i) {
            const diagnosis::Compared& row = found.if_healthy.rows[i];
            return row.uncertainty > 0.0 ? std::fabs(row.value - row.predicted) / row.uncertainty : 0.0;
        };
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return departs(a) > departs(b); });
        order.resize(std::min(order.size(), most_evidence));
        std::sort(order.begin(), order.end());
        const MassWords mass(display_);
        open_table("Readings that a sound scale explains least, beside what the first cause predicts",
                   {{"reading"}, {"read", true}, {"sound scale", true}, {"first cause", true}});
        for (const std::size_t i : order) {
            const diagnosis::Reading& reading =
                page_.readings.readings[static_cast<std::size_t>(rows[i].reading)];
            row({reading_words(reading, display_), value_words(reading, rows[i].value, mass),
                 value_words(reading, found.if_healthy.rows[i].predicted, mass),
                 value_words(reading, rows[i].predicted, mass)});
        }
        close_table();
    }

    void proposed_trims() {
        if (!page_.trims || !page_.trims->to_do()) return;
        heading("Trims that would even the corners");
        const std::string now = std::string("now, ") + trim_unit();
        const std::string set = std::string("set to, ") + trim_unit();
        open_table("Settings, once nothing is broken",
                   {{"corner"}, {now, true}, {set, true}, {"shows now", true}, {"afterwards", true}});
        const diagnosis::TrimSolution& solution = page_.trims->solution;
        for (int i = 0; i < solution.corner_count; ++i) {
            const diagnosis::CornerTrim& corner = solution.corners[static_cast<std::size_t>(i)];
            row({std::to_string(i + 1), fmt::format("{:.4g}", corner.present_at),
                 corner.stays ? "stays" : fmt::format("{:.4g}", corner.at), mass_.number(corner.before_kg),
                 mass_.number(corner.after_kg)});
        }
        close_table();
        paragraph("'cornerbench trim' says in which order, and what the display must show meanwhile.");
    }

    void lines() {
        heading("Test record");
        const bool noted = std::any_of(page_.sheet.lines.begin(), page_.sheet.lines.end(),
                                       [](const TestLine& line) { return !line.note.empty(); });
        std::vector<Head> heads{{"line", true},  {"verdict"},       {"test"},
                                {"load", true},  {"shown", true},   {"added", true},
                                {"error", true}, {"\u00b1U", true}, {"limit", true}};
        if (turns()) heads.push_back({"turns at", true});
        if (noted) heads.push_back({"note"});
        open_table("Every line of the sheet", heads);
        for (const commissioning::LineResult& result : page_.survey.lines) {
            const TestLine& line = page_.sheet.lines[static_cast<std::size_t>(result.line)];
            const bool has = result.error.uncertainty > 0.0;
            std::string shown = line.indication_kg ? mass_.number(*line.indication_kg) : "";
            if (line.shown != diagnosis::Shown::value) shown = shown_words(line.shown);
            if (line.after_kg) shown += " \u2192 " + mass_.number(*line.after_kg);
            std::vector<std::string> cells{std::to_string(result.line + 1),
                                           result.judged ? verdict_words(result.error.verdict) : "",
                                           test_words_of(line),
                                           line.load_kg > 0.0 ? mass_.number(line.load_kg) : "",
                                           shown,
                                           line.added_kg ? mass_.number(*line.added_kg) : "",
                                           has ? mass_.signed_number(result.error.value) : "",
                                           has ? mass_.number(result.error.uncertainty) : "",
                                           result.judged ? mass_.number(result.error.limit) : ""};
            if (turns()) cells.push_back(result.judged ? mass_.number(result.error.turns_at) : "");
            if (noted) cells.push_back(line.note);
            row(cells, result.judged && result.error.verdict == Verdict::fails);
        }
        close_table();
    }

    void cautions() {
        heading("Cautions");
        out_ += "<ul>\n";
        for (const std::string_view caution : test_cautions) out_ += "<li>" + svg_text(caution) + "</li>\n";
        out_ += "</ul>\n";
    }

    void licensed() {
        heading("Left to licensed practice");
        paragraph(
            "Verification and sealing, the choice of the code in force, the certificates of the test "
            "weights, and "
            "every adjustment of a scale used for trade are for the weights-and-measures authority and a "
            "licensed "
            "technician of the place. This page is a record of readings and of arithmetic.");
        out_ += "<div class=\"signature\"><div>Date and name</div><div>Signature</div></div>\n";
    }

    const RecordPage& page_;
    const scale::Description& d_;
    RecordMass mass_;
    scale::Description display_;
    std::vector<Head> heads_;
    int rows_ = 0;
    std::size_t table_at_ = 0;
    std::string out_;
};

}  // namespace

std::string record_page(const RecordPage& page) {
    return Page(page).write();
}

}  // namespace cornerbench::report

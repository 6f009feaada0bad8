#include <algorithm>
#include <cmath>
#include <set>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/field/fault_words.h"
#include "sim/report/atlas_report.h"
#include "sim/report/atlas_words.h"
#include "sim/report/finding_words.h"
#include "sim/report/over_time_report.h"
#include "sim/report/svg_text.h"

namespace cornerbench::report {

using training::AtlasEntry;

namespace {

/// Colours with a contrast of 7 and more on white, and black and white in print; nothing is said by colour
/// alone (W3C, WCAG 2.1, 1.4.1 and 1.4.6).
constexpr std::string_view style_sheet = R"css(
:root { color-scheme: light; }
body { font: 1rem/1.5 system-ui, sans-serif; color: #1a1a1a; background: #fff; max-width: 52rem;
       margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.6rem; line-height: 1.2; }
h2 { font-size: 1.25rem; border-top: 2px solid #1a1a1a; padding-top: .8rem; margin-top: 2.2rem; }
h3 { font-size: 1rem; margin: 1.1rem 0 .2rem; }
p { margin: .3rem 0; }
nav ul { columns: 14rem; padding-left: 1.2rem; }
a { color: #0b3d66; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; padding: .2rem .8rem .2rem 0; border-bottom: 1px solid #bbb; vertical-align: top; }
th.number, td.number { text-align: right; }
.wide { overflow-x: auto; }
figure { margin: .4rem 0; }
figure svg { max-width: 100%; height: auto; }
figcaption { font-size: .9rem; }
.mind { border-left: .35rem solid #1a1a1a; padding-left: .8rem; }
@media print { body { max-width: none; padding: 0; font-size: 10pt; }
               h2 { break-before: page; border: 0; } nav { break-after: page; }
               figure, table { break-inside: avoid; } a { color: #1a1a1a; text-decoration: none; } }
)css";

/// As it may stand between tags; the thousands of a number stay on one line.
std::string safe(std::string_view text) {
    const auto digit = [&](std::size_t i) { return i < text.size() && text[i] >= '0' && text[i] <= '9'; };
    std::string kept;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool thousands =
            text[i] == ' ' && i > 0 && digit(i - 1) && digit(i + 1) && digit(i + 2) && digit(i + 3);
        kept += thousands ? "\u00a0" : std::string(1, text[i]);
    }
    return svg_text(kept);
}

/// The deck from above with the error at each place: a bar as long as the error is large, up for too much.
void draw_deck(std::ostream& out, const AtlasPage& page, const AtlasEntry& entry, const MassWords& mass) {
    constexpr double width = 500.0;
    constexpr double left = 52.0;
    constexpr double deck_top = 84.0;
    constexpr double deck_height = 92.0;
    constexpr double longest_bar = 34.0;
    const scale::Deck& deck = page.scale.description.deck;
    double most = page.scale.description.division_kg;
    for (const field::TestResult& r : entry.test.supports) {
        if (r.has_value()) most = std::max(most, std::fabs(r.exact_error_kg));
    }
    out << fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} 260\" width=\"{0:.0f}\" "
        "height=\"260\" "
        "role=\"img\" style=\"font:14px sans-serif\"><title>Errors over the supports: ",
        width);
    for (const field::TestResult& r : entry.test.supports) {
        out << fmt::format("support {} {}; ", r.index + 1, safe(corner_error_words(r, mass)));
    }
    out << fmt::format(
        "</title><rect x=\"{:.0f}\" y=\"{:.0f}\" width=\"{:.0f}\" height=\"{:.0f}\" fill=\"#f2f2f2\" "
        "stroke=\"#1a1a1a\" stroke-width=\"1.5\"/>\n",
        left - 30.0, deck_top, width - 2.0 * (left - 30.0), deck_height);
    const double length = deck.section_x_m[static_cast<unsigned>(deck.sections - 1)] - deck.section_x_m[0];
    for (const field::TestResult& r : entry.test.supports) {
        const int section = scale::section_of(r.index, deck.sections);
        const bool far = scale::is_far(r.index, deck.sections);
        const double along =
            length > 0.0 ? (deck.section_x_m[static_cast<unsigned>(section)] - deck.section_x_m[0]) / length
                         : 0.5;
        const double x = left + along * (width - 2.0 * left);
        const double y = far ? deck_top + 22.0 : deck_top + deck_height - 22.0;
        out << fmt::format(
            "<circle cx=\"{0:.1f}\" cy=\"{1:.1f}\" r=\"12\" fill=\"#fff\" stroke=\"#1a1a1a\"/><text "
            "x=\"{0:.1f}\" "
            "y=\"{2:.1f}\" text-anchor=\"middle\">{3}</text>\n",
            x, y, y + 4.5, r.index + 1);
        const double from = far ? deck_top - 22.0 : deck_top + deck_height + 46.0;
        const bool outside = !(r.has_value() && r.within());
        if (r.has_value()) {
            const double bar = longest_bar * r.exact_error_kg / most;
            out << fmt::format(
                "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"14\" height=\"{:.1f}\" fill=\"{}\" "
                "stroke=\"#1a1a1a\"/>"
                "<line x1=\"{:.1f}\" x2=\"{:.1f}\" y1=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"#1a1a1a\"/>\n",
                x - 7.0, std::min(from, from - bar), std::fabs(bar), outside ? "#1a1a1a" : "#fff", x - 14.0,
                x + 14.0, from, from);
        }
        const double text_y = far ? 16.0 : deck_top + deck_height + 80.0;
        out << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\"{}>{}</text>\n", x, text_y,
                           outside ? " font-weight=\"bold\"" : "", safe(corner_error_words(r, mass)));
    }
    out << "</svg>\n";
}

/// Error against load, up and down.
void draw_load(std::ostream& out, const AtlasEntry& entry, const MassWords& mass) {
    constexpr double width = 460.0;
    constexpr double height = 190.0;
    constexpr double left = 92.0;
    constexpr double right = 40.0;
    constexpr double middle = 78.0;
    constexpr double half = 58.0;
    double most = mass.division_kg();
    double heaviest = 1.0;
    for (const training::ErrorAtLoad& at : entry.by_load) {
        heaviest = std::max(heaviest, at.mass_kg);
        if (at.known) most = std::max({most, std::fabs(at.up_kg), std::fabs(at.down_kg)});
    }
    const auto x = [&](double kg) { return left + (width - left - right) * kg / heaviest; };
    const auto y = [&](double kg) { return middle - half * kg / most; };
    out << fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {1:.0f}\" width=\"{0:.0f}\" "
        "height=\"{1:.0f}\" role=\"img\" style=\"font:12px sans-serif\"><title>Error over "
        "support {2} against load, going up and coming down</title>\n",
        width, height, entry.near_support + 1);
    for (const double share : {1.0, 0.0, -1.0}) {
        out << fmt::format(
            "<line x1=\"{:.0f}\" x2=\"{:.0f}\" y1=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"#1a1a1a\"{}/><text "
            "x=\"{:.0f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n",
            left, width - right, y(share * most), y(share * most),
            share == 0.0 ? "" : " stroke-width=\"0.4\"", left - 8.0, y(share * most) + 4.0,
            safe(mass.divisions(share * most)));
    }
    std::string up = fmt::format("{:.1f},{:.1f}", x(0.0), y(0.0));
    std::string down = fmt::format("{:.1f},{:.1f}", x(0.0), y(entry.left_at_zero_kg));
    for (const training::ErrorAtLoad& at : entry.by_load) {
        out << fmt::format(
            "<line x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:.1f}\" y2=\"{2:.1f}\" stroke=\"#1a1a1a\"/><text "
            "x=\"{0:.1f}\" y=\"{3:.1f}\" text-anchor=\"middle\">{4}</text>\n",
            x(at.mass_kg), middle + half, middle + half + 5.0, middle + half + 18.0,
            safe(mass.number(at.mass_kg)));
        if (!at.known) continue;
        up += fmt::format(" {:.1f},{:.1f}", x(at.mass_kg), y(at.up_kg));
        down += fmt::format(" {:.1f},{:.1f}", x(at.mass_kg), y(at.down_kg));
        out << fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3\"/>\n", x(at.mass_kg), y(at.up_kg));
    }
    out << fmt::format(
               "<polyline points=\"{}\" fill=\"none\" stroke=\"#1a1a1a\" stroke-width=\"2\"/>\n<polyline "
               "points=\"{}\" fill=\"none\" stroke=\"#1a1a1a\" stroke-width=\"1.5\" stroke-dasharray=\"6 "
               "4\"/>\n",
               up, down)
        << fmt::format(
               "<text x=\"{:.0f}\" y=\"{:.0f}\">load over support {}, {}; dashed: coming down</text></svg>\n",
               left, height - 12.0, entry.near_support + 1, mass.unit());
}

void write_section(std::ostream& out, std::string_view heading, std::string_view text) {
    out << fmt::format("<h3>{}</h3>\n<p>{}</p>\n", heading, safe(text));
}

void write_signs(std::ostream& out, const AtlasPage& page, const AtlasEntry& entry, const MassWords& mass) {
    out << "<h3>Meters</h3>\n";
    if (entry.signs.empty()) {
        out << "<p>No meter reading departs from a sound scale's by three standard uncertainties.</p>\n";
        return;
    }
    out << "<div class=\"wide\"><table><thead><tr><th scope=\"col\">reading</th><th scope=\"col\" "
           "class=\"number\">sound</th><th scope=\"col\" class=\"number\">with it</th><th scope=\"col\" "
           "class=\"number\">standard uncertainties</th></tr></thead><tbody>\n";
    for (const training::MeterSign& sign : entry.signs) {
        out << fmt::format(
            "<tr><td>{}</td><td class=\"number\">{}</td><td class=\"number\">{}</td><td "
            "class=\"number\">{}</td></tr>\n",
            safe(reading_words(sign.reading, page.scale.description)), safe(read_words(sign.sound, mass)),
            safe(read_words(sign.reading, mass)), safe(sign_words(sign)));
    }
    out << "</tbody></table></div>\n";
}

void write_entry(std::ostream& out, const AtlasPage& page, const AtlasEntry& entry) {
    const scale::Description& d = page.scale.description;
    const MassWords mass(d);
    const field::CauseEntry& words = field::entry_of(entry.fault.cause);
    out << fmt::format("<section id=\"{0}\">\n<h2>{0}: {1}</h2>\n<p>Shown here: {2}</p>\n",
                       scale::name_of(entry.fault.cause), safe(words.brief),
                       safe(field::fault_words(entry.fault, d)));
    write_section(out, "What it is", words.what);
    out << "<h3>The corner round</h3>\n<figure>\n";
    draw_deck(out, page, entry, mass);
    out << fmt::format(
        "<figcaption>{} over each support, zeroed after the cause came; before that the empty deck showed "
        "{}. Bars "
        "up: too much; filled and bold: outside the limits.</figcaption>\n</figure>\n",
        safe(mass.with_unit(entry.test.mass_kg)), safe(corner_error_words(entry.test.empty, mass)));
    out << "<h3>With load and time</h3>\n<figure>\n";
    draw_load(out, entry, mass);
    out << "<figcaption>";
    for (const std::string& line : change_words(entry, d)) out << safe(line) << ' ';
    out << "</figcaption>\n</figure>\n<figure>\n";
    draw_over_time(out, entry, d);
    out << "<figcaption>";
    for (const std::string& line : over_time_words(entry, d)) out << safe(line) << ' ';
    out << "</figcaption>\n</figure>\n";
    write_signs(out, page, entry, mass);
    out << fmt::format(
        "<h3>What looks like it</h3>\n<p>By the corner weights alone {} for it, by a full sheet {}.</p>\n",
        probability_words(entry.by_weights), probability_words(entry.by_all));
    if (!entry.like_it.empty()) {
        out << "<p>What would tell them apart, with what it reads here and there, at the other's best "
               "fit:</p>\n<ul>\n";
    }
    for (const training::Lookalike& like : entry.like_it) {
        out << fmt::format("<li>{} ({}): {}</li>\n", safe(cause_words(like.candidate, d)),
                           probability_words(like.candidate.probability), safe(told_words(like, d)));
    }
    if (!entry.like_it.empty()) out << "</ul>\n";
    write_section(out, "What to do", words.remedy);
    out << "<h3>Mind</h3>\n<div class=\"mind\">\n";
    for (const field::Caution caution : words.cautions)
        out << "<p>" << safe(field::text_of(caution)) << "</p>\n";
    out << "</div>\n</section>\n";
}

}  // namespace

void write_atlas_html(std::ostream& out, const AtlasPage& page) {
    const MassWords mass(page.scale.description);
    const std::string title = safe(page.scale.name) + ": what each cause does";
    out << "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
           "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        << "<title>" << title << "</title>\n<style>" << style_sheet
        << "</style>\n</head>\n<body>\n<main>\n<h1>" << title << "</h1>\n"
        << fmt::format(
               "<p>Max {}, division {}, {} supports. Errors are in divisions. Every number is computed from "
               "the "
               "description of this scale, each part exactly as described.</p>\n",
               safe(mass.max_words()), safe(mass.division_words()), page.scale.description.cell_count())
        << "<nav aria-label=\"Causes\">\n<ul>\n";
    for (const AtlasEntry& entry : page.entries) {
        out << fmt::format("<li><a href=\"#{0}\">{0}</a></li>\n", scale::name_of(entry.fault.cause));
    }
    out << "</ul>\n</nav>\n";
    for (const AtlasEntry& entry : page.entries) write_entry(out, page, entry);
    out << "</main>\n</body>\n</html>\n";
}

}  // namespace cornerbench::report

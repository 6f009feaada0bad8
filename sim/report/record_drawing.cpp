#include <algorithm>
#include <array>
#include <map>

#include <spdlog/fmt/fmt.h>

#include "firmware/scale/numbering.h"
#include "sim/report/record_page.h"
#include "sim/report/record_words.h"
#include "sim/report/svg_text.h"

namespace cornerbench::report {

using commissioning::Verdict;
using files::PlaceKind;

namespace {

constexpr double width = 720.0;
constexpr double left = 60.0;
constexpr double right = width - 60.0;
constexpr double far_y = 84.0;
constexpr double near_y = 204.0;
constexpr double height = 300.0;

struct Spot {
    std::string error;
    Verdict verdict = Verdict::not_done;
};

class Drawing {
  public:
    explicit Drawing(const RecordPage& page)
        : deck_(page.sheet.scale.description.deck), mass_(page.sheet.scale.description, page.unit) {
        for (const commissioning::LineResult& line : page.survey.lines) {
            const files::TestLine& test = page.sheet.lines[static_cast<std::size_t>(line.line)];
            if (test.test != files::TestKind::eccentricity) continue;
            Spot spot{"not read", line.error.verdict};
            if (line.error.uncertainty > 0.0) {
                spot.error = mass_.signed_number(line.error.value);
            } else if (test.shown != diagnosis::Shown::value) {
                spot.error = "no weight";
            }
            spots_[{test.place.kind, test.place.index}] = spot;
        }
    }

    std::string draw() {
        out_ = fmt::format(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {1:.0f}\" role=\"img\" "
            "aria-label=\"The deck from above with its corner errors\" aria-describedby=\"deck-text\" "
            "style=\"font:14px 'DejaVu Sans',Verdana,sans-serif\">\n<desc id=\"deck-text\">{2}</desc>\n",
            width, height, svg_text(words()));
        rectangle();
        for (int j = 0; j < deck_.sections; ++j) section(j);
        for (int j = 0; j + 1 < deck_.sections; ++j) midspan(j);
        text(0.5 * width, 20.0, "far side", 13);
        text(0.5 * width, height - 8.0, "near side, where the operator stands", 13);
        out_ += "</svg>\n";
        return out_;
    }

  private:
    double x(double along_m) const {
        const double from = deck_.section_x_m[0];
        const double to = deck_.section_x_m[static_cast<unsigned>(deck_.sections - 1)];
        return left + (right - left) * (along_m - from) / (to - from);
    }

    double section_x(int j) const { return x(deck_.section_x_m[static_cast<unsigned>(j)]); }

    std::string words() const {
        std::string all = "Errors in " + mass_.unit() + ".";
        for (const auto& [place, spot] : spots_)
            all += fmt::format(" {}: {}, {}.", files::place_text({place.first, place.second}), spot.error,
                               commissioning::word_of(spot.verdict));
        return all;
    }

    void text(double at_x, double at_y, const std::string& words, int size, bool bold = false) {
        out_ += fmt::format(
            "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\" font-size=\"{}\"{}>{}</text>\n", at_x,
            at_y, size, bold ? " font-weight=\"bold\"" : "", svg_text(words));
    }

    void rectangle() {
        out_ += fmt::format(
            "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#fff\" "
            "stroke=\"#111\" "
            "stroke-width=\"2\"/>\n",
            left - 24.0, far_y - 14.0, right - left + 48.0, near_y - far_y + 28.0);
    }

    const Spot* spot(PlaceKind kind, int index) const {
        const auto found = spots_.find({kind, index});
        return found == spots_.end() ? nullptr : &found->second;
    }

    void section(int j) {
        const double at = section_x(j);
        if (j > 0 && j + 1 < deck_.sections)
            out_ += fmt::format(
                "<line x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\" "
                "stroke=\"#555\" stroke-dasharray=\"4 4\"/>\n",
                at, far_y - 14.0, near_y + 14.0);
        for (const bool far : {true, false}) {
            const int support = scale::support_at(j, far, deck_.sections);
            const double y = far ? far_y : near_y;
            const Spot* here = spot(PlaceKind::support, support);
            const bool fails = here != nullptr && here->verdict == Verdict::fails;
            // Filled: outside its limit. Readable without colour.
            out_ += fmt::format(
                "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"12\" fill=\"{}\" stroke=\"#111\" "
                "stroke-width=\"2\"/>\n",
                at, y, fails ? "#111" : "#fff");
            out_ += fmt::format(
                "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\" font-weight=\"bold\" "
                "fill=\"{}\">{}</text>\n",
                at, y + 5.0, fails ? "#fff" : "#111", support + 1);
            if (here != nullptr)
                text(at, far ? far_y - 26.0 : near_y + 38.0,
                     here->error + " " + std::string(mark_of(here->verdict)), 14, fails);
        }
        if (const Spot* here = spot(PlaceKind::section, j))
            text(at, 0.5 * (far_y + near_y) + 5.0, here->error + " " + std::string(mark_of(here->verdict)),
                 13, here->verdict == Verdict::fails);
    }

    void midspan(int j) {
        const Spot* here = spot(PlaceKind::midspan, j);
        if (here == nullptr) return;
        text(0.5 * (section_x(j) + section_x(j + 1)),
             0.5 * (far_y + near_y) + (deck_.sections > 3 ? 28.0 : 5.0),
             here->error + " " + std::string(mark_of(here->verdict)), 13, here->verdict == Verdict::fails);
    }

    const scale::Deck& deck_;
    RecordMass mass_;
    std::map<std::pair<PlaceKind, int>, Spot> spots_;
    std::string out_;
};

}  // namespace

std::string record_drawing(const RecordPage& page) {
    return Drawing(page).draw();
}

}  // namespace cornerbench::report

#include <spdlog/fmt/fmt.h>

#include "firmware/scale/numbering.h"
#include "sim/report/svg_text.h"
#include "sim/report/wiring_report.h"

namespace cornerbench::report {

namespace {

constexpr double width = 800.0;
constexpr double left = 70.0;
constexpr double right = width - 70.0;
constexpr double far_y = 70.0;
constexpr double near_y = 210.0;
constexpr double box_y = 330.0;
constexpr double box_height = 96.0;
constexpr double height = 480.0;

class Drawing {
  public:
    explicit Drawing(const WiringPage& page)
        : page_(page), d_(page.scale.description), count_(d_.cell_count()) {}

    std::string draw() {
        out_ = fmt::format(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
            "viewBox=\"0 0 {0:.0f} {1:.0f}\" role=\"img\" aria-labelledby=\"wiring-title\" "
            "font-family=\"DejaVu Sans, Verdana, sans-serif\" font-size=\"13\">\n"
            "<title id=\"wiring-title\">{2}: which cell lands where</title>\n"
            "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n",
            width, height, svg_text(page_.scale.name));
        text(0.5 * width, 22.0, page_.scale.name + ": deck from above, box below", "middle", true);
        out_ += fmt::format(
            "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"none\" "
            "stroke=\"#111\" stroke-width=\"2\"/>\n",
            left - 24.0, far_y - 18.0, right - left + 48.0, near_y - far_y + 36.0);
        for (int i = 0; i < count_; ++i) cable(i);
        for (int i = 0; i < count_; ++i) cell(i);
        box();
        out_ += "</svg>\n";
        return out_;
    }

  private:
    double x(int support) const {
        const auto at = static_cast<unsigned>(scale::section_of(support, d_.deck.sections));
        const double from = d_.deck.section_x_m[0];
        const double to = d_.deck.section_x_m[static_cast<unsigned>(d_.deck.sections - 1)];
        return left + (right - left) * (d_.deck.section_x_m[at] - from) / (to - from);
    }
    double y(int support) const { return scale::is_far(support, d_.deck.sections) ? far_y : near_y; }
    double slot_width() const { return (right - left + 100.0) / count_; }
    double slot(int position) const { return left - 50.0 + slot_width() * (position + 0.5); }

    void text(double at_x, double at_y, const std::string& words, const char* anchor = "middle",
              bool bold = false, int size = 13) {
        out_ += fmt::format(
            "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\" font-size=\"{}\"{} stroke=\"#fff\" "
            "stroke-width=\"4\" paint-order=\"stroke\">{}</text>\n",
            at_x, at_y, anchor, size, bold ? " font-weight=\"bold\"" : "", svg_text(words));
    }

    void cable(int i) {
        const bool far = scale::is_far(i, d_.deck.sections);
        // Far cables run along the middle of the deck, so that none hides behind a near cell.
        const double lane = 0.5 * (far_y + near_y) + 5.0 * (far ? i - 0.5 * d_.deck.sections : 0.0);
        const double shift = far ? 18.0 : 0.0;
        const double down = near_y + 48.0 + 6.0 * i;
        std::string path = fmt::format("M{:.1f} {:.1f}", x(i), y(i));
        if (far) path += fmt::format("V{:.1f}H{:.1f}", lane, x(i) + shift);
        path += fmt::format("V{:.1f}H{:.1f}V{:.1f}", down, slot(i), box_y);
        out_ += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"#111\" stroke-width=\"1.25\"{}/>\n", path,
                            far ? " stroke-dasharray=\"7 3\"" : "");
    }

    void cell(int i) {
        out_ += fmt::format(
            "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"13\" fill=\"#fff\" stroke=\"#111\" "
            "stroke-width=\"2\"/>\n",
            x(i), y(i));
        text(x(i), y(i) + 5.0, std::to_string(i + 1), "middle", true, 14);
        const bool far = scale::is_far(i, d_.deck.sections);
        text(x(i), far ? far_y - 24.0 : near_y + 31.0,
             fmt::format("{:.2f} mV, {:g} m",
                         1000.0 * page_.wiring.cells[static_cast<unsigned>(i)].signal_V.value,
                         page_.wiring.cells[static_cast<unsigned>(i)].cable_m),
             "middle", false, 12);
    }

    void box() {
        out_ += fmt::format(
            "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#fff\" "
            "stroke=\"#111\" stroke-width=\"2\"/>\n",
            left - 56.0, box_y, right - left + 112.0, box_height);
        for (int i = 0; i < count_; ++i) {
            out_ += fmt::format(
                "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"52\" fill=\"#fff\" "
                "stroke=\"#555\"/>\n",
                slot(i) - 0.5 * slot_width() + 4.0, box_y + 8.0, slot_width() - 8.0);
            text(slot(i), box_y + 28.0, std::to_string(i + 1), "middle", true, 15);
            text(slot(i), box_y + 46.0, "E+ E- S+ S- sh", "middle", false, count_ > 8 ? 8 : 10);
        }
        text(0.5 * width, box_y + 80.0,
             d_.converter == scale::Converter::summed
                 ? fmt::format("summing box; home run of {} wires, {:g} m, to the indicator",
                               d_.home_run_wires, d_.home_run_m)
                 : "box with a converter for every cell");
        text(0.5 * width, box_y + box_height + 24.0,
             "near side, where the operator stands; dashed: cables from the far side", "middle", false, 12);
    }

    const WiringPage& page_;
    const scale::Description& d_;
    int count_ = 0;
    std::string out_;
};

}  // namespace

std::string wiring_drawing(const WiringPage& page) {
    return Drawing(page).draw();
}

}  // namespace cornerbench::report

#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/axis_step.h"
#include "sim/report/number_words.h"
#include "sim/report/spread_report.h"
#include "sim/report/svg_text.h"

namespace cornerbench::report {

namespace {

using spread::SpreadPart;
using spread::SpreadTally;

constexpr int bars = 40;
constexpr double left = 64.0;
constexpr double top = 76.0;
constexpr double across = 520.0;
constexpr double up = 240.0;
constexpr double width = left + across + 32.0;
constexpr double height = top + up + 56.0;

class Histogram {
  public:
    Histogram(std::ostream& out, double reach_d) : out_(out), reach_d_(reach_d) {}

    double x(double d) const { return left + across * d / reach_d_; }

    std::vector<double> shares(const std::vector<double>& sorted_kg, double division_kg) const {
        std::vector<double> share(bars);
        for (const double kg : sorted_kg) {
            const auto bar =
                static_cast<std::size_t>(std::clamp(kg / division_kg / reach_d_ * bars, 0.0, bars - 1.0));
            share[bar] += 1.0 / static_cast<double>(sorted_kg.size());
        }
        return share;
    }

    void draw_bars(const std::vector<double>& share, double highest) {
        for (int i = 0; i < bars; ++i) {
            const double high = up * share[static_cast<std::size_t>(i)] / highest;
            out_ << fmt::format(
                "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#8fb3d1\" "
                "stroke=\"#1b4f72\" stroke-width=\"0.5\"/>\n",
                left + across * i / bars, top + up - high, across / bars, high);
        }
    }

    void draw_steps(const std::vector<double>& share, double highest) {
        out_ << "<polyline fill=\"none\" stroke=\"#922b21\" stroke-width=\"1.5\" stroke-dasharray=\"5 3\" "
                "points=\"";
        for (int i = 0; i < bars; ++i) {
            const double y = top + up * (1.0 - share[static_cast<std::size_t>(i)] / highest);
            out_ << fmt::format("{:.1f},{:.1f} {:.1f},{:.1f} ", left + across * i / bars, y,
                                left + across * (i + 1) / bars, y);
        }
        out_ << "\"/>\n";
    }

    void mark(double d, const std::string& words, double y) {
        out_ << fmt::format(
                    "<line x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\" stroke=\"#222\" "
                    "stroke-width=\"1.5\"/>\n",
                    x(d), y + 4.0, top + up)
             << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">{}</text>\n", x(d), y,
                            d > 0.5 * reach_d_ ? "end" : "start", svg_text(words));
    }

    void draw_axis() {
        out_ << fmt::format(
            "<line x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{2:.1f}\" y2=\"{1:.1f}\" stroke=\"#444\"/>\n", left,
            top + up, left + across);
        const double step = axis_step(reach_d_);
        for (int i = 0; i * step <= reach_d_; ++i) {
            out_ << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">{}</text>\n",
                                x(i * step), top + up + 18.0, figures(i * step, 3));
        }
        out_ << fmt::format(
            "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">corner spread, divisions</text>\n",
            left + 0.5 * across, top + up + 42.0);
    }

  private:
    std::ostream& out_;
    double reach_d_ = 1.0;
};

}  // namespace

void draw_spread(std::ostream& out, const SpreadPart& whole) {
    const spread::SpreadQuestion& q = whole.question;
    const SpreadTally t = spread::tally(whole);
    out << fmt::format(
               "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
               "viewBox=\"0 0 {0:.0f} {1:.0f}\" font-family=\"sans-serif\" font-size=\"12\">\n"
               "<title>Corner spread of made-up scales</title>\n"
               "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n",
               width, height)
        << fmt::format(
               "<text x=\"{:.1f}\" y=\"20\" font-size=\"14\">{}: corner spread of {} made-up scales, "
               "{}</text>\n",
               left, svg_text(q.scale), grouped(q.setting.samples),
               q.state == spread::State::trimmed ? "trimmed" : "as delivered")
        << fmt::format(
               "<text x=\"{:.1f}\" y=\"38\">Bars: made-up scales. Dashed: by first-order "
               "sensitivities.</text>\n",
               left);
    const double longest =
        std::max({t.spread_kg.back(), t.straight_spread_kg.back(), 1.0e-9 * q.division_kg});
    // A limit far away would squeeze all bars into one.
    const bool limit_shown = q.limit_kg < 3.0 * longest;
    const double reach_d = 1.02 * std::max(longest, limit_shown ? q.limit_kg : 0.0) / q.division_kg;
    Histogram picture(out, reach_d);
    const std::vector<double> drawn = picture.shares(t.spread_kg, q.division_kg);
    const std::vector<double> straight = picture.shares(t.straight_spread_kg, q.division_kg);
    const double highest = std::max(*std::max_element(drawn.begin(), drawn.end()),
                                    *std::max_element(straight.begin(), straight.end()));
    picture.draw_bars(drawn, highest);
    picture.draw_steps(straight, highest);
    picture.draw_axis();
    picture.mark(t.most_kg / q.division_kg,
                 fmt::format("95 % below {} d", figures(t.most_kg / q.division_kg, 3)), top - 18.0);
    if (limit_shown)
        picture.mark(q.limit_kg / q.division_kg,
                     fmt::format("limit {} d", figures(q.limit_kg / q.division_kg, 3)), top - 4.0);
    out << "</svg>\n";
}

}  // namespace cornerbench::report

#include "sim/report/session_trace.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/report/axis_step.h"
#include "sim/report/svg_text.h"
#include "sim/report/thin_line.h"

namespace cornerbench::report {

using virtual_scale::SessionEvent;
using virtual_scale::SessionRecord;
using virtual_scale::TracePoint;

namespace {

constexpr double width = 960.0;
constexpr double height = 420.0;
constexpr double left = 72.0;
constexpr double right = 16.0;
constexpr double top = 44.0;
constexpr double bottom = 64.0;
/// Along the time axis, upright: the letters are 10 px high.
constexpr double label_width = 13.0;
/// 6 px a letter, the height of the axes.
constexpr std::size_t most_label_letters = 50;
/// 8 px a letter, the width of the axes.
constexpr std::size_t most_title_letters = 108;

/// At most so many letters of UTF-8 text; dots say that there were more.
std::string shortened(const std::string& text, std::size_t most) {
    const auto begins_letter = [](char c) { return (static_cast<unsigned char>(c) & 0xC0u) != 0x80u; };
    if (static_cast<std::size_t>(std::count_if(text.begin(), text.end(), begins_letter)) <= most) return text;
    std::size_t end = 0;
    for (std::size_t letters = 0; end < text.size(); ++end)
        if (begins_letter(text[end]) && ++letters > most - 3) break;
    return text.substr(0, end) + "...";
}

constexpr int least_telling = 2;

/// Which steps come first where not all have room for a mark: 0 for what explains a trace, such as a cause, a
/// power cut or a refusal, then loads, then waiting and printing.
int rank_of(const SessionEvent& event) {
    if (event.refused) return 0;
    const auto begins_with = [&](std::string_view word) { return event.done.starts_with(word); };
    for (const std::string_view word : {"settle", "wait", "print"}) {
        if (begins_with(word)) return least_telling;
    }
    for (const std::string_view word : {"drive", "put", "take off", "corner round", "zero key", "tare key"}) {
        if (begins_with(word)) return 1;
    }
    // A load of the corner round begins with its mass.
    return !event.done.empty() && event.done[0] >= '0' && event.done[0] <= '9' ? 1 : 0;
}

class Picture {
  public:
    Picture(std::ostream& out, const SessionRecord& record, const MassWords& words)
        : out_(out), record_(record), words_(words) {
        last_s_ = std::max(record.seconds, 1.0);
        for (const TracePoint& p : record.trace) {
            highest_ = std::max({highest_, in_unit(p.true_kg), in_unit(p.shown_kg)});
            lowest_ = std::min({lowest_, in_unit(p.true_kg), in_unit(p.shown_kg)});
        }
        if (highest_ - lowest_ <= 0.0) highest_ = lowest_ + 1.0;
        highest_ += 0.06 * (highest_ - lowest_);
    }

    void draw();

  private:
    double in_unit(double kg) const { return words_.in_unit(kg); }
    double x(double t_s) const { return left + (width - left - right) * t_s / last_s_; }
    double y(double value) const {
        return height - bottom - (height - top - bottom) * (value - lowest_) / (highest_ - lowest_);
    }
    void draw_axes();
    void draw_gaps();
    void draw_degraded();
    void draw_marks();
    void draw_truth();
    void draw_shown();
    void draw_legend();

    std::ostream& out_;
    const SessionRecord& record_;
    const MassWords& words_;
    double last_s_ = 1.0;
    double lowest_ = 0.0;
    double highest_ = 0.0;
};

void Picture::draw_axes() {
    const double step = axis_step(highest_ - lowest_);
    for (double value = std::ceil(lowest_ / step) * step; value <= highest_; value += step) {
        out_ << fmt::format("<path class=\"grid\" d=\"M{:.1f} {:.1f}H{:.1f}\"/>", left, y(value),
                            width - right)
             << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n", left - 8.0,
                            y(value) + 4.0, grouped(value, step < 1.0 ? 2 : 0));
    }
    const double minutes = last_s_ / 60.0;
    const bool in_seconds = minutes < 5.0;
    const double time_step = axis_step(in_seconds ? last_s_ : minutes);
    const double unit_s = in_seconds ? 1.0 : 60.0;
    for (double t = 0.0; t * unit_s <= last_s_; t += time_step) {
        out_ << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">{:g}</text>\n",
                            x(t * unit_s), height - bottom + 18.0, t);
    }
    out_ << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n", width - right,
                        height - bottom + 34.0, in_seconds ? "time in s" : "time in min")
         << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\">{}</text>\n", 8.0, top - 8.0, words_.unit());
}

void Picture::draw_gaps() {
    const auto& trace = record_.trace;
    for (std::size_t i = 0; i < trace.size();) {
        const std::string_view why = trace[i].no_weight();
        std::size_t end = i + 1;
        while (end < trace.size() && trace[end].no_weight() == why) ++end;
        if (!trace[i].shows_weight()) {
            const double from = x(trace[i].t_s);
            const double to = x(end < trace.size() ? trace[end].t_s : last_s_);
            out_ << fmt::format(
                "<rect class=\"gap\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\">"
                "<title>no weight: {}</title></rect>\n",
                from, top, std::max(to - from, 0.5), height - top - bottom, why);
        }
        i = end;
    }
}

void Picture::draw_degraded() {
    const auto& trace = record_.trace;
    const auto is_degraded = [](const TracePoint& p) { return p.shows_weight() && p.degraded; };
    for (auto from = std::find_if(trace.begin(), trace.end(), is_degraded); from != trace.end();) {
        const auto to = std::find_if_not(from, trace.end(), is_degraded);
        const double end_s = to == trace.end() ? last_s_ : to->t_s;
        out_ << fmt::format(
            "<rect class=\"degraded\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\">"
            "<title>degraded: not for trade</title></rect>\n",
            x(from->t_s), top, std::max(x(end_s) - x(from->t_s), 0.5), height - top - bottom);
        from = std::find_if(to, trace.end(), is_degraded);
    }
}

void Picture::draw_marks() {
    // At the right end a label stands in front of its line, else it would leave the picture.
    const auto begin_of = [&](const SessionEvent& event) {
        const double at = x(event.t_s);
        return at + label_width > width - right ? at - label_width : at;
    };
    std::vector<const SessionEvent*> marked;
    const auto has_room = [&](const SessionEvent& event) {
        return std::none_of(marked.begin(), marked.end(), [&](const SessionEvent* other) {
            return std::fabs(begin_of(*other) - begin_of(event)) < label_width;
        });
    };
    for (int rank = 0; rank <= least_telling; ++rank) {
        for (const SessionEvent& event : record_.events) {
            if (rank_of(event) == rank && has_room(event)) marked.push_back(&event);
        }
    }
    std::stable_sort(marked.begin(), marked.end(),
                     [](const SessionEvent* a, const SessionEvent* b) { return a->t_s < b->t_s; });
    const std::size_t left_out = record_.events.size() - marked.size();
    for (const SessionEvent* each : marked) {
        const SessionEvent& event = *each;
        const double at = x(event.t_s);
        const double begin = begin_of(event);
        const std::string label = shortened(event.done, most_label_letters);
        out_ << fmt::format("<path class=\"mark\" d=\"M{:.1f} {:.1f}V{:.1f}\"/>", at, top, height - bottom)
             << fmt::format(
                    "<text class=\"mark\" transform=\"translate({:.1f} {:.1f}) rotate(-90)\">"
                    "<title>{}</title>{}</text>\n",
                    begin + 10.0, height - bottom - 6.0, svg_text(event.done), svg_text(label));
    }
    if (left_out == 0) return;
    out_ << fmt::format(
        "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"10\" text-anchor=\"end\">{} of {} steps have no room "
        "for a "
        "mark: --json has all</text>\n",
        width - right, top - 8.0, left_out, record_.events.size());
}

void Picture::draw_truth() {
    ThinLine line;
    for (const TracePoint& p : record_.trace) line.draw_to(x(p.t_s), y(in_unit(p.true_kg)));
    out_ << "<path class=\"truth\" d=\"" << line.take() << "\"/>\n";
}

void Picture::draw_shown() {
    ThinLine line;
    for (const TracePoint& p : record_.trace) {
        if (p.shows_weight())
            line.draw_to(x(p.t_s), y(in_unit(p.shown_kg)));
        else
            line.lift();
    }
    out_ << "<path class=\"shown\" d=\"" << line.take() << "\"/>\n";
}

void Picture::draw_legend() {
    const double base = height - 12.0;
    out_
        << fmt::format(
               "<path class=\"shown\" d=\"M{0} {1}h28\"/><text x=\"{2}\" y=\"{3}\">weight shown</text>\n",
               left, base - 4.0, left + 34.0, base)
        << fmt::format(
               "<path class=\"truth\" d=\"M{0} {1}h28\"/><text x=\"{2}\" y=\"{3}\">mass on the deck</text>\n",
               left + 150.0, base - 4.0, left + 184.0, base)
        << fmt::format(
               "<rect class=\"gap\" x=\"{0}\" y=\"{1}\" width=\"28\" height=\"12\"/>"
               "<text x=\"{2}\" y=\"{3}\">no weight shown</text>\n",
               left + 330.0, base - 11.0, left + 364.0, base)
        << fmt::format(
               "<rect class=\"degraded\" x=\"{0}\" y=\"{1}\" width=\"28\" height=\"12\"/>"
               "<text x=\"{2}\" y=\"{3}\">degraded: not for trade</text>\n",
               left + 500.0, base - 11.0, left + 534.0, base);
}

void Picture::draw() {
    out_ << fmt::format(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:g} {:g}\" role=\"img\" "
                "font-family=\"sans-serif\" font-size=\"12\">\n",
                width, height)
         << "<title>" << svg_text(record_.scale + ": " + record_.session) << "</title>\n"
         << "<style>.grid{stroke:#d8d8d8}.shown{fill:none;stroke:#14406b;stroke-width:2}"
            ".truth{fill:none;stroke:#b4571c;stroke-width:1.2;stroke-dasharray:5 4}"
            ".gap{fill:#8a8a8a;fill-opacity:.28}path.mark{stroke:#555;stroke-dasharray:1 3}"
            ".degraded{fill:url(#hatching);stroke:#8a5a00;stroke-width:.5}"
            "text.mark{font-size:10px;fill:#444}</style>\n"
         << "<defs><pattern id=\"hatching\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" "
            "patternTransform=\"rotate(45)\"><path d=\"M0 0V7\" stroke=\"#8a5a00\"/></pattern></defs>\n"
         << fmt::format("<rect width=\"{:g}\" height=\"{:g}\" fill=\"#fff\"/>\n", width, height)
         << fmt::format("<text x=\"{:.1f}\" y=\"20\" font-size=\"15\">{}</text>\n", left,
                        svg_text(shortened(record_.scale + ": " + record_.session, most_title_letters)));
    draw_axes();
    draw_gaps();
    draw_degraded();
    draw_marks();
    draw_truth();
    draw_shown();
    draw_legend();
    out_ << "</svg>\n";
}

}  // namespace

void print_session_svg(std::ostream& out, const SessionRecord& record, const MassWords& words) {
    Picture(out, record, words).draw();
}

}  // namespace cornerbench::report

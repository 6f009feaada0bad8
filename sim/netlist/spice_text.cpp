#include "sim/netlist/spice_text.h"

#include <cmath>
#include <map>
#include <set>

#include <spdlog/fmt/fmt.h>

namespace cornerbench::netlist {

namespace {

using Kind = Element::Kind;

/// Smaller changes come from the arithmetic.
constexpr double same = 1.0e-9;

bool is_joint(const Element& e) {
    return e.kind == Kind::source && e.value == 0.0;
}

std::string value_words(const Element& e) {
    return fmt::format("{:.6g} {}", e.value, e.kind == Kind::source && e.value != 0.0 ? "V" : "ohm");
}

std::string line_of(const Element& e) {
    const bool source = e.kind == Kind::source;
    return fmt::format("{}_{} {} {} {}{:.15g}\n", source ? 'V' : 'R', e.name, e.a, e.b, source ? "DC " : "",
                       e.value);
}

class Writer {
  public:
    Writer(const Netlist& netlist, const Netlist& sound) : netlist_(netlist), paths_(netlist) {
        for (const Element& e : sound.elements()) sound_.emplace(e.name, e);
    }

    std::string text(const SpiceNotes& notes);

  private:
    void comment(std::string words) {
        for (char& c : words)
            if (static_cast<unsigned char>(c) < ' ') c = ' ';
        out_ += (words.empty() ? "*" : "* " + words) + "\n";
    }
    void remark_on(const Element& e);
    void element(std::size_t index);
    void taken_away();
    void control(const SpiceNotes& notes);

    const Netlist& netlist_;
    CurrentPaths paths_;
    std::map<std::string, Element> sound_;
    std::string out_;
};

void Writer::remark_on(const Element& e) {
    const auto at = sound_.find(e.name);
    if (at == sound_.end()) {
        comment("  added by the cause:");
        return;
    }
    const Element& was = at->second;
    const bool moved = was.a != e.a || was.b != e.b;
    if (std::fabs(was.value - e.value) > same * std::fabs(was.value) || moved)
        comment(fmt::format("  sound: {}{}", value_words(was),
                            moved ? fmt::format(", from {} to {}", was.a, was.b) : ""));
}

void Writer::element(std::size_t index) {
    const Element& e = netlist_.elements()[index];
    remark_on(e);
    if (paths_.floating(e.a)) {
        out_ += "*   hangs free: " + line_of(e);
    } else if (!paths_.carries(index) && !is_joint(e)) {
        comment("  carries no current, so written as a joint: " + value_words(e));
        out_ += line_of({Kind::source, e.name, e.a, e.b, 0.0});
    } else {
        out_ += line_of(e);
    }
}

void Writer::taken_away() {
    std::set<std::string> here;
    for (const Element& e : netlist_.elements()) here.insert(e.name);
    bool headed = false;
    for (const auto& [name, e] : sound_) {
        if (here.count(name) > 0) continue;
        if (!headed) out_ += "*\n* Taken away by the cause\n";
        headed = true;
        out_ += "*   " + line_of(e);
    }
}

void Writer::control(const SpiceNotes& notes) {
    // A pivot may be an insulation of 1e-13 S, which is where ngspice sees a singular matrix by itself.
    out_ += "*\n.options pivtol=1e-30\n.control\nop\nset numdgt=12\n";
    const auto known = [this](const std::string& node) { return node.empty() || !paths_.floating(node); };
    for (const Shown& s : notes.shown) {
        if (!known(s.plus) || !known(s.minus) || !known(s.over_plus) || !known(s.over_minus)) continue;
        const std::string volts = fmt::format("v({},{})", s.plus, s.minus);
        out_ += fmt::format(
            "let {} = {}\nprint {}\n", s.name,
            s.over_plus.empty() ? volts : fmt::format("1000*{}/v({},{})", volts, s.over_plus, s.over_minus),
            s.name);
    }
    for (const std::string& source : notes.currents)
        out_ += fmt::format("let {0}_current_A = -i(V_{0})\nprint {0}_current_A\n", source);
    out_ += "quit 0\n.endc\n.end\n";
}

std::string Writer::text(const SpiceNotes& notes) {
    comment(notes.title);
    for (const std::string& remark : notes.remarks) comment(remark);
    std::size_t next = 0;
    const auto& headings = netlist_.headings();
    for (std::size_t i = 0; i < netlist_.elements().size(); ++i) {
        for (; next < headings.size() && headings[next].before <= i; ++next) {
            out_ += "*\n";
            comment(headings[next].text);
        }
        element(i);
    }
    taken_away();
    control(notes);
    return out_;
}

}  // namespace

std::string spice_text(const Netlist& netlist, const Netlist& sound, const SpiceNotes& notes) {
    return Writer(netlist, sound).text(notes);
}

}  // namespace cornerbench::netlist

#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

/// Resistors and voltage sources between named nodes.
namespace cornerbench::netlist {

/// The node that every potential is counted from, named as every circuit simulator names it.
inline constexpr const char* reference_node = "0";

/// A resistor or a voltage source between two nodes.
struct Element {
    /// What an element is.
    enum class Kind : unsigned char { resistor, source };

    Kind kind = Kind::resistor;
    std::string name;    ///< without the letter that says its kind
    std::string a;       ///< of a source its plus
    std::string b;       ///< of a source its minus
    double value = 0.0;  ///< ohm or V
};

/// Elements in the order in which they were laid, with headings for whoever reads them.
class Netlist {
  public:
    /// A line of words above some elements, for whoever reads the netlist.
    struct Heading {
        std::size_t before = 0;  ///< number of elements that stand above it
        std::string text;
    };

    /// An infinite resistor is left out; one of zero ohm is an ideal joint, which a source of 0 V is.
    void resistor(const std::string& name, const std::string& a, const std::string& b, double ohm);
    void source(const std::string& name, const std::string& plus, const std::string& minus, double volt);
    void heading(std::string text) { headings_.push_back({elements_.size(), std::move(text)}); }

    const std::vector<Element>& elements() const { return elements_; }
    const std::vector<Heading>& headings() const { return headings_; }

  private:
    std::vector<Element> elements_;
    std::vector<Heading> headings_;
};

/// What of a netlist carries current, and where the rest of its nodes stand. Parts that nothing connects to
/// the reference make a simulator's matrix singular, and branches that end nowhere cost one that calculates
/// in doubles its accuracy (50 S of a screw beside 50 pS of insulation).
class CurrentPaths {
  public:
    explicit CurrentPaths(const Netlist& whole);

    /// No path of elements leads from the node to the reference.
    bool floating(const std::string& node) const { return reached_.count(node) == 0; }
    /// By the element's place in the netlist.
    bool carries(std::size_t element) const { return live_[element]; }
    /// The current-carrying node that has the potential of `node`.
    std::string at(std::string node) const;
    /// The elements that carry current.
    const std::vector<Element>& live() const { return live_elements_; }

  private:
    void reach(const std::vector<Element>& elements);
    void cut_dead_ends(const std::vector<Element>& elements);

    std::set<std::string> reached_;
    std::map<std::string, std::string> same_potential_;  ///< a dead end's node: the node it hangs on
    std::vector<bool> live_;
    std::vector<Element> live_elements_;
};

}  // namespace cornerbench::netlist

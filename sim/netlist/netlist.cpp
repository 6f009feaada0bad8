#include "sim/netlist/netlist.h"

#include <cmath>

namespace cornerbench::netlist {

void Netlist::resistor(const std::string& name, const std::string& a, const std::string& b, double ohm) {
    if (std::isinf(ohm)) return;
    if (ohm == 0.0) {
        source(name, a, b, 0.0);
    } else {
        elements_.push_back({Element::Kind::resistor, name, a, b, ohm});
    }
}

void Netlist::source(const std::string& name, const std::string& plus, const std::string& minus,
                     double volt) {
    elements_.push_back({Element::Kind::source, name, plus, minus, volt});
}

CurrentPaths::CurrentPaths(const Netlist& whole) {
    const std::vector<Element>& elements = whole.elements();
    reach(elements);
    for (const Element& e : elements) live_.push_back(e.a != e.b && reached_.count(e.a) > 0);
    cut_dead_ends(elements);
    for (std::size_t i = 0; i < elements.size(); ++i)
        if (live_[i]) live_elements_.push_back(elements[i]);
}

void CurrentPaths::reach(const std::vector<Element>& elements) {
    reached_.insert(reference_node);
    for (bool grew = true; grew;) {
        grew = false;
        for (const Element& e : elements) {
            if (reached_.count(e.a) == reached_.count(e.b)) continue;
            reached_.insert(e.a);
            reached_.insert(e.b);
            grew = true;
        }
    }
}

void CurrentPaths::cut_dead_ends(const std::vector<Element>& elements) {
    for (bool cut = true; cut;) {
        cut = false;
        std::map<std::string, std::vector<std::size_t>> at;
        for (std::size_t i = 0; i < elements.size(); ++i) {
            if (!live_[i]) continue;
            at[elements[i].a].push_back(i);
            at[elements[i].b].push_back(i);
        }
        for (const auto& [node, touching] : at) {
            if (node == reference_node || touching.size() != 1) continue;
            const Element& e = elements[touching[0]];
            const bool drives = e.kind == Element::Kind::source && e.value != 0.0;
            if (!live_[touching[0]] || drives) continue;
            live_[touching[0]] = false;
            same_potential_[node] = e.a == node ? e.b : e.a;
            cut = true;
        }
    }
}

std::string CurrentPaths::at(std::string node) const {
    for (auto it = same_potential_.find(node); it != same_potential_.end(); it = same_potential_.find(node))
        node = it->second;
    return node;
}

}  // namespace cornerbench::netlist

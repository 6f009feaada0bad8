#pragma once

#include <dlfcn.h>

#include <cstdio>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "sim/netlist/netlist.h"

namespace cornerbench::oracle {

/// ngspice as a library (package libngspice0, measured with version 39.3), loaded when it is there. One
/// instance per process. Its return codes say nothing: a result counts only if the vector exists.
class Ngspice {
  public:
    /// Null when the library is not installed.
    static Ngspice* instance() {
        static Ngspice spice;
        return spice.ready_ ? &spice : nullptr;
    }

    /// Solves the operating point.
    void load(const netlist::Netlist& whole) {
        paths_.emplace(whole);
        numbers_.clear();
        sources_.clear();
        std::vector<std::string> lines{"scale"};
        std::size_t part = 0;
        char number[40];
        for (const netlist::Element& e : paths_->live()) {
            const bool source = e.kind == netlist::Element::Kind::source;
            std::snprintf(number, sizeof number, "%.17g", e.value);
            const std::string label = numbered(source ? 'v' : 'r', ++part);
            if (source) sources_[e.name] = label;
            lines.push_back(label + " " + name(e.a) + " " + name(e.b) + (source ? " dc " : " ") + number);
        }
        lines.emplace_back(".end");
        solve(lines);
    }

    /// The same of a netlist's own lines.
    void solve(std::vector<std::string> lines) {
        std::vector<char*> raw;
        for (std::string& line : lines) raw.push_back(line.data());
        raw.push_back(nullptr);
        if (loaded_) {
            command("destroy all");
            command("remcirc");
        }
        circuit_(raw.data());
        loaded_ = true;
        command("op");
    }

    /// The operating point of what is loaded, once more from the start.
    void solve_again() {
        command("destroy all");
        command("op");
        said_.clear();
    }

    /// Of a node of `load`.
    std::optional<double> volt(const std::string& node) {
        if (paths_->floating(node)) return std::nullopt;
        const std::string live = paths_->at(node);
        if (live == netlist::reference_node) return 0.0;
        return volt_of_line(name(live));
    }
    /// Of a node as the lines of `solve` name it.
    std::optional<double> volt_of_line(const std::string& node) { return vector("v(" + node + ")"); }

    double ampere(const std::string& source) {
        const auto at = sources_.find(source);
        return at == sources_.end() ? 0.0 : -vector(at->second + "#branch").value();
    }

    /// Everything ngspice has printed, for a failing test.
    const std::string& said() const { return said_; }

  private:
    /// Layout and calls as in ngspice's <ngspice/sharedspice.h>.
    struct VectorInfo {
        char* name;
        int type;
        short flags;
        double* real;
        void* complex;
        int length;
    };

    Ngspice() {
        void* library = dlopen("libngspice.so.0", RTLD_NOW | RTLD_LOCAL);
        if (library == nullptr) return;
        using Init = int (*)(int (*)(char*, int, void*), int (*)(char*, int, void*),
                             int (*)(int, bool, bool, int, void*), void*, void*, void*, void*);
        const auto init = reinterpret_cast<Init>(dlsym(library, "ngSpice_Init"));
        command_ = reinterpret_cast<int (*)(char*)>(dlsym(library, "ngSpice_Command"));
        circuit_ = reinterpret_cast<int (*)(char**)>(dlsym(library, "ngSpice_Circ"));
        vector_ = reinterpret_cast<VectorInfo* (*)(char*)>(dlsym(library, "ngGet_Vec_Info"));
        if (init == nullptr || command_ == nullptr || circuit_ == nullptr || vector_ == nullptr) return;
        const auto hear = [](char* text, int, void* self) {
            static_cast<Ngspice*>(self)->said_ += std::string(text) + "\n";
            return 0;
        };
        const auto ignore = [](char*, int, void*) { return 0; };
        const auto stop = [](int, bool, bool, int, void*) { return 0; };
        init(hear, ignore, stop, nullptr, nullptr, nullptr, this);
        ready_ = true;
    }

    void command(std::string text) { command_(text.data()); }

    std::optional<double> vector(std::string what) {
        const VectorInfo* v = vector_(what.data());
        if (v == nullptr || v->length < 1 || v->real == nullptr) return std::nullopt;
        return v->real[0];
    }

    static std::string numbered(char kind, std::size_t number) {
        return std::string(1, kind).append(std::to_string(number));
    }

    std::string name(const std::string& node) {
        if (node == netlist::reference_node) return node;
        return numbered('n', numbers_.try_emplace(node, numbers_.size() + 1).first->second);
    }

    bool ready_ = false;
    bool loaded_ = false;
    int (*command_)(char*) = nullptr;
    int (*circuit_)(char**) = nullptr;
    VectorInfo* (*vector_)(char*) = nullptr;
    std::string said_;
    std::optional<netlist::CurrentPaths> paths_;
    std::map<std::string, std::size_t> numbers_;
    std::map<std::string, std::string> sources_;
};

}  // namespace cornerbench::oracle

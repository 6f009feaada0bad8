#pragma once

#include <dlfcn.h>

#include <cstdio>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "tests/circuit/netlist.h"

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
    void load(const Netlist& whole) {
        pruned_ = pruned(whole);
        numbers_.clear();
        std::vector<std::string> lines{"scale"};
        std::size_t part = 0;
        char number[40];
        for (const auto& r : pruned_.live.resistors) {
            std::snprintf(number, sizeof number, "%.17g", r.ohm);
            lines.push_back(numbered('r', ++part) + " " + name(r.a) + " " + name(r.b) + " " + number);
        }
        sources_.clear();
        for (const auto& s : pruned_.live.sources) {
            std::snprintf(number, sizeof number, "%.17g", s.volt);
            const std::string label = numbered('v', ++part);
            sources_[s.plus + ">" + s.minus] = label;
            lines.push_back(label + " " + name(s.plus) + " " + name(s.minus) + " dc " + number);
        }
        lines.emplace_back(".end");
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

    std::optional<double> volt(const std::string& node) {
        if (pruned_.floating(node)) return std::nullopt;
        const std::string live = pruned_.at(node);
        if (live == "0") return 0.0;
        return vector("v(" + name(live) + ")");
    }

    double ampere(const std::string& plus, const std::string& minus) {
        const auto at = sources_.find(plus + ">" + minus);
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
        if (node == "0") return node;
        return numbered('n', numbers_.try_emplace(node, numbers_.size() + 1).first->second);
    }

    bool ready_ = false;
    bool loaded_ = false;
    int (*command_)(char*) = nullptr;
    int (*circuit_)(char**) = nullptr;
    VectorInfo* (*vector_)(char*) = nullptr;
    std::string said_;
    Pruned pruned_;
    std::map<std::string, std::size_t> numbers_;
    std::map<std::string, std::string> sources_;
};

}  // namespace cornerbench::oracle

#include "sim/files/file_kind.h"

#include <array>
#include <cstddef>
#include <string>
#include <string_view>

#include "sim/files/table_view.h"

namespace cornerbench::files {

namespace {

struct Kind {
    FileKind kind = FileKind::scale;
    std::string_view name{};
    std::string_view where{};                 ///< where such a file belongs
    std::array<std::string_view, 7> marks{};  ///< keys at its top that no other kind has
};

constexpr Kind kinds[] = {
    {FileKind::scale,
     "a scale file",
     "a sheet names it with scale = \"...\"; 'corners', 'sheet' and 'trial' take it",
     {"deck", "cell", "cells", "cable", "box", "home_run", "support"}},
    // Before a sheet, which also names a scale.
    {FileKind::lesson, "a lesson", "'page' and 'drill' take it", {"task", "learned"}},
    {FileKind::sheet,
     "a sheet of readings",
     "'diagnose' and 'trim' take it",
     {"reading", "scale", "zeroed", "history", "instruments"}},
    {FileKind::vehicle, "a vehicle file", "a sheet's load names it with vehicle = \"...\"", {"axle"}},
    {FileKind::priors, "a file of priors", "--priors takes it", {"causes", "healthy"}},
    {FileKind::standard,
     "a standard's table of limits",
     "--standard takes it, and a scale's standard names it",
     {"corner_test", "stages"}},
    {FileKind::session, "a session", "'weigh --session' takes it", {"step", "surroundings"}},
    {FileKind::minutes, "a file of minutes", "'diagnose --minutes' takes it", {"minutes"}},
    {FileKind::test_sheet, "a test sheet", "'survey' and 'report' take it", {"line"}},
    {FileKind::tolerances, "a file of tolerances", "'spread --tolerances' takes it", {"tolerances"}},
    {FileKind::cell_standard,
     "a standard of load cells",
     "a scale's [certificates] cell_standard names it",
     {"errors", "creep", "least_load_return", "ratios", "zero_warmth"}},
};

std::string_view first_mark(const toml::table& root, const Kind& kind) {
    for (const std::string_view mark : kind.marks) {
        if (!mark.empty() && root.contains(mark)) return mark;
    }
    return {};
}

const Kind& kind_of(FileKind kind) {
    return kinds[static_cast<std::size_t>(kind)];
}

}  // namespace

bool is_other_kind(const toml::table& root, FileKind expected, Findings& findings) {
    if (!first_mark(root, kind_of(expected)).empty()) return false;
    for (const Kind& other : kinds) {
        const std::string_view mark = first_mark(root, other);
        if (mark.empty()) continue;
        Spot spot = spot_of(*root.get(mark), std::string(mark));
        spot.given.clear();
        findings.error(ErrorKind::impossible, spot,
                       "makes this " + std::string(other.name) + ": must be " +
                           std::string(kind_of(expected).name) + "; " + std::string(other.where));
        return true;
    }
    return false;
}

}  // namespace cornerbench::files

#include <charconv>
#include <string_view>

#include "sim/faults/storage_trial.h"

namespace cornerbench::faults {

namespace {

constexpr const char* form =
    "valid: PLACE.HISTORY, behind it\n"
    "-AFTER.REACHED.LOST.READS for each cut, -wKIND.FIRST.TIMES for a worn part";

/// The next number and the point before it, if one stands there; false when there is none.
bool take(std::string_view& text, std::uint32_t& value) {
    if (text.starts_with('.')) text.remove_prefix(1);
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end == text.data()) return false;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return true;
}

bool take_part(std::string_view part, StorageCase& one) {
    if (part.starts_with('w')) {
        part.remove_prefix(1);
        std::uint32_t kind = 0;
        if (!take(part, kind) || !take(part, one.wear.first) || !take(part, one.wear.times)) return false;
        if (kind > static_cast<std::uint32_t>(MemoryWear::Kind::bit_sticks)) return false;
        one.wear.kind = static_cast<MemoryWear::Kind>(kind);
        return part.empty();
    }
    MemoryCut cut;
    std::uint32_t reads = 0;
    if (!take(part, cut.after) || !take(part, cut.reached) || !take(part, cut.lost) || !take(part, reads))
        return false;
    if (reads >= static_cast<std::uint32_t>(weak_reads_count)) return false;
    cut.reads = static_cast<WeakReads>(reads);
    one.cuts.push_back(cut);
    return part.empty();
}

}  // namespace

std::string id_of(const StorageCase& one) {
    const auto joined = [](std::initializer_list<std::uint32_t> numbers) {
        std::string text;
        for (const std::uint32_t number : numbers) text += (text.empty() ? "" : ".") + std::to_string(number);
        return text;
    };
    std::string id = joined({one.place, one.history});
    for (const MemoryCut& cut : one.cuts)
        id += "-" + joined({cut.after, cut.reached, cut.lost, static_cast<std::uint32_t>(cut.reads)});
    if (one.wear.kind != MemoryWear::Kind::none)
        id += "-w" + joined({static_cast<std::uint32_t>(one.wear.kind), one.wear.first, one.wear.times});
    return id;
}

std::optional<StorageCase> case_of(const std::string& id, std::string& error) {
    StorageCase one;
    std::string_view rest = id;
    std::string_view head = rest.substr(0, rest.find('-'));
    rest.remove_prefix(head.size());
    error = form;
    if (!take(head, one.place) || !take(head, one.history) || !head.empty()) return std::nullopt;
    while (!rest.empty()) {
        rest.remove_prefix(1);
        const std::string_view part = rest.substr(0, rest.find('-'));
        rest.remove_prefix(part.size());
        if (!take_part(part, one)) return std::nullopt;
    }
    if (one.place >= storage_places().size() || one.history >= storage_histories().size()) {
        error = "there is no such place or history; valid: 0 to " +
                std::to_string(storage_places().size() - 1) + ", 0 to " +
                std::to_string(storage_histories().size() - 1);
        return std::nullopt;
    }
    error.clear();
    return one;
}

}  // namespace cornerbench::faults

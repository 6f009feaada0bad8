#include "sim/files/wire_list.h"

namespace cornerbench::files {

std::optional<std::array<scale::Wire, 2>> two_wires(const TableView& view, std::string_view key,
                                                    std::span<const std::string_view> words,
                                                    const std::string& valid) {
    const toml::array* list = view.node(key)->as_array();
    if (list == nullptr || list->size() != 2) {
        view.error(ErrorKind::wrong_type, key, "must be a list of " + valid);
        return std::nullopt;
    }
    std::array<scale::Wire, 2> wires{};
    for (std::size_t i = 0; i < 2; ++i) {
        const auto name = (*list)[i].as_string();
        bool found = false;
        for (std::size_t wire = 0; wire < words.size() && name != nullptr; ++wire) {
            if (name->get() != words[wire]) continue;
            wires[i] = static_cast<scale::Wire>(wire);
            found = true;
        }
        if (found) continue;
        view.findings().error(name != nullptr ? ErrorKind::out_of_range : ErrorKind::wrong_type,
                              spot_of((*list)[i], view.spot(key).key), "must be " + one_of(words));
        return std::nullopt;
    }
    if (wires[0] == wires[1]) {
        view.error(ErrorKind::impossible, key, "names one wire twice: must be " + valid);
        return std::nullopt;
    }
    return wires;
}

}  // namespace cornerbench::files

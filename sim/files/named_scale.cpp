#include "sim/files/named_scale.h"

namespace cornerbench::files {

std::optional<ScaleFile> read_named_scale(const TableView& root, const SheetSources& sources,
                                          std::string_view here) {
    const auto name = root.text("scale");
    if (!root.has("scale"))
        root.missing("scale", "the path of a scale file, from this " + std::string(here) + "'s folder");
    if (!name) return std::nullopt;
    Loaded<ScaleFile> loaded = sources.scale(*name);
    if (loaded.unreadable()) {
        const FileError& why = loaded.errors.front();
        root.error(ErrorKind::unreadable, "scale", why.file + ": " + why.message);
        return std::nullopt;
    }
    root.findings().adopt(loaded);
    return std::move(loaded.value);
}

}  // namespace cornerbench::files

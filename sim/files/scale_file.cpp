#include "sim/files/scale_file.h"

#include "sim/files/file_kind.h"
#include "sim/files/numeric_key.h"
#include "sim/files/scale_checks.h"
#include "sim/files/scale_reader.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

Loaded<ScaleFile> scale_of(std::string_view text, Findings& findings, const NumericKey* key = nullptr,
                           double value = 0.0) {
    ScaleDraft draft;
    draft.file.path = findings.file();
    auto root = parse_text(text, findings);
    if (root && key != nullptr) put_number(*key, value, *root);
    if (root && !is_other_kind(*root, FileKind::scale, findings)) {
        KeyRecord record;
        ScaleReader(*root, findings).read(draft, record);
        check_scale(draft.file, record, findings);
    }
    return findings.result(std::move(draft.file));
}

}  // namespace

Loaded<ScaleFile> load_scale(const std::string& path) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    return text ? scale_of(*text, findings) : findings.result(ScaleFile{});
}

Loaded<ScaleFile> parse_scale(std::string_view text, const std::string& path) {
    Findings findings(path);
    return scale_of(text, findings);
}

Loaded<ScaleFile> parse_scale_with(std::string_view text, const std::string& path, const NumericKey& key,
                                   double value) {
    Findings findings(path);
    return scale_of(text, findings, &key, value);
}

}  // namespace cornerbench::files

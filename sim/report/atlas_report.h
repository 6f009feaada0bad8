#pragma once

#include <ostream>
#include <vector>

#include "sim/report/json_document.h"
#include "sim/report/style.h"
#include "sim/training/atlas.h"

/// The atlas of one scale: in a terminal, as JSON, and as one page of HTML with pictures.
namespace cornerbench::report {

/// What an atlas is printed from.
struct AtlasPage {
    const files::ScaleFile& scale;
    const files::Standard& standard;
    const std::vector<training::AtlasEntry>& entries;
};

/// One line for each cause.
void print_atlas_list(std::ostream& out, const AtlasPage& page, const Style& style);
/// One cause in full.
void print_atlas_entry(std::ostream& out, const AtlasPage& page, const training::AtlasEntry& entry,
                       const Style& style);
void print_atlas_json(std::ostream& out, const AtlasPage& page);
/// Self-contained: no script, no font, no picture from elsewhere.
void write_atlas_html(std::ostream& out, const AtlasPage& page);

}  // namespace cornerbench::report

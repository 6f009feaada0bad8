#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/style.h"
#include "sim/training/atlas.h"

/// How zero and a load left standing move with a cause: as words, a table, a picture and JSON.
namespace cornerbench::report {

/// What it comes to at the end, a sentence each.
std::vector<std::string> over_time_words(const training::AtlasEntry& entry,
                                         const scale::Description& description);

void print_over_time(std::ostream& out, const training::AtlasEntry& entry,
                     const scale::Description& description, const Style& style);

/// As SVG with a title in words: with the cause solid, without it dashed, while it comes dotted.
void draw_over_time(std::ostream& out, const training::AtlasEntry& entry,
                    const scale::Description& description);

/// In the scale's unit; null where no weight is shown.
Json over_time_json(const training::AtlasEntry& entry, const scale::Description& description);

}  // namespace cornerbench::report

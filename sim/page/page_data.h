#pragma once

#include <string>
#include <vector>

#include "sim/files/lesson_file.h"
#include "sim/files/vehicle_file.h"
#include "sim/report/json_document.h"

/// What a page knows beside its program: scales, vehicles, causes in words, lessons.
namespace cornerbench::page {

/// A scale on the page, under the name by which links speak of it.
struct PageScale {
    std::string id;  ///< its file's name without `.toml`
    files::ScaleFile file;
};

/// A lesson on the page, under the name by which links speak of it, and that of its scale.
struct PageLesson {
    std::string id;
    std::string scale_id;
    files::LessonFile file;
};

/// Everything that a page is made from.
struct PageContent {
    std::vector<PageScale> scales;
    std::vector<files::Vehicle> vehicles;
    std::vector<PageLesson> lessons;
};

/// Name of a file without folder and `.toml`.
std::string id_of(const std::string& path);

/// All of it as the page's script reads it. Settings are those of the scale's own standard.
report::Json page_data(const PageContent& content);

}  // namespace cornerbench::page

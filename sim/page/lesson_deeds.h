#pragma once

#include <vector>

#include "sim/files/lesson_file.h"
#include "sim/page/deed.h"

namespace cornerbench::page {

/// What is wrong in a lesson, as deeds before its first frame.
std::vector<Deed> lesson_deeds(const files::LessonFile& lesson);

}  // namespace cornerbench::page

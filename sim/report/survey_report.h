#pragma once

#include <ostream>

#include "sim/commissioning/survey.h"
#include "sim/report/json_document.h"
#include "sim/report/style.h"

namespace cornerbench::report {

/// What a survey is printed from.
struct SurveyPage {
    const files::TestSheet& sheet;
    const files::Standard& standard;
    const commissioning::Survey& survey;
    std::string readings_path{};  ///< where the readings for diagnose and trim went; empty: nowhere
};

void print_survey(std::ostream& out, const SurveyPage& page, const Style& style);
Json survey_json(const SurveyPage& page);

/// What to do next, in words; empty when everything passes.
std::string next_step_words(const SurveyPage& page);

}  // namespace cornerbench::report

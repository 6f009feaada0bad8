#include <catch2/catch.hpp>

#include "sim/report/corner_words.h"

using namespace cornerbench;

TEST_CASE("A finding of the corner check says where in words", "[report]") {
    diagnosis::CornerReport report;
    report.verdict = diagnosis::CornerVerdict::not_alike;
    report.count = 2;
    report.findings[0].kind = diagnosis::CornerFindingKind::rubbing;
    report.findings[0].place = {scale::SiteKind::support, 2, 0};
    report.findings[0].other_place = {scale::SiteKind::far_side, 0, 0};
    report.findings[0].size.value = 0.012;
    report.findings[1].kind = diagnosis::CornerFindingKind::rubbing;
    report.findings[1].place = {scale::SiteKind::right_end, 0, 0};
    report.findings[1].size.value = 0.02;
    const std::string words = report::corner_words(report);
    CHECK(words.find("support 3: ") == 0);
    CHECK(words.find("(1.2 % lost), or at the far side; the right end: ") != std::string::npos);
}

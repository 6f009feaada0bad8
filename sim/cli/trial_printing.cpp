#include "sim/cli/trial_printing.h"

#include <sstream>

#include "sim/cli/commands.h"
#include "sim/cli/written_file.h"
#include "sim/report/observer_report.h"
#include "sim/report/rank_report.h"
#include "sim/report/reliability_chart.h"
#include "sim/report/trial_report.h"
#include "sim/report/visit_report.h"

namespace cornerbench::cli {

field::TrialSetting setting_of(const files::TrialQuestion& question) {
    field::TrialSetting setting;
    setting.sheets = question.sheets;
    setting.first_seed = question.first_seed;
    setting.healthy = question.healthy;
    setting.minutes = question.minutes;
    setting.wild = question.wild;
    if (question.world == "rich") setting.setting.unmodelled = field::rich_world;
    field::SheetPlan& plan = setting.plan;
    if (question.readings != "all") plan.excitation = plan.input_output = plan.insulation = false;
    if (question.readings == "weights" || question.readings == "corners") {
        plan.channels = plan.empty_signals = plan.loaded_signals = false;
    }
    if (question.readings == "corners") plan.sections = plan.returned = false;
    return setting;
}

void check_picture_or_stop(const files::TrialQuestion& question, const std::string& svg_path) {
    const bool without =
        question.kind == files::TrialKind::minutes || question.kind == files::TrialKind::ideal;
    if (without && !svg_path.empty())
        throw Stop(Exit::wrong_usage,
                   "--svg: there is no picture of --minutes and of --ideal; valid: without one of them");
}

void print_trial_whole(const files::TrialPart& whole, const std::string& svg_path, Session& session) {
    const std::string& scale = whole.question.scale;
    const field::TrialSetting setting = setting_of(whole.question);
    std::ostringstream picture;
    switch (whole.question.kind) {
        case files::TrialKind::minutes: {
            const field::VisitTrial trial = field::tally_visits(whole.visits);
            session.json ? report::print_visits_json(session.out, scale, setting, trial)
                         : report::print_visits(session.out, scale, setting, trial, session.style);
            return;
        }
        case files::TrialKind::ranks: {
            const field::RankTrial trial = field::tally_ranks(whole.ranks);
            report::draw_ranks(picture, scale, trial);
            if (!svg_path.empty()) write_or_stop(svg_path, picture.str());
            session.json ? report::print_ranks_json(session.out, scale, setting, trial)
                         : report::print_ranks(session.out, scale, setting, trial, session.style);
            return;
        }
        case files::TrialKind::ideal: {
            const field::ObserverTrial trial = field::tally_observer(whole.observed);
            session.json ? report::print_observer_json(session.out, scale, setting, trial)
                         : report::print_observer(session.out, scale, setting, trial, session.style);
            return;
        }
        case files::TrialKind::ranking: {
            const field::Trial trial = field::tally(whole.outcomes);
            report::draw_reliability(picture, scale, trial);
            if (!svg_path.empty()) write_or_stop(svg_path, picture.str());
            session.json ? report::print_trial_json(session.out, scale, setting, trial)
                         : report::print_trial(session.out, scale, setting, trial, session.style);
            return;
        }
    }
}

}  // namespace cornerbench::cli

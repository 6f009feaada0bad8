#include "sim/page/link_run.h"

#include "sim/page/lesson_deeds.h"
#include "sim/virtual_scale/indicator_settings.h"

namespace cornerbench::page {

LinkRun run_link(const Link& link, const PageContent& content) {
    LinkRun run;
    std::string scale_id = link.scale;
    BenchStart start;
    start.seed = link.seed;
    start.drill_level = link.lesson.empty() ? link.drill : 0;
    std::vector<Deed> first;
    for (const PageLesson& lesson : content.lessons) {
        if (link.lesson.empty() || lesson.id != link.lesson) continue;
        scale_id = lesson.scale_id;
        start.seed = lesson.file.seed;
        first = lesson_deeds(lesson.file);
    }
    const PageScale* found = nullptr;
    for (const PageScale& scale : content.scales) {
        if (scale.id == scale_id) found = &scale;
    }
    if (found == nullptr) {
        run.error = scale_id.empty()
                        ? "the lesson '" + link.lesson + "' is not here: give its folder with --lessons"
                        : "the scale '" + scale_id + "' is not here: give its file with --scale";
        return run;
    }
    run.scale = found->file.name;
    start.description = found->file.description;
    start.settings = virtual_scale::indicator_settings(found->file);
    start.vehicles = content.vehicles;
    run.bench = std::make_unique<Bench>(start);
    for (const Deed& deed : first) run.bench->act(deed);
    for (const Deed& deed : link.deeds) {
        while (run.bench->frames() < deed.frame) run.bench->frame();
        if (!run.bench->act(deed)) ++run.refused;
    }
    while (run.bench->frames() < link.until) run.bench->frame();
    return run;
}

}  // namespace cornerbench::page

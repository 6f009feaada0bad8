#include "sim/page/page_data.h"

#include <filesystem>

#include "firmware/indicator/settings_block.h"
#include "sim/field/cause_catalogue.h"
#include "sim/field/fault_words.h"
#include "sim/field/test_load.h"
#include "sim/files/mass_unit.h"
#include "sim/page/base64.h"
#include "sim/page/deed.h"
#include "sim/page/description_numbers.h"
#include "sim/page/lesson_deeds.h"
#include "sim/page/vehicle_numbers.h"
#include "sim/training/drill_level.h"
#include "sim/virtual_scale/indicator_settings.h"

namespace cornerbench::page {

namespace {

using report::Json;
using scale::Cause;

/// Places, variants and magnitudes of one cause on one scale, in the order of their numbers in a deed.
Json cause_json(const scale::Description& d, Cause cause) {
    Json sites = Json::array();
    for (int i = 0; i < scale::site_count(d, cause); ++i) {
        const scale::Site site = scale::site_at(d, cause, i);
        const std::string_view key = field::site_key(site);
        sites.push_back(key.empty() ? "" : std::string(key) + " " + field::site_value(site));
    }
    Json variants = Json::array();
    for (int i = 0; i < scale::variant_count(d, cause); ++i) {
        const std::string_view key = field::variant_key(cause);
        variants.push_back(key.empty() ? ""
                                       : std::string(key) + " " +
                                             field::variant_value(cause, scale::variant_at(d, cause, i)));
    }
    Json magnitudes = Json::array();
    const scale::Magnitudes m = scale::magnitudes_of(d, cause, scale::site_at(d, cause, 0));
    for (std::size_t i = 0; i < static_cast<std::size_t>(m.count); ++i) {
        magnitudes.push_back({{"name", m.of[i].name},
                              {"low", m.of[i].low},
                              {"high", m.of[i].high},
                              {"si", m.of[i].si_per_unit},
                              {"log", m.of[i].spread == scale::Spread::log_uniform}});
    }
    return {{"cause", scale::index_of(cause)},
            {"sites", sites},
            {"variants", variants},
            {"magnitudes", magnitudes}};
}

/// Of every cell the colours of its wires, empty where the file is silent.
Json colours_json(const files::ScaleFile& file) {
    Json cells = Json::array();
    for (int i = 0; i < file.description.cell_count(); ++i)
        cells.push_back(Json(file.colours[static_cast<std::size_t>(i)]));
    return cells;
}

/// Where the trim sits in the drawing of a box.
const char* trim_kind_word(const scale::Description& d) {
    if (d.converter == scale::Converter::per_cell) return "none";
    switch (d.trim.kind) {
        case scale::TrimKind::none:
            break;
        case scale::TrimKind::excitation_series:
            return "series";
        case scale::TrimKind::signal_shunt:
            return "shunt";
    }
    return "none";
}

Json scale_json(const PageScale& scale) {
    const scale::Description& d = scale.file.description;
    Json possible = Json::array();
    for (int c = 0; c < scale::cause_count; ++c) {
        const auto cause = static_cast<Cause>(c);
        const bool fault = cause != Cause::healthy && cause != Cause::unlisted;
        if (fault && scale::possible(d, cause)) possible.push_back(cause_json(d, cause));
    }
    const SettingsBlock block = encode(virtual_scale::indicator_settings(scale.file));
    Json sections = Json::array();
    for (int i = 0; i < d.deck.sections; ++i)
        sections.push_back(d.deck.section_x_m[static_cast<std::size_t>(i)]);
    return {{"id", scale.id},
            {"name", scale.file.name},
            {"unit", files::unit_name(d.unit)},
            {"unit_kg", scale::kilograms_in(d.unit)},
            {"max_kg", d.max_kg},
            {"division_kg", d.division_kg},
            {"test_kg", field::usual_corner_kg(d)},
            {"sections", sections},
            {"width_m", d.deck.width_m},
            {"overhang_m", d.deck.overhang_m},
            {"capacity_kg", d.cells[0].capacity_kg},
            {"rated_mV_per_V", d.cells[0].rated_output_V_per_V * 1.0e3},
            {"excitation_V", d.excitation_V},
            {"rate_Hz", d.rate_Hz},
            {"per_cell", d.converter == scale::Converter::per_cell},
            {"trim_last", d.converter == scale::Converter::summed && d.trim.kind != scale::TrimKind::none
                              ? scale::trim_last_position(d.trim)
                              : 0.0},
            {"trim_turns", d.trim.turns > 0.0},
            {"trim_kind", trim_kind_word(d)},
            {"mixing", d.trim.mixing_ohm > 0.0},
            {"home_wires", d.home_run_wires},
            {"colours", colours_json(scale.file)},
            {"causes", possible},
            {"numbers", to_numbers(d)},
            {"settings", base64({reinterpret_cast<const char*>(block.data()), block.size()})}};
}

Json load_json(const diagnosis::Load& load) {
    Json all = Json::array();
    for (std::size_t i = 0; i < static_cast<std::size_t>(load.count); ++i)
        all.push_back({load.standing[i].mass_kg, load.standing[i].x_m, load.standing[i].y_m});
    return all;
}

Json task_json(const files::LessonTask& task) {
    Json json{{"do", files::lesson_deed_words[static_cast<std::size_t>(task.deed)]}, {"text", task.text}};
    if (!task.hint.empty()) json["hint"] = task.hint;
    const diagnosis::Reading& r = task.reading;
    switch (task.deed) {
        case files::LessonDeed::measure: {
            json["read"] = {static_cast<int>(r.quantity), r.cell,
                            scale::index_of(r.between_a), scale::index_of(r.between_b),
                            static_cast<int>(r.place),    static_cast<int>(r.look)};
            json["words"] = task.reading_text;
            json["load"] = load_json(r.load);
            break;
        }
        case files::LessonDeed::answer:
            json["choices"] = task.choices;
            json["right"] = task.right;
            break;
        case files::LessonDeed::find:
            break;
        case files::LessonDeed::trim:
            json["within_d"] = task.within_divisions;
            break;
    }
    return json;
}

}  // namespace

std::string id_of(const std::string& path) {
    return std::filesystem::path(path).stem().string();
}

Json page_data(const PageContent& content) {
    Json causes = Json::array();
    for (int c = 0; c < scale::cause_count; ++c) {
        const auto cause = static_cast<Cause>(c);
        const field::CauseEntry& entry = field::entry_of(cause);
        causes.push_back({{"name", scale::name_of(cause)},
                          {"brief", entry.brief},
                          {"what", entry.what},
                          {"corner_weights", entry.corner_weights},
                          {"shown_by", entry.shown_by},
                          {"remedy", entry.remedy}});
    }
    Json deeds = Json::array();
    for (const DeedForm& form : deed_forms) deeds.push_back({{"word", form.word}, {"numbers", form.numbers}});
    Json scales = Json::array();
    for (const PageScale& scale : content.scales) scales.push_back(scale_json(scale));
    Json vehicles = Json::array();
    for (const files::Vehicle& vehicle : content.vehicles) {
        Json axles = Json::array();
        for (const files::Axle& axle : vehicle.axles) axles.push_back({axle.mass_kg, axle.behind_front_m});
        vehicles.push_back({{"name", vehicle.name}, {"kg", vehicle.total_kg()}, {"axles", axles}});
    }
    Json numbers = Json::array();
    // JSON has no word for what a file is silent about.
    for (const double number : to_numbers(content.vehicles))
        numbers.push_back(number == number ? Json(number) : Json(nullptr));
    Json levels = Json::array();
    for (int level = 1; level <= training::level_count; ++level)
        levels.push_back(training::level_of(level).brief);
    Json lessons = Json::array();
    for (const PageLesson& lesson : content.lessons) {
        Json tasks = Json::array();
        for (const files::LessonTask& task : lesson.file.tasks) tasks.push_back(task_json(task));
        Json faults = Json::array();
        for (const Deed& deed : lesson_deeds(lesson.file)) faults.push_back(deed.number);
        lessons.push_back({{"id", lesson.id},
                           {"scale", lesson.scale_id},
                           {"seed", lesson.file.seed},
                           {"name", lesson.file.name},
                           {"text", lesson.file.text},
                           {"learned", lesson.file.learned},
                           {"hidden", lesson.file.hidden},
                           {"faults", faults},
                           {"tasks", tasks}});
    }
    return {{"causes", causes},           {"deeds", deeds},     {"scales", scales}, {"vehicles", vehicles},
            {"vehicle_numbers", numbers}, {"lessons", lessons}, {"levels", levels}};
}

}  // namespace cornerbench::page

#include "sim/report/diagnosis_json.h"

#include <array>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/doubt_words.h"
#include "sim/report/finding_words.h"
#include "sim/report/next_report.h"

namespace cornerbench::report {

using diagnosis::Candidate;
using diagnosis::Quantity;
using scale::Cause;
using scale::SiteKind;

namespace {

/// Six figures: what a reader of numbers can use, and the same text on every machine.
double six_figures(double value) {
    if (value == 0.0 || !std::isfinite(value)) return 0.0;
    return std::stod(fmt::format("{:.6g}", value));
}

Json magnitude_json(const scale::Fault& fault,
                    const std::array<diagnosis::Estimate, scale::max_magnitudes>& estimate,
                    const scale::Description& d) {
    const scale::Magnitudes m = scale::magnitudes_of(d, fault.cause, fault.site);
    if (m.count == 0) return nullptr;
    Json out = Json::object();
    for (int k = 0; k < m.count; ++k) {
        const scale::Magnitude& of = m.of[static_cast<std::size_t>(k)];
        const diagnosis::Estimate& e = estimate[static_cast<std::size_t>(k)];
        const std::string prefix = k == 0 ? "" : std::string(of.name) + "_";
        out[of.name] = six_figures(e.value / of.si_per_unit);
        out[prefix + "low"] = six_figures(e.low / of.si_per_unit);
        out[prefix + "high"] = six_figures(e.high / of.si_per_unit);
    }
    return out;
}

Json cause_json(const Candidate& c, const scale::Description& d) {
    Json out{{"name", scale::name_of(c.fault.cause)},
             {"where", where_json(c.fault)},
             {"probability", c.probability},
             {"magnitude", magnitude_json(c.fault, c.estimate, d)},
             {"group", nullptr}};
    if (c.group >= 0) out["group"] = c.group;
    if (c.two_at_once()) {
        out["with"] = {{"name", scale::name_of(c.also.cause)},
                       {"where", where_json(c.also)},
                       {"magnitude", magnitude_json(c.also, c.also_estimate, d)}};
        return out;
    }
    const int variants = scale::variant_count(d, c.fault.cause);
    if (variants > 1) {
        Json list = Json::array();
        for (int v = 0; v < variants; ++v) {
            scale::Fault fault = c.fault;
            fault.variant = scale::variant_at(d, fault.cause, v);
            Json way = where_json(fault);
            way["share"] = six_figures(c.variants[static_cast<std::size_t>(v)].share);
            list.push_back(way);
        }
        out["variants"] = list;
    }
    return out;
}

Json load_json(const diagnosis::Load& load, const scale::Description& d) {
    if (load.count == 0) return "empty";
    const MassWords mass(d);
    const auto one = [&](const diagnosis::Standing& s) {
        return Json{{"mass", mass.in_unit(s.mass_kg)}, {"at", {six_figures(s.x_m), six_figures(s.y_m)}}};
    };
    if (load.count == 1) return one(load.standing[0]);
    Json list = Json::array();
    for (int i = 0; i < load.count; ++i) list.push_back(one(load.standing[static_cast<std::size_t>(i)]));
    return list;
}

}  // namespace

Json where_json(const scale::Fault& fault) {
    Json where = Json::object();
    const scale::Site& s = fault.site;
    switch (s.kind) {
        case SiteKind::cell:
            where["cell"] = s.index + 1;
            break;
        case SiteKind::cell_pair:
            where["cells"] = {s.index + 1, s.other + 1};
            break;
        case SiteKind::support:
            where["support"] = s.index + 1;
            break;
        case SiteKind::far_side:
            where["side"] = "far";
            break;
        case SiteKind::near_side:
            where["side"] = "near";
            break;
        case SiteKind::left_end:
            where["end"] = "left";
            break;
        case SiteKind::right_end:
            where["end"] = "right";
            break;
        case SiteKind::none:
            break;
    }
    switch (fault.cause) {
        case Cause::open_wire:
        case Cause::loose_terminal:
            where["wire"] = fault.variant.whole_cable ? "all" : scale::name_of(fault.variant.a);
            break;
        case Cause::crossed_pairs:
        case Cause::shorted_wires:
        case Cause::wet_leak:
            where["wires"] = {scale::name_of(fault.variant.a), scale::name_of(fault.variant.b)};
            break;
        case Cause::sense_open:
        case Cause::home_run_loose:
            where["wire"] = scale::name_of(fault.variant.home_wire);
            break;
        case Cause::damaged_arm:
            where["arm"] = fault.variant.arm + 1;
            break;
        default:
            break;
    }
    return where;
}

Json check_json(const field::NextCheck& check, const scale::Description& d) {
    constexpr std::array<const char*, 6> quantities = {"weight",     "signal",     "resistance",
                                                       "excitation", "inspection", "channel"};
    constexpr std::array<const char*, diagnosis::look_count> looks = {
        "load arrow", "wire colours", "gap at support", "end gap", "trim", "terminals"};
    const diagnosis::Reading& r = check.reading;
    Json out{{"what", quantities[static_cast<std::size_t>(r.quantity)]}};
    const auto cell = [&] { out["cell"] = r.cell + 1; };
    switch (r.quantity) {
        case Quantity::weight:
            out["load"] = load_json(r.load, d);
            if (r.direction == diagnosis::Direction::decreasing) out["direction"] = "decreasing";
            break;
        case Quantity::signal:
            cell();
            out["load"] = load_json(r.load, d);
            out["connected"] = r.connected;
            break;
        case Quantity::channel:
            cell();
            out["load"] = load_json(r.load, d);
            break;
        case Quantity::resistance:
            cell();
            out["between"] = {scale::name_of(r.between_a), scale::name_of(r.between_b)};
            break;
        case Quantity::excitation:
            if (r.place == diagnosis::ExcitationPlace::cell) {
                cell();
            } else {
                out["at"] = r.place == diagnosis::ExcitationPlace::box ? "box" : "indicator";
            }
            break;
        case Quantity::inspection:
            out["look"] = looks[static_cast<std::size_t>(r.look)];
            if (r.look == diagnosis::Look::gap_at_support) {
                out["support"] = r.cell + 1;
            } else if (r.look != diagnosis::Look::end_gap) {
                cell();
            }
            break;
    }
    out["minutes"] = check.minutes;
    out["bits"] = six_figures(check.bits);
    if (check.repeats >= 0) out["repeats"] = check.repeats + 1;
    if (!check.outcomes.empty()) out["outcomes"] = outcomes_json(check, d);
    return out;
}

Json diagnosis_json(const files::SheetFile& sheet, const field::DiagnosedSheet& diagnosed) {
    const scale::Description& d = sheet.scale.description;
    Json out = json_document();
    out["scale"] = sheet.scale.name;
    out["readings"] = sheet.readings.size();
    out["causes"] = Json::array();
    for (const Candidate& c : diagnosed.candidates) out["causes"].push_back(cause_json(c, d));
    out["groups"] = Json::array();
    for (const field::CauseGroup& group : diagnosed.groups) {
        Json members = Json::array();
        for (const int i : group.members) {
            const Candidate& c = diagnosed.candidates[static_cast<std::size_t>(i)];
            members.push_back({{"name", scale::name_of(c.fault.cause)}, {"where", where_json(c.fault)}});
        }
        out["groups"].push_back(
            {{"members", members},
             {"probability", group.probability},
             {"split_by", group.split_by.empty() ? Json(nullptr) : check_json(group.split_by[0], d)}});
    }
    out["disagreeing"] = Json::array();
    for (int w = 0; w < diagnosed.outcome.wild_count; ++w) {
        const diagnosis::WildReading& wild = diagnosed.outcome.wild[static_cast<std::size_t>(w)];
        out["disagreeing"].push_back(
            {{"reading", wild.reading + 1},
             {"why", fmt::format("{} (line {}) departs by {} standard uncertainties from what all others let "
                                 "expect; it was set aside",
                                 sheet.notes[static_cast<std::size_t>(wild.reading)].text,
                                 sheet.notes[static_cast<std::size_t>(wild.reading)].line,
                                 figures(std::fabs(wild.standard_uncertainties), 2))}});
    }
    const auto disagrees = [&](int reading, const std::string& why) {
        const files::ReadingNote& note = sheet.notes[static_cast<std::size_t>(reading)];
        out["disagreeing"].push_back(
            {{"reading", reading + 1}, {"why", fmt::format("{} (line {}): {}", note.text, note.line, why)}});
    };
    for (const field::Unexpected& u : diagnosed.unexpected) {
        disagrees(u.reading,
                  unexpected_words(sheet.readings[static_cast<std::size_t>(u.reading)], u, diagnosed, d));
    }
    for (const int row : diagnosed.left_over) {
        disagrees(diagnosed.answer.rows[static_cast<std::size_t>(row)].reading,
                  left_over_words(sheet.sheet(), row, diagnosed, d));
    }
    for (const field::Contradiction& c : diagnosed.contradictions) {
        for (const auto& [reading, other] : {std::pair{c.first, c.second}, std::pair{c.second, c.first}}) {
            out["disagreeing"].push_back(
                {{"reading", reading + 1},
                 {"why", fmt::format("{} (line {}) contradicts reading {} by {} standard uncertainties",
                                     sheet.notes[static_cast<std::size_t>(reading)].text,
                                     sheet.notes[static_cast<std::size_t>(reading)].line, other + 1,
                                     figures(c.standard_uncertainties, 2))}});
        }
    }
    out["next"] = Json::array();
    for (const field::NextCheck& check : diagnosed.next) out["next"].push_back(check_json(check, d));
    return out;
}

}  // namespace cornerbench::report

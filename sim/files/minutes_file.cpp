#include "sim/files/minutes_file.h"

#include "sim/files/file_kind.h"
#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

using field::CheckMinutes;

std::string place_of_minutes(std::string_view key) {
    for (const MinutesKey& known : minutes_fields()) {
        if (key == known.name) return "[minutes]";
    }
    return "";
}

Loaded<CheckMinutes> minutes_of(std::string_view text, Findings& findings) {
    CheckMinutes minutes;
    const auto table = parse_text(text, findings);
    if (table && !is_other_kind(*table, FileKind::minutes, findings)) {
        const TableView root(*table, "", Spot{}, findings);
        root.unknown_keys(names_of(minutes_keys(), ""), &place_of_minutes);
        if (const auto given = root.table("minutes", "[minutes] ")) {
            given->unknown_keys(names_of(minutes_keys(), "minutes"));
            for (const MinutesKey& key : minutes_fields()) {
                if (const auto value = given->number(key.name, key.range, range_text(key.range, "minutes")))
                    minutes.*key.minutes = *value;
            }
        } else if (!root.has("minutes")) {
            root.missing("minutes", "a table [minutes]: see 'cornerbench keys minutes'");
        }
    }
    return findings.result(minutes);
}

}  // namespace

const std::vector<MinutesKey>& minutes_fields() {
    static const std::vector<MinutesKey> fields{
        {"move_weight", &CheckMinutes::move_weight,
         "set the test weight down somewhere else, or take it off, settle and read"},
        {"come_down", &CheckMinutes::come_down, "load the place up to twice as much and take that off again"},
        {"open_box", &CheckMinutes::open_box, "open the summing box, once in a visit"},
        {"lift_wires", &CheckMinutes::lift_wires, "lift the wires of one cell, and land them again"},
        {"read", &CheckMinutes::read, "one reading, or one look into the open box, where all is ready"},
        {"at_indicator", &CheckMinutes::at_indicator, "the excitation at the indicator's terminals"},
        {"look_under_deck", &CheckMinutes::look_under_deck,
         "get at one support: its load arrow, its gap; the second of them there takes a reading's time"},
        {"look_at_end", &CheckMinutes::look_at_end, "look at both end gaps"},
        {"jacking",
         &CheckMinutes::jacking,
         "on top of look_under_deck, where the deck must be jacked up to get at a support",
         {0.0, 600.0}}};
    return fields;
}

const std::vector<PlainKey>& minutes_keys() {
    static const std::vector<PlainKey> keys = [] {
        std::vector<PlainKey> all{{"", "minutes", "table of minutes, see below"}};
        for (const MinutesKey& key : minutes_fields()) {
            all.push_back({"minutes", key.name,
                           std::string(key.meaning) + "; default " +
                               number_text(CheckMinutes{}.*key.minutes) + "; " +
                               range_text(key.range, "minutes")});
        }
        return all;
    }();
    return keys;
}

std::string minutes_keys_text() {
    return "[minutes]\n" +
           wrapped(
               "What checks take one person with a test weight at hand; common practice, no source. The "
               "box once open stays open, wires once lifted stay lifted until a reading needs them "
               "landed, and a weight that stands right need not be moved.",
               2, 2) +
           entries_of(minutes_keys(), "minutes") +
           "\nExample: the weights come on a truck, and the pit is one to stand in\n"
           "  [minutes]\n"
           "  move_weight = 10\n"
           "  look_under_deck = 2\n";
}

Loaded<CheckMinutes> load_minutes(const std::string& path) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    return text ? minutes_of(*text, findings) : findings.result(CheckMinutes{});
}

Loaded<CheckMinutes> parse_minutes(std::string_view text, const std::string& path) {
    Findings findings(path);
    return minutes_of(text, findings);
}

}  // namespace cornerbench::files

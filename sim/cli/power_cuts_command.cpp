#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/seed_option.h"
#include "sim/faults/storage_trial.h"
#include "sim/report/table.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string id;
    int place = -1;
    std::uint32_t every = 1;
    std::uint32_t triples = 1'000;
    std::uint64_t seed = 1;
};

Exit replay_case(const Asked& asked, Session& session) {
    std::string error;
    const auto one = faults::case_of(asked.id, error);
    if (!one) throw Stop(Exit::wrong_usage, fmt::format("--case {}: {}", asked.id, error));
    const faults::StorageOutcome outcome = faults::run_case(*one);
    if (!outcome.refusal.empty())
        throw Stop(Exit::wrong_usage,
                   fmt::format("--case {}: not in the fault model: {}", asked.id, outcome.refusal));
    if (session.json) {
        report::Json document = report::json_document();
        document["case"] = asked.id;
        document["story"] = outcome.story;
        document["broken"] = outcome.violation;
        report::print_json(session.out, document);
    } else {
        session.out << fmt::format("{}, {}\n", faults::storage_places()[one->place].words,
                                   faults::storage_histories()[one->history].words);
        for (const std::string& line : outcome.story) report::print_wrapped(session.out, line, 2);
        session.out << (outcome.violation.empty() ? "Every rule held.\n" : "A rule was broken.\n");
    }
    return outcome.violation.empty() ? Exit::done : Exit::answer_is_no;
}

report::Json json_of(const std::string& words, const faults::StorageTally& tally) {
    report::Json entry = {{"memory", words},
                          {"cuts", tally.cuts},
                          {"pairs", tally.pairs},
                          {"triples", tally.triples},
                          {"worn", tally.worn},
                          {"broken", tally.failures},
                          {"cases", report::Json::array()}};
    for (std::size_t i = 0; i < tally.failed.size(); ++i)
        entry["cases"].push_back({{"case", tally.failed[i]}, {"broken", tally.violations[i]}});
    return entry;
}

Exit try_all(const Asked& asked, Session& session) {
    const auto places = faults::storage_places();
    report::Table table;
    table.column("memory").column("cuts", report::Align::right).column("pairs", report::Align::right);
    table.column("threes", report::Align::right).column("worn", report::Align::right);
    table.column("broken", report::Align::right);
    report::Json document = report::json_document();
    document["memories"] = report::Json::array();
    std::uint64_t tried = 0;
    std::uint64_t broken = 0;
    std::string cases;
    for (std::uint32_t place = 0; place < places.size(); ++place) {
        if (asked.place >= 0 && place != static_cast<std::uint32_t>(asked.place)) continue;
        const faults::StorageTally tally =
            faults::try_cuts(place, {.every = asked.every, .triples = asked.triples, .seed = asked.seed});
        const std::string words = fmt::format("{}: {}", place, places[place].words);
        document["memories"].push_back(json_of(words, tally));
        table.row({{words},
                   {std::to_string(tally.cuts)},
                   {std::to_string(tally.pairs)},
                   {std::to_string(tally.triples)},
                   {std::to_string(tally.worn)},
                   {std::to_string(tally.failures)}});
        tried += tally.cuts + tally.pairs + tally.triples + tally.worn;
        broken += tally.failures;
        for (std::size_t i = 0; i < tally.failed.size(); ++i)
            cases += fmt::format("  --case {}: {}\n", tally.failed[i], tally.violations[i]);
    }
    document["tried"] = tried;
    document["broken"] = broken;
    if (session.json) {
        report::print_json(session.out, document);
    } else {
        table.print(session.out, session.style, 0);
        session.out << cases << fmt::format("{} tried, {} broke a rule.\n", tried, broken);
    }
    return broken == 0 ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_power_cuts(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand(
        "power-cuts", "Every power cut that calibration, counters and zero have to survive, tried");
    command->add_option("--case", asked->id, "Runs one of them again and tells what happened");
    command->add_option("--memory", asked->place, "One memory alone, by its number; all of them without it")
        ->check(CLI::Range(0, static_cast<int>(faults::storage_places().size()) - 1));
    command->add_option("--every", asked->every, "Of the pairs of cuts only every so many (default 1: all)")
        ->check(CLI::Range(1, 1'000'000));
    command
        ->add_option("--triples", asked->triples,
                     "Three cuts in a row, so many of them drawn (default 1000 a memory)")
        ->check(CLI::Range(0, 100'000'000));
    add_seed(*command, asked->seed, "Of the drawn ones (default 1); same seed, same cuts");
    command->footer(
        "The firmware's store runs on memories that are cut before, in and behind\n"
        "every operation, in pairs and, drawn, in threes; beside it runs a model of\n"
        "what must be found.\n"
        "firmware/storage/FORMAT.md has the fault model and every outcome.\n"
        "Exit code 1: something sealed was lost or mixed; each case has its number.\n"
        "Example:\n"
        "  cornerbench power-cuts --memory 1 --every 100");
    command->callback([asked, &session] {
        session.action = [asked, &session] {
            return asked->id.empty() ? try_all(*asked, session) : replay_case(*asked, session);
        };
    });
}

}  // namespace cornerbench::cli

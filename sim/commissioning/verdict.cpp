#include "sim/commissioning/survey.h"

namespace cornerbench::commissioning {

Verdict Survey::verdict() const {
    Verdict worst = clauses.empty() ? Verdict::not_done : Verdict::passes;
    const auto rank = [](Verdict v) {
        return v == Verdict::fails ? 3 : v == Verdict::uncertain ? 2 : v == Verdict::not_done ? 1 : 0;
    };
    for (const ClauseResult& clause : clauses)
        if (rank(clause.verdict) > rank(worst)) worst = clause.verdict;
    return worst;
}

const char* word_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::passes:
            return "passes";
        case Verdict::fails:
            return "fails";
        case Verdict::uncertain:
            return "uncertain";
        case Verdict::not_done:
            break;
    }
    return "not done";
}

}  // namespace cornerbench::commissioning

#pragma once

#include <memory>
#include <vector>

#include "firmware/diagnosis/evidence.h"
#include "firmware/diagnosis/likelihood.h"
#include "firmware/diagnosis/predictor.h"

/// The parts of the diagnosis over one sheet, with memory of their own.
namespace cornerbench::oracle {

struct DiagnosisBench {
    DiagnosisBench(const scale::Description& d, std::vector<diagnosis::Reading> given,
                   diagnosis::History history = diagnosis::History::calibrated,
                   diagnosis::Zeroed zeroed = diagnosis::Zeroed::before, const diagnosis::Scatter& with = {},
                   const diagnosis::Instruments& instruments = {})
        : description(d),
          scatter(with),
          readings(std::move(given)),
          memory(6000000),
          arena(memory),
          sheet{readings, instruments, zeroed, history},
          loads(diagnosis::load_history(sheet)),
          rows(diagnosis::rows_of(sheet, description, scatter)),
          predictor(arena, description, sheet, loads, scatter),
          likelihood(arena, predictor, rows),
          evidence(arena, description, sheet, rows, predictor, likelihood, scatter) {}
    DiagnosisBench(const DiagnosisBench&) = delete;
    DiagnosisBench& operator=(const DiagnosisBench&) = delete;

    bool prepare() { return predictor.prepare() && likelihood.prepare(); }

    const scale::Description description;
    const diagnosis::Scatter scatter;
    const std::vector<diagnosis::Reading> readings;
    std::vector<double> memory;
    numbers::Arena arena;
    const diagnosis::Sheet sheet;
    const diagnosis::LoadHistory loads;
    const diagnosis::Rows rows;
    diagnosis::Predictor predictor;
    diagnosis::Likelihood likelihood;
    diagnosis::EvidenceIntegral evidence;
};

}  // namespace cornerbench::oracle
